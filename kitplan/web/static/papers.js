// The papers: made once for each plan and setting, then looked at and downloaded.

import { element, get, keep, kept, post, say } from "./asked.js";

const AGAIN_MS = 700;
const SEEN_MS = 15_000;
const form = document.getElementById("setting");
const ready = document.getElementById("ready");
const KEY = "kitplan-papers";
let shown = "";
document.querySelector("details").open = matchMedia("(max-width: 40rem)").matches;
let turn = 0;

for (const [name, value] of new URLSearchParams(kept(KEY))) {
  const field = form.elements[name];
  if (field && [...field.options].some((option) => option.value === value)) field.value = value;
}
form.addEventListener("change", () => {
  keep(KEY, new URLSearchParams(chosen()).toString());
  make();
});
form.addEventListener("submit", (event) => event.preventDefault());
setInterval(() => { if (!document.hidden && shown) make(); }, SEEN_MS);
make();

function chosen() {
  return Object.fromEntries(new FormData(form));
}

async function make() {
  const own = ++turn;
  try {
    let state = await post("/api/papers", chosen());
    while (own === turn && (state.state === "waiting" || state.state === "making")) {
      ready.hidden = true;
      shown = "";
      say(state.words ? `Making the papers: ${state.words} …` : "Making the papers …");
      await new Promise((done) => setTimeout(done, AGAIN_MS));
      state = await get(`/api/papers?${new URLSearchParams(chosen())}`);
    }
    if (own === turn) show(state);
  } catch (error) {
    if (own === turn && !(error.status === 0 && shown)) say(error.message, true);
  }
}

function show(state) {
  if (state.state !== "ready") return say(state.words || "They could not be made.", true, [element("button", { type: "button", onclick: make }, "Try again")]);
  say("");
  const light = document.documentElement.dataset.light || (matchMedia("(prefers-color-scheme: dark)").matches ? "night" : "day");
  const page = `${state.files[0].address}&light=${light}`;
  const now = `${state.mark} ${page}`;
  if (now === shown) return;
  shown = now;
  document.getElementById("mark").textContent = state.mark;
  document.getElementById("view").src = page;
  document.getElementById("page").href = page;
  for (const [id, name] of [["bound", "show-pack.pdf"], ["packing", "packing.pdf"], ["text", "papers.txt"]]) {
    const link = document.getElementById(id);
    const made = state.files.find((file) => file.name === name);
    link.hidden = !made;
    if (!made) continue;
    link.href = made.address;
    link.download = `${state.mark}-${name}`;
  }
  const single = state.files.filter((file) => file.name.endsWith(".pdf") && file.name !== "show-pack.pdf");
  document.getElementById("files").replaceChildren(...single.map((file) => element("li", {},
    element("a", { href: file.address, download: `${state.mark}-${file.name}` }, file.title),
    element("span", { class: "quiet" }, `${file.sheets} ${file.sheets === 1 ? "sheet" : "sheets"}, ${file.kilobytes} kB`))));
  document.getElementById("findings").replaceChildren(
    ...state.findings.map((each) => element("p", { class: "wrong" }, each)),
    ...state.notes.map((each) => element("p", { class: "notice" }, each)));
  ready.hidden = false;
}
