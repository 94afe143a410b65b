/* Signing out asks first while something that was written has not been sent.
 *
 *   <form data-sign-out>   to send it, to keep it in this phone for the same person, or to throw it away
 *
 * What others left for themselves in this phone stays theirs: it is neither shown nor taken away here. Then
 * the worker forgets the pages it kept for this person. Without JavaScript nothing is kept in the phone. */
"use strict";
(() => {
  const { store } = drafts;
  const WAIT_MS = 20000, WORKER_MS = 2000; // house defaults

  function make(tag, words, more = {}) {
    const made = document.createElement(tag);
    made.textContent = words;
    return Object.assign(made, more);
  }
  const unsent = async () => (await store.mine()).filter((draft) => draft.state !== "typing" || draft.isTyped)
    .sort((one, other) => Number(Boolean(other.urgent)) - Number(Boolean(one.urgent)));

  function line(draft) {
    const item = make("li", "", { className: "stack tight" });
    const words = `${[draft.kind, draft.horse].filter(Boolean).join(" · ")}, ${drafts.clock.inWords(draft.writtenAt)}`;
    const href = draft.state === "typing" ? draft.page : "/me/waiting/";
    item.append(make("a", words, { href, className: "tap" }));
    if (draft.urgent && draft.state !== "typing") item.append(make("p", "Nobody has been told. Ring now.", { className: "says" }), ...drafts.phones(draft));
    return item;
  }
  function button(words, className, act) {
    const made = make("button", words, { type: "button", className });
    made.addEventListener("click", act);
    return made;
  }

  function ask(form, found) {
    document.querySelector("dialog.leaving")?.remove();
    const box = make("dialog", "", { className: "leaving" });
    box.setAttribute("aria-labelledby", "leaving-h");
    const list = document.createElement("ul");
    const said = make("p", "", { role: "status" });
    list.append(...found.map(line));
    const leave = (act) => async () => { await act?.(); box.close(); signOut(form); };
    const send = button("Send it now, and sign out", "btn-main", async () => {
      said.textContent = "Sending…";
      await drafts.now();
      const left = await unsent();
      if (!left.length) { box.close(); signOut(form); return; }
      list.replaceChildren(...left.map(line));
      said.textContent = "Not all of it could be sent. What is left:";
    });
    const waits = found.some((draft) => draft.state !== "typing");
    box.append(
      make("h2", "You typed something that was not sent", { id: "leaving-h" }), said, list,
      ...(waits ? [send] : [make("p", "To send it, go back to it.")]),
      make("p", "Kept, it is offered to you when you sign in here again. What you never sent is kept for two weeks, what waits to be sent until you throw it away. On a phone that others use, throw it away instead."),
      button("Keep it for me on this phone, and sign out", waits ? "btn" : "btn-main", leave(() => withoutPages(found))),
      button("Throw it away, and sign out", "btn", leave(async () => { drafts.keepNoMore(); for (const { id } of found) await store.forget(id); })),
      button("Stay signed in", "btn", () => box.close()),
    );
    box.addEventListener("close", () => box.remove());
    document.body.append(box);
    box.showModal();
  }

  /* What was written stays; the board's own page, where it asked back, goes with the person. */
  async function withoutPages(found) {
    for (const { id, last } of found) if (last?.html) await store.change(id, { last: { ...last, html: "" } });
  }

  /* The pages that the worker keeps for this person go as well; it is not waited for longer than this. */
  function workerForgets() {
    const worker = navigator.serviceWorker?.controller;
    if (!worker) return null;
    return new Promise((done) => {
      const { port1, port2 } = new MessageChannel();
      port1.onmessage = (event) => { if (event.data?.type === "forgotten") done(); };
      setTimeout(done, WORKER_MS);
      worker.postMessage({ type: "forget-person", person: store.person }, [port2]);
    });
  }
  const say = (words) => document.dispatchEvent(new CustomEvent("board:say", { detail: { words, kind: "error" } }));

  async function signOut(form) {
    drafts.keepNoMore();
    drafts.stop();
    const body = new URLSearchParams(new FormData(form));
    let answer = null;
    try {
      const who = await drafts.send.sender();
      if (who?.token) body.set("csrfmiddlewaretoken", who.token);
      answer = who && await fetch(form.action, { method: "POST", body, cache: "no-store", signal: AbortSignal.timeout(WAIT_MS) });
    } catch { /* said below */ }
    if (!answer?.ok || new URL(answer.url).origin !== location.origin || !answer.redirected) {
      say("You are still signed in: no answer came. To sign out you need a signal; until then lock the phone.");
      return;
    }
    document.dispatchEvent(new CustomEvent("signed-out"));
    for (const row of await store.mine()) if (row.state === "typing" && !row.isTyped) await store.forget(row.id).catch(() => { /* nothing is kept here */ });
    await workerForgets();
    location.assign(answer.url);
  }

  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (!form.matches("[data-sign-out]")) return;
    event.preventDefault();
    event.stopImmediatePropagation();  // the vets' numbers stay as long as the person does
    (async () => {
      await Promise.resolve(drafts.keepAll()).catch(() => { /* asked about as far as it is known */ });
      const found = await unsent();
      if (found.length) ask(form, found); else signOut(form);
    })();
  }, true);
})();
