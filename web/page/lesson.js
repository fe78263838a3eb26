// Guided experiments: what to do, the points as they come, the law through them, a verdict.
import { $, el, put, say, table, fixed } from '/dom.js';
import { offer, keep } from '/save.js';
import { plot } from '/plot.js';

export function lessonView(model, ear, changed) {
  let all = null, of = null, points = [], judged = null;
  const store = () => 'lesson ' + of.lesson;

  async function load() {
    try {
      all = (await (await fetch('/lessons.json')).json()).map((l) => ({ ...l, ...Object.fromEntries(['steps', 'cautions', 'x', 'givens'].map((k) => [k, l[k] || []])) }));
    } catch {
      say($('lesson-told'), 'The lessons could not be asked for.');
      return;
    }
    put($('lesson'), ...all.map((l) => el('option', { value: l.lesson }, l.title)));
    choose();
    changed();
  }

  function choose() {
    const l = all.find((l) => l.lesson === model.asked.lesson) || all[0];
    if (l === of) {
      for (const e of $('lesson-form').querySelectorAll('input')) {
        const v = model.asked[e.id] || '';
        if (e !== document.activeElement && e.value !== v) e.value = v;
      }
      return;
    }
    of = l;
    $('lesson').value = l.lesson;
    try {
      points = JSON.parse(sessionStorage.getItem(store())) || [];
    } catch {
      points = [];
    }
    judged = null;
    about();
    judge();
  }

  // place is a field with a label and what is told of it.
  function place(id, axis, value) {
    const label = axis.name + (axis.optional ? ', if known' : '');
    return el('p', {}, el('label', { for: id }, label), el('input', { id, value, placeholder: axis.example, 'aria-describedby': id + '-told', spellcheck: 'false', maxlength: 200 }),
      el('span', { id: id + '-told', class: 'told' }, axis.says || ''));
  }
  const asked = () => of.x.filter((a) => !a.heard);

  function about() {
    put($('lesson-about'), el('p', { class: 'question' }, of.question),
      el('h3', {}, 'What to do'), el('ol', {}, ...of.steps.map((s) => el('li', {}, s))),
      ...(of.cautions.length ? [el('div', { class: 'note' }, ...of.cautions.map((c) => el('p', {}, c)))] : []),
      el('h3', {}, 'What is expected'), el('p', {}, of.law), el('p', { class: 'told' }, of.source));
    const once = of.givens.map((g, i) => place('g' + i, g, model.asked['g' + i] || ''));
    put($('lesson-givens'), ...(once.length ? [el('h3', {}, 'Told once'), el('div', { class: 'fields' }, ...once)] : []));
    const each = asked().map((a, i) => place('x' + i, a, model.asked['x' + i] || ''));
    put($('lesson-asked'), ...(each.length ? [el('h3', {}, 'Told with each pluck'), el('div', { class: 'fields' }, ...each)] : []));
    put($('lesson-hand'), ...of.x.map((a, i) => place('hx' + i, a, '')), place('hy', of.y, ''));
  }

  // told are the texts that go to whoever hears.
  const told = () => (of ? { lesson: of.lesson, x: asked().map((a, i) => $('x' + i).value.trim()) } : {});
  const givens = () => Object.fromEntries(of.givens.map((g, i) => [g.name, $('g' + i).value.trim()]).filter(([, v]) => v));

  function judge() {
    try {
      sessionStorage.setItem(store(), JSON.stringify(points));
    } catch { /* they are kept while the page is there */ }
    ear.say({ judge: { lesson: of.lesson, points, givens: givens() } });
    draw();
  }

  function add(more) {
    if (of.many) points = []; // a take has them all
    points.push(...more);
    judge();
  }

  function heard(p) {
    if (p.no_point) say($('lesson-told'), `Pluck ${p.number} gives no point: ${p.no_point.say}${p.no_point.hint ? ' – ' + p.no_point.hint : ''}`);
    if (!p.points || !of) return;
    say($('lesson-told'), `Pluck ${p.number} is ${p.points.length === 1 ? 'a point' : p.points.length + ' points'}.`);
    add(p.points.map((q) => ({ ...q, from: q.from.replace(/^heard/, 'pluck ' + p.number) })));
  }

  function message(m) {
    if (m.judged) {
      judged = m.judged;
      judged.outcome.points ||= [];
      if (of && judged.outcome.lesson === of.lesson) {
        of.givens.forEach((g, i) => mark('g' + i, judged.troubles[g.name], g.says));
        draw();
      }
    } else if (m.point) {
      of.x.forEach((a, i) => mark('hx' + i, null, a.says));
      mark('hy', null, '');
      add([m.point]);
    } else if (m.point_troubles) {
      of.x.forEach((a, i) => mark('hx' + i, m.point_troubles['x' + i], a.says));
      mark('hy', m.point_troubles.y || m.point_troubles.lesson, '');
    }
  }

  function mark(id, t, otherwise) {
    $(id).setAttribute('aria-invalid', t ? 'true' : 'false');
    say($(id + '-told'), t ? t.say + (t.hint ? ' – ' + t.hint : '') : otherwise || '');
  }

  function troubles(of_) {
    if (of) asked().forEach((a, i) => mark('x' + i, $('x' + i).value.trim() ? of_['x' + i] : null, a.says));
  }

  function button(words, about, act) {
    const b = el('button', { type: 'button', class: 'plain', 'aria-label': `${words} ${about}` }, words);
    b.onclick = act;
    return b;
  }

  function rows() {
    return points.map((p, i) => ({ p, i, at: judged && judged.outcome.points[i], value: judged && judged.values[i] }));
  }

  function draw() {
    if (!all) {
      load();
      return;
    }
    choose();
    const o = judged && judged.outcome.lesson === of.lesson && judged.outcome.points.length === points.length ? judged.outcome : null;
    if (!o) return;
    say($('verdict'), points.length ? o.say : `Nothing yet: ${of.least} points are worth beginning with.`);
    put($('lesson-next'), ...(o.next || []).map((n) => el('li', {}, n)), ...(o.doubts || []).map((d) => el('li', {}, 'Doubt: ' + d)));
    put($('findings'), o.findings && o.findings.length ? table('With the interval that holds the truth in 95 of 100 classes', [
      { head: 'what', cell: (f) => f.name }, { head: 'found', cell: (f) => judged.texts[o.findings.indexOf(f)] },
      { head: 'expected', cell: (f) => (f.expected ? String(Number(f.expected.value.toPrecision(5))) : f.above_zero ? 'above zero' : '–') },
      { head: 'beside the scatter', cell: (f) => (f.from || []).join('; ') || '–' },
    ], o.findings) : null);
    plot($('lesson-plot'), o, of.title);
    put($('points'), points.length ? table('Points, with standard uncertainties (k = 1)', [
      { head: 'point', n: true, cell: (r) => String(r.i + 1) }, { head: 'told', cell: (r) => r.at.name || '–' }, { head: of.y.name, cell: (r) => r.value },
      { head: o.axes.off, n: true, cell: (r) => (r.at.fits ? fixed(r.at.off, 2) : '–') }, { head: 'from', cell: (r) => r.p.from + (r.p.group ? ', ' + r.p.group : '') },
      { head: 'remarks', cell: (r) => [r.at.aside ? 'set aside: ' + r.at.aside : '', (o.odd || []).includes(r.i) ? 'does not belong to the others' : '', r.at.note || '', ...(r.p.doubts || [])].filter(Boolean).join('; ') || '–' },
      { head: 'do', cell: (r) => el('span', { class: 'save' }, button(r.p.aside ? 'Count again' : 'Set aside', `point ${r.i + 1}`, () => {
        if (r.p.aside) delete r.p.aside;
        else r.p.aside = 'by hand';
        judge();
      }), button('Take away', `point ${r.i + 1}`, () => {
        points.splice(r.i, 1);
        judge();
      })) },
    ], rows()) : el('p', {}, 'None.'));
  }

  $('lesson').onchange = () => { location.hash = model.link('lessons', { lesson: $('lesson').value, ...Object.fromEntries([0, 1, 2, 3].flatMap((i) => [['x' + i, ''], ['g' + i, '']])) }).slice(1); };
  $('lesson-form').oninput = () => {
    for (const e of $('lesson-form').querySelectorAll('input')) model.asked[e.id] = e.value.trim();
    changed();
  };
  $('lesson-form').onchange = () => judge();
  $('lesson-form').onsubmit = (e) => e.preventDefault();
  $('lesson-by-hand').onsubmit = (e) => {
    e.preventDefault();
    ear.say({ point: { lesson: of.lesson, x: of.x.map((a, i) => $('hx' + i).value.trim()), y: $('hy').value.trim() } });
  };
  $('lesson-print').onclick = () => print();
  const place_ = document.querySelector('[data-save=lesson]');
  offer(place_, { name: 'pluckweigh-lesson', title: 'the lesson', json: () => ({ lesson: of.lesson, points, ...judged }), drawing: () => $('lesson-plot').querySelector('svg') });
  const csv = button('CSV', 'of the points', () => judged && keep(`pluckweigh-${of.lesson}.csv`, 'text/csv', judged.list));
  place_.append(csv);

  return { draw, heard, message, told, troubles, again: () => of && judge() };
}
