// What index and cards have in common: keeping them on the phone, and saying whether they still hold.

const ASK_MS = 60_000;
const PARTS = ["papers.css", "card.css", "card.js", "card-kept.js", "regular.ttf", "bold.ttf"].map((name) => new URL(name, import.meta.url).pathname);

/** Keep a page with what it is made of, where the browser lets a page do that. */
export async function keepHere(mark, parts = PARTS) {
  if (!("serviceWorker" in navigator)) return;
  try {
    await navigator.serviceWorker.register("/card/worker.js", { scope: "/card/" });
    const ready = await navigator.serviceWorker.ready;
    ready.active.postMessage({ mark, addresses: [location.href, ...parts] });
  } catch {
    // the browser keeps the page by itself for a day
  }
}

/** Say at once, and from then on, whether the plan is still the one of this page. */
export function watch(mark, tell) {
  async function look() {
    try {
      const answer = await fetch("/card/mark", { cache: "no-store" });
      if (!answer.ok) throw new Error();
      tell((await answer.json()).mark === mark ? "current" : "void");
    } catch {
      tell("offline");
    }
  }
  look();
  setInterval(look, ASK_MS);
  addEventListener("online", look);
  addEventListener("offline", look);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) look(); });
}
