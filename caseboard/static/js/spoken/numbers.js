/* Numbers as they are said: "fifty and a half", "eight point two", "eight two", "3 1/4".
 *
 * read(tokens, i) -> null, or { value, next, sure, text }: `next` is the first token behind the number,
 * `sure` is false where the words could mean another number as well; `spelt` where "five one" may be 51, too. */
"use strict";
window.spoken = window.spoken ?? {};
(() => {
  const ONES = { oh: 0, o: 0, zero: 0, nought: 0, one: 1, two: 2, three: 3, four: 4, five: 5, six: 6, seven: 7, eight: 8, ate: 8, nine: 9 };
  const TEENS = { ten: 10, eleven: 11, twelve: 12, thirteen: 13, fourteen: 14, fifteen: 15, sixteen: 16, seventeen: 17, eighteen: 18, nineteen: 19 };
  const TENS = { twenty: 20, thirty: 30, forty: 40, fifty: 50, sixty: 60, seventy: 70, eighty: 80, ninety: 90 };
  const HEARD = { to: 2, won: 1, ate: 8, fife: 5, tree: 3, free: 3, sex: 6, sick: 6, sicks: 6 };  // behind a ten only
  const PARTS = [
    ["and a half", 0.5], ["and a haff", 0.5], ["n a half", 0.5], ["and half", 0.5], ["and 1/2", 0.5], ["a half", 0.5], ["1/2", 0.5], ["half", 0.5], ["and one half", 0.5],
    ["and a quarter", 0.25], ["and quarter", 0.25], ["and 1/4", 0.25], ["a quarter", 0.25], ["1/4", 0.25], ["and one quarter", 0.25],
    ["and three quarters", 0.75], ["and 3/4", 0.75], ["three quarters", 0.75], ["3/4", 0.75],
    ["and an eighth", 0.125], ["and 1/8", 0.125], ["an eighth", 0.125], ["and one eighth", 0.125], ["1/8", 0.125], ["and three eighths", 0.375], ["and 3/8", 0.375], ["three eighths", 0.375], ["3/8", 0.375], ["and five eighths", 0.625], ["and 5/8", 0.625], ["five eighths", 0.625], ["5/8", 0.625], ["and seven eighths", 0.875], ["and 7/8", 0.875], ["seven eighths", 0.875], ["7/8", 0.875],
  ].map(([said, value]) => [said.split(" "), value]);

  const POINT = /^(point|dot|decimal|comma)$/;
  const has = (table, word) => Object.hasOwn(table, word);
  const oneDigit = (token) => token && (has(ONES, token.word) || /^\d$/.test(token.word));
  const digit = (token) => (has(ONES, token.word) ? ONES[token.word] : Number(token.word));

  function part(tokens, i) {
    for (const [said, value] of PARTS) {
      if (said.every((word, step) => tokens[i + step]?.word === word)) return { value, next: i + said.length };
    }
    return null;
  }

  /* "point five", "point two five" */
  function decimals(tokens, i) {
    if (!POINT.test(tokens[i]?.word ?? "")) return null;
    let digits = "", at = i + 1;
    while (oneDigit(tokens[at]) && digits.length < 2) digits += digit(tokens[at++]);
    if (!digits && /^\d{1,2}$/.test(tokens[at]?.word ?? "")) digits = tokens[at++].word;
    return digits ? { value: Number(`0.${digits}`), next: at } : null;
  }

  function whole(tokens, i) {
    const { word } = tokens[i];
    if (/^\d+(\.\d+)?$/.test(word)) return { value: Number(word), next: i + 1, digits: true, point: word.includes(".") };
    if (has(ONES, word) && ONES[word] > 1 && tokens[i + 1]?.word === "hundred") {
      const more = whole(tokens, i + 1);
      return { ...more, value: more.value - 100 + 100 * ONES[word] };
    }
    if (word === "hundred" || ((word === "a" || word === "one") && tokens[i + 1]?.word === "hundred")) {
      let at = i + (word === "hundred" ? 1 : 2);
      if (tokens[at]?.word === "and" && whole(tokens, at + 1)?.value < 100 && tokens[at + 1].word !== "a") at += 1;
      const more = tokens[at] && !["hundred", "a"].includes(tokens[at].word) ? whole(tokens, at) : null;
      return more && more.value < 100 ? { ...more, value: 100 + more.value } : { value: 100, next: at };
    }
    /* "one twenty two": a hundred and twenty-two, but not "the left one twenty-two" or "the steep one fifty-four". */
    const called = /^(the|that|this)$/.test(tokens[i - 2]?.word) && !/^(width|circumference|coronet|band|hoof|foot|frog|length|toe|toes|wide|long|across)$/.test(tokens[i - 1]?.word);
    if (word === "one" && has(TENS, tokens[i + 1]?.word) && !called && !/^(the|this|that|left|right|near|off|other|first|second|each|new|old|which|hind|front|fore|back)$/.test(tokens[i - 1]?.word)) {
      const more = whole(tokens, i + 1);
      return { ...more, value: 100 + more.value };
    }
    if (has(TENS, word)) {
      const one = tokens[i + 1], then = tokens[i + 2]?.word;
      /* "fifty to" at the end of a piece: fifty-two, as a dictation hears it. */
      if (one && has(HEARD, one.word) && (!then || /^[.,;!?]$|^(left|right|near|off|lf|rf|lh|rh|degrees|and|heel|toe)$/.test(then))) return { value: TENS[word] + HEARD[one.word], next: i + 2, tens: true, units: true, heard: true };
      if (one?.word === "for" && POINT.test(then ?? "")) return { value: TENS[word] + 4, next: i + 2, tens: true, units: true, heard: true };  // "fifty for point five"
      const units = one && has(ONES, one.word) && ONES[one.word] > 0;
      return units ? { value: TENS[word] + ONES[one.word], next: i + 2, tens: true, units: true } : { value: TENS[word], next: i + 1, tens: true };
    }
    if (has(TEENS, word)) return { value: TEENS[word], next: i + 1 };
    if (has(ONES, word) && ONES[word] > 0 && (word !== "one" || counts(tokens, i))) return { value: ONES[word], next: i + 1, one: true };
    return null;
  }

  /* How many words of one digit follow each other from here; one that counts weeks or nails is its own. */
  const COUNTED = new Set("week weeks wk wks day days month months nail nails hole holes each of inch inches cm centimetre centimetres".split(" "));
  function run(tokens, i) {
    let count = 0;
    while (oneDigit(tokens[i + count])) count += 1;
    return COUNTED.has(tokens[i + count]?.word) ? Math.max(count - 1, 0) : count;
  }
  /* "that one", "the other one": no number. */
  const counts = (tokens, i) => ["point", "hundred", "half", "quarter", "mm", "mil", "cm", "centimetre", "inch", "week", "month"].includes(tokens[i + 1]?.word) || (tokens[i + 1]?.word === "and" && part(tokens, i + 1) !== null);

  function read(tokens, i) {
    const begun = whole(tokens, i);
    if (!begun) return null;
    let { value, next } = begun;
    let sure = !begun.heard, spelt = false;
    const more = begun.point ? null : decimals(tokens, next) ?? part(tokens, next);
    if (more) {
      /* "fifty one half": 50.5 or 51.5 */
      if (begun.units && value % 10 === 1 && /^(half|quarter)$/.test(tokens[next].word)) sure = false;
      value += more.value;
      next = more.next;
    }
    else if (begun.one || (begun.digits && !begun.point && value <= 12)) {
      /* "eight two" is 8.2; three in a row cannot be told. */
      const follow = run(tokens, next);
      if (follow === 1) {
        const rest = decimals(tokens, next + 1);
        /* "four nine point five" */
        if (rest) return { value: value * 10 + digit(tokens[next]) + rest.value, next: rest.next, sure: true };
        value += digit(tokens[next]) / 10;
        next += 1;
        spelt = true;
      }
      else if (follow > 1) {
        /* "toes seven eight seven nine": two of them, as a rule. */
        sure = false;
        if (follow === 3) { value += digit(tokens[next]) / 10; next += 1; spelt = true; }
      }
    } else if (begun.tens) {
      /* "fifty three eight point one": two numbers */
      const follow = POINT.test(tokens[next + 1]?.word ?? "") ? 0 : run(tokens, next);
      if (follow === 1) {
        /* "fifty one five" is 51.5. "fifty eight two" may be 58.2, or 50 and a toe of 8.2 cm, "fifty one eight" too. */
        sure = (!begun.units || value % 10 < 6) && digit(tokens[next]) < 7;
        value += digit(tokens[next]) / 10;
        next += 1;
      } else if (follow > 1 || (begun.units && value % 10 > 5 && oneDigit(tokens[next]) && /^(cm|centimet)/.test(tokens[next + 1]?.word))) sure = false;  // "fifty eight eight centimetres"
    }
    return { value: Math.round(value * 1000) / 1000, next, sure, spelt };
  }
  window.spoken.numbers = { read, part, words: [...Object.keys(ONES), ...Object.keys(TEENS), ...Object.keys(TENS)] };
})();
