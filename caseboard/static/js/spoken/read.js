/* Reads one line about a visit: "left fore fifty and a half, toe eight two, reset fronts, next seven weeks".
 *
 * read(line, { lengthUnit, last }) -> { chips, rest }
 *   lengthUnit  "mm", "cm" or "in": how the person writes lengths
 *   last        { "LF toe_angle": 50, … } in degrees and mm, where known: tells an angle from a length
 *   chips       what was understood, each with `sure`: false where the words allow another reading
 *     { kind: "value", foot, moment, quantity, value, sure }   in degrees or mm
 *     { kind: "work", foot, what, sure }                       reset, new, pulled, barefoot, trimmed
 *     { kind: "detail", foot, name, value, sure }              size, nails, kind, material, clips, studs, pad
 *     { kind: "next", weeks | days | day and month, sure }
 *     values said as a list ("hinds 54 and 53") carry the same `list`: they are right or wrong together
 *   rest        the pieces of the line that hold anything not understood, as they were written
 *
 * What is not surely a value stays text: a number with "about", "last time" or "aim" beside it, one behind
 * words the trade does not use, one that fits nothing. Nothing here reads the clock or the page. */
"use strict";
window.spoken = window.spoken ?? {};
(() => {
  /* Plausible and possible ranges as in the forms: measurements/hoof/quantities.py. */
  const RANGES = {
    toe_angle: [38, 68, 20, 100], heel_angle: [25, 68, 5, 100], pastern_angle: [35, 70, 15, 100],
    toe_length: [45, 125, 20, 250], heel_length_medial: [12, 75, 3, 150], heel_length_lateral: [12, 75, 3, 150],
    frog_width: [20, 95, 5, 200], frog_length: [45, 160, 15, 300], hoof_width: [65, 200, 25, 350], hoof_length: [65, 210, 25, 350],
    coronary_circumference: [200, 520, 100, 800],
  };
  const MM = { mm: 1, cm: 10, in: 25.4 };
  const LOOSE = new Set(["filler", "in_", "ago"]);
  const isAngle = (quantity) => quantity.endsWith("_angle");
  const within = (quantity, value) => value >= RANGES[quantity][0] && value <= RANGES[quantity][1];
  const round = (value) => Math.round(value * 100) / 100;

  /* The value in the quantity's base unit, where the number can be one; null where it cannot. */
  function fitted(quantity, { value, unit }, lengthUnit) {
    if (isAngle(quantity)) return (!unit || unit === "deg") && within(quantity, value) ? value : null;
    if (unit === "deg") return null;
    if (unit) return within(quantity, value * MM[unit]) ? round(value * MM[unit]) : null;
    const units = lengthUnit === "in" ? ["in", "mm", "cm"] : ["mm", "cm"];
    const fits = units.filter((one) => within(quantity, value * MM[one]));
    return fits.length ? round(value * MM[fits[0]]) : null;
  }

  class Reader {
    constructor(line, { lengthUnit = "cm", last = {} }) {
      this.line = line;
      this.lengthUnit = lengthUnit;
      this.last = last;
      this.items = window.spoken.lex.items(line);
      this.chips = [];
      this.feet = [];
      this.pair = null;
      this.quantity = null;     // as last named
      this.sticky = false;      // named before any foot: it holds for all feet that follow
      this.moment = "after";
      this.order = [];          // the quantities of the foot before, in their order
      this.anchored = false;
      this.workFeet = [];
    }

    read() {
      for (this.at = 0; this.at < this.items.length;) {
        if (this.at === 0 || this.items[this.at - 1].t === "stop") this.piece();
        const item = this.items[this.at];
        const done = this[`take_${item.t}`]?.(item) ?? 1;
        this.at += done;
      }
      return { chips: this.chips.map(({ from, ...chip }) => chip), rest: this.rest() };
    }

    /* What holds for the words up to the next stop. */
    piece() {
      const end = this.items.findIndex((item, i) => i >= this.at && item.t === "stop");
      this.end = end < 0 ? this.items.length : end;
      const inside = this.items.slice(this.at, this.end);
      const order = (t) => inside.filter((item) => item.t === t || item.t === "number").map((item) => item.t);
      const trails = (types) => types.length > 1 && types[0] === "number" && types.at(-1) !== "number" && types.length % 2 === 0 && types.every((t, i) => (t === "number") === (i % 2 === 0));
      this.quantityTrails = trails(order("quantity"));
      this.momentTrails = trails(order("moment"));
      this.denied = inside.some((item) => item.t === "not");
      this.hedged = false;
      if (this.broken) { this.anchored = false; this.quantity = this.sticky ? this.quantity : null; }
      this.broken = false;
      this.hadFoot = false;
    }

    take_word() { this.broken = true; this.fixing = false; }
    take_hedge(item) {
      this.hedged = true;
      const before = this.items[this.at - 1];
      if (before?.t === "number" && before.chips) this.drop(before);
      item.open = true;
    }
    take_not() { this.broken = true; }
    take_fix() { this.fixing = true; }

    drop(number) {
      this.chips = this.chips.filter((chip) => !number.chips.includes(chip));
      number.chips = null;
    }

    take_feet(item) {
      if (this.fixing) { this.doubt(); this.fixing = false; }
      /* In the middle of words about a shoe the feet belong to the shoe. */
      if (this.quantity && !this.sticky) { this.order = this.named ?? []; this.quantity = null; }
      if (this.seen) this.order = this.seen;
      this.seen = [];
      this.feet = item.feet;
      this.pair = item.feet.length === 4 ? null : item.feet[0][1];
      this.anchored = true;
      this.hedged = false;
      this.broken = false;
      this.hadFoot = true;
      this.feetItem = item;
    }
    take_side(item) {
      if (!this.pair) { this.broken = true; return; }
      if (this.feetItem) this.feetItem.used = true;
      this.take_feet(Object.assign(item, { feet: [item.side + this.pair] }));
    }
    take_ditto() { this.broken = true; }
    take_moment(item) {
      if (!this.momentTrails) this.moment = item.moment;
      item.used = true;
    }
    take_quantity(item) {
      if (this.quantityTrails) return;
      this.quantity = item.key;
      this.quantityItem = item;
      this.sticky = !this.hadFoot && !this.feet.length ? true : this.sticky && !this.hadFoot;
      if (!this.hadFoot && this.nextIsFoot()) this.sticky = true;
      this.broken = false;
      this.anchored = this.anchored || this.sticky;
      if (this.feet.length) this.anchored = true;
    }
    nextIsFoot() {
      const next = this.items.slice(this.at + 1).find((one) => !LOOSE.has(one.t) && one.t !== "stop" && one.t !== "moment");
      return ["feet", "side"].includes(next?.t);
    }

    doubt() {
      const last = this.chips.findLast((chip) => chip.kind === "value");
      if (last) last.sure = false;
    }

    ahead(i, ...types) {
      for (let j = i + 1; j < this.items.length; j += 1) if (!types.includes(this.items[j].t)) return this.items[j];
      return null;
    }

    take_number(item) {
      const next = this.items[this.at + 1];
      if (this.time(item)) return this.timeTaken;
      if (next?.t === "nails") { this.detail(item, "nails", String(item.value)); next.used = true; return 2; }
      if (next?.t === "ago") { this.broken = true; return 1; }
      const trailing = this.quantityTrails ? this.ahead(this.at, ...LOOSE, "moment") : null;
      const quantity = trailing?.t === "quantity" ? trailing.key : this.quantity;
      const moment = this.momentTrails ? this.ahead(this.at, ...LOOSE, "quantity")?.moment ?? this.moment : this.moment;
      if (this.denied || this.hedged || this.broken || !this.anchored) { this.broken = true; return 1; }
      if (this.fixing) return this.replace(item);
      const range = this.range();
      if (range) { this.broken = true; return range; }
      const run = this.numbersHere();
      const feet = this.feetOf(run);
      if (!feet.length) { this.broken = true; return 1; }
      if (feet.length > 1 && run.length === feet.length && this.spread(run, feet, quantity, moment)) return run.at(-1).place - this.at + 1;
      const chips = feet.map((foot) => this.value(foot, moment, quantity, item));
      if (chips.some((chip) => !chip)) {
        if (run.length < 2 && this.follows()) this.doubt();  // a number too many: which of them is meant?
        this.broken = true;
        return 1;
      }
      this.put(item, chips);
      if (trailing?.t === "quantity") trailing.used = true;
      else if (this.quantityItem && this.quantity) this.quantityItem.used = true;
      /* "toe" covers its angle and then its length; another name covers one number. */
      if (!this.sticky) this.quantity = null;
      return 1;
    }

    put(item, chips) {
      item.chips = chips;
      item.used = true;
      if (this.feetItem) this.feetItem.used = true;
      this.seen = [...this.seen ?? [], chips[0].quantity];
      this.chips.push(...chips);
    }

    follows() {
      let i = this.at - 1;
      while (i >= 0 && (LOOSE.has(this.items[i].t) || this.items[i].t === "stop")) i -= 1;
      return Boolean(this.items[i]?.chips);
    }

    /* "six to eight weeks", "50 or 51", "50 - 51": one of two, so neither. */
    range() {
      const [, between, other] = this.items.slice(this.at, this.at + 3);
      const is = between?.words === "to" || between?.words === "or" || (between?.t === "stop" && ["-", "–", "—"].includes(between.sign));
      return is && other?.t === "number" ? 3 : 0;
    }

    /* A list behind a name in the plural ("lengths 84 83 79 80") is of the whole pair, or of all four. */
    feetOf(run) {
      if (!this.quantity || run.length <= this.feet.length) return this.feet;
      const listed = /s$/.test(this.quantityItem?.words ?? "");
      if (run.length === 4) return ["LF", "RF", "LH", "RH"];
      if (listed && run.length === 2 && this.pair) return [`L${this.pair}`, `R${this.pair}`];
      return this.feet;
    }

    /* The numbers of a list: "50 and 51", "84, 83, 79, 80". */
    numbersHere() {
      const found = [];
      for (let i = this.at; i < this.items.length; i += 1) {
        const item = this.items[i];
        if (item.t === "number") {
          if (["weeks", "days", "months", "nails", "ago"].includes(this.items[i + 1]?.t)) break;
          found.push(Object.assign(item, { place: i }));
        } else if (!(LOOSE.has(item.t) || (item.t === "stop" && item.sign !== "."))) break;
      }
      return found;
    }

    /* One number for each foot, left before right and fronts before hinds: usual, and never sure. */
    spread(run, feet, quantity, moment) {
      const chips = run.map((item, i) => this.value(feet[i], moment, quantity, item));
      const same = chips.every((chip) => chip && chip.quantity === chips[0].quantity);
      if (!same) return false;
      chips.forEach((chip, i) => { Object.assign(chip, { sure: false, list: this.at }); this.put(run[i], [chip]); });
      if (this.quantityItem) this.quantityItem.used = true;
      return true;
    }

    has(foot, moment, quantity) {
      return this.chips.some((chip) => chip.kind === "value" && chip.foot === foot && chip.moment === moment && chip.quantity === quantity);
    }

    value(foot, moment, named, item) {
      const found = this.which(foot, moment, named, item);
      if (!found || this.has(foot, moment, found.quantity)) return null;
      return { kind: "value", foot, moment, ...found, sure: item.sure && found.sure };
    }

    /* Which quantity the number is of, by its name, its unit, its size and what was said already. */
    which(foot, moment, named, item) {
      const fits = (quantity) => { const value = fitted(quantity, item, this.lengthUnit); return value === null ? null : { quantity, value, sure: true }; };
      const free = (quantity) => !this.has(foot, moment, quantity);
      const expected = this.order[(this.seen ?? []).length];
      switch (named) {
        case "angle": return fits("toe_angle");
        case "length": return fits("toe_length");
        case "heel": return fits("heel_angle");
        case "heel_height": case "frog": return null;
        case "toe": case null: {
          if (named === null && expected && this.order.length > 1 && free(expected)) {
            const found = fits(expected);
            if (found) return { ...found, sure: expected === "toe_angle" || !fits("toe_angle") || !free("toe_angle") };
          }
          const angle = free("toe_angle") ? fits("toe_angle") : null, length = free("toe_length") ? fits("toe_length") : null;
          if (angle && length && named === "toe" && !item.unit) return this.nearer(foot, angle, length);
          if (angle) return angle;
          /* "fifty, forty-six": the second may as well be the heel. */
          if (length && named === null && !item.unit && fits("heel_angle") && item.value > 12.5) return { ...length, sure: false };
          return length;
        }
        default: return fits(named);
      }
    }

    /* "toe sixty": an upright angle or a short toe. The last values of this foot tell, else it is not sure. */
    nearer(foot, angle, length) {
      const was = (one) => this.last[`${foot} ${one.quantity}`];
      if (was(angle) === undefined || was(length) === undefined) return { ...angle, sure: angle.value <= 58 };
      const far = (one) => Math.abs(one.value - was(one)) / was(one);
      return far(angle) <= far(length) ? angle : length;
    }

    /* "fifty, no, fifty one" */
    replace(item) {
      this.fixing = false;
      const last = this.chips.findLast((chip) => chip.kind === "value");
      const value = last && fitted(last.quantity, item, this.lengthUnit);
      if (value === null || value === undefined) { this.doubt(); this.broken = true; return 1; }
      for (const chip of this.chips.filter((one) => one.kind === "value" && one.moment === last.moment && one.quantity === last.quantity && this.feet.includes(one.foot))) chip.value = value;
      item.used = true;
      return 1;
    }

    take_same(item) {
      /* "right fore the same": measured, and as last time. Only where there is a last time. */
      const next = this.items[this.at + 1];
      if (this.denied || !this.anchored || this.broken || (next && next.t !== "stop")) { this.broken = true; return; }
      const quantity = this.quantity && RANGES[this.quantity] ? this.quantity : "toe_angle";
      const found = this.feet.filter((foot) => this.last[`${foot} ${quantity}`] !== undefined && !this.has(foot, this.moment, quantity));
      if (!found.length || found.length !== this.feet.length) { this.broken = true; return; }
      this.put(item, found.map((foot) => ({ kind: "value", foot, moment: this.moment, quantity, value: this.last[`${foot} ${quantity}`], sure: false, same: true })));
    }

    /* The feet that words about shoes belong to: those behind them, else those before them. */
    feetFor(i) {
      for (let j = i + 1; j < this.items.length; j += 1) {
        const item = this.items[j];
        if (item.t === "feet" || (item.t === "side" && this.pair)) {
          const after = this.ahead(j, ...LOOSE);
          if (["number", "quantity", "moment"].includes(after?.t)) break;
          if (after?.t === "work" && this.workBefore(i)) break;
          item.used = true;
          return item.feet ?? [item.side + this.pair];
        }
        if (!(LOOSE.has(item.t) || item.t === "work" || item.t === "detail")) break;
      }
      if (this.feetItem && this.feet.length) this.feetItem.used = true;
      return this.feet;
    }
    /* Whether feet stand before these words in their own piece: "fronts reset hinds bare". */
    workBefore(i) {
      for (let j = i - 1; j >= 0 && this.items[j].t !== "stop"; j -= 1) {
        if (this.items[j].t === "feet") return true;
        if (this.items[j].t === "work") return false;
      }
      return false;
    }

    take_work(item) {
      if (this.denied || this.hedged) { this.broken = true; return; }
      const feet = this.feetFor(this.at);
      if (!feet.length) { this.broken = true; return; }
      item.used = true;
      this.workFeet = feet;
      for (const foot of feet) {
        const other = this.chips.find((chip) => chip.kind === "work" && chip.foot === foot && chip.what !== item.what && chip.what !== "trimmed" && item.what !== "trimmed");
        const goes = !other || (other.what === "pulled" && item.what === "barefoot");
        if (other && !goes) other.sure = false;
        if (!this.chips.some((chip) => chip.kind === "work" && chip.foot === foot && chip.what === item.what)) this.chips.push({ kind: "work", foot, what: item.what, sure: goes });
      }
      this.quantity = this.sticky ? this.quantity : null;
    }

    take_detail(item) { this.detail(item, item.name, item.value); }
    detail(item, name, value) {
      const feet = this.denied || this.hedged || this.broken ? [] : this.workFeet.length ? this.workFeet : this.feetFor(this.at);
      if (!feet.length || (name === "nails" && !(value >= 4 && value <= 10) && value !== "0")) { this.broken = true; return; }
      item.used = true;
      for (const foot of feet) this.chips.push({ kind: "detail", foot, name, value, sure: true });
    }
    take_size(item) {
      const number = this.items[this.at + 1];
      if (number?.t !== "number") { this.broken = true; return 1; }
      this.detail(item, "size", String(number.value));
      number.used = item.used;
      return 2;
    }

    take_next(item) {
      item.used = true;
      this.awaits = true;
      const day = window.spoken.days.read(this.line, this.items, this.at + 1);
      if (!day) return this.bareWeeks();
      this.chips.push({ kind: "next", day: day.day, month: day.month, sure: true });
      for (let i = this.at; i < day.next; i += 1) this.items[i].used = true;
      return day.next - this.at;
    }

    /* "next seven": weeks, one would think. */
    bareWeeks() {
      const number = this.items[this.at + 1], after = this.items[this.at + 2];
      const plain = number?.t === "number" && Number.isInteger(number.value) && number.value >= 2 && number.value <= 16;
      if (!plain || (after && after.t !== "stop") || this.denied || this.hedged) return 1;
      number.used = true;
      this.chips.push({ kind: "next", weeks: number.value, sure: false });
      return 2;
    }

    /* "seven weeks", "40 days", "a fortnight": when to come again. */
    time(item) {
      const unit = this.items[this.at + 1];
      if (!["weeks", "days", "months"].includes(unit?.t)) return false;
      const before = this.items[this.at - 1], beforeThat = this.items[this.at - 2];
      const after = this.items[this.at + 2];
      const range = beforeThat?.t === "number" && before?.t !== "stop";
      const plain = !range && !this.hedged && !this.denied && !this.broken && !["ago", "hedge", "word"].includes(after?.t) && unit.t !== "months" && Number.isInteger(item.value) && item.sure;
      const most = unit.t === "weeks" ? 26 : 182;
      this.timeTaken = 2;
      if (!plain || item.value < 1 || item.value > most || this.chips.some((chip) => chip.kind === "next")) { this.broken = true; return true; }
      this.chips.push({ kind: "next", [unit.t]: item.value, sure: Boolean(this.awaits) || before?.words === "in" });
      item.used = unit.used = true;
      return true;
    }
    take_fortnight(item) {
      if (!this.awaits || this.denied || this.hedged) { this.broken = true; return; }
      item.used = true;
      this.chips.push({ kind: "next", weeks: 2, sure: true });
    }

    /* Pieces with anything that nobody understood, whole and as written. */
    rest() {
      const heavy = new Set(["word", "number", "hedge", "not", "same", "quantity", "work", "detail", "ditto", "ago", "size", "nails", "weeks", "days", "months", "fortnight", "feet", "side"]);
      const pieces = [];
      let open = null;
      const close = () => { if (open?.keep) pieces.push(this.line.slice(open.from, open.to).trim()); open = null; };
      for (const item of this.items) {
        if (item.t === "stop") { close(); continue; }
        open ??= { from: item.from, to: item.to, keep: false };
        open.to = item.to;
        const read = item.used || (item.t === "number" && item.chips);
        if (heavy.has(item.t) && !read) open.keep = true;
      }
      close();
      return pieces;
    }
  }
  window.spoken.read = (line, known = {}) => new Reader(String(line).slice(0, 600), known).read();
})();
