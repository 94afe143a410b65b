/* The shelf: what this phone keeps for the one person who is signed in on it, until when.
 *
 * One cache, `kept-<version>-<person>`, with the person's pages, pictures, and the styles and scripts that
 * go with them. There is never more than one: an answer to somebody else, or to nobody, empties it. A new
 * version of this script keeps the shelf unless VERSION goes up, and then drops it: all of it is the
 * server's and is fetched anew (what somebody wrote lies elsewhere, in the pages' own store).
 *
 * Decided 2026-11-29: no service-worker toolkit. Looked at were workbox's routing, strategies, expiration
 * and core modules (7.4.1, MIT, 20 kB): what they do is a race and a table of addresses, 40 lines here. What
 * this needs they do not: one shelf a person, emptied as a whole; an end counted from the last contact and
 * not from the last use, on a clock that may be wrong; a page read to its end before it counts as arrived. */
const VERSION = 1;
const SHELF_PREFIX = `kept-${VERSION}-`;
const CONTACT = "/-kept/contact";
const KEPT_AT = "X-Kept-At";
const KEPT_FOR_MS = 14 * 24 * 3600 * 1000; // common practice, no source: as long as a draft
const NOTED_EVERY_MS = 60 * 1000;
const MOST_PAGES = 200; // house default
const MOST_BYTES = 30 * 1000 * 1000; // house default
const nameOf = (person) => SHELF_PREFIX + person;

/* Answers asked for before the person last changed say nothing any more. */
let turn = 0;
let changedAt = 0;
let notedAt = 0;
let refused = ""; // why this phone last kept nothing: "full", or another word of the browser's
const nextTurn = () => { turn += 1; return turn; };

/* Whatever changes the shelf goes one after another, so that nothing is put into it while it is emptied. */
let last = Promise.resolve();
function inTurn(act) {
  const mine = last.then(act);
  last = mine.catch(() => { /* said to whoever asked */ });
  return mine;
}

async function shelfNames() {
  try { return (await caches.keys()).filter((name) => name.startsWith("kept-")); } catch { return []; }
}

/* Whose shelf this phone has; empty for none. */
async function personHere() {
  const names = await shelfNames();
  const [name] = names;
  return names.length === 1 && name.startsWith(SHELF_PREFIX) ? name.slice(SHELF_PREFIX.length) : "";
}

/* From now on, or from the answer on that named another person. */
function forgetAll({ but = "", from = nextTurn() } = {}) {
  changedAt = Math.max(changedAt, from);
  notedAt = 0;
  return inTurn(async () => {
    for (const name of await shelfNames()) if (!but || name !== nameOf(but)) await caches.delete(name);
  });
}

/* -- until when
 *
 * Counted is the time that went by since the last contact, as the phone's clock was seen going forward. A
 * clock that is wrong by hours counts the same; one that is turned back gives no time back, and one that
 * leaps ahead only empties the shelf early. Whoever holds the open phone and sets its clock back before
 * each look is not held up by this. */
async function spent(shelf) {
  const noted = await (await shelf.match(CONTACT))?.json().catch(() => null);
  if (!noted) return Infinity;
  const now = Date.now();
  const on = Math.max(0, now - noted.seen);
  const sum = noted.spent + on;
  if (on > NOTED_EVERY_MS || now < noted.seen) await note(shelf, { seen: now, spent: sum }).catch(() => { /* full: counted again next time */ });
  return sum;
}
const note = (shelf, state) => shelf.put(CONTACT, new Response(JSON.stringify(state), { headers: { "Content-Type": "application/json" } }));

/* An answer that reached us from the server: whose it is. Empty for nobody's, or for one that came too late. */
async function learn(answer, asked) {
  const person = answer.headers.get("X-Person") ?? "";
  if (!person || asked < changedAt) return "";
  if (person === "nobody") { if ((await shelfNames()).length) await forgetAll(); return ""; }
  const isSame = await personHere() === person;
  if (!isSame) await forgetAll({ but: person, from: asked });
  if (isSame && Date.now() - notedAt < NOTED_EVERY_MS / 6 && Date.now() >= notedAt) return person;
  return inTurn(async () => {
    if (asked < changedAt) return "";
    try {
      await note(await caches.open(nameOf(person)), { seen: Date.now(), spent: 0 });
    } catch (error) { refused = why(error); return ""; }
    notedAt = Date.now();
    return person;
  });
}
const why = (error) => (error?.name === "QuotaExceededError" ? "full" : error?.name || "refused");

/* -- putting and finding */

/* The shelf, if it may still be read. */
async function openShelf() {
  const person = await personHere();
  if (!person) return null;
  const shelf = await caches.open(nameOf(person));
  if (await spent(shelf) < KEPT_FOR_MS) return shelf;
  await forgetAll();
  return null;
}

async function keptPage(address) {
  const shelf = await openShelf().catch(() => null);
  const here = new URL(address, self.location);
  const found = await shelf?.match(here.pathname === "/" ? "/horses/" : here.href, { ignoreVary: true });
  return found?.headers.has(KEPT_AT) ? found : null;
}

/* Nothing is kept under the whole address. The form of a visit is the same whichever day's list it was asked for
 * from: its own script reads the rest of the address (js/visit/asked.js). A day's list is today's, or a part of the week's. */
const FORM = /\/visits\/new\/$/;
async function keptFor(address) {
  const { origin, pathname, search, searchParams } = new URL(address, self.location);
  const found = await keptPage(address);
  if (found || !search) return found;
  if (FORM.test(pathname)) return keptPage(origin + pathname);
  if (pathname !== "/round/" || !searchParams.has("from")) return null;
  const today = await keptPage(`${origin}/round/?days=1`);
  return today?.headers.get("X-Keep") === searchParams.get("from") ? today : keptPage(`${origin}/round/`);
}

async function keptThing(address) {
  const shelf = await openShelf().catch(() => null);
  return (await shelf?.match(address, { ignoreVary: true })) ?? null;
}

/* Puts it on the shelf of that person, if they are still the one here. When the phone is full the oldest
 * pages go first; when that does not help it is left out, and said (`kept-status`). */
function put(person, asked, address, answer) {
  return inTurn(async () => {
    if (asked < changedAt || await personHere() !== person) return false;
    const shelf = await caches.open(nameOf(person));
    try { await shelf.put(address, answer.clone()); } catch (error) {
      refused = why(error);
      if (refused !== "full") return false;
      await dropOldest(shelf, 20);
      try { await shelf.put(address, answer); } catch { return false; }
    }
    refused = "";
    return true;
  });
}

const lightHeaders = (answer, more) => {
  const headers = new Headers(more);
  for (const name of ["Content-Type", "Content-Security-Policy", "Referrer-Policy", "X-Content-Type-Options", "X-Person"]) {
    if (answer.headers.has(name)) headers.set(name, answer.headers.get(name));
  }
  return headers;
};

async function pagesOn(shelf) {
  const found = [];
  for (const request of await shelf.keys()) {
    const answer = await shelf.match(request, { ignoreVary: true });
    if (answer?.headers.has(KEPT_AT)) found.push({ request, answer, at: Number(answer.headers.get(KEPT_AT)), bytes: Number(answer.headers.get("X-Kept-Bytes")) });
  }
  return found.sort((one, other) => one.at - other.at);
}

async function dropOldest(shelf, count) {
  for (const { request } of (await pagesOn(shelf)).slice(0, count)) await shelf.delete(request);
}

function dropWhere(isGone) {
  return inTurn(async () => {
    const person = await personHere();
    if (!person) return 0;
    const shelf = await caches.open(nameOf(person));
    let gone = 0;
    for (const request of await shelf.keys()) if (isGone(new URL(request.url))) { await shelf.delete(request); gone += 1; }
    return gone;
  });
}

/* Keeps to the limits, and drops what no kept page needs any more. */
function tidy() {
  return inTurn(async () => {
    const person = await personHere();
    if (!person) return;
    const shelf = await caches.open(nameOf(person));
    const pages = await pagesOn(shelf);
    let bytes = pages.reduce((sum, one) => sum + one.bytes, 0);
    let count = pages.length;
    const staying = new Set([CONTACT, CHANGED, OPEN].map((one) => new URL(one, self.location).href));
    for (const page of pages) {
      if (count > MOST_PAGES || bytes > MOST_BYTES) { await shelf.delete(page.request); count -= 1; bytes -= page.bytes; continue; }
      staying.add(page.request.url);
      for (const need of (page.answer.headers.get("X-Kept-Needs") ?? "").split(" ")) if (need) staying.add(new URL(need, self.location).href);
    }
    for (const request of await shelf.keys()) if (!staying.has(request.url)) await shelf.delete(request);
  });
}

async function status() {
  const person = await personHere();
  const shelf = person ? await openShelf().catch(() => null) : null;
  const pages = shelf ? await pagesOn(shelf) : [];
  const left = shelf ? KEPT_FOR_MS - await spent(shelf) : 0;
  return { person, pages: pages.map(({ request, at }) => ({ path: new URL(request.url).pathname + new URL(request.url).search, at })), until: shelf ? Date.now() + left : 0, refused };
}
