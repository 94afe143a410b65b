/* A day as it is said: "the twelfth of January", "12 January", "January 12th", "19/1".
 *
 * read(line, items, i, month) -> null, or { day, month, next }; `month` stands in where
 * none is said. The year is not said; whoever asks takes the next
 * such day. "19/1" is day and month, as on every page. */
"use strict";
window.spoken = window.spoken ?? {};
(() => {
  const MONTHS = "january february march april may june july august september october november december".split(" ");
  const SHORT = MONTHS.map((month) => month.slice(0, 3));
  const ORDINALS = "first second third fourth fifth sixth seventh eighth ninth tenth eleventh twelfth thirteenth fourteenth fifteenth sixteenth seventeenth eighteenth nineteenth twentieth".split(" ");
  const WEEKDAY = /^(mon|tues|wednes|thurs|fri|satur|sun)day$|^(mon|tue|wed|thu|thur|thurs|fri|sat|sun)$/;
  const SKIP = new Set(["on", "the", "of", "for", "is", "at", "in", "visit", "st", "nd", "rd", "th", "set", "trim", "farrier", "through", "around", "by", "till", "until", ".", ","]);

  const monthOf = (word) => { const i = MONTHS.indexOf(word); return (i >= 0 ? i : word === "sept" ? 8 : SHORT.indexOf(word)) + 1; };

  function dayOf(words, i) {
    const { [i]: word, [i + 1]: then } = words;
    if (/^\d{1,2}$/.test(word ?? "")) return { day: Number(word), next: i + 1 };
    if (word === "thirtieth") return { day: 30, next: i + 1 };
    if ((word === "twenty" || word === "thirty") && ORDINALS.indexOf(then) >= 0 && ORDINALS.indexOf(then) < 9) return { day: (word === "twenty" ? 20 : 30) + ORDINALS.indexOf(then) + 1, next: i + 2 };
    const place = ORDINALS.indexOf(word);
    return place >= 0 ? { day: place + 1, next: i + 1 } : null;
  }

  function read(line, items, from, known = 0) {
    const some = items.slice(from, from + 9);
    if (!some.length) return null;
    const start = some[0].from;
    const flat = [...line.slice(start, some.at(-1).to).toLowerCase().matchAll(/\d+\/\d+|(?<=\bon (?:the )?)\d{1,2}\.\d{1,2}(?=\.|$|\s)|\d+|\p{L}+/gu)]
      .map((match) => ({ word: match[0], item: from + some.findIndex((item) => item.to > start + match.index + match[0].length - 1) }));
    const words = flat.map((one) => one.word);
    let i = 0;
    while (i < words.length && (SKIP.has(words[i]) || WEEKDAY.test(words[i]))) i += 1;
    const done = (day, month, used) => (day >= 1 && day <= 31 && month >= 1 && month <= 12 ? { day, month, next: flat[used - 1].item + 1 } : null);
    const slash = /^(\d{1,2})[/.](\d{1,2})$/.exec(words[i] ?? "");
    if (slash) return done(Number(slash[1]), Number(slash[2]), i + 1);
    const month = monthOf(words[i] ?? "");
    if (month) {
      let j = i + 1;
      while (SKIP.has(words[j])) j += 1;
      const day = dayOf(words, j);
      if (!day) return null;
      let end = day.next;
      while (["st", "nd", "rd", "th"].includes(words[end])) end += 1;
      return done(day.day, month, end);
    }
    const day = dayOf(words, i);
    if (!day) return null;
    let j = day.next;
    while (SKIP.has(words[j])) j += 1;
    const after = monthOf(words[j] ?? "");
    if (after) return done(day.day, after, j + 1);
    return known ? done(day.day, known, day.next) : null;
  }
  /* "next Tuesday", "Friday week": the day of the week, 0 for Sunday, `later` a week on; never sure. */
  const WEEK = "sun mon tue wed thu fri sat".split(" ");
  function weekday(words) {
    const at = words.findIndex((word) => !/^(on|the|this|next|is|at|for)$/.test(word));
    if (!WEEKDAY.test(words[at] ?? "") || /^(after|before|or)$/.test(words[at + 1] ?? "")) return null;
    const later = words[at + 1] === "week";
    return { weekday: WEEK.indexOf(words[at].slice(0, 3)), later, words: at + 1 + (later ? 1 : 0) };
  }
  window.spoken.days = { read, weekday };
})();
