// The facts of the selected thing beside the plan: every number can be typed.

import { FIELDS, MORE } from './room-fields.js';
import { make, number, row, select, typed } from './room-forms.js';
import { find, keyOf, LISTS, things } from './room-things.js';

export class Facts {
  #shown = '';
  isOpen = false; // what is folded away is unfolded

  constructor(element, goto, store, events, planned) {
    Object.assign(this, { element, goto, store, events, planned });
    goto.addEventListener('change', () => events.select(goto.value || null, true));
  }

  // What was typed and refused gives way to what holds.
  forget() { this.#shown = ''; }

  // Shows a thing; what somebody is typing in stays as it is.
  show(key) {
    this.#list(key);
    const thing = key && find(this.store, key);
    const text = JSON.stringify([key, thing?.facts ?? null, this.store.now.shoot.passes.map((each) => each.id)]);
    if (text === this.#shown) return;
    const focus = this.#focus();
    this.#shown = text;
    if (!thing) {
      this.element.replaceChildren(make('p', { className: 'quiet' }, 'Choose something on the plan, or from the list.'));
      return;
    }
    const all = FIELDS[thing.of];
    const cut = all.includes(MORE) ? all.indexOf(MORE) : all.length;
    const made = (fields) => fields.map((field) => this.#field(thing, field)).filter(Boolean);
    const more = made(all.slice(cut + 1));
    const folded = make('details', { open: this.isOpen, ontoggle: (event) => { this.isOpen = event.target.open; } }, make('summary', {}, 'More'), ...more);
    this.element.replaceChildren(this.#head(thing), ...made(all.slice(0, cut)), more.length ? folded : '', this.#foot(thing));
    this.element.querySelector(`[data-fact="${focus}"] :is(input, select)`)?.focus();
  }

  #focus() {
    const inside = this.element.contains(document.activeElement) ? document.activeElement : null;
    return inside?.closest('[data-fact]')?.dataset.fact ?? 'none';
  }

  #list(key) {
    const groups = Object.entries(LISTS).map(([of, { many }]) => {
      const own = [...things(this.store)].filter((each) => each.of === of);
      return make('optgroup', { label: many }, ...own.map((each) => make('option', { value: each.key }, each.label)));
    });
    this.goto.replaceChildren(make('option', { value: '' }, '…'), ...groups);
    this.goto.value = key ?? '';
  }

  set(thing, facts) {
    return this.store.do({ do: 'set', of: thing.of, id: thing.id, facts }, `type ${thing.key} ${Object.keys(facts)}`);
  }

  #head(thing) {
    if (thing.of === 'stage') return make('p', { className: 'kind' }, 'The stage');
    const input = make('input', {
      value: thing.id, autocomplete: 'off', spellcheck: false,
      onchange: async () => {
        const to = input.value.trim();
        if (to === thing.id || !to) return;
        this.events.select(keyOf(thing.of, to), false);
        if (!await this.store.do({ do: 'rename', of: thing.of, id: thing.id, to })) this.events.select(thing.key);
      },
    });
    const label = row(`${LISTS[thing.of].one}, id`, input);
    label.dataset.fact = 'id';
    return label;
  }

  #foot(thing) {
    if (thing.of === 'stage') return '';
    const taken = make('button', { type: 'button', onclick: () => this.events.taken(thing.key) }, `Delete ${thing.label}`);
    const isAsked = thing.of === 'positions' && this.planned.isThere;
    const why = isAsked ? make('a', { className: 'button', href: `/plan#ask=${encodeURIComponent(thing.id)}` }, 'Why, why not in the plan?') : null;
    return make('p', { className: 'foot' }, taken, why);
  }

  #field(thing, [fact, label, kind, more]) {
    const value = thing.facts[fact];
    if ((kind === 'point' || kind === 'points') && !value) return null;
    const changed = (to) => this.set(thing, { [fact]: to });
    const made = this.#input(kind, value, more, changed, label, thing);
    const element = made instanceof HTMLFieldSetElement ? made : row(label, made);
    element.dataset.fact = fact;
    if (kind === 'yes') element.classList.add('tick');
    return element;
  }

  #input(kind, value, more, changed, label, thing) {
    const { passes } = this.store.now.shoot;
    const words = (each) => [each, each];
    switch (kind) {
      case 'number': case 'number?': return number(value, more, kind === 'number?', changed);
      case 'text': return make('input', { value: value ?? '', autocomplete: 'off', onchange: (event) => changed(event.target.value.trim() || null) });
      case 'yes': return make('input', { type: 'checkbox', checked: value, onchange: (event) => changed(event.target.checked) });
      case 'choice': return select({ onchange: (event) => changed(event.target.value) }, more.map(words), value);
      case 'choice?': return select({ onchange: (event) => changed(event.target.value || null) }, [['', 'any'], ...more.map(words)], value);
      case 'floor': return select({ onchange: (event) => changed(event.target.value) }, this.store.base.choices.floors.map(words), value);
      case 'subject': return select({ onchange: (event) => changed(event.target.value || null) }, [['', 'nothing'], ...this.#others(thing)], value);
      case 'point': return this.#point(label, value, changed);
      case 'points': return this.#points(label, value, changed);
      case 'pair?': return this.#pair(label, value, more, changed);
      case 'passes': return this.#passes(label, value, passes, changed, true);
      case 'some passes': return this.#passes(label, value, passes, changed, false);
      default: return this.#permission(label, value, changed);
    }
  }

  #others(thing) {
    return this.store.now.shoot.subjects.filter((each) => each.id !== thing.id).map((each) => [each.id, each.name || each.id]);
  }

  #box(label, ...content) { return make('fieldset', {}, make('legend', {}, label), ...content); }

  #point(label, value, changed) {
    const at = [...value];
    const one = (n, unit, words) => number(value[n], unit, false, (to) => { at[n] = to; changed([...at]); }, words);
    return this.#box(label, make('div', { className: 'pair' }, one(0, 'm house right', 'x, metres house right of the centre line'), one(1, 'm upstage', 'y, metres upstage of the stage edge')));
  }

  #points(label, value, changed) {
    const rows = value.map((corner, n) => {
      const one = (axis, words) => number(corner[axis], 'm', false, (to) => {
        changed(value.map((each, m) => (m === n ? each.map((own, a) => (a === axis ? to : own)) : each)));
      }, `corner ${n + 1}, ${words}`);
      const next = value[(n + 1) % value.length];
      const between = [0, 1].map((axis) => Math.round((corner[axis] + next[axis]) * 50) / 100);
      return make('li', {}, one(0, 'house right'), one(1, 'upstage'),
        make('button', { type: 'button', title: 'A corner after this one', 'aria-label': `A corner after corner ${n + 1}`, onclick: () => changed([...value.slice(0, n + 1), between, ...value.slice(n + 1)]) }, '+'),
        make('button', { type: 'button', disabled: value.length < 4, title: 'Take this corner out', 'aria-label': `Take corner ${n + 1} out`, onclick: () => changed(value.filter((_, m) => m !== n)) }, '−'));
    });
    return this.#box(label, make('p', { className: 'quiet' }, 'x house right, y upstage'), make('ol', { className: 'corners' }, ...rows));
  }

  #pair(label, value, unit, changed) {
    const inputs = [0, 1].map((n) => number(value?.[n] ?? null, n ? unit : '', true, () => {
      const texts = inputs.map((each) => each.querySelector('input').value.trim());
      if (texts.every(Boolean)) changed(texts.map(typed));
      else if (!texts.some(Boolean)) changed(null);
    }, `${label}: ${n ? 'to' : 'from'}`));
    return this.#box(label, make('div', { className: 'pair' }, ...inputs));
  }

  #passes(label, value, passes, changed, isOpen) {
    const boxes = passes.map((each) => make('input', { type: 'checkbox', value: each.id, checked: value === null || value.includes(each.id) }));
    const told = () => {
      const on = boxes.filter((each) => each.checked).map((each) => each.value);
      const isAll = isOpen && on.length === boxes.length;
      changed(isAll || (!isOpen && !on.length) ? null : on);
    };
    boxes.forEach((each) => each.addEventListener('change', told));
    return this.#box(label, ...passes.map((each, n) => make('label', { className: 'tick' }, boxes[n], ` ${each.name || each.id}`)));
  }

  #permission(label, value, changed) {
    const by = make('input', { value: value?.by ?? '', autocomplete: 'off', placeholder: 'by whom', 'aria-label': 'Who said so' });
    const state = select({ 'aria-label': 'Permission' }, [['', 'nobody has to be asked'], ['given', 'given'], ['asked', 'asked'], ['refused', 'refused']], value?.state);
    const told = () => changed(state.value ? { state: state.value, ...(by.value.trim() ? { by: by.value.trim() } : {}) } : null);
    state.addEventListener('change', told);
    by.addEventListener('change', () => state.value && told());
    return this.#box(label, state, by);
  }
}

