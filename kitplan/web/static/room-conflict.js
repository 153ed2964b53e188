// Somebody else has saved the file meanwhile: both are shown, and nothing is lost.

import { make } from './room-forms.js';
import { LISTS } from './room-things.js';

const number = (value) => (typeof value === 'number' ? Math.round(value * 1000) / 1000 : value);

export function inWords(step) {
  const word = step.of === 'keep' || step.of === 'never' ? `lock (${step.of})` : LISTS[step.of].one.toLowerCase();
  const name = step.id ? ` ${step.id}` : '';
  const facts = Object.entries(step.facts ?? {}).map(([fact, value]) => `${fact} ${JSON.stringify(value, (_, each) => number(each))}`).join(', ');
  if (step.do === 'set') return `${word}${name}: ${facts}`;
  if (step.do === 'rename') return `${word}${name} is called ${step.to}`;
  return `${step.do} ${word}${name} ${facts}`;
}

// What differs between two versions of a shoot, thing by thing.
export function* differences(before, after) {
  const lists = (shoot) => ({ ...shoot.venue, subjects: shoot.subjects });
  for (const of of Object.keys(LISTS)) {
    const rows = [before, after].map((shoot) => {
      const found = lists(shoot)[of];
      return new Map((Array.isArray(found) ? found : [{ ...found, id: of }]).map((each) => [each.id, each]));
    });
    for (const id of new Set([...rows[0].keys(), ...rows[1].keys()])) {
      const [old, now] = [rows[0].get(id), rows[1].get(id)];
      const word = `${LISTS[of].one.toLowerCase()} ${id}`;
      if (!old) yield `add ${word}`;
      else if (!now) yield `delete ${word}`;
      else {
        const facts = Object.keys(now).filter((fact) => JSON.stringify(now[fact]) !== JSON.stringify(old[fact]));
        if (facts.length) yield `${word}: ${facts.map((fact) => `${fact} ${JSON.stringify(now[fact])}`).join(', ')}`;
      }
    }
  }
  const rest = (shoot) => JSON.stringify({ ...shoot, venue: null, subjects: null });
  if (rest(before) !== rest(after)) yield 'something beside the room: passes, songs, crew, roles, locks …';
}

export class Conflict {
  constructor(element, store) {
    Object.assign(this, { element, store });
  }

  async show({ mine, theirs }) {
    const { store } = this;
    let other = theirs;
    if (!other) {
      const answer = await fetch('/api/shoot', { cache: 'no-store' });
      other = await answer.json();
      if (!answer.ok) { this.#say('The file has been changed and does not read now.', other.problems ?? [other.error]); return; }
    }
    const list = (title, words) => make('div', {}, make('h3', {}, title), make('ul', {}, ...words.map((each) => make('li', {}, each))));
    const changed = [...differences(store.base.shoot, other.shoot)];
    this.element.replaceChildren(
      make('h2', {}, 'Somebody else has saved the file'),
      make('p', {}, 'Nothing is lost, and nothing was overwritten.'),
      make('div', { className: 'both' },
        list('Yours, not saved', mine.length ? mine.map(inWords) : ['nothing']),
        list('Theirs, in the file since you opened it', changed.length ? changed : ['only comments or form'])),
      make('button', { type: 'button', onclick: () => this.#join(other, mine) }, 'Take theirs, and do mine again on it'),
      make('button', { type: 'button', onclick: () => { this.#close(); store.begin(other); } }, 'Take theirs, drop mine'),
    );
    this.element.hidden = false;
    this.element.querySelector('button').focus();
  }

  async #join(other, mine) {
    this.store.begin(other);
    const failed = await this.store.again(mine);
    if (!failed.length) { this.#close(); return; }
    this.#say('These of yours do not go with theirs; do them by hand if they are still wanted:', failed.map(({ step, why }) => `${inWords(step)} (${why})`));
  }

  #say(title, words) {
    this.element.replaceChildren(
      make('h2', {}, title),
      make('ul', {}, ...words.map((each) => make('li', {}, each))),
      make('button', { type: 'button', onclick: () => this.#close() }, 'Close'),
    );
    this.element.hidden = false;
  }

  #close() {
    this.element.hidden = true;
    this.element.replaceChildren();
  }
}
