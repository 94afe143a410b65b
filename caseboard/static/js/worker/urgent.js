/* The urgent page, for anybody and for good: fetched without credentials, so that nobody's name is in it. */
const SHELF = "urgent-1";
const PAGE = "/urgent/";

async function putUrgent(shelf, address) {
  const answer = await limited(address, { credentials: "omit", cache: "no-cache" });
  if (answer.ok && !answer.redirected && (isStatic(address) ? isThing(answer) : answer.headers.has("X-Person"))) {
    await shelf.put(address, answer.clone());
    return answer;
  }
  throw new Lost("portal");
}

async function refresh() {
  const shelf = await caches.open(SHELF);
  const page = await putUrgent(shelf, PAGE);
  const wanted = needs(await page.text());
  await Promise.allSettled(wanted.map((address) => putUrgent(shelf, address)));
  const keep = new Set([PAGE, ...wanted].map((address) => new URL(address, self.location).href));
  for (const request of await shelf.keys()) if (!keep.has(request.url)) await shelf.delete(request);
}

async function kept(address) {
  return (await caches.open(SHELF)).match(address, { ignoreVary: true, ignoreSearch: address === PAGE });
}

async function urgentPage(event) {
  const asked = nextTurn();
  const coming = ask(event.request);
  coming.catch(() => { /* told below, or too late */ });
  try {
    const answer = await within(coming, WAIT_MS);
    event.waitUntil(learn(answer, asked).catch(() => { /* no storage here */ }));
    if (answer.ok) { event.waitUntil(refresh().catch(() => { /* next time */ })); return answer; }
    return (await kept(PAGE)) ?? answer;
  } catch (lost) {
    return (await kept(PAGE).catch(() => null)) ?? lost.answer ?? await coming.catch(() => withoutConnection(lost.why, event.request.url));
  }
}
