/* What the feet wear: one tap fills in a pair, and each foot's fields open where they are wanted.
 *
 *   <button data-as-last='{"LF-shoe": "reset", …}'>   names of fields and what to put into them
 *   <button data-copy value="RF-as-LF">               the shoe of the left fore on the right; never a measurement
 *   <output data-said="LF">                           the shoe of a foot in words
 *   <template id="foot-fields">                       the fields of one foot, named "XX-…"
 *
 * Closed, a foot's fields are hidden ones of the same names. Without JavaScript the same buttons send the
 * form, and the page comes back filled in or opened. */
"use strict";
(() => {
  const form = document.getElementById("visit-form");
  const mould = document.getElementById("foot-fields")?.content;
  if (!form || !mould) return;
  const PARTS = ["shoe", "kind", "material", "size", "pad", "wedge", "clips", "studs", "nails", "shoe_words", "left"];
  const field = (name) => form.elements.namedItem(name);
  const value = (foot, part) => field(`${foot}-${part}`)?.value ?? "";
  const label = (part, of) => [...(mould.querySelector(`[name="XX-${part}"]`)?.options ?? [])].find((one) => one.value === of)?.textContent.trim() ?? "";

  /* As the server says it: FootWork.shoe_line. */
  function said(foot) {
    const of = (part) => value(foot, part);
    const words = (part) => (of(part) ? label(part, of(part)) : "");
    const none = (part) => (of(part) === "none" ? "" : words(part));
    const kind = [words("kind"), words("material")].filter(Boolean).join(" ");
    const parts = [
      none("shoe"), kind, of("size") && `size ${of("size")}`, words("pad"), of("wedge") && `wedge ${of("wedge")}°`,
      none("clips"), none("studs"), of("nails") === "0" ? "glued or cuffed on" : words("nails"), of("shoe_words"),
    ].filter(Boolean);
    return parts.join(", ") || (of("left") === "barefoot" ? "barefoot" : "");
  }
  const FEET = { fronts: ["LF", "RF"], hinds: ["LH", "RH"] };
  function saidOf(pair) {
    const [left, right] = FEET[pair];
    if (said(left) === said(right)) return said(left) && `Both: ${said(left)}`;
    return FEET[pair].map((foot, at) => `${at ? nameOf(foot).toLowerCase() : nameOf(foot)}: ${said(foot) || "no shoe work yet"}`).join("; ");
  }
  const tell = () => { for (const output of form.querySelectorAll("[data-said]")) output.value = saidOf(output.dataset.said); };

  function put(values, pressed) {
    for (const [name, of] of Object.entries(values)) { const one = field(name); if (one) one.value = of; }
    tell();
    for (const button of form.querySelectorAll("[data-as-last][aria-pressed]")) button.removeAttribute("aria-pressed");
    pressed?.setAttribute("aria-pressed", "true");
    form.dispatchEvent(new Event("input", { bubbles: true })); /* kept in the phone like typing */
    document.dispatchEvent(new CustomEvent("announce", { detail: { words: "Filled in." } }));
  }

  const nameOf = (foot) => document.querySelector(`#foot-${foot} h2`)?.textContent.trim() ?? foot;

  function openFoot(holder, foot) {
    const made = mould.cloneNode(true);
    const place = made.firstElementChild;
    place.dataset.fields = foot;
    place.querySelector("legend").textContent = nameOf(foot);
    for (const one of place.querySelectorAll("label .unseen")) one.textContent = `, ${nameOf(foot)}`;
    for (const one of place.querySelectorAll("label")) one.htmlFor = one.htmlFor.replace("XX", foot);
    for (const one of place.querySelectorAll("[name]")) {
      one.name = one.name.replace("XX", foot);
      one.id = one.id.replace("XX", foot);
      const unseen = field(one.name);
      if (!unseen) continue;
      if (unseen.type !== "hidden") { one.closest(".field").remove(); continue; }
      one.value = unseen.value;
      unseen.remove();
    }
    holder.append(made);
  }

  function openPair(details) {
    const holder = details.querySelector(".foot-both");
    const feet = [...new Set([...holder.querySelectorAll(":scope > input[type=hidden]")].map((one) => one.name.slice(0, 2)))];
    for (const foot of feet) openFoot(holder, foot);
    details.querySelector("[data-open]")?.remove();
  }

  for (const details of form.querySelectorAll(".shoe-buttons > details")) {
    details.addEventListener("toggle", () => { if (details.open) openPair(details); });
    details.querySelector("[data-open]")?.remove();
  }
  form.addEventListener("click", (event) => {
    const button = event.target.closest("[data-as-last], [data-copy]");
    if (!button) return;
    event.preventDefault();
    if (button.dataset.asLast) return void put(JSON.parse(button.dataset.asLast), button);
    const [to, , of] = button.value.split("-");
    put(Object.fromEntries(PARTS.map((part) => [`${to}-${part}`, value(of, part)])));
  });
  form.addEventListener("input", tell);
  form.addEventListener("change", tell);

  /* "LF-shoe" and its like by name; "fronts-as_last" with "reset", "new" or "bare" presses that button. */
  document.addEventListener("visit:set", (event) => {
    const { name, value: of } = event.detail;
    const [which, part] = name.split("-");
    if (part === "as_last") {
      const button = form.querySelector(`[data-as-last][value="${CSS.escape(`${which}-${of}`)}"]`);
      if (!button) return;
      put(JSON.parse(button.dataset.asLast), button);
      event.detail.done = true;
    } else if (PARTS.includes(part) && field(name)) {
      put({ [name]: of });
      event.detail.done = true;
    }
  });
})();
