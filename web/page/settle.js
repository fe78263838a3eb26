// The pitch of one string over minutes to days.
import { $, el, svg, put, say, table, colours, fixed } from '/dom.js';
import { offer } from '/save.js';
import { taskForm, lines, list, cautions } from '/task.js';
import { ticks } from '/plot.js';

export function settleView(model, changed) {
  let now = null;
  const form = taskForm($('settle-form'), $('settle-fields'), [
    { key: 'watch', field: 'session', name: 'Kept as', example: 'a name, or by the date', says: 'A session that there is goes on.' },
    { key: 'within', name: 'To stay within', example: '1cent' },
    { key: 'for', name: 'for', example: '60min' },
    { key: 'temperature', name: 'Temperature now', example: '21.5°C, if known' },
    { key: 'warmth', name: 'What warmth does to it', example: '-2.1cents/K±0.3cents/K', says: 'whatif works it out from what the string is' },
    { key: 'event', name: 'Something was done to it at', example: '2026-11-28 14:02', says: 'playing, bends, a new tuning: what follows is told by itself' },
  ], model, 'settle', changed);

  $('settle-now').onclick = () => {
    const t = new Date(), two = (n) => String(n).padStart(2, '0');
    form.set('event', `${t.getFullYear()}-${two(t.getMonth() + 1)}-${two(t.getDate())} ${two(t.getHours())}:${two(t.getMinutes())}:${two(t.getSeconds())}`);
    changed();
  };
  offer(document.querySelector('[data-save=settle]'), {
    name: 'pluckweigh-settle', title: 'the course', rows: () => (now && now.data ? now.data.readings : []), json: () => now && now.data, drawing: () => $('settle-plot').querySelector('svg'),
    columns: ['at_s', 'cents', 'u_cents', 'level_cents', 'law_cents', 'weight', 'odd', 'temperature_c'].map((k) => ({ name: k, of: (r) => (typeof r[k] === 'boolean' ? String(r[k]) : r[k]) })),
  });

  offer(document.querySelector('[data-save=settle-said]'), {
    name: 'pluckweigh-settle-words', title: 'what the course says in words', rows: () => (now ? [['verdict', $('settle-told').textContent], ['move', now.move], ...now.rows.map((l) => ['result', l.name + ': ' + l.say]), ...now.laws.map((l) => [`law, weight ${l.weight}`, `${l.law}: ${l.formula}`]), ...now.doubts.map((t) => ['doubt', t])].filter((r) => r[1]) : []),
    columns: ['kind', 'says'].map((k, i) => ({ name: k, of: (r) => r[i] })),
  });

  const told = () => ({ near: '', settle: { session: form.value('watch'), ...Object.fromEntries(['within', 'for', 'temperature', 'warmth', 'event'].map((k) => [k, form.value(k)])) } });

  function message(m) {
    now = m;
    if (m.session && m.session !== form.value('watch')) {
      form.set('watch', m.session);
      changed();
    }
    if (!$('settle').hidden) draw();
  }

  function plot() {
    const place = $('settle-plot'), o = now && now.course;
    if (!o) {
      put(place);
      return;
    }
    const c = colours(), k = o.k;
    const wide = Math.max(280, place.clientWidth || 700), high = Math.min(340, 0.7 * wide), left = 62, right = wide - 12, top = 24, floor = high - 40;
    const fits = o.points.filter((p) => !p.odd);
    const xs = [...o.points.map((p) => p.x), ...o.law.map((p) => p[0])], from = Math.min(...xs), to = Math.max(...xs, from + 1e-6);
    const seen = o.law.filter((p) => o.ahead === null || p[0] <= o.ahead);
    const ys = [...fits.flatMap((p) => [p.y - k * p.u, p.y + k * p.u]), ...seen.flatMap((p) => [p[1] - k * p[2], p[1] + k * p[2]]), ...o.law.map((p) => p[1])];
    const spare = Math.max(0.06 * (Math.max(...ys) - Math.min(...ys)), 0.05), low = Math.min(...ys) - spare, most = Math.max(...ys) + spare;
    const x = (v) => left + (v - from) / (to - from) * (right - left), y = (v) => floor - (Math.max(low, Math.min(most, v)) - low) / (most - low) * (floor - top);
    const text = (at, up, anchor, words, more) => svg('text', { x: at, y: up, 'text-anchor': anchor, 'font-size': 12, 'font-family': 'sans-serif', fill: c.soft, ...more }, words);
    const path = (points, of) => points.map((p, i) => `${i ? 'L' : 'M'}${x(p[0]).toFixed(1)} ${y(of(p)).toFixed(1)}`).join('');
    const coming = o.ahead === null ? [] : o.law.filter((p) => p[0] >= o.ahead);
    const upright = (at, words, dash) => [svg('path', { d: `M${x(at)} ${top}V${floor}`, stroke: c.soft, 'stroke-width': 1, 'stroke-dasharray': dash }), text(x(at) + (x(at) > right - 90 ? -4 : 4), top + 12, x(at) > right - 90 ? 'end' : 'start', words)];
    put(place, svg('svg', { viewBox: `0 0 ${wide} ${high}`, role: 'img', 'aria-label': `${o.y} against ${o.x}. What it says is in words above, and all numbers can be kept as CSV.` },
      text(left, 14, 'start', o.y, { 'font-weight': 600 }), text(right, high - 6, 'end', o.x, { 'font-weight': 600 }),
      ...ticks(low, most, 6).flatMap((v) => [svg('path', { d: `M${left} ${y(v)}H${right}`, stroke: c.line, 'stroke-width': 0.5 }), text(left - 6, y(v) + 4, 'end', fixed(v, v % 1 ? (Math.abs(most - low) < 0.5 ? 2 : 1) : 0))]),
      ...ticks(from, to, Math.max(2, wide / 120)).map((v) => text(x(v), floor + 16, 'middle', String(Number(v.toPrecision(6))))),
      o.law.length ? svg('path', { d: `${path(o.law, (p) => p[1] + k * p[2])}${path(o.law.toReversed(), (p) => p[1] - k * p[2]).replace('M', 'L')}z`, fill: c.wash }) : null,
      svg('path', { d: path(seen, (p) => p[1]) || 'M0 0', fill: 'none', stroke: c.ink, 'stroke-width': 1.4 }),
      svg('path', { d: path(coming, (p) => p[1]) || 'M0 0', fill: 'none', stroke: c.ink, 'stroke-width': 1.4, 'stroke-dasharray': '6 4' }),
      ...o.steps.flatMap((s) => upright((s.from + s.to) / 2, s.name, '2 4')), ...(o.mark === null ? [] : upright(o.mark, 'event', '6 3')),
      ...o.points.map((p) => (p.odd ? svg('path', { d: `M${x(p.x) - 5} ${y(p.y) - 5}l10 10m-10 0l10 -10`, stroke: c.soft, 'stroke-width': 1.8 })
        : svg('g', {}, svg('path', { d: `M${x(p.x)} ${y(p.y - k * p.u)}V${y(p.y + k * p.u)}`, stroke: c.deep, 'stroke-width': 1.4 }), svg('circle', { cx: x(p.x), cy: y(p.y), r: 3.5, fill: c.sheet, stroke: c.deep, 'stroke-width': 1.8 }))))));
  }

  function draw() {
    form.read();
    cautions($('settle-caution'), now && now.caution);
    const w = now && now.waiting;
    say($('settle-told'), !now ? '' : w.say ? w.say + (w.hint ? ': ' + w.hint : '') + '.' : `Within ${now.asked}: ${now.verdict}`);
    say($('settle-move'), now ? now.move : '');
    put($('settle-rows'), ...(now ? lines(now.rows) : []));
    plot();
    put($('settle-laws'), now && now.laws.length ? table('What each law would be, and how likely it is; t from the first reading; k = 2', [
      { head: 'law', cell: (l) => l.law }, { head: 'weight', n: true, cell: (l) => fixed(100 * l.weight, 0) + ' %' }, { head: 'as', cell: (l) => l.formula },
    ], now.laws) : el('p', {}, 'Three readings are worth beginning with.'));
    list($('settle-doubts'), now ? now.doubts : [], 'None.');
  }

  return { draw, enter: draw, told, message, troubles: (all) => form.troubles(all) };
}
