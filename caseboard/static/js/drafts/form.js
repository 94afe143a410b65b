/* A form as a draft: what it would send, what a person reads of it, and the way back into the form. */
"use strict";
const drafts = (window.drafts ??= {});
drafts.form = (() => {
  const NEVER = ["file", "password", "submit", "button", "image", "reset"];
  const isKept = (field) => field.name && field.name !== "csrfmiddlewaretoken" && !NEVER.includes(field.type)
    && (field.type !== "hidden" || field.hasAttribute("data-keep-field"));
  const fieldsOf = (form) => [...form.elements].filter(isKept);
  const isTicked = (field) => field.type === "checkbox" || field.type === "radio";

  /* -- what is typed: the fields that a person sees, and the hidden ones that belong to them */

  function typedIn(form) {
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
    const here = new Set(fieldsOf(form).map((field) => field.name));
    return JSON.stringify(values.filter(([name, value]) => here.has(name) && !hidden.has(name) && value !== ""));
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
    putBackTicks(form, values);
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
  function putBackFiles(form, files) {
    for (const field of form.querySelectorAll("input[type=file]")) {
      const own = files.filter((file) => file.name === field.name);
      if (!own.length || typeof DataTransfer === "undefined") continue;
      const chosen = new DataTransfer();
      for (const { blob, filename, type } of own) chosen.items.add(new File([blob], filename, { type }));
      field.files = chosen.files;
      field.dispatchEvent(new Event("change", { bubbles: true }));
    }
  }

  /* -- what would be sent, by whichever button: values and files apart */

  function sentBy(form, submitter) {
    const values = [];
    const files = [];
    for (const [name, value] of new FormData(form, submitter ?? undefined)) {
      if (name === "csrfmiddlewaretoken") continue;
      if (typeof value === "string") values.push([name, value]);
      else if (value.name) files.push({ name, filename: value.name, type: value.type, blob: value.slice(0, value.size, value.type) });
    }
    return { values, files };
  }

  /* -- what a person reads of it, field by field, in the form's own words */

  const words = (node) => node?.textContent.replace(/\s+/g, " ").trim() ?? "";
  function labelOf(field) {
    const own = field.labels?.[0]?.cloneNode(true);
    for (const more of own?.querySelectorAll("small, .optional, .unseen, svg") ?? []) more.remove();
    return words(own) || field.getAttribute("aria-label") || "";
  }
  /* As the board writes a day: 9 Nov 2026. What is no day stays as it was typed. */
  function dayWords(value) {
    const day = new Date(`${value}T12:00`);
    return Number.isNaN(day.getTime()) ? value : day.toLocaleDateString("en-GB", { day: "numeric", month: "short", year: "numeric" });
  }
  function shown(form, submitter) {
    const lines = new Map();
    const add = (label, value) => { if (value.trim()) lines.set(label, [...(lines.get(label) ?? []), value.trim()]); };
    for (const field of form.elements) {
      if (!field.name || field.type === "hidden" || field.disabled || NEVER.slice(1).includes(field.type)) continue;
      if (field.type === "file") { for (const file of field.files) add(labelOf(field), file.name); continue; }
      if (isTicked(field)) {
        const legend = field.closest("fieldset")?.querySelector("legend")?.cloneNode(true);
        for (const more of legend?.querySelectorAll(".optional") ?? []) more.remove();
        if (field.checked) add(words(legend) || labelOf(field), words(legend) ? labelOf(field) || field.value : "yes");
      } else if (field.options) for (const option of field.selectedOptions ?? []) { if (option.value) add(labelOf(field), words(option)); }
      else add(labelOf(field), field.type === "date" ? dayWords(field.value) : field.value);
    }
    const pressed = submitter?.name ? submitter.getAttribute("aria-label") || words(submitter) : "";
    if (pressed) add("Pressed", pressed);
    return [...lines].map(([label, values]) => [label, values.join(", ")]);
  }

  /* -- which form, about what */

  function newKey() {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    return btoa(String.fromCharCode(...bytes)).replace(/\+/g, "-").replace(/\//g, "_").replace(/=+$/, "");
  }
  /* A page that was kept for reading has one key in it, and may be written on more than once. */
  function renewKey(form) {
    const field = form.elements.namedItem("client_key");
    if (field?.type === "hidden") field.value = newKey();
  }
  const nameOf = (form) => form.dataset.keep || form.dataset.draft || "";

  function describe(form, submitter) {
    const said = document.title.split(" · ");
    const path = new URL(form.getAttribute("action") || location.href, location.href).pathname;
    return {
      kind: form.dataset.draftKind || said[0] || "A form",
      horse: submitter?.dataset.draftHorse || form.dataset.draftHorse || (said.length > 2 ? said[1] : ""),
      caseId: submitter?.dataset.draftCase || path.match(/^\/cases\/([\w-]+)\//)?.[1] || "",
      urgent: form.dataset.draftUrgent === "yes",
    };
  }

  return { typedIn, visible, putBack, putBackFiles, sentBy, shown, newKey, renewKey, nameOf, describe, fieldsOf };
})();
