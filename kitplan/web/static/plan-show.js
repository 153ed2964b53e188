// A plan for people: what it promises, its cameras with their frames, what is missing, the work.

import { element } from "./asked.js";
import { goalBar } from "./plan-search.js";

const KEPT = "kitplan-pass";
const $ = (id) => document.getElementById(id);

export function showPlan(plan, ask) {
  $("title").textContent = plan.title;
  $("state").replaceChildren(...state(plan));
  showPasses(plan, ask);
  $("forecast-of").replaceChildren(...forecast(plan));
  $("between-of").replaceChildren(lines([...plan.between, ...plan.day]));
  $("unmet-of").replaceChildren(...unmet(plan, ask));
  $("proof-of").replaceChildren(...plan.goals.map((goal) => goalBar({ ...goal, is_at_work: false })), lines(plan.viewpoints));
  $("mind-of").replaceChildren(lines([...plan.mind, ...plan.pictures]));
}

export function lines(texts) {
  return element("ul", {}, ...texts.map((each) => element("li", {}, each)));
}

function* state(plan) {
  yield element("p", { class: plan.status === "musts-missed" ? "large wrong" : "large" }, plan.in_short);
  if (plan.is_current === false) yield element("p", { class: "notice" }, "Shoot or gear have changed since this plan was made. Press Plan to see what becomes of it.");
  if (plan.is_current === null) yield element("p", { class: "wrong" }, "The shoot file does not read as it is now. This is the plan of before.");
  for (const each of plan.findings) yield element("p", { class: "wrong" }, each);
}

function showPasses(plan, ask) {
  let chosen = sessionStorage.getItem(KEPT);
  if (!plan.passes.some((each) => each.id === chosen)) chosen = plan.passes[0]?.id;
  const buttons = plan.passes.map((each) => element("button", {
    type: "button",
    "aria-pressed": String(each.id === chosen),
    onclick: () => {
      sessionStorage.setItem(KEPT, each.id);
      showPasses(plan, ask);
    },
  }, each.label));
  $("passes").replaceChildren(...buttons);
  const pass = plan.passes.find((each) => each.id === chosen);
  if (pass) $("pass").replaceChildren(...passOf(pass, plan, ask));
}

function* passOf(pass, plan, ask) {
  yield element("p", {}, element("b", {}, `${pass.when}. `), pass.promise);
  const stamp = `?stamp=${plan.stamp}`;
  const sheet = element("a", { href: pass.floor, target: "_blank", class: "sheet" }, element("img", { class: "paper", src: `${pass.floor}${stamp}`, alt: `Floor plan of ${pass.label}, to scale. The cameras are listed beside it.` }));
  yield element("div", { class: "pass" },
    element("figure", {}, sheet),
    element("div", { class: "cameras" }, ...pass.placements.map((each) => camera(each, pass, plan, ask))));
}

function camera(each, pass, plan, ask) {
  const [first, ...further] = each.shots;
  const roles = each.roles.map((role) => role.label).join(", ") || "free choice";
  const operated = each.manner === "operated";
  return element("article", { class: "camera" },
    element("h3", {}, element("span", { class: operated ? "disc" : "disc locked-off" }, each.letter), element("span", {}, each.frames)),
    first ? element("img", { class: "frame paper", loading: "lazy", src: stamped(first.svg, plan), alt: `What camera ${each.letter} sees: ${first.frames}` }) : null,
    element("p", {}, element("b", {}, each.who), `, ${each.position.label}`),
    element("p", {}, `For: ${roles}. ${each.settings}`),
    element("p", { class: "quiet" }, `${each.camera} on ${each.stand}${each.is_counted ? "" : ". No viewpoint of its own."}`),
    further.length ? element("details", { ontoggle: (event) => fill(event.target, further, plan) }, element("summary", {}, further.length === 1 ? "One more shot" : `${further.length} more shots`), element("div", { class: "more-frames" })) : null,
    element("button", { type: "button", "aria-label": `Ask about camera ${each.letter} in ${pass.label}`, onclick: () => ask.camera(each, pass) }, "Why? What if?"));
}

/** Draw further shots only for those who look at them. */
function fill(details, shots, plan) {
  const place = details.querySelector(".more-frames");
  if (!details.open || place.children.length) return;
  place.replaceChildren(...shots.map((each) => element("div", {}, element("img", { class: "frame paper", src: stamped(each.svg, plan), alt: "" }), element("p", {}, each.frames))));
}

function stamped(address, plan) {
  return `${address}${address.includes("?") ? "&" : "?"}stamp=${plan.stamp}`;
}

function* forecast(plan) {
  if (plan.cover) {
    if (plan.cover.is_throughout) yield element("p", {}, "Every second of every song has a usable shot.");
    else for (const each of plan.cover.uncovered) yield element("p", { class: "wrong" }, each);
  } else yield element("p", { class: "notice" }, "The day was not worked out: cover is not known.");
  if (!plan.forecast) return;
  yield lines(plan.forecast.lines);
  const songs = plan.forecast.songs;
  const most = Math.max(...songs.map((each) => each.same_angle_every_s ?? 0), 1);
  yield element("h3", {}, "The same angle comes round every");
  for (const each of songs) {
    const fill = element("span", {});
    fill.style.width = `${Math.round((100 * (each.same_angle_every_s ?? 0)) / most)}%`;
    yield element("div", { class: "bar-of" },
      element("span", {}, plan.songs.get(each.song) ?? each.song),
      element("span", { class: "reach", "aria-hidden": "true" }, fill),
      element("span", {}, each.same_angle_every_s ? `${Math.round(each.same_angle_every_s)} s` : "nothing to cut to"));
  }
}

function* unmet(plan, ask) {
  if (!plan.unmet.length) yield element("p", {}, "Nothing: all that was asked for is met.");
  for (const each of plan.unmet) {
    const instead = each.instead ? ` But ${each.instead}.` : "";
    const isMust = each.priority === "must";
    yield element("div", { class: isMust ? "wrong" : "notice" },
      element("p", {}, element("b", {}, `${each.priority}: `), `${each.words}: ${each.reason}.${instead}`),
      element("button", { type: "button", onclick: () => ask.named(each.id, each.words) }, "Why not?"));
  }
  if (plan.clash.demands.length) {
    yield element("h3", {}, "These cannot all hold; give up or loosen any one of them");
    yield lines(plan.clash.demands);
    if (plan.clash.reason) yield element("p", {}, `Why: ${plan.clash.reason}.`);
  }
  if (plan.left_out.length) {
    yield element("details", {}, element("summary", {}, `${plan.left_out.length} things stay at home`),
      element("ul", { class: "list" }, ...plan.left_out.map((each) => element("li", { class: "thing" },
        element("span", {}, element("b", {}, each.name), `: ${each.reason}`),
        element("button", { type: "button", onclick: () => ask.named(each.id, each.name) }, "Why not?")))));
  }
}
