/* The keypad's "next" key goes from value to value, past what is only ticked or chosen.
 *
 * "As last time": writes the shoes of the last visit into the fields, without asking the server.
 *
 *   <button data-as-last='{"LF-shoe": "reset", …}'>   names of fields and what to put into them
 *   <span class="filled" hidden>                      right behind it: shown once it was pressed
 *
 * Without JavaScript the same button sends the form, and the page comes back filled in.
 *
 * The day of the next visit follows the box that names the booked one, as long as nobody changed it; the
 * hidden field "next_offered" has both days. Without JavaScript the server does the same. */
"use strict";
(() => {
  const values = () => [...document.querySelectorAll(".measure input[inputmode]")]
    .filter((field) => (field.checkVisibility ? field.checkVisibility() : field.offsetParent));
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || !event.target.matches?.(".measure input[inputmode]")) return;
    event.preventDefault();
    const all = values();
    all[all.indexOf(event.target) + 1]?.focus();
  });

  const planned = document.querySelector('#visit-form [name="planned"][type="checkbox"]');
  const { next_on: nextOn, next_offered: offered } = planned?.form.elements ?? {};
  planned?.addEventListener("change", (event) => {
    const [day, after] = offered?.value.split(" ") ?? [];
    if (!event.isTrusted || !nextOn || !after) return;
    if (planned.checked && nextOn.value === day) nextOn.value = after;
    else if (!planned.checked && nextOn.value === after) nextOn.value = day;
  });

  for (const button of document.querySelectorAll("[data-as-last]")) {
    button.addEventListener("click", (event) => {
      event.preventDefault();
      const form = button.form;
      for (const [name, value] of Object.entries(JSON.parse(button.dataset.asLast))) {
        const field = form.elements.namedItem(name);
        if (!field) continue;
        field.value = value; /* a group of radio buttons takes a value as well */
        (field.closest ? field : field[0]).closest("details")?.setAttribute("open", "");
      }
      form.dispatchEvent(new Event("input", { bubbles: true })); /* kept in the phone like typing */
      button.setAttribute("aria-pressed", "true");
      for (const told of button.parentElement.querySelectorAll(".filled")) told.hidden = told !== button.nextElementSibling;
      document.dispatchEvent(new CustomEvent("announce", { detail: { words: "Filled in." } }));
    });
  }
})();
