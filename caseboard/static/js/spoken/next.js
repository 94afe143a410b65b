/* When to come again: "next seven weeks", "booked for the ninth of March", "four weeks, not six". */
"use strict";
window.spoken = window.spoken ?? {};
(() => {
  const { LIGHT, beyond } = window.spoken.feet;
  const { isHard } = window.spoken.doubt;
  const COUNTED = ["weeks", "days", "months"];
  const FRACTION = /^\s*[1-7]\/[248]\b/;  // "3/4 fullered" is no day
  const MOST = { weeks: 26, days: 182 };  // house default: half a year

  class Next {
    constructor(line, items) { Object.assign(this, { line, items, chip: null, awaits: false, at: 0 }); }

    read() {
      for (this.at = 0; this.at < this.items.length; this.at += 1) {
        const item = this.items[this.at];
        if (isHard(item)) this.awaits = false;
        if (item.t === "next") this.mark(item);
        else if (item.t === "number" || item.t === "count") this.time(item);
        else if (item.t === "fortnight") this.fortnight(item);
        else if (this.awaits && !this.chip && ["months", "weeks"].includes(item.t) && /^a$/.test(this.items[this.at - 1].words) && this.items[this.at - 2]?.words === "in") this.month(item);
        else if (item.t === "weeks" && !this.chip && /^for$/.test(this.items[this.at - 1]?.words)) this.heardFour(item);
        if (item.t === "fix" && this.chip?.day) this.otherDay();
        else if (["word", "filler", "in_"].includes(item.t) && !this.awaits && !this.chip) this.dayAlone();
      }
      return this.chip ? [this.chip] : [];
    }

    /* A second time for the next visit: neither is sure, the last one is shown. */
    put(chip) {
      if (this.chip) chip.sure = false;
      this.chip = { kind: "next", ...chip };
    }
    use(from, to) { for (const item of this.items.slice(from, to)) { item.used = true; if (item.t === "number") item.t = "count"; } }

    mark(item) {
      item.used = true;
      this.awaits = true;
      const day = window.spoken.days.read(this.line, this.items, this.at + 1);
      if (!day) return this.weekday() ?? this.bareWeeks();
      this.put({ day: day.day, month: day.month, sure: true });
      this.use(this.at, day.next);
      this.at = day.next - 1;
    }
    /* "next visit Thursday", "see you Friday week" */
    weekday() {
      const words = this.items.slice(this.at + 1, this.at + 6).flatMap((item) => item.words.split(" "));
      const found = window.spoken.days.weekday(words);
      if (!found) return null;
      let end = this.at + 1;
      for (let count = 0; count < found.words; end += 1) count += this.items[end].words.split(" ").length;
      this.use(this.at, end);
      this.put({ weekday: found.weekday, later: found.later, sure: false });
      this.at = end - 1;
      return true;
    }
    /* "next seven": weeks, one would think. */
    bareWeeks() {
      const at = beyond(this.items, this.at), number = this.items[at], after = this.items[at + 1];
      if (!this.plain(number) || (after && after.t !== "stop" && after.t !== "work")) return;
      this.use(at, at + 1);
      this.put({ weeks: number.value, sure: false });
    }

    plain(number) { return number?.t === "number" && Number.isInteger(number.value) && number.value >= 2 && number.value <= 16 && !number.unit && !number.dead; }

    time(item) {
      const i = this.at, unit = this.items[i + 1], after = this.items[i + 2];
      if (unit?.words === "next time" && this.plain(item)) {  // "six next time"
        this.put({ weeks: item.value, sure: false });
        this.use(i, i + 2);
        return;
      }
      if (!COUNTED.includes(unit?.t)) return;
      item.t = "count";
      const gone = this.items.slice(Math.max(0, i - 3), i).some((one) => /^(been|gone|went)$/.test(one.words));
      /* "reckon seven weeks", "in a month" */
      const hedge = item.dead && /^(reckon|i reckon|i'd say|say|i think|i'd like|about|maybe|probably)$/.test(this.items.slice(Math.max(0, i - 3), i).findLast((one) => one.t === "hedge")?.words ?? "");
      const plain = (!item.dead || (hedge && !this.chip)) && (!gone || this.awaits) && item.sure && unit.t !== "months" && Number.isInteger(item.value) && item.value >= 1 && item.value <= MOST[unit.t] && !/^(ago|old|since)$/.test(after?.words ?? "");
      const before = this.items[i - 1];
      if (!item.fixed && (/^too /.test(after?.words ?? "") || (/^(was|is|'s)$/.test(after?.words ?? "") && this.items[i + 3]?.t === "shade"))) return;  // "nine weeks was too long"
      if (!plain || /^(for|every|last|past|after|since|of|been)$/.test(before?.words ?? "") && !this.awaits) return;
      this.put({ [unit.t]: item.value, sure: !item.shaky && !item.dead && (this.awaits || before?.words === "in" || after?.t === "next") });
      item.used = unit.used = true;
    }
    fortnight(item) {
      if (!this.awaits || item.dead) return;
      item.used = true;
      this.put({ weeks: 2, sure: true });
    }

    /* "see her again in a month": four weeks, or a day of the calendar; asked about. */
    month(item) { item.used = true; this.put({ weeks: item.t === "months" ? 4 : 1, sure: false }); }
    /* "all four feet, for weeks": four, as a dictation hears it; but "he has been sore for weeks". */
    heardFour(item) {
      const start = this.items.slice(0, this.at).findLastIndex((one) => one.t === "stop") + 1;
      if (this.items.slice(start, this.at - 1).some((one) => !["feet", "work", "next", "filler"].includes(one.t) || /^(been|was|were|is|are|has|had|have|he|she|they)$/.test(one.words))) return;
      item.used = true;
      this.put({ weeks: 4, sure: false });
    }

    /* "On the 28th of December": a day without a word of a visit is asked about. */
    dayAlone() {
      const begins = this.at === 0 || this.items[this.at - 1].t === "stop" || /^(back|visit|again|until|till|make it)$/.test(this.items[this.at - 1].words) || /^(on|for|do|that's|is|let's|it's)$/.test(this.items[this.at].words);
      const past = this.items.some((item) => /^(ago|since|last|last time|last visit|was|came|did|vet|dentist|physio|show|born|foaled|died|bought)$/.test(item.words));
      if (!begins || past || FRACTION.test(this.line.slice(this.items[this.at].from))) return;
      const day = window.spoken.days.read(this.line, this.items, this.at);
      if (!day) return;
      this.put({ day: day.day, month: day.month, sure: false });
      this.use(this.at, day.next);
      this.at = day.next - 1;
    }
    /* "the twentieth of January, no, the twenty-first" */
    otherDay() {
      const at = beyond(this.items, this.at, new Set([...LIGHT, "stop", "fix"]));
      const day = window.spoken.days.read(this.line, this.items, at, this.chip.month);
      if (!day) return;
      this.put({ day: day.day, month: day.month, sure: false });
      this.use(this.at, day.next);
    }
  }
  window.spoken.next = { read: (line, items) => new Next(line, items).read() };
})();
