// Asking the server, and small things that every page needs.

export class Refused extends Error {
  constructor(status, data) {
    super(data.error ?? "That did not work.");
    this.status = status;
    this.problems = data.problems ?? [];
    this.held = data.held ?? [];
  }
}

export async function get(address, options = {}) {
  return answered(await reached(address, { headers: { accept: "application/json" }, ...options }));
}

export async function post(address, data) {
  return answered(await reached(address, {
    method: "POST",
    headers: { "content-type": "application/json", accept: "application/json" },
    body: JSON.stringify(data),
  }));
}

async function reached(address, options) {
  try {
    return await fetch(address, options);
  } catch (error) {
    if (error.name === "AbortError") throw error;
    throw new Refused(0, { error: "No network. Nothing was changed; try again." });
  }
}

async function answered(answer) {
  if (answer.ok) return answer.json();
  const text = await answer.text();
  let data = { error: text.slice(0, 300) };
  try { data = JSON.parse(text); } catch { /* plain words */ }
  throw new Refused(answer.status, data);
}

/** Make an element: `element("p", { class: "quiet" }, "words", child)`. Texts are texts, never markup. */
export function element(name, facts = {}, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(facts)) {
    if (value === null || value === undefined || value === false) continue;
    if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else made.setAttribute(key, value === true ? "" : value);
  }
  made.append(...children.filter((child) => child !== null && child !== undefined));
  return made;
}

/** The page of a unit; browsers would follow dots in a path. As `path_of` in gear/counting does it. */
export function pathOf(unit) {
  if (unit.split("/").some((part) => part === "." || part === "..")) return `/gear/u/${unit.replaceAll("/", "~")}`;
  return `/gear/u/${unit.split("/").map(encodeURIComponent).join("/")}`;
}

/** Say something where screen readers hear it. */
export function say(words, isBad = false, more = []) {
  const place = document.getElementById("said");
  place.replaceChildren(...(words ? [element("div", { class: isBad ? "wrong" : "notice", role: isBad ? "alert" : "status" }, element("p", {}, words), ...more)] : []));
  if (words) place.scrollIntoView({ block: "nearest" });
}

export function kept(key) {
  try { return localStorage.getItem(key) ?? ""; } catch { return ""; }
}

export function keep(key, text) {
  try {
    if (text) localStorage.setItem(key, text);
    else localStorage.removeItem(key);
  } catch { /* storage may be forbidden: it is asked for again */ }
}
