/* Which quantity and moment a number is of, and the chip it becomes.
 *
 * A number takes the name before it ("toe eight two"), or the one directly behind it ("forty-five wide",
 * "eight centimetres of toe"). Without a name it goes by the order in which the foot before was said, then
 * by its unit and its size. */
"use strict";
window.spoken = window.spoken ?? {};
(() => {
  const { LIGHT, beyond } = window.spoken.feet;
  const { RANGES, MM, leading, trailing } = window.spoken.names;
  const { isHard } = window.spoken.doubt;
  const isAngle = (quantity) => quantity.endsWith("_angle");
  class Values {
    constructor(items, { lengthUnit, last }) {
      Object.assign(this, { items, lengthUnit, last, chips: [], order: [], seen: [], place: "" });
      this.family = null;  // "heel", "frog" or "hoof", as last named: of which "width" or "inside" is
    }

    read() {
      window.spoken.moments.mark(this.items);
      for (let i = 0; i < this.items.length; i += 1) {
        const item = this.items[i];
        if (item.t === "quantity") this.familyOf(item);
        if (item.t === "number" && !item.dead) i = this.number(item, i);
        else if (item.t === "same") this.same(item, i);
      }
      return this.settle();
    }

    familyOf(item) {
      const { key } = item;
      this.familyItem = ["heel", "frog"].includes(key) ? item : this.familyItem;
      for (const one of ["heel", "frog", "hoof"]) if (key.startsWith(one)) this.family = one;
      if (key.startsWith("toe") || key.startsWith("pastern")) this.family = null;
      if (key === "width") this.family ??= "hoof";
    }
    /* "width", "outside": of what was spoken of. */
    named(item) {
      const key = item?.key;
      if (["width", "long", "length", "inside", "outside"].includes(key) && this.familyItem) this.familyItem.used = true;
      switch (key) {
        case "width": return this.family === "frog" ? "frog_width" : "hoof_width";
        case "long": return this.family === "frog" ? "frog_length" : this.family === "hoof" ? "hoof_length" : "toe_length";
        case "length": return this.family === "frog" ? "frog_length" : this.family === "hoof" ? "hoof_length" : "toe_length";
        case "inside": return this.family === "heel" ? "heel_length_medial" : "none";
        case "outside": return this.family === "heel" ? "heel_length_lateral" : "none";
        default: return key ?? null;
      }
    }

    number(item, i) {
      /* "three and a half inches before, three and a quarter after": the unit said last. */
      if (MM[item.unit]) this.saidUnit = item.unit;
      item.saidUnit = this.saidUnit;
      item.by = /^(by|x|times)$/.test(this.items[i - 1]?.words ?? "");
      const listed = this.run(i);
      /* "Toe lengths 86 85 80 80": of four feet, where the whole line names none. */
      if (!item.of && listed.length === 4 && !this.items.some((one) => one.t === "feet") && (leading(this.items, i) || this.angles(listed))) for (const one of listed) one.item.of = { t: "feet", feet: ["LF", "RF", "LH", "RH"] };
      const feet = item.of?.feet ?? [];
      /* "fronts 50 and 51, 85 and 84": two for each foot, one after the other. */
      const run = feet.length === 2 && listed.length === 4 ? listed.slice(0, 2) : listed;
      if (!feet.length) return i;
      const behind = trailing(this.items, i) ?? this.namedBehind(run), name = behind ?? this.paired(item) ?? leading(this.items, i) ?? (item.once ? leading(this.items, this.items.indexOf(item.once)) : null);
      const other = behind && leading(this.items, i);
      if (other && /^(inside|outside)$/.test(behind.key) && other.key.startsWith("heel_length")) item.shaky = true;  // "outside heel LF 40 RF 39 inside LF 37"
      if (behind && this.forNext(behind)) item.shaky = true;
      if (behind) { behind.behind = true; this.familyOf(behind); }
      const zipped = this.zipped(run, feet, name);
      if (zipped) return zipped;
      const spread = this.spread(run, feet, name);
      if (spread) return spread;
      /* "left fore 50 and 53": two numbers for one. */
      const [, second] = run;
      if (!name && feet.length === 1 && second && second.at === i + 2 && this.items[i + 1].words === "and" && Math.abs(second.item.value - item.value) < 0.2 * item.value) item.shaky = second.item.shaky = true;
      const own = this.named(name), named = item.unit === "deg" && /^(inside|outside)$/.test(name?.key ?? "") ? null : own;  // "a chip on the inside, … forty-nine degrees"
      if (named !== own) item.shaky = true;
      const chips = this.chipsOf(item, feet, named);
      /* "heel forty mil": understood, but the form asks for the inside and the outside. */
      if (/^heel(_height)?$/.test(named) && MM[item.unit]) item.nowhere = true;
      if (chips.some((chip) => !chip)) return i;
      this.put(item, chips, i, named);
      if (name) name.used = true;
      return i;
    }
    /* "fifty-one heel, Bertie, is at forty-five": a name that the next number may want, with words nobody knows between. */
    forNext(name) {
      const at = this.items.indexOf(name), end = this.items.findIndex((item, i) => i > at && ["number", "feet", "quantity"].includes(item.t));
      const part = this.items.slice(at + 1, Math.max(end, at + 1));
      return this.items[end]?.t === "number" && part.some((item) => item.t === "word") && !part.some((item) => item.t === "stop") && !trailing(this.items, end);
    }
    /* "from 58 to 55 heel angle": the name behind the second is of both. */
    paired(item) {
      const other = this.items.findIndex((one) => one.pairedWith === item);
      return other < 0 ? null : trailing(this.items, other);
    }
    /* "51 51 54 54": the only numbers of a line, and each like a toe's angle. */
    angles(listed) { return listed.every(({ item }) => !item.unit && item.value >= 45 && item.value <= 58) && this.items.filter((one) => one.t === "number").length === 4; }
    /* "55 and 56 heels and 53 and 54 toes" */
    namedBehind(run) {
      const at = beyond(this.items, run.at(-1).at), name = this.items[at];
      const alike = run.length === run[0].item.of.feet.length && run.every(({ item }) => Math.abs(item.value - run[0].item.value) < 0.2 * item.value);
      if (run.length < 2 || !alike || name?.t !== "quantity" || name.behind || leading(this.items, run[0].at)) return null;
      const then = this.items[beyond(this.items, at)];
      return !then || then.t === "stop" || then.t === "number" ? name : null;
    }
    /* A second value of a quantity found before the trim is the one after it. */
    chipsOf(item, feet, named) {
      const made = () => { this.turn(feet, item.moment); return feet.map((foot) => this.value(foot, item.moment, named, item)); };
      const chips = made();
      const again = chips.some((chip) => !chip || this.had(chip.foot, chip.moment, chip.quantity));
      if (!again || item.moment !== "before" || item.told) return chips;
      Object.assign(item, { moment: "after", shaky: true });
      return made();
    }
    /* "inside and outside heels 36 and 38", "toe and heel on the left fore, 50 and 44" */
    zipped(run, feet, name) {
      const behind = this.sidesBehind(run);
      if (behind.length) this.family = "heel";
      const end = this.items.indexOf(name);
      let from = end;
      while (from > 0 && ["quantity", "filler"].includes(this.items[from - 1].t)) from -= 1;
      const names = behind.length ? behind : this.items.slice(from, end + 1).filter((one) => one.t === "quantity");
      const sides = names.some((one) => /^(inside|outside|heel_length_)/.test(one.key));
      if (sides) this.family = "heel";
      const keys = names.map((one) => this.named(one)).filter((key) => !sides || !/^heel(_height)?$/.test(key));
      const both = run.length === 1 && keys.length === 2 && !sides && this.items.slice(end + 1, run[0].at).some((one) => /^(both|line)$/.test(one.words));  // "hoof and pastern both fifty-two"
      const all = (behind.length && run.length === 1) || both ? keys.map(() => run[0]) : run;
      if (keys.length < 2 || all.length !== keys.length) return 0;
      const chips = all.map(({ item }, i) => feet.map((foot) => this.value(foot, item.moment, keys[i], item)));
      if (chips.flat().some((chip) => !chip)) return 0;
      all.forEach(({ item }, i) => { Object.assign(item, { used: true, chips: chips[i] }); });
      if (name) name.used = true;
      for (const one of names) one.used = true;
      run[0].item.of.used = true;
      const [{ item }] = run;
      for (const chip of chips.flat()) chip.sure = both && chip.sure && !item.shaky && !item.close && !item.of.guess && !item.ofHard;
      this.chips.push(...chips.flat());
      return run.at(-1).at;
    }
    /* "heels 36 and 38, inside and outside" */
    sidesBehind(run) {
      const light = new Set(["filler", "in_", "stop"]);
      const first = beyond(this.items, run.at(-1).at, light), second = beyond(this.items, first, light);
      const out = this.items.slice(first, first + 3).find((one) => one?.words === "out");  // "inside and out"
      if (this.items[first]?.key === "inside" && out) return [this.items[first], Object.assign(out, { key: "outside" })];
      const names = [this.items[first], this.items[second]];
      const sides = names.map((one) => one?.key).join(" ");
      const last = this.items[beyond(this.items, second, light)];
      return /^(inside outside|outside inside)$/.test(sides) && last?.t !== "number" ? names : [];
    }
    /* A new foot, or the same one at the other moment: its numbers come in the order of the one before. */
    turn(feet, moment) {
      const place = `${feet} ${moment}`;
      if (place === this.place) return;
      if (this.seen.length) this.order = this.seen;
      this.seen = [];
      this.place = place;
    }

    put(item, chips, i, named) {
      const { of } = item;
      const words = this.words(i);
      /* House default: what is steeper or flatter than most toes is asked about where no name was said. */
      const [least, most] = named === "heel" ? [40, 54] : [45, 58];  // "heel 38" may be its height in mm
      const rare = (!named || named === "heel") && isAngle(chips[0].quantity) && item.unit !== "deg" && (item.value < least || item.value > most);
      const far = item.ofBehind && !named && this.items.slice(i + 1, this.items.indexOf(of)).some((one) => one.t === "stop");
      const odd = !named && this.items[i - 1]?.t === "word";  // "depth fifty"
      for (const chip of chips) if (item.shaky || far || odd || rare || item.close || of.guess || words || (item.ofHard && item.ofBehind)) chip.sure = false;
      item.chips = chips;
      item.used = of.used = true;
      if (!item.unit && chips[0].value === Math.round(item.value * 2540) / 100) this.saidUnit = "in";
      this.seen.push(chips[0].quantity);
      this.chips.push(...chips);
    }
    /* Words nobody knows between the number and its foot, or just behind a number without a name. */
    words(i) {
      const item = this.items[i], at = this.items.indexOf(item.of);
      const [from, to] = at < i ? [(item.of.until ?? at) + 1, i] : [i + 1, at];
      const part = this.items.slice(from, to);
      const last = part.findLastIndex((one) => one.t === "quantity" || one.chips);
      return (at < i ? part.slice(last + 1) : part).some((one) => one.t === "word" || one.t === "odd" || one.t === "foreign");
    }

    /* The numbers of a list: "50 and 51", "84, 83, 79, 80". */
    run(i) {
      const found = [];
      for (let at = i; at < this.items.length; at += 1) {
        const item = this.items[at];
        if (item.t === "number" && !item.dead && item.of === this.items[i].of && item.moment === this.items[i].moment) found.push({ item, at });
        else if (!(LIGHT.has(item.t) || /^(x|×|by)$/.test(item.words) || item.t === "gone" || (item.t === "stop" && !isHard(item)))) break;
      }
      return found;
    }

    /* One number for each foot, left before right and fronts before hinds: usual, and never sure. */
    spread(run, named, name) {
      let feet = named;
      const listed = /s$/.test(name?.words ?? "") || run.length === 4;
      if (run.length === 4 && feet.length !== 4) feet = ["LF", "RF", "LH", "RH"];
      else if (run.length === 2 && feet.length === 1 && !name && this.apart(run[0])) feet = this.lastTwo(feet);
      else if (!listed && run.length === 2 && feet.length === 1 && name && this.items[run[0].at + 1]?.words === "and") feet = this.lastTwo(feet);
      else if (listed && run.length === 2 && feet.length === 1) {
        /* "off hind 46, near hind 47, toes 53 and 54": in the order in which they were named. */
        const two = this.lastTwo(feet);
        feet = two.length === 2 ? two : [`L${feet[0][1]}`, `R${feet[0][1]}`];
      }
      if (feet.length < 2 || run.length !== feet.length || this.items[run.at(-1).at + 1]?.each || this.items[run.at(-1).at + 1]?.echo) return 0;
      const place = [...this.seen], key = this.place, order = this.order;
      this.turn(feet, run[0].item.moment);
      const chips = run.map(({ item }, i) => this.value(feet[i], item.moment, this.named(name), item));
      const alike = chips.every((chip) => chip && chip.quantity === chips[0].quantity);
      const values = chips.map((chip) => chip?.value);
      if (!alike || Math.max(...values) - Math.min(...values) > Math.max(...values) * window.spoken.which.ALIKE * 1.5) {
        Object.assign(this, { seen: place, place: key, order });
        return 0;
      }
      chips.forEach((chip, i) => {
        Object.assign(chip, { sure: false, list: run[0].at });
        Object.assign(run[i].item, { chips: [chip], used: true });
      });
      this.chips.push(...chips);
      this.seen.push(chips[0].quantity);
      run[0].item.of.used = true;
      if (name) name.used = true;
      return run.at(-1).at;
    }

    /* "After: 84 and 83" behind two feet named one by one. */
    apart({ item, at }) {
      const from = this.items.indexOf(item.of) + 1;
      return this.items.slice(from, at).some((one) => isHard(one) || one.t === "moment");
    }
    lastTwo([foot]) {
      const named = this.chips.map((chip) => chip.foot).filter((one) => one[1] === foot[1]);
      const other = named.findLast((one) => one !== foot);
      if (other || named.length) return other && named.at(-1) === foot ? [other, foot] : [foot];
      /* "Left fore is new, right fore is the old one. 50 and 51." */
      const said = this.items.filter((one) => one.t === "feet" && !one.echo);
      return said.length === 2 && said.every((one) => one.feet.length === 1) && said[1].feet[0] === foot && said[0].feet[0][1] === foot[1] && said[0].feet[0] !== foot ? [said[0].feet[0], foot] : [foot];
    }

    had(foot, moment, quantity) {
      return this.chips.some((chip) => chip.foot === foot && chip.moment === moment && chip.quantity === quantity);
    }
    value(foot, moment, named, item) { return window.spoken.which.value(this, foot, moment, named, item); }

    /* "right fore the same": as the foot before, or as last time. Shown, and never sure. */
    same(item, i) {
      const named = this.items[i + 1]?.t === "quantity" ? this.items[i + 1] : null;  // "the same angle"
      const next = this.items[named ? i + 2 : i + 1];
      if (item.dead || !item.of || (next && !["stop", "work", "next"].includes(next.t)) || item.ofBehind) return;
      const at = this.items.indexOf(item.of);
      const between = this.items.slice((item.of.until ?? at) + 1, i);
      if (between.some((one) => ["number", "work", "word", "foreign", "odd"].includes(one.t))) return;
      const before = /last|before/.test(item.words) ? null : this.chips.at(-1);
      const like = before && !item.of.feet.includes(before.foot) ? this.chips.filter((chip) => chip.foot === before.foot) : [];
      const key = (named ?? between.findLast((one) => one.t === "quantity"))?.key;
      const name = { angle: "toe_angle", length: "toe_length", heel: "heel_angle" }[key] ?? key;
      const alike = like.filter((chip) => !named || chip.quantity === name);
      const quantities = alike.length ? alike.map((chip) => [chip.quantity, () => chip.value, chip.moment]) : [[RANGES[name] ? name : "toe_angle", (foot, quantity) => this.last[`${foot} ${quantity}`]]];
      const chips = quantities.flatMap(([quantity, of, moment]) => item.of.feet.map((foot) => ({ kind: "value", foot, moment: moment ?? before?.moment ?? "after", quantity, value: of(foot, quantity), sure: false, same: true })));
      if (chips.some((chip) => chip.value === undefined || this.had(chip.foot, chip.moment, chip.quantity))) return;
      item.chips = chips;
      item.used = item.of.used = true;
      if (named) named.used = named.behind = true;
      this.chips.push(...chips);
    }

    /* "54 left and 53 right, no, other way about, 53 left …": the one said last; it is asked about. */
    takenBack(chips) {
      const [first, last] = [chips[0], chips.at(-1)].map((chip) => this.items.findIndex((item) => item.chips?.includes(chip)));
      return chips.length === 2 && first >= 0 && this.items.slice(first, last).some((item) => item.t === "fix" && item.words !== "call it");
    }

    /* A second value for one place: which of them is meant? */
    settle() {
      const places = new Map();
      for (const chip of this.chips) {
        const key = `${chip.foot} ${chip.moment} ${chip.quantity}`;
        places.set(key, [...places.get(key) ?? [], chip]);
      }
      const kept = [];
      for (const chips of places.values()) {
        const different = chips.filter((chip, i) => chips.findIndex((one) => one.value === chip.value) === i);
        if (different.length > 1) {
          for (const chip of different) chip.sure = false;
          for (const item of this.items) if (item.chips?.some((chip) => different.includes(chip))) item.clash = true;
        }
        kept.push(...(this.takenBack(different) ? different.slice(-1) : different));
      }
      return this.chips.filter((chip) => kept.includes(chip));
    }
  }
  window.spoken.values = { read: (items, known) => new Values(items, known).read() };
})();
