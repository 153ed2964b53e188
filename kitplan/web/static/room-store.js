// The steps that a page has done on a version of the shoot file: checked by the server, undone,
// done again, saved. Going back a step is leaving it out; the file itself is never kept here.

const JOIN_MS = 900; // steps of one kind within this time are one step to undo

async function asked(path, data) {
  const options = data === undefined ? {} : {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify(data),
  };
  try {
    const answer = await fetch(path, { ...options, cache: 'no-store' });
    const text = await answer.text();
    let found;
    try { found = JSON.parse(text); } catch { found = { error: text }; }
    return { status: answer.status, data: found };
  } catch {
    return { status: 0, data: { error: 'kitplan does not answer. What you changed is still on this page.' } };
  }
}

export const post = (path, data) => asked(path, data);

export class Store extends EventTarget {
  steps = [];
  at = 0; // so many of the steps hold
  saved = 0; // so many are in the file
  now = null; // the shoot after the steps that hold, as the server shows it
  preview = null; // a thing that is being dragged: { of, id, facts }
  isAsking = false; // what is shown is from before the last step: the server is still to answer
  #good = { steps: [], at: 0 };
  #number = 0;
  #join = { key: null, time: 0 };

  get active() { return this.steps.slice(0, this.at); }
  get isChanged() { return this.at !== this.saved; }
  get digest() { return this.base.digest; }

  async load() {
    const answer = await asked('/api/shoot');
    if (answer.status !== 200) return this.#tell('refused', answer.data);
    this.begin(answer.data);
    return true;
  }

  // Starts again from a version of the file.
  begin(data) {
    this.base = data;
    this.now = data;
    this.seen = data.digest;
    this.steps = [];
    this.at = this.saved = 0;
    this.#good = { steps: [], at: 0 };
    this.#tell('changed');
  }

  // Does a step; with a key it joins the one before of the same key.
  do(step, key = null) {
    const last = this.steps[this.at - 1];
    const isSame = key !== null && key === this.#join.key
      && performance.now() - this.#join.time < JOIN_MS
      && this.at === this.steps.length && this.at > this.saved;
    if (isSame) {
      this.steps[this.at - 1] = { ...last, facts: { ...last.facts, ...step.facts } };
    } else {
      if (this.at < this.saved) this.saved = -1;
      this.steps = [...this.active, step];
      this.at += 1;
    }
    this.#join = { key, time: performance.now() };
    return this.#check();
  }

  undo() { return this.#go(this.at - 1); }
  redo() { return this.#go(this.at + 1); }

  #go(at) {
    if (at < 0 || at > this.steps.length) return false;
    this.at = at;
    this.#join.key = null;
    return this.#check();
  }

  async #check() {
    const number = ++this.#number;
    this.isAsking = true;
    this.#tell('state');
    const answer = await asked('/api/draft', { base: this.digest, steps: this.active });
    if (number !== this.#number) return true; // a later one is on its way
    this.isAsking = false;
    if (answer.status === 200) {
      this.#good = { steps: this.steps, at: this.at };
      this.now = { ...this.base, ...answer.data };
      this.preview = null;
      this.#tell('changed');
      return true;
    }
    this.preview = null;
    if (answer.status === 409) {
      this.#tell('conflict', { mine: this.active });
    } else {
      this.steps = this.#good.steps;
      this.at = this.#good.at;
      this.#tell('refused', answer.data);
    }
    this.#tell('changed');
    return false;
  }

  async save() {
    const { at } = this;
    const answer = await asked('/api/shoot', { base: this.digest, steps: this.active, seen: this.seen });
    if (answer.status === 200) {
      this.seen = answer.data.digest;
      this.saved = at;
      this.#tell('saved');
      return true;
    }
    if (answer.status === 409) this.#tell('conflict', { mine: this.active });
    else this.#tell('refused', answer.data);
    return false;
  }

  // Asks whether somebody else has saved meanwhile.
  async look() {
    const { seen } = this;
    const answer = await asked('/api/shoot');
    if (this.seen !== seen) return; // saved from here meanwhile: the answer is from before
    if (answer.status !== 200 || answer.data.digest === seen) return;
    if (this.isChanged) this.#tell('conflict', { mine: this.active, theirs: answer.data });
    else this.begin(answer.data);
  }

  // Does steps again, one by one, on the version that is loaded now; returns those that fail.
  async again(steps) {
    const failed = [];
    for (const step of steps) {
      const trial = [...this.active, step];
      const answer = await asked('/api/draft', { base: this.digest, steps: trial });
      if (answer.status === 200) {
        this.steps = trial;
        this.at = trial.length;
        this.#good = { steps: trial, at: trial.length };
        this.now = { ...this.base, ...answer.data };
      } else {
        failed.push({ step, why: answer.data.error });
      }
    }
    this.#tell('changed');
    return failed;
  }

  #tell(name, detail = null) {
    this.dispatchEvent(new CustomEvent(name, { detail }));
    return false;
  }
}
