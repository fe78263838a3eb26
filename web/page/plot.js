// Points, the law through them with its band, and what is left over.
import { svg, put, colours } from '/dom.js';

// ticks are some round numbers from low to high.
export function ticks(low, high, about) {
  const rough = (high - low) / about, power = 10 ** Math.floor(Math.log10(rough));
  const steps = [0.2, 0.5, 1, 2, 5, 10].map((k) => k * power), first = steps.findIndex((s) => s >= rough);
  let out = [];
  for (let i = first; i >= 0 && out.length < 3; i--) { // one number alone says nothing of the scale
    const step = steps[i];
    out = [];
    for (let v = Math.ceil(low / step) * step; v <= high + step / 1e6; v += step) out.push(Math.abs(v) < step / 1e6 ? 0 : v);
  }
  return out;
}

const short = (v) => String(Number(v.toPrecision(6))).replace('-', '−');

export function plot(place, o, title) {
  const fits = o.points.map((p, i) => ({ ...p, number: i + 1 })).filter((p) => p.x || p.y);
  if (!fits.length) {
    put(place);
    return;
  }
  const c = colours();
  const wide = Math.max(280, place.clientWidth || 700), left = 62, right = wide - 10, top = 22, main = Math.min(320, 0.6 * wide), rest = 110, gap = 46;
  const curve = o.curve || [], k = o.k || 2;
  const span = (values) => {
    let low = Math.min(...values), high = Math.max(...values);
    if (!(high > low)) [low, high] = [low - (Math.abs(low) || 1) / 10, high + (Math.abs(high) || 1) / 10];
    return [low - 0.04 * (high - low), high + 0.04 * (high - low)];
  };
  const xs = span([...fits.map((p) => p.x), ...curve.map((p) => p.x)]);
  const ys = span([...fits.flatMap((p) => [p.y - k * p.u_y, p.y + k * p.u_y]), ...curve.map((p) => p.y)]);
  const kept = fits.filter((p) => p.fits);
  const bars = kept.map((p) => k * p.u_off).sort((a, b) => a - b);
  const far = Math.max(1e-9, bars[bars.length >> 1] || 0, ...kept.map((p) => 1.2 * Math.abs(p.off)), ...curve.map((p) => k * p.u_off));
  const offs = [-1.1 * far, 1.1 * far];
  const x = (v) => left + (v - xs[0]) / (xs[1] - xs[0]) * (right - left);
  const scale = (top, high, [low, most]) => (v) => top + high - (Math.max(low, Math.min(most, v)) - low) / (most - low) * high;
  const y = scale(top, main, ys), below = top + main + gap, off = scale(below, rest, offs);
  const text = (at, up, anchor, words, more) => svg('text', { x: at, y: up, 'text-anchor': anchor, 'font-size': 12, 'font-family': 'sans-serif', fill: c.soft, ...more }, words);
  const frame = (to, [low, high], from, tall) => [
    ...ticks(low, high, tall / 35).flatMap((v) => [svg('path', { d: `M${left} ${to(v)}H${right}`, stroke: c.line, 'stroke-width': 0.5 }), text(left - 6, to(v) + 4, 'end', short(v))]),
    svg('rect', { x: left, y: from, width: right - left, height: tall, fill: 'none', stroke: c.soft, 'stroke-width': 0.8 }),
  ];
  const name = (from, words) => text(left, from - 6, 'start', words, { 'font-weight': 600 });
  const parts = [...new Set(curve.map((p) => p.part))];
  const path = (points, up) => points.map((p, i) => `${i ? 'L' : 'M'}${x(p.x).toFixed(1)} ${up(p).toFixed(1)}`).join('');
  // All bands first: one string's must not hide another's line.
  const of = parts.map((part) => curve.filter((p) => p.part === part));
  const laws = [
    ...of.flatMap((l) => [svg('path', { d: `${path(l, (p) => y(p.y + k * p.u))}${path(l.toReversed(), (p) => y(p.y - k * p.u)).replace('M', 'L')}z`, fill: c.wash }),
      svg('path', { d: `${path(l, (p) => off(k * p.u_off))}${path(l.toReversed(), (p) => off(-k * p.u_off)).replace('M', 'L')}z`, fill: c.wash })]),
    ...of.map((l) => svg('path', { d: path(l, (p) => y(p.y)), fill: 'none', stroke: c.ink, 'stroke-width': 1.4 })),
  ];
  const mark = (p, up, value, u) => {
    const at = x(p.x), level = up(value);
    if (p.aside || !p.fits) return svg('path', { d: `M${at - 5} ${level - 5}l10 10m-10 0l10 -10`, stroke: c.soft, 'stroke-width': 1.8 });
    return svg('g', {}, svg('path', { d: `M${at} ${up(value - k * u)}V${up(value + k * u)}`, stroke: c.deep, 'stroke-width': 1.4 }), svg('circle', { cx: at, cy: level, r: 4, fill: c.sheet, stroke: c.deep, 'stroke-width': 2 }));
  };
  put(place, svg('svg', { viewBox: `0 0 ${wide} ${below + rest + 8}`, role: 'img', 'aria-label': `${title}: ${o.axes.y} against ${o.axes.x}, and what is left over. All numbers are in the table of points.` },
    ...frame(y, ys, top, main), ...(kept.length ? frame(off, offs, below, rest) : []), ...laws,
    kept.length ? svg('path', { d: `M${left} ${off(0)}H${right}`, stroke: c.ink, 'stroke-width': 1.4 }) : null,
    ...ticks(xs[0], xs[1], (right - left) / 90).map((v) => text(x(v), top + main + 16, 'middle', short(v))),
    text(right, top + main + 32, 'end', o.axes.x, { 'font-weight': 600 }),
    name(top, o.axes.y), kept.length ? name(below, o.axes.off) : null,
    ...fits.map((p) => mark(p, y, p.y, p.u_y)), ...kept.map((p) => mark(p, off, p.off, p.u_off)),
    ...(fits.length <= 20 ? fits.map((p) => text(x(p.x) + 6, y(p.y) - 6, 'start', String(p.number), { 'font-size': 11 })) : [])));
}
