/* The order of a day: rows are dragged, or moved with two buttons; the numbers beside them follow.
 * Without this script the numbers are typed. */
"use strict";
(() => {
  const list = document.querySelector("[data-order]");
  if (!list) return;
  let held = null;

  function number() {
    [...list.children].forEach((row, index) => { row.querySelector("input").value = index + 1; });
  }
  function announce(row) {
    const place = [...list.children].indexOf(row) + 1;
    const words = `${row.querySelector("label").textContent}: place ${place} of ${list.children.length}`;
    document.dispatchEvent(new CustomEvent("announce", { detail: { words } }));
  }
  function move(row, by) {
    const other = by < 0 ? row.previousElementSibling : row.nextElementSibling;
    if (!other) return;
    if (by < 0) other.before(row); else other.after(row);
    number();
    announce(row);
  }
  function button(row, words, sign, by) {
    const made = document.createElement("button");
    made.type = "button";
    made.className = "btn";
    made.textContent = sign;
    made.setAttribute("aria-label", `${row.querySelector("label").textContent}: ${words}`);
    made.addEventListener("click", () => { move(row, by); made.focus(); });
    return made;
  }

  for (const row of list.children) {
    row.append(button(row, "earlier", "\u2191", -1), button(row, "later", "\u2193", 1));
    row.classList.add("can-drag");
    row.addEventListener("pointerdown", (event) => {
      if (event.target.closest("input, button")) return;
      held = row;
      row.classList.add("held");
      row.setPointerCapture(event.pointerId);
    });
    row.addEventListener("pointermove", (event) => {
      if (held !== row) return;
      const over = [...list.children].find((one) => {
        const box = one.getBoundingClientRect();
        return one !== row && event.clientY > box.top && event.clientY < box.bottom;
      });
      if (!over) return;
      const middle = over.getBoundingClientRect().top + over.offsetHeight / 2;
      if (over === row.previousElementSibling && event.clientY < middle) over.before(row);
      else if (over === row.nextElementSibling && event.clientY > middle) over.after(row);
      number();
    });
    const drop = () => {
      if (held !== row) return;
      held = null;
      row.classList.remove("held");
      announce(row);
    };
    row.addEventListener("pointerup", drop);
    row.addEventListener("pointercancel", drop);
  }
})();
