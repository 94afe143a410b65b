/* Cuts a line into words and says what each run of words is: a foot, a quantity, a number, a shoe…
 *
 * items(line) -> [{ t, from, to, … }]: `from` and `to` are places in the line, so that what was not
 * understood can be shown as it was written. The longest phrase of the trade's words wins. */
"use strict";
window.spoken = window.spoken ?? {};
(() => {
  const { list, SIDES, HEARD_SIDES, PAIRS, HEARD_PAIRS, FEET, SHORT, GROUPS, QUANTITIES, MOMENTS, WORK, DETAILS, MARKS } = window.spoken.words;
  const UNITS = { mm: "mm mil mils mill mills millimetre millimetres millimeter millimeters", cm: "cm cms centimetre centimetres centimeter centimeters", in: "inch inches \"", deg: "° deg degs degree degrees" };
  const UNIT = new Map(Object.entries(UNITS).flatMap(([unit, words]) => words.split(" ").map((word) => [word, unit])));

  const phrases = [];
  const add = (t, table, what) => { for (const [meaning, said] of Object.entries(table)) for (const words of list(said)) phrases.push({ t, words, ...what(meaning) }); };
  add("quantity", QUANTITIES, (key) => ({ key }));
  add("moment", MOMENTS, (moment) => ({ moment }));
  add("work", WORK, (what) => ({ what }));
  add("detail", DETAILS, (meaning) => { const [name, value] = meaning.split(" "); return { name, value }; });
  add("feet", GROUPS, (feet) => ({ feet: feet.split(" ") }));
  for (const [name, said] of Object.entries(MARKS)) for (const words of list(said)) phrases.push({ t: name, words });
  phrases.sort((a, b) => b.words.length - a.words.length);  // a stable order: of one length the first table wins

  const one = (table, word) => Object.keys(table).find((key) => list(table[key]).some((words) => words.length === 1 && words[0] === word));
  const pairAt = (tokens, i, table) => {
    for (const [pair, said] of Object.entries(table)) {
      const found = list(said).filter((words) => words.every((word, step) => tokens[i + step]?.word === word)).sort((a, b) => b.length - a.length)[0];
      if (found) return { pair, next: i + found.length };
    }
    return null;
  };
  const PLURAL = /^(fronts|hinds|backs|fores|rears)$/;

  /* "left fore", "near hind", "left four", "LF". A side alone belongs to the pair spoken of. */
  function foot(tokens, i) {
    const { word, raw } = tokens[i];
    const short = one(FEET, word);
    if (short && (!SHORT.has(word) || raw === raw.toUpperCase())) return { t: "feet", feet: [short], next: i + 1 };
    let side = one(SIDES, word), at = i + 1;
    if (word === "near" || word === "off") if (tokens[at]?.word === "side") at += 1;
    const heard = !side && one(HEARD_SIDES, word);
    if (!side && !heard) {
      /* "fore left", "front left" */
      const pair = PLURAL.test(word) ? null : pairAt(tokens, i, { F: "fore|front", H: "hind|back|rear" });
      const after = pair && tokens[pair.next] ? one(SIDES, tokens[pair.next].word) : null;
      return after ? { t: "feet", feet: [after + pair.pair], next: pair.next + 1 } : null;
    }
    while (["hand", "the"].includes(tokens[at]?.word)) at += 1;
    const pair = tokens[at] ? pairAt(tokens, at, PAIRS) ?? (heard ? null : pairAt(tokens, at, HEARD_PAIRS)) : null;
    if (!pair) return heard ? null : { t: "side", side, next: i + 1 };
    /* "left four" is a foot; "left 4 weeks" is none. */
    return { t: "feet", feet: [(side ?? heard) + pair.pair], next: pair.next };
  }

  function phrase(tokens, i) {
    for (const { words, ...what } of phrases) {
      if (words.every((word, step) => tokens[i + step]?.word === word)) return { ...what, next: i + words.length };
    }
    return null;
  }

  const PAIR_OF_FRACTION = { "½": " 1/2 ", "¼": " 1/4 ", "¾": " 3/4 ", "⅛": " 1/8 ", "⅜": " 3/8 ", "⅝": " 5/8 ", "⅞": " 7/8 " };
  /* Words of one line, each with its place. Fractions grow the line, so each sign keeps its own place. */
  function tokens(line) {
    const found = [];
    const pattern = /\d+\/(?:2|4|8|16)(?!\d)|\d+(?:[.,]\d+)?|[½¼¾⅛⅜⅝⅞]|[\p{L}][\p{L}'’]*|["″°º]|[^\s]/gu;
    for (const match of line.matchAll(pattern)) {
      const raw = match[0], from = match.index, to = from + raw.length;
      let word = raw.toLowerCase().replaceAll("’", "'").replace("″", '"').replace("º", "°");
      if (PAIR_OF_FRACTION[raw]) word = PAIR_OF_FRACTION[raw].trim();
      const list = /^(\d{2,3}),(\d{2,3})$/.exec(word);
      if (list) {  // "50,51" are two numbers; "50,5" is one
        const cut = from + list[1].length;
        found.push({ word: list[1], raw, from, to: cut }, { word: ",", raw: ",", from: cut, to: cut + 1 }, { word: list[2], raw, from: cut + 1, to });
      } else found.push({ word: word.replace(/^(\d+),(\d+)$/, "$1.$2"), raw, from, to });
    }
    return found.filter(({ word }, i) => !(word === "-" && found[i - 1]?.to === found[i].from && found[i + 1]?.from === found[i].to && /^\p{L}/u.test(found[i + 1].word)));
  }

  const STOPS = new Set([",", ";", ".", ":", "!", "?", "/", "-", "–", "—", "+", "(", ")", "&"]);

  function items(line) {
    const all = tokens(line);
    const made = [];
    for (let i = 0; i < all.length;) {
      const { word, from } = all[i];
      let item = null;
      if (STOPS.has(word)) item = { t: "stop", sign: word, next: i + 1 };
      item ??= foot(all, i);
      const said = item ? null : phrase(all, i);
      const number = item ? null : window.spoken.numbers.read(all, i);
      if (number && !(said && said.next > number.next)) {
        const unit = UNIT.get(all[number.next]?.word);
        item = { t: "number", ...number, unit, next: number.next + (unit ? 1 : 0) };
        /* "eight mil and a half": a part behind the unit */
      }
      item ??= said ?? { t: UNIT.has(word) ? "filler" : "word", next: i + 1 };
      made.push({ ...item, words: all.slice(i, item.next).map((token) => token.word).join(" "), from, to: all[item.next - 1].to });
      i = item.next;
    }
    return made;
  }
  window.spoken.lex = { items };
})();
