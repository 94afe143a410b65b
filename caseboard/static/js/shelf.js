/* What this phone keeps for reading (the worker's side: js/worker/).
 *
 * A page asks the worker to fetch ahead while there is a signal, and to look whether all that is kept is
 * still open to this person. A page that came from the shelf says as of when it is; it offers the page as it
 * is now when that has come, or when the connection is back.
 * Others hear "kept:status" on the document, with what the worker says of the shelf and the phone's room, and
 * "kept:open" with the homes of the cases that are open to this person. */
"use strict";
(() => {
  const worker = navigator.serviceWorker;
  const person = document.querySelector('meta[name="person"]')?.content ?? "";
  const strip = document.querySelector("[data-as-of]");
  const isNew = !worker?.controller; // the worker has not seen this page come
  const WAIT_MS = 4000; /* house default */

  function offerFresh(words) {
    if (!strip || strip.querySelector("a")) return;
    const link = document.createElement("a");
    link.href = location.href;
    link.textContent = words;
    link.addEventListener("click", (event) => { event.preventDefault(); location.reload(); });
    strip.querySelector("span").replaceWith(link); // why it is an old one holds no more
  }
  addEventListener("online", () => offerFresh("The connection is back: load it again"));
  if (!worker || !globalThis.caches) return;
  worker.addEventListener("message", ({ data }) => {
    if (data?.type === "kept-fresher") offerFresh("It has come now: show it");
    if (data?.type === "kept-open" && data.person === person) document.dispatchEvent(new CustomEvent("kept:open", { detail: data }));
  });
  worker.startMessages?.();

  /* Asks the worker something and hands on its answer; null when none comes. */
  async function asked(message, ms = WAIT_MS) {
    const { active } = await worker.ready;
    return new Promise((answered) => {
      const { port1, port2 } = new MessageChannel();
      port1.onmessage = (event) => answered(event.data);
      setTimeout(() => answered(null), ms);
      active.postMessage(message, [port2]);
    });
  }

  async function tellStatus() {
    const [kept, room] = await Promise.all([asked({ type: "kept-status" }), navigator.storage?.estimate?.().catch(() => null)]);
    document.dispatchEvent(new CustomEvent("kept:status", { detail: { ...kept, usage: room?.usage, quota: room?.quota } }));
  }

  async function ahead(now) {
    if (!person || navigator.onLine === false) return;
    const { saveData, effectiveType } = navigator.connection ?? {};
    const isThin = /2g/.test(effectiveType ?? "");
    await asked({ type: "fetch-ahead", address: strip ? "" : location.href, isNew, saveData: Boolean(saveData), isThin, now });
    await tellStatus();
  }

  /* On the page about oneself: how much lies here, until when; and a way to be rid of it. */
  const box = document.querySelector("[data-shelf]");
  const REFUSED = { full: "This phone is full: it can keep no more pages." };
  document.addEventListener("kept:status", ({ detail }) => {
    if (!box) return;
    const { pages = [], until, refused } = detail;
    const day = new Date(until).toLocaleDateString("en-GB", { day: "numeric", month: "long" });
    const words = pages.length
      ? `${pages.length} page${pages.length === 1 ? "" : "s"} to read without a signal, for you alone. Not shown after ${day}, unless you are here with a signal before.`
      : "No pages to read without a signal.";
    box.querySelector("[data-shelf-words]").textContent = [words, refused && (REFUSED[refused] ?? "This browser keeps nothing here.")].filter(Boolean).join(" ");
    box.querySelector("button").hidden = !pages.length;
    box.hidden = false;
  });
  box?.querySelector("button").addEventListener("click", async () => {
    await asked({ type: "forget-person", person });
    await tellStatus();
  });
  if (box) tellStatus();

  /* Installed: what is kept is not to be thrown out when the phone wants room. */
  const isInstalled = matchMedia("(display-mode: standalone), (display-mode: minimal-ui)").matches || navigator.standalone;
  if (person && isInstalled) navigator.storage?.persist?.().catch(() => { /* the browser decides */ });

  addEventListener("online", () => ahead(true));
  document.addEventListener("kept:ask", tellStatus);
  const soon = globalThis.requestIdleCallback ?? ((act) => setTimeout(act, 1000));
  addEventListener("load", () => soon(() => ahead(false)));
})();
