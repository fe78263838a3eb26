// The page: what is typed, what is heard, and which view is shown. All of it that somebody
// chose stands in the address, so that every state is a link.
import { $, el, put, say, keeping } from '/dom.js';
import { Ear } from '/ear.js';
import { nowView } from '/now.js';
import { stringView } from '/string.js';
import { benchView } from '/bench.js';
import { surveyView } from '/survey.js';
import { settleView } from '/settle.js';
import { lessonView } from '/lesson.js';
import { classView } from '/class.js';
import { keptPlucks, keepPlucks } from '/kept.js';

const FIELDS = ['length', 'unit_weight', 'ends', 'near', 'reference'];
const SOUND = ['mic', 'input'];
const VIEWS = ['now', 'string', 'bench', 'survey', 'settle', 'lessons', 'class'];
const OF_BENCH = ['bench', 'survey', 'settle'];
const KEPT = /^(pluck|find|look|lesson|teacher|[xg][0-9]|instrument|session|good|out|down|position|held|clip|pull|slope|even|order|watch|within|for|temperature|warmth|event)$/; // what else the address keeps
const MOST_PLUCKS = 1000;

const model = {
  plucks: keptPlucks(), // the oldest first
  pull: null, // of the last pluck that can be trusted
  asked: {}, // what the address says
  doubts: [], // on the microphone
  together: null, // what plucks of one string say together
  apart: new Set(), // those that are left out of that
  run: 0, // how often it has been listened
  // fields is what the string is told to be, as whoever hears has it.
  fields: () => Object.fromEntries(FIELDS.map((k) => [k, (ear && ear.asked || {})[k] || ''])),
  link(view, more) {
    const q = new URLSearchParams(Object.entries({ ...this.asked, ...more }).filter(([, v]) => v));
    return `#${view}${q.size ? '?' + q : ''}`;
  },
};
const views = { now: nowView(model), string: stringView(model), bench: benchView(model, writeAddress) };
let view = 'now';

function readAddress() {
  const [name, query] = location.hash.slice(1).split('?', 2);
  const before = view;
  view = VIEWS.includes(name) ? name : 'now';
  model.asked = {};
  for (const [k, v] of new URLSearchParams(query || '')) if ([...FIELDS, ...SOUND].includes(k) || KEPT.test(k)) model.asked[k] = v.slice(0, 200);
  for (const k of [...FIELDS, ...SOUND]) {
    const e = $(k), v = model.asked[k] || (k === 'mic' ? 'browser' : '');
    if (e.value !== v) e.value = v;
    if (e.value !== v) e.value = k === 'mic' ? 'browser' : '';
  }
  show();
  if (view !== before && views[view].enter) views[view].enter();
}

function writeAddress() {
  for (const k of [...FIELDS, ...SOUND]) {
    const v = $(k).value.trim();
    if (v && !(k === 'mic' && v === 'browser')) model.asked[k] = v;
    else delete model.asked[k];
  }
  history.replaceState(null, '', model.link(view));
  show();
}

function show() {
  for (const v of VIEWS) $(v).hidden = v !== view;
  for (const a of document.querySelectorAll('[data-view]')) {
    a.href = model.link(a.dataset.view);
    if (a.dataset.view === (OF_BENCH.includes(view) ? 'bench' : view)) a.setAttribute('aria-current', 'page');
    else a.removeAttribute('aria-current');
  }
  for (const a of document.querySelectorAll('[data-go]')) a.href = model.link(a.dataset.go);
  $('known').hidden = [...OF_BENCH, 'lessons', 'class'].includes(view);
  $('sound').hidden = ['bench', 'class'].includes(view);
  for (const e of document.querySelectorAll('.machine')) e.hidden = $('mic').value !== 'machine';
  document.title = `${$(view + '-title').textContent} – pluckweigh`;
  redraw();
}

function trouble(t) {
  put($('trouble'), t && el('p', {}, t.say, t.hint ? el('span', { class: 'hint' }, ' – ' + t.hint) : null));
}

function asked(a) {
  for (const k of FIELDS) {
    const t = a.troubles[k];
    $(k).setAttribute('aria-invalid', t ? 'true' : 'false');
    say($(k + '-told'), t ? t.say + (t.hint ? ' – ' + t.hint : '') : a[k] && a[k] !== $(k).value ? a[k] : '');
  }
}

// plucked takes in a pluck: one that still rang comes once more when it is over.
function plucked(p) {
  p.run = model.run;
  p.by = model.fields();
  p.heard = p.number; // by its own listening; on the page they are counted on
  const before = model.plucks.find((q) => q.run === p.run && q.heard === p.heard);
  p.number = before ? before.number : model.plucks.length ? model.plucks[model.plucks.length - 1].number + 1 : 1;
  if (before) model.plucks[model.plucks.indexOf(before)] = p;
  else model.plucks.push(p);
  if (model.plucks.length > MOST_PLUCKS) model.plucks.shift();
  if (p.trusted && model.pull && model.pull.number > p.number) { /* one before it took longer */ } else if (p.trusted) model.pull = p.pull && { ...p.pull, number: p.number, by: p.by };
  else if (before && model.pull && model.pull.number === p.number) model.pull = null;
  const pull = p.pull && p.pull.say ? `, pulls ${p.pull.say}` : '';
  const now = p.trusted ? `Pluck ${p.number}: ${p.say.note}${pull}.` : `Pluck ${p.number} cannot be trusted: ${p.doubts.map((d) => d.say)[0] || ''}`;
  say($('told'), view === 'survey' && p.trusted ? '' : now); // the survey says it itself
  keepPlucks(model.plucks);
  redraw();
}

// forgetIDs: whoever hears is another now, and knows none of the plucks before.
function forgetIDs() {
  for (const p of model.plucks) p.id = 0;
  model.apart.clear();
  model.together = null;
}

// redraw draws the view anew, and keeps the keyboard's place in it.
function redraw() {
  keeping(() => views[view].draw());
}

// able says whether the button can be used. It stays in reach: one that is disabled loses
// the keyboard's place.
function able(yes) {
  $('listen').setAttribute('aria-disabled', yes ? 'false' : 'true');
}

// known is all that whoever hears is told.
function known() {
  return { ...Object.fromEntries(FIELDS.map((k) => [k, $(k).value.trim()])), apart: [...model.apart], ...(views[view].told ? views[view].told() : {}) };
}

let ear = null;
ear = new Ear({
  line(up, why) {
    if (up) forgetIDs();
    if (up && views.lessons) views.lessons.again();
    if (!up && views.class) views.class.cut();
    if (!up || $('line').textContent.startsWith('Not')) say($('line'), up ? '' : 'Not connected: ' + (why || (views.class && views.class.role() === 'seat' ? 'the page tries again by itself. If it lasts, ask the teacher.' : 'is pluckweigh serve still running?')));
    able(ear && ear.state !== 'ending' && up);
  },
  state(of) {
    const s = of.state;
    say($('listen'), s === 'idle' ? 'Listen' : s === 'ending' ? 'Measuring …' : 'Stop');
    able(s !== 'ending' && of.up);
    let told = '';
    if (s === 'opening') told = 'Opening the microphone …';
    if (s === 'listening') told = `Listening at ${of.rate} Hz${of.device ? ' to ' + of.device : ''}: pluck the string once and let it ring.`;
    say($('state'), told);
    model.doubts = of.doubts || [];
    if (views.lessons) views.lessons.next();
  },
  trouble,
  message(m) {
    if (m.live && m.live.pluck) {
      plucked(m.live);
      views.lessons.heard(m.live);
    }
    else if (m.live) views.now.sign(m.live);
    else if (m.asked) {
      asked(m.asked);
      for (const v of ['lessons', 'survey', 'settle']) views[v].troubles(m.asked.troubles);
    }
    else if (m.survey) views.survey.message(m.survey);
    else if (m.settle) views.settle.message(m.settle);
    else if (m.together !== undefined) {
      model.together = m.together;
      redraw();
    }
    else if (m.trouble) {
      trouble(m.trouble);
      views.class.refused();
    } else if (m.class_here || m.class || m.unseated) {
      document.querySelector('[data-view=bench]').hidden = true;
      views.class.message(m);
    } else if (m.joined || m.added || m.teaching) {
      if (!m.added) trouble(null);
      views.class.message(m);
    }
    else if (m.pull !== undefined) {
      const last = model.plucks.findLast((p) => p.trusted);
      model.pull = m.pull && last ? { ...m.pull, number: last.number } : null;
      if (model.pull) model.pull.by = model.fields();
      if (last) [last.pull, last.by] = [model.pull, model.fields()];
      keepPlucks(model.plucks);
      if (model.pull && model.pull.say) say($('told'), `Pluck ${last.number} pulls ${model.pull.say}.`);
      redraw();
    } else if (m.judged || m.point !== undefined) views.lessons.message(m);
    else if (m.listening) {
      model.run++;
      views.now.forget();
      trouble(null);
    }
  },
});

let typing;
const soon = () => {
  clearTimeout(typing);
  typing = setTimeout(ask, 400);
};
views.survey = surveyView(model, views.bench, soon);
views.settle = settleView(model, soon);
model.leave = (id) => {
  if (!model.apart.delete(id)) model.apart.add(id);
  ask();
};
views.lessons = lessonView(model, ear, soon);
views.class = classView(model, ear, views, writeAddress);

function ask() {
  clearTimeout(typing);
  writeAddress();
  ear.ask(known());
  redraw(); // a pull goes by what is asked
}
$('known').addEventListener('input', soon);
$('known').addEventListener('change', ask);
$('known').addEventListener('submit', (e) => {
  e.preventDefault();
  ask();
});
$('sound').addEventListener('change', writeAddress);
$('sound').addEventListener('submit', (e) => {
  e.preventDefault();
  if ($('listen').getAttribute('aria-disabled') === 'true') return;
  if (ear.state === 'idle') {
    trouble(null);
    ear.start($('mic').value, $('input').value.trim());
  } else ear.stop();
});
addEventListener('hashchange', () => {
  readAddress();
  ear.ask(known());
  redraw();
});
document.querySelector('.skip').addEventListener('click', (e) => {
  e.preventDefault(); // the address is the page's state
  $('view').focus();
});
// What is printed is drawn in the colours of paper.
for (const [when, printing] of [['beforeprint', true], ['afterprint', false]]) addEventListener(when, () => {
  document.documentElement.classList.toggle('printing', printing);
  redraw();
});
matchMedia('(prefers-color-scheme: dark)').addEventListener('change', redraw);
let resized;
addEventListener('resize', () => {
  clearTimeout(resized);
  resized = setTimeout(redraw, 150);
});
const before = model.plucks.findLast((p) => p.trusted);
if (before?.pull) model.pull = { ...before.pull, number: before.number, by: before.by };
readAddress();
ear.asked = known();
redraw();
