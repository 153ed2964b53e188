// The floor plan as it is drawn: to scale, upstage at the top, a grid of metres.

import { place } from './room-labels.js';
import { canTurn, LISTS, things, where } from './room-things.js';

const NS = 'http://www.w3.org/2000/svg';
const LAYERS = ['ground', 'audience', 'stage', 'zones', 'obstacles', 'subjects', 'lamps', 'cone', 'positions', 'cameras', 'words', 'handles'];
const HIT_PX = 20; // what a finger takes hold of
const DISC_PX = 8.5;
const SMALL_PX = 44; // smaller things are taken hold of whole; their corners come with a larger scale
const [LEAST_PX, MOST_PX] = [4, 240]; // per metre

export class Plan {
  selected = null;
  cone = null; // what the lens sees: three or more places
  cameras = []; // of the plan, in the pass that is looked at
  #kept = new Map();

  constructor(svg, store) {
    this.svg = svg;
    this.store = store;
    this.layers = Object.fromEntries(LAYERS.map((name) => [name, svg.appendChild(this.#new('g', { class: `layer-${name}` }))]));
    this.middle = [0, 0];
    this.scale = 20;
  }

  // -- scale ------------------------------------------------------------------------------------

  get size() {
    const box = this.svg.getBoundingClientRect();
    return [Math.max(box.width, 50), Math.max(box.height, 50)];
  }

  px([x, y]) {
    const [w, h] = this.size;
    return [w / 2 + (x - this.middle[0]) * this.scale, h / 2 - (y - this.middle[1]) * this.scale];
  }

  m([px, py]) {
    const [w, h] = this.size;
    return [this.middle[0] + (px - w / 2) / this.scale, this.middle[1] - (py - h / 2) / this.scale];
  }

  fit() {
    const points = [...things(this.store)].flatMap((each) => each.outline ?? [each.at]);
    const xs = points.map((p) => p[0]);
    const ys = points.map((p) => p[1]);
    const [left, right, low, high] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
    const [w, h] = this.size;
    this.middle = [(left + right) / 2, (low + high) / 2];
    this.#scaled(Math.min((w - 70) / Math.max(right - left, 1), (h - 70) / Math.max(high - low, 1)));
    this.draw();
  }

  zoom(factor, at = null) {
    const [w, h] = this.size;
    const spot = at ?? [w / 2, h / 2];
    const kept = this.m(spot);
    this.#scaled(this.scale * factor);
    const now = this.m(spot);
    this.middle = [this.middle[0] + kept[0] - now[0], this.middle[1] + kept[1] - now[1]];
    this.draw();
  }

  pan(dx, dy) {
    this.middle = [this.middle[0] - dx / this.scale, this.middle[1] + dy / this.scale];
    this.draw();
  }

  #scaled(scale) { this.scale = Math.min(Math.max(scale, LEAST_PX), MOST_PX); }

  // -- drawing ----------------------------------------------------------------------------------

  draw() {
    const [w, h] = this.size;
    this.svg.setAttribute('viewBox', `0 0 ${w} ${h}`);
    this.used = new Set();
    this.#grid(w, h);
    const all = [...things(this.store)];
    for (const each of all) this.#thing(each);
    const discs = [...this.#discs(all)];
    if (this.cone) this.#keep('cone', 'cone', 'polygon', { points: this.#points(this.cone), class: 'cone' });
    this.#labels(all, w, h, discs);
    const chosen = all.find((each) => each.key === this.selected);
    if (chosen) this.#handles(chosen);
    for (const [key, element] of this.#kept) {
      if (!this.used.has(key)) { element.remove(); this.#kept.delete(key); }
    }
  }

  #points(outline) { return outline.map((p) => this.px(p).map((v) => v.toFixed(1)).join(',')).join(' '); }

  #grid(w, h) {
    const [left, top] = this.m([0, 0]);
    const [right, low] = this.m([w, h]);
    for (const [step, name] of [[1, 'fine'], [5, 'coarse']]) {
      let d = '';
      if (step * this.scale > 7) {
        for (let x = Math.ceil(left / step) * step; x <= right; x += step) d += `M${this.px([x, 0])[0].toFixed(1)} 0V${h}`;
        for (let y = Math.ceil(low / step) * step; y <= top; y += step) d += `M0 ${this.px([0, y])[1].toFixed(1)}H${w}`;
      }
      this.#keep(`grid-${name}`, 'ground', 'path', { d, class: `grid-${name}` });
    }
    const long = [1, 2, 5, 10].find((each) => each * this.scale >= 60) ?? 10;
    const end = 14 + long * this.scale;
    this.#keep('scale', 'words', 'path', { d: `M14 ${h - 22}v6H${end}v-6`, class: 'scale' });
    this.#word('scale-words', end + 6, h - 13, `${long} m`, 'start');
    this.#word('upstage', w / 2, 16, '↑ upstage', 'middle');
    this.#word('house', w / 2, h - 8, '↓ house', 'middle');
    this.#word('left', 15, h / 2, 'house left', 'middle', -90);
    this.#word('right', w - 15, h / 2, 'house right', 'middle', 90);
  }

  #word(key, x, y, words, anchor, turn = 0) {
    const text = this.#keep(key, 'words', 'text', { x, y, 'text-anchor': anchor, class: 'edge', transform: turn ? `rotate(${turn} ${x} ${y})` : '' });
    if (text.textContent !== words) text.textContent = words;
  }

  #thing(each) {
    const group = this.#keep(each.key, each.of, 'g', {
      class: `thing ${each.of} ${each.of === 'subjects' ? `kind-${each.facts.kind}` : ''}${each.key === this.selected ? ' selected' : ''}`,
      tabindex: 0,
      role: 'button',
      'aria-pressed': each.key === this.selected,
      'aria-label': `${LISTS[each.of].one} ${each.of === 'stage' ? '' : each.label}: ${where(each.at)}${this.#planned(each)}`,
      'data-key': each.key,
    });
    const shapes = [...this.#shapes(each)];
    while (group.children.length > shapes.length) group.lastChild.remove();
    shapes.forEach(([tag, attributes], n) => {
      let shape = group.children[n];
      if (!shape || shape.tagName !== tag) {
        const made = this.#new(tag, {});
        if (shape) shape.replaceWith(made); else group.append(made);
        shape = made;
      }
      this.#set(shape, attributes);
    });
  }

  * #shapes(each) {
    const { facts, of } = each;
    const [x, y] = this.px(each.at);
    if (each.outline) {
      const isBig = of === 'subjects' && facts.kind !== 'group';
      yield ['polygon', { points: this.#points(each.outline), class: isBig ? 'outline faint' : 'outline' }];
    }
    if (of === 'subjects' && facts.at_m) yield* this.#person(each, x, y);
    if (of === 'lamps') {
      yield ['circle', { cx: x, cy: y, r: 7, class: 'lamp' }];
      yield ['path', { d: `M${x - 5} ${y - 5}l10 10m0 -10l-10 10`, class: 'lamp' }];
      if (facts.faces_deg !== null) yield ['path', { d: this.#ray(x, y, facts.faces_deg, 8, 24), class: 'way' }];
    }
    if (of === 'positions') {
      const r = 8;
      if (facts.arc_deg) yield ['path', { d: facts.arc_deg.map((deg) => this.#ray(x, y, deg, 10, 26)).join(''), class: 'arc' }];
      yield ['path', { d: `M${x} ${y - r}l${r} ${r}l${-r} ${r}l${-r} ${-r}z`, class: facts.permission?.state === 'refused' ? 'lozenge refused' : 'lozenge' }];
      if (facts.stands_on !== 'floor') yield ['path', { d: `M${x - 11} ${y}h22`, class: 'rail' }];
    }
    if (!each.outline || of === 'positions' || this.#span(each) < SMALL_PX) yield ['circle', { cx: x, cy: y, r: HIT_PX, class: 'hit' }];
  }

  #camerasAt(each) { return each.of === 'positions' ? this.cameras.filter((one) => one.position === each.id) : []; }

  #planned(each) { return this.#camerasAt(each).map((one) => `; planned: camera ${one.letter}, ${one.who}`).join(''); }

  // The cameras of the plan over their positions: filled where somebody operates. Yields their middles.
  * #discs(all) {
    for (const each of all) {
      const own = this.#camerasAt(each);
      const [x, y] = this.px(each.at);
      for (const [n, { letter, manner }] of own.entries()) {
        const at = [x + (n - (own.length - 1) / 2) * 2.2 * DISC_PX, y - 2.2 * DISC_PX];
        const state = manner === 'operated' ? '' : ' locked-off';
        this.#keep(`disc ${letter}`, 'cameras', 'circle', { cx: at[0], cy: at[1], r: DISC_PX, class: `camera${state}` });
        const text = this.#keep(`letter ${letter}`, 'cameras', 'text', { x: at[0], y: at[1] + 4, 'text-anchor': 'middle', class: `letter${state}` });
        if (text.textContent !== letter) text.textContent = letter;
        yield at;
      }
    }
  }

  * #person(each, x, y) {
    const wide = Math.min(Math.max(each.facts.width_m * this.scale, 14), 40);
    const turn = `rotate(${each.facts.faces_deg} ${x} ${y})`;
    if (each.facts.roam_m) yield ['circle', { cx: x, cy: y, r: each.facts.roam_m * this.scale, class: 'roam' }];
    if (each.facts.kind === 'object') {
      yield ['rect', { x: x - wide / 2, y: y - wide / 3, width: wide, height: wide / 1.5, class: 'body', transform: turn }];
      return;
    }
    const deep = wide * 0.4;
    yield ['rect', { x: x - wide / 2, y: y - deep / 2, width: wide, height: deep, rx: deep / 2, class: 'body', transform: turn }];
    yield ['path', { d: `M${x - 3} ${y - wide * 0.24}l3 -5l3 5z`, class: 'nose', transform: turn }];
    yield ['circle', { cx: x, cy: y, r: wide * 0.26, class: 'head' }];
  }

  #ray(x, y, deg, from, to) {
    const [s, c] = [Math.sin((deg * Math.PI) / 180), -Math.cos((deg * Math.PI) / 180)];
    return `M${(x + s * from).toFixed(1)} ${(y + c * from).toFixed(1)}L${(x + s * to).toFixed(1)} ${(y + c * to).toFixed(1)}`;
  }

  #labels(all, w, h, discs) {
    const rank = { positions: 1, subjects: 2, lamps: 3, stage: 4, obstacles: 5, zones: 6, audience: 7 };
    const font = getComputedStyle(this.svg).font;
    const wishes = all
      .filter((each) => each.of !== 'subjects' || each.facts.kind !== 'stage')
      .map((each) => ({ key: each.key, words: each.label, at: this.px(each.at), isArea: this.isWide(each), rank: each.key === this.selected ? 0 : rank[each.of] }))
      .sort((a, b) => a.rank - b.rank);
    for (const label of place(wishes, w, h, font, discs)) {
      const of = label.key.split('/')[0];
      const text = this.#keep(`label ${label.key}`, 'words', 'text', {
        x: label.x, y: label.y, 'text-anchor': 'start', class: `label of-${of}${label.key === this.selected ? ' selected' : ''}`,
      });
      if (text.textContent !== label.words) text.textContent = label.words;
    }
  }

  // Whether a name finds room inside a thing.
  isWide(each) {
    if (!each.outline || each.facts.at_m) return false;
    const spots = each.outline.map((corner) => this.px(corner));
    const span = (n) => Math.max(...spots.map((p) => p[n])) - Math.min(...spots.map((p) => p[n]));
    return span(0) > 60 && span(1) > 20;
  }

  // How long the longer side of a thing is drawn.
  #span(each) {
    const long = (n) => Math.max(...each.outline.map((p) => p[n])) - Math.min(...each.outline.map((p) => p[n]));
    return Math.max(long(0), long(1)) * this.scale;
  }

  #handles(each) {
    if (!each.isFree) return;
    const corners = each.facts.outline_m && this.#span(each) >= SMALL_PX ? each.facts.outline_m : [];
    corners.forEach((corner, n) => {
      const [x, y] = this.px(corner);
      this.#keep(`corner ${n}`, 'handles', 'rect', { x: x - 6, y: y - 6, width: 12, height: 12, class: 'handle', 'data-handle': n });
    });
    if (!canTurn(each)) return;
    const [x, y] = this.px(each.at);
    const deg = each.facts.outline_m ? 0 : each.facts.faces_deg ?? each.facts.arc_deg?.[0] ?? 180;
    const far = each.facts.outline_m ? 34 : 40;
    const tip = [x + Math.sin((deg * Math.PI) / 180) * far, y - Math.cos((deg * Math.PI) / 180) * far];
    this.#keep('turn-line', 'handles', 'path', { d: `M${x} ${y}L${tip[0]} ${tip[1]}`, class: 'turn-line' });
    this.#keep('turn', 'handles', 'path', { d: `M${tip[0]} ${tip[1] - 10}l10 10l-10 10l-10 -10z`, class: 'handle', 'data-handle': 'turn' });
  }

  // -- elements ---------------------------------------------------------------------------------

  #new(tag, attributes) {
    const element = document.createElementNS(NS, tag);
    this.#set(element, attributes);
    return element;
  }

  #set(element, attributes) {
    for (const [name, value] of Object.entries(attributes)) {
      const text = typeof value === 'number' ? String(Math.round(value * 10) / 10) : String(value);
      if (element.getAttribute(name) !== text) element.setAttribute(name, text);
    }
    for (const name of element.getAttributeNames()) if (!(name in attributes)) element.removeAttribute(name);
  }

  // An element that stays the same while it is drawn again, so that it keeps the focus.
  #keep(key, layer, tag, attributes) {
    let element = this.#kept.get(key);
    if (!element) {
      element = this.layers[layer].appendChild(this.#new(tag, {}));
      this.#kept.set(key, element);
    }
    this.used.add(key);
    this.#set(element, attributes);
    return element;
  }

  element(key) { return this.#kept.get(key) ?? null; }

}
