/* What takes a number back or puts it in doubt: hedges, denials, corrections, ranges, and things that are
 * counted beside a horse's feet (counted.js).
 *
 * weigh(items) marks the items: `dead` (said of no measurement made here; it stays text), `shaky` (it can
 * be one, and is asked about), and for a correction the second value stands in the place of the first. */
"use strict";
window.spoken = window.spoken ?? {};
(() => {
  const { LIGHT, beyond } = window.spoken.feet;
  const HARD = ".;!?…";
  const isHard = (item) => item?.t === "stop" && HARD.includes(item.sign);
  const said = (item) => item && ["number", "work"].includes(item.t);
  const COUNTED = new Set(["weeks", "days", "months"]);
  const TARGET = /horse|pony|brother|sister|mother|mate|aim|target|want|goal|hop|plan|last|vet|x|radio|owner|old|liked|should|band|previous|used/;  // holds for a whole list
  const APPROX = /^(about|around|roughly|approximately|approx|nearly|almost|just under|just over|over|under|say)$/;  // of numbers only
  const ITS = /^(it's|it is)$/;  // "owner thinks 49, it's 51"
  const MODAL = /^(would|will|i'll|we'll|if|want|wants)$/;  // "fifty-two would you believe"
  const CLEAR = new Set(["no", "sorry", "correction", "make that", "make it", "i mean", "no wait", "scratch that", "scrap that", "strike that"]);
  const BACK = /^(scrap|scratch|strike|forget|cancel) that$/;

  const REACH = 7;  // house default: words said without a stop, over which a hedge or a "not" holds
  /* "aiming for fifty", "didn't trim": up to a stop, or to words that turn to what is so. */
  function hedges(items) {
    let hedge = null, denied = false, since = 0, denier = 0;
    items.forEach((item, i) => {
      if (i - since > REACH) { hedge = null; denied = false; }
      if (item.t === "feet" && hedge && (APPROX.test(hedge.words) || hedge.words === "between")) hedge = null;  // "two degrees between the fronts, left is fifty"
      if (item.t === "feet" && denied && items[i + 1]?.t === "number" && items.slice(denier + 1, i).some((one) => !LIGHT.has(one.t))) denied = false;  // "couldn't get a reading left fore fifty"
      if (item.t === "feet" && items[i - 1]?.t === "feet") denied = false;  // "no measurements on the hinds fronts fifty"
      if (item.t === "feet" && denied && /^(nothing|none|skip|skipped|no need)$/.test(items[since].words)) denied = false;  // "nothing on behind, …"
      if (item.t === "stop") {
        const open = ",-–—".includes(item.sign) && hedge && TARGET.test(hedge.words);
        if (!open && !"/:".includes(item.sign)) hedge = null;
        else if (open) hedge = { words: hedge.words, weak: true };
        denied = false;
      } else if (item.t === "turn" && !/^(but|though|although|however|today|so|because)$|gauge/.test(item.words) && ["not", "hedge"].includes(items[i - 1]?.t)) {
        since = i;  // "didn't get to fifty", "the vet says it's fifty"
      } else if (item.t === "turn" || (ITS.test(item.words) && (items[i - 1]?.t !== "hedge" || denied || /^(at the )?last/.test(items[i - 1].words))) || item.t === "next" || (item.moment === "after" && !(hedge && TARGET.test(hedge.words) && /^(up|down|back) to$/.test(item.words)))) {
        hedge = null;
        denied = false;
      } else if (item.t === "hedge") { hedge = item; since = i; }
      else if (item.t === "not") { denied = true; since = denier = i; }
      else if (item.t === "work" && hedge && !denied && APPROX.test(hedge.words)) hedge = null;  // "about 20 mil long … and reset"
      else if (item.t === "work" && denied && !hedge && /^(just|only)/.test(item.words)) denied = false;  // "not measured, just trimmed them"
      else if (item.t === "same" && (hedge || denied)) item.dead = true;
      else if (said(item) && hedge?.weak) item.shaky = true;
      else if (said(item) && (hedge || denied)) {
        item.dead = true;
        if (hedge && APPROX.test(hedge.words) && item.t === "number") hedge = null;
      }
      else if (item.t === "hedged" || (item.t === "hedge" && TARGET.test(item.words))) behind(items, i);
      if (item.t === "hedge" && (/last|previous/.test(item.words) || trails(items, i))) behind(items, i, MODAL.test(item.words) ? "shaky" : "dead");
      if (item.words === "ago" && COUNTED.has(items[i - 1]?.t)) ago(items, i);
      if (item.t === "distrust") {
        const number = items.slice(0, i).findLast((one) => one.t === "number" && !one.dead) ?? items.slice(i).find((one) => one.t === "number");
        if (number) number.shaky = true;
      }
      if (item.t === "lost") lost(items, i);
      if (item.t === "next" || item.words === "next time") {
        /* "take the fronts off next visit" */
        let at = i - 1;
        while (items[at] && LIGHT.has(items[at].t)) at -= 1;
        if (items[at]?.t === "work" && /visit|time/.test(item.words)) items[at].dead = true;
      }
      if (item.t === "shade") behind(items, i, "shaky");
    });
  }
  /* "48 six weeks ago", "six weeks ago it was 48" */
  function ago(items, i) {
    behind(items, i - 2);
    const end = items.findIndex((one, at) => at > i && ["stop", "turn", "moment"].includes(one.t));
    for (const one of items.slice(i, end < 0 ? undefined : end)) if (said(one)) one.dead = true;
  }
  /* A shoe that was lost, or off before anybody came, was not taken off. */
  function lost(items, i) {
    const clause = (step) => {
      for (let at = i; items[at] && !["stop", "feet"].includes(items[at].t) && items[at].words !== "so"; at += step) if (items[at].what === "pulled") items[at].dead = true;
    };
    clause(-1);
    clause(1);
  }
  /* "fifty maybe" */
  function trails(items, i) {
    const next = items[beyond(items, i)];
    return items[i - 1]?.t === "number" && !["number", "feet", "quantity"].includes(next?.t);
  }
  function behind(items, i, mark = "dead") {
    for (let at = i - 1; at >= 0 && items[at].t !== "stop" && items[at].t !== "turn"; at -= 1) {
      /* "fifty-one, up one from last time" */
      if (/^(up|down|than|since|better|worse)$/.test(items[at].words)) mark = "shaky";
      if (items[at].t === "number") { items[at][mark] = true; return; }
      if (["feet", "work"].includes(items[at].t) && mark === "shaky") return;
    }
  }

  /* "six to eight weeks", "50 or 51": one of two, so neither. "From 47 to 49": found and left. */
  function ranges(items) {
    items.forEach((item, i) => {
      if (item.t === "from_") {
        const at = beyond(items, i), to = at + 1;
        if (items[at]?.t !== "number") return;
        const end = beyond(items, to - 1, new Set(["filler"]));
        const joined = items.slice(to, end).some((one) => one.words === "to") || /to$/.test(items[to]?.words ?? "");
        const other = items[end]?.t === "number" ? end : /to$/.test(items[end]?.words ?? "") ? beyond(items, end) : -1;
        if (joined && items[other]?.t === "number") {
          Object.assign(items[at], { moment: "before" });
          Object.assign(items[other], { moment: "after", dead: false, pairedWith: items[at] });
          for (const one of items.slice(to, other)) if (one.t === "moment") one.t = "filler";
        } else if (lately(items, i)) Object.assign(items[at], { moment: "before", told: true, shaky: true });
        else items[at].dead = true;
        return;
      }
      const [, between, other] = items.slice(i, i + 3);
      if (item.t !== "number" || item.moment || other?.t !== "number") return;
      if (between.words === "→") {
        Object.assign(item, { moment: "before" });
        Object.assign(other, { moment: "after", pairedWith: item });
        between.t = "filler";
        return;
      }
      const range = ["to", "or"].includes(between.words) || (between.t === "stop" && "-–—".includes(between.sign) && !spaced(between, item, other));
      /* "Left hind 51 to 53" where the line tells before from after elsewhere. */
      if (between.words === "to" && other.value > 14 && items.some((one) => one.t === "moment" && one.moment === "before")) {
        Object.assign(item, { moment: "before", shaky: true });
        Object.assign(other, { moment: "after", shaky: true, pairedWith: item });
        return;
      }
      /* "left fore 50 to 82": no range goes so far; a dictation's "toe". */
      if (between.words === "to" && !item.unit && item.value >= 40 && item.value <= 62 && other.value >= 69 && other.value <= 110) { item.shaky = other.shaky = true; return; }
      if (range) item.dead = true;
      /* "up two degrees to fifty-two": a step and what came of it. */
      if (range && other.value < 2 * item.value) other.dead = true;
    });
  }
  /* "trimmed to fifty-one from forty-eight": what was found. "Fifty-one, up from forty-eight" is of last time. */
  function lately(items, i) {
    const before = items.slice(0, i), number = before.findLastIndex((one) => one.t === "number" && !one.dead);
    if (number >= 0 && items.slice(number, i).some((one) => /^(took|taken|take|brought|rasped|cut)\b/.test(one.words)) && !before.slice(number).some((one) => isHard(one) || ["feet", "quantity", "hedge"].includes(one.t))) return true;  // "83, I took it down from 90"
    return number > 0 && /\bto$/.test(items[number - 1].words) && !/^(up|down)$/.test(items[i - 1].words) && !before.slice(number).some((one) => isHard(one) || ["feet", "quantity", "weeks", "days", "hedge", "foreign", "odd"].includes(one.t));
  }
  const spaced = (stop, item, other) => item.to < stop.from || stop.to < other.from;

  const gone = (item) => Object.assign(item, { t: "gone" });
  const counted = (items, number) => COUNTED.has(items[items.indexOf(number) + 1]?.t);

  /* "fifty, no, fifty-one": the second stands in the place of the first. */
  function corrections(items) {
    items.forEach((item, i) => {
      const dots = item.t === "stop" && (item.sign === "…" || (item.sign === "." && items[i + 1]?.sign === "." && items[i - 1]?.sign !== "."));
      if (item.t !== "fix" && !dots) return;
      if (gones(items, i)) return;
      const at = beyond(items, i, new Set([...LIGHT, "stop", "fix", "swap"]));
      const next = items[at];
      const first = earlier(items, i, next);
      if (/call it$/.test(item.words) && next?.t === "number") next.shaky = true;
      if (!first) return;
      const words = items.slice(i, at).filter((one) => one.t === "fix").map((one) => one.words);
      const clear = words.some((one) => CLEAR.has(one));
      if (twoAgain(items, i, at, first)) return;
      if (next?.t === "number" && first.t === "number" && !next.dead) return swap(items, first, next, at, clear);
      if (next?.t === "work" && first.t === "work") { first.what = next.what; first.shaky = true; next.used = true; return gone(next); }
      if (next?.t === "feet" && !dots && first.t === "number") return otherFoot(items, i, first, next, at);
      if (words.some((one) => BACK.test(one))) first.dead = true;
      else if (next?.t === "quantity" && words.length && first.t === "number") first.shaky = true;
      else if (next?.t === "number" && words.length) first.shaky = true;
    });
  }
  /* "angle fifty, toe eight two, make that fifty-one and eight two": two for the two before. */
  function twoAgain(items, i, at, second) {
    const [third, and, fourth] = items.slice(at, at + 3), close = (one, two) => Math.abs(one.value - two.value) < 0.2 * one.value;
    if (third?.t !== "number" || and?.words !== "and" || fourth?.t !== "number" || second.t !== "number") return false;
    const where = items.indexOf(second), first = items.slice(0, where).findLast((one) => ["number", "feet"].includes(one.t));
    if (first?.t !== "number" || !close(first, third) || !close(second, fourth) || close(first, fourth)) return false;
    for (const [old, now] of [[first, third], [second, fourth]]) { Object.assign(old, { value: now.value, unit: now.unit ?? old.unit, shaky: true, fixed: true }); gone(now).by = old; }
    return true;
  }
  /* "no, scrap that, 49": one correction. */
  const gones = (items, i) => items.slice(0, i).some((one, at) => one.t === "fix" && items.slice(at + 1, i).every((two) => two.t === "fix" || (two.t === "stop" && !isHard(two))));
  /* What is taken back: the last value or work said, with no foot or quantity since. */
  function earlier(items, i, next) {
    for (let at = i - 1; at >= 0; at -= 1) {
      const item = items[at];
      if (item.t === next?.t && said(item) && !item.dead) return item;
      if (item.t === "number" && !item.dead) return item;
      if (item.t === "work" && next?.t !== "number") return item;
      if (next?.t === "number" && item.t === "quantity") return null;
      if (next?.t === "number" && item.t === "feet" && items[beyond(items, at)]?.t !== "stop" && beyond(items, at) < i) return null;
    }
    return null;
  }
  function swap(items, first, next, at, clear) {
    const before = counted(items, first), after = counted(items, next);
    const beside = items[at + 1];
    const ahead = ["feet", "quantity"].includes(beside?.t) && items[beyond(items, at + 1)]?.t === "number" && items[at + 2].words !== "and";  // of the next value
    const alone = !["feet", "quantity"].includes(beside?.t) || beside.echo || ahead || ends(items, first, at);
    const alike = next.value <= 14 === first.value <= 14 || first.value < 20 || next.value < 20;
    if (!alone || (after && !before) || !alike) {
      first.shaky = next.shaky = true;
      return;
    }
    Object.assign(first, { value: next.value, unit: next.unit ?? first.unit, sure: first.sure && next.sure, shaky: first.shaky || !clear || before, fixed: true });
    if (after) Object.assign(items[at + 1], { t: "filler", used: true });
    gone(next).by = first;
  }
  /* "forty-eight, no, forty-nine toe angle near fore": one foot, named at the end. "54 left hind, no, 55 left hind" */
  function ends(items, first, at) {
    const start = items.slice(0, items.indexOf(first)).findLastIndex(isHard) + 1, end = items.findIndex((one, i) => i > at && one.t === "stop");
    const behind = items.slice(at + 1, end < 0 ? undefined : end), said = items.slice(items.indexOf(first) + 1, at).filter((one) => one.t === "feet");
    const foot = behind.filter((one) => one.t === "feet");
    /* "near hind 53, no, 54 toe angle" */
    if (!foot.length && behind.length && behind.every((one) => ["quantity", "filler"].includes(one.t)) && behind.at(-1) === items.at(-1)) return !items.slice(start, at).some((one) => one.t === "quantity");
    if (foot.length !== 1 || !behind.every((one) => ["feet", "quantity", "filler", "in_"].includes(one.t))) return false;
    if (said.length) return said.length === 1 && said[0].feet.join() === foot[0].feet.join();
    return !items.slice(start, at).some((one) => one.t === "feet");
  }
  function otherFoot(items, i, first, next, at) {
    const old = items.slice(0, i).findLast((item) => item.t === "feet");
    const follows = items[beyond(items, at)];
    first.shaky = true;
    /* "left hind eighty, no, that's wrong, left hind fifty-eight" */
    const again = old && old.feet.join() === next.feet.join() && items.indexOf(old) === items.indexOf(first) - 1 && follows?.t === "number" && items.slice(i, at).some((one) => CLEAR.has(one.words) || one.words === "that's wrong");
    if (again) { follows.shaky = true; gone(first).by = follows; return; }
    if (!old || follows?.t === "number" || follows?.t === "quantity" || items.indexOf(old) === -1) return;
    if (old.feet.length !== next.feet.length) return;
    Object.assign(old, { feet: next.feet });
    Object.assign(next, { t: "filler", used: true });
  }

  /* "Forty-five. Forty-five.": said again, so that it is written down. */
  function repeats(items) {
    items.forEach((item, i) => {
      if (item.t !== "number" || item.dead) return;
      const at = beyond(items, i, new Set(["stop", "gone", "fix"])), next = items[at];
      const alone = items[at + 1] === undefined || items[at + 1].t === "stop" || item.fixed;
      if (next?.t === "number" && next.value === item.value && (isHard(items[i + 1]) || item.fixed) && alone) { next.by = item; gone(next); }
    });
  }

  /* "fifty now, was forty-eight": a number behind another, said to have been. */
  function past(items) {
    items.forEach((item, i) => {
      if (item.t !== "number" || !/^(was|were)$/.test(items[i - 1]?.words ?? "") || items[i - 2]?.t !== "stop") return;
      const before = items.slice(0, i).findLast((one) => !["stop", "moment", "filler", "in_", "feet"].includes(one.t));
      if (before?.t !== "number") return;
      /* "51 after the trim, was 48": found, where the trim was spoken of. */
      if (items.slice(0, i).some((one) => one.t === "moment" && /trim|finish|^after/.test(one.words))) {
        for (const one of items.slice(i)) { if (isHard(one) || one.t === "moment") break; if (one.t === "number") Object.assign(one, { moment: "before", told: true, shaky: true }); }
      } else item.dead = true;
    });
  }

  function weigh(items) {
    window.spoken.counted.weigh(items);
    hedges(items);
    past(items);
    ranges(items);
    corrections(items);
    repeats(items);
    return items;
  }
  window.spoken.doubt = { weigh, isHard };
})();
