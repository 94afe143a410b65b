/* Pages of a signed-in person: the server's answer when it comes in time, else the kept one, "as of". */

const homeOf = (pathname) => pathname.match(/^\/(?:cases|yards)\/[\w-]+\//)?.[0] ?? "";

async function keepPage(person, asked, address, answer, html) {
  const wanted = await keepNeeds(person, asked, html);
  const bytes = new Blob([html]).size;
  const headers = lightHeaders(answer, { [KEPT_AT]: String(Date.now()), "X-Keep": answer.headers.get("X-Keep"), "X-Kept-Bytes": String(bytes), "X-Kept-Needs": wanted.join(" ") });
  return put(person, asked, address.split("#")[0], new Response(html, { status: 200, headers }));
}

/* The server says that it is no more, or not for this person: then it is not kept either. */
async function dropGone(address) {
  const { pathname } = new URL(address);
  const home = homeOf(pathname);
  await dropWhere((one) => one.pathname === pathname);
  if (home && (pathname === home || await isClosedToThem(home))) await closedNow((one) => one === home);
}
async function isClosedToThem(home) {
  const asked = nextTurn();
  const answer = await ask(home, { credentials: "same-origin", cache: "no-store", headers: AHEAD }).catch(() => null);
  return Boolean(answer && await learn(answer, asked)) && [403, 404].includes(answer.status);
}

/* Takes in what came: whose it is, whether it is to be kept or dropped. */
async function takeIn(answer, asked, address, html) {
  const person = await learn(answer, asked);
  if (!person) return false;
  if ([403, 404, 410].includes(answer.status)) { await dropGone(address); return false; }
  if (html === null) return false;
  if (isToldOnce(html)) return keepWithoutNews(address);
  return keepPage(person, asked, address, answer, html);
}
/* A page that says "Saved", and which text the phone need not keep any more, says so once. What is kept is
 * fetched anew without it; so are, when it is their turn, the other pages of that horse and the lists. */
const isToldOnce = (html) => html.includes('<meta name="told-once"');
async function keepWithoutNews(address) {
  const { href, pathname } = new URL(address);
  await dropWhere((one) => one.href === href.split("#")[0]);
  await noteChanged([pathname]);
  await fetchAhead(address);
  return true;
}
const isToKeep = (answer) => answer.ok && answer.headers.has("X-Keep") && (answer.headers.get("Content-Type") ?? "").startsWith("text/html");

let waitingFor = 0; // pages that somebody is waiting for

async function page(event) {
  const { request } = event;
  const asked = nextTurn();
  let isShown = false; // the kept one, while this was still coming
  const coming = ask(request).then(async (answer) => ({ answer, html: isToKeep(answer) ? await whole(answer) : null }));
  event.waitUntil(coming
    .then(({ answer, html }) => answer.type !== "opaqueredirect" && takeIn(answer, asked, request.url, html))
    .then((isKept) => (isKept && isShown ? tellFresher(event.resultingClientId) : null))
    .catch(() => { /* told below, or this phone keeps nothing */ }));
  waitingFor += 1;
  try {
    const hasKept = Boolean(await keptFor(request.url));
    return (await within(coming, patience(hasKept, request.url))).answer;
  } catch (lost) {
    const found = await keptFor(request.url); // again: a sign-out may have come between
    if (found) { isShown = true; return shown(found, lost.why ?? "gone", request.url); }
    return lost.answer ?? withoutConnection(lost.why ?? "gone", request.url);
  } finally { waitingFor -= 1; }
}

async function tellFresher(clientId) {
  const client = clientId && await self.clients.get(clientId);
  client?.postMessage({ type: "kept-fresher" });
}

/* Styles, scripts, fonts and pictures. */
async function thing(event) {
  const { request } = event;
  const asked = nextTurn();
  const found = await keptThing(request.url);
  if (found && (isForGood(request.url) || isBad())) return found;
  try {
    const answer = await within(limited(request), found ? WAIT_MS : WAIT_ALONE_MS);
    if (answer.type === "opaque" || !answer.ok) {
      if (found && [403, 404, 410].includes(answer.status) && answer.headers.has("X-Person")) event.waitUntil(blankedOut([new URL(request.url).pathname]));
      return answer;
    }
    const person = await personHere();
    if (person && mayKeepThing(request.url, answer, person)) event.waitUntil(put(person, asked, request.url, answer.clone()).catch(() => { /* not kept */ }));
    if (!isStatic(request.url) || isThing(answer)) return answer;
    throw new Lost("portal");
  } catch (lost) {
    if (!(lost instanceof Lost)) lostAt = Date.now();
    return found ?? (await kept(request.url).catch(() => null)) ?? Response.error();
  }
}

/* What a page asks for by script: only listened to, for whose answer it is. */
async function listened(event) {
  const asked = nextTurn();
  const answer = await limited(event.request);
  if (event.request.credentials !== "omit") event.waitUntil(learn(answer, asked).catch(() => { /* no storage here */ }));
  return answer;
}
