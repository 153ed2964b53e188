// All cards: whoever told this phone a name finds the own ones first.

import { keepHere, watch } from "./card-kept.js";

const list = document.getElementById("cards");
const field = document.getElementById("name");
const mine = document.getElementById("mine");
const KEY = "kitplan-name";

try { field.value = localStorage.getItem(KEY) ?? ""; } catch { /* it is typed, then */ }
field.addEventListener("input", () => {
  try { localStorage.setItem(KEY, field.value.trim()); } catch { /* the same */ }
  show();
});
show();

function show() {
  const words = field.value.trim().toLowerCase();
  const own = words ? [...list.querySelectorAll("li[data-who]")].filter((row) => row.dataset.who.toLowerCase().includes(words)) : [];
  const rows = own.map((row) => {
    const copy = row.cloneNode(true);
    copy.querySelector(".under").prepend(`${row.closest("section").querySelector("h2").textContent}. `);
    return copy;
  });
  mine.querySelector("ul").replaceChildren(...rows);
  mine.hidden = rows.length === 0;
}

keepHere(list.dataset.mark, ["/static/base.css", "/static/board.css", "/static/light.js", "/static/fonts/regular.ttf", "/static/fonts/bold.ttf", "/static/cards.js", "/static/card-kept.js"]);
watch(list.dataset.mark, (state) => {
  const told = document.getElementById("told");
  told.hidden = state === "current";
  told.textContent = state === "void" ? "The plan has changed: load this page again." : `No network. Only cards that this phone has opened before can be read. Offline copy of plan ${list.dataset.mark}.`;
});
