// Count a case. Ticks are kept on the phone until they are saved: a dead battery loses none.

import { keep, kept, post, say } from "./asked.js";
import { addWho, needName } from "./whoami.js";

const form = document.getElementById("count");
const boxes = [...form.querySelectorAll("input[type=checkbox]")];
const total = document.getElementById("total");
const KEY = `kitplan-count ${form.dataset.case}`;
const before = new Set(kept(KEY).split("\n"));
let sure = false;

addWho(document.getElementById("who"));
for (const box of boxes) box.checked = before.has(box.value);
form.addEventListener("change", tell);
form.addEventListener("submit", save);
tell();

function tell() {
  const ticked = boxes.filter((box) => box.checked).map((box) => box.value);
  keep(KEY, ticked.join("\n"));
  const wanted = boxes.filter((box) => box.dataset.expected === "yes");
  const lacking = wanted.filter((box) => !box.checked);
  total.textContent = `${wanted.length - lacking.length} of ${wanted.length} are here.`;
  document.getElementById("lacking").textContent = lacking.length === 0 ? "Nothing is missing."
    : lacking.length <= 6 ? `Not ticked: ${lacking.map((box) => box.value).join(", ")}.` : `${lacking.length} are not ticked.`;
  const save = document.getElementById("save");
  save.disabled = ticked.length === 0;
  save.textContent = !ticked.length ? "Tick what is here" : lacking.length ? `Save: ${lacking.length} missing` : "Save: all here";
  sure = false;
  return ticked;
}

async function save(event) {
  event.preventDefault();
  const who = needName();
  if (!who) return say("Type your name first, at the foot of this page. It is asked for once.", true);
  const button = document.getElementById("save");
  const lacking = boxes.filter((box) => box.dataset.expected === "yes" && !box.checked);
  if (lacking.length && !sure) {
    sure = true;
    button.textContent = `Sure? Press again: ${lacking.length} go down as missing`;
    return;
  }
  const here = boxes.filter((box) => box.checked).map((box) => box.value);
  button.disabled = true;
  try {
    const done = await post("/api/gear/count", { who, case: form.dataset.case, here, seen: form.dataset.seen });
    keep(KEY, "");
    const parts = [`Saved: ${done.here} here.`];
    if (done.missing.length) parts.push(`Missing: ${done.missing.join(", ")}.`);
    if (done.back.length) parts.push(`Signed back: ${done.back.join(", ")}.`);
    if (done.found.length) parts.push(`Found again: ${done.found.join(", ")}.`);
    keep("kitplan-said", parts.join(" "));
    location.reload();
  } catch (error) {
    if (error.status === 409) {
      keep("kitplan-said", error.message);
      location.reload();
    } else {
      say(error.message, true);
      button.disabled = false;
    }
  }
}

const said = kept("kitplan-said");
if (said) {
  keep("kitplan-said", "");
  say(said);
}
