// What is heard at the moment, and the pull.
import { $, el, svg, put, say, table, colours, fixed } from '/dom.js';
import { offer } from '/save.js';

const SPAN = 20; // s that the strip shows
const KEPT = 6000; // signs of life that can be kept, ten minutes
const REACH = 50; // cents that it shows to either side
const BY = ['length', 'unit_weight', 'ends']; // what a pull is worked out with
const by = (of) => BY.map((k) => ({ name: k, of: (p) => of(p)[k] }));
const SURE = 4; // signs of life in which a pitch lies elsewhere before the strip follows it

export function nowView(model) {
  const signs = [];
  let centre = null; // {note, hz} that the strip lies about
  let drawn = 0, astray = 0;
  const still = matchMedia('(prefers-reduced-motion: reduce)');

  offer(document.querySelector('[data-save=strip]'), {
    name: 'pluckweigh-strip', title: 'the strip', rows: () => signs, json: () => signs, drawing: () => $('strip').querySelector('svg'),
    columns: ['seconds', 'level_db', 'hz', 'note', 'cents'].map((k) => ({ name: k, of: (s) => s[k] })),
  });
  offer(document.querySelector('[data-save=plucks]'), {
    name: 'pluckweigh-plucks', title: 'the plucks', rows: () => model.plucks, json: () => model.plucks,
    columns: [
      { name: 'pluck', of: (p) => p.number }, { name: 'start_s', of: (p) => p.pluck.start_s }, { name: 'trusted', of: (p) => String(p.trusted) },
      { name: 'note', of: (p) => p.note }, { name: 'cents', of: (p) => p.cents },
      ...['f0_hz', 'u_f0_hz', 'f1_hz', 'u_f1_hz', 'inharmonicity', 'u_inharmonicity', 'glide_cents', 'snr_db'].map((k) => ({ name: k, of: (p) => p.pluck[k] })),
      { name: 'newton', of: (p) => p.pull && p.pull.tension && p.pull.tension.newton }, { name: 'u_newton', of: (p) => p.pull && p.pull.tension && p.pull.tension.u_newton }, ...by((p) => (p.pull ? p.by : {})),
      { name: 'doubts', of: (p) => p.doubts.map((d) => d.say).join('; ') },
    ],
  });

  offer(document.querySelector('[data-save=together]'), {
    name: 'pluckweigh-together', title: 'the plucks taken together', rows: () => (model.together ? [model.together] : []), json: () => model.together,
    columns: [
      { name: 'plucks', of: (t) => numbers(t).join(' ') }, ...['note', 'cents', 'f0_hz', 'u_f0_hz', 'f1_hz', 'u_f1_hz', 'inharmonicity', 'u_inharmonicity'].map((k) => ({ name: k, of: (t) => t.reading && t.reading[k] })),
      ...['newton', 'u_newton'].map((k) => ({ name: k, of: (t) => t.pull && t.pull.tension && t.pull.tension[k] })), ...by(() => model.fields()),
      { name: 'doubts', of: (t) => t.doubts.map((d) => d.say).join('; ') },
    ],
  });
  offer(document.querySelector('[data-save=budget]'), {
    name: 'pluckweigh-budget', title: 'what the ± comes from', rows: () => (model.pull && model.pull.tension ? model.pull.tension.budget : []), json: () => model.pull,
    columns: ['input', 'share', 'u', 'sensitivity', 'degrees_of_freedom', 'assumed', 'say'].map((k) => ({ name: k, of: (t) => (typeof t[k] === 'boolean' ? String(t[k]) : t[k]) })),
  });

  // numbers are those of the plucks that are taken together.
  function numbers(t) {
    return t.ids.map((id) => model.plucks.find((p) => p.id === id)).filter(Boolean).map((p) => p.number);
  }

  // together shows what plucks of one string say together.
  function together() {
    const t = model.together;
    if (!t) {
      put($('together'), el('dd', {}, 'At least two plucks of one string, each to its end, are taken together.'));
      return;
    }
    const rows = [['plucks', numbers(t).join(', ')], ['note', t.note || '–'], ['f0', t.f0 || '–'], ['inharmonicity B', t.inharmonicity || '–'],
      ['pull', t.pull ? t.pull.say || t.pull.trouble.say : t.f0 ? 'type length and unit weight to be told' : '–'], ['doubts', t.doubts.map((d) => (d.fatal ? 'not trusted: ' : '') + d.say).join('; ') || 'none']];
    put($('together'), ...rows.flatMap(([k, v]) => [el('dt', {}, k), el('dd', {}, v)]));
  }

  // leave has a pluck left out of that, or taken in again.
  function leave(p) {
    const out = model.apart.has(p.id), words = out ? 'Count again' : 'Leave out';
    const b = el('button', { type: 'button', class: 'plain', 'aria-label': `${words} pluck ${p.number}`, 'data-place': 'leave' + p.number }, words);
    b.onclick = () => model.leave(p.id);
    return b;
  }

  function sign(s) {
    signs.push(s);
    if (signs.length > KEPT) signs.shift();
    if (s.hz && centre && Math.abs(1200 * Math.log2(s.hz / centre.hz)) <= REACH) astray = 0;
    else if (s.hz && (!centre || ++astray >= SURE)) {
      centre = { note: s.note, hz: s.hz / 2 ** (s.cents / 1200) };
      astray = 0;
    }
    if ($('now').hidden || performance.now() - drawn < (still.matches ? 1000 : 90)) return;
    drawn = performance.now();
    strip();
    say($('level'), `Level ${fixed(s.level_db, 0)} dB of full scale.`);
  }

  // strip draws pitch over time about the note, and the level as a band below.
  function strip() {
    const c = colours();
    const place = $('strip');
    const wide = Math.max(280, place.clientWidth || 600), high = 190, top = 12, pitchHigh = 120, left = 58, right = wide - 8;
    const last = signs.length ? signs[signs.length - 1].seconds : 0;
    const x = (t) => right - (last - t) / SPAN * (right - left);
    const y = (cents) => top + (REACH - cents) / (2 * REACH) * pitchHigh;
    const text = (at, up, anchor, words) => svg('text', { x: at, y: up, 'text-anchor': anchor, 'font-size': 12, 'font-family': 'sans-serif', fill: c.soft }, words);
    const shown = signs.filter((s) => last - s.seconds <= SPAN);
    let path = '', level = '', on = false;
    const floor = high - 6, roof = top + pitchHigh + 22;
    for (const s of shown) {
      const at = x(s.seconds).toFixed(1);
      const cents = s.hz && centre ? 1200 * Math.log2(s.hz / centre.hz) : null;
      if (cents === null || Math.abs(cents) > REACH) on = false;
      else {
        path += `${on ? 'L' : 'M'}${at} ${y(cents).toFixed(1)}${on ? '' : 'h1'}`;
        on = true;
      }
      level += `L${at} ${(floor - Math.max(0, Math.min(1, 1 + s.level_db / 60)) * (floor - roof)).toFixed(1)}`;
    }
    const first = shown.length ? x(shown[0].seconds).toFixed(1) : right;
    const lines = [-REACH, -REACH / 2, 0, REACH / 2, REACH].map((v) => svg('path', {
      d: `M${left} ${y(v)}H${right}`, stroke: v ? c.line : c.soft, 'stroke-width': v ? 0.6 : 1.2, 'stroke-dasharray': v ? '2 4' : null,
    }));
    const here = model.plucks.filter((p) => p.run === model.run && last - p.pluck.start_s <= SPAN);
    const marks = here.map((p, i) => {
      const at = x(p.pluck.start_s), room = (here[i + 1] ? x(here[i + 1].pluck.start_s) : right + 8) - at;
      return svg('g', {}, svg('path', { d: `M${at.toFixed(1)} ${top}V${floor}`, stroke: c.soft, 'stroke-width': 1 }),
        room > 14 ? text(at + 4, top + pitchHigh + 14, 'start', (room > 60 ? 'pluck ' : '') + p.number) : null);
    });
    put(place, svg('svg', { viewBox: `0 0 ${wide} ${high}`, role: 'img', 'aria-label': 'Pitch and level over the last 20 seconds. What came of each pluck is in the table of plucks.' },
      ...lines, text(left - 6, y(REACH) + 5, 'end', `+${REACH} c`), text(left - 6, y(0) + 4, 'end', centre ? centre.note : 'pitch'), text(left - 6, y(-REACH) + 3, 'end', `−${REACH} c`),
      text(left - 6, floor, 'end', 'level'),
      svg('path', { d: level ? `M${first} ${floor}${level}V${floor}z` : 'M0 0', fill: c.wash, stroke: c.soft, 'stroke-width': 0.8 }),
      ...marks,
      svg('path', { d: path || 'M0 0', fill: 'none', stroke: c.deep, 'stroke-width': 2.6, 'stroke-linejoin': 'round', 'stroke-linecap': 'round' })));
  }

  function doubt(d) {
    return el('li', {}, (d.fatal ? 'Not trusted: ' : '') + d.say, d.hint ? el('span', { class: 'hint' }, ' – ' + d.hint) : null);
  }

  function plucks() {
    const last = model.plucks[model.plucks.length - 1], fields = model.fields();
    // same tells whether a pull goes by what is typed now.
    const same = (p) => BY.every((k) => (p.by || {})[k] === fields[k]);
    const pull = model.pull && same(model.pull) ? model.pull : null;
    say($('pull'), pull && pull.say || '–');
    say($('note'), last && last.say ? last.say.note : '–');
    say($('f0'), last && last.say ? last.say.f0 : '–');
    let why = '';
    if (last && !last.trusted) why = 'The last pluck cannot be trusted; see the doubts.';
    if (pull && last && pull.number !== last.number) why += ` The pull is that of pluck ${pull.number}.`;
    if (pull && pull.trouble) why += ` ${pull.trouble.say}. ${pull.trouble.hint || ''}`;
    if (!pull && model.pull) why += ' What is typed is another by now: pluck again to be told the pull.';
    else if (last && last.trusted && !pull) why = 'Type the speaking length and the unit weight to be told the pull.';
    if (pull) why += ' ' + pull.remarks.join('; ');
    say($('pull-why'), why.trim());

    const doubts = [...(model.doubts || []).map((d) => ({ say: d })), ...(last ? last.doubts : [])];
    put($('doubts'), ...(doubts.length ? doubts.map(doubt) : [el('li', {}, last ? 'None.' : 'Nothing has been heard yet.')]));

    const terms = pull && pull.tension ? pull.tension.budget : [];
    put($('budget'), terms.length ? table('Each input with its standard uncertainty (k = 1), and its share of the variance', [
      { head: 'input', cell: (t) => t.input }, { head: 'share', n: true, cell: (t) => fixed(100 * t.share, 0) + ' %' },
      { head: 'known to', cell: (t) => t.say + (t.assumed ? ', assumed: nobody stated it' : '') },
    ], terms) : el('p', {}, 'Type length and unit weight, and pluck.'),
    pull && pull.better.length ? el('ul', {}, ...pull.better.map((b) => el('li', {}, b))) : null);
    document.querySelector('[data-save=budget]').hidden = !terms.length;

    put($('plucks'), model.plucks.length ? table('The newest first', [
      { head: 'pluck', cell: (p) => el('a', { href: model.link('string', { pluck: p.number }) }, String(p.number)) },
      { head: 'together', cell: (p) => (p.id ? leave(p) : '–') },
      { head: 'at', n: true, cell: (p) => fixed(p.pluck.start_s, 1) + ' s' },
      { head: 'note', cell: (p) => (p.say ? p.say.note + (p.ringing ? ', still ringing' : '') : 'not trusted') },
      { head: 'f0', cell: (p) => (p.say ? p.say.f0 : p.doubts.length ? p.doubts[0].say : '–') },
      { head: 'pull', cell: (p) => (p.pull && p.pull.say ? p.pull.say + (same(p) ? '' : `, by ${BY.map((k) => (p.by || {})[k]).filter(Boolean).join(', ')}`) : '–') },
    ], model.plucks.toReversed()) : el('p', {}, 'None yet: listen, pluck the string once, and let it ring.'));
    together();
    strip();
  }

  return { sign, draw: plucks, forget: () => { signs.length = 0; centre = null; } };
}
