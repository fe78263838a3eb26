// What the views that keep plucks have in common: places to type in, whose texts stand in
// the address, and what is told of them.
import { $, el, put, say, capital } from '/dom.js';

// taskForm fills a form with places {key, name, example, says, kind, options, more}. A
// place's name in the address is its key; those that are more are behind a fold.
export function taskForm(form, fields, places, model, prefix, changed) {
  const fold = form.querySelector('details');
  const made = (p) => {
    const id = `${prefix}-${p.key}`, told = el('span', { id: id + '-told', class: 'told' }, p.says || '');
    const common = { id, 'aria-describedby': id + '-told' };
    if (p.kind === 'check') return el('p', { class: 'tick' }, el('label', { for: id }, el('input', { ...common, type: 'checkbox' }), ' ' + p.name), told);
    return el('p', {}, el('label', { for: id }, p.name), p.kind === 'choice' ? el('select', common, ...(p.options || []).map(([v, t]) => el('option', { value: v }, t)))
      : el('input', { ...common, placeholder: p.example || null, spellcheck: 'false', maxlength: 200 }), told);
  };
  put(fields, ...places.filter((p) => !p.more).map(made));
  if (fold) put(fold.querySelector('.fields'), ...places.filter((p) => p.more).map(made));
  const unfold = (p) => { if (p.more) fold.open = true; };
  const of = (p) => $(`${prefix}-${p.key}`);
  const value = (p) => (p.kind === 'check' ? (of(p).checked ? 'yes' : '') : of(p).value.trim());
  const write = () => {
    for (const p of places) model.asked[p.key] = value(p);
    changed();
  };
  form.oninput = write;
  form.onsubmit = (e) => {
    e.preventDefault();
    write();
  };
  return {
    value: (key) => value(places.find((p) => p.key === key)),
    set(key, text) {
      model.asked[key] = text;
      this.read();
    },
    // read takes what the address says.
    read() {
      for (const p of places) {
        const e = of(p), v = model.asked[p.key] || '';
        if (p.kind === 'check') e.checked = !!v;
        else if (p.kind === 'choice' && v && ![...e.options].some((o) => o.value === v)) e.append(el('option', { value: v }, v));
        if (v) unfold(p);
        if (p.kind !== 'check' && e !== document.activeElement && e.value !== v) e.value = v;
      }
    },
    choices(key, options) {
      const e = of(places.find((p) => p.key === key));
      put(e, ...options.map(([v, t]) => el('option', { value: v }, t)));
      this.read();
    },
    troubles(all) {
      for (const p of places) {
        const t = all[`${prefix}-${p.field || p.key}`];
        if (t) unfold(p);
        of(p).setAttribute('aria-invalid', t ? 'true' : 'false');
        say($(`${prefix}-${p.key}-told`), t ? t.say + (t.hint ? ' – ' + t.hint : '') : p.says || '');
      }
    },
  };
}

export const lines = (all) => all.flatMap((l) => [el('dt', {}, l.name), el('dd', {}, l.say)]);
export const list = (e, all, none) => put(e, ...(all.length ? all : [none]).map((t) => el('li', {}, t)));

export function cautions(e, all) {
  put(e, ...(all || []).map((c) => el('p', {}, capital(c))));
  e.hidden = !(all && all.length);
}
