// Hands on the floor plan: pointer and finger, wheel and keys.

import { canTurn, find, fromKey, moved, rounded, turned } from './room-things.js';

const START_PX = 4; // less than this is a press, not a drag
const [FINE_M, COARSE_M, TURN_DEG] = [0.1, 1, 5];
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

export class Hand {
  #pointers = new Map();
  #drag = null;

  // `events` gets `select(key)`, `dragged()` while something moves, and `taken(key)` for Delete.
  constructor(plan, store, snaps, events) {
    Object.assign(this, { plan, store, snaps, events });
    const { svg } = plan;
    svg.addEventListener('pointerdown', (event) => this.#down(event));
    svg.addEventListener('pointermove', (event) => this.#move(event));
    svg.addEventListener('pointerup', (event) => this.#up(event));
    svg.addEventListener('pointercancel', (event) => this.#up(event, true));
    svg.addEventListener('wheel', (event) => this.#wheel(event), { passive: false });
    svg.addEventListener('keydown', (event) => this.#key(event));
    svg.addEventListener('focusin', (event) => {
      const key = event.target.dataset?.key;
      if (key && key !== plan.selected) events.select(key);
    });
  }

  #spot(event) {
    const box = this.plan.svg.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  }

  #down(event) {
    if (event.button > 0) return;
    const spot = this.#spot(event);
    this.#pointers.set(event.pointerId, spot);
    this.plan.svg.setPointerCapture(event.pointerId);
    if (this.#pointers.size > 1) { this.#stop(); return; }
    const handle = event.target.dataset.handle;
    const key = handle === undefined ? event.target.closest('[data-key]')?.dataset.key : this.plan.selected;
    // A wide area is ground to pan on until it is chosen: it takes a press first.
    const isGround = handle === undefined && key && key !== this.plan.selected && this.plan.isWide(find(this.store, key));
    this.#drag = { key: isGround ? null : key, pressed: key, handle, from: spot, last: spot, isOn: false };
    if (key && handle === undefined) event.preventDefault(); // the focus goes to the thing itself
    if (this.#drag.key && handle === undefined) this.#choose(key);
  }

  #choose(key) {
    this.plan.element(key)?.focus({ preventScroll: true });
    this.events.select(key);
  }

  #move(event) {
    if (!this.#pointers.has(event.pointerId)) return;
    const spot = this.#spot(event);
    const before = [...this.#pointers.values()];
    this.#pointers.set(event.pointerId, spot);
    if (this.#pointers.size === 2) { this.#pinch(before, [...this.#pointers.values()]); return; }
    const drag = this.#drag;
    if (!drag) return;
    if (!drag.isOn && Math.hypot(spot[0] - drag.from[0], spot[1] - drag.from[1]) < START_PX) return;
    drag.isOn = true;
    if (!drag.key) this.plan.pan(spot[0] - drag.last[0], spot[1] - drag.last[1]);
    else this.#preview(drag, spot);
    drag.last = spot;
  }

  #preview(drag, spot) {
    drag.thing ??= find(this.store, drag.key);
    if (!drag.thing.isFree) return;
    const { of, id } = fromKey(drag.key);
    this.store.preview = { of, id, facts: this.#facts(drag, spot) };
    this.plan.draw();
    this.events.dragged();
  }

  #facts({ thing, handle, from }, spot) {
    const step = this.snaps() ? FINE_M : null;
    if (handle === 'turn') {
      const [x, y] = this.plan.px(thing.at);
      const deg = (Math.atan2(spot[0] - x, y - spot[1]) * 180) / Math.PI;
      const start = thing.facts.outline_m ? 0 : thing.facts.faces_deg ?? thing.facts.arc_deg?.[0] ?? 180;
      return turned(thing, rounded(deg, this.snaps() ? TURN_DEG : 1) - start);
    }
    if (handle !== undefined) {
      const outline = thing.facts.outline_m.map((corner) => [...corner]);
      outline[Number(handle)] = this.plan.m(spot).map((each) => rounded(each, step ?? 0.01));
      return { outline_m: outline };
    }
    const [dx, dy] = [(spot[0] - from[0]) / this.plan.scale, (from[1] - spot[1]) / this.plan.scale];
    return moved(thing, dx, dy, step ?? 0.01);
  }

  #up(event, isLost = false) {
    if (!this.#pointers.delete(event.pointerId)) return;
    const drag = this.#drag;
    this.#drag = null;
    if (!drag) return;
    if (drag.isOn && drag.key && this.store.preview && !isLost) {
      this.store.do({ do: 'set', ...this.store.preview });
    } else if (!drag.isOn && !drag.key && !isLost) {
      if (drag.pressed) this.#choose(drag.pressed);
      else this.events.select(null);
    } else {
      this.#stop();
    }
  }

  #stop() {
    this.#drag = null;
    this.store.preview = null;
    this.plan.draw();
  }

  #pinch([a, b], [c, d]) {
    const apart = (p, q) => Math.max(Math.hypot(p[0] - q[0], p[1] - q[1]), 1);
    const middle = (p, q) => [(p[0] + q[0]) / 2, (p[1] + q[1]) / 2];
    const [was, is] = [middle(a, b), middle(c, d)];
    this.plan.pan(is[0] - was[0], is[1] - was[1]);
    this.plan.zoom(apart(c, d) / apart(a, b), is);
  }

  #wheel(event) {
    event.preventDefault();
    this.plan.zoom(Math.exp(-event.deltaY / 500), this.#spot(event));
  }

  #key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const { key } = event;
    const thing = this.plan.selected && find(this.store, this.plan.selected);
    if (key in ARROWS && thing?.isFree) {
      const far = event.shiftKey ? COARSE_M : FINE_M;
      this.#set(thing, moved(thing, ARROWS[key][0] * far, ARROWS[key][1] * far), 'move');
    } else if ((key === '[' || key === ']') && thing && canTurn(thing)) {
      this.#set(thing, turned(thing, key === ']' ? TURN_DEG : -TURN_DEG), 'turn');
    } else if ((key === 'Delete' || key === 'Backspace') && thing) {
      this.events.taken(thing.key);
    } else if (key === 'Escape') {
      this.#stop();
      event.target.blur?.();
      this.events.select(null);
    } else if (key === '+' || key === '=') {
      this.plan.zoom(1.25);
    } else if (key === '-') {
      this.plan.zoom(0.8);
    } else if (key === '0') {
      this.plan.fit();
    } else {
      return;
    }
    event.preventDefault();
  }

  // Steps that follow each other quickly build on what is drawn, not on what the server knows yet.
  #set(thing, facts, how) {
    const { of, id } = thing;
    this.store.preview = { of, id, facts };
    this.plan.draw();
    this.store.do({ do: 'set', of, id, facts }, `${how} ${thing.key}`);
    this.events.dragged();
  }
}
