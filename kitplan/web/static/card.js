// A card on a phone: kept for dead spots, its ticks remembered, in the light of the other pages.

import { keepHere, watch } from "./card-kept.js";

const LIGHTS = { night: "dark", day: "bright", red: "red" };
// without https there is no worker, and the browser's own copy does not stand a reload
const KEPT_BY_WORKER = "serviceWorker" in navigator;
const mark = document.body.dataset.mark;
const told = document.getElementById("told");
const TICKS = `kitplan-ticks ${mark} ${location.pathname}`;

function kept(key) {
  try { return localStorage.getItem(key); } catch { return null; }
}

function keep(key, text) {
  try { localStorage.setItem(key, text); } catch { /* it holds for this page */ }
}

for (const [ours, id] of Object.entries(LIGHTS)) {
  const choice = document.getElementById(id);
  if (kept("kitplan-light") === ours) choice.checked = true;
  choice.addEventListener("change", () => keep("kitplan-light", ours));
}

const boxes = [...document.querySelectorAll("main input[type=checkbox]")];
const ticked = new Set((kept(TICKS) ?? "").split(" "));
boxes.forEach((box, at) => { box.checked = ticked.has(String(at)); });
document.querySelector("main").addEventListener("change", () => {
  keep(TICKS, boxes.flatMap((box, at) => (box.checked ? [at] : [])).join(" "));
});

keepHere(mark);
watch(mark, (state) => {
  told.hidden = state === "current";
  const link = document.createElement("a");
  link.href = location.pathname;
  link.textContent = "Open the new card";
  told.replaceChildren(...(state === "void"
    ? ["! This card is void: the plan has changed. ", link]
    : [`No network. Offline copy of plan ${mark}: it may have changed since.${KEPT_BY_WORKER ? "" : " Do not load it again: that needs network. Coming back to it does not."}`]));
});
