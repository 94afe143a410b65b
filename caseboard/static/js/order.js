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
      event.preventDefault();
      held = row;
      row.classList.add("held");
    });
  }

  /* Heard on the page, not on the row: a row that is put elsewhere loses a pointer it had caught. */
  function follow(event) {
    if (!held) return;
    const rows = [...list.children];
    const middle = (one) => one.getBoundingClientRect().top + one.offsetHeight / 2;
    const before = rows.find((one) => one !== held && event.clientY < middle(one));
    if (before === held.nextElementSibling && before) return;
    if (before) before.before(held);
    else if (held !== list.lastElementChild) list.append(held);
    number();
  }
  function drop() {
    if (!held) return;
    held.classList.remove("held");
    announce(held);
    held = null;
  }
  document.addEventListener("pointermove", follow);
  document.addEventListener("pointerup", drop);
  document.addEventListener("pointercancel", drop);
})();
