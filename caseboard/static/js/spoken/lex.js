/* Cuts a line into words and says what each run of words is: a foot, a quantity, a number, a shoe…
 *
 * items(line) -> [{ t, from, to, … }]: `from` and `to` are places in the line, so that what was not
 * understood can be shown as it was written. The longest phrase of the trade's words wins. */
"use strict";
window.spoken = window.spoken ?? {};
(() => {
  const { list, SIDES, HEARD_SIDES, PAIRS, HEARD_PAIRS, FEET, SHORT, GROUPS, QUANTITIES, MOMENTS, WORK, DETAILS, MARKS, MISHEARD } = window.spoken.words;
  const UNITS = { mm: "mm mil mils mill mills millimetre millimetres millimeter millimeters", cm: "cm cms centimetre centimetres centimeter centimeters", in: "inch inches \"", deg: "° deg degs degree degrees" };
  const UNIT = new Map(Object.entries(UNITS).flatMap(([unit, words]) => words.split(" ").map((word) => [word, unit])));

  /* A longer word of the trade with one letter too many, too few or wrong: "frunts", "trimd", "pastarn". */
  const SPELT = "angle angles length lengths heels hinds fronts before after trimmed barefoot degrees pastern height thirty fifty sixty seventy eighty ninety outside inside".split(" ");
  const OTHER = /th$|^(ankles?|alter|frosts|thirsty|lengthy|length's|heel's|insides|outsider|angled|singles?|fronted|prone)$/;  // words of their own
  function slip(word) {
    if (word.length < 5 || OTHER.test(word)) return null;
    return SPELT.find((target) => target[0] === word[0] && Math.abs(target.length - word.length) < 2 && oneOff(target, word)) ?? null;
  }
  function oneOff(one, two) {
    let at = 0, back = 0;
    while (at < one.length && one[at] === two[at]) at += 1;
    while (back < Math.min(one.length, two.length) - at && one.at(-1 - back) === two.at(-1 - back)) back += 1;
    const [left, right] = [one.length - at - back, two.length - at - back];
    return (left < 2 && right < 2) || (left === 2 && right === 2 && one[at] === two[at + 1] && one[at + 1] === two[at]);
  }
  const KNOWN = new Set([...window.spoken.numbers.words, ...UNIT.keys()]);

  const HEARD_AS = new Map(Object.entries(MISHEARD).flatMap(([word, heard]) => heard.split(" ").map((one) => [one, word])));
  const phrases = [];
  const add = (t, table, what) => { for (const [meaning, said] of Object.entries(table)) for (const words of list(said)) phrases.push({ t, words, ...what(meaning) }); };
  add("quantity", QUANTITIES, (key) => ({ key }));
  add("moment", MOMENTS, (moment) => ({ moment }));
  add("work", WORK, (what) => ({ what }));
  add("detail", DETAILS, (meaning) => { const [name, value] = meaning.split(" "); return { name, value }; });
  add("feet", GROUPS, (feet) => ({ feet: feet.split(" ") }));
  for (const [name, said] of Object.entries(MARKS)) for (const words of list(said)) phrases.push({ t: name, words });
  phrases.sort((a, b) => b.words.length - a.words.length);  // a stable order: of one length the first table wins

  const begins = new Map();
  for (const phrase of phrases) for (const word of phrase.words) KNOWN.add(word);
  for (const phrase of phrases) begins.set(phrase.words[0], [...begins.get(phrase.words[0]) ?? [], phrase]);

  const one = (table, word) => Object.keys(table).find((key) => list(table[key]).some((words) => words.length === 1 && words[0] === word));
  const pairAt = (tokens, i, table) => {
    for (const [pair, said] of Object.entries(table)) {
      const found = list(said).filter((words) => words.every((word, step) => tokens[i + step]?.word === word)).sort((a, b) => b.length - a.length)[0];
      if (found) return { pair, next: i + found.length };
    }
    return null;
  };
  const STOPS = new Set([",", ";", ".", "…", ":", "!", "?", "/", "-", "–", "—", "+", "(", ")", "&"]);

  /* Words of a side that mean something else here: "left it at", "right, so", "shoes off". */
  const LEFT_VERB = new Set("so bare barefoot it him her them at alone sound the off a over behind to happy all".split(" "));
  const WEAR = /^(wear|plenty|life|any|some|nothing|much|none|lots)$/;  // "plenty of wear left"
  const RIGHT_WORD = new Set("then as so now enough angle ok okay well how way ehm um er erm".split(" "));
  const NO_ANSWER = new Set("all that's looks about just be is".split(" "));
  const numberAt = (tokens, i) => Boolean(tokens[i] && window.spoken.numbers.read(tokens, i));
  const numberEnds = (tokens, i) => [1, 2, 3, 4].some((step) => i >= step && window.spoken.numbers.read(tokens, i - step)?.next === i) || (/^(degrees?|°)$/.test(tokens[i - 1]?.word ?? ""));
  function meansSide(tokens, i) {
    const { word } = tokens[i], next = tokens[i + 1]?.word, before = tokens[i - 1]?.word;
    const starts = i === 0 || STOPS.has(before);
    if (word === "left") return !LEFT_VERB.has(next) && !WEAR.test(before);
    if (word === "right") return !RIGHT_WORD.has(next) && !(starts && STOPS.has(next) && !/[:\-–]/.test(next) && !(i > 0 && numberAt(tokens, i + 2))) && !(NO_ANSWER.has(before) && (!next || STOPS.has(next)));
    const both = tokens.some(({ word: other }) => other === (word === "near" ? "off" : "near"));
    if (word === "near" || word === "off") return before === "the" || next === "side" || (both && (numberAt(tokens, i + 1) || starts || (numberAt(tokens, i - 1) && (!next || STOPS.has(next) || /^(and|in|up|behind)$/.test(next)))));
    return true;
  }

  const OF_BOTH = /^(toes|heels|angles|lengths|pasterns|frogs|hooves|hoofs|legs)$/;
  const ALONE = { F: "front|fore|forefoot", H: "hind|rear" };
  /* "left fore", "near hind", "left four", "LF". A side alone belongs to the pair spoken of. */
  function foot(tokens, i) {
    const { word, raw } = tokens[i];
    const short = one(FEET, word);
    if (short && (!SHORT.has(word) || (raw === raw.toUpperCase() && (!tokens[i].shouted || numberAt(tokens, i + 1))) || ((tokens.some((one) => /^n[fh]$/.test(one.word)) || (word !== "of" && word !== "oh")) && numberAt(tokens, i + 1)))) return { t: "feet", feet: [short], next: i + 1 };
    if (raw === "F" || raw === "H") return { t: "pair", pair: raw, next: i + 1 };
    /* "L F fifty-one" */
    if ((raw === "L" || raw === "R") && /^[FH]$/.test(tokens[i + 1]?.raw)) return { t: "feet", feet: [raw + tokens[i + 1].raw], next: i + 2 };
    /* "nf ta 50 / of ta 51": a line in which other feet are written so, too */
    if (short && /^(ta|tl|ha|toe|heel|angle|length)$/.test(tokens[i + 1]?.word) && (word !== "of" || (tokens.some((one) => /^(nf|nh)$/.test(one.word)) && (i === 0 || STOPS.has(tokens[i - 1].word) || numberEnds(tokens, i))))) return { t: "feet", feet: [short], next: i + 1 };
    /* "l f fifty-one" */
    if (/^[lr]$/.test(word) && /^[fh]$/.test(tokens[i + 1]?.word)) return { t: "feet", feet: [(word + tokens[i + 1].word).toUpperCase()], next: i + 2 };
    /* "L/F", "l.f." */
    if ((word === "l" || word === "r") && ["/", "."].includes(tokens[i + 1]?.word) && ["f", "h"].includes(tokens[i + 2]?.word)) {
      return { t: "feet", feet: [(word + tokens[i + 2].word).toUpperCase()], next: i + (tokens[i + 3]?.word === "." && tokens[i + 4] ? 4 : 3) };
    }
    /* "of fore fifty-one": the off fore, as a dictation writes it down. */
    if (word === "of" && raw !== "OF") {
      const pair = tokens[i + 1] && pairAt(tokens, i + 1, { F: "fore|four|front", H: "hind" });
      if (pair && numberAt(tokens, pair.next) && (i === 0 || STOPS.has(tokens[i - 1].word))) return { t: "feet", feet: [`R${pair.pair}`], next: pair.next };
    }
    const group = phrase(tokens, i);
    if (group?.t === "feet" && group.next > i + 1 && one(SIDES, word)) return group;  // "left feet"
    const side = one(SIDES, word), heard = side ? null : one(HEARD_SIDES, word);
    if (!side && !heard) {
      /* "back toes 54 55" */
      if (OF_BOTH.test(tokens[i + 1]?.word) && /^(front|fore|hind|back|rear)$/.test(word)) return { t: "feet", feet: /^f/.test(word) ? ["LF", "RF"] : ["LH", "RH"], next: i + 1 };
      if (phrase(tokens, i)?.next > i + 1) return null;
      /* "fore left", "front right" */
      const pair = pairAt(tokens, i, { F: "fore|front", H: "hind|back|rear" });
      const after = pair && tokens[pair.next] ? one(SIDES, tokens[pair.next].word) : null;
      const own = after && tokens[pair.next + 1]?.word !== "side" && !pairAt(tokens, pair.next + 1, PAIRS) && meansSide(tokens, pair.next);
      if (own) return { t: "feet", feet: [after + pair.pair], next: pair.next + 1 };
      /* "front 51/52, back 54/54" */
      if (word === "back" && numberAt(tokens, i + 1) && (i === 0 || tokens[i - 1].word === "and" || STOPS.has(tokens[i - 1].word)) && tokens.some((one) => /^(fronts?|fores?)$/.test(one.word)) && !/^(weeks?|days?)$/.test(tokens[window.spoken.numbers.read(tokens, i + 1).next]?.word ?? "")) return { t: "pair", pair: "H", next: i + 1 };
      /* "52 front 54 back" */
      const hind = /^(back|rear)$/.test(word) && numberEnds(tokens, i) && (!tokens[i + 1] || STOPS.has(tokens[i + 1].word) || /^(left|right|near|off|and)$/.test(tokens[i + 1].word));
      if (hind) return { t: "pair", pair: "H", next: i + 1 };
      const alone = pairAt(tokens, i, ALONE);
      return alone ? { t: "pair", pair: alone.pair, next: alone.next } : null;
    }
    let at = i + 1;
    while (["hand", "side"].includes(tokens[at]?.word) || (tokens[at]?.word === "the" && /^(fore|front|hind|back)$/.test(tokens[at + 1]?.word) && !/^(alone|as|for|bare|barefoot|off)$/.test(tokens[at + 2]?.word))) at += 1;
    const pair = tokens[at] ? pairAt(tokens, at, PAIRS) ?? (heard ? null : heardPair(tokens, at)) : null;
    if (!pair) return heard || !meansSide(tokens, i) ? null : { t: "side", side, next: at };
    /* "right side, front and back" */
    const then = tokens[at - 1].word === "side" && tokens[pair.next]?.word === "and" ? pairAt(tokens, pair.next + 1, PAIRS) : null;
    if (then && then.pair !== pair.pair) return { t: "feet", feet: [`${side ?? heard}F`, `${side ?? heard}H`], next: then.next };
    return { t: "feet", feet: [(side ?? heard) + pair.pair], next: pair.next };
  }
  /* "left four" is a foot; "left 4 weeks" and "left for now" are none. */
  function heardPair(tokens, at) {
    const pair = pairAt(tokens, at, HEARD_PAIRS);
    return pair && !["week", "weeks", "now", "mm", "cm", "the"].includes(tokens[pair.next]?.word) ? pair : null;
  }

  function phrase(tokens, i) {
    for (const { words, ...what } of begins.get(tokens[i].word) ?? []) {
      /* "came back two mil": no two feet. */
      if (/^(back|front) two$/.test(words.join(" ")) && (UNIT.has(tokens[i + 2]?.word) || tokens[i + 2]?.word === "point")) continue;
      if (words.length > 1 && words.at(-1) === "off" && /^(fore|four|hind)$/.test(tokens[i + words.length]?.word)) continue;  // "trimmed, off fore": the foot
      if (/^pulled (his|her)$/.test(words.join(" ")) && (i === 0 || STOPS.has(tokens[i - 1].word))) continue;  // "Pulled his back shoes."
      if (words[0] === "he'll" && !numberAt(tokens, i + words.length) && what.t === "quantity") continue;
      if (words.every((word, step) => tokens[i + step]?.word === word)) return { ...what, next: i + words.length };
    }
    return null;
  }

  const PAIR_OF_FRACTION = { "½": " 1/2 ", "¼": " 1/4 ", "¾": " 3/4 ", "⅛": " 1/8 ", "⅜": " 3/8 ", "⅝": " 5/8 ", "⅞": " 7/8 " };
  const POSSESSIVE = /^(fore|front|hind|back|left|right|near|off|toe|heel|angle|length|pastern|frog|one|other|lf|rf|lh|rh)'s$/;  // "the right hind's fifty-three"
  const PAUSE = /^(u+m+|u+h+|e+r+m?|e+hm|h+m+|a+h+)$/i;
  /* Words of one line, each with its place; a breath is none, and a number said across one is not sure. Fractions grow the line, so each sign keeps its own place. */
  function tokens(line) {
    const found = [], text = line.replace(/(?<=\d)[oO](?!\p{L})/gu, "0"), shouted = !/\p{Ll}/u.test(line);
    let paused = false;
    const pattern = /\n|[bB]4(?!\p{L})|(?:[13579]|1[135])\/(?:2|4|8|16)(?!\d|\.\d)|\d+(?:[.,]\d+)?|[½¼¾⅛⅜⅝⅞]|[\p{L}][\p{L}'’]*|["″°º]|[^\s]/gu;
    for (const match of text.matchAll(pattern)) {
      const raw = match[0], from = match.index, to = from + raw.length;
      if (raw === "\n") { found.push({ word: ";", raw, from, to }); continue; }
      if (PAUSE.test(raw)) { paused = true; continue; }
      let word = raw.toLowerCase().replaceAll("’", "'").replace("″", '"').replace("º", "°");
      if (PAIR_OF_FRACTION[raw]) word = PAIR_OF_FRACTION[raw].trim();
      word = word.replace(POSSESSIVE, "$1").replace(/^t'(?=\p{L}{3})/u, "");  // "t'fronts"
      word = HEARD_AS.get(word) ?? (KNOWN.has(word) ? word : slip(word) ?? word);
      if (/^(→|⇒|>)$/.test(word)) {  // "47->50"
        if (/^[-=–]$/.test(found.at(-1)?.word) && found.at(-1).to === from) found.pop();
        word = "→";
      }
      if (word === "w" && /^\d{1,2}$/.test(found.at(-1)?.word) && found.at(-1).to === from) word = "weeks";  // "7w"
      const list = /^(\d{2,3}),(\d{2,3})$/.exec(word);
      if (list) {  // "50,51" are two numbers; "50,5" is one
        const cut = from + list[1].length;
        found.push({ word: list[1], raw, from, to: cut }, { word: ",", raw: ",", from: cut, to: cut + 1 }, { word: list[2], raw, from: cut + 1, to });
      } else found.push({ word: word.replace(/^(\d+),(\d+)$/, "$1.$2"), raw, from, to, paused, shouted });
      paused = false;
    }
    return found.filter(({ word }, i) => !(word === "-" && found[i - 1]?.to === found[i].from && found[i + 1]?.from === found[i].to && /^(\p{L}|[1-7]\/[248]$)/u.test(found[i + 1].word)));
  }

  /* "took the hind shoes off", "fronts off" */
  function pulledHere(all, i, before) {
    const next = all[i + 1]?.word;
    const shoes = all.slice(Math.max(0, i - 5), i).some(({ word }) => /^(shoes?|took|take|taken|came|had)$/.test(word));
    const foot = /^(near|left|right)$/.test(next) && /^(fore|hind|front)$/.test(all[i + 2]?.word);  // "off fore off, near fore stayed on"
    return ["feet", "pair"].includes(before?.t) && (shoes || !next || STOPS.has(next) || next === "and" || foot) && !numberAt(all, i + 1);
  }

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
        if (all.slice(i + 1, number.next).some((token) => token.paused)) number.sure = false;
        item = { t: "number", ...number, unit, next: number.next + (unit ? 1 : 0) };
        /* "three inches and an eighth": a part behind the unit */
        const more = unit && Number.isInteger(item.value) ? window.spoken.numbers.part(all, item.next) : null;
        if (more) Object.assign(item, { value: item.value + more.value, next: more.next });
        /* "eight centimetre one": a tenth behind the unit, unless it counts something. */
        const tenth = unit === "cm" && Number.isInteger(item.value) && !more && all[item.next] ? (all[item.next].word === "one" ? { value: 1, next: item.next + 1 } : window.spoken.numbers.read(all, item.next)) : null;
        if (tenth && tenth.value < 10 && Number.isInteger(tenth.value) && !UNIT.has(all[tenth.next]?.word) && (!all[tenth.next] || /^([.,;]|both|each|left|right|near|off|lf|rf|lh|rh)$/.test(all[tenth.next].word))) Object.assign(item, { value: item.value + tenth.value / 10, next: tenth.next, sure: false });
        /* "left fore one twenty-eight": the left one twenty-eight, or a hundred and twenty-eight. */
        if (all[i - 1]?.word === "one" && item.value >= 20 && item.value < 100) item.alt = item.value + 100;
      }
      if (!item && !said && word === "off" && pulledHere(all, i, made.at(-1))) item = { t: "work", what: "pulled", next: i + 1 };
      if (word === "back" && all[i + 1]?.word === "on" && all.slice(Math.max(0, i - 6), i).some((one) => /^(put|nailed|tacked|went|shoes?|whacked|banged|popped|stuck|knocked|hung)$/.test(one.word))) item = { t: "work", what: "reset", next: i + 2 };
      /* "… and left the fronts" */
      if (!item && word === "left" && all[i + 1]?.word === "the") {
        const feet = phrase(all, i + 2);
        if (feet?.t === "feet" && (!all[feet.next] || STOPS.has(all[feet.next].word))) item = { t: "untouched", next: i + 2 };
      }
      if (said?.t === "same" && /(left|right|other)$/.test(all[said.next - 1].word) && /^(fore|front|hind|back)$/.test(all[said.next]?.word)) said.next += 1;  // "same as the left hind"
      if (said?.t === "same" && /again$/.test(all.slice(i, said.next).at(-1).word) && /shoes$/.test(made.at(-1)?.words)) item = { t: "work", what: "reset", next: said.next };  // "front shoes the same again"
      /* "chucked the hinds back on, …" */
      if (item?.t !== "work" && word === "back" && all[i + 1]?.word === "on" && ["feet", "pair"].includes(made.at(-1)?.t) && (!all[i + 2] || STOPS.has(all[i + 2].word))) item = { t: "work", what: "reset", next: i + 2 };
      /* "trimmed to fifty", "trimmed it back to fifty": a trim, and what came of it. */
      if (made.at(-1)?.what === "trimmed") {
        const to = all.slice(i, i + 5).findIndex((token) => token.word === "to");
        if (to >= 0 && all.slice(i, i + to).every((token) => /^(it|him|her|them|back|down|up)$/.test(token.word))) item = { t: "moment", moment: "after", next: i + to + 1 };
      }
      /* "left it fifty-one", "set him up fifty-two" */
      const up = all[i + 2]?.word === "up" ? 1 : 0;
      if (/^(left|set)$/.test(word) && /^(it|him|her|them)$/.test(all[i + 1]?.word) && numberAt(all, i + 2 + up)) item = { t: "moment", moment: "after", leaves: true, next: i + 2 + up };
      /* "hoof w 128 l 131" */
      if ((word === "w" || word === "l") && numberAt(all, i + 1) && all.some((one) => /^(hoof|foot)$/.test(one.word))) item = { t: "quantity", key: word === "w" ? "width" : "long", next: i + 1 };
      /* "pastern fifty-four, hoof fifty-one" */
      const pastern = [all[i - 1], all[i + 1]].some((one) => one?.word === "pastern") || (all[i - 1]?.word === "and" && all[i - 2]?.word === "pastern") || (all[i + 1]?.word === "and" && all[i + 2]?.word === "pastern");
      if (word === "hoof" && pastern) item = { t: "quantity", key: "angle", next: i + 1 };  // "hoof and pastern both fifty-two"
      if (word === "hoof" && numberAt(all, i + 1) && all.slice(0, i).some((one) => /^pasterns?$/.test(one.word))) item = { t: "quantity", key: "angle", next: i + 1 };
      item ??= said ?? { t: UNIT.has(word) ? "filler" : "word", next: i + 1 };
      made.push({ ...item, words: all.slice(i, item.next).map((token) => token.word).join(" "), from, to: all[item.next - 1].to });
      i = item.next;
    }
    return made;
  }
  window.spoken.lex = { items };
})();
