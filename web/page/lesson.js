// Guided experiments: what to do, the points as they come, the law through them, a verdict.
import { $, el, put, say } from '/dom.js';
import { offer, keep } from '/save.js';
import { action, outcomePlaces, showOutcome } from '/outcome.js';

export function lessonView(model, ear, changed) {
  let all = null, of = null, points = [], judged = null, room = null;
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
    if (room) room.add(of.lesson, more);
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

  function draw() {
    if (!all) {
      load();
      return;
    }
    choose();
    if (!judged || judged.outcome.lesson !== of.lesson || judged.outcome.points.length !== points.length) return;
    showOutcome('lesson', of, judged, {
      from: (i) => points[i].from + (points[i].group ? ', ' + points[i].group : ''),
      doubts: (i) => points[i].doubts || [],
      actions: room ? null : (i) => [action(points[i].aside ? 'Count again' : 'Set aside', `point ${i + 1}`, () => {
        if (points[i].aside) delete points[i].aside;
        else points[i].aside = 'by hand';
        judge();
      }), action('Take away', `point ${i + 1}`, () => {
        points.splice(i, 1);
        judge();
      })],
    });
  }

  put($('lesson-outcome'), ...outcomePlaces('lesson'));
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
  const csv = action('CSV', 'of the points', () => judged && keep(`pluckweigh-${of.lesson}.csv`, 'text/csv', judged.list));
  place_.append(csv);

  // teach has the lesson chosen by the class: its seat adds points to all.
  function teach(now, seat) {
    room = seat;
    model.asked.lesson = now.lesson;
    $('lesson').disabled = true;
    all && choose();
    if (of) of.givens.forEach((g, i) => {
      model.asked['g' + i] = now.givens[g.name] || '';
      $('g' + i).value = model.asked['g' + i];
      $('g' + i).readOnly = true;
    });
    changed();
  }

  return { teach, loaded: () => all, draw, heard, message, told, troubles, again: () => of && judge() };
}
