package stock

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"

	"pluckweigh/physics"
)

// longestLine is the most bytes that a line of a list may have, and all that is looked
// through for the end of a quote: no string or position needs a fourth of it.
const longestLine = 1 << 16

// A LineReader takes a list apart into lines, and these into fields. No field of a list
// has a line break, so that a quote left open spoils its own line and none after it.
type LineReader struct {
	from   *bufio.Reader
	feed   feed
	fields *csv.Reader // of the feed
	read   int         // lines
}

// A feed has one line for the csv.Reader.
type feed struct {
	line   []byte
	wanted bool // more than the line: a quote is open at its end
}

func (f *feed) Read(p []byte) (int, error) {
	if len(f.line) == 0 {
		f.wanted = true
		return 0, io.EOF
	}
	n := copy(p, f.line)
	f.line = f.line[n:]
	return n, nil
}

// NewLineReader reads fields parted by commas, or, where the first line has none, by
// semicolons or tabs. The error may be an *physics.InputError.
func NewLineReader(from io.Reader) (*LineReader, error) {
	l := &LineReader{from: bufio.NewReaderSize(from, longestLine)}
	first, err := l.from.Peek(4096)
	if err != nil && err != io.EOF {
		return nil, err
	}
	if bytes.HasPrefix(first, []byte("\xff\xfe")) || bytes.HasPrefix(first, []byte("\xfe\xff")) {
		return nil, &physics.InputError{What: "list", Why: "is written in UTF-16", Fix: "save it as CSV in UTF-8"}
	}
	mark := []byte("\ufeff")
	if bytes.HasPrefix(first, mark) {
		first = first[len(mark):]
		l.from.Discard(len(mark))
	}
	first, _, _ = bytes.Cut(first, []byte("\n"))
	l.fields = csv.NewReader(&l.feed)
	l.fields.FieldsPerRecord, l.fields.ReuseRecord = -1, true
	for _, c := range []rune{',', ';', '\t'} {
		if bytes.ContainsRune(first, c) {
			l.fields.Comma = c
			break
		}
	}
	return l, nil
}

// Next is the next line that is not blank, with its number from 1; the fields are valid
// until the one after. The error is an *physics.InputError where the line is no line of a
// list, which the next one may be; io.EOF at the end.
func (l *LineReader) Next() (fields []string, number int, err error) {
	for {
		line, err := l.from.ReadSlice('\n')
		if len(line) > 0 {
			l.read++
		}
		number = l.read
		switch {
		case err == bufio.ErrBufferFull:
			for err == bufio.ErrBufferFull {
				_, err = l.from.ReadSlice('\n')
			}
			if err != nil && err != io.EOF {
				return nil, number, err
			}
			return nil, number, &physics.InputError{What: "line", Why: fmt.Sprintf("is longer than %d bytes", longestLine), Fix: "save the list as CSV, a string in each line"}
		case err != nil && (err != io.EOF || len(line) == 0):
			return nil, number, err
		}
		if len(bytes.TrimRight(line, "\r\n")) > 0 {
			fields, err = l.split(line)
			return fields, number, err
		}
	}
}

// split makes fields of a line.
func (l *LineReader) split(line []byte) ([]string, error) {
	l.feed = feed{line: line}
	fields, err := l.fields.Read()
	if err == nil {
		return fields, nil
	}
	if l.feed.wanted && l.closes(bytes.Clone(line)) {
		return nil, &physics.InputError{What: "line", Why: "has a line break within quotes", Fix: "write it in one line"}
	}
	var odd *csv.ParseError
	if errors.As(err, &odd) {
		err = &physics.InputError{What: "line", Why: "is not CSV: " + odd.Err.Error(), Fix: `write " within quotes as ""`}
	}
	return nil, err
}

// closes tells whether the quote that is open at the end of a line is closed in those
// that follow, as in RFC 4180. If so these belong to it and are skipped.
func (l *LineReader) closes(line []byte) bool {
	ahead, _ := l.from.Peek(longestLine)
	r := csv.NewReader(io.MultiReader(bytes.NewReader(line), bytes.NewReader(ahead)))
	r.Comma, r.FieldsPerRecord = l.fields.Comma, -1
	if _, err := r.Read(); err != nil {
		return false
	}
	more := int(r.InputOffset()) - len(line)
	l.read += bytes.Count(ahead[:more], []byte("\n"))
	l.from.Discard(more)
	return true
}
