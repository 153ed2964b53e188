// One unit: sign it out and back, note a fault. After each change the page shows what is so now.

import { element, post, say } from "./asked.js";
import { addWho, nameHere, needName } from "./whoami.js";

const unit = document.getElementById("unit");

addWho(document.getElementById("who"), (name) => {
  for (const place of document.querySelectorAll("[data-me]")) place.textContent = name ? `${name} takes it` : "I take it";
});
unit.addEventListener("click", (event) => {
  const button = event.target.closest("button[data-do]");
  if (button) act(button.dataset.do, {}, button);
});
unit.addEventListener("submit", (event) => {
  event.preventDefault();
  const form = event.target;
  act(form.dataset.do, Object.fromEntries(new FormData(form)), form.querySelector("button"));
});

async function act(what, data, button) {
  const who = needName();
  if (!who) return say("Type your name first, at the foot of this page. It is asked for once.", true);
  const id = unit.dataset.unit;
  const sent = {
    take: ["out", { units: [id], person: who }, `${who} has it now.`],
    give: ["out", { units: [id], person: data.person, due: data.due || null }, `${data.person} has it now.`],
    despite: ["out", { units: [id], person: data.person ?? who, despite: true }, `${data.person ?? who} has it now.`],
    back: ["back", { units: [id] }, "It is back."],
    right: ["right", { unit: id }, "Written down: it is all right again."],
    fault: ["fault", { unit: id, words: data.words, state: data.state }, "Written down. Everybody can see it."],
  }[what];
  button.disabled = true;
  try {
    await post(`/api/gear/${sent[0]}`, { who, ...sent[1] });
    await renew();
    say(sent[2]);
  } catch (error) {
    await renew().catch(() => {});
    say(error.message, true, wayOut(error, sent[1].person));
  } finally {
    button.disabled = false;
  }
}

/** What only a booking of another shoot holds back can be taken all the same. */
function wayOut(error, person) {
  if (error.status !== 409 || error.held.length || !person || !error.message.includes("booked")) return [];
  const button = element("button", { type: "button", onclick: () => act("despite", { person }, button) }, "Take it all the same");
  return [button];
}

async function renew() {
  const answer = await fetch(location.href, { headers: { accept: "text/html" } });
  if (!answer.ok) return;
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("unit");
  unit.replaceChildren(...fresh.childNodes);
  const name = nameHere();
  for (const place of document.querySelectorAll("[data-me]")) place.textContent = name ? `${name} takes it` : "I take it";
}
