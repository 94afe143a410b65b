/* Sends what waits, by itself, in order: urgent flags first, pictures last, one tab at a time. Each page says
 * how many wait.
 *
 *   window.drafts.list()   what is kept for the person signed in, as it lies in the phone
 *   window.drafts.now()    tries to send now; true when nothing waits any more */
"use strict";
const drafts = (window.drafts ??= {});
(() => {
  const { store } = drafts;
  drafts.stop?.(); // of the page that an answer took the place of
  const AGAIN_S = 1, FIRST_S = 15, LONGEST_S = 300; // house defaults: pauses between tries; each twice the one before
  let pause = FIRST_S, timer = 0, draining = null;

  const alone = (name, act) => navigator.locks ? navigator.locks.request(name, { ifAvailable: true }, (lock) => (lock ? act() : null)) : act();
  const lockOf = (id) => `draft:${id}`;

  /* What became of a draft; true when the line is good enough for the next one. */
  async function settle(draft, answer) {
    const at = Date.now();
    const tries = draft.tries + 1;
    switch (answer.kind) {
      case "accepted":
        keptIsOld(draft, answer);
        if (draft.apart?.length) await picturesOf(draft, answer);
        else await store.forget(draft.id);
        document.dispatchEvent(new CustomEvent("drafts:sent", { detail: { draft, answer } }));
        return true;
      case "refused":
        await store.change(draft.id, { state: "needs you", tries, last: { at, words: answer.said.join(" "), to: answer.to } });
        return true;
      case "page":
        if (isAcceptance(draft, answer)) { keptIsOld(draft, answer); await store.forget(draft.id); return true; }
        await store.change(draft.id, { state: "needs you", tries, last: { at, status: answer.status, html: answer.html } });
        return true;
      case "later":
        await store.change(draft.id, { state: "waiting", tries, last: { at, status: answer.status } });
        pause = Math.max(pause, answer.afterS);
        return answer.status === 500; // a fault met by this one: the others need not wait for it
      case "first":
        await store.change(draft.id, { state: "waiting", tries, last: { at, to: answer.to, words: "The board asks for something first." } });
        return false;
      default:
        await store.change(draft.id, { state: "waiting", tries, last: { at, words: answer.kind === "none" ? "" : answer.kind } });
        return false;
    }
  }

  /* What the phone keeps of that horse for reading is from before: noted at once, fetched anew when the
   * last one has been sent, so that the sending does not wait for it. */
  const tellWorker = (paths, isLast) => navigator.serviceWorker?.controller?.postMessage({ type: "kept-changed", paths, isLast });
  const keptIsOld = ({ action, caseId }, { to }) => tellWorker([action, to, caseId && `/cases/${caseId}/`].filter(Boolean), !draining);

  /* Some deeds are answered by a page at once (a link that was made): it names the form as accepted. */
  function isAcceptance(draft, { status, html }) {
    const page = status === 200 ? new DOMParser().parseFromString(html, "text/html") : null;
    return [...(page?.querySelectorAll('meta[name="kept-clear"]') ?? [])].some((meta) => meta.content === draft.form);
  }

  /* Pictures follow on their own, so that an urgent flag's words do not wait for them. They take the place of
   * the words in one step, and their key is made from that of the words: a phone that goes dark meanwhile
   * asks again, and gets the same pictures once. */
  function picturesOf(draft, { filesTo, to }) {
    const key = `${draft.key}-pictures`;
    return store.put({
      ...draft, id: key, key, action: filesTo || to, page: to, form: "", urgent: false, kind: "Pictures", values: [["client_key", key]],
      files: draft.apart, apart: [], tries: 0, shown: [["Pictures", draft.apart.map((file) => file.filename).join(", ")]],
      state: filesTo ? "waiting" : "needs you",
      last: filesTo ? null : { at: Date.now(), words: "The words were saved, the pictures were not: choose them again there.", to },
    }, { without: draft.id });
  }

  /* One try for one draft, nobody else sending or changing it meanwhile. null: somebody is. */
  function attempt(id, more = {}) {
    return alone(lockOf(id), async () => {
      const draft = await store.get(id);
      if (!draft || draft.person !== store.person) return null;
      await store.change(id, { state: "sending" }).catch(() => { /* a full phone still sends */ });
      const answer = await drafts.send.send({ ...draft, ...more.instead }, more);
      const goesOn = more.instead && !["accepted", "refused"].includes(answer.kind) ? await back(draft, answer) : await settle(draft, answer);
      return { answer, goesOn, draft };
    });
  }
  /* A page in between (a code, say) was sent: the draft itself stays as it is until it is accepted. */
  async function back(draft, answer) {
    await store.change(draft.id, { state: draft.state === "sending" ? "waiting" : draft.state });
    return answer.kind === "page";
  }

  const isDue = (draft) => draft.state === "waiting" || draft.state === "sending";
  const due = async () => (await store.sent()).filter(isDue);

  async function drain() {
    if (store.person === "nobody" || !(await due()).length) return true;
    return (await alone("drafts", async () => {
      const who = await drafts.send.sender();
      tell(who === null ? "no signal" : who.person === store.person ? "" : "signed out");
      if (who?.person !== store.person) return false;
      const tried = new Set();
      for (;;) {
        const next = (await due()).find((draft) => !tried.has(draft.id));
        if (!next) { if (tried.size) tellWorker([], true); return !(await due()).length; }
        tried.add(next.id);
        const done = await attempt(next.id, { later: true });
        if (done && !done.goesOn) return false;
      }
    })) ?? false; // another tab is at it
  }

  /* Somebody sent, and no answer came. */
  function soon() {
    clearTimeout(timer);
    if (pause === Infinity) return;
    pause = FIRST_S;
    timer = setTimeout(now, FIRST_S * 1000);
  }
  async function now() {
    clearTimeout(timer);
    draining ??= drain().catch(() => false).finally(() => { draining = null; });
    const done = await draining;
    if (pause !== Infinity) pause = done ? FIRST_S : Math.min(pause * 2, LONGEST_S);
    if (!done && pause !== Infinity) timer = setTimeout(now, pause * 1000);
    return done;
  }

  /* -- the header's count, and the strip while an urgent flag has not left the phone */

  let line = "";
  function tell(state) { if (line !== state) { line = state; document.dispatchEvent(new CustomEvent("drafts:line", { detail: { state } })); } }

  async function count() {
    if (pause === Infinity) return;
    const waiting = await store.sent();
    const link = document.querySelector("[data-waiting]");
    if (link) {
      const needs = waiting.filter((draft) => draft.state === "needs you").length;
      link.hidden = !waiting.length;
      link.classList.toggle("need", needs > 0);
      link.querySelector("[data-waiting-count]").textContent = `${waiting.length} waiting`;
      link.querySelector("[data-waiting-needs]").textContent = needs ? `, ${needs} of them need${needs === 1 ? "s" : ""} you` : "";
    }
    strip(waiting.filter((draft) => draft.urgent));
  }
  function strip(urgent) {
    document.querySelector(".untold")?.remove();
    const told = document.querySelector("[data-draft-panel].urgent")?.dataset.draftPanel; // says it itself, larger
    const rest = urgent.filter((draft) => draft.id !== told);
    if (rest.length) document.querySelector(".sitehead")?.after(untold(rest[0]));
  }
  function untold({ horse, numbers = [] }) {
    const box = document.createElement("section");
    box.className = "untold";
    box.setAttribute("aria-label", "Nobody has been told");
    const words = document.createElement("p");
    words.textContent = `Nobody has been told: your urgent flag${horse ? ` about ${horse}` : ""} is still in this phone. `;
    const link = document.createElement("a");
    link.href = numbers[0] ? numbers[0].href : "/urgent/";
    link.textContent = numbers[0] ? `Ring ${numbers[0].words}` : "Ring your vet now";
    words.append(link);
    box.append(words);
    return box;
  }

  document.addEventListener("drafts:changed", count);
  document.addEventListener("htmx:after:swap", count);
  addEventListener("online", () => { pause = AGAIN_S; now(); });
  document.addEventListener("visibilitychange", () => { if (document.visibilityState === "visible") now(); });
  drafts.stop = () => { clearTimeout(timer); pause = Infinity; };
  Object.assign(drafts, { list: store.mine, now, soon, attempt, alone, lockOf, count, lineIs: () => line });
  store.ready.then(count).then(now);
})();
