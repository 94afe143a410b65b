/* Keeps the urgent page, and what it needs to look right, for a phone without a connection.
 * It keeps no page of a signed-in person: the urgent page is fetched without credentials. */
"use strict";
const SHELF = "urgent-1";
const PAGE = "/urgent/";
const WAIT_MS = 4000;

/* The page names its own style sheets and scripts, so that their hashed names are always right. */
function needs(html) {
  const found = html.matchAll(/<(?:link|script)\b[^>]*?(?:href|src)="([^"]+\.(?:css|js|svg)[^"]*)"/g);
  return [...new Set([...found].map((match) => match[1]))];
}

async function put(shelf, address) {
  const answer = await fetch(address, { credentials: "omit", cache: "no-cache" });
  if (answer.ok && !answer.redirected) await shelf.put(address, answer.clone());
  return answer;
}

async function refresh() {
  const shelf = await caches.open(SHELF);
  const page = await put(shelf, PAGE);
  if (!page.ok || page.redirected) return;
  const wanted = needs(await page.text());
  await Promise.allSettled(wanted.map((address) => put(shelf, address)));
  const keep = new Set([PAGE, ...wanted].map((address) => new URL(address, self.location).href));
  for (const request of await shelf.keys()) if (!keep.has(request.url)) await shelf.delete(request);
}

async function kept(address) {
  return (await caches.open(SHELF)).match(address, { ignoreVary: true, ignoreSearch: address === PAGE });
}

const late = () => new Promise((_, fail) => setTimeout(() => fail(new Error("late")), WAIT_MS));

async function urgentPage(event) {
  const fresh = fetch(event.request);
  try {
    const answer = await Promise.race([fresh, late()]);
    if (answer.ok) { event.waitUntil(refresh().catch(() => { /* next time */ })); return answer; }
    return (await kept(PAGE)) ?? answer;
  } catch {
    return (await kept(PAGE)) ?? fresh;
  }
}

/* Any other page without a connection: our own words in place of the browser's. */
async function withoutConnection() {
  const page = await kept(PAGE);
  const styles = page ? needs(await page.text()).filter((address) => address.includes(".css") && !address.includes("print")) : [];
  const links = styles.map((address) => `<link rel="stylesheet" href="${address}">`).join("");
  const html = `<!doctype html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark"><title>No connection · Hoof case board</title>${links}</head><body>
<main id="main"><div class="wrap"><article class="trouble card"><h1>No connection</h1>
<p>This page needs a signal. What you typed in a form is kept in this phone and will be offered to you when you come back.</p>
<p>If a horse needs help now, do not wait for this page: ring your vet.</p>
<p><a class="btn-need" href="${PAGE}">Urgent signs and kept numbers</a></p></article></div></main></body></html>`;
  return new Response(html, { status: 503, headers: {
    "Content-Type": "text/html; charset=utf-8",
    "Content-Security-Policy": "default-src 'none'; style-src 'self'; font-src 'self'; img-src 'self'; base-uri 'none'; form-action 'none'",
  } });
}

self.addEventListener("install", (event) => event.waitUntil(refresh().catch(() => { /* kept at the next visit */ }).then(() => self.skipWaiting())));
self.addEventListener("activate", (event) => event.waitUntil((async () => {
  for (const name of await caches.keys()) if (name !== SHELF) await caches.delete(name);
  await self.clients.claim();
})()));
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const address = new URL(request.url);
  if (request.method !== "GET" || address.origin !== self.location.origin) return;
  if (request.mode === "navigate") {
    event.respondWith(address.pathname === PAGE ? urgentPage(event) : fetch(request).catch(withoutConnection));
  } else if (["style", "script", "image"].includes(request.destination)) {
    event.respondWith(fetch(request).catch(async () => (await kept(request.url)) ?? Response.error()));
  }
});
