/* Keeps what a person types until the server has accepted it.
 *
 *   <form data-keep="KEY">            what is typed is kept in this phone under KEY
 *   <input type=hidden data-keep-field>   a hidden field that is kept too (client key, row version)
 *   <form data-keep data-keep-ticks="NAME NAME">   boxes whose value says what they mean: kept with that meaning
 *   <meta name="kept-clear" content="KEY">   on the page (or part) that follows: accepted, forget KEY
 *
 * Files and passwords are never kept. Kept texts belong to the person signed in (<meta name="person">)
 * and are forgotten after two weeks (house default). */
"use strict";
(() => {
  const DAYS_KEPT = 14;
  const SAVED_WAIT_MS = 4000; /* house default */
  const person = document.querySelector('meta[name="person"]')?.content ?? "nobody";
  const nameOf = (key) => `keep:${person}:${key}`;

  /* Private windows and full phones refuse storage: then nothing is kept, and nothing breaks. */
  const store = {
    read(name) { try { return JSON.parse(localStorage.getItem(name)); } catch { return null; } },
    write(name, value) { try { localStorage.setItem(name, JSON.stringify(value)); return true; } catch { return false; } },
    forget(name) { try { localStorage.removeItem(name); } catch { /* nothing was kept */ } },
    names() { try { return Object.keys(localStorage).filter((name) => name.startsWith("keep:")); } catch { return []; } },
  };

  const isKept = (field) => field.name && field.name !== "csrfmiddlewaretoken"
    && !["file", "password", "submit", "button", "image", "reset"].includes(field.type)
    && (field.type !== "hidden" || field.hasAttribute("data-keep-field"));
  const fieldsOf = (form) => [...form.elements].filter(isKept);
  const isTicked = (field) => field.type === "checkbox" || field.type === "radio";

  function valuesOf(form) {
    const values = [];
    for (const field of fieldsOf(form)) {
      if (isTicked(field)) { if (field.checked) values.push([field.name, field.value]); }
      else if (field.multiple) for (const option of field.selectedOptions) values.push([field.name, option.value]);
      else values.push([field.name, field.value]);
    }
    return values;
  }

  /* What the person sees: two forms are the same when these are, whatever their hidden fields hold. */
  function visible(form, values) {
    const hidden = new Set(fieldsOf(form).filter((field) => field.type === "hidden").map((field) => field.name));
    return JSON.stringify(values.filter(([name, value]) => !hidden.has(name) && value !== ""));
  }

  function putBack(form, values) {
    /* A form may first make the fields that these need: visit/values.js. */
    form.dispatchEvent(new CustomEvent("keep:fill", { bubbles: true, detail: { values } }));
    const waiting = values.map(([name, value]) => ({ name, value, used: false }));
    const take = (name) => { const one = waiting.find((w) => w.name === name && !w.used); if (one) one.used = true; return one; };
    for (const field of fieldsOf(form)) {
      if (isTicked(field)) field.checked = waiting.some((w) => w.name === field.name && w.value === field.value);
      else if (field.multiple) for (const option of field.options) option.selected = waiting.some((w) => w.name === field.name && w.value === option.value);
      else { const one = take(field.name); if (one) field.value = one.value; }
      field.dispatchEvent(new Event("change", { bubbles: true }));
    }
  }

  /* The tick of a box that names a thing which has gone, or means another by now (a booked visit that was
   * written up): it goes along unseen, in front of the boxes, so that the same form is sent again. */
  function putBackTicks(form, values) {
    for (const name of (form.dataset.keepTicks ?? "").split(" ")) {
      const ticked = values.find((one) => one[0] === name)?.[1];
      if (!ticked || fieldsOf(form).some((field) => field.name === name && field.value === ticked)) continue;
      const unseen = Object.assign(document.createElement("input"), { type: "hidden", name, value: ticked });
      unseen.dataset.keepField = "";
      form.prepend(unseen);
    }
  }

  let stopped = false;  // signing out: what was decided there stands
  function keep(form) {
    if (stopped) return;
    const values = valuesOf(form);
    const changed = form.dataset.keepErrors === "yes" || visible(form, values) !== form.dataset.keepStart;
    const path = location.pathname + location.search;
    store.write(nameOf(form.dataset.keep), { at: Date.now(), path, title: document.title, changed, values });
  }

  function button(words, main, act) {
    const made = document.createElement("button");
    made.type = "button";
    made.className = main ? "btn-main" : "btn";
    made.textContent = words;
    made.addEventListener("click", act);
    return made;
  }

  /* The answer may have been lost on the way back: the server knows by the form's own key. Without an
   * answer in time the text is offered as not saved; a second sending of the key saves nothing twice. */
  async function wasSaved(kept) {
    const key = kept.values.find(([name]) => name === "client_key")?.[1];
    if (!key) return false;
    try {
      const answer = await fetch(`/me/saved/?key=${encodeURIComponent(key)}`, { signal: AbortSignal.timeout(SAVED_WAIT_MS) });
      return answer.ok && (await answer.json()).saved === true;
    } catch { return false; }
  }

  async function offer(form, kept) {
    const was = await wasSaved(kept);
    if (!form.isConnected) return;
    const box = document.createElement("div");
    box.className = "kept";
    box.setAttribute("role", "region");
    box.setAttribute("aria-label", "Kept in this phone");
    const when = new Date(kept.at).toLocaleString([], { day: "numeric", month: "short", hour: "2-digit", minute: "2-digit" });
    const words = document.createElement("p");
    words.textContent = was
      ? `What you sent from here (${when}) was saved.`
      : `You typed something here (${when}) that was not saved. It is still in this phone. A photo would have to be chosen again.`;
    const row = document.createElement("div");
    row.className = "cluster";
    const first = () => form.querySelector("input:not([type=hidden]), textarea, select")?.focus();
    const back = (label, main) => button(label, main, () => { putBack(form, kept.values); putBackTicks(form, kept.values); box.remove(); first(); });
    const forget = (label, main) => button(label, main, () => { store.forget(nameOf(form.dataset.keep)); box.remove(); first(); });
    if (was) row.append(forget("Good, clear it here", true), back("Show what I typed", false));
    else row.append(back("Put it back", true), forget("Throw it away", false));
    box.append(words, row);
    form.before(box);
  }

  function watch(form) {
    if (form.dataset.keepWatched) return;
    form.dataset.keepWatched = "yes";
    form.dataset.keepStart = visible(form, valuesOf(form));
    if (document.getElementById("form-errors")) form.dataset.keepErrors = "yes";  // typed before, and not saved
    let later = 0;
    const soon = () => { form.dataset.keepTouched = "yes"; clearTimeout(later); later = setTimeout(() => keep(form), 250); };
    form.addEventListener("input", soon);
    form.addEventListener("change", (event) => { if (event.isTrusted) soon(); });
    form.addEventListener("submit", () => { clearTimeout(later); keep(form); });
    const kept = store.read(nameOf(form.dataset.keep));
    if (kept && visible(form, kept.values) !== form.dataset.keepStart) offer(form, kept);
  }

  function forgetAccepted(root) {
    for (const meta of root.querySelectorAll('meta[name="kept-clear"]')) store.forget(nameOf(meta.content));
  }
  function forgetOld() {
    const oldest = Date.now() - DAYS_KEPT * 24 * 60 * 60 * 1000;
    for (const name of store.names()) if (!(store.read(name)?.at > oldest)) store.forget(name);
  }
  function look(root) {
    forgetAccepted(root);
    for (const form of root.querySelectorAll("form[data-keep]")) watch(form);
  }

  document.addEventListener("submit", (event) => {
    const form = event.target;
    /* Without a connection the browser would show its own error page in place of the form. */
    if (!form.dataset.keep || navigator.onLine !== false) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    keep(form);
    document.dispatchEvent(new CustomEvent("board:say", { detail: {
      kind: "error", words: "No connection. What you typed is kept in this phone: send it again when you have a signal.",
    } }));
  }, true);
  document.addEventListener("keep:now", () => {
    for (const form of document.querySelectorAll("form[data-keep-touched]")) keep(form);
  });
  document.addEventListener("keep:stop", () => { stopped = true; });
  document.addEventListener("kept-clear", (event) => store.forget(nameOf(event.detail?.key ?? event.detail?.value)));
  document.addEventListener("htmx:after:swap", () => look(document));
  forgetOld();
  look(document);
})();
