/* What the form was asked for with, where the phone had only the plain one (js/worker/shelf.js): the day of the
 * list that it was opened from, to which saving leads back, and the day of the visit. With a connection the
 * server does the same, and leads on to the next stop.
 *
 * A form that was fetched ahead leads on to the stop that was next then: no longer, where that one has been
 * written up in this phone meanwhile. */
"use strict";
(() => {
  const form = document.getElementById("visit-form");
  if (!form) return;
  const { day, on } = Object.fromEntries(new URLSearchParams(location.search));
  const isDay = (text) => /^\d{4}-\d\d-\d\d$/.test(text ?? "");
  const save = document.querySelector('.actionbar [form="visit-form"]');
  const list = isDay(day) ? `/round/?from=${day}&days=1` : "";

  function leadBack() {
    form.dataset.draftNext = list;
    form.dataset.draftNextWords = "To the day";
  }
  if (list && !form.getAttribute("action").includes("?")) {
    form.setAttribute("action", `${form.getAttribute("action")}?day=${day}`);
    document.querySelector(".visit-head p")?.append(Object.assign(document.createElement("a"), { className: "btn", href: list, textContent: "Day" }));
    leadBack();
  }
  const kept = form.elements.namedItem("kept_on");
  if (isDay(on) && kept?.value === kept?.max && on < kept.max) {
    kept.value = on;
    kept.closest("details").open = true;
    kept.dispatchEvent(new Event("change", { bubbles: true }));
  }

  async function passOver() {
    const then = form.dataset.draftNext?.match(/^\/cases\/([\w-]+)\//)?.[1];
    if (!then || !document.querySelector("[data-as-of]")) return;
    const written = await window.drafts?.list?.() ?? [];
    if (!written.some((one) => one.caseId === then && one.state !== "typing" && one.kind.startsWith("Visit"))) return;
    leadBack();
    save.textContent = "Save the visit";
  }
  passOver().catch(() => { /* this phone keeps nothing: then it leads on as it says */ });
})();
