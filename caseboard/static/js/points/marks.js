/* What is drawn over the picture: the points, the lines between them, the card's square.
 *
 *   globalThis.hoofPoints.marks(layer, picture)({points, current, ghost, kinds, lines, square})
 *
 * Each mark is drawn twice, dark and then light on top, so that it is seen on any horse. */
"use strict";
(() => {
  const SVG = "http://www.w3.org/2000/svg";

  function shape(layer, name, attributes) {
    for (const look of ["under", "over"]) {
      const node = document.createElementNS(SVG, name);
      for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
      node.classList.add(look);
      layer.append(node);
    }
  }
  const line = (layer, [x1, y1], [x2, y2]) => shape(layer, "line", { x1, y1, x2, y2 });

  function point(layer, kind, [x, y], current) {
    const size = current ? 11 : 7;
    if (kind === "ground") shape(layer, "path", { d: `M${x} ${y}l${size} ${size * 1.7}h${-2 * size}z` });
    else shape(layer, "circle", { cx: x, cy: y, r: size });
    if (!current) return;
    for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) {
      line(layer, [x + dx * 14, y + dy * 14], [x + dx * 26, y + dy * 26]);
    }
  }

  function marks(layer, picture) {
    return ({ points, current, ghost, kinds, lines, square }) => {
      layer.replaceChildren();
      if (square?.length === 4) {
        const corners = square.map((corner) => picture.spot(corner).join(",")).join(" ");
        shape(layer, "polygon", { points: corners, class: "square" });
      }
      for (const [a, b] of lines) if (points[a] && points[b]) line(layer, picture.spot(points[a]), picture.spot(points[b]));
      for (const [name, place] of Object.entries(points)) point(layer, kinds[name], picture.spot(place), name === current);
      if (ghost && !points[current]) point(layer, kinds[current], picture.spot(ghost), true);
    };
  }

  (globalThis.hoofPoints ??= {}).marks = marks;
})();
