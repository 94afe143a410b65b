/* Answers that are not the expected page: said in words in #live, typed text left where it is.
 *
 * An error answer that is a part (a form with its errors, both texts of a conflict) is put in its place;
 * one that is a whole page is not, and is said in #live instead. Other scripts say something with
 * new CustomEvent("board:say", {detail: {words, kind}}); the server announces a swapped part with
 * data-announce="words" on an element inside it. */
"use strict";
(() => {
  const live = document.getElementById("live");

  const KEPT = "What you typed is still here.";
  const ANSWERS = {
    400: `That could not be read. ${KEPT} Look at it and send it again.`,
    401: `You are signed out: it has been a while. ${KEPT}`,
    403: `Not saved: this is for another role to do, or the page has been open too long. ${KEPT} Reload the page and look again.`,
    404: `Not saved: this is not here any more, or you are not on its team now. ${KEPT}`,
    409: `Not saved: someone else changed this meanwhile. ${KEPT} Copy it, reload the page and look at both.`,
    413: `Not saved: that was too large. ${KEPT} Choose a smaller photo.`,
    422: `Not saved yet. ${KEPT} Look at the marked places.`,
    429: `Too many in a short while. ${KEPT}`,
  };
  /* To somebody who sent nothing: the page asked by itself, or only for a part to look at. */
  const NOT_SENT = {
    401: "You are signed out: it has been a while.",
    403: "This is not open to you any more. Reload the page and look again.",
    404: "This is not here any more. Reload the page and look again.",
  };
  const NOT_LOADED = "That part of the page could not be loaded. Try again in a minute.";
  const LOST = `No connection, so nothing was sent. ${KEPT} Try again when you have a signal.`;
  const SLOW = `No answer came in time, so it is not certain that it was saved. ${KEPT} Try again: it will not be saved twice.`;
  const BROKEN = `Something broke on our side. ${KEPT} Try again in a minute.`;

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

  const isWholePage = (text) => /^\s*(<!doctype|<html)/i.test(text ?? "");

  function waitWords(response) {
    const seconds = Number.parseInt(response.headers.get("Retry-After") ?? "", 10);
    return seconds > 0 ? ` Wait ${seconds} seconds, then try again.` : " Wait a minute, then try again.";
  }

  const wasSent = (ctx) => (ctx?.request?.method ?? "GET").toUpperCase() !== "GET";
  /* What asks by itself has its own words, beside itself (poll.js). */
  const isPoll = (ctx) => ctx?.sourceElement?.matches?.("[data-poll]");

  function sayStatus(response, sent) {
    const status = response.status;
    let words = ANSWERS[status] ?? (status >= 500 ? BROKEN : `Not saved. ${KEPT}`);
    if (!sent) words = NOT_SENT[status] ?? NOT_LOADED;
    if (status === 429) words += waitWords(response);
    const here = encodeURIComponent(location.pathname + location.search);
    const link = status === 401 ? { href: `/accounts/login/?next=${here}`, words: "Sign in again" } : null;
    say(words, "error", link);
  }

  /* A sign-in page that arrives in place of a part means that the sign-in has ended. */
  function isSignInPage(response) {
    return response.raw?.redirected && /\/accounts\/login\//.test(response.raw.url);
  }

  document.addEventListener("htmx:after:request", (event) => {
    const ctx = event.detail.ctx;
    if (!ctx?.response || isPoll(ctx) || !isSignInPage(ctx.response)) return;
    ctx.status = "said";
    sayStatus({ status: 401, headers: ctx.response.headers }, wasSent(ctx));
  });
  document.addEventListener("htmx:response:error", (event) => {
    const ctx = event.detail.ctx;
    if (!ctx?.response || ctx.hx?.redirect || isPoll(ctx)) return;
    const part = ctx.text && !isWholePage(ctx.text) && ctx.response.status < 500;
    if (part) return;
    ctx.status = "said";
    sayStatus(ctx.response, wasSent(ctx));
  });
  document.addEventListener("htmx:error", (event) => {
    const { ctx, error } = event.detail;
    if (!ctx || ctx.response?.status || isPoll(ctx)) return;
    if (!wasSent(ctx)) say(NOT_LOADED, "error");
    else say(error?.name === "AbortError" ? SLOW : LOST, "error");
  });
  document.addEventListener("htmx:after:swap", (event) => {
    const status = event.detail.ctx?.response?.status ?? 200;
    const errors = status >= 400 && document.getElementById("form-errors");
    if (!isPoll(event.detail.ctx)) {
      live?.replaceChildren();
      if (errors) errors.focus();
    }
    for (const told of document.querySelectorAll("[data-announce]")) {
      announce(told.dataset.announce);
      told.removeAttribute("data-announce");
    }
  });
  document.addEventListener("board:say", (event) => say(event.detail.words, event.detail.kind));
  document.addEventListener("announce", (event) => announce(event.detail?.value ?? event.detail?.words));
  addEventListener("offline", () => say("No connection. What you type is kept in this phone.", "warning"));
  addEventListener("online", () => say("The connection is back."));

  /* A full page that came back with errors: start reading there. */
  document.getElementById("form-errors")?.focus();
})();
