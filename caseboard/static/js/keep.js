/* Keeps what a person types until it is sent, and offers it when the form is opened again.
 *
 *   <form data-keep="KEY">            what is typed is kept in this phone under KEY
 *   <input type=hidden data-keep-field>   a hidden field that is kept too (client key, row version)
 *   <form data-keep data-keep-ticks="NAME NAME">   boxes whose value says what they mean: kept with that meaning
 *   <meta name="kept-clear" content="KEY">   on the page (or part) that follows: accepted, forget KEY
 *   …#draft=ID                        opens what waits in this phone in its form, to change it
 *
 * Passwords are never kept, pictures only once they are sent (drafts/page.js). Kept texts belong to the
 * person signed in (<meta name="person">). */
"use strict";
(() => {
  const { store, form: forms } = drafts;
  const SAVED_WAIT_MS = 4000; /* house default */
  const idOf = (key) => `typing:${store.person}:${key}`;
  const answered = document.querySelector('meta[name="draft"]')?.content ?? "";

  let stopped = false;  // signing out: what was decided there stands
  async function keep(form, key = "") {
    if (stopped) return;
    const values = forms.typedIn(form);
    const isTyped = form.dataset.keepErrors === "yes" || forms.visible(form, values) !== form.dataset.keepStart;
    const page = location.pathname + location.search;
    const row = store.typed({ id: idOf(form.dataset.keep), person: store.person, form: form.dataset.keep, page, title: document.title, values, typed: isTyped, at: Date.now() });
    if (key) row.key = key;
    try { await store.put(row); } catch { tellFull(form); }
  }

  function button(words, main, act) {
    const made = document.createElement("button");
    made.type = "button";
    made.className = main ? "btn-main" : "btn";
    made.textContent = words;
    made.addEventListener("click", act);
    return made;
  }
  function line(form, words) {
    if (form.previousElementSibling?.matches("[data-keeps-nothing]")) return;
    const said = document.createElement("p");
    said.className = "caution";
    said.dataset.keepsNothing = "yes";
    said.setAttribute("role", "status");
    said.textContent = words;
    form.before(said);
  }
  const tellFull = (form) => line(form, "This phone keeps nothing of what you type: send it while you have a signal, before you leave this page.");

  /* The answer may have been lost on the way back: the server knows by the form's own key. Without an
   * answer in time the text is offered as not saved; a second sending of the key saves nothing twice. */
  async function wasSaved(kept) {
    if (!kept.key) return false;
    try {
      const answer = await fetch(`/me/saved/?key=${encodeURIComponent(kept.key)}`, { signal: AbortSignal.timeout(SAVED_WAIT_MS) });
      return answer.ok && (await answer.json()).saved === true;
    } catch { return false; }
  }

  function fill(form, kept) {
    forms.putBack(form, kept.values);
    forms.putBackFiles(form, [...kept.files, ...(kept.apart ?? [])]);
    if (kept.key) form.dataset.draftKey = kept.key;
    form.querySelector("input:not([type=hidden]), textarea, select")?.focus();
  }
  async function offer(form, kept) {
    const was = await wasSaved(kept);
    if (!form.isConnected) return;
    const box = document.createElement("div");
    box.className = "kept";
    box.setAttribute("role", "region");
    box.setAttribute("aria-label", "Kept in this phone");
    const when = drafts.clock.inWords(kept.writtenAt);
    const words = document.createElement("p");
    words.textContent = was
      ? `What you sent from here (${when}) was saved.`
      : `You typed something here (${when}) that was not sent. It is still in this phone. A photo would have to be chosen again.`;
    const row = document.createElement("div");
    row.className = "cluster";
    const back = (label, main) => button(label, main, () => { fill(form, kept); box.remove(); });
    const forget = (label, main) => button(label, main, () => { store.forget(kept.id); box.remove(); form.querySelector("input:not([type=hidden]), textarea, select")?.focus(); });
    if (was) row.append(forget("Good, clear it here", true), back("Show what I typed", false));
    else row.append(back("Put it back", true), forget("Throw it away", false));
    box.append(words, row);
    form.before(box);
  }

  async function watch(form, cleared) {
    if (form.dataset.keepWatched) return;
    form.dataset.keepWatched = "yes";
    if (document.getElementById("form-errors")) form.dataset.keepErrors = "yes";  // typed before, and not saved
    else if (!answered) forms.renewKey(form);
    form.dataset.keepStart = forms.visible(form, forms.typedIn(form));
    let later = 0;
    const soon = () => { form.dataset.keepTouched = "yes"; clearTimeout(later); later = setTimeout(() => keep(form), 250); };
    form.addEventListener("input", soon);
    form.addEventListener("change", (event) => { if (event.isTrusted) soon(); });
    form.addEventListener("submit", () => clearTimeout(later));
    await cleared;
    if (!(await store.keeps())) { tellFull(form); return; }
    const asked = new URLSearchParams(location.hash.slice(1)).get("draft");
    const waiting = asked && await store.get(asked);
    if (waiting?.person === store.person && waiting.form === form.dataset.keep) { openDraft(form, waiting); return; }
    const kept = await store.get(idOf(form.dataset.keep));
    if (kept && !answered && forms.visible(form, kept.values) !== form.dataset.keepStart) offer(form, kept);
  }

  /* What waits is not sent while it is being changed: the lock ends with the page, however that ends. */
  function openDraft(form, draft) {
    fill(form, draft);
    drafts.opened = { form, draft };
    line(form, "This waits in this phone and is not sent while it is open here. Send it to put it back in line, changed or not.");
    if (!navigator.locks) return;
    const held = Promise.withResolvers?.() ?? (() => { const made = {}; made.promise = new Promise((resolve) => { made.resolve = resolve; }); return made; })();
    const done = navigator.locks.request(drafts.lockOf(draft.id), () => held.promise);
    drafts.opened.release = () => { held.resolve(); return done; };
  }

  const isFor = (form) => form.dataset.keep && store.person === "nobody";
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (!isFor(form)) return;
    keep(form);
    /* Without a connection the browser would show its own error page in place of the form. */
    if (navigator.onLine !== false) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    document.dispatchEvent(new CustomEvent("board:say", { detail: {
      kind: "error", words: "No connection. What you typed is kept in this phone: send it again when you have a signal.",
    } }));
  }, true);

  const clear = (key) => store.forget(idOf(key)).catch(() => { /* nothing is kept here */ });
  function look(root) {
    const accepted = [...root.querySelectorAll('meta[name="kept-clear"]')].map((meta) => meta.content);
    const cleared = store.ready.then(() => Promise.all(accepted.map(clear)));
    for (const form of root.querySelectorAll("form[data-keep]")) watch(form, cleared);
  }
  Object.assign(drafts, {
    keepNow: keep,
    forgetTyped: clear,
    keepAll: () => Promise.all([...document.querySelectorAll("form[data-keep-touched]")].map((form) => keep(form))),
    keepNoMore: () => { stopped = true; },
  });
  document.addEventListener("kept-clear", (event) => clear(event.detail?.key ?? event.detail?.value));
  document.addEventListener("htmx:after:swap", () => look(document));
  look(document);
})();
