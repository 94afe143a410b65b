/* Sending a form: written down in the phone first, then sent; the answer decides what the page shows.
 *
 *   <form data-keep="KEY">        kept while it is typed, and sent this way
 *   <form data-draft="KEY">       nothing is typed in it: sent this way all the same
 *   data-keep-only                kept, but never sent by itself later: selling a horse, say
 *   data-draft-kind="Note"        what it is, and of which horse, where the page's title does not say so;
 *   data-draft-horse="Hazel"        also on a button
 *   data-draft-next="/…"          where somebody goes on without an answer (data-draft-next-words: its words)
 *   data-draft-preview            on a button that only fills in the page (formnovalidate says so too)
 *   data-draft-stay               one of many buttons: the page stays as it is, and the button is marked
 *   data-draft-files-apart        the board takes the pictures after the words, at an address of its own
 *   data-draft-urgent="yes"       somebody should ring (flag.js)
 *   <meta name="draft">           this page is the answer to that draft: a form on it goes on with it */
"use strict";
const drafts = (window.drafts ??= {});
(() => {
  const { store, form: forms } = drafts;
  const SLOW_MS = 6000; // house default: so long somebody waits for an answer before going on
  const answered = document.querySelector('meta[name="draft"]')?.content ?? "";
  const answeredAt = document.querySelector('meta[name="draft-action"]')?.content ?? "";
  let asAnswer = answered && drafts.answering?.id === answered ? drafts.answering : null; // the draft that this page answers

  /* -- which forms */

  const isOurs = (form) => store.person !== "nobody" && form.method === "post" && !form.matches("[data-sign-out]")
    && (form.matches("[data-keep], [data-draft]") || (asAnswer && form.closest("main")));
  const goesOn = (form) => answered && asAnswer && (forms.nameOf(form) === asAnswer.form || !forms.nameOf(form));

  function make(form, submitter) {
    const { values, files } = forms.sentBy(form, submitter);
    const was = drafts.opened?.form === form ? drafts.opened.draft : goesOn(form) ? asAnswer : null;
    const own = values.find(([name]) => name === "client_key")?.[1];
    const key = own || form.dataset.draftKey || (form.dataset.draftKey = forms.newKey());
    const apart = form.hasAttribute("data-draft-files-apart") ? files : [];
    const about = forms.describe(form, submitter);
    return {
      ...about, id: was && was.id.startsWith("typing:") ? key : was?.id ?? key, key: was && !own ? was.key : key,
      horse: about.horse || was?.horse || "", person: store.person, form: forms.nameOf(form), formVersion: form.dataset.formVersion ?? "1",
      page: answered ? asAnswer?.page ?? location.pathname : location.pathname + location.search,
      action: new URL(submitter?.getAttribute("formaction") || form.getAttribute("action") || answeredAt || location.href, location.href).href.replace(location.origin, "").replace(/#.*/, ""),
      values, files: apart.length ? [] : files, apart, shown: forms.shown(form, submitter), pressed: submitter?.name ? [submitter.name, submitter.value] : null,
      numbers: numbersHere(),
      writtenAt: Date.now(), contact: drafts.clock.contact(), madeAt: was?.madeAt ?? Date.now(), state: "waiting", tries: was?.tries ?? 0, last: null,
    };
  }

  const text = (node) => node?.textContent.replace(/\s+/g, " ").trim() ?? "";
  /* The vets' numbers on this page, each once, for as long as this waits. */
  function numbersHere() {
    const found = new Map();
    for (const link of document.querySelectorAll('main a.phone[href^="tel:"]')) {
      const who = text(link.querySelector("small"));
      const href = link.getAttribute("href");
      if (!found.has(href)) found.set(href, { href, words: text(link).replace(who, "").trim(), who });
    }
    return [...found.values()].slice(0, 3);
  }
  drafts.phones = ({ numbers = [] }) => numbers.map(({ href, words, who }) => {
    const link = element("a", `${words} `, { href, className: "phone" });
    link.append(element("small", who));
    return link;
  });

  /* -- sending one */

  function busy(form, is) {
    if (is) form.dataset.draftBusy = "yes"; else delete form.dataset.draftBusy;
    form.toggleAttribute("aria-busy", is);
  }
  const say = (words, kind = "error") => document.dispatchEvent(new CustomEvent("board:say", { detail: { words, kind } }));

  async function submit(form, submitter) {
    if (form.dataset.draftBusy) return;
    busy(form, true);
    const only = form.hasAttribute("data-keep-only") || Boolean(submitter?.matches("[data-draft-preview], [formnovalidate]"));
    if (form.hasAttribute("data-draft-stay") && await takenBack(form, submitter)) { busy(form, false); return; }
    const page = goesOn(form) && !forms.nameOf(form); // a page in between: a code, say
    const draft = { ...make(form, submitter), only };
    if (!draft.shown.length && submitter) draft.shown = [["Pressed", submitter.textContent.replace(/\s+/g, " ").trim()]];
    let isSlow = false;
    const slow = setTimeout(() => {
      if (only || page || form.hasAttribute("data-draft-stay")) return;
      isSlow = true;
      panel(form, draft, { kind: "slow" });
    }, SLOW_MS);
    let kept = true;
    try {
      await drafts.opened?.release?.();
      await replaced(draft, form, only);
      if (!page && !only) await store.put(draft, { without: `typing:${store.person}:${draft.form}` });
      delete form.dataset.keepTouched; // what is typed from here on is kept anew
      if (only) await drafts.keepNow?.(form, draft.key);
    } catch { kept = false; }
    const token = form.querySelector("[name=csrfmiddlewaretoken]")?.value ?? "";
    let answer;
    if (page && asAnswer.only) answer = await drafts.send.send({ ...asAnswer, values: draft.values, action: draft.action }, { with: token });
    else if (page) answer = (await drafts.attempt(asAnswer.id, { with: token, instead: { values: draft.values, action: draft.action } }))?.answer;
    else if (kept && !only) answer = (await drafts.attempt(draft.id, { with: token }))?.answer;
    else answer = await drafts.send.send({ ...draft, files: draft.files.concat(draft.apart) }, { with: token });
    clearTimeout(slow);
    busy(form, false);
    const late = answer ?? { kind: "none" };
    /* Told that it takes long, somebody may be elsewhere on the page, or changing it: nothing is put in its place. */
    if (isSlow && kept && !["none", "later"].includes(late.kind)) return afterAll(form, draft, late);
    act(form, submitter, draft, late, { kept, only, page });
  }

  /* A change of the same thing, still waiting, is replaced by the newer one: the older would only be in its way. */
  async function replaced(draft, form, only) {
    if (only || !draft.form || form.elements.namedItem("client_key")) return;
    for (const other of await store.sent()) {
      if (other.form === draft.form && other.action === draft.action && other.state === "waiting" && other.id !== draft.id) await store.forget(other.id);
    }
  }

  function afterAll(form, draft, answer) {
    if (["accepted", "refused"].includes(answer.kind)) return; // said where it waits: "drafts:sent"
    if (document.querySelector("[data-draft-panel]")) panel(form, draft, answer.kind === "page" ? { kind: "asks" } : answer);
  }
  function act(form, submitter, draft, answer, { kept, only, page }) {
    switch (answer.kind) {
      case "accepted":
      case "refused":
        if (only || (page && asAnswer.only)) drafts.forgetTyped?.((page ? asAnswer : draft).form);
        return go(answer.to);
      case "page":
        return show(page ? asAnswer : draft, answer);
      case "first":
        return go(answer.to);
      default: drafts.soon();
    }
    if (page) return say("No answer. Try again when you have a signal: what you wrote is kept in this phone.");
    if (!kept) return say("Not sent, and this phone keeps nothing: leave this page open, and send it again when you have a signal.");
    if (only) return say("No answer, so it may not be saved. What you typed is kept in this phone: send it again when you have a signal. It is not sent by itself.");
    if (form.hasAttribute("data-draft-stay")) { forms.renewKey(form); delete form.dataset.draftKey; return mark(form, submitter); }
    return panel(form, draft, answer);
  }

  function go(to) {
    const there = new URL(to, location.href);
    const same = there.pathname + there.search === location.pathname + location.search;
    location.assign(there.href);
    if (same && there.hash) location.reload();
  }

  /* The board's own page in place of this one, at this address: reading it again asks for this page. */
  function show(draft, { status, html }) {
    drafts.answering = draft;
    const safe = (text) => text.replace(/[^\w:./?=&%-]/g, "");
    const metas = `<meta name="draft" content="${safe(draft.id)}"><meta name="draft-action" content="${safe(draft.action)}">`;
    document.open();
    document.write(html.replace(/<head>/i, `<head>${metas}`));
    document.close();
    document.documentElement.dataset.answered = String(status);
    scrollTo(0, 0);
  }

  /* -- what stays in the phone says so, and the person goes on */

  function element(name, words = "", more = {}) {
    return Object.assign(document.createElement(name), { textContent: words }, more);
  }
  function button(words, className, press) {
    const made = element("button", words, { type: "button", className });
    made.addEventListener("click", press);
    return made;
  }

  const WHY = {
    none: "no signal", slow: "the line is slow", asks: "the board asks you something about it", later: "the board takes nothing new just now", "signed out": "you are signed out",
    "other person": "somebody else is signed in here",
  };
  function panel(form, draft, answer) {
    document.querySelector("[data-draft-panel]")?.remove();
    const box = element("section", "", { className: "kept", tabIndex: -1 });
    box.dataset.draftPanel = draft.id;
    box.setAttribute("role", "region");
    box.setAttribute("aria-label", "Kept in this phone");
    const time = drafts.clock.hourOf(draft.writtenAt);
    if (draft.urgent) {
      box.classList.add("urgent");
      box.append(element("h2", "Nobody has been told"), element("p", "Ring now. Do not wait for the signal."));
      box.append(...drafts.phones(draft));
      if (!draft.numbers.length) box.append(element("p", "No number is written down here: ring the practice you use."));
    } else box.append(element("h2", `Not sent yet: ${WHY[answer.kind] ?? WHY.none}`));
    box.append(element("p", answer.kind === "asks"
      ? "It is in this phone, and nobody else sees it yet. Look under “All that waits”."
      : `Written down in this phone at ${time}. Nobody else sees it yet. It is sent by itself when there is a signal, and stays here until then.`));
    const row = element("div", "", { className: "cluster" });
    if (answer.kind === "signed out") row.append(element("a", "Sign in to send it", { href: `/accounts/login/?next=${encodeURIComponent("/me/waiting/")}`, className: "btn-main" }));
    const next = form.dataset.draftNext || (draft.caseId ? `/cases/${draft.caseId}/` : "/horses/");
    const words = form.dataset.draftNextWords || (draft.caseId ? `To the board${draft.horse ? ` of ${draft.horse}` : ""}` : "To my horses");
    row.append(element("a", words, { href: next, className: draft.urgent ? "btn" : "btn-main" }),
      button("Change what I wrote", "btn", () => { hide(form, false); box.remove(); drafts.opened = { form, draft }; form.querySelector("input:not([type=hidden]), textarea, select")?.focus(); }),
      element("a", "All that waits", { href: "/me/waiting/", className: "tap" }));
    box.append(row);
    form.before(box);
    hide(form, true);
    drafts.count();
    document.getElementById("live")?.replaceChildren();
    box.focus({ preventScroll: true });
    scrollTo(0, 0);
  }
  function hide(form, is) {
    form.hidden = is;
    for (const bar of document.querySelectorAll(".actionbar")) if (bar.querySelector(`[form="${form.id}"]`)) bar.hidden = is;
  }
  document.addEventListener("drafts:sent", ({ detail: { draft, answer } }) => {
    const box = document.querySelector(`[data-draft-panel="${CSS.escape(draft.id)}"]`);
    if (!box) return;
    const said = answer.said.join(" ") || "Sent, and saved.";
    box.classList.remove("urgent");
    const row = element("div", "", { className: "cluster" });
    row.append(element("a", "Open it", { href: answer.to, className: "btn-main" }));
    box.replaceChildren(element("h2", "Sent"), element("p", said), row);
  });

  /* One of many buttons: pressed here, and not on the board yet. Pressed again, it is taken back. */
  const HERE = "in this phone, not sent yet";
  function saidOf(submitter) {
    const own = submitter.closest("li")?.querySelector("[data-draft-said]") ?? submitter.parentElement.querySelector("[data-draft-said]");
    if (own) return own;
    const made = element("small", "", { className: "soft" });
    made.dataset.draftSaid = "";
    submitter.after(made);
    return made;
  }
  function mark(form, submitter) {
    if (!submitter) return;
    submitter.dataset.waits = "yes";
    const said = saidOf(submitter);
    said.dataset.before ??= said.textContent;
    said.textContent = HERE;
    document.dispatchEvent(new CustomEvent("announce", { detail: { words: "Kept in this phone, not sent yet." } }));
  }
  async function takenBack(form, submitter) {
    if (submitter?.dataset.waits !== "yes") return false;
    delete submitter.dataset.waits;
    const said = saidOf(submitter);
    said.textContent = said.dataset.before ?? "";
    for (const { id, form: name, pressed, state } of await store.sent()) {
      if (name === forms.nameOf(form) && state !== "sending" && samePress(pressed, submitter)) await store.forget(id);
    }
    return true;
  }
  const samePress = (pressed, one) => (pressed ? one.name === pressed[0] && one.value === pressed[1] : !one.name);
  async function markAgain(form) {
    for (const { form: name, pressed } of await store.sent()) {
      if (name !== forms.nameOf(form)) continue;
      mark(form, [...form.elements].find((one) => one.type === "submit" && samePress(pressed, one)));
    }
  }

  /* -- an answer: the draft's pictures go back into its form; without a form, what was written stands beside it */

  async function asAnswered() {
    asAnswer = (await store.get(answered).catch(() => null)) ?? asAnswer;
    if (!asAnswer || asAnswer.only) return;
    const own = [...document.querySelectorAll("main form")].filter((form) => form.method === "post" && goesOn(form));
    for (const form of own) forms.putBackFiles(form, [...asAnswer.files, ...(asAnswer.apart ?? [])]);
    if (own.length || !asAnswer.shown.length) return;
    document.querySelector("main .wrap")?.append(drafts.written(asAnswer));
  }
  /* What a person wrote, in words, with a way to copy it. */
  drafts.written = (draft) => {
    const box = element("section", "", { className: "kept" });
    box.setAttribute("aria-label", "What you wrote");
    const list = element("dl");
    for (const [label, words] of draft.shown) list.append(element("dt", label), element("dd", words, { className: "words" }));
    box.append(element("h2", `What you wrote${draft.horse ? `, ${draft.horse}` : ""}`), list,
      element("p", "It is in this phone only. Nobody on the board reads it."), element("a", "All that waits", { href: "/me/waiting/", className: "tap" }));
    return box;
  };

  document.addEventListener("submit", (event) => {
    if (event.defaultPrevented || !isOurs(event.target)) return;
    event.preventDefault();
    submit(event.target, event.submitter);
  });
  document.addEventListener("drafts:show", ({ detail: { draft } }) => show(draft, draft.last));
  function look() {
    for (const form of document.querySelectorAll("form[data-draft]:not([data-draft-seen])")) {
      form.dataset.draftSeen = "yes";
      if (!answered) forms.renewKey(form);
      if (form.hasAttribute("data-draft-stay")) store.ready.then(() => markAgain(form));
    }
  }
  document.addEventListener("htmx:after:swap", look);
  look();
  if (answered) asAnswered();
})();
