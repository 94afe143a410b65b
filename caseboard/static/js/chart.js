/* A reading of a chart in words: under the finger, under the mouse, or by the arrow keys.
 *
 *   <svg class="plot" data-told='[[x, y, "49.5°, 10 Nov 2026 …"], …]'>
 *
 * The words stand in a line under the chart, read out as they change; the table of readings has them
 * all for whoever has no script. */
"use strict";
(() => {
  const SVG = "http://www.w3.org/2000/svg";

  function prepare(plot) {
    const points = JSON.parse(plot.dataset.told);
    if (!points.length) return;
    const ring = document.createElementNS(SVG, "circle");
    ring.setAttribute("class", "c-here");
    ring.setAttribute("r", "9");
    ring.setAttribute("visibility", "hidden");
    plot.append(ring);
    const line = document.createElement("p");
    line.className = "told-here";
    line.setAttribute("aria-live", "polite");
    line.textContent = "Tap a dot, or use the arrow keys.";
    plot.after(line);
    let at = points.length;

    function show(next) {
      at = Math.min(Math.max(next, 0), points.length - 1);
      const [x, y, words] = points[at];
      ring.setAttribute("cx", x);
      ring.setAttribute("cy", y);
      ring.setAttribute("visibility", "visible");
      line.textContent = words;
    }
    function nearest(event) {
      const box = plot.getBoundingClientRect();
      const x = ((event.clientX - box.left) / box.width) * plot.viewBox.baseVal.width;
      const y = ((event.clientY - box.top) / box.height) * plot.viewBox.baseVal.height;
      const far = ([px, py]) => (px - x) ** 2 + ((py - y) / 3) ** 2;
      return points.reduce((best, point, place) => (far(point) < far(points[best]) ? place : best), 0);
    }
    plot.setAttribute("tabindex", "0");
    plot.addEventListener("pointermove", (event) => show(nearest(event)));
    plot.addEventListener("pointerdown", (event) => show(nearest(event)));
    plot.addEventListener("keydown", (event) => {
      const step = { ArrowLeft: -1, ArrowRight: 1, Home: -points.length, End: points.length }[event.key];
      if (!step) return;
      event.preventDefault();
      show(at + step);
    });
  }

  for (const plot of document.querySelectorAll("svg[data-told]")) prepare(plot);
})();
