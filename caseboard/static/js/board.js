/* What the page says of itself in #live: a part that could not be loaded, the connection gone and back.
 *
 * Forms go as forms and are answered by a page; only parts to look at are asked for by script. An error
 * answer to such a part is never put in its place. Other scripts say something with
 * new CustomEvent("board:say", {detail: {words, kind}}), and have it read out unseen with "announce". */
"use strict";
(() => {
  const live = document.getElementById("live");

  const ANSWERS = {
    401: "You are signed out: it has been a while.",
    403: "This is not open to you any more. Reload the page and look again.",
    404: "This is not here any more. Reload the page and look again.",
  };
  const NOT_LOADED = "That part of the page could not be loaded. Try again in a minute.";

  function say(words, kind = "info", link = null) {
    if (!live) return;
    const box = document.createElement("div");
    box.className = "said";
    box.dataset.kind = kind;
    const text = document.createElement("p");
    text.textContent = words;
    const row = document.createElement("div");
    row.className = "cluster";
    if (link) {
      const anchor = document.createElement("a");
      anchor.className = "btn-main";
      anchor.href = link.href;
      anchor.textContent = link.words;
      row.append(anchor);
    }
    const close = document.createElement("button");
    close.type = "button";
    close.className = "btn";
    close.textContent = "Close this message";
    close.addEventListener("click", () => box.remove());
    row.append(close);
    box.append(text, row);
    live.replaceChildren(box);
  }

  /* Heard but not seen: the change itself is on the screen. */
  function announce(words) {
    if (!live || !words) return;
    const line = document.createElement("p");
    line.className = "unseen";
    line.textContent = words;
    live.append(line);
    setTimeout(() => line.remove(), 6000);
  }

  /* What asks by itself has its own words, beside itself (poll.js). */
  const isPoll = (ctx) => ctx?.sourceElement?.matches?.("[data-poll]");

  function sayStatus(status) {
    const here = encodeURIComponent(location.pathname + location.search);
    const link = status === 401 ? { href: `/accounts/login/?next=${here}`, words: "Sign in again" } : null;
    say(ANSWERS[status] ?? NOT_LOADED, "error", link);
  }

  /* A sign-in page that arrives in place of a part means that the sign-in has ended. */
  function isSignInPage(response) {
    return response.raw?.redirected && /\/accounts\/login\//.test(response.raw.url);
  }

  document.addEventListener("htmx:after:request", (event) => {
    const ctx = event.detail.ctx;
    if (!ctx?.response || isPoll(ctx) || !isSignInPage(ctx.response)) return;
    ctx.status = "said";
    sayStatus(401);
  });
  document.addEventListener("htmx:response:error", (event) => {
    const ctx = event.detail.ctx;
    if (!ctx?.response || isPoll(ctx)) return;
    ctx.status = "said";
    sayStatus(ctx.response.status);
  });
  document.addEventListener("htmx:error", (event) => {
    const { ctx } = event.detail;
    if (!ctx || ctx.response?.status || isPoll(ctx)) return;
    say(NOT_LOADED, "error");
  });
  document.addEventListener("htmx:after:swap", (event) => {
    if (!isPoll(event.detail.ctx)) live?.replaceChildren();
  });
  document.addEventListener("board:say", (event) => say(event.detail.words, event.detail.kind));
  document.addEventListener("announce", (event) => announce(event.detail?.words));
  addEventListener("offline", () => say(document.querySelector("[data-keeps-nothing]")
    ? "No connection, and this phone keeps nothing of what you type: leave this page open." : "No connection. What you write is kept in this phone.", "warning"));
  /* A page from the shelf says so itself, beside its age (shelf.js). */
  addEventListener("online", () => { if (!document.querySelector("[data-as-of]")) say("The connection is back."); });

  /* A full page that came back with errors: start reading there. */
  document.getElementById("form-errors")?.focus();

  /* On a wide screen there is room: what is folded on a phone stands open beside the first screen. */
  if (matchMedia("(min-width: 62rem)").matches) {
    for (const fold of document.querySelectorAll("details[data-wide]")) fold.open = true;
  }
})();
