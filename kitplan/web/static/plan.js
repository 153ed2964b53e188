// The plan page: searches on top, the plan beneath, questions in a dialogue.

import { get, say } from "./asked.js";
import { Ask } from "./plan-ask.js";
import { showComparison, startCompare } from "./plan-compare.js";
import { Search } from "./plan-search.js";
import { showPlan } from "./plan-show.js";
import { showSongs } from "./plan-songs.js";

const ask = new Ask();
const search = new Search(hear);
const compareForm = document.getElementById("compare-form");
let written = "";

compareForm.addEventListener("submit", (event) => {
  event.preventDefault();
  startCompare(Number(new FormData(compareForm).get("seconds")));
});
get("/api/compare").then(showComparison, () => {});
load();

function hear(state) {
  ask.hear(state);
  document.getElementById("compare-go").disabled = !state.is_over;
  if (state.kind === "compare") showComparison(state);
  const now = `${state.search} ${state.stage}`;
  const isNews = state.kind === "plan" && state.has_written && (state.stage === "alternatives" || state.is_over);
  if (isNews && now !== written) {
    written = now;
    load();
  }
}

// '#ask=pit', from the room.
function askFromAddress() {
  const id = new URLSearchParams(location.hash.slice(1)).get("ask");
  if (!id) return;
  history.replaceState(null, "", location.pathname);
  ask.named(id, id);
}

async function load() {
  try {
    const [plan, names] = await Promise.all([get("/api/plan"), get("/api/plan/names")]);
    const songs = new Map(names.songs.map((each) => [each.id, each.label]));
    showPlan({ ...plan, songs }, ask);
    ask.know(names, plan);
    showSongs(await get("/api/plan/songs").catch(() => null));
    document.getElementById("shown").hidden = false;
    askFromAddress();
  } catch (error) {
    if (error.status !== 404) say(error.message, true);
    else search.first();
  }
}
