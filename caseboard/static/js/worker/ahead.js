/* Fetches ahead, while there is a signal, what the server says this person will want to read: politely,
 * one after another, not again what is fresh, and only the stops where the person asks to spare data. */
const LIST = "/me/shelf/";
const AHEAD = { "X-Fetched-Ahead": "1" }; // nobody has read these pages yet
const ASK_EVERY_MS = 60 * 1000; // house default: how soon a removal is noticed on any page
const FRESH_MS = 30 * 60 * 1000; // house default
const BREATH_MS = 150;
let askedFor = { person: "", at: 0 };
let isFetching = false;

async function list(asked) {
  const answer = await ask(LIST, { credentials: "same-origin", cache: "no-store", headers: AHEAD, signal: AbortSignal.timeout(WAIT_ALONE_MS) });
  const person = await learn(answer, asked);
  if (!person || !answer.ok) return null;
  return { person, ...await answer.json() };
}

async function isFresh(address) {
  const found = await keptPage(address);
  return Boolean(found) && Math.abs(Date.now() - Number(found.headers.get(KEPT_AT))) < FRESH_MS;
}

async function fetchAhead(address) {
  const asked = nextTurn();
  const answer = await ask(address, { credentials: "same-origin", cache: "no-store", headers: AHEAD, signal: AbortSignal.timeout(WAIT_ALONE_MS) });
  const html = isToKeep(answer) && !answer.redirected ? await whole(answer) : null;
  await takeIn(answer, asked, address, html);
}

async function ahead({ address, saveData, now }) {
  if (isFetching || (!now && Date.now() - askedFor.at < ASK_EVERY_MS && askedFor.person === await personHere())) return;
  isFetching = true;
  try {
    const wanted = await list(nextTurn());
    if (!wanted) return;
    askedFor = { person: wanted.person, at: Date.now() };
    const isOpen = (one) => wanted.open.some((start) => one.pathname.startsWith(start));
    await closedNow((one) => /^\/(?:cases|yards)\//.test(one.pathname) && !isOpen(one));
    const here = address && new URL(address).origin === self.location.origin ? [new URL(address).href.split("#")[0]] : [];
    for (const one of [...here, ...wanted.stops, ...(saveData ? [] : wanted.more)]) {
      const full = new URL(one, self.location).href;
      if (await isFresh(full)) continue;
      await fetchAhead(full);
      if (await personHere() !== wanted.person) return;
      await new Promise((next) => setTimeout(next, BREATH_MS));
    }
    await tidy();
  } catch { /* the line is gone: the next page asks again */ } finally { isFetching = false; }
}
