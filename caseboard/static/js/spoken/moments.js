/* Before or after the trim: marks every number with its moment, as said before it or, in turns, behind it. */
"use strict";
window.spoken = window.spoken ?? {};
(() => {
  const { beyond } = window.spoken.feet;
  const { isHard } = window.spoken.doubt;

  /* "before: left fore 48", but neither "came in lame" nor "before I forget". */
  const PASSED = new Set(["filler", "in_", "quantity", "each", "feet", "side", "pair", "stop"]);
  const announces = (items, at) => items[beyond(items, at, PASSED)]?.t === "number";

  /* "8.6 down to 8.2", "it was fifty, I got it to fifty-two": the first of two was found. */
  function foundAndLeft(items, part, item, i) {
    const [then, next] = part.slice(i + 1);
    if (item.t !== "number" || item.told || then?.moment !== "after" || then.t !== "moment" || next?.t !== "number" || next.of !== item.of || item.moment !== "after") return;
    const at = items.indexOf(item), was = items.slice(Math.max(0, at - 3), at).some((one) => /^(was|were)$/.test(one.words));
    const straight = items.slice(at + 1, items.indexOf(then)).every((one) => ["filler", "stop", "work"].includes(one.t));
    if (was || (/\bto$/.test(then.words) && straight)) Object.assign(item, { moment: "before", shaky: true });
  }

  /* Before or after the trim, as said before the number or, in turns, behind it. */
  function moments(items) {
    const turns = (part) => part.length > 1 && part.length % 2 === 0 && part.every((item, i) => (item.t === "number") === (i % 2 === 0));
    let from = 0, held = "after";
    for (let end = 0; end <= items.length; end += 1) {
      if (end < items.length && !isHard(items[end])) continue;
      const part = items.slice(from, end).filter((item) => item.t === "moment" || (item.t === "number" && !item.dead));
      const behind = turns(part);
      part.forEach((item, i) => {
        if (item.t === "moment") {
          item.used = true;
          const at = items.indexOf(item), next = items[beyond(items, at, new Set(["filler", "in_", "quantity", "each"]))];
          const last = part[i - 1];
          const led = part[0].t === "moment" && next?.t !== "stop" && next !== undefined;
          const alone = !led && last?.t === "number" && next?.t !== "number" && !last.told && !(next?.t === "feet" && part[i + 1]?.t === "number" && items[at - 1]?.t !== "number");
          if (behind || alone) { if (last) Object.assign(last, { moment: item.moment, told: true }); }
          else if (item.moment === "after" || announces(items, at)) held = item.moment;
          if (!behind && alone && item.moment === "before") held = "after";
        } else item.moment ??= held;
      });
      if (end < items.length && part.some((item) => item.t === "moment") && behind) held = "after";
      part.forEach((item, i) => foundAndLeft(items, part, item, i));
      from = end + 1;
    }
    for (const item of items) if (item.t === "number") item.moment ??= held;
  }
  window.spoken.moments = { mark: moments };
})();
