// All strings of an instrument, plucked in any order.
import { $, el, svg, put, say, table, colours } from '/dom.js';
import { offer } from '/save.js';
import { taskForm, lines, list, cautions } from '/task.js';
import { ticks } from '/plot.js';

const STATES = { open: 'to be plucked', heard: 'heard, pluck it again', good: 'done' };

export function surveyView(model, bench, changed) {
  let now = null;
  const form = taskForm($('survey-form'), $('survey-fields'), [
    { key: 'instrument', name: 'Instrument', kind: 'choice' },
    { key: 'session', name: 'Kept as', example: 'a name, or by the date', says: 'A session that there is goes on.' },
    { key: 'good', name: 'Good is ±', example: '1cent', says: 'k = 2, to be ticked off' },
    { key: 'out', name: 'Out of tune by at most', example: '1semitone' },
    { key: 'down', more: true, name: 'All tuned lower by', example: '2semitones, if they are' },
    { key: 'position', more: true, name: 'Plucks are of position', example: 'as they are recognised' },
    { key: 'held', more: true, field: 'ends', name: 'Ends of the strings', kind: 'choice', options: [['', 'not known'], ['pinned', 'pinned: they lie on an edge and can tilt'], ['clamped', 'clamped: they cannot']] },
    { key: 'clip', more: true, name: 'Clip at the middle of strings not known', example: '0.5g±0.002g, if there is one' },
    { key: 'pull', more: true, name: 'Each is to pull', example: '160N, or one for each' },
    { key: 'slope', more: true, name: 'From the lowest to the highest', example: '180N:150N' },
    { key: 'even', more: true, name: 'All are to pull alike', kind: 'check' },
    { key: 'order', more: true, name: 'Strings of one note in their order', kind: 'check' },
  ], model, 'survey', () => {
    if (now && now.data.instrument !== form.value('instrument')) now = null;
    changed();
  });

  offer(document.querySelector('[data-save=survey]'), {
    name: 'pluckweigh-survey', title: 'the survey', rows: () => (now ? now.data.strings : []), json: () => now && now.data, drawing: () => $('survey-plot').querySelector('svg'),
    columns: ['position', 'note', 'string', 'plucks', 'good', 'f0_hz', 'u_f0_hz', 'f1_hz', 'u_f1_hz', 'inharmonicity', 'u_inharmonicity', 'cents', 'u_cents', 'kg_per_m', 'u_kg_per_m',
      'tension_newton', 'u_tension_newton', 'at_pitch_newton', 'u_at_pitch_newton', 'wanted_newton'].map((k) => ({ name: k, of: (s) => (typeof s[k] === 'boolean' ? String(s[k]) : s[k]) })),
  });

  offer(document.querySelector('[data-save=survey-said]'), {
    name: 'pluckweigh-survey-words', title: 'what the survey says in words', rows: () => (now ? [...now.totals.map((l) => ['total', l.name + ': ' + l.say]), ...now.mend.map((t) => ['to mend', t]), ...now.open.map((t) => ['open', t])] : []),
    columns: ['kind', 'says'].map((k, i) => ({ name: k, of: (r) => r[i] })),
  });

  // told is what goes to whoever hears.
  function told() {
    const v = form.value;
    if (!v('instrument')) return {};
    const survey = Object.fromEntries(['instrument', 'session', 'good', 'out', 'down', 'position', 'clip', 'pull', 'slope'].map((k) => [k, v(k)]));
    return { near: '', survey: { ...survey, ends: v('held'), in_order: !!v('order'), even: !!v('even') } };
  }

  function message(m) {
    const first = !now;
    now = m;
    if (m.session && m.session !== form.value('session')) {
      form.set('session', m.session);
      changed();
    }
    say($('survey-told'), m.latest || (m.data.plucks ? `Continuing: ${m.done}.` : ''));
    if (first || !$('survey').hidden) draw();
  }

  // plot lays the pulls out by position.
  function plot() {
    const place = $('survey-plot');
    const pulled = now ? now.data.strings.filter((s) => s.tension_newton !== null) : [];
    if (!pulled.length) {
      put(place);
      return;
    }
    const c = colours(), all = now.data.strings;
    const wide = Math.max(280, place.clientWidth || 700), high = 260, left = 62, right = wide - 12, top = 24, floor = high - 28;
    const ends = pulled.flatMap((s) => [s.tension_newton - 2 * s.u_tension_newton, s.tension_newton + 2 * s.u_tension_newton, s.at_pitch_newton - 2 * s.u_at_pitch_newton, s.at_pitch_newton + 2 * s.u_at_pitch_newton])
      .concat(all.map((s) => s.wanted_newton).filter((v) => v !== null));
    const spare = 0.08 * (Math.max(...ends) - Math.min(...ends)) || 1, low = Math.min(...ends) - spare, most = Math.max(...ends) + spare;
    const x = (i) => left + (i + 0.5) / all.length * (right - left), y = (v) => floor - (v - low) / (most - low) * (floor - top);
    const text = (at, up, anchor, words, more) => svg('text', { x: at, y: up, 'text-anchor': anchor, 'font-size': 12, 'font-family': 'sans-serif', fill: c.soft, ...more }, words);
    const bar = (at, v, u) => svg('path', { d: `M${at} ${y(v - 2 * u)}V${y(v + 2 * u)}`, stroke: c.deep, 'stroke-width': 1.6 });
    const apart = Math.min(9, (right - left) / all.length / 6);
    put(place, svg('svg', { viewBox: `0 0 ${wide} ${high}`, role: 'img', 'aria-label': 'Pulls by position, as found and at pitch. All numbers are in the table of strings.' },
      text(left, 14, 'start', 'pull, N', { 'font-weight': 600 }),
      ...ticks(low, most, 5).flatMap((v) => [svg('path', { d: `M${left} ${y(v)}H${right}`, stroke: c.line, 'stroke-width': 0.5 }), text(left - 6, y(v) + 4, 'end', String(v))]),
      ...all.flatMap((s, i) => [text(x(i), high - 10, 'middle', now.rows[i].place),
        s.wanted_newton !== null ? svg('path', { d: `M${x(i) - 2.4 * apart} ${y(s.wanted_newton)}h${4.8 * apart}`, stroke: c.ink, 'stroke-width': 2, 'stroke-dasharray': '5 3' }) : null,
        ...(s.tension_newton === null ? [text(x(i), floor - 6, 'middle', '–')] : [
          bar(x(i) - apart, s.tension_newton, s.u_tension_newton), svg('circle', { cx: x(i) - apart, cy: y(s.tension_newton), r: 4.5, fill: c.sheet, stroke: c.deep, 'stroke-width': 2 }),
          bar(x(i) + apart, s.at_pitch_newton, s.u_at_pitch_newton), svg('circle', { cx: x(i) + apart, cy: y(s.at_pitch_newton), r: 4.5, fill: c.deep })])])));
  }

  async function draw() {
    form.read();
    const owned = await bench.owned();
    if (owned && owned.instruments) {
      const have = owned.instruments.map((x) => [x.instrument, x.instrument]);
      form.choices('instrument', [['', have.length ? 'choose one' : 'none is in stock'], ...have]);
    }
    cautions($('survey-caution'), now && now.caution);
    const rows = now ? now.rows : [];
    say($('survey-done'), now ? `${now.done}; ${now.wanted}.` : form.value('instrument') ? '' : 'Choose an instrument. `pluckweigh stock add tenor --position 34in:A1 ...` puts one in stock.');
    const wish = rows.some((r) => r.wish), weights = rows.some((r) => r.unit_weight);
    put($('survey-rows'), rows.length ? table('± with k = 2', [
      { head: 'position', cell: (r) => r.place },
      { head: 'is', cell: (r) => (r.state === 'good' ? '✓ ' : '') + STATES[r.state] + (r.plucks ? `, ${r.plucks === 1 ? '1 pluck' : r.plucks + ' plucks'}` : '') },
      { head: 'cents off', n: true, cell: (r) => r.cents || '–' }, { head: 'pulls as found', n: true, cell: (r) => r.pulls || '–' }, { head: 'at pitch', n: true, cell: (r) => r.at_pitch || '–' },
      ...(wish ? [{ head: 'wish', n: true, cell: (r) => r.wish }] : []), ...(weights ? [{ head: 'weighs, by the clip', n: true, cell: (r) => r.unit_weight || '–' }] : []),
      { head: 'string', cell: (r) => r.string || 'not known' }, { head: 'doubts', cell: (r) => r.doubts.join('; ') || '–' },
    ], rows) : el('p', {}, 'None yet.'));
    plot();
    put($('survey-totals'), ...(now ? lines(now.totals) : []));
    list($('survey-mend'), now ? now.mend : [], now && now.data.plucks ? 'Nothing.' : 'Nothing has been heard yet.');
    list($('survey-open'), now ? now.open : [], 'No pluck is open.');
  }

  return { draw, enter: draw, told, message, troubles: (all) => {
    form.troubles(all);
    if (all['survey-instrument'] || all['survey-session']) {
      now = null;
      draw();
    }
  } };
}
