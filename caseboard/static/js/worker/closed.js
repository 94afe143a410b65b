/* A case or yard that is closed to this person by now: what is kept under its home goes, each page that leads
 * there (the other boards of a horse do), and the lists, which are made of several. */
const OPEN = "/-kept/open"; // the homes that were open at the last contact
const HOMES = /\/(?:cases|yards)\/[0-9a-z]{16}\//g;

function closedNow(isClosed) {
  return inTurn(async () => {
    const person = await personHere();
    if (!person) return;
    const shelf = await caches.open(nameOf(person));
    const gone = [], lists = [];
    for (const request of await shelf.keys()) {
      const { pathname } = new URL(request.url);
      if (isStatic(request.url) || pathname.startsWith("/-kept/")) continue;
      const home = homeOf(pathname);
      if ((home && isClosed(home)) || (await homesIn(shelf, request)).some(isClosed)) gone.push(request);
      else if (!home) lists.push(request);
    }
    if (gone.length) for (const request of [...gone, ...lists]) await shelf.delete(request);
  });
}
async function homesIn(shelf, request) {
  const page = await shelf.match(request, { ignoreVary: true });
  return page?.headers.has(KEPT_AT) ? (await page.text()).match(HOMES) ?? [] : [];
}

/* `open`: the homes that are open to this person now. Looked through only where that has changed. */
async function closeAllBut(open) {
  const shelf = await openShelf().catch(() => null);
  const before = await (await shelf?.match(OPEN))?.text();
  const now = JSON.stringify(open);
  if (before === now) return;
  await closedNow((home) => !open.includes(home));
  await put(await personHere(), nextTurn(), OPEN, new Response(now));
}

/* `begins`: what the addresses of pictures begin with that somebody has blanked out. Each goes, and each page that
 * shows it: it is fetched anew without. */
function blankedOut(begins) {
  return begins.length && inTurn(async () => {
    const person = await personHere();
    if (!person) return;
    const shelf = await caches.open(nameOf(person));
    const isGone = (address) => begins.some((one) => new URL(address, self.location).pathname.startsWith(one));
    for (const request of await shelf.keys()) {
      const needs = (await shelf.match(request, { ignoreVary: true }))?.headers.get("X-Kept-Needs") ?? "";
      if (isGone(request.url) || needs.split(" ").some((one) => one && isGone(one))) await shelf.delete(request);
    }
  });
}
