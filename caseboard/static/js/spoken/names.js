/* What a number can be by its size and unit, and which name of a quantity is its own. */
"use strict";
window.spoken = window.spoken ?? {};
(() => {
  /* Plausible ranges as in the forms: measurements/hoof/quantities.py. */
  const RANGES = {
    toe_angle: [38, 68], heel_angle: [25, 68], pastern_angle: [35, 70], toe_length: [45, 125],
    heel_length_medial: [12, 75], heel_length_lateral: [12, 75], frog_width: [20, 95], frog_length: [45, 160],
    hoof_width: [65, 200], hoof_length: [65, 210], coronary_circumference: [200, 520],
  };
  const MM = { mm: 1, cm: 10, in: 25.4 };
  const { beyond, LIGHT } = window.spoken.feet;
  const { isHard } = window.spoken.doubt;
  const isAngle = (quantity) => quantity.endsWith("_angle");
  const within = (quantity, value) => value >= RANGES[quantity][0] && value <= RANGES[quantity][1];
  const round = (value) => Math.round(value * 100) / 100;

  /* The value in the quantity's base unit, where the number can be one; null where it cannot. */
  function fitted(quantity, { value, unit, saidUnit, spelt }, lengthUnit) {
    /* "five one": an angle is spelt, a length is in centimetres. */
    if (isAngle(quantity) && spelt) return (!unit || unit === "deg") && within(quantity, Math.round(value * 10)) ? Math.round(value * 10) : null;
    if (isAngle(quantity)) return (!unit || unit === "deg") && within(quantity, value) ? value : null;
    if (unit === "deg") return null;
    if (unit) return within(quantity, value * MM[unit]) ? round(value * MM[unit]) : null;
    const units = lengthUnit === "in" ? ["in", "mm", "cm"] : ["mm", "cm"];
    const fits = [...units, saidUnit].filter((one) => one && within(quantity, value * MM[one]));
    /* "three and three eighths": nobody counts mm or cm in eighths. */
    if (!fits.length && value < 6 && !Number.isInteger(value) && Number.isInteger(value * 8) && within(quantity, value * MM.in)) return round(value * MM.in);
    return fits.length ? round(value * MM[fits[0]]) : null;
  }

  /* "forty-five wide", "eight centimetres of toe": the number's own name stands behind it. */
  function trailing(items, i) {
    const at = beyond(items, i, new Set(["filler", "in_", "moment"]));
    const name = items[at];
    if (name?.t !== "quantity" || name.of) return null;
    if (["width", "long"].includes(name.key) && /^(wide|across|long)$/.test(name.words)) return name;
    if (/^(inside|outside)$/.test(name.key) && inRow(items, i)) return name;
    if (items[at - 1].words === "of" || inTurns(items, i)) return name;
    const then = beyond(items, at, new Set(["filler", "in_", "moment", "fix"]));
    const ahead = items[then]?.t === "number" || (items[then]?.t === "feet" && items[beyond(items, then)]?.t === "number");
    return at === i + 1 && !ahead && !leading(items, i) ? name : null;
  }
  /* "heels 36 inside, 38 outside": number and side in turns, and a side at the end. */
  function inRow(items, i) {
    const light = new Set(["filler", "in_", "stop"]);
    let at = i;
    while (items[at]?.t === "number" && /^(inside|outside)$/.test(items[beyond(items, at, light)]?.key ?? "")) at = beyond(items, beyond(items, at, light), light);
    const ahead = items[at]?.t === "feet" && items[beyond(items, at)]?.t === "number";  // "RF 39 inside LF 37"
    return at > i && !ahead && items[at]?.t !== "number" && /^heel(_height)?$/.test(leading(items, i)?.key ?? "heel");
  }
  /* "forty-four heels and fifty toes": every number of the sentence has its name behind it. */
  function inTurns(items, i) {
    let from = i, to = i;
    while (from > 0 && !isHard(items[from - 1])) from -= 1;
    while (to < items.length && !isHard(items[to])) to += 1;
    const part = items.slice(from, to);
    const said = part.filter((item) => item.t === "quantity" || (item.t === "number" && !item.dead));
    const alternate = said.length > 2 && said.length % 2 === 0 && said.every((item, j) => (item.t === "number") === (j % 2 === 0));
    return alternate && said.every((item, j) => item.t !== "number" || items[beyond(items, items.indexOf(item))] === said[j + 1]);
  }
  /* "Heels. Left fore forty-four": a name alone in its sentence is of the next one. */
  function heading(items, stop) {
    let at = stop - 1;
    while (LIGHT.has(items[at]?.t)) at -= 1;
    const name = items[at];
    if (name?.t !== "quantity") return null;
    while (at > 0 && (LIGHT.has(items[at - 1].t) || items[at - 1].t === "moment")) at -= 1;
    return at === 0 || items[at - 1].t === "stop" ? name : null;
  }
  /* The name before the number, with no other number between; it may stand before the feet. */
  function leading(items, i) {
    let words = false, crossed = false, foot = false, worked = false;
    for (let at = i - 1; at >= 0; at -= 1) {
      const item = items[at];
      if (item.t === "stop") { crossed = true; words = false; }
      if (crossed && ["word", "odd", "foreign"].includes(item.t)) words = true;  // "heel bulbs sore, left fore fifty"
      if (item.t === "feet" && !crossed) foot = true;
      if (item.t === "work" && foot) worked = true;  // "sore at the inside heel, I eased it and reset the fronts fifty-one"
      if (worked && item.t === "quantity") return null;
      if (words && foot && item.t === "quantity") return null;
      if (item.t === "number" || item.t === "same" || (isHard(item) && item.sign !== ":")) return isHard(item) ? heading(items, at) : null;
      if (item.t === "quantity" && !item.behind) return item;
    }
    return null;
  }
  window.spoken.names = { RANGES, MM, fitted, leading, trailing };
})();
