// Songs by cameras: what each holds in every song of a pass, and when it sees nothing.

import { element } from "./asked.js";

export function showSongs(data) {
  const place = document.getElementById("songs-of");
  if (!data) return place.replaceChildren(element("p", {}, "The plan has no day yet: plan again."));
  place.replaceChildren(...data.passes.flatMap((pass) => [
    element("h3", {}, pass.label),
    element("div", { class: "wide", tabindex: "0", role: "region", "aria-label": `Songs and cameras of ${pass.label}` }, table(pass)),
  ]), moments(data));
}

function table(pass) {
  const head = element("thead", {}, element("tr", {}, element("th", { scope: "col" }, "Song"), ...pass.cameras.map((letter) => element("th", { scope: "col" }, letter))));
  const rows = pass.songs.map((song) => element("tr", {},
    element("th", { scope: "row" }, element("b", {}, `${song.number} ${song.label}`), song.worth_words ? element("span", { class: "quiet" }, ` ${song.worth_words}`) : null),
    ...pass.cameras.map((letter) => cell(song.cells[letter]))));
  return element("table", { class: "songs" }, head, element("tbody", {}, ...rows));
}

function cell(each) {
  const blind = each.blind.map((gap) => element("span", { class: "blind" }, `! blind ${clock(gap.start_s)} to ${clock(gap.end_s)}: ${gap.cause}`));
  if (!each.frames.length) return element("td", { class: "blank" }, element("span", { class: "unseen" }, "no usable shot"), ...blind);
  return element("td", {}, each.frames.join(", then "), ...blind);
}

function clock(seconds) {
  const whole = Math.round(seconds);
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}

function moments(data) {
  if (!data.moments.length) return element("p", {}, "No moments are asked for.");
  return element("details", {}, element("summary", {}, `Who holds the ${data.moments.length} moments`),
    element("ul", { class: "list" }, ...data.moments.map((each) => element("li", {}, element("p", { class: each.holders.length ? null : "wrong" },
      element("b", {}, each.moment), ` in ${each.label} (${each.priority}): `,
      each.holders.length ? each.holders.map((one) => `${one.letter} in ${named(data, one.pass)}`).join(", ") : "nobody")))));
}

function named(data, pass) {
  const id = pass.includes("/") ? pass.slice(pass.indexOf("/") + 1) : pass;
  return data.passes.find((each) => each.id === id)?.label ?? id;
}
