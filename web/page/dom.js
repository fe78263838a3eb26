// Elements are made and filled here and nowhere else: text is always text.
const SVG = 'http://www.w3.org/2000/svg';

// whole keeps a coverage factor, "k = 2", in one piece.
const whole = (text) => (typeof text === 'string' ? text.replace(/ +\(k = /g, ' (k = ').replace(/\bk = (?=\d)/g, 'k\u00a0=\u00a0') : text);

function fill(e, attributes, children) {
  for (const [k, v] of Object.entries(attributes || {})) if (v !== null && v !== undefined && v !== false) e.setAttribute(k, v === true ? '' : v);
  e.append(...children.filter((c) => c !== null && c !== undefined).map(whole));
  return e;
}

export const el = (name, attributes, ...children) => fill(document.createElement(name), attributes, children);
export const svg = (name, attributes, ...children) => fill(document.createElementNS(SVG, name), attributes, children);
export const $ = (id) => document.getElementById(id);

export function put(e, ...children) {
  e.replaceChildren(...children.filter((c) => c !== null && c !== undefined));
}

// say sets a text only where it changes: what is live would be read out again.
export function say(e, text) {
  text = whole(text);
  if (e.textContent !== text) e.textContent = text;
}

// keeping draws something anew, and keeps the keyboard's place in it: at the same thing, the one before
// it where that is gone (place 3 of what), or what is all about it.
export function keeping(draw, about) {
  const e = document.activeElement, held = e && e.dataset.place;
  draw();
  if (!held || document.activeElement?.dataset.place === held) return;
  const [, what, n] = held.match(/^(.*?)(\d*)$/), at = (p) => document.querySelector(`[data-place="${CSS.escape(p)}"]`);
  (at(held) || at(what + (n - 1)) || about)?.focus();
}

// table makes a table of columns {head, n: a number, cell(row), may: it is left out where it says nothing,
// screen: it is of no use on paper} and rows. The first column heads its row.
export function table(caption, columns, rows) {
  columns = columns.filter((c) => !c.may || rows.some((r) => c.cell(r) !== '–'));
  return el('table', {}, el('caption', {}, el('span', {}, caption)),
    el('thead', {}, el('tr', {}, ...columns.map((c) => el('th', { scope: 'col', class: c.n ? 'n' : c.screen && 'screen' }, c.head)))),
    el('tbody', {}, ...rows.map((r) => el('tr', {}, ...columns.map((c, i) =>
      el(i ? 'td' : 'th', { class: c.n ? 'n' : c.screen && 'screen', scope: i ? null : 'row' }, c.cell(r)))))));
}

// colours are those of the page, for drawings that are to be kept.
export function colours() {
  const s = getComputedStyle(document.documentElement);
  return Object.fromEntries(['paper', 'sheet', 'ink', 'soft', 'line', 'deep', 'wash'].map((k) => [k, s.getPropertyValue('--' + k).trim()]));
}

// capital begins a text with one.
export const capital = (text) => text[0].toUpperCase() + text.slice(1);

// fixed is a number to so many places, with a minus that is one.
export function fixed(v, places) {
  if (v === null || v === undefined) return '–';
  const s = v.toFixed(places);
  return (Number(s) === 0 ? s.replace('-', '') : s).replace('-', '−');
}
