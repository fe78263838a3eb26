// All that is shown can be kept: numbers as CSV and JSON, drawings as SVG and PNG.
import { el, colours } from '/dom.js';

export function keep(name, kind, content) {
  const at = URL.createObjectURL(content instanceof Blob ? content : new Blob([content], { type: kind }));
  el('a', { href: at, download: name }).click();
  setTimeout(() => URL.revokeObjectURL(at), 10000);
}

// csv of columns {name, of(row)}: numbers in full, and text that no spreadsheet takes for a
// formula.
export function csv(columns, rows) {
  const cell = (v) => {
    if (v === null || v === undefined) return '';
    if (typeof v === 'number') return String(v);
    const s = /^[=+\-@\t\r]/.test(v) ? "'" + v : String(v);
    return /[",\r\n]/.test(s) ? '"' + s.replaceAll('"', '""') + '"' : s;
  };
  return [columns.map((c) => c.name), ...rows.map((r) => columns.map((c) => c.of(r)))].map((l) => l.map(cell).join(',')).join('\r\n') + '\r\n';
}

function drawn(svg) {
  const copy = svg.cloneNode(true);
  copy.setAttribute('xmlns', 'http://www.w3.org/2000/svg');
  return '<?xml version="1.0" encoding="UTF-8"?>\n' + new XMLSerializer().serializeToString(copy);
}

function png(svg, then) {
  const at = URL.createObjectURL(new Blob([drawn(svg)], { type: 'image/svg+xml' }));
  const image = new Image();
  image.onload = () => {
    const canvas = el('canvas', { width: 2 * svg.viewBox.baseVal.width, height: 2 * svg.viewBox.baseVal.height });
    const c = canvas.getContext('2d');
    c.fillStyle = colours().sheet;
    c.fillRect(0, 0, canvas.width, canvas.height);
    c.drawImage(image, 0, 0, canvas.width, canvas.height);
    URL.revokeObjectURL(at);
    canvas.toBlob(then, 'image/png');
  };
  image.src = at;
}

// offer fills a place with the ways to keep something: what.name, and as far as there are
// any what.columns with what.rows(), or what.list() of a name and a text, what.json() and what.drawing().
export function offer(place, what) {
  const button = (kind, act) => {
    const b = el('button', { type: 'button', class: 'plain', 'aria-label': `Keep ${what.title} as ${kind}` }, kind);
    b.onclick = act;
    return b;
  };
  place.replaceChildren('Keep as',
    ...(what.columns ? [button('CSV', () => keep(what.name + '.csv', 'text/csv', csv(what.columns, what.rows())))] : []),
    ...(what.list ? [button('CSV', () => what.list() && keep(what.list()[0] + '.csv', 'text/csv', what.list()[1]))] : []),
    ...(what.json ? [button('JSON', () => keep(what.name + '.json', 'application/json', JSON.stringify(what.json(), null, 1)))] : []),
    ...(what.drawing ? [
      button('SVG', () => what.drawing() && keep(what.name + '.svg', 'image/svg+xml', drawn(what.drawing()))),
      button('PNG', () => what.drawing() && png(what.drawing(), (b) => keep(what.name + '.png', 'image/png', b))),
    ] : []));
}
