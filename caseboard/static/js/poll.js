/* A part of the page that asks again by itself, without getting into anybody's way.
 *
 *   <div data-poll hx-get="…" hx-trigger="every 60s" hx-swap="innerHTML">
 *
 * An answer that says the same changes nothing. A new one is put in its place with what was open, in
 * focus and in sight left so; while somebody types or chooses inside it, it waits for the next time.
 * Without a connection the part says since when it is old; nobody is told that they sent nothing. */
"use strict";
(() => {
  const pollOf = (event) => {
    const spot = event.detail?.ctx?.sourceElement;
    return spot?.matches?.("[data-poll]") ? spot : null;
  };
  /* A page that this phone had kept is as old as it says. */
  const keptAt = Number(document.querySelector("[data-as-of]")?.dataset.asOf);
  let asked = keptAt ? new Date(keptAt) : new Date();

  /* -- the same, or not */

  function plain(root) {
    const copy = root.cloneNode(true);
    for (const gone of copy.querySelectorAll("[name=csrfmiddlewaretoken], [data-stale]")) gone.remove();
    for (const fold of copy.querySelectorAll("details")) fold.removeAttribute("open");
    return copy.innerHTML.replace(/\s+/g, " ").trim();
  }
  const read = (text) => new DOMParser().parseFromString(text, "text/html").body;
  const isWhole = (text) => /^\s*(<!doctype|<html)/i.test(text ?? "");

  function isTouched(field) {
    if (field.type === "checkbox" || field.type === "radio") return field.checked !== field.defaultChecked;
    if (field.options) return [...field.options].some((option) => option.selected !== option.defaultSelected);
    return field.type !== "hidden" && field.value !== field.defaultValue;
  }
  function isBusy(spot) {
    const fields = [...spot.querySelectorAll("input, textarea, select")];
    return fields.some((field) => isTouched(field) || (field === document.activeElement && field.type !== "hidden"));
  }

  /* -- what was open, in focus and in sight: found again by what it is, not by where it stands */

  function keyOf(node) {
    if (node.dataset.key) return node.dataset.key;
    const words = node.textContent.replace(/\d+/g, "#").replace(/\s+/g, " ").trim();
    const place = node.getAttribute("href") ?? node.closest("form")?.getAttribute("action") ?? "";
    return `${node.id}|${node.localName}|${place}|${words}`;
  }
  const CONTROLS = "a[href], button, summary";
  function keyed(spot) {
    const seen = new Map();
    const found = new Map();
    for (const node of spot.querySelectorAll(CONTROLS)) {
      const key = keyOf(node);
      const nth = seen.get(key) ?? 0;
      seen.set(key, nth + 1);
      found.set(`${key}|${nth}`, node);
    }
    return found;
  }

  function remembered(spot) {
    const controls = [...keyed(spot)];
    const inSight = controls.find(([, node]) => node.getBoundingClientRect().bottom > 0);
    return {
      open: controls.filter(([, node]) => node.localName === "summary" && node.parentElement.open).map(([key]) => key),
      focus: controls.find(([, node]) => node === document.activeElement)?.[0],
      sight: inSight && { key: inSight[0], top: inSight[1].getBoundingClientRect().top },
      below: spot.getBoundingClientRect().bottom,
    };
  }

  function restore(spot, was) {
    const controls = keyed(spot);
    for (const key of was.open) { const fold = controls.get(key)?.parentElement; if (fold) fold.open = true; }
    if (was.focus && !spot.contains(document.activeElement)) controls.get(was.focus)?.focus({ preventScroll: true });
    const stays = was.sight && controls.get(was.sight.key);
    const moved = was.below < 0 ? spot.getBoundingClientRect().bottom - was.below
      : stays ? stays.getBoundingClientRect().top - was.sight.top : 0;
    if (moved && scrollY > 0) scrollBy({ top: moved, behavior: "instant" });
    document.documentElement.style.overflowAnchor = "";
  }

  /* -- how old it is */

  function say(spot, words, link) {
    let line = spot.querySelector("[data-stale]");
    if (!line) {
      line = document.createElement("p");
      line.className = "caution";
      line.dataset.stale = "yes";
      line.setAttribute("role", "status");
      spot.prepend(line);
    }
    if (line.dataset.words === words) return;
    line.dataset.words = words;
    line.textContent = words;
    if (!link) return;
    const anchor = document.createElement("a");
    anchor.className = "tap";
    anchor.href = link.href;
    anchor.textContent = link.words;
    line.append(" ", anchor);
  }
  const since = () => {
    const isToday = asked.toDateString() === new Date().toDateString();
    return asked.toLocaleString("en-GB", { ...(isToday ? {} : { day: "numeric", month: "short" }), hour: "2-digit", minute: "2-digit" });
  };
  const old = (spot, why) => say(spot, `As it was at ${since()}: ${why}.`);
  const here = () => encodeURIComponent(location.pathname + location.search);

  const waiting = new WeakMap();
  document.addEventListener("htmx:before:swap", (event) => {
    const spot = pollOf(event);
    if (!spot) return;
    const { ctx } = event.detail;
    const status = ctx.response?.status ?? 200;
    const signedOut = status === 401 || ctx.response?.raw?.redirected && /\/accounts\/login\//.test(ctx.response.raw.url);
    if (status !== 200 || signedOut || isWhole(ctx.text)) {
      event.preventDefault();
      if (signedOut) say(spot, "You are signed out: it has been a while.", { href: `/accounts/login/?next=${here()}`, words: "Sign in again" });
      else old(spot, status === 404 || status === 403 ? "it is not open to you any more" : "no answer came");
      return;
    }
    const fresh = read(ctx.text);
    if (plain(fresh) === plain(spot)) {
      event.preventDefault();
      asked = new Date();
      spot.querySelector("[data-stale]")?.remove();
    } else if (isBusy(spot)) {
      event.preventDefault();
      old(spot, "something is new here, and shows once you have sent what you are typing");
    } else {
      asked = new Date();
      document.documentElement.style.overflowAnchor = "none";
      waiting.set(spot, remembered(spot));
    }
  });
  document.addEventListener("htmx:after:swap", (event) => {
    const spot = pollOf(event);
    const was = spot && waiting.get(spot);
    if (!was) return;
    waiting.delete(spot);
    restore(spot, was);
  });
  document.addEventListener("htmx:error", (event) => {
    const spot = pollOf(event);
    if (spot && !event.detail.ctx.response?.status) old(spot, "no connection since");
  });
})();
