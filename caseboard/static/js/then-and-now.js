/* Lays an older picture over a newer one.
 *
 *   <section data-laid-over hidden>   shown here; without JavaScript the two stand side by side
 *   <g data-older>                    the older picture;  <input type=range data-opacity>: how much of it
 *   <rect data-wiped>                 what of it shows;   <input type=range data-wipe>: how far across */
"use strict";
(() => {
  for (const part of document.querySelectorAll("[data-laid-over]")) {
    const older = part.querySelector("[data-older]");
    const wiped = part.querySelector("[data-wiped]");
    const opacity = part.querySelector("[data-opacity]");
    const wipe = part.querySelector("[data-wipe]");
    const width = Number(wiped.getAttribute("width"));
    const look = () => {
      older.setAttribute("opacity", opacity.value / 100);
      wiped.setAttribute("width", (width * wipe.value) / 100);
    };
    part.hidden = false;
    part.addEventListener("input", look);
    look();
  }
})();
