/* Takes the "sure" from every value whose sentence holds something that was not followed.
 *
 * review(items, chips), behind the reading: a value is sure only where everything between it and its foot, and
 * beside it, was understood, and nothing in its sentence hedges, denies, takes back or is left over. A number or
 * a foot that nobody took may have shifted all the others by one. The distances are house defaults. */
"use strict";
window.spoken = window.spoken ?? {};
(() => {
  const { isHard } = window.spoken.doubt;
  const { leftOut } = window.spoken.feet;
  const HEDGED = new Set(["hedge", "hedged", "distrust"]);
  const UNLIKE = new Set(["word", "odd", "foreign", "other", "otherthree", "untouched", "lost", "same", "turn", "hedge", "not", "shade", "size", "nails"]);
  const BEFORE = 9, BEHIND = 4, BESIDE = 4;
  const any = (items, kinds) => items.some((item) => kinds.has(item.t));

  /* The sentence around an item, and the place of the item in it. */
  function sentence(items, i) {
    let from = i, to = i;
    while (from > 0 && !isHard(items[from - 1])) from -= 1;
    while (to < items.length && !isHard(items[to])) to += 1;
    return [items.slice(from, to), i - from];
  }
  function between(part, i) {
    const foot = part.indexOf(part[i].of), until = foot < 0 ? -1 : foot;
    return until < i ? part.slice(until + 1, i) : part.slice(i + 1, until);
  }
  function denied(before) {
    const not = before.findLastIndex((item) => item.t === "not");
    return not >= 0 && !before.slice(not).some((item) => item.t === "feet");
  }
  const left = (item, i, items) => item.clash || (item.t === "number" && !item.chips && !item.dead && !item.nowhere && !(item.unit === "deg" && item.value < 20) && items[i + 1]?.t !== "work")
    || (item.t === "feet" && !item.used && !item.echo && !item.context && !leftOut(items, i));
  const corrected = (part, i) => !part[i].fixed && part.slice(Math.max(0, i - BESIDE), i + BESIDE + 1).some((item) => item.t === "fix");

  const PIECE = /^(half|quarter|quarters|eighth|eighths|point|hundred|decimal|dot)$/;  // of a number that was not read whole
  const broken = (part, i) => part.slice(i + 1, i + 2 + BEHIND).some((item) => !item.used && item.t !== "number" && item.words.split(" ").some((word) => PIECE.test(word)));
  /* "fifty, honest, one on the near fore" */
  function parted(part, i) {
    if (part[i].value % 10 || part[i].value < 20 || part[i].unit) return false;
    const end = part.findIndex((item, at) => at > i && (item.t === "stop" || item.t === "number" || item.t === "feet"));
    return part.slice(i + 1, end < 0 ? i + BEHIND : Math.min(end, i + BEHIND)).some((item) => /\bone\b/.test(item.words));
  }
  /* A name said since the last number, that nobody took: "medial – well – heel 36". */
  function nameless(before) {
    const from = before.findLastIndex((item) => item.t === "number" || item.t === "feet");
    return before.slice(from + 1).some((item) => item.t === "quantity" && !item.used);
  }
  /* "fifty – honestly – and fifty-one in front": half of a list, the other half of another foot. */
  function halved(before, number) {
    if (before.at(-1)?.words !== "and") return false;
    const other = before.findLast((item) => !["filler", "word", "in_"].includes(item.t));
    return other?.t === "number" && other.of !== number.of && !other.dead;
  }
  /* "before I – the – did anything … forty-six": said to be found, and no number of the sentence is. */
  const unfound = (part) => part.some((item) => item.moment === "before" && item.t === "moment") && !part.some((item) => item.t === "number" && item.moment === "before");
  /* Numbers before their feet and numbers behind them, in one breath: one of them may be a foot too far. */
  function mixed(part, i) {
    const bare = part.filter((item) => item.t === "number" && item.chips && !item.dead);
    const stop = part.slice(0, i).findLastIndex((item) => item.t === "stop");
    if (!part[i].ofBehind && part.slice(stop + 1, i).some((item) => item.t === "number" && item.ofBehind && item.chips)) return true;
    const gap = part.slice(0, i).findLastIndex((item) => item.t === "number" || item.t === "feet");
    return part[i].ofBehind && !part.slice(gap + 1, i).some((item) => item.t === "stop" || item.words === "and") && bare.some((item) => !item.ofBehind) && !part.slice(i + 1, part.indexOf(part[i].of)).some((item) => ["on", "of", "for"].includes(item.words));
  }
  /* "before 8.4 after": fewer numbers than moments. */
  const count = (part, kind) => part.filter((item) => item.t === kind && !item.dead).length;
  function doubtful(items, number) {
    const [part, i] = sentence(items, items.indexOf(number));
    const before = part.slice(0, i);
    return any(before.slice(-BEFORE), HEDGED) || any(part.slice(i + 1, i + BEHIND), HEDGED) || part.slice(Math.max(0, i - BEFORE), i + BEHIND).some((item) => item.t === "shade")
      || any(between(part, i), UNLIKE) || part[i + 1]?.t === "word" || denied(before) || corrected(part, i) || broken(part, i) || parted(part, i) || nameless(before) || halved(before, number) || part.some(left) || unfound(part) || mixed(part, i) || count(part, "moment") > count(part, "number") || items.some((item, at) => item.t === "number" && item.of === number.of && left(item, at, items));
  }
  function review(items, chips) {
    for (const item of items) {
      const kept = (item.t === "number" && item.chips?.filter((chip) => chips.includes(chip))) || [];
      if (!kept.some((chip) => chip.sure) || (kept.every((chip) => chip.sure) && !doubtful(items, item))) continue;
      for (const chip of item.chips) chip.sure = false;
    }
  }
  window.spoken.sure = { review };
})();
