/* Signing out asks first while something that was typed has not been sent.
 *
 *   <form data-sign-out>   to send it, to keep it in this phone for the same person, or to throw it away
 *
 * What others left for themselves in this phone stays theirs: it is neither shown nor taken away here.
 * Without JavaScript nothing is kept in the phone, so nothing is lost. */
"use strict";
(() => {
  const person = document.querySelector('meta[name="person"]')?.content ?? "nobody";
  const mine = `keep:${person}:`;

  const names = () => { try { return Object.keys(localStorage); } catch { return []; } };
  const read = (name) => { try { return JSON.parse(localStorage.getItem(name)); } catch { return null; } };
  const forget = (name) => { try { localStorage.removeItem(name); } catch { /* nothing was kept */ } };

  const drafts = () => names().filter((name) => name.startsWith(mine))
    .map((name) => ({ name, ...read(name) })).filter((draft) => draft.changed);

  function make(tag, words, more = {}) {
    const made = document.createElement(tag);
    made.textContent = words;
    return Object.assign(made, more);
  }

  const day = (at) => new Date(at).toLocaleString([], { day: "numeric", month: "short", hour: "2-digit", minute: "2-digit" });

  function line(draft) {
    const item = document.createElement("li");
    const where = (draft.title || "A form").split(" · ").slice(0, 2).join(" · ");
    item.append(make("a", `${where}, ${day(draft.at)}`, { href: draft.path, className: "tap" }));
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
    const go = () => { form.dataset.leaveAsked = "yes"; box.close(); form.requestSubmit(); };
    const list = document.createElement("ul");
    list.append(...found.map(line));
    const keep = button("Keep it for me on this phone, and sign out", "btn-main", go);
    box.append(
      make("h2", "You typed something that was not sent", { id: "leaving-h" }),
      make("p", "To send it, go back to it:"), list,
      make("p", "Kept, it is offered to you when you sign in here again, for two weeks. On a phone that others use, throw it away instead."),
      keep,
      button("Throw it away, and sign out", "btn", () => { document.dispatchEvent(new CustomEvent("keep:stop")); for (const { name } of found) forget(name); go(); }),
      button("Stay signed in", "btn", () => box.close()),
    );
    box.addEventListener("close", () => box.remove());
    document.body.append(box);
    box.showModal();
  }

  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (!form.matches("[data-sign-out]")) return;
    document.dispatchEvent(new CustomEvent("keep:now"));
    const found = form.dataset.leaveAsked ? [] : drafts();
    if (!found.length) {
      document.dispatchEvent(new CustomEvent("keep:stop"));
      for (const name of names()) {
        const kept = name.startsWith(mine) && read(name);
        if (name.startsWith("keep:nobody:") || (kept && !kept.changed)) forget(name);
      }
      return;
    }
    event.preventDefault();
    event.stopImmediatePropagation();  // the vets' numbers stay as long as the person does
    ask(form, found);
  }, true);
})();
