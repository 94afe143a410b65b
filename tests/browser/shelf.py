"""What a test asks of the shelf that a phone keeps for reading."""

from typing import Any

from horses.models import Person
from tests.browser.ask_worker import ASK
from tests.browser.visitor import Visitor

# Every word that any cache of this origin holds, by its address.
CACHED = """async () => {
  const found = {};
  for (const name of await caches.keys()) {
    const cache = await caches.open(name);
    for (const request of await cache.keys()) {
      found[`${name} ${request.url}`] = await (await cache.match(request, { ignoreVary: true })).text();
    }
  }
  return found;
}"""
NOTE = """async ([person, seen, spent]) => {
  const shelf = await caches.open(`kept-1-${person}`);
  await shelf.put("/-kept/contact", new Response(JSON.stringify({ seen: Date.now() + seen, spent })));
}"""
DAY_MS = 24 * 3600 * 1000


def worker_says(visitor: Visitor, kind: str, **more: Any) -> dict[str, Any]:
    found: dict[str, Any] = visitor.page.evaluate(ASK, {"type": kind, **more})
    return found


def fetch_ahead(visitor: Visitor, *, save_data: bool = False, thin: bool = False) -> None:
    """Until the worker has fetched all it is to, even where the page asked just now."""
    visitor.until("navigator.serviceWorker.controller")
    more = {"isNew": True, "now": True, "saveData": save_data, "isThin": thin}
    worker_says(visitor, "fetch-ahead", address=visitor.page.url, **more)


def keep_opened(visitor: Visitor, path: str = "/horses/") -> None:
    """Opens the page, and waits until the phone has it."""
    visitor.go(path)
    until_kept(visitor, path)


def until_kept(visitor: Visitor, path: str, words: str = "") -> None:
    """Until the page is there, with these words on it."""
    visitor.until(
        f"caches.keys().then((names) => Promise.all(names.filter((name) => name.startsWith('kept-'))"
        f".map((name) => caches.open(name).then((shelf) => shelf.match('{path}'))"
        ".then((found) => found?.text()))))"
        f".then((found) => found.some((text) => text?.includes('{words}')))"
    )


def paths_kept(visitor: Visitor) -> set[str]:
    return {page["path"] for page in worker_says(visitor, "kept-status")["pages"]}


def cached(visitor: Visitor) -> dict[str, str]:
    found: dict[str, str] = visitor.page.evaluate(CACHED)
    return found


def time_passes(visitor: Visitor, person: Person, *, spent_ms: int = 0, clock_ms: int = 0) -> None:
    """As if the last contact were so long ago, and the phone's clock had since been moved by `clock_ms`."""
    visitor.page.evaluate(NOTE, [person.public_id, -clock_ms, spent_ms])


EARLIER = """async ([path, today, before]) => {
  const name = (await caches.keys()).find((one) => one.startsWith("kept-"));
  const shelf = await caches.open(name);
  const page = await shelf.match(path);
  const headers = new Headers(page.headers);
  headers.set("X-Kept-At", String(Date.now() - 24 * 3600 * 1000));
  headers.set("X-Keep", before);
  await shelf.put(path, new Response((await page.text()).replaceAll(today, before), { headers }));
}"""


def as_if_kept_before(visitor: Visitor, path: str, today: str, before: str) -> None:
    """As if the page had been kept a day ago."""
    visitor.page.evaluate(EARLIER, [path, today, before])


OLD_STYLES = """async ([path, styles]) => {
  const name = (await caches.keys()).find((one) => one.startsWith("kept-"));
  const shelf = await caches.open(name);
  const page = await shelf.match(path);
  const older = "/static/css/all.0123456789ab.css";
  const html = (await page.text()).replace(/href="[^"]*all[^"]*[.]css"/, `href="${older}"`);
  const headers = new Headers(page.headers);
  headers.set("X-Kept-Needs", `${headers.get("X-Kept-Needs")} ${older}`); // else they are tidied away
  await shelf.put(older, new Response(styles, { headers: { "Content-Type": "text/css" } }));
  await shelf.put(path, new Response(html, { headers }));
}"""


def with_styles_of_old(visitor: Visitor, path: str, styles: str) -> None:
    """As if the page had been kept with the hashed styles of an earlier version of the site."""
    visitor.page.evaluate(OLD_STYLES, [path, styles])
