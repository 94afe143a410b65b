/* Which quantity a number is of, by its name or, without one, by what was said before, its unit and its size.
 *
 * `so` is the reading so far: its chips, the order of the foot before, the last values of the horse. */
"use strict";
window.spoken = window.spoken ?? {};
(() => {
  const AGAIN_DEG = 1.5;  // house default: a second number so near the first is the same angle, read again
  const SHORTEST = 65, LONGEST = 115;  // house default: toes, in mm, that a number without a name or unit may mean
  const ALIKE = 0.2;  // house default: two feet of one horse differ by less in one quantity
  const { fitted } = window.spoken.names;

  function value(so, foot, moment, named, item) {
    const found = which(so, foot, moment, named, item);
    return found && { kind: "value", foot, moment, ...found, sure: item.sure && found.sure };
  }

  function which(so, foot, moment, named, item) {
    const fits = (quantity) => { const value = fitted(quantity, item, so.lengthUnit) ?? (item.alt && named ? fitted(quantity, { ...item, value: item.alt }, so.lengthUnit) : null); return value === null ? null : { quantity, value, sure: true }; };
    const free = (quantity) => !so.had(foot, moment, quantity);
    switch (named) {
      case "angle": return fits("toe_angle");
      case "heel": return fits("heel_angle");
      case "none": case "heel_height": case "frog": return null;
      case "toe": {
        const angle = fits("toe_angle"), length = fits("toe_length");
        if (angle && length && !item.unit) return nearer(so, foot, free("toe_angle") ? angle : null, free("toe_length") ? length : null);
        return angle ?? length;
      }
      case null: if (item.spelt && fits("toe_angle") && free("toe_angle")) return { ...fits("toe_angle"), sure: false };
        return unnamed(so, foot, moment, item, fits, free);
      default: return fits(named) ?? otherwise(named, item, fits);
    }
  }

  /* "Dorsal wall 84 mm", "toe length 50 degrees": the unit tells more than the name. */
  function otherwise(named, item, fits) {
    const other = { toe_angle: "toe_length", toe_length: "toe_angle", frog_width: "hoof_width", frog_length: "hoof_length" }[named];
    return other && (item.unit || named.startsWith("frog")) && fits(other) ? { ...fits(other), sure: false } : null;
  }

  /* By the order of the foot before, if the value is like that foot's; else a toe's angle, then its length. */
  function unnamed(so, foot, moment, item, fits, free) {
    const expected = so.order[so.seen.length];
    if (expected && free(expected)) {
      const found = fits(expected);
      const others = so.chips.filter((chip) => chip.quantity === expected).map((chip) => chip.value);
      if (found && others.some((value) => Math.abs(value - found.value) <= value * ALIKE)) return found;
    }
    if (item.by) return null;  // "46 by 90": of two sides that were not named
    const angle = free("toe_angle") ? fits("toe_angle") : null, length = free("toe_length") ? fits("toe_length") : null;
    if (angle) return { ...angle, sure: !so.seen.length };
    const first = so.chips.findLast((chip) => chip.foot === foot && chip.moment === moment && chip.quantity === "toe_angle");
    /* "forty-eight, then with the foot flat forty-nine": said a second time. */
    if (first && fits("toe_angle") && item.value !== first.value && Math.abs(item.value - first.value) <= AGAIN_DEG) return { ...fits("toe_angle"), sure: false };
    /* "fifty, forty-six": the second may as well be the heel. */
    if (length && !item.unit && item.value > 12.5 && fits("heel_angle")) return null;
    if (length && !item.unit && (length.value < SHORTEST || length.value > LONGEST)) return null;  // "fifty – well – five"
    return length && { ...length, sure: Boolean(item.unit) || item.value > 68 || (item.value <= 12.5 && !Number.isInteger(item.value)) };
  }

  /* "toe sixty": an upright angle or a short toe. The last values of this foot tell, else it is not sure. */
  function nearer(so, foot, angle, length) {
    if (!angle || !length) return angle ?? (length && { ...length, sure: false });
    const was = (one) => so.last[`${foot} ${one.quantity}`];
    if (was(angle) === undefined || was(length) === undefined) return { ...angle, sure: angle.value <= 58 };
    const far = (one) => Math.abs(one.value - was(one)) / was(one);
    return far(angle) <= far(length) ? angle : length;
  }
  window.spoken.which = { value, ALIKE };
})();
