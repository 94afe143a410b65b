/* Fetches ahead, while there is a signal, what the server says this person will want to read: politely,
 * one after another, not again what is fresh, and only the stops where the person asks to spare data. */
const LIST = "/me/shelf/";
const AHEAD = { "X-Fetched-Ahead": "1" }; // nobody has read these pages yet
const ASK_EVERY_MS = 60 * 1000; // house default: how soon a removal is noticed on any page
const FRESH_MS = 30 * 60 * 1000; // house default
const BREATH_MS = 150;
const SLOW_MS = 3000; // a page that takes longer came over a thin line: the stops only; house default
const MOST_LED_TO = 12; // of one board; house default
let known = { person: "", at: 0 }; // the list as it was last told
let spares = false; // the person asks to spare data
let running = Promise.resolve();

async function list(asked) {
  const answer = await ask(LIST, { credentials: "same-origin", cache: "no-store", headers: AHEAD, signal: AbortSignal.timeout(WAIT_ALONE_MS) });
  const person = await learn(answer, asked);
  if (!person || !answer.ok) return null;
  return { person, ...await answer.json() };
}

async function isFresh(address) {
  const found = await keptPage(address);
  if (!found) return false;
  const at = Number(found.headers.get(KEPT_AT));
  const home = homeOf(new URL(address).pathname);
  return at > lastChange(await changes(), home) && Math.abs(Date.now() - at) < FRESH_MS;
}

async function fetchAhead(address) {
  const asked = nextTurn();
  const answer = await ask(address, { credentials: "same-origin", cache: "no-store", headers: AHEAD, signal: AbortSignal.timeout(WAIT_ALONE_MS) });
  const html = isToKeep(answer) && !answer.redirected ? await whole(answer) : null;
  await takeIn(answer, asked, address, html);
}

/* What the board itself leads to and somebody may have to answer: flags, alerts, plan items. */
async function ledTo(home) {
  const board = await keptPage(home);
  if (!board) return [];
  const found = [...(await board.text()).matchAll(/href="([^"#?]+)/g)].map((match) => match[1]);
  return [...new Set(found)].filter((one) => one.startsWith(home) && /^(?:plan|flags|alerts)\/[\w-]+\/$/.test(one.slice(home.length)) && !one.endsWith("/new/")).slice(0, MOST_LED_TO);
}

/* The page that is open and its horse, the person's own pages, the stops with their forms, further boards.
 * On a thin line the boards of the stops come before the horse that is open. `again`: something was saved,
 * and only what was kept before that is fetched. */
async function* inOrder(wanted, { address, isNew, again }, isThin) {
  if (again) { yield* afterChange(isThin); return; }
  const here = address && new URL(address).origin === self.location.origin ? new URL(address) : null;
  if (here && isNew) yield here.href.split("#")[0]; // it was there before this worker
  yield* wanted.own;
  const opened = here && !spares ? Object.keys(wanted.homes).filter((home) => here.pathname.startsWith(home)) : [];
  if (isThin()) yield* wanted.stops;
  for (const home of [...opened, ...wanted.stops]) {
    yield home;
    yield* wanted.homes[home] ?? [];
    yield* await ledTo(home);
  }
  for (const home of wanted.boards) {
    if (isThin()) return;
    yield home;
    yield* (wanted.homes[home] ?? []).filter((one) => one.endsWith("/flags/new/"));
  }
  yield* afterChange(isThin);
}
async function* afterChange(isThin) {
  const { first, then } = await outdated();
  yield* first;
  if (!isThin()) yield* then;
}

/* One after another. */
function ahead(more) {
  running = running.then(() => fetchAll(more)).catch(() => { /* the line is gone: the next page asks again */ });
  return running;
}

async function fetchAll(more) {
  if (more.now || Math.abs(Date.now() - known.at) > ASK_EVERY_MS || known.person !== await personHere()) {
    const told = await list(nextTurn());
    if (!told) return;
    known = { ...told, at: Date.now() };
    await blankedOut(told.blanked); // the whole shelf is looked through: once for each list
    for (const page of await self.clients.matchAll()) page.postMessage({ type: "kept-open", person: known.person, homes: Object.keys(known.homes) });
  }
  const wanted = known;
  await closeAllBut(Object.keys(wanted.homes));
  if (!more.again) spares = Boolean(more.saveData);
  let isThin = spares || Boolean(more.isThin);
  for await (const one of inOrder(wanted, more, () => isThin)) {
    const full = new URL(one, self.location).href;
    if (self.registration.waiting) return; // a newer script, which takes over once this one has done
    if (await isFresh(full)) continue;
    while (waitingFor) await new Promise((next) => setTimeout(next, BREATH_MS)); // somebody wants the line
    const began = Date.now();
    await fetchAhead(full);
    if (Date.now() - began > SLOW_MS) isThin = true;
    if (await personHere() !== wanted.person) return;
    await new Promise((next) => setTimeout(next, BREATH_MS));
  }
  await tidy();
}
