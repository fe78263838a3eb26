// Guided experiments: what to do, the points as they come, the law through them, a verdict.
import { $, el, put, say, capital } from '/dom.js';
import { offer } from '/save.js';
import { action, outcomePlaces, offerFindings, showOutcome } from '/outcome.js';

// warnings are a lesson's cautions.
export const warnings = (l) => (l.cautions.length ? [el('div', { class: 'note' }, ...l.cautions.map((c) => el('p', {}, capital(c))))] : []);

const ROWS = 8; // of a sheet to be filled in

// paper is what a sheet without points has in their place, to be filled in by hand.
function paper(l) {
  const line = (words) => [el('p', {}, words), el('div', { class: 'line' }), el('div', { class: 'line' })];
  const heads = ['point', ...[...l.x, l.y].flatMap((a) => [a.symbol ? `${a.name}, ${a.symbol}` : a.name, '± (k = 1)']), 'remark'];
  return [...line('What do you expect, before you measure?'), el('h3', {}, 'Measured'),
    el('table', {}, el('thead', {}, el('tr', {}, ...heads.map((h) => el('th', { scope: 'col' }, h)))),
      el('tbody', {}, ...Array.from({ length: ROWS }, (_, i) => el('tr', {}, ...heads.map((_, k) => el('td', {}, k ? '' : String(i + 1))))))),
    ...line('What do the data say: do they agree with the law, contradict it, or do they not show it? How well do you know that?')];
}

export function lessonView(model, ear, changed) {
  let all = null, of = null, points = [], judged = null, room = null;
  let taught = null; // what the class is told, of a seat
  let fresh = -1; // the first point that was not told of yet
  let says = ['', '']; // the last point, and what the class says of it
  const sayPoint = (point, said) => {
    says = [point, said];
    say($('lesson-told'), says.filter(Boolean).join(' '));
  };
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
    fresh = -1;
    sayPoint('', '');
    say($('lessons-title'), `Lesson: ${l.title}`);
    if (!$('lessons').hidden) document.title = `${$('lessons-title').textContent} – pluckweigh`;
    about();
    judge();
  }

  // place is a field with a label and what is told of it.
  function place(id, axis, value) {
    const label = capital(axis.name) + (axis.optional ? ', if known' : '');
    return el('p', {}, el('label', { for: id }, label), el('input', { id, value, placeholder: axis.example, 'aria-describedby': id + '-told', spellcheck: 'false', maxlength: 200 }),
      el('span', { id: id + '-told', class: 'told' }, axis.says || ''));
  }
  const asked = () => of.x.filter((a) => !a.heard);

  function about() {
    put($('lesson-about'), el('p', { class: 'question' }, of.question), ...warnings(of),
      el('h3', {}, 'What to do'), el('ol', {}, ...of.steps.map((s) => el('li', {}, s))),
      el('h3', {}, 'What is expected'), el('p', {}, of.law), el('p', { class: 'told' }, of.source));
    const once = of.givens.map((g, i) => place('g' + i, g, model.asked['g' + i] || ''));
    put($('lesson-givens'), ...(once.length ? [el('h3', {}, 'Told once'), el('div', { class: 'fields' }, ...once)] : []));
    const each = asked().map((a, i) => place('x' + i, a, model.asked['x' + i] || ''));
    put($('lesson-asked'), ...(each.length ? [el('div', { class: 'fields' }, ...each)] : []));
    put($('lesson-hand'), ...of.x.map((a, i) => place('hx' + i, a, '')), place('hy', of.y, ''));
    $('lesson-paper').replaceChildren(...paper(of));
    given();
    next();
  }

  // given shows a seat what its class is told once, and that it is not its to change.
  function given() {
    if (!taught) return;
    of.givens.forEach((g, i) => {
      const e = $('g' + i), v = taught.givens[g.name] || '';
      model.asked['g' + i] = e.value = v;
      e.readOnly = true;
      e.closest('p').hidden = !v;
      say($(`g${i}-told`), v ? 'as the teacher told it' : '');
    });
    $('lesson-givens').hidden = of.givens.every((g) => !taught.givens[g.name]);
  }

  // next says what to do now.
  function next() {
    if (!of) return;
    const what = asked().filter((a) => !a.optional).map((a) => a.name).join(' and ');
    let now = ear.state === 'listening' ? `${what ? `Type the ${what} below. Then pluck` : 'Pluck'} once and let it ring: its point comes when it has died away or is damped.`
      : ear.state === 'idle' ? `By microphone: press Listen above${what ? `, type the ${what} below` : ''} and pluck. Without one: open Numbers by hand.` : 'Wait: what was heard is measured.';
    if (ear.state === 'listening' && what) now += ' What stands there when you pluck counts.';
    if (room) now += ' Each point goes to the class at once; the teacher can set it aside.';
    say($('lesson-now'), now);
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
    if (fresh < 0) fresh = points.length;
    points.push(...more);
    says[1] = '';
    if (room) room.add(of.lesson, more);
    judge();
  }

  function heard(p) {
    if (p.no_point) sayPoint(`Pluck ${p.number} gives no point: ${p.no_point.say}${p.no_point.hint ? ' – ' + p.no_point.hint : ''}`, '');
    if (!p.points || !of || p.lesson !== of.lesson) return;
    add(p.points.map((q) => ({ ...q, from: q.from.replace(/^heard/, 'pluck ' + p.number) })));
  }

  function message(m) {
    if (m.judged) {
      judged = m.judged;
      judged.outcome.points ||= [];
      if (of && judged.outcome.lesson === of.lesson) {
        of.givens.forEach((g, i) => mark('g' + i, judged.troubles[g.name], g.says));
        given();
        tell();
        draw();
      }
    } else if (m.point) {
      of.x.forEach((a, i) => mark('hx' + i, null, a.says));
      mark('hy', null, '');
      add([m.point]);
      for (const e of $('lesson-by-hand').querySelectorAll('input')) e.value = '';
      if ($('lesson-by-hand').contains(document.activeElement)) $('hx0').focus();
    } else if (m.point_troubles) {
      of.x.forEach((a, i) => mark('hx' + i, m.point_troubles['x' + i], a.says));
      mark('hy', m.point_troubles.y || m.point_troubles.lesson, '');
    }
  }

  // tell says the points that are new.
  function tell() {
    const n = judged.outcome.points.length - fresh;
    if (fresh < 0 || n < 1 || judged.outcome.points.length !== points.length) return;
    const p = judged.outcome.points[fresh];
    sayPoint(n > 1 ? `${n} points came of ${points[fresh].from}.` : `Point ${fresh + 1}, ${points[fresh].from}: ${p.name ? p.name + ', ' : ''}${of.y.name} ${judged.values[fresh]} (k = 1).`, says[1]);
    fresh = -1;
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
    $('lesson-outcome').classList.toggle('nothing', !points.length);
    showOutcome('lesson', of, judged, {
      from: (i) => points[i].from + (points[i].group ? ', ' + points[i].group : ''),
      doubts: (i) => points[i].doubts || [],
      actions: room ? null : (i) => [action(points[i].aside ? 'Count again' : 'Set aside', 'lesson aside', i, () => {
        if (points[i].aside) delete points[i].aside;
        else points[i].aside = 'by hand';
        judge();
      }), action('Take away', 'lesson away', i, () => {
        points.splice(i, 1);
        judge();
      })],
    });
  }

  put($('lesson-outcome'), el('div', { id: 'lesson-paper', class: 'paper' }), ...outcomePlaces('lesson'));
  offerFindings('lesson', () => judged);
  $('lesson').onchange = () => { location.hash = model.link('lessons', { lesson: $('lesson').value, ...Object.fromEntries([0, 1, 2, 3].flatMap((i) => [['x' + i, ''], ['g' + i, '']])) }).slice(1); };
  $('lesson-form').oninput = () => {
    for (const e of $('lesson-form').querySelectorAll('input')) model.asked[e.id] = e.value.trim();
    changed();
  };
  $('lesson-form').onchange = () => judge();
  $('lesson-form').onsubmit = (e) => e.preventDefault();
  $('lesson-by-hand').onsubmit = (e) => {
    e.preventDefault();
    if (!ear.up) {
      sayPoint('There is no connection: add the point when it is back. What you typed stays.', '');
      return;
    }
    ear.say({ point: { lesson: of.lesson, x: of.x.map((a, i) => $('hx' + i).value.trim()), y: $('hy').value.trim() } });
  };
  $('lesson-print').onclick = () => print();
  offer(document.querySelector('[data-save=lesson]'), {
    name: 'pluckweigh-lesson', title: 'the lesson', list: () => judged && [`pluckweigh-${of.lesson}`, judged.list], json: () => ({ lesson: of.lesson, points, ...judged }), drawing: () => $('lesson-plot').querySelector('svg'),
  });

  // teach has the lesson chosen by the class: its seat adds points to all.
  function teach(now, seat) {
    [room, taught] = [seat, now];
    model.asked.lesson = now.lesson;
    $('lesson').disabled = true;
    if (all) choose();
    if (of) {
      given();
      next();
      judge();
    }
    changed();
  }

  return {
    teach, next, loaded: () => all, draw, heard, message, told, troubles, again: () => of && judge(),
    sent: (words) => sayPoint(says[0], words),
  };
}
