// The cameras of the plan that there is, for the room: drawn lightly, and what each looks through.

const PARTS = ['subject', 'size', 'manner', 'body', 'mode', 'lens', 'adapter', 'support', 'head'];

export class Planned {
  #cameras = [];

  async load() {
    try {
      const reply = await fetch('/api/plan/cameras');
      if (reply.ok) this.#cameras = (await reply.json()).cameras;
    } catch { /* the room is drawn without them */ }
  }

  get isThere() { return this.#cameras.length > 0; }

  // Those of a pass; what the room no longer has is left out.
  in(pass, shoot) {
    const has = (list, id) => list.some((each) => each.id === id);
    return this.#cameras.filter((each) => each.pass === pass && has(shoot.venue.positions, each.position) && has(shoot.subjects, each.subject));
  }

  at(position, pass, shoot) { return this.in(pass, shoot).filter((each) => each.position === position); }
}

// What is asked about to look through a planned camera.
export const asked = (camera) => ({ in_pass: camera.pass, ...Object.fromEntries(PARTS.map((part) => [part, camera[part]])) });

export const words = (camera) => `${camera.letter}, as planned: ${camera.frames}, ${camera.who}`;
