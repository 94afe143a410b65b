/* What was done to the shoes, and what the shoes are like. */
"use strict";
window.spoken = window.spoken ?? {};
(() => {
  const ALL = ["LF", "RF", "LH", "RH"];
  const chipFor = (chips, foot, what) => chips.find((chip) => chip.kind === "work" && chip.foot === foot && chip.what === what);

  class Work {
    constructor(items) { Object.assign(this, { items, chips: [], feet: null }); }

    read() {
      this.items.forEach((item, i) => this[`on_${item.t}`]?.(item, i));
      return this.chips;
    }

    on_stop(item) { if (window.spoken.doubt.isHard(item)) this.feet = null; }

    on_work(item, i) {
      const part = this.items[window.spoken.feet.beyond(this.items, i)];
      /* "trimmed the frogs" is no trim of the foot. */
      if (item.dead || (item.what === "trimmed" && /^(frogs?|heels?|toes?|flares?|bars?)$/.test(part?.words ?? ""))) { this.feet = null; return; }
      const feet = item.of && !item.ofHard ? item.of.feet : null;
      /* "Trim only.": of a horse, where no foot is named. */
      const near = this.items.slice(Math.max(0, i - 4), i + 3).map((one) => one.words);
      const whole = near.some((words) => /^(all|full|whole|set)$/.test(words)) || near.some((words) => words === "four" || words === "4");
      const all = !item.of && whole ? ALL : !feet && item.what === "trimmed" && /only|just|up|him|her/.test(item.words) ? ALL : null;
      if (!feet && !all) return;
      const sure = Boolean(feet) && !item.close && !item.shaky && !item.of.guess;
      item.used = true;
      if (feet) item.of.used = true;
      this.feet = feet ?? all;
      for (const foot of this.feet) for (const what of item.what.split(" ")) this.put(foot, what, sure);
    }
    put(foot, what, sure) {
      const other = this.chips.find((chip) => chip.kind === "work" && chip.foot === foot && ![chip.what, what].includes("trimmed") && chip.what !== what);
      /* A shoe is taken off to be set again. */
      if (other?.what === "pulled" && ["reset", "new"].includes(what)) {
        this.chips = this.chips.filter((chip) => chip !== other);
        return this.put(foot, what, sure);
      }
      const goes = !other || (other.what === "pulled" && what === "barefoot");
      if (!goes) other.sure = false;
      const there = chipFor(this.chips, foot, what);
      if (!there) this.chips.push({ kind: "work", foot, what, sure: sure && goes });
      if (there && sure) there.sure = goes;
    }

    on_detail(item) { this.detail(item, item.name, item.value); }
    on_nails(item, i) {
      const number = this.items[i - 1];
      if (number?.t === "count" && number.value >= 4 && number.value <= 10) {
        this.detail(item, "nails", String(number.value));
        number.used = item.used;
      }
    }
    on_size(item, i) {
      const number = this.items[i + 1];
      if (number?.t !== "count") return;
      this.detail(item, "size", String(number.value));
      number.used = item.used;
    }
    detail(item, name, value) {
      if (item.dead) return;
      const feet = item.ofBehind || !this.feet ? item.of && !item.ofHard && item.of.feet : this.feet;
      if (!feet) return;
      item.used = true;
      for (const foot of feet) this.chips.push({ kind: "detail", foot, name, value, sure: !item.close });
    }
  }
  window.spoken.work = { read: (items) => new Work(items).read() };
})();
