-- What an instrument's strings are wished to be like, as Wish.String writes it; empty for
-- nothing. A row whose sum was wrong before keeps a wrong one.
ALTER TABLE instruments ADD COLUMN wish TEXT NOT NULL DEFAULT '';
UPDATE instruments SET sum = stock_sum (name, a4, division, most, wish, (SELECT count(*) FROM positions WHERE instrument = instruments.id))
	WHERE sum = stock_sum (name, a4, division, most, (SELECT count(*) FROM positions WHERE instrument = instruments.id));
