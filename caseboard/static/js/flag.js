/* Says "Call your vet now" as soon as an urgent sign is ticked, before anything is sent.
 *
 *   <form data-flag-form data-together="heat+pulse+lame pointing;…">   groups that together are urgent:
 *                                        ";" between combinations, "+" between groups, " " inside one
 *   <… data-call-now hidden>             shown while what is ticked is urgent
 *   <a data-call-bar hidden>             the number beside the send button, likewise
 *   <li data-for="sign" hidden>          advice for one sign
 *
 * Without JavaScript the same is on the page that answers. */
"use strict";
(() => {
  const form = document.querySelector("[data-flag-form]");
  const box = document.querySelector("[data-call-now]");
  if (!form || !box) return;
  const bar = document.querySelector("[data-call-bar]");
  const together = form.dataset.together.split(";").filter(Boolean)
    .map((pattern) => pattern.split("+").map((group) => group.split(" ")));

  const ticked = (names) => new Set(names.flatMap((name) =>
    [...form.querySelectorAll(`input[name="${name}"]:checked`)].map((field) => field.value)));

  function isUrgent() {
    if (ticked(["urgent_signs"]).size) return true;
    const signs = ticked(["signs"]);
    return together.some((pattern) => pattern.every((group) => group.some((sign) => signs.has(sign))));
  }

  function look() {
    const urgent = isUrgent();
    const signs = ticked(["urgent_signs", "signs"]);
    for (const line of box.querySelectorAll("[data-for]")) line.hidden = !signs.has(line.dataset.for);
    if (urgent && box.hidden) document.dispatchEvent(new CustomEvent("announce", { detail: { words: "Call your vet now." } }));
    box.hidden = !urgent;
    form.dataset.draftUrgent = urgent ? "yes" : "";
    const untold = box.querySelector("[data-untold]");
    if (untold) untold.hidden = navigator.onLine !== false && drafts.lineIs() !== "no signal";
    if (bar) bar.hidden = !urgent;
  }

  form.addEventListener("change", (event) => {
    if (event.target.name === "since_day" && event.target.value) {
      const other = form.querySelector('input[name="since"][value="day"]');
      if (other) other.checked = true;
    }
    look();
  });
  for (const one of ["drafts:line", "drafts:changed"]) document.addEventListener(one, look);
  for (const one of ["online", "offline"]) addEventListener(one, look);
  look();
})();
