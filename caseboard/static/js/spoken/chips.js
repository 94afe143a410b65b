/* The line that is spoken or typed, and what was understood of it, as chips to take one by one or at once.
 *
 *   <div class="spoken" data-length-unit="cm" hidden>
 *     <label>, <textarea id="spoken-line">, <div data-heard>
 *
 * Nothing enters the form before somebody took the chip that shows it. What may mean something else, or
 * stands against what is in the form by now, is not taken with the others. What was not understood stays
 * in the box as text, and can go to the words for the team. */
"use strict";
(() => {
  const holder = document.querySelector(".spoken");
  const form = document.getElementById("visit-form");
  if (!holder || !form || !window.spoken?.read) return;
  const PAUSE_MS = 600;  // house default: a breath in a dictation
  const box = holder.querySelector("textarea");
  const heard = holder.querySelector("[data-heard]");
  const unit = holder.dataset.lengthUnit;
  const PER_UNIT = { mm: 1, cm: 10, in: 25.4 };
  const PAIR = { "LF RF": "fronts", "LH RH": "hinds", "LF RF LH RH": "all four feet" };
  const WORK = { reset: "shoe reset", new: "new shoe", pulled: "shoe taken off", barefoot: "barefoot", trimmed: "trimmed" };
  const AS_LAST = { reset: "reset", new: "new", barefoot: "bare" };

  const field = (name) => form.elements.namedItem(name);
  const footWords = (foot) => document.querySelector(`#foot-${foot} h2`)?.textContent.trim() ?? foot;
  const upper = (words) => words.charAt(0).toUpperCase() + words.slice(1);
  const quantityWords = (key) => key.replace(/^heel_length_(.*)$/, (_, side) => `${side === "medial" ? "inside" : "outside"} heel length`)
    .replace("coronary_circumference", "coronet circumference").replaceAll("_", " ");
  const isAngle = (key) => key.endsWith("_angle");
  const shown = ({ quantity, value }) => (isAngle(quantity) ? `${value}°` : `${typed({ quantity, value })} ${unit}`);
  const typed = ({ quantity, value }) => String(Number((isAngle(quantity) ? value : value / PER_UNIT[unit]).toFixed(isAngle(quantity) || unit === "mm" ? 2 : 3)));

  /* The last values, in degrees and mm: they tell a toe angle from a toe length. */
  function last() {
    const found = {};
    for (const val of document.querySelectorAll(".val[data-foot]")) {
      const { foot, quantity, moment } = val.dataset;
      const value = Number((val.dataset.last || val.dataset.was || "").replace(",", "."));
      if (value && moment === "after") found[`${foot} ${quantity}`] = value * (isAngle(quantity) ? 1 : PER_UNIT[unit]);
    }
    return found;
  }

  const listWords = (parts) => parts.map((one, at) => `${at ? one.feet.map(footWords).join().toLowerCase() : footWords(one.feet[0])} ${shown(one)}`).join(", ");
  const feetWords = (feet) => PAIR[feet.join(" ")] ?? feet.map(footWords).join(" and ").toLowerCase();

  function words({ feet, ...chip }) {
    switch (chip.kind) {
      case "value": return `${upper(feetWords(feet))}: ${quantityWords(chip.quantity)}${chip.moment === "before" ? " before the trim" : ""} ${shown(chip)}${chip.same ? ", the same as last" : ""}`;
      case "list": return `${upper(quantityWords(chip.parts[0].quantity))}${chip.parts[0].moment === "before" ? " before the trim" : ""}: ${listWords(chip.parts)}`;
      case "work": return `${upper(feetWords(feet))}: ${WORK[chip.what]}`;
      case "detail": return `${upper(feetWords(feet))}: ${detailWords(chip)}`;
      default: return `Next visit: ${nextWords(chip)}`;
    }
  }
  function detailWords({ name, value }) {
    if (name === "size") return `size ${value}`;
    if (name === "nails" && value !== "0") return `${value} nails`;
    const option = document.getElementById("foot-fields")?.content.querySelector(`[name="XX-${name}"] option[value="${CSS.escape(value)}"]`);
    return option?.textContent.trim() ?? value;
  }
  function dayOf({ day, month, weekday, later }) {
    const begin = field("kept_on")?.value || new Date().toISOString().slice(0, 10);
    if (weekday !== undefined) {
      const from = new Date(`${begin}T12:00Z`).getUTCDay();
      return daysOn(((weekday - from + 6) % 7) + 1 + (later ? 7 : 0));
    }
    const year = Number(begin.slice(0, 4));
    const iso = (of) => `${of}-${String(month).padStart(2, "0")}-${String(day).padStart(2, "0")}`;
    return iso(year) > begin ? iso(year) : iso(year + 1);
  }
  function nextWords(chip) {
    if (chip.weeks) return `in ${chip.weeks === 1 ? "1 week" : `${chip.weeks} weeks`}`;
    if (chip.days) return `in ${chip.days} days`;
    return new Date(`${dayOf(chip)}T12:00`).toLocaleDateString("en-GB", { weekday: "short", day: "numeric", month: "short", year: "numeric" });
  }

  /* The same thing said of several feet is one chip. */
  function gathered(chips) {
    const found = new Map();
    for (const { foot, ...chip } of chips) {
      const { sure, ...what } = chip;
      const key = JSON.stringify([what, what.list === undefined ? "" : foot]);
      const one = found.get(key) ?? { ...chip, feet: [] };
      if (foot) one.feet.push(foot);
      one.sure = one.sure && sure;
      found.set(key, one);
    }
    return listed([...found.values()]);
  }
  /* Values that were said as a list are one chip: left before right, or all of them wrong. */
  function listed(chips) {
    const lists = new Map();
    for (const chip of chips) if (chip.list !== undefined) lists.set(chip.list, [...lists.get(chip.list) ?? [], chip]);
    return [...chips.filter((chip) => chip.list === undefined), ...[...lists.values()].map((parts) => ({ kind: "list", parts, sure: false }))];
  }

  const say = (name, value) => {
    const detail = { name, value, how: "spoken", done: false };
    document.dispatchEvent(new CustomEvent("visit:set", { detail }));
    return detail.done;
  };

  function setWork(feet, what) {
    if (what === "trimmed") {
      for (const foot of feet) { const tick = field(`${foot}-trimmed`); if (tick) tick.checked = true; }
      form.dispatchEvent(new Event("input", { bubbles: true }));
      return true;
    }
    return feet.every((foot) => {
      if (what === "pulled") return say(`${foot}-shoe`, "pulled") && (say(`${foot}-left`, "barefoot") || true);
      const pair = form.querySelector(`[data-as-last][value="${foot[1] === "F" ? "fronts" : "hinds"}-${AS_LAST[what]}"]`);
      const fills = Object.entries(JSON.parse(pair?.dataset.asLast ?? "{}")).filter(([name]) => name.startsWith(`${foot}-`));
      if (fills.length) return fills.map(([name, value]) => say(name, value)).some(Boolean);
      return what !== "barefoot" && say(`${foot}-shoe`, what);
    });
  }

  function take(chip) {
    switch (chip.kind) {
      case "value": return chip.feet.map((foot) => say(`${foot}-${chip.quantity}-${chip.moment}`, typed(chip))).every(Boolean);
      case "list": return chip.parts.map(take).every(Boolean);
      case "work": return setWork(chip.feet, chip.what);
      case "detail": return chip.feet.map((foot) => say(`${foot}-${chip.name}`, chip.value)).every(Boolean);
      default: return chip.weeks ? say("next_weeks", chip.weeks) : say("next_on", chip.days ? daysOn(chip.days) : dayOf(chip));
    }
  }
  function daysOn(days) {
    const begin = Date.parse(field("kept_on")?.value || new Date().toISOString().slice(0, 10));
    return new Date(begin + days * 86400000).toISOString().slice(0, 10);
  }

  /* What stands in the form by now and would be written over. */
  function instead(chip) {
    if (chip.kind === "list") return chip.parts.map(instead).find(Boolean) ?? "";
    if (chip.kind !== "value") return "";
    const was = chip.feet.map((foot) => field(`${foot}-${chip.quantity}-${chip.moment}`)?.value ?? "").find((value) => value && value !== typed(chip));
    return was ? ` instead of ${was}` : "";
  }

  let chips = [];
  let rest = [];

  function button(text, className, act) {
    const made = Object.assign(document.createElement("button"), { type: "button", className, textContent: text });
    made.addEventListener("click", act);
    return made;
  }

  function after(taken) {
    const failed = taken.filter((chip) => !take(chip));
    rest.push(...failed.map(words));
    chips = chips.filter((chip) => !taken.includes(chip));
    const done = taken.length - failed.length;
    box.value = chips.length ? box.value : rest.join(", ");
    paint();
    document.dispatchEvent(new CustomEvent("announce", { detail: { words: `${done === 1 ? "1 thing" : `${done} things`} put into the form.` } }));
    (heard.querySelector("button") ?? box).focus({ preventScroll: true });
  }

  function paint() {
    heard.replaceChildren();
    heard.hidden = !chips.length && !rest.length;
    if (heard.hidden) return;
    const sure = chips.filter((chip) => chip.sure);
    if (sure.length) {
      const list = document.createElement("ul");
      for (const chip of sure) list.append(Object.assign(document.createElement("li"), { textContent: words(chip) }));
      heard.append(list, button(sure.length === 1 ? "Put it in" : `Put all ${sure.length} in`, "btn-main", () => after(sure)));
    }
    for (const chip of chips.filter((one) => !one.sure)) {
      heard.append(button(`${words(chip)}${chip.instead} – is that right?`, "btn unsure", () => after([chip])));
    }
    if (rest.length) {
      const line = document.createElement("p");
      line.textContent = `Not read: ${rest.join("; ")}`;
      heard.append(line, button("Put this into the words for the team", "btn", () => {
        const team = field("words");
        team.value = [team.value.trim(), rest.join(", ")].filter(Boolean).join(". ");
        rest = [];
        if (!chips.length) box.value = "";
        team.dispatchEvent(new Event("input", { bubbles: true }));
        paint();
      }));
    }
  }

  function readLine() {
    const found = window.spoken.read(box.value, { lengthUnit: unit, last: last() });
    chips = gathered(found.chips).map((chip) => ({ ...chip, instead: instead(chip) })).map((chip) => ({ ...chip, sure: chip.sure && !chip.instead }));
    rest = found.rest;
    paint();
  }

  let later = 0;
  box.addEventListener("input", () => { clearTimeout(later); later = setTimeout(readLine, PAUSE_MS); });
  box.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || event.shiftKey || event.isComposing) return;
    event.preventDefault();
    clearTimeout(later);
    readLine();
  });
  /* What stands in the line is not in the form: saved as it is, it would be lost without a word. */
  const LEFT = "Not saved yet: this line is not in the form. Put it in, or empty the line.";
  addEventListener("submit", (event) => {
    if (event.target !== form || event.submitter?.name) return;
    clearTimeout(later);
    readLine();
    if (heard.hidden) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    heard.prepend(Object.assign(document.createElement("p"), { className: "error", textContent: LEFT }));
    document.dispatchEvent(new CustomEvent("announce", { detail: { words: LEFT } }));
    (heard.querySelector("button") ?? box).focus();
  }, true); // on the window, before what sends the form
  holder.hidden = false;
  if (box.value.trim()) readLine();
})();
