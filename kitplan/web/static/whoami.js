// Who holds this phone: typed once, remembered here, and written beside every change.

import { element, keep, kept } from "./asked.js";

const KEY = "kitplan-name";

export function nameHere() {
  return kept(KEY);
}

/** Show who it is in a form of the page, and let it be changed. */
export function addWho(into, tell = () => {}) {
  function show() {
    const name = nameHere();
    if (name) {
      const other = element("button", { type: "button", class: "plain", onclick: () => ask(name) }, "Not you?");
      into.replaceChildren(element("p", {}, "You are ", element("b", {}, name), ". ", other));
    } else ask("");
    tell(name);
  }
  function ask(before) {
    const input = element("input", { type: "text", id: "my-name", autocomplete: "name", maxlength: 80, required: true, value: before });
    const form = element("form", {}, element("label", { for: "my-name" }, "Who are you? Your name is written beside what you sign."), element("div", { class: "row" }, input, element("button", { class: "main" }, "That is me")));
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      keep(KEY, input.value.trim());
      show();
    });
    into.replaceChildren(form);
  }
  show();
}

/** Return the name; where there is none yet, put the cursor where it is typed and return null. */
export function needName() {
  const name = nameHere();
  if (!name) document.getElementById("my-name")?.focus();
  return name || null;
}
