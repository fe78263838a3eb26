// One pluck's partials against the law of a stiff string.
import { $, el, svg, put, table, colours, fixed } from '/dom.js';
import { offer } from '/save.js';

export function stringView(model) {
  const chosen = () => model.plucks.find((p) => String(p.number) === model.asked.pluck) || model.plucks.findLast((p) => p.trusted);
  offer(document.querySelector('[data-save=ladder]'), {
    name: 'pluckweigh-partials', title: 'the partials', rows: () => (chosen() ? chosen().ladder : []), json: chosen, drawing: () => $('ladder').querySelector('svg'),
    columns: ['n', 'hz', 'u_hz', 'above_cents', 'law_cents', 'off_cents', 'u_off_cents', 'level_db', 'decay_per_s', 'fades_s'].map((k) => ({ name: k, of: (r) => r[k] })),
  });
  offer(document.querySelector('[data-save=numbers]'), {
    name: 'pluckweigh-string', title: 'the numbers of the string', rows: () => (chosen() && chosen().say ? [chosen()] : []),
    columns: [{ name: 'pluck', of: (p) => p.number }, { name: 'note', of: (p) => p.note }, { name: 'cents', of: (p) => p.cents },
      ...['f0_hz', 'u_f0_hz', 'f1_hz', 'u_f1_hz', 'inharmonicity', 'u_inharmonicity', 'glide_cents', 'snr_db', 'from_s', 'to_s'].map((k) => ({ name: k, of: (p) => p.pluck[k] })),
      { name: 'doubts', of: (p) => p.doubts.map((d) => d.say).join('; ') }],
  });
  $('which').onchange = () => { location.hash = model.link('string', { pluck: $('which').value }).slice(1); };

  // ladder draws three panels side by side, or below each other where it is narrow.
  function ladder(rungs) {
    const c = colours();
    const place = $('ladder');
    const wide = Math.max(280, place.clientWidth || 800), across = wide >= 640 ? 3 : 1;
    const left = 30, gap = 26, room = (wide - left - gap * (across - 1) - 6) / across;
    const top = 24, most = Math.max(...rungs.map((r) => r.n)), step = Math.max(9, Math.min(18, 420 / most));
    const high = top + most * step + 26;
    const text = (x, y, anchor, words, of) => svg('text', { x, y, 'text-anchor': anchor, 'font-size': 12, 'font-family': 'sans-serif', fill: c.soft, ...of }, words);
    const y = (n) => top + (most - n + 0.5) * step;
    const panels = [
      { name: 'above n f0, cents', from: 0, to: Math.max(1, ...rungs.map((r) => Math.max(r.above_cents, r.law_cents))), law: true },
      { name: 'off the law, cents', off: true, to: Math.max(0.05, ...rungs.map((r) => Math.min(Math.abs(r.off_cents) + 2 * r.u_off_cents, 3 * Math.abs(r.off_cents) + 1))) },
      { name: 'fades by 60 dB in, s', from: 0, to: Math.max(0.1, ...rungs.map((r) => r.fades_s || 0)), fades: true },
    ];
    const drawn = panels.flatMap((p, i) => {
      const x0 = left + (across === 3 ? i * (room + gap) : 0), up = across === 3 ? 0 : i * high;
      const from = p.off ? -p.to : 0;
      const x = (v) => x0 + (Math.max(from, Math.min(p.to, v)) - from) / (p.to - from) * room;
      const parts = [text(x0, up + 14, 'start', p.name, { 'font-weight': 600 }),
        svg('path', { d: `M${x(0)} ${up + top}V${up + high - 22}`, stroke: c.soft, 'stroke-width': 1 }),
        ...[from, (from + p.to) / 2, p.to].map((v, k) => text(x(v), up + high - 8, ['start', 'middle', 'end'][k], fixed(v, p.to < 1 ? 2 : p.to < 10 ? 1 : 0)))];
      if (p.law) {
        parts.push(svg('path', { fill: 'none', stroke: c.ink, 'stroke-width': 1.4, d: rungs.map((r, k) => `${k ? 'L' : 'M'}${x(r.law_cents).toFixed(1)} ${(up + y(r.n)).toFixed(1)}`).join('') }));
      }
      for (const r of rungs) {
        const at = up + y(r.n);
        if (i === 0 || across === 1) {
          const every = step < 12 ? 5 : 1;
          if (r.n === 1 || r.n % every === 0) parts.push(text(x0 - 6, at + 4, 'end', String(r.n)));
        }
        if (p.law) {
          parts.push(svg('path', { d: `M${x(0)} ${at}H${x(r.above_cents)}`, stroke: c.line, 'stroke-width': 1 }),
            svg('circle', { cx: x(r.above_cents), cy: at, r: Math.min(4, step / 2.5), fill: c.sheet, stroke: c.deep, 'stroke-width': 2 }));
        } else if (p.off) {
          parts.push(svg('path', { d: `M${x(r.off_cents - 2 * r.u_off_cents)} ${at}H${x(r.off_cents + 2 * r.u_off_cents)}`, stroke: c.deep, 'stroke-width': 1.6 }),
            svg('circle', { cx: x(r.off_cents), cy: at, r: Math.min(3, step / 3), fill: c.deep }));
        } else if (r.fades_s) {
          parts.push(svg('path', { d: `M${x(0)} ${at}H${x(r.fades_s)}`, stroke: c.deep, 'stroke-width': Math.max(2, step / 2.5) }));
        }
      }
      return parts;
    });
    put(place, svg('svg', { viewBox: `0 0 ${wide} ${across === 3 ? high : 3 * high}`, role: 'img', 'aria-label': 'The partials against the law of a stiff string. All numbers are in the table of partials.' }, ...drawn));
  }

  function draw() {
    const p = chosen();
    put($('which'), ...model.plucks.map((q) => el('option', { value: q.number, selected: q === p }, `${q.number}${q.say ? ', ' + q.say.note : ', not trusted'}`)));
    $('which').disabled = !model.plucks.length;
    if (!p || !p.say) {
      put($('numbers'), el('dd', {}, p ? 'This pluck cannot be trusted: ' + p.doubts.map((d) => d.say).join('; ') : 'No pluck has been heard yet that can be trusted.'));
      put($('ladder'));
      put($('partials'));
      return;
    }
    const rows = [['note', p.say.note], ['f0', p.say.f0], ['first partial', p.say.f1], ['inharmonicity B', p.say.inharmonicity], ['glide', p.say.glide], ['signal to noise', p.say.snr],
      ['measured', `from ${fixed(p.pluck.from_s, 2)} to ${fixed(p.pluck.to_s, 2)} s`], ['doubts', p.doubts.map((d) => d.say).join('; ') || 'none']];
    put($('numbers'), ...rows.flatMap(([k, v]) => [el('dt', {}, k), el('dd', {}, v)]));
    ladder(p.ladder);
    put($('partials'), table('Uncertainties of partials are standard ones (k = 1)', [
      { head: 'n', n: true, cell: (r) => String(r.n) },
      { head: 'heard', n: true, cell: (r) => r.say_hz },
      { head: 'above n f0, cents', n: true, cell: (r) => fixed(r.above_cents, 2) },
      { head: 'law, cents', n: true, cell: (r) => fixed(r.law_cents, 2) },
      { head: 'off the law', n: true, cell: (r) => r.say_off },
      { head: 'level, dB', n: true, cell: (r) => fixed(r.level_db, 1) },
      { head: 'decay, 1/s', n: true, cell: (r) => fixed(r.decay_per_s, 2) },
      { head: 'fades by 60 dB in', n: true, cell: (r) => (r.fades_s ? fixed(r.fades_s, 1) + ' s' : '–') },
    ], p.ladder));
  }

  return { draw };
}
