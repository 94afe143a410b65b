/* The keypad's "next" key goes from value to value, past what is only ticked or chosen.
 *
 * "As last time": writes the shoes of the last visit into the fields, without asking the server.
 *
 *   <button data-as-last='{"LF-shoe": "reset", …}'>   names of fields and what to put into them
 *
 * Without JavaScript the same button sends the form, and the page comes back filled in. */
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
      document.dispatchEvent(new CustomEvent("announce", { detail: { words: "Filled in." } }));
    });
  }
})();
