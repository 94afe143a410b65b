/* Takes the "sure" from every value whose sentence holds something that was not followed.
 *
 * review(items, chips), behind the reading: a value is sure only where everything between it and its foot, and
 * beside it, was understood, and nothing in its sentence hedges, denies, takes back or is left over. A number or
 * a foot that nobody took may have shifted all the others by one. The distances are house defaults. */
"use strict";
window.spoken = window.spoken ?? {};
(() => {
  const { isHard } = window.spoken.doubt;
  const { leftOut, GROUND } = window.spoken.feet;
  const HEDGED = new Set(["hedge", "hedged", "distrust"]);
  const UNLIKE = new Set(["word", "odd", "foreign", "other", "otherthree", "untouched", "lost", "same", "turn", "hedge", "not", "shade", "size", "nails"]);
  const PIECE = /^(half|quarter|quarters|eighth|eighths|point|hundred|decimal|dot)$/;  // of a number that was not read whole
  const BEFORE = 9, BEHIND = 4, BESIDE = 4;
  const any = (items, kinds) => items.some((item) => kinds.has(item.t));
  const count = (part, kind) => part.filter((item) => item.t === kind && !item.dead).length;

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
  const measured = (item, items, at) => item.t === "number" && !item.chips && !item.dead && !item.nowhere && !(item.unit === "deg" && item.value < 20) && items[at + 1]?.t !== "work";
  const left = (item, at, items) => item.clash || measured(item, items, at) || (item.t === "feet" && !item.used && !item.echo && !item.context && !leftOut(items, at));
  const broken = (part, i) => part.slice(i + 1, i + 2 + BEHIND).some((item) => !item.used && item.t !== "number" && item.words.split(" ").some((word) => PIECE.test(word)));

  /* Each: whether a number, the `i`th of the `part` that is its sentence, is in doubt. */
  const DOUBTS = {
    /* "Mum says 50": holds for all that is said. */
    told: ({ part }) => any(part, new Set(["distrust"])),
    /* "right, sunny, front and back 52": a side that has no foot. */
    side: ({ part }) => part.some((item) => item.t === "word" && item.side),
    hedgedBefore: ({ before }) => any(before.slice(-BEFORE), HEDGED),
    hedgedBehind: ({ part, i }) => any(part.slice(i + 1, i + 1 + BEHIND), HEDGED),
    /* "50? maybe 51" */
    asked: ({ items, at }) => items[at + 1]?.sign === "?" || HEDGED.has(items.slice(at + 1).find((item) => item.t !== "stop")?.t),
    unread: ({ part, i }) => any(between(part, i), UNLIKE) || part[i + 1]?.t === "word",
    denied: ({ before }) => {
      const not = before.findLastIndex((item) => item.t === "not");
      return not >= 0 && !before.slice(not).some((item) => item.t === "feet");
    },
    corrected: ({ part, i }) => !part[i].fixed && part.slice(Math.max(0, i - BESIDE), i + BESIDE + 1).some((item) => item.t === "fix"),
    /* "fifty – well – and a half", and the same behind a number put right */
    broken: ({ part, i, items, number }) => {
      const again = items.findIndex((item) => item.t === "gone" && item.by === number);
      return broken(part, i) || (again > 0 && (broken(items, again) || items[again + 1]?.t === "word"));
    },
    /* "fifty, honest, one on the near fore" */
    parted: ({ part, i }) => {
      /* "toe eight – the – one": eight one */
      if (!part[i].unit && part[i].value < 13 && Number.isInteger(part[i].value) && part[i + 1]?.t !== "stop" && part.slice(i + 1, i + 3).some((item) => /^((a|the|er|um) )?one$/.test(item.words))) return true;
      if (part[i].value % 10 || part[i].value < 20 || part[i].unit) return false;
      const end = part.findIndex((item, at) => at > i && ["stop", "number", "feet"].includes(item.t)), digit = part[end];
      if (digit?.t === "number" && !digit.unit && digit.value < 10 && Number.isInteger(digit.value) && part.slice(i + 1, end).every((item) => item.t === "filler" && item.words !== "and")) return true;  // "forty, the, eight"
      return part.slice(i + 1, end < 0 ? i + BEHIND : Math.min(end, i + BEHIND)).some((item) => /\bone\b/.test(item.words));
    },
    /* A name said since the last number, that nobody took: "medial – well – heel 36". */
    nameless: ({ before }) => {
      const from = before.findLastIndex((item) => item.t === "number" || item.t === "feet");
      return before.slice(from + 1).some((item) => item.t === "quantity" && !item.used);
    },
    /* "fifty – honestly – and fifty-one in front": half of a list, the other half of another foot. */
    halved: ({ before, number }) => {
      if (before.at(-1)?.words !== "and") return false;
      const other = before.findLast((item) => !["filler", "word", "in_", "stop"].includes(item.t));
      return other?.t === "number" && other.of !== number.of && !other.dead;
    },
    leftOver: ({ part, items, number }) => part.some(left) || items.some((item, at) => item.t === "number" && item.of === number.of && left(item, at, items)),
    /* "before I – the – did anything … forty-six": said to be found, and no number of the sentence is. */
    unfound: ({ part }) => part.some((item) => item.moment === "before" && item.t === "moment") && !part.some((item) => item.t === "number" && item.moment === "before"),
    /* "before 8.4 after": fewer numbers than moments. */
    moments: ({ part }) => count(part, "moment") > count(part, "number"),
    /* Numbers before their feet and numbers behind them, in one breath: one of them may be a foot too far. */
    mixed: ({ part, i, before }) => {
      const breath = before.slice(before.findLastIndex((item) => item.t === "stop") + 1);
      /* "heel forty-three behind, they're both fifty-four": behind may begin what follows. */
      const { of } = part[i];
      if (part[i].ofBehind && GROUND.has(of.words) && part[i + 1] === of && part[i + 2]?.t !== "stop" && part.some((item) => item.t === "number" && item.of?.feet.join() === of.feet.join() && item.chips && !item.ofBehind)) return true;
      if (of.echo && of.source && before.findLast((item) => item.t === "feet") === of.source) return false;  // "fronts at fifty-one, the pair of them"
      if (!part[i].ofBehind) return breath.some((item) => item.t === "number" && item.ofBehind && item.chips);
      const gap = before.slice(before.findLastIndex((item) => item.t === "number" || item.t === "feet") + 1);
      const joined = gap.some((item) => item.t === "stop" || item.words === "and") || part.slice(i + 1, part.indexOf(part[i].of)).some((item) => ["on", "of", "for"].includes(item.words));
      return !joined && part.some((item) => item.t === "number" && item.chips && !item.dead && !item.ofBehind);
    },
  };

  function doubtful(items, number) {
    const at = items.indexOf(number), [part, i] = sentence(items, at);
    const all = { items, at, part, i, number, before: part.slice(0, i) };
    return Object.values(DOUBTS).some((doubt) => doubt(all));
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
