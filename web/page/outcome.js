// What points have to say, in words, in a drawing and in tables; the same for one who
// measures and for a class.
import { $, el, put, say, table, fixed, keeping } from '/dom.js';
import { offer } from '/save.js';
import { plot } from '/plot.js';

// action does something about point i.
export function action(words, place, i, act) {
  const b = el('button', { type: 'button', class: 'plain', 'aria-label': `${words} point ${i + 1}`, 'data-place': `${place} ${i}` }, words);
  b.onclick = act;
  return b;
}

// places makes where an outcome is shown, its elements' names beginning with a word.
export function outcomePlaces(name) {
  const region = (id, label) => el('div', { class: 'wide', id: `${name}-${id}`, tabindex: 0, role: 'region', 'aria-label': label });
  return [el('h3', {}, 'Verdict'), el('p', { id: `${name}-verdict`, class: 'heard', role: 'status', 'aria-live': 'polite' }), el('ul', { id: `${name}-next` }),
    region('findings', 'Table of findings'), el('div', { class: 'save', id: `${name}-save-findings` }),
    el('figure', { id: `${name}-figure` }, el('div', { id: `${name}-plot`, class: 'drawing' }), el('figcaption', {}, 'Rings are points with the bars that hold 95 %, crosses those that do not count; the line is the law that fits, one for each string, with the band that holds it in 95 of 100 classes. Below is what is left over.')),
    el('div', { class: 'save', 'data-save': name }), el('h3', {}, 'Points'), region('points', 'Table of points')];
}

// offerFindings has the constants kept, each with its interval; now() is what is judged.
export function offerFindings(name, now) {
  const of = (k) => ({ name: k, of: (f) => f[k] });
  offer($(`${name}-save-findings`), {
    name: 'pluckweigh-findings', title: 'the findings', rows: () => now()?.outcome.findings || [],
    columns: [of('name'), of('symbol'), of('unit'), { name: 'value', of: (f) => f.value.value }, { name: 'u', of: (f) => f.value.u }, of('k'), of('low'), of('high'), of('degrees_of_freedom'),
      { name: 'expected', of: (f) => f.expected && f.expected.value }],
  });
}

// showOutcome shows it; more.from, more.doubts and more.actions, which may be null, know
// point i.
export function showOutcome(name, l, judged, more) {
  keeping(() => draw(name, l, judged, more), $(`${name}-points`));
}

function draw(name, l, judged, more) {
  const o = judged.outcome, at = (id) => $(`${name}-${id}`), n = o.points.length, drawn = o.points.some((p) => p.x || p.y);
  say(at('verdict'), n ? o.say : `No point yet. With ${l.least} there is something to say.`);
  at('figure').hidden = !drawn;
  document.querySelector(`[data-save="${name}"]`).hidden = !n;
  at('save-findings').hidden = !(o.findings && o.findings.length);
  put(at('next'), ...(o.next || []).map((t) => el('li', {}, t)), ...(o.doubts || []).map((d) => el('li', {}, 'Doubt: ' + d)));
  put(at('findings'), o.findings && o.findings.length ? table('With the interval that holds the truth in 95 of 100 classes', [
    { head: 'what', cell: (f) => f.name }, { head: 'found', cell: (f) => judged.texts[o.findings.indexOf(f)] },
    { head: 'expected', cell: (f) => (f.expected ? String(Number(f.expected.value.toPrecision(5))) : f.above_zero ? 'above zero' : '–') },
    { head: 'beside the scatter', may: true, cell: (f) => (f.from || []).join('; ') || '–' },
  ], o.findings) : null);
  plot(at('plot'), o, l.title);
  const columns = [
    { head: 'point', n: true, cell: (p) => String(p.i + 1) }, { head: 'told', may: true, cell: (p) => p.name || '–' }, { head: l.y.name, cell: (p) => judged.values[p.i] },
    { head: o.axes.off, n: true, cell: (p) => (p.fits ? fixed(p.off, 2) : '–') }, { head: 'from', cell: (p) => more.from(p.i) },
    { head: 'remarks', may: true, cell: (p) => [p.aside ? 'set aside: ' + p.aside : '', (o.odd || []).includes(p.i) ? 'does not belong to the others' : '', p.note || '', ...more.doubts(p.i)].filter(Boolean).join('; ') || '–' },
  ];
  if (more.actions) columns.splice(3, 0, { head: 'do', screen: true, cell: (p) => el('span', { class: 'save' }, ...more.actions(p.i, p)) });
  put(at('points'), n ? table('Points, with standard uncertainties (k = 1)', columns, o.points.map((p, i) => ({ ...p, i }))) : el('p', {}, 'None.'));
}
