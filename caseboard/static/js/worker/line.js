/* The line: asks the server, and tells an answer of ours from none, a late one, and another network's page. */
const WAIT_MS = 4000; // with a kept page at hand; house default
const WAIT_AGAIN_MS = 1500; // when the line was bad a moment ago; house default
const WAIT_ALONE_MS = 25000; // with nothing kept; house default
const WAIT_PAPER_MS = 150000; // a paper is drawn first: longer than the server gives itself
const BAD_FOR_MS = 15000;
const AWAY = [502, 503, 504];
let lostAt = 0;

/* why: "gone" (no line), "late", "portal" (a network's own sign-in page), "away" (the server does not serve) */
class Lost extends Error {
  constructor(why, answer = null) { super(why); this.why = why; this.answer = answer; }
}
const isBad = () => Date.now() - lostAt < BAD_FOR_MS;
const alone = (address) => (/\.(?:pdf|zip)$/.test(new URL(address, self.location).pathname) ? WAIT_PAPER_MS : WAIT_ALONE_MS);
const patience = (hasKept, address) => (hasKept ? (isBad() ? WAIT_AGAIN_MS : WAIT_MS) : alone(address));

function within(promise, ms) {
  let timer = 0;
  const late = new Promise((_, fail) => { timer = setTimeout(() => { lostAt = Date.now(); fail(new Lost("late")); }, ms); });
  return Promise.race([promise, late]).finally(() => clearTimeout(timer));
}

/* No request goes on for ever: a browser opens six connections to one site, and where all six hang it asks for
 * nothing more, not even to send what was written. The time is that until an answer begins; what is read
 * to its end (`whole`) has as long again as a paper. */
const ends = new WeakMap();
function limited(request, options = {}) {
  const end = new AbortController();
  const timer = setTimeout(() => end.abort(), alone(request.url ?? request));
  return fetch(request, { signal: end.signal, ...options }).then((answer) => { ends.set(answer, end); return answer; }).finally(() => clearTimeout(timer));
}

/* A redirect says nothing of itself to a worker: is it ours that answers at all? */
async function isOurs() {
  try {
    const answer = await fetch("/livez", { credentials: "omit", cache: "no-store", redirect: "error", signal: AbortSignal.timeout(WAIT_MS) });
    return answer.ok && answer.headers.has("X-Person");
  } catch { return false; }
}

/* An answer of our server's, or Lost. */
async function ask(request, options) {
  let answer = null;
  try { answer = await limited(request, options); } catch { lostAt = Date.now(); throw new Lost("gone"); }
  if (answer.type === "opaqueredirect") {
    if (await isOurs()) return answer;
    throw new Lost("portal");
  }
  if (answer.redirected && new URL(answer.url).origin !== self.location.origin) throw new Lost("portal");
  if (!answer.headers.has("X-Person")) throw new Lost(answer.status >= 500 ? "away" : "portal");
  if (AWAY.includes(answer.status)) throw new Lost("away", answer);
  lostAt = 0;
  return answer;
}

/* To its end: half a page is none. */
async function whole(answer) {
  const timer = setTimeout(() => ends.get(answer)?.abort(), WAIT_PAPER_MS);
  try { return await answer.clone().text(); } catch { lostAt = Date.now(); throw new Lost("gone"); } finally { clearTimeout(timer); }
}
