/* Before or after the trim: marks every number with its moment, as said before it or, in turns, behind it. */
"use strict";
window.spoken = window.spoken ?? {};
(() => {
  const { beyond } = window.spoken.feet;
  const { isHard } = window.spoken.doubt;

  const nameOf = (items, i) => window.spoken.names.leading(items, i)?.key ?? null;

  /* "before: left fore 48", but neither "came in lame" nor "before I forget". */
  const PASSED = new Set(["filler", "in_", "quantity", "each", "feet", "side", "pair", "stop", "swap"]);
  const announces = (items, at) => items[beyond(items, at, PASSED)]?.t === "number";

  /* "8.6 down to 8.2", "it was fifty, I got it to fifty-two": the first of two was found. */
  function foundAndLeft(items, part, item, i) {
    const [then, next] = part.slice(i + 1);
    if (item.t !== "number" || item.told || then?.moment !== "after" || then.t !== "moment" || next?.t !== "number" || next.of !== item.of || item.moment !== "after") return;
    const at = items.indexOf(item), was = items.slice(Math.max(0, at - 3), at).some((one) => /^(was|were)$/.test(one.words));
    const straight = items.slice(at + 1, items.indexOf(then)).every((one) => !["feet", "number", "quantity"].includes(one.t));
    if (!(was && [null, nameOf(items, at)].includes(nameOf(items, items.indexOf(next)))) && !((/\bto$/.test(then.words) || then.leaves) && straight)) return;
    Object.assign(item, { moment: "before", shaky: true });
    next.once = item;
  }

  /* "48, going up to 50 after": such words stand before their number. */
  const leads = (part) => part.some((one) => one.t === "moment" && /\bto$/.test(one.words));
  /* "48 before 51 after, toe 8.2": moments in turns behind their numbers, then numbers without any. */
  function turned(part) {
    const last = part.findLastIndex((one) => one.t === "moment");
    return last > 2 && !leads(part) && last % 2 === 1 && part.slice(0, last + 1).every((one, i) => (one.t === "number") === (i % 2 === 0));
  }
  const anded = (items, first, last) => {
    const between = items.slice(items.indexOf(first) + 1, items.indexOf(last));
    return first.of === last.of && between.every((one) => ["filler", "in_"].includes(one.t) && !/^(is|are)$/.test(one.words)) && between.filter((one) => one.words === "and").length === 1;
  };
  /* "before and after 47 and 50", "47 and 50 before and after" */
  function bothAtOnce(items) {
    items.forEach((item, i) => {
      const [and, after] = items.slice(i + 1, i + 3);
      if (item.t !== "moment" || item.moment !== "before" || !/^(and|\/)$/.test(and?.words ?? "") || after?.moment !== "after") return;
      const ahead = beyond(items, i + 2, new Set(["filler", "in_", "stop", "quantity"])), back = items.slice(0, i).findLastIndex((one) => one.t !== "filler");
      const pair = items[ahead]?.t === "number" ? [ahead, ahead + 2] : [back - 2, back];
      const [first, second] = pair.map((at) => items[at]);
      if (first?.t !== "number" || second?.t !== "number") return;
      Object.assign(first, { moment: "before", told: true });
      Object.assign(second, { moment: "after", told: true, shaky: true });
      item.t = after.t = "filler";
    });
  }
  /* "The right front was 47. It is 50 now." */
  function was(items) {
    items.forEach((item, i) => {
      const beside = [items[i - 2], items[i - 1], items[i + 1]].some((one) => one?.t === "moment" && one.moment === "after");
      if (item.t !== "number" || item.moment !== "after" || !beside) return;
      items.slice(0, i).forEach((one, at) => {
        const alike = one.t === "number" && !one.dead && !one.told && one.moment === "after" && one.of && item.of && Math.abs(one.value - item.value) < 0.3 * item.value;
        const since = items.slice(0, at).findLastIndex((two) => two.t === "number" && two.of === one.of) + 1;  // "heel was 40 now 43": of the forty alone
        const past = items.slice(Math.max(since, at - 8), at).some(({ words }) => /^(was|were)$/.test(words));
        if (alike && past && [null, nameOf(items, at)].includes(nameOf(items, i)) && one.of.feet.every((foot) => item.of.feet.includes(foot))) Object.assign(one, { moment: "before", shaky: true });
      });
    });
  }
  /* "toes were 92 and 93 in front, took them to 84 each" */
  function listBefore(items, i, number) {
    if (number?.t !== "number") return;
    const each = items[items.indexOf(number) + 1];
    const feet = (each?.echo ? each : number.of)?.feet ?? [];
    const same = ({ of }) => of && (of.feet.join() === feet.join() || ((number.of?.echo || each?.echo) && of.feet.every((foot) => feet.includes(foot))));  // "left 51, right 49, I set him up 52 both"
    for (const one of items.slice(0, i)) if (one.t === "number" && same(one) && Math.abs(one.value - number.value) < 0.3 * number.value && one.moment === "after" && !one.told) Object.assign(one, { moment: "before", shaky: true });
  }
  /* "Right front 45 toe, 35 heel. … Took it to 48 and 39.": what was said of that foot before was found. */
  function results(items) {
    items.forEach((item, i) => {
      if (item.t !== "moment" || (item.leaves ? items[i - 1]?.words !== "i" : !/^to$|^(took|taken|brought|got|rasped|set) (it |him |her |them )?(\w+ )?to$/.test(item.words))) return;
      const start = items.slice(0, i).findLastIndex(isHard), number = items[beyond(items, i)];
      if (start < 0) return listBefore(items, i, number);
      if (number?.t !== "number" || items.slice(start, i).some((one) => one.t === "feet" || one.t === "number")) return;
      for (const one of items.slice(0, start)) if (one.t === "number" && one.of === number.of && one.moment === "after" && !one.told) Object.assign(one, { moment: "before", shaky: true });
    });
  }
  /* A stop right before it: the words behind it are of the whole sentence. */
  const apart = (items, moment) => items[items.indexOf(moment) - 1]?.t === "stop";

  /* Before or after the trim, as said before the number or, in turns, behind it. */
  function moments(items) {
    const trailing = ({ t, moment }) => t === "moment" && moment === "before";
    const turns = (part) => part.length > 1 && !leads(part) && part.length % 2 === 0 && part.every((item, i) => (item.t === "number") === (i % 2 === 0));
    bothAtOnce(items);
    let from = 0, held = "after";
    for (let end = 0; end <= items.length; end += 1) {
      if (end < items.length && !isHard(items[end])) continue;
      const part = items.slice(from, end).filter((item) => item.t === "moment" || (item.t === "number" && !item.dead));
      const ahead = part.length > 3 && part.length % 2 === 0 && part.every((one, i) => (one.t === "moment") === (i % 2 === 0));  // "before 47, after, 50"
      const behind = turns(part) || turned(part);
      const tail = part.length > 2 && trailing(part.at(-1)) && part.filter((one) => one.t === "moment").length === 1 ? part.at(-1) : null;
      part.forEach((item, i) => {
        if (item.t === "moment") {
          item.used = true;
          const at = items.indexOf(item), follows = items[beyond(items, at, new Set(["filler", "in_", "quantity", "each"]))];
          const next = items[at + 1]?.words === "and" && item.moment === "before" ? items[at + 1] : follows;  // "49 and 50 before and 51 after"
          const last = part[i - 1];
          const led = ahead || items[at + 1]?.sign === ":" || (part[0].t === "moment" && next?.t !== "stop" && next !== undefined);
          const alone = !led && last?.t === "number" && next?.t !== "number" && !last.told && !(next?.t === "feet" && part[i + 1]?.t === "number" && items[at - 1]?.t !== "number");
          const past = last && items.slice(items.indexOf(last), at).some((one) => ["work", "not"].includes(one.t));  // "… right hind 51, I then trimmed all four, no readings after"
          if (behind || (alone && !past)) {
            if (last) Object.assign(last, { moment: item.moment, told: true });
            /* "ninety-two and ninety before": both. */
            const first = part[i - 2];
            if (!behind && first?.t === "number" && !first.told && anded(items, first, last)) Object.assign(first, { moment: item.moment, told: true });
          }
          else if (item.moment === "after" || announces(items, at)) held = item.moment;
          if (!behind && alone && item.moment === "before") held = "after";
        } else if (!item.told) item.moment ??= held;
      });
      if (end < items.length && part.some((item) => item.t === "moment") && behind) held = "after";
      /* "86 on the near hind and 85 on the off, before the trim that was": may be said of all of them. */
      if (tail) for (const one of part) if (one.t === "number" && !one.told) Object.assign(one, { moment: apart(items, tail) ? "before" : one.moment, shaky: true });
      /* "86 before trim 82": of which of them? */
      if (part.length === 3 && part[1].moment === "before" && part[1].t === "moment" && part[0].t === "number" && part[2].t === "number" && part[0].of === part[2].of && ![-1, 1].some((step) => items[items.indexOf(part[1]) + step]?.t === "stop")) part[0].shaky = part[2].shaky = true;
      part.forEach((item, i) => foundAndLeft(items, part, item, i));
      from = end + 1;
    }
    for (const item of items) if (item.t === "number") item.moment ??= held;
    results(items);
    was(items);
    alone(items);
  }
  /* "86 on the near hind. Before the trim, that was.": which of the numbers before it? */
  function alone(items) {
    items.forEach((item, i) => {
      if (item.t !== "moment" || item.moment !== "before") return;
      const start = items.slice(0, i).findLastIndex(isHard), end = items.findIndex((one, at) => at > i && isHard(one));
      const after = items.slice(i, end < 0 ? undefined : end);
      if (start < 1 || items[i + 1]?.sign === ":" || items.slice(start, i).some((one) => one.t === "number") || after.some((one) => one.t === "number" || one.t === "feet") || items.slice(i).some((one) => one.t === "number")) return;
      const last = items.slice(0, start).findLastIndex(isHard);
      for (const one of items.slice(last + 1, start)) if (one.t === "number" && !one.told) one.shaky = true;
    });
  }
  window.spoken.moments = { mark: moments };
})();
