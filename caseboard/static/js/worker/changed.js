/* Where something was saved, and when: what is kept of that horse from before is out of date, and so are the
 * lists. Noted on the shelf, because a browser ends a worker that has nothing to do and starts it anew. */
const CHANGED = "/-kept/changed";

const changesOn = async (shelf) => (await (await shelf?.match(CHANGED))?.json().catch(() => null)) ?? {};
const changes = async () => changesOn(await openShelf().catch(() => null));

/* Of one home, or of any where there is none: pages made of several cases. */
function lastChange(found, home) {
  return home ? found[home] ?? 0 : Math.max(0, ...Object.values(found));
}

function noteChanged(paths) {
  return inTurn(async () => {
    const person = await personHere();
    const homes = paths.map((path) => homeOf(new URL(path, self.location).pathname)).filter(Boolean);
    if (!person || !homes.length) return;
    const shelf = await caches.open(nameOf(person));
    const now = Date.now();
    const found = await changesOn(shelf);
    for (const home of homes) found[home] = now;
    for (const [home, at] of Object.entries(found)) if (Math.abs(now - at) > FRESH_MS) delete found[home]; // fetched anew in any case
    await shelf.put(CHANGED, new Response(JSON.stringify(found))).catch(() => { /* full: when it is old */ });
  });
}

/* Kept pages from before a change: the boards, the lists, then all else. */
async function outdated() {
  const shelf = await openShelf().catch(() => null);
  const found = await changesOn(shelf);
  const groups = [[], [], []];
  for (const { request, at } of shelf ? await pagesOn(shelf) : []) {
    const { pathname } = new URL(request.url);
    const home = homeOf(pathname);
    if (at <= lastChange(found, home)) groups[pathname === home ? 0 : home ? 2 : 1].push(request.url);
  }
  return { first: groups[0].concat(groups[1]), then: groups[2] };
}
