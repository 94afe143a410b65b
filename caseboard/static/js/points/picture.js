/* The picture of the editor of points: which part of it is seen, and how large.
 *
 *   const picture = globalThis.hoofPoints.picture(stage)   a box with data-width, data-height and two
 *                                                          drawings: [data-seen] and [data-glass]
 *
 * All positions are pixels of the kept picture, from its upper left corner. The part that is seen has the
 * shape of the box, so that a place on the screen is one multiplication away. */
"use strict";
(() => {
  const NEAREST = 12; /* screen pixels to one of the picture, at the most */
  const clamp = (value, low, high) => Math.min(Math.max(value, low), Math.max(low, high));

  function picture(stage) {
    const width = Number(stage.dataset.width);
    const height = Number(stage.dataset.height);
    const seen = stage.querySelector("[data-seen]");
    const glass = stage.querySelector("[data-glass]");
    const lens = glass.querySelector("svg");
    let zoom = 1;
    let middle = [width / 2, height / 2];

    const box = () => stage.getBoundingClientRect();
    const whole = (b) => Math.min(b.width / width, b.height / height) || 1;
    const scale = () => whole(box()) * zoom;

    function draw() {
      const b = box();
      const s = whole(b) * zoom;
      const [w, h] = [b.width / s, b.height / s];
      const within = (at, part, all) => (part >= all ? all / 2 : clamp(at, part / 2, all - part / 2));
      middle = [within(middle[0], w, width), within(middle[1], h, height)];
      seen.setAttribute("viewBox", `${middle[0] - w / 2} ${middle[1] - h / 2} ${w} ${h}`);
      stage.dispatchEvent(new CustomEvent("points:drawn"));
    }

    /* The place under a spot of the screen, and the spot over a place. */
    function at(clientX, clientY) {
      const b = box();
      const s = scale();
      return [middle[0] + (clientX - b.left - b.width / 2) / s, middle[1] + (clientY - b.top - b.height / 2) / s];
    }
    function spot([x, y]) {
      const b = box();
      const s = scale();
      return [(x - middle[0]) * s + b.width / 2, (y - middle[1]) * s + b.height / 2];
    }

    const inside = ([x, y]) => [clamp(x, 0, width), clamp(y, 0, height)];

    function zoomTo(wanted, around) {
      const most = NEAREST / whole(box());
      const next = clamp(wanted, 1, Math.max(most, 1));
      const keep = around ?? middle;
      const share = zoom / next;
      middle = [keep[0] + (middle[0] - keep[0]) * share, keep[1] + (middle[1] - keep[1]) * share];
      zoom = next;
      draw();
    }
    function panBy(dx, dy) {
      const s = scale();
      middle = [middle[0] - dx / s, middle[1] - dy / s];
      draw();
    }
    /* As large as a part of it, [left, top, right, bottom], can be seen whole. */
    function fit([left, top, right, bottom]) {
      const b = box();
      middle = [(left + right) / 2, (top + bottom) / 2];
      zoomTo(Math.min(b.width / (right - left), b.height / (bottom - top)) / whole(b), middle);
    }
    /* Brings a place into sight where it is not. */
    function show(place) {
      const [x, y] = spot(place);
      const b = box();
      const edge = 24;
      if (x >= edge && x <= b.width - edge && y >= edge && y <= b.height - edge) return;
      middle = [...place];
      draw();
    }

    /* The glass stands in the upper corner that is away from the finger. */
    function look(place, shown = true) {
      glass.hidden = !shown;
      if (!shown) return;
      const size = glass.getBoundingClientRect().width || 150;
      const part = size / clamp(scale() * 4, 0.9, NEAREST);
      lens.setAttribute("viewBox", `${place[0] - part / 2} ${place[1] - part / 2} ${part} ${part}`);
      const b = box();
      const [x, y] = spot(place);
      const low = y < b.height / 2;
      glass.dataset.side = x < b.width / 2 ? "right" : "left";
      glass.dataset.edge = low && b.height > size * 2 ? "low" : "high";
    }

    new ResizeObserver(draw).observe(stage);
    draw();
    return { width, height, at, spot, scale, inside, zoomTo, fit, panBy, show, look, draw, get zoom() { return zoom; }, get middle() { return middle; } };
  }

  (globalThis.hoofPoints ??= {}).picture = picture;
})();
