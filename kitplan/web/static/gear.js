// The gear: find a thing by any of its words.

import { element, get, pathOf, post, say } from "./asked.js";
import { addWho, needName } from "./whoami.js";

const PAUSE_MS = 180;
const field = document.getElementById("find");
const results = document.getElementById("found");
const before = document.getElementById("before");
let asking = null;
let waiting = 0;

addWho(document.getElementById("who"));
field.addEventListener("input", () => {
  clearTimeout(waiting);
  waiting = setTimeout(look, PAUSE_MS);
});
field.form.addEventListener("submit", (event) => {
  event.preventDefault();
  look(true);
});
if (field.value) look();

document.getElementById("keep")?.addEventListener("click", async (event) => {
  const who = needName();
  if (!who) return;
  event.target.disabled = true;
  try {
    await post("/api/gear/inventory", { who });
    location.reload();
  } catch (error) {
    event.target.disabled = false;
    say(error.message, true);
  }
});

async function look(isEntered = false) {
  const words = field.value.trim();
  before.hidden = words !== "";
  if (!words) return results.replaceChildren();
  asking?.abort();
  asking = new AbortController();
  try {
    const data = await get(`/api/gear?find=${encodeURIComponent(words)}`, { signal: asking.signal });
    if (isEntered === true && data.things.length === 1) location.href = pathOf(data.things[0].unit);
    say("");
    results.replaceChildren(...shown(data));
  } catch (error) {
    if (error.name !== "AbortError") say(error.message, true);
  }
}

function shown(data) {
  if (!data.things.length) return [element("p", { class: "large" }, "Nothing fits. Try fewer letters: part of a name, an id or an owner is enough.")];
  const rows = data.things.map((each) => element("li", {}, element("a", { class: "whole", href: pathOf(each.unit) },
    element("b", { class: "name" }, each.name),
    element("span", { class: "id" }, each.unit), ` ${each.owner}. `,
    element("span", {}, each.trouble ? `! ${each.trouble}` : each.where))));
  const more = data.more ? [element("p", {}, `And ${data.more} more. Type more to narrow it down.`)] : [];
  return [element("ul", { class: "list" }, ...rows), ...more];
}
