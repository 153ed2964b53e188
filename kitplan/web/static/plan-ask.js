// Questions about a plan: why a thing is in it or not, what moves if it is lost, where to fix it.

import { element, get, post } from "./asked.js";
import { shown } from "./plan-text.js";

const dialog = document.getElementById("ask");
const title = document.getElementById("ask-title");
const things = document.getElementById("ask-things");
const answer = document.getElementById("ask-answer");
const GROUPS = { roles: "role", positions: "position", items: "item", people: "person" };
const LOSSES = { person: "If they fall ill", position: "If it is closed", item: "If it breaks" };
const LOCKED = new Set(["position", "person", "role", "body", "lens", "support"]); // parts of a lock
const WHY_S = 10;

export class Ask {
  constructor() {
    this.names = null;
    this.loss = 0; // the search that is awaited
    this.turn = 0;
    document.getElementById("ask-close").addEventListener("click", () => dialog.close());
    document.getElementById("ask-form").addEventListener("submit", (event) => {
      event.preventDefault();
      this.typed(document.getElementById("ask-about").value.trim());
    });
  }

  know(names, plan) {
    this.names = names;
    this.plan = plan;
    const options = Object.keys(GROUPS).flatMap((group) => names[group].map((each) => element("option", { value: each.label }, GROUPS[group])));
    document.getElementById("ask-names").replaceChildren(...options);
  }

  typed(words) {
    const found = Object.keys(GROUPS).flatMap((group) => this.names[group].filter((each) => each.label.toLowerCase() === words.toLowerCase() || each.id === words).map((each) => ({ ...each, kind: GROUPS[group] })));
    this.open(words, found.length ? found : [{ id: words, label: words, kind: "name" }]);
  }

  named(id, label) {
    const found = Object.keys(GROUPS).flatMap((group) => this.names[group].filter((each) => each.id === id).map((each) => ({ ...each, kind: GROUPS[group] })));
    this.open(found[0]?.label ?? label, found.length ? found : [{ id, label, kind: "name" }]);
    this.why(id);
  }

  camera(each, pass) {
    const items = each.units.map((unit) => ({ id: unit.item, unit: unit.id, label: unit.name, kind: "item" }));
    const people = each.operator ? [{ id: each.operator, label: each.who, kind: "person" }] : [];
    const roles = each.roles.filter((role) => this.names.roles.some((known) => known.id === role.id)).map((role) => ({ ...role, kind: "role" }));
    const rig = each.units.map((unit) => [this.kindOf(unit.item), unit.item]).filter(([kind]) => LOCKED.has(kind));
    const lock = { pass: pass.id, position: each.position.id, ...Object.fromEntries(rig) };
    this.open(`Camera ${each.letter} in ${pass.label}`, [{ ...each.position, kind: "position", lock }, ...people, ...roles, ...items]);
  }

  open(words, list) {
    title.textContent = words;
    things.replaceChildren(...list.map((thing) => this.row(thing)));
    answer.replaceChildren();
    this.loss = 0;
    this.turn += 1;
    if (!dialog.open) dialog.showModal();
    document.getElementById("ask-close").focus();
  }

  row(thing) {
    const isLoss = thing.kind !== "role";
    const lock = new URLSearchParams(thing.lock ?? this.lockOf(thing));
    return element("div", { class: "thing" },
      element("span", {}, element("b", {}, thing.label), ` (${thing.kind})`),
      element("span", { class: "row" },
        element("button", { type: "button", onclick: () => this.why(thing.id) }, "Why, why not?"),
        isLoss ? element("button", { type: "button", onclick: () => this.lose(thing) }, LOSSES[thing.kind] ?? "If it is lost") : null,
        lock.size ? element("a", { class: "button", href: `/#lock&${lock}` }, thing.kind === "position" ? "I want this here" : "Fix it in the room") : null));
  }

  kindOf(item) {
    return this.names.items.find((each) => each.id === item)?.kind;
  }

  /** What the room page is asked to fix. */
  lockOf(thing) {
    const part = thing.kind === "item" ? this.kindOf(thing.id) : thing.kind;
    return LOCKED.has(part) ? { [part]: thing.id } : {};
  }

  async why(name) {
    const own = ++this.turn;
    this.say("Looking for the reasons. That takes up to a minute the first time …");
    try {
      const data = await get(`/api/why?about=${encodeURIComponent(name)}&seconds=${WHY_S}`);
      if (own === this.turn) this.text(data.text);
    } catch (error) {
      if (own === this.turn) this.say(error.message, true);
    }
  }

  async lose(thing) {
    const own = ++this.turn;
    this.say(`Planning without ${thing.label} …`);
    try {
      const state = await post("/api/without", { things: [thing.unit ?? thing.id] });
      if (own === this.turn) this.loss = state.search;
    } catch (error) {
      if (own === this.turn) this.say(error.message, true);
    }
  }

  /** News of the search at work. */
  hear(state) {
    if (!this.loss || state.search !== this.loss) return;
    if (!state.is_over) return this.say(`Planning anew and moving as little as can be, ${Math.round(state.elapsed_s)} s …`);
    this.loss = 0;
    if (state.result) this.text(state.result.text);
    else this.say(state.failure?.error ?? "Stopped before there was an answer.", true);
  }

  say(words, isBad = false) {
    answer.replaceChildren(element("p", { class: isBad ? "wrong" : "notice" }, words));
  }

  text(words) {
    answer.replaceChildren(element("div", { class: "told" }, ...shown(words)));
    answer.scrollIntoView({ block: "start" });
  }
}
