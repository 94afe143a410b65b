/* Reads one line about a visit: "left fore fifty and a half, toe eight two, reset fronts, next seven weeks".
 *
 * read(line, { lengthUnit, last }) -> { chips, rest }
 *   lengthUnit  "mm", "cm" or "in": how the person writes lengths
 *   last        { "LF toe_angle": 50, … } in degrees and mm, where known: tells an angle from a length
 *   chips       what was understood, each with `sure`: false where the words allow another reading
 *     { kind: "value", foot, moment, quantity, value, sure }   in degrees or mm
 *     { kind: "work", foot, what, sure }                       reset, new, pulled, barefoot, trimmed
 *     { kind: "detail", foot, name, value, sure }              size, nails, kind, material, clips, studs, pad
 *     { kind: "next", weeks | days | day and month | weekday (0 for Sunday) and later (a week on), sure }
 *     values said as a list ("hinds 54 and 53") carry the same `list`: they are right or wrong together
 *   rest        the pieces of the line that hold anything not understood, as they were written
 *
 * The steps, each in its own file: words (lex), which feet (feet), what is taken back or in doubt (doubt, counted),
 * the next visit (next), which foot each number and shoe is of (match), then values and work. Nothing here
 * reads the clock or the page. */
"use strict";
window.spoken = window.spoken ?? {};
(() => {
  const LONGEST = 600;  // house default: characters of one line
  const HEAVY = new Set(["word", "number", "count", "hedge", "hedged", "lost", "distrust", "shade", "not", "untouched", "same", "quantity", "work", "detail", "other", "otherthree", "foreign", "odd", "size", "nails", "weeks", "days", "months", "fortnight", "feet", "side"]);

  /* Numbers that count nails or name a size are no values. */
  function counts(items) {
    let nails = false;
    items.forEach((item, i) => {
      if (item.t === "stop" && ".;!?…".includes(item.sign)) nails = false;
      /* "eight nails in front, seven behind" */
      if (nails && item.t === "number" && item.value <= 10 && !item.unit && Number.isInteger(item.value) && (!items[i + 1] || /^(feet|pair|side|stop|in_)$/.test(items[i + 1].t)) && items[i - 1]?.t !== "quantity") item.t = "count";
      if (item.t === "nails") nails = true;
      else if (item.t === "quantity") nails = false;
      if (item.t === "nails" && items[i - 1]?.t === "number") items[i - 1].t = "count";
      /* "eight nails down to six" */
      const then = items[i + 1]?.t === "moment" ? items[i + 2] : null;
      if (item.t === "nails" && then?.t === "number" && then.value <= 10) then.t = "count";
      if (item.t === "size" && items[i + 1]?.t === "number") items[i + 1].t = "count";
    });
  }

  /* "back Jan 6": a number beside a month is a day, whoever understood it. */
  const MONTH = /^(january|february|march|april|june|july|august|september|october|november|december|jan|feb|mar|apr|jun|jul|aug|sept?|oct|nov|dec)$/;
  function dates(items) {
    items.forEach((item, i) => {
      if (item.t === "number" && [items[i - 1], items[i + 1]].some((one) => MONTH.test(one?.words))) item.t = "foreign";
      /* "see how she is in six": no foot is measured so. */
      const short = item.t === "number" && !item.unit && Number.isInteger(item.value) && item.value <= 14;
      if (short && items[i - 1]?.words === "in" && (!items[i + 1] || items[i + 1].t === "stop")) item.t = "foreign";
    });
  }

  /* "Toes 82. 82. 80. 80.": one list. */
  function lists(items) {
    items.forEach((item, i) => {
      if (item.t !== "stop" || !".;".includes(item.sign)) return;
      let numbers = 0;
      while (items[i + 2 * numbers + 1]?.t === "number" && (items[i + 2 * numbers + 2] === undefined || items[i + 2 * numbers + 2].t === "stop")) numbers += 1;
      if (items[i - 1]?.t === "number" && (numbers > 1 || (numbers && items[i - 2]?.was))) Object.assign(item, { sign: ",", was: true });
    });
  }

  /* Pieces with anything that nobody understood, whole and as written. */
  function rest(line, items) {
    for (const item of items) if (item.used && item.source) item.source.used = true;
    const pieces = [];
    let open = null;
    const close = () => { if (open?.keep) pieces.push(line.slice(open.from, open.to).trim()); open = null; };
    for (const item of items) {
      if (item.t === "stop") { close(); continue; }
      open ??= { from: item.from, to: item.to, keep: false };
      open.to = item.to;
      if (item.t === "gone" ? !item.by?.used : HEAVY.has(item.t) && !item.used && !item.echo && !item.context) open.keep = true;
    }
    close();
    return pieces;
  }

  function read(text, { lengthUnit = "cm", last = {} } = {}) {
    const line = String(text).slice(0, LONGEST);
    const items = window.spoken.lex.items(line);
    lists(items);
    counts(items);
    window.spoken.feet.resolve(items);
    window.spoken.doubt.weigh(items);
    const next = window.spoken.next.read(line, items);
    dates(items);
    window.spoken.match.match(items);
    const values = window.spoken.values.read(items, { lengthUnit, last });
    const work = window.spoken.work.read(items);
    window.spoken.sure.review(items, values);
    return { chips: [...values, ...work, ...next], rest: rest(line, items) };
  }
  window.spoken.read = read;
})();
