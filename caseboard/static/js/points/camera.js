/* The camera in the form of a visit: a picture of a foot, its points, and the values in the form.
 *
 *   <a data-camera data-foot="LF" href="the page that adds a picture">     becomes a button that takes one
 *   <form data-camera-form data-points-files="addresses" data-points-styles="addresses">
 *   <input type="hidden" name="points">                                    "LF-toe_angle-after=id …"
 *
 * What the editor of points needs is loaded when the first picture is chosen. The picture is a draft of its own
 * (js/drafts/): without a signal it waits in the phone and is sent by itself, after the visit. Without
 * JavaScript the link leads to the page of pictures. */
"use strict";
(() => {
  const form = document.querySelector("[data-camera-form]");
  if (!form || !window.HTMLDialogElement) return;
  const say = (words, kind = "info") => document.dispatchEvent(new CustomEvent("board:say", { detail: { words, kind } }));
  const KEPT = "Not sent yet. The picture is kept in this phone and sent by itself when there is a signal. Its points can be placed then, on its own page; until then type what you measured.";
  const NOT_KEPT = "The picture could not be sent, and this phone keeps nothing: take it again when you have a signal.";
  const REFUSED = "The board did not take the picture. It is kept in this phone: look under “waiting”.";
  const NO_EDITOR = "The picture is saved. Its points could not be opened: place them on its own page when you have a signal.";
  const NO_POINTS = "No answer: the points are not saved. The picture is. Try again, or place them later on its own page.";
  let loaded = null;

  function load() {
    loaded ??= Promise.all([
      ...form.dataset.pointsStyles.split(" ").map((href) => new Promise((done, failed) => {
        const sheet = Object.assign(document.createElement("link"), { rel: "stylesheet", href, onload: done, onerror: failed });
        document.head.append(sheet);
      })),
      ...form.dataset.pointsFiles.trim().split(/\s+/).map((src) => new Promise((done, failed) => {
        const script = Object.assign(document.createElement("script"), { src, async: false, onload: done, onerror: failed });
        document.head.append(script);
      })),
    ]).catch((error) => { loaded = null; throw error; });
    return loaded;
  }

  const token = () => form.elements.namedItem("csrfmiddlewaretoken").value;

  async function sent(url, body) {
    body.set("csrfmiddlewaretoken", token());
    const answer = await fetch(url, { method: "POST", body });
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    if (answer.ok && answer.redirected) return { url: answer.url, page };
    const why = [...page.querySelectorAll(".field-error, .form-errors li")].map((one) => one.textContent.replace(/\s+/g, " ").trim());
    throw Object.assign(new Error("refused"), { words: why[0] ?? "The server did not take it. Look at the page of pictures." });
  }

  /* The day of the visit: a page kept from yesterday names that day's date for today. */
  const dayOf = (link) => form.elements.namedItem("kept_on")?.value || link.dataset.today;

  function draftOf(link, file) {
    const { store, form: forms, clock } = window.drafts;
    const key = forms.newKey();
    const page = link.href.replace(location.origin, "");
    const values = { picture_view: "side", picture_foot: link.dataset.foot, on: dayOf(link), client_key: key };
    return {
      ...forms.describe(form), kind: "Picture", id: key, key, person: store.person, form: "", formVersion: "1", page, action: page,
      values: Object.entries(values), files: [{ name: "pictures", filename: file.name, type: file.type, blob: file.slice(0, file.size, file.type) }], apart: [],
      shown: [["Picture", `${link.dataset.words}, from the side`]], pressed: null, numbers: [],
      writtenAt: Date.now(), contact: clock.contact(), madeAt: Date.now(), state: "waiting", tries: 0, last: null,
    };
  }
  const fail = (words, kind = "error") => { throw Object.assign(new Error("not now"), { words, kind }); };

  async function take(link, file) {
    say("Sending the picture…");
    const draft = draftOf(link, file);
    const isKept = await window.drafts.store.put(draft).then(() => true, () => false);
    const answer = isKept ? (await window.drafts.attempt(draft.id, { with: token() }))?.answer : await window.drafts.send.send(draft, { with: token() });
    if (answer?.kind !== "accepted") {
      if (!isKept) fail(NOT_KEPT);
      if (["page", "refused"].includes(answer?.kind)) fail(REFUSED);
      window.drafts.soon();
      fail(KEPT, "warning");
    }
    try {
      const [page] = await Promise.all([pointsOf(answer.to), load()]);
      document.getElementById("live")?.replaceChildren();
      edit(page.querySelector("form[data-points]"), link);
    } catch { fail(NO_EDITOR, "warning"); }
  }
  async function pointsOf(picture) {
    const answer = await fetch(`${picture.split("?")[0]}points/`);
    if (!answer.ok || answer.redirected) throw new Error(String(answer.status));
    return new DOMParser().parseFromString(await answer.text(), "text/html");
  }

  function edit(editor, link) {
    const dialog = document.createElement("dialog");
    dialog.className = "points-dialog";
    dialog.setAttribute("aria-label", `Points on the picture of the ${link.dataset.words}`);
    const close = Object.assign(document.createElement("button"), { type: "button", className: "btn", textContent: "Close without values" });
    close.addEventListener("click", () => dialog.close());
    const submit = editor.querySelector('[type="submit"]');
    for (const [moment, words] of [["before", "Into the form: as found"], ["after", "Into the form: as left"]]) {
      const button = Object.assign(document.createElement("button"), { type: "button", className: "btn-main", textContent: words, hidden: true });
      button.dataset.whole = "";
      button.addEventListener("click", () => into(editor, link, moment, dialog, button));
      submit.before(button);
    }
    submit.remove();
    editor.addEventListener("submit", (event) => event.preventDefault());
    dialog.append(close, editor);
    document.body.append(dialog);
    dialog.addEventListener("close", () => { dialog.remove(); link.focus(); });
    dialog.showModal();
    globalThis.hoofPoints.editor(editor);
    editor.querySelector("[data-stage]").focus();
  }

  async function into(editor, link, moment, dialog, button) {
    button.disabled = true;
    try {
      const { url, page } = await sent(editor.action, new FormData(editor));
      const id = url.split("?")[0].split("/").filter(Boolean).pop();
      const filled = [];
      for (const value of page.querySelectorAll("[data-reading]")) {
        const name = `${link.dataset.foot}-${value.dataset.reading}-${moment}`;
        const detail = { name, value: value.dataset.number, how: "picture" };
        document.dispatchEvent(new CustomEvent("visit:set", { detail }));
        if (!detail.done) continue;
        keep(name, id);
        filled.push(value.querySelector("dt").textContent);
      }
      dialog.close();
      say(filled.length ? `In the form: ${filled.join(", ")}.` : "Nothing of this picture has a place in the form.");
    } catch (error) {
      button.disabled = false;
      const words = error.words ?? NO_POINTS;
      let line = dialog.querySelector("[data-refused]");
      if (!line) {
        line = Object.assign(document.createElement("p"), { className: "caution" });
        line.dataset.refused = "";
        line.setAttribute("role", "alert");
        dialog.prepend(line);
      }
      line.textContent = words;
    }
  }

  function keep(name, id) {
    const field = form.elements.namedItem("points");
    const others = field.value.split(" ").filter((one) => one && !one.startsWith(`${name}=`));
    field.value = [...others, `${name}=${id}`].join(" ");
    form.dispatchEvent(new Event("input", { bubbles: true }));
  }

  for (const link of document.querySelectorAll("a[data-camera]")) {
    const input = Object.assign(document.createElement("input"), { type: "file", accept: "image/*", id: `camera-${link.dataset.foot}` });
    input.setAttribute("capture", "environment");
    input.className = "unseen";
    input.dataset.pictures = "";
    input.tabIndex = -1;
    input.setAttribute("aria-hidden", "true");
    link.after(input);
    link.setAttribute("role", "button");
    link.addEventListener("click", (event) => { event.preventDefault(); input.click(); });
    let busy = false;
    input.addEventListener("change", async (event) => {
      /* The first change is the person's, the second comes when the picture is made smaller. */
      if (event.isTrusted || busy || !input.files.length) return;
      busy = true;
      try { await take(link, input.files[0]); } catch (error) { say(error.words ?? NOT_KEPT, error.kind ?? "error"); }
      input.value = "";
      busy = false;
    });
  }
})();
