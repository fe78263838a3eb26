// A class: a seat that joins and adds points, and the teacher's screen.
import { $, el, put, say, table } from '/dom.js';
import { offer, keep } from '/save.js';
import { action, outcomePlaces, showOutcome } from '/outcome.js';

const KEY = 'pluckweigh teacher', TOKEN = 'pluckweigh seat', WAITING = 'pluckweigh points';
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
  let role = '', now = null, seat = null, answering = '';
  let waiting = read(WAITING) || []; // points that the class has not said it has

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
    $('join').hidden = !yes;
    for (const e of [$('view'), document.querySelector('nav')]) e.hidden = yes;
    document.body.classList.toggle('joining', yes);
  }

  $('join').onsubmit = (e) => {
    e.preventDefault();
    answering = 'code';
    ear.say({ join: { code: $('code').value, name: $('name').value } });
  };

  // sit adds points, again and again until they are told to be kept.
  const room = {
    add(lesson, points) {
      for (let i = 0; i < points.length; i += 50) waiting.push({ lesson, key: crypto.randomUUID(), points: points.slice(i, i + 50) });
      write(WAITING, waiting);
      send();
    },
  };
  function send() {
    if (role === 'seat') for (const w of waiting) ear.say({ add: w });
  }

  function message(m) {
    if (m.class_here) here();
    else if (m.joined) {
      role = 'seat';
      answering = '';
      seat = m.joined;
      write(TOKEN, seat.token);
      ask(false);
      say($('line'), `You are seat ${seat.seat}${seat.name ? ', ' + seat.name : ''}.`);
      ear.ask(ear.asked);
      send();
    } else if (m.added) {
      waiting = waiting.filter((w) => w.key !== m.added);
      write(WAITING, waiting);
      say($('lesson-told'), m.no ? `The class does not take it: ${m.no.say}${m.no.hint ? ' – ' + m.no.hint : ''}` : 'The class has it.');
    } else if (m.class) {
      views.lessons.teach(m.class, room);
      location.hash = model.link('lessons', { lesson: m.class.lesson }).slice(1);
    } else if (m.teaching) {
      const first = role !== 'teacher';
      role = 'teacher';
      answering = '';
      now = m.teaching;
      now.judged.outcome.points ||= [];
      document.querySelector('[data-view=class]').hidden = false;
      if (first) location.hash = model.link('class').slice(1);
      draw();
    }
  }

  // refused tells whether a trouble is that of joining, and what follows.
  function refused() {
    if (answering === 'token') {
      write(TOKEN, null);
      ask();
    }
    if (answering === 'teacher') sessionStorage.removeItem(KEY);
    answering = '';
  }

  put($('class-outcome'), ...outcomePlaces('class'));
  const place = document.querySelector('[data-save=class]');
  offer(place, {
    name: 'pluckweigh-class', title: 'the class, without names', drawing: () => $('class-plot').querySelector('svg'),
    json: () => now && { lesson: now.lesson, givens: now.givens, points: now.of.map((s, i) => ({ seat: s, ...now.judged.outcome.points[i] })), outcome: now.judged.outcome },
  });
  place.append(action('CSV', 'of the points, without names', () => now && keep('pluckweigh-class.csv', 'text/csv', now.judged.list)));
  $('class-print').onclick = () => print();
  const set = () => {
    const l = lesson();
    ear.say({ set: { lesson: $('class-lesson').value, givens: Object.fromEntries(l && l.lesson === $('class-lesson').value ? l.givens.map((g, i) => [g.name, $('cg' + i).value.trim()]) : []) } });
  };
  $('class-lesson').onchange = set;
  $('class-form').onchange = set;
  $('class-form').onsubmit = (e) => e.preventDefault();
  $('class-look').onchange = () => ear.say({ look: { seat: Number($('class-look').value) } });
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
    say($('class-at'), location.origin);
    say($('class-code'), now.code);
    if ($('class-lesson').options.length !== all.length) put($('class-lesson'), ...all.map((x) => el('option', { value: x.lesson }, x.title)));
    $('class-lesson').value = now.lesson;
    const seats = [[0, 'all seats'], ...now.seats.map((s) => [s.seat, `seat ${s.seat}`])];
    if ($('class-look').options.length !== seats.length) put($('class-look'), ...seats.map(([v, t]) => el('option', { value: v }, t)));
    $('class-look').value = String(now.look);
    if ($('class-givens').dataset.of !== l.lesson) {
      $('class-givens').dataset.of = l.lesson;
      put($('class-givens'), ...l.givens.map((g, i) => el('p', {}, el('label', { for: 'cg' + i }, g.name + (g.optional ? ', if known' : '')),
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
    const held = document.activeElement && document.activeElement.getAttribute('aria-label');
    showOutcome('class', l, now.judged, {
      from: (i) => `seat ${now.of[i]}`, doubts: () => [],
      actions: (i, p) => [action(p.aside ? 'Count again' : 'Set aside', `point ${i + 1}`, () => ear.say({ aside: { id: now.ids[i], why: p.aside ? '' : 'by the teacher' } }))],
    });
    // What is drawn anew while somebody is at it keeps the keyboard's place.
    if (held && !document.activeElement?.getAttribute('aria-label')) [...$('class').querySelectorAll('button')].find((b) => b.getAttribute('aria-label') === held)?.focus();
  }

  return { draw, message, refused, enter: draw, role: () => role };
}
