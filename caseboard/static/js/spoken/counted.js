/* Numbers that stand beside a horse's feet and measure none: money, weights, grades, cracks, sizes. */
"use strict";
window.spoken = window.spoken ?? {};
(() => {
  const { LIGHT, beyond } = window.spoken.feet;
  const { isHard } = window.spoken.doubt;
  const MONEY = /^(quid|bucks?|pounds?|euros?|dollars|pence|£|€|\$|cash|paid|owes|invoice|bill|charged?|costs?)$/;

  /* "sixty quid", "a crack of fifty mil": the number beside such a word is no measurement of the foot. */
  function foreign(items) {
    items.forEach((item, i) => {
      if (item.t !== "foreign" && item.t !== "odd") return;
      item.used = false;
      const kill = (at, dead) => {
        const number = items[at];
        if (number?.t !== "number") return;
        if (items[at - 1]?.t === "quantity" || items[at].unit === "deg") { if (!dead) return; number.shaky = true; } else if (dead) Object.assign(number, { t: "foreign" });
        else number.shaky = true;
      };
      let before = i - 1;
      while (items[before] && (LIGHT.has(items[before].t) || items[before].t === "word") && i - before < 3) before -= 1;
      const direct = before === i - 1 || (before === i - 2 && items[i - 1].words === "of");
      kill(before, item.t === "foreign" ? direct : direct && items[before]?.unit && items[before].unit !== "deg");
      let after = i + 1;
      while (items[after] && (LIGHT.has(items[after].t) || ["word", "moment", "hedge"].includes(items[after].t)) && after - i < 6) after += 1;
      if (item.t === "odd" || "£€$".includes(item.words) || /^(grade|cost|costs|charge|charged|bill|weighs|weight|score|temperature|temps?|resp|respiration|heart rate|pulse|phone|ring|number|paid|pay|owes|invoice|bill)$/.test(item.words)) {
        kill(after, true);
        if (items[after]?.t === "feet") kill(beyond(items, after), Boolean(items[beyond(items, after)]?.unit));
      }
    });
    /* "A crack on the left hind, four centimetres" */
    let ill = false;
    items.forEach((item, i) => {
      if (isHard(item) || (item.t === "quantity" && !/^(inside|outside|long|width)$/.test(item.key))) ill = false;
      if (item.t === "odd") ill = true;
      if (ill && item.t === "number" && item.unit && item.unit !== "deg") item.t = "foreign";
    });
    /* "size six in front and five behind"; "paid a hundred and twenty for the fronts, hinds forty" */
    let size = false, money = false;
    items.forEach((item, i) => {
      if (isHard(item)) size = money = false;
      if (MONEY.test(item.words)) money = true;
      if (money && item.t === "number" && !item.unit) item.shaky = true;
      if (item.t === "size") size = true;
      else if (size && item.t === "number" && items[i - 1]?.t !== "size" && item.value <= 14 && !item.unit && !["nails", "weeks", "days"].includes(items[i + 1]?.t)) item.t = "foreign";
    });
  }
  window.spoken.counted = { weigh: foreign };
})();
