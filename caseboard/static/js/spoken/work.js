/* What was done to the shoes, and what the shoes are like. */
"use strict";
window.spoken = window.spoken ?? {};
(() => {
  const { LIGHT } = window.spoken.feet;
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
      if (item.dead || this.elsewhere(item, i)) { this.feet = null; return; }
      const four = this.four(i);
      const feet = four ?? (item.of && (!item.ofHard || this.onIt(i)) ? item.of.feet : null);
      /* "Trim only.": of a horse, where no foot is named. */
      const near = this.items.slice(Math.max(0, i - 4), i + 3).map((one) => one.words);
      const whole = near.some((words) => /^(all|full|whole|set)$/.test(words)) || near.some((words) => words === "four" || words === "4");
      const union = this.union(item, i);
      /* "… right fore. I put a new pair on him": of both */
      const pair = !four && feet?.length === 1 && /\bpair\b/.test(item.words) ? [`L${feet[0][1]}`, `R${feet[0][1]}`] : null;
      const all = union ? union : pair ? pair : !item.of && whole ? ALL : this.wholeHorse(item, i, feet, whole);
      if (!(all ?? feet)?.length) return;
      const sure = Boolean(feet) && !/^(no shoes?|replaced.*)$/.test(item.words) && !all && !four && !item.close && !item.shaky && !item.of.guess && !item.ofHard && !this.unread(item, i) && !this.bySaying(item, i);
      item.used = true;
      if (feet && item.of) item.of.used = true;
      this.feet = all ?? feet;
      for (const foot of this.feet) for (const what of item.what.split(" ")) this.put(foot, what, sure);
    }
    /* "trimmed a bit of frog", "pulled a nail", "a new saddle": no work on the foot or its shoe. */
    elsewhere(item, i) {
      const end = this.items.findIndex((one, at) => at > i && (["stop", "feet", "number", "work", "turn", "moment"].includes(one.t) || one.words === "and"));
      const part = this.items.slice(i + 1, end < 0 ? undefined : end), next = part.find((one) => !LIGHT.has(one.t));
      if (item.words === "a trim" && this.items[i - 1]?.t === "foreign") return true;  // "eighty quid a trim"
      if (item.words === "dressed" && /^(it|back)$/.test(part[0]?.words ?? "")) return true;
      if (item.words === "new") return (["word", "odd"].includes(part[0]?.t) || /^(horse|mare|gelding|pony|gauge)$/.test(part[0]?.words ?? "")) && this.items[i - 1]?.t !== "feet";
      if (/^pull/.test(item.words)) return next?.t === "nails";
      return item.what === "trimmed" && part.some((one) => /^(frogs?|heels?|toes?|flares?|bars?|feathers?|whiskers|mane)$/.test(one.words)) && !part.some((one) => one.words === "to");
    }
    /* "with the trim", "before – honest – trim": the trim that is spoken of, and perhaps of other feet. */
    bySaying(item, i) { return /^trim/.test(item.words) && (this.items[i - 1]?.words === "the" || this.items.slice(Math.max(0, i - 4), i).some((one) => one.t === "moment" && /^(before|after)$/.test(one.words))); }
    /* Words that nobody read between the work and its foot. */
    unread(item, i) {
      const at = this.items.indexOf(item.of);
      return this.items.slice(Math.min(at, i) + 1, Math.max(at, i)).some((one) => ["word", "odd", "foreign", "not", "hedge", "other"].includes(one.t));
    }
    /* The sentence around an item. */
    sentence(i) {
      let from = i, to = i;
      while (from > 0 && !window.spoken.doubt.isHard(this.items[from - 1])) from -= 1;
      while (to < this.items.length && !window.spoken.doubt.isHard(this.items[to])) to += 1;
      return this.items.slice(from, to);
    }
    /* "four new shoes"; "RF 51, LF 50, RH 54, LH 54, all reset": where every foot was named, all of them. */
    four(i) {
      const before = this.items[i - 1], then = this.items[i + 1];
      if (["feet", "pair", "side"].includes(then?.t)) return null;
      if (/^(four|4)$/.test(before?.words ?? "")) return ALL;
      /* "All new, hinds with stud holes.", "…, reset all" */
      const edge = (one) => !one || one.t === "stop";
      if ((before?.words === "all" && edge(this.items[i - 2]) && edge(then)) || (then?.words === "all" && edge(this.items[i + 2]))) return ALL;
      const named = new Set(this.items.slice(0, i).flatMap((one) => (one.t === "feet" ? one.feet : [])));
      return before?.words === "all" && named.size === 4 ? ALL : null;
    }
    /* "That is the only foot I touched, new shoe on it." */
    onIt(i) { return /^(trimmed|dressed|tidied)/.test(this.items[i].words) && /^(the|that)$/.test(this.items[i + 1]?.words) && this.items[i + 2]?.words === "foot" || /\b(it|same one)\b/.test(this.items[i].words) || this.items[i + 1]?.words === "on" && /^(it|that|there)$/.test(this.items[i + 2]?.words ?? ""); }
    /* "Trimmed. Six weeks.", "trimmed, 54 left hind, …": the horse, where nothing near names a foot; or
     * "Shod in front only. New.": the feet that stood alone in the sentence before. Never sure. */
    wholeHorse(item, i, feet, whole) {
      const here = this.sentence(i), at = here.indexOf(item);
      if (here.some((one) => ["other", "otherthree", "odd", "shade", "lost"].includes(one.t))) return null;
      const trim = /trimmed|barefoot/.test(item.what);
      if (!here.some((one) => one.t === "feet")) {
        if (feet) return null;
        const named = this.items.slice(0, i).filter((one) => one.t === "feet");
        const alone = this.heading(i) ?? this.measured(i);
        if (alone) return alone;
        return trim && [0, 4].includes(new Set(named.flatMap((one) => one.feet)).size) ? ALL : null;
      }
      const first = here.findIndex((one) => one.t === "feet");
      const stop = here.findIndex((one, step) => step > at && one.t === "stop");
      const listed = new Set(here.flatMap((one) => (one.t === "feet" ? one.feet : []))).size > 1;
      const leads = listed && here[at + 1]?.t !== "moment" && at < stop && stop < first && here.slice(stop).some((one) => one.t === "number");
      return leads ? (trim || whole ? ALL : []) : null;
    }
    /* "LF 50, RF 51, reset.": work in a piece of its own behind feet that were all measured. */
    union(item, i) {
      const here = this.sentence(i), at = here.indexOf(item);
      const [before, after] = [here[at - 1], here[at + 1]];
      if (!/^(stop|number|work)$/.test(before?.t) || (after && !/^(stop|work|next)$/.test(after.t))) return null;
      const feet = here.slice(0, at).filter((one) => one.t === "feet" && !one.echo), works = here.slice(at).filter((one) => one.t === "work");
      const others = here.some((one) => !works.includes(one) && ["work", "untouched", "lost", "odd", "not"].includes(one.t)) || here.slice(at).some((one) => one.t === "feet");
      const all = new Set(feet.flatMap((one) => one.feet));
      return feet.length > 1 && all.size > 1 && !others && feet.every((one) => here.some((value) => value.t === "number" && value.of === one)) ? [...all] : null;
    }
    /* "52 LF, 8.2. 52 RF, 8.3. Reset.": work in a sentence of its own, behind feet that were only measured. */
    measured(i) {
      const here = this.sentence(i);
      if (here.some((one) => ["number", "not", "untouched", "same"].includes(one.t))) return null;
      const before = this.items.slice(0, this.items.indexOf(here[0])), feet = before.filter((one) => one.t === "feet" && !one.echo);
      const only = !before.some((one) => ["work", "untouched", "lost", "not"].includes(one.t)) && feet.every((one) => before.some((value) => value.t === "number" && value.of === one) || one.context);
      return only && feet.length ? [...new Set(feet.flatMap((one) => one.feet))] : null;
    }
    heading(i) {
      const stop = this.items.slice(0, i).findLastIndex((one) => window.spoken.doubt.isHard(one));
      if (stop < 1) return null;
      const before = this.sentence(stop - 1), named = before.filter((one) => one.t === "feet");
      const said = before.some((one) => ["number", "work", "not", "lost", "untouched", "odd", "same", "hedge"].includes(one.t));
      return named.length === 1 && !said ? named[0].feet : null;
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
