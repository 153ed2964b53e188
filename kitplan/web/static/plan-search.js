// A search as it goes: goals with what they have and what they could have, stages, a way to stop.

import { element, post, say } from "./asked.js";

const STAGES = [["searching", "Search"], ["day", "The day"], ["checking", "Check"], ["alternatives", "Alternatives"]];
const WORDS = {
  starting: "Getting ready",
  searching: "Searching",
  day: "Working out the day",
  checking: "Checking it",
  alternatives: "Looking for plans as good",
};
const KINDS = { compare: "Comparing schedules", without: "Planning without it" };
const form = document.getElementById("make");
const go = document.getElementById("go");
const stop = document.getElementById("stop");
const work = document.getElementById("work");
const now = document.getElementById("now");
const TICK_MS = 1000;

export class Search {
  constructor(tell) {
    this.tell = tell;
    this.last = null;
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.start();
    });
    stop.addEventListener("click", () => this.stop());
    const events = new EventSource("/api/solve/events");
    events.addEventListener("state", (event) => this.hear(JSON.parse(event.data)));
    events.addEventListener("error", () => { if (this.last && !this.last.is_over) now.textContent = "No network. The search goes on; its news comes when the network is back."; });
    setInterval(() => this.clock(), TICK_MS);
  }

  first() {
    if (this.last === null || this.last.kind === "none") say("There is no plan yet. Press Plan: it takes the time that you give it.");
  }

  async start() {
    go.disabled = true;
    say("");
    try {
      this.hear(await post("/api/solve", { seconds: Number(new FormData(form).get("seconds")) }));
    } catch (error) {
      const problems = error.problems.length > 1 ? error.problems : [error.message];
      say(problems[0], true, problems.slice(1).map((each) => element("p", {}, each)));
      go.disabled = false;
    }
  }

  async stop() {
    stop.disabled = true;
    try {
      this.hear(await post("/api/solve/stop", {}));
    } catch (error) {
      say(error.message, true);
    }
  }

  hear(state) {
    const before = this.last;
    this.last = state;
    this.heard = Date.now();
    go.disabled = !state.is_over;
    stop.hidden = state.is_over || state.stage === "checking";
    stop.disabled = state.is_stopping && state.stage !== "day";
    work.hidden = state.kind === "none" || (state.is_over && state.kind !== "plan");
    const isAtWork = state.kind === "plan" && !state.is_over;
    document.getElementById("steps").hidden = !isAtWork;
    document.getElementById("steps").replaceChildren(...(isAtWork ? steps(state) : []));
    document.getElementById("goals").replaceChildren(...(state.is_over ? [] : state.goals.map(goalBar)));
    document.getElementById("notes").replaceChildren(...state.notes.slice(-3).map((each) => element("li", {}, each)));
    this.clock();
    if (state.is_over && before && !before.is_over) this.end(state);
    else if (!state.is_over && !before) say("");
    this.tell(state);
  }

  clock() {
    const state = this.last;
    if (!state || state.kind === "none") return;
    const seconds = state.elapsed_s + (state.is_over ? 0 : (Date.now() - this.heard) / 1000);
    const given = state.seconds && state.stage === "searching" ? time(state, seconds) : "";
    const what = state.stage === "searching" ? (KINDS[state.kind] ?? WORDS.searching) : WORDS[state.stage];
    const part = state.part ? `: ${state.part}` : state.counted ? `: ${state.counted.done} of ${state.counted.total}` : "";
    const round = state.round > 1 && state.stage === "searching" ? ` Round ${state.round}: planned again, so that the work between passes fits.` : "";
    const words = state.is_over ? ended(state) : `${state.is_stopping ? "Stopping. " : ""}${what}${part}, ${minutes(seconds)}${given}.${round}`;
    if (now.textContent !== words) now.textContent = words;
    now.setAttribute("aria-live", "off");
  }

  end(state) {
    if (state.stage === "failed") say(state.failure.error, true, state.failure.problems.map((each) => element("p", {}, each)));
    else if (state.stage === "stopped") say("Stopped before there was anything to keep.");
    else if (state.kind === "plan") say(state.result.is_fine ? "The plan is ready." : "The plan is ready, and not all is well: see beneath.", !state.result.is_fine, [...state.result.findings.map((each) => element("p", {}, each)), NEXT()]);
    else if (state.kind === "compare") say("The schedules are compared.", false, [element("p", {}, element("a", { href: "#compare" }, "See them side by side"))]);
  }
}

const NEXT = () => element("p", {}, "Next: ", element("a", { href: "/papers" }, "packing lists, cards and all papers"), ", or look at it in ", element("a", { href: "/" }, "the room"), ".");

// Each round and each schedule has the time that was given for itself.
function time(state, seconds) {
  if (state.kind === "compare") return `, ${minutes(state.seconds)} for each`;
  return state.kind === "plan" && !(state.round > 1) && seconds <= state.seconds + 1 ? ` of ${minutes(state.seconds)}` : "";
}

function ended(state) {
  if (state.kind !== "plan" || state.stage !== "done") return "";
  const others = state.result.alternatives;
  return `Planned in ${minutes(state.elapsed_s)}.${others ? ` ${others} ${others === 1 ? "alternative" : "alternatives"} as good beside it.` : ""}`;
}

function minutes(seconds) {
  const whole = Math.round(seconds);
  return whole < 90 ? `${whole} s` : `${Math.floor(whole / 60)} min ${whole % 60} s`;
}

function steps(state) {
  const at = STAGES.findIndex(([stage]) => stage === state.stage);
  return STAGES.map(([stage, words], number) => {
    const isOver = state.stage === "done" || (at >= 0 && number < at);
    return element("li", { "aria-current": stage === state.stage ? "step" : null, class: isOver ? "over" : null }, words);
  });
}

/** A goal: black is what the plan has, the dashed frame what it could still have. */
export function goalBar(goal) {
  const fill = element("span", {});
  fill.style.width = goal.best === null ? "0" : `${Math.round(100 * share(goal))}%`;
  const figure = goal.best === null ? "" : goal.is_proven ? `${goal.best}, proven best` : `${goal.best}, could be ${goal.is_lost ? "as low as" : "up to"} ${goal.bound ?? "?"}`;
  return element("div", { class: goal.is_at_work ? "goal at-work" : "goal" },
    element("span", { class: "goal-name" }, goal.name),
    element("span", { class: goal.is_proven ? "reach proven" : "reach", role: "img", "aria-label": figure || "not begun" }, fill),
    element("span", {}, goal.is_at_work && !figure ? "at work" : figure));
}

function share(goal) {
  const best = parseFloat(goal.best);
  const bound = goal.bound === null ? NaN : parseFloat(goal.bound);
  if (goal.is_proven || best === bound) return 1;
  if (Number.isNaN(bound)) return 0.5;
  const found = goal.is_lost ? (1 + bound) / (1 + best) : best / bound;
  return Math.min(1, Math.max(0, found));
}
