/* What a page from the shelf says of itself, and our own page where there is none. */
const WHY = {
  gone: "No connection.",
  late: "The board did not answer in time.",
  portal: "This network asks for a sign-in of its own first.",
  away: "The board is not answering just now.",
};
const two = (number) => String(number).padStart(2, "0");

/* "7:12", or with its day when that is not today; by this phone's clock. */
function asOf(at, now) {
  const then = new Date(at);
  const clock = `${then.getHours()}:${two(then.getMinutes())}`;
  if (then.toDateString() === new Date(now).toDateString()) return clock;
  const day = then.toLocaleDateString("en-GB", { weekday: "short", day: "numeric", month: "short" });
  return `${day}, ${clock}`;
}

function freshKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return btoa(String.fromCharCode(...bytes)).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
}

/* A form is sent once under its key: each time a kept page is shown, its forms are new ones. */
function withFreshKeys(html) {
  const fresh = new Map();
  return html.replace(/<input\b[^>]*\bname="(?:[\w-]+-)?client_key"[^>]*>/g, (field) => field.replace(/\bvalue="([^"]*)"/, (_, old) => {
    if (!fresh.has(old)) fresh.set(old, freshKey());
    return `value="${fresh.get(old)}"`;
  }));
}

/* What is written with a kept form is of today, not of the day on which the form was fetched. Only in
 * forms that make something: elsewhere such a day may be one that somebody chose. */
const MAKES = /\/(?:new|was-here|lost-shoe)\/$/;
function withToday(html, keptOn, today) {
  return html.replace(/<input\b[^>]*\btype="date"[^>]*>/g, (field) => field.replace(/\b(value|max)="([^"]*)"/g, (all, name, day) => (day === keptOn ? `${name}="${today}"` : all)));
}
const isoDay = (date) => `${date.getFullYear()}-${two(date.getMonth() + 1)}-${two(date.getDate())}`;

const SLOT = /<p class="as-of"[^>]*hidden><\/p>/;
async function shown(page, why, address) {
  const at = Number(page.headers.get(KEPT_AT));
  const now = new Date();
  const isOfToday = new Date(at).toDateString() === now.toDateString();
  const then = isOfToday ? "" : " “Today” on this page is that day.";
  const strip = `<p class="as-of" data-as-of="${at}"><b>As of ${asOf(at, now)}.</b>${then} <span>${WHY[why]}</span></p>`;
  const fresh = withFreshKeys(await page.text());
  const html = MAKES.test(new URL(address).pathname) ? withToday(fresh, page.headers.get("X-Keep"), isoDay(now)) : fresh;
  const told = SLOT.test(html) ? html.replace(SLOT, strip) : html.replace(/<body\b[^>]*>/, (body) => body + strip);
  const headers = new Headers(page.headers);
  headers.set("Cache-Control", "no-store");
  return new Response(told, { status: 200, headers });
}

const HEADING = {
  gone: ["No connection", "This page needs a signal."],
  late: ["No answer", "The board did not answer in time."],
  portal: ["Not the board", "This network asks for a sign-in of its own first: open the phone's network settings, sign in there, then try again."],
  away: ["The board is not answering", "Try again in a minute."],
};
const TITLES = { "/horses/": "My horses", "/round/?days=1": "Today’s stops", "/round/": "The week’s stops", "/look/": "Daily look", "/me/waiting/": "Waiting in this phone" };
const escaped = (text) => text.replace(/[&<>"]/g, (sign) => `&#${sign.charCodeAt(0)};`);

/* The first pages of the shelf and the boards on it, as links: there is something to read. */
async function onTheShelf() {
  const shelf = await openShelf().catch(() => null);
  if (!shelf) return "";
  const links = [];
  for (const [path, words] of Object.entries(TITLES)) if (await shelf.match(path, { ignoreVary: true })) links.push([path, words]);
  for (const { request, answer } of await pagesOn(shelf)) {
    const { pathname, search } = new URL(request.url);
    if (search || !/^\/cases\/[\w-]+\/$/.test(pathname)) continue;
    const title = (await answer.text()).match(/<title>\s*([^<·]+?)\s*(?:·|<)/)?.[1];
    if (title) links.push([pathname, title, true]);
  }
  if (!links.length) return "";
  const items = links.map(([path, words, isHtml]) => `<li><a class="tap" href="${path}">${isHtml ? words : escaped(words)}</a></li>`).join("");
  return `<h2>Kept in this phone</h2><ul>${items}</ul>`;
}

/* Any page that is not kept: our own words in place of the browser's. */
async function withoutConnection(why, address) {
  const urgent = await kept(PAGE).catch(() => null);
  const styles = urgent ? needs(await urgent.text()).filter((one) => one.includes(".css") && !one.includes("print")) : [];
  const links = styles.map((one) => `<link rel="stylesheet" href="${one}">`).join("");
  const [heading, words] = HEADING[why];
  const again = new URL(address).pathname + new URL(address).search;
  const html = `<!doctype html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark"><title>${heading} · Hoof case board</title>${links}</head><body>
<main id="main"><div class="wrap"><article class="trouble card"><h1>${heading}</h1>
<p>${words} What you typed in a form is kept in this phone and will be offered to you when you come back.</p>
<p>If a horse needs help now, do not wait for this page: ring your vet.</p>
<p><a class="btn-need" href="${PAGE}">Urgent signs and kept numbers</a></p>
<p><a class="btn" href="${escaped(again)}">Try again</a></p>
${await onTheShelf()}</article></div></main></body></html>`;
  return new Response(html, { status: 503, headers: {
    "Content-Type": "text/html; charset=utf-8",
    "Content-Security-Policy": "default-src 'none'; style-src 'self'; font-src 'self'; img-src 'self'; base-uri 'none'; form-action 'none'",
  } });
}
