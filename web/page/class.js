// A class: a seat that joins and adds points, and the teacher's screen.
import { $, el, put, say, table, capital } from '/dom.js';
import { offer } from '/save.js';
import { action, outcomePlaces, offerFindings, showOutcome } from '/outcome.js';
import { warnings } from '/lesson.js';

const KEY = 'pluckweigh teacher', TOKEN = 'pluckweigh seat', WAITING = 'pluckweigh points';
const MOST_SENT = 20; // at once: a page that says too much is let go
const AGAIN = 10000; // ms until what could not be kept is said again
const read = (key) => {
  try {
    return JSON.parse(localStorage.getItem(key));
  } catch {
    return null;
  }
};
const write = (key, v) => {
  try {
    localStorage.setItem(key, JSON.stringify(v));
  } catch { /* it is kept while the page is there */ }
};

export function classView(model, ear, views, changed) {
  const came = location.hash.length > 1; // by a link to a view
  let role = '', now = null, seat = null, answering = '', at = '', shown = false;
  const waiting = new Map(); // points that the class has not said it has, by their keys
  const sent = new Set(); // those that were said on this connection

  // A class is there: take up what this page is in it.
  function here() {
    role = '';
    // The teacher's key leaves the address, which is seen by who looks at the screen.
    if (model.asked.teacher) sessionStorage.setItem(KEY, model.asked.teacher);
    delete model.asked.teacher;
    const key = sessionStorage.getItem(KEY), token = read(TOKEN);
    if (key) {
      answering = 'teacher';
      ear.say({ teach: { key } });
    } else if (token) {
      answering = 'token';
      ear.say({ join: { token } });
    } else ask();
    changed();
  }

  // ask shows where to type the code, and nothing else until somebody has joined.
  function ask(yes = true) {
    const was = !$('join').hidden;
    $('join').hidden = !yes;
    for (const e of [$('view'), document.querySelector('nav')]) e.hidden = yes;
    document.body.classList.toggle('joining', yes);
    if (yes && !was) $('code').focus();
    if (!yes && was) $('view').focus();
  }

  $('join').onsubmit = (e) => {
    e.preventDefault();
    answering = 'code';
    ear.say({ join: { code: $('code').value, name: $('name').value } });
  };

  // Points are said again and again until they are told to be kept. Each lies in a place of its
  // own, so that two pages of one seat do not take each other's away.
  const room = {
    add(lesson, points) {
      for (let i = 0; i < points.length; i += 50) {
        const w = { lesson, key: crypto.randomUUID(), points: points.slice(i, i + 50) };
        waiting.set(w.key, { w, of: seat.token });
        write(`${WAITING} ${w.key}`, { w, of: seat.token });
      }
      send();
    },
  };
  function leftOver() {
    try {
      for (const k of Object.keys(localStorage)) if (k.startsWith(WAITING + ' ')) waiting.set(k.slice(WAITING.length + 1), read(k));
    } catch { /* there are none that are kept */ }
  }
  function send() {
    if (role !== 'seat') return;
    for (const [key, x] of waiting) {
      if (sent.size >= MOST_SENT) return; // the others follow when these are kept
      if (!x || x.of !== seat.token || sent.has(key)) continue; // another class's
      sent.add(key);
      ear.say({ add: x.w });
    }
  }
  function drop(key) {
    waiting.delete(key);
    try {
      localStorage.removeItem(`${WAITING} ${key}`);
    } catch { /* it was not kept */ }
  }
  // go shows a view, unless somebody came for another.
  const go = (view, more) => { location.hash = model.link(view, more).slice(1); };

  function message(m) {
    if (m.class_here) here();
    else if (m.unseated) {
      answering = '';
      write(TOKEN, null);
      ask();
    } else if (m.joined) {
      role = 'seat';
      answering = '';
      seat = m.joined;
      write(TOKEN, seat.token);
      ask(false);
      say($('line'), `You are seat ${seat.seat}${seat.name ? ', ' + seat.name : ''}.`);
      ear.ask(ear.asked);
      leftOver();
      send();
    } else if (m.added) {
      if (m.later) setTimeout(() => {
        sent.delete(m.added);
        send();
      }, AGAIN);
      else {
        sent.delete(m.added);
        drop(m.added);
        send();
      }
      const why = m.no && m.no.say + (m.no.hint ? ' – ' + m.no.hint : '');
      views.lessons.sent(!m.no ? 'The class has it.' : m.later ? `The class cannot take it now, and is asked again: ${why}` : `The class does not take it: ${why}`);
    } else if (m.class) {
      const another = at !== m.class.lesson;
      const first = !at;
      at = m.class.lesson;
      views.lessons.teach(m.class, room);
      if (first ? !came : another) go('lessons', { lesson: at });
    } else if (m.teaching) {
      const first = !shown;
      if (role !== 'teacher' && model.asked.look) ear.say({ look: { seat: Number(model.asked.look) || 0 } });
      role = 'teacher';
      shown = true;
      answering = '';
      now = m.teaching;
      now.judged.outcome.points ||= [];
      document.querySelector('[data-view=class]').hidden = false;
      if (first && !came) go('class');
      draw();
    }
  }

  // refused tells whether a trouble is that of joining, and what follows.
  function refused() {
    if (answering === 'token') ask();
    if (answering === 'teacher') sessionStorage.removeItem(KEY);
    answering = '';
  }

  put($('class-outcome'), ...outcomePlaces('class'));
  offerFindings('class', () => now && now.judged);
  offer(document.querySelector('[data-save=class]'), {
    name: 'pluckweigh-class', title: 'the class, without names', list: () => now && ['pluckweigh-class', now.judged.list], drawing: () => $('class-plot').querySelector('svg'),
    json: () => now && { lesson: now.lesson, givens: now.givens, seats: now.seats.map((s) => ({ seat: s.seat, points: s.points })), points: now.of.map((s, i) => ({ seat: s, ...now.judged.outcome.points[i] })), outcome: now.judged.outcome },
  });
  $('class-print').onclick = () => print();
  const set = () => {
    const l = lesson();
    ear.say({ set: { lesson: $('class-lesson').value, givens: Object.fromEntries(l && l.lesson === $('class-lesson').value ? l.givens.map((g, i) => [g.name, $('cg' + i).value.trim()]) : []) } });
  };
  $('class-lesson').onchange = set;
  $('class-form').onchange = set;
  $('class-form').onsubmit = (e) => e.preventDefault();
  $('class-look').onchange = () => {
    model.asked.look = $('class-look').value === '0' ? '' : $('class-look').value;
    changed();
    ear.say({ look: { seat: Number($('class-look').value) } });
  };
  const lesson = () => (views.lessons.loaded() || []).find((l) => now && l.lesson === now.lesson);

  function draw() {
    if (!now || $('class').hidden) return;
    const all = views.lessons.loaded();
    if (!all) {
      views.lessons.draw();
      setTimeout(draw, 300);
      return;
    }
    const l = lesson();
    say($('class-at'), location.protocol + '//' + now.at[0]);
    say($('class-code'), now.code);
    const near = now.at.filter((h) => !/^(127\.|localhost|\[::1\])/.test(h));
    put($('class-reach'), ...(near.length ? [near.length > 1 ? `One of these addresses is that of your network: ${near.map((h) => location.protocol + '//' + h).join(', ')}.` : '']
      : ['As it was begun this machine alone reaches the class: begin it with ', el('code', {}, '--address 0.0.0.0:8636'), ' for others.']));
    say($('class-print-of'), now.certificate);
    if ($('class-lesson').options.length !== all.length) put($('class-lesson'), ...all.map((x) => el('option', { value: x.lesson }, x.title)));
    $('class-lesson').value = now.lesson;
    const seats = [[0, 'all seats'], ...now.seats.map((s) => [s.seat, `seat ${s.seat}`])];
    if ($('class-look').options.length !== seats.length) put($('class-look'), ...seats.map(([v, t]) => el('option', { value: v }, t)));
    $('class-look').value = String(now.look);
    if ($('class-givens').dataset.of !== l.lesson) {
      $('class-givens').dataset.of = l.lesson;
      say($('class-title'), `Class: ${l.title}`);
      document.title = `${$('class-title').textContent} – pluckweigh`;
      put($('class-about'), el('p', { class: 'question' }, l.question), el('p', {}, l.law), ...warnings(l));
      put($('class-givens'), ...l.givens.map((g, i) => el('p', {}, el('label', { for: 'cg' + i }, capital(g.name) + (g.optional ? ', if known' : '')),
        el('input', { id: 'cg' + i, placeholder: g.example, 'aria-describedby': `cg${i}-told`, maxlength: 120 }), el('span', { id: `cg${i}-told`, class: 'told' }, ''))));
    }
    l.givens.forEach((g, i) => {
      const e = $('cg' + i), t = now.judged.troubles[g.name];
      if (e !== document.activeElement) e.value = now.givens[g.name] || '';
      e.setAttribute('aria-invalid', t ? 'true' : 'false');
      say($(`cg${i}-told`), t ? t.say + (t.hint ? ' – ' + t.hint : '') : g.says || '');
    });
    put($('class-seats'), now.seats.length ? table(`${now.seats.length === 1 ? '1 seat' : now.seats.length + ' seats'}, ${now.seats.filter((s) => s.here).length} here`, [
      { head: 'seat', n: true, cell: (s) => String(s.seat) }, { head: 'name', cell: (s) => s.name || '–' }, { head: 'points', n: true, cell: (s) => String(s.points) }, { head: 'is', cell: (s) => (s.here ? 'here' : 'away') },
    ], now.seats) : el('p', {}, 'Nobody has joined yet.'));
    showOutcome('class', l, now.judged, {
      from: (i) => `seat ${now.of[i]}`, doubts: () => [],
      actions: (i, p) => [action(p.aside ? 'Count again' : 'Set aside', 'class aside', i, () => ear.say({ aside: { id: now.ids[i], why: p.aside ? '' : 'by the teacher' } }))],
    });
  }

  return { draw, message, refused, enter: draw, role: () => role, cut: () => sent.clear() };
}
