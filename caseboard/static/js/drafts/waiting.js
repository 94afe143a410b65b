/* The page "Waiting in this phone": what, for which horse, since when; sent now, changed, thrown away. */
"use strict";
(() => {
  const spot = document.querySelector("[data-drafts-list]");
  const { store } = drafts;
  const when = (at) => drafts.clock.inWords(at, { weekday: "short" });

  /* By the board's clock where this phone's was moved since, if that can be told. */
  function written(draft) {
    if (!drafts.clock.moved(draft)) return `Written ${when(draft.writtenAt)}.`;
    const age = drafts.clock.age(draft);
    if (age === null) return `Written ${when(draft.writtenAt)} by this phone’s clock, which was moved since.`;
    return `Written ${when(Date.now() - age)}. This phone’s clock said ${when(draft.writtenAt)} then.`;
  }

  function element(name, words = "", more = {}) {
    return Object.assign(document.createElement(name), { textContent: words }, more);
  }
  function button(words, className, press) {
    const made = element("button", words, { type: "button", className });
    made.addEventListener("click", press);
    return made;
  }
  const say = (words, kind = "info") => document.dispatchEvent(new CustomEvent("board:say", { detail: { words, kind } }));

  const TROUBLE = {
    403: "The board did not take it: it is not open to you any more, or the case is closed.",
    404: "The board did not take it: there is no such page, or you are not on this horse’s team any more.",
    409: "Something was changed or saved meanwhile. Look at both before you send it again.",
    410: "The board did not take it: what it is about has ended.",
    413: "It is too large for the board.",
    422: "The board asks you to look at something in it first.",
    200: "The board asks you something first, a code from your mail perhaps.",
  };
  const ASKED = "The board asked you something about it. Send it again to see what.";
  function state(draft) {
    if (draft.state === "needs you" && draft.last?.status && !draft.last.html) return `Needs you. ${ASKED}`;
    if (draft.state === "needs you") return `Needs you. ${draft.last?.words || TROUBLE[draft.last?.status] || "The board did not take it."}`;
    if (draft.state === "sending") return "Being sent.";
    if (draft.last?.words === "signed out" || drafts.lineIs() === "signed out") return "Waits until you sign in here.";
    if (draft.last?.words) return `Waits: ${draft.last.words}`;
    if (draft.last?.status) return "Waits: the board took nothing new when it was last tried.";
    return "Waits for a signal.";
  }

  async function sendNow(draft) {
    const done = await drafts.attempt(draft.id, { later: true });
    if (!done) say("This is being sent or changed in another window.");
    else if (done.answer.kind === "accepted") say(`Sent. ${done.answer.said.join(" ")}`);
    else if (!["page", "refused"].includes(done.answer.kind)) say("No answer. It stays here, and is sent by itself when there is a signal.", "warning");
  }
  function throwAway(draft, row) {
    const sure = element("div", "", { className: "cluster" });
    sure.append(element("p", "Only this phone has it. Throw it away?"),
      button("Yes, throw it away", "btn-need", () => store.forget(draft.id)), button("No, leave it", "btn", () => sure.remove()));
    row.after(sure);
    sure.querySelector("button").focus();
  }
  function entry(draft) {
    const item = element("li", "", { className: draft.urgent ? "card stack tight waits urgent" : "card stack tight waits" });
    item.dataset.draftId = draft.id;
    item.dataset.draftState = draft.state;
    item.append(element("h2", draft.horse ? `${draft.kind}: ${draft.horse}` : draft.kind, { className: "small-head" }));
    if (draft.urgent) {
      item.append(element("p", "Nobody has been told. Ring now.", { className: "says" }));
      item.append(...drafts.phones(draft));
    }
    item.append(element("p", `${written(draft)} ${state(draft)}`));
    if (draft.shown.length) {
      const more = element("details");
      const list = element("dl");
      for (const [label, words] of draft.shown) list.append(element("dt", label), element("dd", words, { className: "words" }));
      const summary = element("summary", "What you wrote");
      summary.append(element("span", draft.shown[0][1], { className: "first-words soft" })); // two notes about one horse are told apart
      more.append(summary, list);
      more.open = draft.state === "needs you";
      item.append(more);
    }
    const row = element("div", "", { className: "cluster" });
    if (draft.state === "needs you" && draft.last?.html) row.append(button("Look at both", "btn-main", () => document.dispatchEvent(new CustomEvent("drafts:show", { detail: { draft } }))));
    row.append(button("Send now", "btn", () => sendNow(draft)));
    if (draft.form && !draft.pressed) row.append(element("a", "Change it", { href: `${draft.page.replace(/#.*/, "")}#draft=${encodeURIComponent(draft.id)}`, className: "btn" }));
    if (draft.state === "needs you" && draft.last?.html && [409].includes(draft.last?.status)) row.append(button("Send it as a new entry", "btn", () => asNew(draft)));
    row.append(button("Throw it away", "btn", () => throwAway(draft, row)));
    item.append(row);
    return item;
  }
  /* Sent before, with other words, and those were saved: the change goes as an entry of its own. */
  async function asNew(draft) {
    const key = drafts.form.newKey();
    const values = draft.values.map(([name, value]) => [name, name === "client_key" ? key : value]);
    await store.put({ ...draft, id: key, key, values, state: "waiting", last: null }, { without: draft.id });
    drafts.now();
  }

  async function show() {
    const waiting = await store.sent();
    const open = new Set([...spot.querySelectorAll("[data-draft-id]")].filter((one) => one.querySelector("details")?.open).map((one) => one.dataset.draftId));
    if (!waiting.length) return spot.replaceChildren(element("p", "Nothing is waiting."));
    const list = element("ul", "", { className: "plain stack" });
    list.append(...waiting.map(entry));
    for (const one of list.children) if (open.has(one.dataset.draftId)) one.querySelector("details")?.setAttribute("open", "");
    const all = element("div", "", { className: "cluster" });
    all.append(button("Send all now", "btn-main", async () => { if (!(await drafts.now())) say("Not all of it could be sent. It stays here, and is sent by itself.", "warning"); }));
    return spot.replaceChildren(all, list);
  }
  document.addEventListener("drafts:changed", show);
  document.addEventListener("drafts:line", show);
  store.ready.then(async () => {
    if (!(await store.keeps())) return spot.replaceChildren(element("p", "This phone keeps nothing: send what you write while you have a signal.", { className: "caution" }));
    return show();
  });
})();
