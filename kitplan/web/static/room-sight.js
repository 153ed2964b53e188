// What a lens sees from the selected position: drawn anew while things move.

import { make, row, select } from './room-forms.js';
import { asked, words } from './room-planned.js';

const IDLE = 'Choose a position on the plan to see what a lens sees from there.';

export class Sight {
  choice = { in_pass: null, subject: null, size: null, manner: 'operated' };
  through = null; // the planned camera that is looked through
  last = null; // the last answer
  #running = false;
  #again = false;
  #position = null;

  constructor(element, mini, store, plan, planned) {
    Object.assign(this, { element, mini, store, plan, planned });
    this.form = make('div', { className: 'ask' });
    this.image = make('img', { className: 'frame', alt: '' });
    this.verdict = make('p', { className: 'verdict', role: 'status' });
    this.reasons = make('ul', { className: 'reasons' });
    this.figures = make('dl', { className: 'figures' });
    this.fix = make('button', { type: 'button' }, 'Fix this by hand …');
    this.notes = make('p', { className: 'quiet' });
    this.title = make('p', { className: 'kind' });
    this.rest = make('div', { hidden: true }, this.title, this.image, this.verdict, this.reasons, this.form, this.figures, this.notes, this.fix);
    this.idle = make('p', { className: 'quiet' }, IDLE);
    element.append(this.idle, this.rest);
  }

  // A position stays the one that is looked from while other things are selected.
  from(position) {
    const known = this.store.now.shoot.venue.positions.some((each) => each.id === (position ?? this.#position));
    const isNew = Boolean(position) && position !== this.#position;
    if (position) this.#position = position;
    if (!known) this.#position = null;
    if (isNew || !known) [this.through = null] = this.#planned();
    return this.refresh();
  }

  get position() { return this.#position; }

  get pass() {
    const { passes } = this.store.now.shoot;
    return passes.some((each) => each.id === this.choice.in_pass) ? this.choice.in_pass : passes.at(-1).id;
  }

  // What differs from the planned camera is a choice of one's own.
  ask(facts) {
    if (this.through) this.choice = { ...this.choice, ...asked(this.through) };
    this.through = null;
    this.choice = { ...this.choice, ...facts };
    return this.refresh();
  }

  #look(letter) {
    if (!letter) return this.ask({});
    this.through = this.#planned().find((each) => each.letter === letter);
    return this.refresh();
  }

  #turn(in_pass) {
    this.choice.in_pass = in_pass;
    [this.through = null] = this.#planned();
    return this.refresh();
  }

  #planned() { return this.planned.at(this.#position, this.pass, this.store.now.shoot); }

  #question() {
    const { shoot } = this.store.now;
    const has = (list, id) => list.some((each) => each.id === id);
    const { choice } = this;
    choice.in_pass = this.pass;
    this.plan.cameras = this.planned.in(this.pass, shoot);
    if (this.through && !this.#planned().includes(this.through)) this.through = null;
    if (!has(shoot.subjects, choice.subject)) choice.subject = (['stage', 'person'].map((kind) => shoot.subjects.find((each) => each.kind === kind)).find(Boolean) ?? shoot.subjects[0]).id;
    const ask = { position: this.#position };
    for (const [name, value] of Object.entries(this.through ? asked(this.through) : choice)) if (value) ask[name] = value;
    return ask;
  }

  // One question at a time; what changed meanwhile is asked once, at the end.
  async refresh() {
    if (!this.#position) { this.#show(null); return; }
    if (this.#running) { this.#again = true; return; }
    this.#running = true;
    do {
      this.#again = false;
      await this.#once();
    } while (this.#again);
    this.#running = false;
  }

  async #once() {
    const { preview, active, digest } = this.store;
    const steps = preview ? [...active, { do: 'set', ...preview }] : active;
    const begun = performance.now();
    let answer;
    try {
      const reply = await fetch('/api/view', {
        method: 'POST', headers: { 'content-type': 'application/json' },
        body: JSON.stringify({ base: digest, steps, ask: this.#question() }),
      });
      answer = { status: reply.status, data: await reply.json() };
    } catch {
      answer = { status: 0, data: { error: 'kitplan does not answer.' } };
    }
    this.took = performance.now() - begun;
    if (answer.status === 200) this.#show(answer.data);
    else this.#refused(answer.data);
  }

  #refused(data) {
    this.last = null;
    this.idle.hidden = true;
    this.rest.hidden = false;
    this.image.hidden = this.mini.hidden = true;
    this.verdict.textContent = 'Nothing to see until this is put right:';
    this.reasons.replaceChildren(...(data.problems?.length ? data.problems : [data.error]).map((each) => make('li', {}, each)));
    this.figures.replaceChildren();
    this.notes.textContent = '';
    this.#cone(null);
  }

  #show(seen) {
    this.last = seen;
    this.idle.hidden = Boolean(seen);
    this.rest.hidden = !seen;
    this.#cone(seen?.cone.length ? seen.cone : null);
    if (!seen) { this.mini.hidden = true; return; }
    const { name, id } = this.store.now.shoot.venue.positions.find((each) => each.id === this.#position);
    this.title.textContent = `From ${name || id}`;
    this.#form(seen);
    this.image.hidden = !seen.svg;
    this.mini.hidden = !seen.svg;
    if (seen.svg) this.image.src = this.mini.src = `data:image/svg+xml;charset=utf-8,${encodeURIComponent(seen.svg)}`;
    this.image.alt = `Drawn frame: ${seen.title}`;
    const count = seen.refusals.length;
    this.verdict.textContent = count ? `! Refused, ${count === 1 ? 'for one reason' : `for ${count} reasons`}:` : 'This works.';
    this.verdict.className = count ? 'verdict no' : 'verdict yes';
    this.reasons.replaceChildren(...seen.refusals.map((each) => make('li', {}, each.words)));
    this.figures.replaceChildren(...seen.figures.flatMap(([name, words]) => [make('dt', {}, name), make('dd', {}, words)]));
    this.notes.textContent = seen.notes.length ? `In the picture: ${seen.notes.join('; ')}.` : '';
  }

  #cone(cone) {
    const legend = document.getElementById('discs');
    legend.hidden = !this.plan.cameras.length;
    legend.textContent = `Discs: cameras of the plan in ${this.store.now.shoot.passes.find((each) => each.id === this.pass).name || this.pass}; filled: somebody operates it, hollow: locked off.`;
    this.plan.cone = cone;
    this.plan.draw();
  }

  #form(seen) {
    const { shoot } = this.store.now;
    const named = (list) => list.map((each) => [each.id, each.name || each.id]);
    const { chosen } = seen;
    const camera = seen.cameras.find((each) => each.key === chosen.camera);
    const bodies = new Map();
    const bodyKey = (each) => `${each.body}+${each.mode}`;
    for (const each of seen.cameras) bodies.set(bodyKey(each), [each.body_label, (bodies.get(bodyKey(each))?.[1] ?? false) || each.works]);
    const cross = (words, works) => (works ? words : `! ${words}`);
    const planned = this.#planned();
    const now = this.through ? asked(this.through) : this.choice;
    const text = JSON.stringify([seen.chosen, seen.cameras, seen.stands, seen.sizes, now, planned, this.through?.letter, named(shoot.subjects), named(shoot.passes), this.#position]);
    if (text === this.formed) return;
    this.formed = text;
    const focus = this.form.contains(document.activeElement) ? document.activeElement.name : null;
    const pick = (name, choices, value, changed) => select({ name, onchange: (event) => changed(event.target.value) }, choices, value);
    const long = (label, content) => { const made = row(label, content); made.classList.add('long'); return made; };
    const through = planned.length
      ? long('Through', pick('through', [...planned.map((each) => [each.letter, words(each)]), ['', 'a choice of your own']], this.through?.letter ?? '', (letter) => this.#look(letter)))
      : null;
    this.form.replaceChildren(...[
      through,
      row('Pass', pick('pass', named(shoot.passes), this.pass, (in_pass) => this.#turn(in_pass))),
      row('Subject', pick('subject', named(shoot.subjects), now.subject, (subject) => this.ask({ subject }))),
      row('Size', pick('size', seen.sizes.map((each) => [each, each]), chosen.size, (size) => this.ask({ size }))),
      row('By', pick('manner', [['operated', 'an operator'], ['locked-off', 'nobody, locked off']], chosen.manner, (manner) => this.ask({ manner }))),
      long('Body', pick('body', [...bodies].map(([id, [label, works]]) => [id, cross(label, works)]), bodyKey(camera), (key) => {
        const { body, mode } = seen.cameras.find((each) => bodyKey(each) === key);
        return this.ask({ body, mode, lens: null, adapter: null });
      })),
      long('Lens', pick('lens', seen.cameras.filter((each) => bodyKey(each) === bodyKey(camera)).map((each) => [each.key, cross(each.lens_label, each.works)]), camera.key, (key) => {
        const { body, mode, lens, adapter } = seen.cameras.find((each) => each.key === key);
        return this.ask({ body, mode, lens, adapter });
      })),
      long('On', pick('stand', [['', 'whatever fits'], ...seen.stands.map((each) => [each.key, cross(each.label, !each.refusal)])], now.support ? chosen.stand : '', (key) => {
        const stand = seen.stands.find((each) => each.key === key);
        return this.ask({ support: stand?.support ?? null, head: stand?.head ?? null });
      })),
    ].filter(Boolean));
    if (focus) this.form.querySelector(`[name="${focus}"]`)?.focus();
  }
}
