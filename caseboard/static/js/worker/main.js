/* What this worker listens to. It never touches what is sent (POST), nor what somebody wrote. */
self.addEventListener("install", (event) => event.waitUntil(refresh().catch(() => { /* kept at the next visit */ }).then(() => self.skipWaiting())));
self.addEventListener("activate", (event) => event.waitUntil((async () => {
  for (const name of await caches.keys()) if (name !== SHELF && !name.startsWith(SHELF_PREFIX)) await caches.delete(name);
  await self.clients.claim();
})()));

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const address = new URL(request.url);
  if (request.method !== "GET" || address.origin !== self.location.origin || address.pathname === "/worker.js") return;
  if (request.mode === "navigate") {
    if (!isStatic(request.url)) event.respondWith(address.pathname === PAGE ? urgentPage(event) : page(event));
  } else if (["style", "script", "image", "font"].includes(request.destination)) {
    event.respondWith(thing(event));
  } else if (request.destination === "" && !isStatic(request.url)) {
    event.respondWith(listened(event));
  }
});

self.addEventListener("message", (event) => {
  const { type, person, ...more } = event.data ?? {};
  const answer = (words) => event.ports[0]?.postMessage(words);
  if (type === "forget-person") event.waitUntil(forgetAll().then(() => answer({ type: "forgotten", person })));
  else if (type === "kept-status") event.waitUntil(status().then((found) => answer({ type: "kept-status", ...found })));
  else if (type === "kept-changed") event.waitUntil(noteChanged(more.paths).then(() => (more.isLast ? ahead({ again: true }) : null)).then(() => answer({ type: "fetched-again" })));
  else if (type === "fetch-ahead") event.waitUntil(ahead(more).then(() => answer({ type: "fetched-ahead" })));
});
