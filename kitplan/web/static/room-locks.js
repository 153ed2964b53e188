// What is fixed by hand: a rig, a person, a position that a plan has to keep, or never makes.

import { make, row, select } from './room-forms.js';

const PARTS = ['pass', 'position', 'body', 'lens', 'support', 'person', 'role'];

export class Locks {
  #drawn = '';
  isOpen = false; // the list is unfolded

  constructor(element, store, sight) {
    Object.assign(this, { element, store, sight });
    this.said = make('p', { className: 'quiet', role: 'status' });
    store.addEventListener('saved', () => { if (this.said.textContent) this.#say('Saved. ', make('a', { href: '/plan' }, 'Plan the rest around it')); });
  }

  show(position) {
    const { locks } = this.store.now.shoot;
    const text = JSON.stringify([locks, position, this.sight.last?.chosen, this.store.now.shoot.venue.positions.map((each) => each.id)]);
    if (text === this.#drawn || this.#isBusy()) return;
    this.#drawn = text;
    const rows = ['keep', 'never'].flatMap((of) => locks[of].map((lock) => this.#row(of, lock)));
    const title = rows.length ? `${rows.length} fixed` : 'Nothing is fixed: a plan is free to choose';
    const list = make('details', { open: this.isOpen, ontoggle: (event) => { this.isOpen = event.target.open; } },
      make('summary', {}, title), make('ul', { className: 'locks' }, ...rows));
    this.element.replaceChildren(list, this.said, this.#form(position));
  }

  #isBusy() { return this.element.querySelector('form')?.contains(document.activeElement); }

  #facts(lock) {
    return Object.fromEntries(Object.entries(lock).filter(([, value]) => value !== null));
  }

  #row(of, lock) {
    const facts = this.#facts(lock);
    const words = Object.entries(facts).map(([part, id]) => `${part} ${this.#name(part, id)}`).join(', ');
    const title = `${of === 'keep' ? 'Keep' : 'Never'}: ${words}`;
    return make('li', {}, make('span', {}, title), make('button', {
      type: 'button', 'aria-label': `Undo the lock. ${title}`,
      onclick: () => this.store.do({ do: 'delete', of, facts }),
    }, 'Let go'));
  }

  #choices(part) {
    const { shoot } = this.store.now;
    const { items, roles } = this.store.base.choices;
    const named = (list) => list.map((each) => [each.id, each.name || each.id]);
    const known = {
      pass: () => named(shoot.passes),
      position: () => named(shoot.venue.positions),
      person: () => named(shoot.crew),
      role: () => roles.map((each) => [each.id, each.label]),
    };
    return known[part]?.() ?? (items[part] ?? []).map((each) => [each.id, each.label]);
  }

  #name(part, id) { return this.#choices(part).find(([own]) => own === id)?.[1] ?? id; }

  #form(position) {
    const start = { position };
    const of = select({ name: 'of' }, [['keep', 'Keep'], ['never', 'Never']], 'keep');
    const picks = PARTS.map((part) => select({ name: part }, [['', part === 'pass' ? 'some pass' : 'any'], ...this.#choices(part)], start[part]));
    const form = make('form', { className: 'lock', onsubmit: (event) => { event.preventDefault(); this.#fix(form, of, picks); } },
      make('p', { className: 'quiet' }, 'A plan keeps a camera like this, or never has one:'),
      row('Lock', of),
      ...PARTS.map((part, n) => row(part[0].toUpperCase() + part.slice(1), picks[n])),
      make('button', {}, 'Fix this'));
    return form;
  }

  // Fills in what is looked at.
  take() {
    const seen = this.sight.last;
    if (!seen) return;
    const camera = seen.cameras.find((each) => each.key === seen.chosen.camera);
    const stand = seen.stands.find((each) => each.key === seen.chosen.stand);
    const { pass } = this.sight;
    this.fill({ pass, position: this.sight.position, body: camera.body, lens: camera.lens, support: stand.support });
  }

  // Fills in the form, for somebody to take away from it what may stay free.
  fill(facts) {
    const form = this.element.querySelector('form');
    if (!form) return;
    form.elements.of.value = 'keep';
    for (const name of PARTS) form.elements[name].value = facts[name] ?? '';
    form.scrollIntoView({ block: 'center' });
    form.elements.of.focus();
  }

  async #fix(form, of, picks) {
    const facts = Object.fromEntries(picks.filter((each) => each.value).map((each) => [each.name, each.value]));
    document.activeElement?.blur();
    const text = (own) => JSON.stringify(Object.entries(own).sort());
    const isThere = this.store.now.shoot.locks[of.value].some((lock) => text(this.#facts(lock)) === text(facts));
    if (isThere) { this.#say('That is fixed already.'); return; }
    this.isOpen = true;
    if (await this.store.do({ do: 'add', of: of.value, facts })) this.#say('Fixed. Press Save, then plan the rest around it.');
  }

  #say(...words) { this.said.replaceChildren(...words); }
}
