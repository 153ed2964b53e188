// Keeps cards that were opened, so that they stay readable without network. Only cards and what
// they are made of; only of the plan that was seen last: a card of an earlier plan is void.

const KEEP = "kitplan-cards ";
const PATIENCE_MS = 4000;
const MISSING = `<!DOCTYPE html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><meta name="color-scheme" content="dark"><title>No network</title><h1>No network</h1><p>This card was not opened on this phone before. Go where there is network, or ask the crew lead for the card on paper.</p><p><a href="/card/">Cards on this phone</a></p></html>`;

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("message", (event) => event.waitUntil(keep(event.data)));
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const address = new URL(request.url);
  const isOurs = address.origin === self.location.origin;
  if (request.method !== "GET" || !isOurs || address.pathname === "/card/mark") return;
  event.respondWith(answer(request));
});

async function keep({ mark, addresses }) {
  const cache = await caches.open(KEEP + mark);
  await cache.addAll(addresses);
  for (const name of await caches.keys()) {
    if (name.startsWith(KEEP) && name !== KEEP + mark) await caches.delete(name);
  }
}

async function answer(request) {
  const isPage = request.mode === "navigate";
  const waiting = new AbortController();
  const timer = setTimeout(() => waiting.abort(), PATIENCE_MS);
  try {
    return await (isPage ? fetch(request.url, { redirect: "manual", credentials: "same-origin", headers: { accept: "text/html" }, signal: waiting.signal }) : fetch(request, { signal: waiting.signal }));
  } catch {
    const found = await caches.match(request, { ignoreSearch: isPage, ignoreVary: true });
    if (found) return found;
    return isPage ? new Response(MISSING, { status: 503, headers: { "content-type": "text/html; charset=utf-8" } }) : Response.error();
  } finally {
    clearTimeout(timer);
  }
}
