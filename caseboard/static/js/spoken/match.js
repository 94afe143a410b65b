/* Which feet a number or a shoe is of, where feet may stand before or behind it: "left fore fifty",
 * "fifty on the near fore, fifty-two on the off".
 *
 * match(items) gives every number, work and detail its `of`: the item that names its feet, and `close`,
 * true where another reading would be as good. Between two names of feet, what stands first goes back
 * and what stands last goes forward; of all such readings the cheapest is taken, in which hardly any
 * named foot goes without. All costs are house defaults, set on written-down dictation. */
"use strict";
window.spoken = window.spoken ?? {};
(() => {
  const { isHard } = window.spoken.doubt;
  const KINDS = { number: "value", same: "value", work: "work", untouched: "work", detail: "detail", size: "detail", nails: "detail" };
  const COST = {
    unused: 3, split: 1, crossed: 1, apart: 0.4, forward: 0.6, word: 0.3, mostWords: 1.5, again: 2, linked: -2.5, echoed: -1, near: 1.2,
    value: { back: 0.5, backHard: 1.5, forward: 3, forwardHard: 4.5 },
    work: { back: 1.5, backHard: 4, forward: 2, forwardHard: 6 },
    detail: { back: 0.5, backHard: 4, forward: 2, forwardHard: 6 },
  };

  function between(items, from, to) {
    const part = items.slice(from, to);
    const stops = part.filter((item) => item.t === "stop" && !":/&+".includes(item.sign));
    return {
      hard: stops.some(isHard), soft: stops.length > 0 || part.some((item) => item.t === "turn"),
      words: Math.min(COST.mostWords, COST.word * part.filter((item) => item.t === "word").length),
      link: (!part.length && window.spoken.feet.GROUND.has(items[to]?.words)) || !part.some((item) => item.words === "and" || item.words === "then") && part.some((item) => ["on", "for", "in", "of"].includes(item.words)) && !stops.length && part.every((item) => ["filler", "in_", "moment", "quantity"].includes(item.t)),
    };
  }
  function backCost(items, at, foot, kind) {
    const gap = between(items, foot.until + 1, at);
    return (gap.hard ? COST[kind].backHard : gap.soft ? COST[kind].back : 0) + gap.words;
  }
  function forwardCost(items, at, foot, kind) {
    const gap = between(items, at + 1, foot.at);
    const named = items[at - 1]?.t === "quantity" && items.slice(at + 1, foot.at).some((item) => item.t === "quantity");  // "hoof fifty-one, pastern on the right front …"
    return COST.forward + (gap.hard ? COST[kind].forwardHard : gap.soft ? COST[kind].forward : 0) + gap.words + (gap.link && !named ? COST.linked : 0);
  }

  /* "forty degrees in that barn, left fore fifty": the foot has a number of its own. */
  function elsewhere(items, at, foot) {
    const part = items.slice(at + 1, foot.at);
    if (!part.some((item) => item.t === "stop") || !part.some((item) => ["word", "odd", "foreign"].includes(item.t))) return false;
    const named = [...items.slice(Math.max(0, at - 3), at), ...part].some((item) => item.t === "quantity");
    return !named && items[window.spoken.feet.beyond(items, foot.until)]?.t === "number";
  }

  const alike = (one, other) => one.unit === other.unit && Math.abs(one.value - other.value) < 0.3 * one.value;
  /* What it costs to cut in front of an item: little behind "and" or a stop, much within "54 and 53". */
  const cutAt = (items, at) => (!joined(items[at - 1]) ? COST.split : items[at].t === "number" && items[at - 1].words === "and" && items[at - 2]?.t === "number" && alike(items[at - 2], items[at]) ? 2 * COST.split : COST.apart);
  /* "a crack on the right hind": named for what is wrong with it. */
  function ailing(items, at) {
    const part = items.slice(Math.max(0, at - 4), at);
    return part.slice(part.findLastIndex((item) => item.t === "stop" || item.t === "feet") + 1).some((item, i, all) => (item.t === "odd" || item.t === "lost") && all.slice(i + 1).every((one) => ["filler", "in_"].includes(one.t)));
  }
  /* "Toe eighty-two, angle fifty-one, left fore.": a sentence that names its foot at its end. */
  function closes(items, at, foot) {
    if (items[foot.until + 1] && !isHard(items[foot.until + 1])) return false;
    let from = at;
    while (from > 0 && !isHard(items[from - 1])) from -= 1;
    const part = items.slice(from, foot.at);
    return !part.some((item) => isHard(item) || item.t === "feet" || item.t === "work");
  }
  /* "trimmed them", "a new one on and …": said of feet named before. */
  const backward = (items, at) => /^(them|it)$/.test(items[at + 1]?.words ?? "") || (items[at + 1]?.words === "on" && joined(items[at + 2])) || /\b(it|them|same one|that|this)\b/.test(items[at].words);
  /* "I eased it and reset the fronts", "off fore fifty reset fronts": a pair right behind its shoes, and nothing of its own. */
  function ahead(items, at, foot) {
    const the = items[at + 1]?.words === "the" ? 1 : 0, then = items[foot.until + 1];
    if (foot.item.echo) return foot.at === at + 1 + the && !["number", "work", "detail", "quantity"].includes(then?.t);  // "reset both"
    if (foot.at !== at + 1 + the || unmeasured(items, foot)) return false;
    return the ? foot.feet.length > 1 : foot.feet.length > 1 && !["number", "work", "detail", "quantity"].includes(then?.t);
  }
  /* "7 cm both, hinds not measured", "8.4, didn't do the hinds" */
  const denied = (items, at, foot) => unmeasured(items, foot);
  function unmeasured(items, foot) {
    const at = window.spoken.feet.beyond(items, foot.until), after = items[at], before = items.slice(0, foot.at).findLast((item) => !["filler", "in_", "word"].includes(item.t));
    const then = items[window.spoken.feet.beyond(items, at)];
    if (/^next (time|visit)$/.test(after?.words ?? "") && !["number", "count"].includes(items[at + 1]?.t)) return true;
    if (before?.t === "untouched" && /^left/.test(before.words) && (!after || after.t === "stop")) return true;  // "… and left the fronts"
    if (after?.t === "not" && (!then || then.t === "stop")) return true;
    return after?.t === "untouched" ? /^not |touch|n't/.test(after.words) : before?.t === "not" && (!after || after.t === "stop");
  }
  /* "nothing to do on the hinds, new fronts" */
  function refused(items, foot) {
    const from = items.slice(0, foot.at).findLastIndex((item) => ["stop", "feet", "work", "number"].includes(item.t));
    return items.slice(from + 1, foot.at).some((item) => item.t === "not" && /^(nothing|none|skip|skipped|no need)$/.test(item.words));
  }
  /* "…, hinds next time.", "Hinds not measured.": feet in a piece of their own, of which nothing follows. */
  function aside(items, foot) {
    const end = items.findIndex((item, i) => i > foot.until && item.t === "stop"), start = items.slice(0, foot.at).findLastIndex((item) => item.t === "stop");
    return end > 0 && isHard(items[end]) && unmeasured(items, foot) && !items.slice(start + 1, end).some((item) => KINDS[item.t]);
  }
  /* "51 RF, 50 LF, 54 RH": pieces of a number and its foot, more than one of them. */
  function pieces(items) {
    const cut = [[]];
    for (const item of items) { if (item.t === "stop") cut.push([]); else if (!["filler", "in_", "moment", "quantity"].includes(item.t)) cut.at(-1).push(item); }
    const pairs = cut.filter((piece) => piece.length === 2 && piece[0].t === "number" && piece[1].t === "feet");
    if (pairs.length > 1) return new Set(pairs.map(([number]) => number));
    /* "51 RF 50 LF 54 RH 54 LH": in turns to the end, a number first. */
    const turns = items.filter((item) => (item.t === "number" && !item.dead) || item.t === "feet" || item.t === "quantity");
    const even = turns.length > 5 && turns.length % 2 === 0 && turns.every((item, i) => item.t === (i % 2 ? "feet" : "number"));
    return new Set(even ? turns.filter((item) => item.t === "number") : []);
  }
  const joined = (item) => item?.words === "and" || item?.t === "stop";
  /* An angle by its size alone: "fifty-one in front and fifty-four behind" are no two of the fronts. */
  const bare = (items, at) => items[at].t === "number" && (!items[at].unit || items[at].unit === "deg") && items[at].value >= 38 && items[at].value <= 68 && ![items[at - 1], items[at + 1], items[window.spoken.feet.beyond(items, at)]].some((one) => one?.t === "quantity" || one?.t === "moment");
  /* Every way to cut the consumers of one gap: for each kind, the first so many go back. */
  function cuts(gap, first, last) {
    const kinds = [...new Set(gap.map((one) => one.kind))];
    let made = [{ cost: 0, back: new Set(), cut: {} }];
    for (const kind of kinds) {
      const ones = gap.filter((one) => one.kind === kind);
      const from = last ? ones.length : 0, to = first ? 0 : ones.length;
      made = made.flatMap((cut) => Array.from({ length: to - from + 1 }, (_, step) => {
        const count = from + step;
        const apart = ones[count]?.apart ?? COST.split;
        const cost = ones.reduce((sum, one, i) => sum + (i < count ? one.back : one.forward), 0) + (count > 0 && count < ones.length ? apart : 0);
        return { cost: cut.cost + cost, back: new Set([...cut.back, ...ones.slice(0, count)]), cut: { ...cut.cut, [kind]: count } };
      }));
    }
    const bare = gap.filter((one) => one.bare);
    /* "right fore fifty new shoes all round": the fifty does not go past the shoes. */
    const crossed = (cut) => gap.some((one, i) => !cut.back.has(one) && gap.slice(i + 1).some((later) => cut.back.has(later)));
    return made.map((cut) => ({ ...cut, cost: cut.cost + (crossed(cut) ? COST.crossed : 0), takesBack: cut.back.size > 0, takesForward: cut.back.size < gap.length, again: bare.some((one) => cut.back.has(one)), ahead: bare.some((one) => !cut.back.has(one)) }));
  }

  const lowest = (states) => states.reduce((best, state) => (state.cost < best.cost ? state : best));

  /* One gap further: of each state (was the foot before taken?) the cheapest way. */
  function further(states, i, cuts, feet) {
    const next = [];
    for (const state of states) {
      for (const cut of cuts) {
        const unused = i > 0 && !state.used && !cut.takesBack ? feet[i - 1].needs : 0;
        const again = state.valued && cut.again ? COST.again : 0;
        next.push({ used: cut.takesForward, valued: cut.ahead, cost: state.cost + cut.cost + unused + again, way: [...state.way, cut] });
      }
    }
    return [[true, true], [true, false], [false, false]].map(([used, valued]) => next.filter((state) => state.used === used && state.valued === valued)).filter((some) => some.length).map(lowest);
  }
  /* The cheapest way through the gaps from `i` on, behind the states up to there. */
  function cheapest(states, i, ways, feet) {
    let now = states;
    for (let at = i; at < ways.length; at += 1) now = further(now, at, ways[at], feet);
    return lowest(now);
  }

  function match(items) {
    const feet = items.map((item, at) => ({ item, at, until: item.until ?? at, feet: item.feet })).filter(({ item }) => item.t === "feet").filter((foot, _, all) => !(all.length > 1 && aside(items, foot)));
    if (!feet.length) return items;
    feet.forEach((one, i) => {
      const next = feet[i + 1];
      const context = next && one.feet.length > 1 && next.feet.every((foot) => one.feet.includes(foot));
      one.item.context = Boolean(context);
      one.needs = one.item.echo || context || unmeasured(items, one) ? 0 : items[one.until + 1]?.t === "word" || ailing(items, one.at) ? COST.unused / 2 : COST.unused;
    });
    const paired = pieces(items);
    const costs = (item, at, kind, before, foot) => {
      if (before && kind === "value" && unmeasured(items, before) && between(items, before.until + 1, at).hard) return { back: backCost(items, at, before, kind) + 2 * COST.unused, forward: foot ? forwardCost(items, at, foot, kind) : 0 };
      const cost = { back: before ? backCost(items, at, before, kind) : 0, forward: foot ? forwardCost(items, at, foot, kind) : 0 };
      if (foot && denied(items, at, foot)) cost.forward += COST.unused;
      if (kind === "work" && before && refused(items, before)) cost.back += COST.unused;
      if (kind === "work" && backward(items, at)) cost.forward += COST.split * 2;
      else if (kind === "work" && foot && ahead(items, at, foot)) return { back: cost.back + 2 * COST.split, forward: 0 };
      if (foot && paired.has(item)) return { back: cost.back + COST.unused, forward: 0 };
      return kind === "value" && foot && closes(items, at, foot) ? { back: cost.back + COST.split, forward: Math.min(cost.forward, COST.forward) } : cost;
    };
    const gaps = [...feet, null].map((foot, i) => {
      const before = feet[i - 1] ?? null;
      return items.slice(before ? before.until + 1 : 0, foot ? foot.at : items.length).flatMap((item) => {
        const kind = KINDS[item.t], at = items.indexOf(item);
        if (!kind || (kind === "value" && !before && foot && elsewhere(items, at, foot))) return [];
        return [{ item, kind, apart: cutAt(items, at), bare: bare(items, at), ...costs(item, at, kind, before, foot) }];
      });
    });
    /* "forty-eight and forty-nine, left and right": as many numbers as feet in the list behind them. */
    gaps.forEach((gap, i) => {
      const values = gap.filter((one) => one.kind === "value");
      const count = feet[i]?.item.listed ? feet[i].feet.length : 0;
      if (count && values.length >= count) for (const one of values.slice(-count)) one.forward = 0;
    });
    /* "left at fifty both" */
    feet.forEach((foot, i) => {
      const last = gaps[i].at(-1);
      const after = items[foot.until + 1]?.t;
      if (last && foot.item.echo && last.item === items[foot.at - 1] && (!after || after === "stop" || after === "moment")) last.forward = COST.echoed;
    });
    const ways = gaps.map((gap, i) => cuts(gap, i === 0, i === feet.length));
    const begun = [[{ used: false, valued: false, cost: 0, way: [] }]];
    ways.forEach((cuts, i) => begun.push(further(begun[i], i, cuts, feet)));
    const best = lowest(begun.at(-1));
    gaps.forEach((gap, i) => {
      const cut = best.way[i];
      for (const one of gap) {
        const back = cut.back.has(one), to = back ? feet[i - 1] : feet[i], other = back ? feet[i] : feet[i - 1];
        one.item.of = to.item;
        one.item.ofHard = (back ? between(items, to.until + 1, items.indexOf(one.item)) : between(items, items.indexOf(one.item) + 1, to.at)).hard;
        one.item.ofBehind = !back;
        if (!other || other.feet.join() === to.feet.join()) continue;
        const others = ways[i].filter((way) => way.back.has(one) !== back);
        const second = others.length ? cheapest(further(begun[i], i, others, feet), i + 1, ways, feet) : null;
        one.item.close = Boolean(second) && second.cost - best.cost < COST.near;
      }
    });
    /* "angles forty-nine to fifty-two both" */
    for (const item of items) if (item.t === "number" && item.pairedWith && item.of?.echo) item.pairedWith.of = item.of;
    return items;
  }
  window.spoken.match = { match, KINDS };
})();
