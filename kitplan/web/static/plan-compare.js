// Schedules side by side.

import { element, post, say } from "./asked.js";
import { lines } from "./plan-show.js";

const place = document.getElementById("compare-of");

export async function startCompare(seconds) {
  try {
    await post("/api/compare", { seconds });
    say("");
  } catch (error) {
    say(error.message, true);
  }
}

export function showComparison(state) {
  if (!state.result) {
    if (!state.is_over && state.counted) place.replaceChildren(element("p", { role: "status" }, `${state.counted.done} of ${state.counted.total} schedules are planned. Time and the button to stop are at the top of the page.`));
    return;
  }
  const { headers, rows, why } = state.result;
  const head = element("thead", {}, element("tr", {}, element("th", {}, ""), ...headers.map((each) => element("th", { scope: "col" }, each))));
  const body = rows.map(([what, ...figures]) => {
    const isSame = new Set(figures).size === 1;
    return element("tr", {}, element("th", { scope: "row" }, what), ...figures.map((each) => element("td", { class: isSame ? null : "differs" }, each)));
  });
  place.replaceChildren(
    element("p", { class: "quiet" }, "In bold: where they differ."),
    element("div", { class: "wide", tabindex: "0", role: "region", "aria-label": "Schedules compared" }, element("table", {}, head, element("tbody", {}, ...body))),
    lines(why));
}
