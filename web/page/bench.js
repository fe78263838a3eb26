// What the user owns, to be looked at, and to be taken for the string that is heard.
import { $, el, put, say, table } from '/dom.js';
import { offer } from '/save.js';
import { ask } from '/ear.js';

export function benchView(model, changed) {
  let owned = null, asking = false;

  async function look() {
    if (asking) return owned;
    asking = true;
    try {
      const r = await ask('/bench.json');
      owned = r.ok ? await r.json() : { trouble: { say: r.status === 403 ? (await r.text()).trim() : 'the stock could not be asked for' } };
    } catch {
      owned = { trouble: { say: 'the program that keeps the stock is gone', hint: 'is pluckweigh serve still running?' } };
    }
    asking = false;
    if (!$('bench').hidden) draw();
    return owned;
  }
  $('again').onclick = look;
  $('find').oninput = () => {
    model.asked.find = $('find').value.trim();
    changed();
  };
  offer(document.querySelector('[data-save=bench]'), {
    name: 'pluckweigh-stock', title: 'the list of strings', rows: shown, json: () => owned,
    columns: ['string', 'kind', 'unit_weight', 'diameter', 'left'].map((k) => ({ name: k, of: (s) => s[k] })),
  });

  offer(document.querySelector('[data-save=instruments]'), {
    name: 'pluckweigh-instruments', title: 'the instruments', rows: () => (owned && owned.instruments || []).flatMap((x) => x.positions.map((p) => ({ instrument: x.instrument, a4: x.a4, ...p }))),
    columns: ['instrument', 'a4', 'position', 'note', 'length', 'fits', 'string'].map((k) => ({ name: k, of: (p) => p[k] })),
  });

  offer(document.querySelector('[data-save=sessions]'), {
    name: 'pluckweigh-kept', title: 'the list of what was kept', rows: () => [...(owned && owned.surveys || []).map((s) => ({ kind: 'survey', ...s })), ...(owned && owned.sessions || []).map((s) => ({ kind: 'settle', ...s }))],
    columns: ['kind', 'session', 'instrument', 'count', 'last'].map((k) => ({ name: k, of: (s) => s[k] })),
  });

  function shown() {
    const sought = $('find').value.trim().toLowerCase();
    return (owned && owned.strings || []).filter((s) => !sought || [s.string, s.kind, s.unit_weight, s.diameter].some((t) => t.toLowerCase().includes(sought)));
  }

  // take is a link to hear a string as one that is known so far.
  const take = (words, what, about) => el('a', { href: model.link('now', what), 'aria-label': `${words} ${about}` }, words);

  // go is a link to a view that keeps plucks.
  const go = (view, words, what, about) => el('a', { href: model.link(view, what), 'aria-label': about ? `${words}: ${about}` : null }, words);

  function draw() {
    if (!owned) {
      look();
      return;
    }
    const t = owned.trouble, find = model.asked.find || '';
    if ($('find') !== document.activeElement && $('find').value !== find) $('find').value = find;
    say($('bench-told'), t ? t.say + (t.hint ? ' – ' + t.hint : '') : owned.more ? `The first ${owned.strings.length} strings by name; ${owned.more} more are in stock.` : '');
    const rows = shown();
    put($('strings'), rows.length ? table(`${rows.length} of ${owned.strings.length} strings; ± with k = 2; a ! stands where measurements disagree`, [
      { head: 'string', cell: (s) => s.string }, { head: 'kind', cell: (s) => s.kind || 'not known' },
      { head: 'unit weight', cell: (s) => s.unit_weight }, { head: 'diameter', cell: (s) => s.diameter }, { head: 'left', cell: (s) => s.left },
      { head: 'use', cell: (s) => (s.typed ? take('hear it', { unit_weight: s.typed }, s.string) : '–') },
    ], rows) : el('p', {}, t ? '' : 'None.'));
    put($('instruments'), ...(owned.instruments && owned.instruments.length ? owned.instruments.map((x) => table(`${x.instrument}: A4 at ${x.a4}; ± with k = 2`, [
      { head: 'position', n: true, cell: (p) => String(p.position) }, { head: 'note', cell: (p) => p.note }, { head: 'speaking length', cell: (p) => p.length },
      { head: 'fits', cell: (p) => p.fits || '–' },
      { head: 'use', cell: (p) => take('hear it', { length: p.typed, near: p.near, unit_weight: p.unit_weight || '', reference: '' }, `position ${p.position} of ${x.instrument}`) },
    ], x.positions)).flatMap((drawn, i) => [drawn, el('p', {}, go('survey', 'Survey its strings', { instrument: owned.instruments[i].instrument, session: '' }, owned.instruments[i].instrument))]) : [el('p', {}, t ? '' : 'None.')]));
    const kept = (caption, all, view, what) => (all && all.length ? table(caption, [
      { head: 'session', cell: (s) => go(view, s.session, what(s), '') }, ...(view === 'survey' ? [{ head: 'instrument', cell: (s) => s.instrument }] : []),
      { head: 'has', cell: (s) => s.count }, { head: 'last', cell: (s) => s.last },
    ], all) : null);
    document.querySelector('[data-save=sessions]').hidden = !(owned.surveys || []).length && !(owned.sessions || []).length;
    put($('sessions'), kept('Surveys of instruments, the latest first', owned.surveys, 'survey', (s) => ({ instrument: s.instrument, session: s.session })),
      kept('Strings that were watched, the latest first', owned.sessions, 'settle', (s) => ({ watch: s.session, event: '' })),
      (owned.surveys || []).length + (owned.sessions || []).length ? null : el('p', {}, t ? '' : 'Nothing yet.'));
  }

  return { draw, enter: look, owned: async () => owned || look() };
}
