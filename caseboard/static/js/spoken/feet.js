/* Which feet the words name: a side alone takes the pair spoken of, "both" takes the two before, feet in a
 * row are one set.
 *
 * resolve(items) leaves every item that names feet as { t: "feet", feet, until }, `until` the last item of
 * its set; `guess` where the words allow another reading. */
"use strict";
window.spoken = window.spoken ?? {};
(() => {
  const ALL = ["LF", "RF", "LH", "RH"];
  const LIGHT = new Set(["filler", "in_"]);
  const GROUND = new Set(["in front", "up front", "behind", "at the front", "at the back", "out front", "out back"]);
  const gone = (item) => Object.assign(item, { t: "filler", used: true });
  const pairOf = (feet) => (feet.every((foot) => foot[1] === feet[0][1]) ? feet[0][1] : null);
  const both = (pair) => [`L${pair}`, `R${pair}`];

  /* The next item that says something, over light words only; with `over`, over more kinds. */
  function beyond(items, i, over = LIGHT) {
    let at = i + 1;
    while (items[at] && over.has(items[at].t)) at += 1;
    return at;
  }

  /* "hinds not done", "hinds next time", "didn't do the hinds" */
  function leftOut(items, i) {
    const after = items[beyond(items, i)];
    const stop = (item) => !item || item.t === "stop";
    if (["not", "untouched"].includes(after?.t) || (/^next (time|visit)$/.test(after?.words ?? "") && !["number", "count"].includes(items[beyond(items, items.indexOf(after))]?.t))) return true;
    const before = items.slice(0, i).findLast((item) => !LIGHT.has(item.t));
    return before?.t === "not" && stop(after);
  }

  class Feet {
    constructor(items) {
      this.items = items;
      this.pair = null;      // of the feet last named
      this.side = null;      // "left pair: front …, hind …"
      this.named = [];       // sets of feet in the order they were said
    }

    take(item, feet, guess = false) {
      Object.assign(item, { t: "feet", feet, guess });
      this.pair = pairOf(feet) ?? null;
      this.named.push(feet);
    }

    resolve() {
      this.items.forEach((item, i) => this[`on_${item.t}`]?.(item, i));
      this.complement();
      this.merge();
      return this.items;
    }

    on_feet(item, i) {
      this.side = null;
      /* "lefts are 50 front and 54 hind, rights …" */
      if (/^(the )?(lefts|rights)$/.test(item.words) && this.heads(i)) { [[this.side]] = item.feet; return gone(item); }
      return this.take(item, item.feet);
    }
    on_pair(item) {
      const last = this.named.at(-1), follows = this.items[beyond(this.items, this.items.indexOf(item))];
      if (this.side) this.take(item, [this.side + item.pair]);
      /* "near side: fore fifty, hind fifty-four" */
      else if (last?.length === 1 && follows?.t === "number") this.take(item, [last[0][0] + item.pair], true);
      else this.take(item, both(item.pair), true);  // "fore 51": a word for the side may be missing
    }

    /* "Left: 50 front, 54 hind.": a side that both of its feet follow. */
    heads(i) {
      const end = this.items.findIndex((one, at) => at > i && (one.t === "side" || one.t === "feet" || (one.t === "stop" && ".;!?".includes(one.sign))));
      const part = this.items.slice(i + 1, end < 0 ? undefined : end).filter((one) => ["pair", "number"].includes(one.t));
      return part.length === 4 && part.every((one, at) => (one.t === "pair") === (at % 2 === 1)) && part[1].pair !== part[3].pair;
    }

    on_side(item, i) {
      if (this.heads(i)) { this.side = item.side; return gone(item); }
      const at = beyond(this.items, i), next = this.items[at];
      /* "the right side, front and back" */
      if (next?.t === "feet" && next.feet.length === 4 && / and /.test(next.words)) { gone(next); return this.take(item, [`${item.side}F`, `${item.side}H`]); }
      if (next?.t === "feet" && next.feet.length === 1) {
        const foot = item.side + next.feet[0][1];
        return foot === next.feet[0] ? gone(item) : this.take(item, [foot]);
      }
      if (next?.t === "side" && next.side === item.side) return gone(item);
      const pair = next?.t === "pair" ? next.pair : next?.t === "feet" ? pairOf(next.feet) : null;
      const listed = ["number", "quantity", "moment"].includes(this.items[beyond(this.items, at)]?.t);
      if (pair && (next.t === "feet" ? GROUND.has(next.words) || !(listed || this.pair) : false)) {
        gone(next);
        return this.take(item, [item.side + pair]);
      }
      const ground = this.ground(i);
      if (ground) {
        item.ground = ground;
        this.take(item, [item.side + pairOf(ground.feet)]);
        if (!this.items.slice(i + 1, this.items.indexOf(ground)).some((one) => one.t === "side")) gone(ground);
        return;
      }
      if (next?.t === "pair") { this.side = item.side; return gone(item); }
      if (this.pair) return this.inherit(item, i);
      const ahead = this.ahead(i);
      if (ahead) return this.take(item, [item.side + ahead], !GROUND.has(this.aheadWords));
      const two = [this.items[at], this.items[at + 1]?.words === "and" && this.items[at + 2]];  // "near side 51 and 54"
      if (next?.t === "each" || next?.t === "work" || (/side$/.test(item.words) && two.every((one) => one?.t === "number"))) {
        if (next.t === "each") gone(next);
        return this.take(item, [`${item.side}F`, `${item.side}H`], true);
      }
      item.t = "word";
    }
    /* "Reset the fronts, trimmed the hinds. 50 near, 51 off.": of the pair named last, and no sure one where both
     * were, but none in this sentence. Not of a pair that was left out: "hinds not done". */
    inherit(item, i) {
      const start = this.items.slice(0, i).findLastIndex((one) => one.t === "stop" && ".;!?…".includes(one.sign));
      const here = this.items.slice(start + 1, i).some((one) => one.t === "feet" || one.t === "pair");
      const last = this.items.slice(start + 1, i).findLast((one) => one.t === "feet");
      const from = this.items.slice(0, i).findLastIndex((one) => one.t === "feet" || one.t === "pair"), since = this.items.slice(from + 1, i);
      const apart = !here || (last?.feet.length > 1 && since.some((one) => one.t === "stop") && since.some((one) => one.t === "quantity"));  // "…, trimmed the hinds, toe angles 50 near"
      const both = (new Set(this.named.map(pairOf)).size > 1 && apart) || (last?.guess && pairOf(last.feet) === this.pair);
      const out = this.items.findIndex((one, at) => ["feet", "pair"].includes(one.t) && (one.pair ?? pairOf(one.feet)) === this.pair && leftOut(this.items, at));
      const pair = out >= 0 && (both || this.items[out].t === "feet") && !here ? (this.pair === "F" ? "H" : "F") : this.pair;
      this.take(item, [item.side + pair], both || pair !== this.pair);
    }
    /* "left 50, right 51 in front": what says front or hind behind the sides of its own piece. */
    ground(i) {
      for (let at = i + 1; this.items[at]; at += 1) {
        const item = this.items[at];
        if (item.t === "stop" && item.sign !== "/") return null;
        if (item.t === "feet" && GROUND.has(item.words)) {
          /* "the left heel in front was 40": no number stands between the side and its ground. */
          const near = !this.items.slice(i + 1, at).some((one) => one.t === "number");
          /* "in front left 51 right 51 and behind left 53 …": each stands before its sides. */
          const start = this.items.slice(0, i).findLastIndex((one) => one.t === "stop") + 1, then = this.items[beyond(this.items, at)];
          if (!near && then?.t === "side" && this.items.slice(start, i).some((one) => one.t === "feet" && GROUND.has(one.words))) return null;
          return !near && this.items[beyond(this.items, at)]?.t === "number" ? null : item;
        }
        if (item.t === "feet" || item.t === "pair") return null;
      }
      return null;
    }
    /* The pair named later in the sentence. */
    ahead(i) {
      for (const next of this.items.slice(i + 1)) {
        if (next.t === "stop" && ".;!?".includes(next.sign)) break;
        const pair = next.t === "pair" ? next.pair : next.t === "feet" ? pairOf(next.feet) : null;
        if (pair) { this.aheadWords = next.words; return pair; }
      }
      return null;
    }

    on_each(item) {
      const last = this.named.at(-1);
      item.each = true;
      const joined = this.items.slice(0, this.items.indexOf(item)).slice(-3);
      /* "LH + RH both 78" */
      const pair = last?.length === 1 && joined.length === 3 && joined[0].t === "feet" && joined[2].t === "feet" && (joined[1].words === "and" || "+&".includes(joined[1].sign ?? "x"));
      if (!last || pair) { item.t = "filler"; return; }
      if (last.length > 1) { this.echo(item, last); return; }
      const other = this.named.findLast((feet) => feet.length === 1 && feet[0] !== last[0]);
      if (other && other[0][1] === last[0][1]) this.echo(item, [other[0], last[0]]);
      else item.t = "filler";
    }
    /* "fronts 50, hinds 54, toes all 8": of every foot named. */
    on_filler(item, i) {
      const feet = [...new Set(this.named.flat())];
      if (item.words === "all" && this.items[i - 1]?.t === "quantity" && this.items[i + 1]?.t === "number" && feet.length > 1) Object.assign(item, { t: "feet", feet, echo: true, guess: true });
    }
    echo(item, feet) { item.source = this.items.findLast((one) => one.t === "feet" && one.feet === feet); Object.assign(item, { t: "feet", feet, echo: true }); }

    /* "heel on the same foot": the one foot named last. */
    on_thatfoot(item) {
      const last = this.named.at(-1);
      if (last?.length === 1) this.echo(item, last);
      else item.t = "filler";
    }

    on_other(item, i) {
      const next = this.items[beyond(this.items, i)];
      const pair = next?.t === "pair" ? next.pair : null;
      if (pair) gone(next);
      const last = this.named.findLast((feet) => !pair || (feet.length === 1 && feet[0][1] === pair));
      if (last?.length === 1) this.take(item, [(last[0][0] === "L" ? "R" : "L") + last[0][1]], true);
      else item.t = "word";
    }
    on_otherthree(item) {
      const last = this.named.at(-1);
      if (last) this.take(item, ALL.filter((foot) => !last.includes(foot)), true);
      else item.t = "word";
    }

    /* "everything but the near hind" */
    complement() {
      this.items.forEach((item, i) => {
        if (item.t !== "butfor") return;
        const next = this.items[beyond(this.items, i)];
        if (next?.t !== "feet") { item.t = "word"; return; }
        const feet = next.feet;
        gone(item);
        Object.assign(next, { feet: ALL.filter((foot) => !feet.includes(foot)), guess: true });
        /* "… reset, that one was trimmed" */
        const that = this.items.slice(i).find((one) => one.t === "that");
        if (that) Object.assign(that, { t: "feet", feet, guess: true });
      });
      for (const item of this.items) if (item.t === "that") item.t = "filler";
      this.exceptions();
    }

    /* "all four at 52 bar the off fore, which is 54" */
    exceptions() {
      this.items.forEach((item, i) => {
        if (item.t !== "except") return;
        const next = this.items[beyond(this.items, i)];
        const whole = next?.t === "feet" && this.items.slice(0, i).findLast((one) => one.t === "feet");
        if (!whole || whole.feet.length <= next.feet.length || !next.feet.every((foot) => whole.feet.includes(foot))) return;
        whole.feet = whole.feet.filter((foot) => !next.feet.includes(foot));
        whole.guess = true;
      });
      for (const item of this.items) if (item.t === "except") item.t = "turn";
    }

    /* "left fore and right fore", "LH RH", "going left fore, right fore, left hind, right hind" */
    merge() {
      for (let i = 0; i < this.items.length; i += 1) {
        const item = this.items[i];
        if (item.t !== "feet") continue;
        item.until ??= i;
        const chain = this.chain(i);
        if (!chain.length) continue;
        item.feet = [...item.feet, ...chain.flatMap((at) => this.items[at].feet)];
        item.until = chain.at(-1);
        item.listed = true;
        for (const at of chain) gone(this.items[at]);
      }
    }
    chain(i) {
      const found = [];
      let feet = this.items[i].feet, commas = 0;
      for (let at = i; ;) {
        const next = beyond(this.items, at, new Set([...LIGHT, "stop"]));
        const between = this.items.slice(at + 1, next), item = this.items[next];
        const stops = between.filter((one) => one.t === "stop");
        const joined = stops.every((one) => ",/&+".includes(one.sign)) && stops.length < 2;
        const and = between.some((one) => one.words === "and") || stops.some((one) => "&/+".includes(one.sign));
        if (item?.t !== "feet" || item.echo || !joined || item.feet.some((foot) => feet.includes(foot))) break;
        const groups = item.feet.length > 1 || this.items[i].feet.length > 1;
        const before = this.kind(i - 1, -1), after = this.kind(next + 1, 1);
        /* "fifty on the left and the right fore fifty-one" */
        if ((groups && !and) || (before && before === after && between.length && !(before === "work" && this.begun(i)))) break;
        if (stops.some((one) => one.sign === ",")) commas += 1;
        if (!between.length && after === "number") this.items[i].guess = true;  // "nothing on the near fore off fore fifty-one"
        feet = [...feet, ...item.feet];
        found.push(next);
        at = next;
      }
      /* With commas between, only a whole list: "reset the left fore, right fore bare" is none. */
      const trailing = this.kind(i - 1, -1) === "work" && /^[.;!?]?$/.test(this.items[found[0] + 1]?.sign ?? (this.items[found[0] + 1] ? "x" : ""));  // "trim LH, RH."
      return commas && found.length < 2 && !trailing ? [] : found;
    }
    /* Whether its sentence named a foot already: then feet come first in it. */
    begun(i) {
      for (let at = i - 1; at >= 0 && !".;!?".includes(this.items[at].sign ?? "x"); at -= 1) if (this.items[at].t === "feet") return true;
      return false;
    }
    /* What stands beside a foot: a number or a shoe. */
    kind(i, step) {
      let at = i;
      while (this.items[at] && (LIGHT.has(this.items[at].t) || this.items[at].t === "each")) at += step;
      const kind = this.items[at]?.t;
      return kind === "number" || kind === "work" ? kind : null;
    }
  }
  window.spoken.feet = { resolve: (items) => new Feet(items).resolve(), beyond, LIGHT, GROUND, leftOut };
})();
