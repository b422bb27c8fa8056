// Serves pages last seen when there is no signal; only over https or on this machine, where browsers allow it.
"use strict";
const COMMON = "mullbed-common-1";
const PAGES = "mullbed-pages-";
const FIRST = "/noticed/first";

self.addEventListener("install", (event) => {
  event.waitUntil((async () => {
    try { await seen(new Request(new URL(FIRST, location.origin)), await fetch(FIRST)); } catch (_) { /* kept when it is first opened */ }
    await self.skipWaiting();
  })());
});
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

// Pages of one reader are never shown to another: when another reader's page comes, the former's are dropped.
async function seen(request, answer) {
  const reader = answer.headers.get("x-reader");
  if (!answer.ok || answer.redirected || !reader) return;
  const own = PAGES + reader;
  for (const name of await caches.keys()) if (name.startsWith(PAGES) && name !== own) await caches.delete(name);
  await (await caches.open(own)).put(keyOf(request), answer.clone());
}
// What was just written is told once and not again; all else of an address counts: /did of one bed is not that of another.
function keyOf(request) {
  const address = new URL(request.url);
  address.searchParams.delete("id");
  address.hash = "";
  return address.href;
}
async function lastSeen(request) {
  for (const name of await caches.keys()) {
    if (!name.startsWith(PAGES)) continue;
    const own = await caches.open(name);
    const found = (await own.match(keyOf(request))) || (await own.match(new URL(FIRST, location.origin).href));
    if (found) return found;
  }
  return null;
}
async function page(request) {
  try {
    const answer = await fetch(request);
    await seen(request, answer);
    return answer;
  } catch (_) {
    return (await lastSeen(request)) || new Response("No signal, and this page was not opened on this phone before.\nSin cobertura, y esta página no se había abierto antes en este teléfono.", { status: 503, headers: { "content-type": "text/plain; charset=utf-8" } });
  }
}
async function fixed(request) {
  const common = await caches.open(COMMON);
  try {
    const answer = await fetch(request);
    if (answer.ok) await common.put(request, answer.clone());
    return answer;
  } catch (_) {
    return (await common.match(request)) || (await common.match(request, { ignoreSearch: true })) || Response.error();
  }
}
self.addEventListener("fetch", (event) => {
  const address = new URL(event.request.url);
  if (event.request.method !== "GET" || address.origin !== location.origin) return;
  if (address.pathname.startsWith("/static/")) event.respondWith(fixed(event.request));
  else if (event.request.mode === "navigate") event.respondWith(page(event.request));
});
