/* Values that are stepped from the last one: minus, the box to type into, plus; over the box "the same".
 *
 *   <div class="val" data-step="0.5" data-last="48.5" data-foot data-quantity data-moment>
 *     <label>, <input name="LF-toe_angle-after">, <input type="hidden" name="LF-toe_angle-after-how">
 *     <span class="before-value">was 48.5°, 10 Nov</span>
 *
 * The last value is shown dashed over the box and is not in it: a value that nobody touched is not sent. How it
 * came there (typed, stepped, confirmed, spoken, picture) goes along in the hidden field.
 *
 *   document.dispatchEvent(new CustomEvent("visit:set", { detail: { name, value, how } }))
 *
 * sets a value from elsewhere and says `detail.done = true`; visit/shoes.js and visit/next.js answer to
 * the same event for shoes and the next visit. Without JavaScript the boxes stand plain, with the last
 * values beside them. */
"use strict";
(() => {
  const SIXTEENTHS = 16;
  const isVal = (node) => node.closest?.(".val");
  const boxOf = (val) => val.querySelector("input[inputmode]");
  const howOf = (val) => val.querySelector('input[type="hidden"]');

  /* "50.5", "50,5", "3 1/4", "3/4", also with the unit shown: as the server reads them; NaN for anything
   * else, as for a value in another unit. */
  function number(text, unit) {
    const bare = text.trim();
    const plain = (unit && bare.endsWith(unit) ? bare.slice(0, -unit.length) : bare).trim().replace(",", ".");
    if (/^\d+(\.\d*)?$|^\.\d+$/.test(plain)) return Number(plain);
    const parts = /^(?:(\d+)[ -])?(\d+)\/(\d+)$/.exec(plain);
    return parts ? Number(parts[1] ?? 0) + Number(parts[2]) / Number(parts[3]) : NaN;
  }

  function written(value, step) {
    const whole = Math.floor(value + 1e-9);
    let parts = Math.round((value - whole) * SIXTEENTHS);
    if (step !== 1 / SIXTEENTHS) return String(Number(value.toFixed(2)));
    let of = SIXTEENTHS;
    while (parts && parts % 2 === 0) { parts /= 2; of /= 2; }
    return parts ? `${whole || ""} ${parts}/${of}`.trim() : String(whole);
  }

  /* The next whole step in that direction: from 48.3 by halves up to 48.5, not to 48.8. */
  function stepped(from, step, way) {
    const steps = from / step;
    const next = way > 0 ? Math.floor(steps + 1e-6) + 1 : Math.ceil(steps - 1e-6) - 1;
    return Math.max(next, 0) * step;
  }

  const baseOf = (val) => number(boxOf(val).value || val.dataset.last || "", val.dataset.unit);

  /* Beside a value that was touched: how far it is from the last one. */
  function wayWords(val) {
    const change = number(boxOf(val).value, val.dataset.unit) - number(val.dataset.last || "");
    if (Number.isNaN(change)) return "";
    const size = Number(Math.abs(change).toFixed(2));
    return size ? `${change > 0 ? "+" : "−"}${size}` : "as last";
  }

  function paint(val) {
    const box = boxOf(val);
    const isUnsaid = !box.value;
    val.classList.toggle("unsaid", isUnsaid);
    val.classList.toggle("has-last", Boolean(val.dataset.last));
    if (val.dataset.last) box.placeholder = val.dataset.last;
    val.querySelector(".same").hidden = !isUnsaid || !val.dataset.last;
    val.querySelector(".way").textContent = isUnsaid ? "" : wayWords(val);
    const stuck = Number.isNaN(baseOf(val));
    for (const button of val.querySelectorAll("[data-way]")) button.disabled = stuck;
  }

  /* `quiet`: by a script that tells of the change itself. */
  function set(val, value, how, quiet) {
    boxOf(val).value = value;
    howOf(val).value = value ? how : "";
    paint(val);
    if (!quiet) val.closest("form").dispatchEvent(new Event("input", { bubbles: true }));
  }

  function step(val, way) {
    const from = baseOf(val);
    if (Number.isNaN(from)) return;
    const size = Number(val.dataset.step);
    const how = !boxOf(val).value || ["stepped", "confirmed"].includes(howOf(val).value) ? "stepped" : "typed";
    set(val, written(stepped(from, size, way), size), how);
    say(val);
  }

  const nameOf = (val) => (val.querySelector("label") ?? document.querySelector(`label[for="${boxOf(val).id}"]`))
    ?.textContent.replace(/\s+/g, " ").trim() ?? "";
  const say = (val) => document.dispatchEvent(new CustomEvent("announce", { detail: { words: boxOf(val).value || "cleared" } }));

  function button(words, name, act) {
    const made = document.createElement("button");
    made.type = "button";
    made.append(words);
    made.setAttribute("aria-label", name);
    made.addEventListener("click", act);
    return made;
  }

  /* "as 10 Nov", of another year "as Nov 2025": there is no more room under the number. */
  function asWhen(was) {
    const [day, month, year] = was.split(", ")[1]?.split(" ") ?? [];
    if (!year) return "as last";
    return `as ${Number(year) === new Date().getFullYear() ? `${day} ${month}` : `${month} ${year}`}`;
  }

  /* The last value lies over the empty box: a tap takes it as measured, the same; another opens the box. */
  function sameButton(val, name) {
    const made = button("", "", (event) => {
      set(val, val.dataset.last, "confirmed");
      say(val);
      if (!event.detail) boxOf(val).focus(); /* by keyboard: the button is gone */
    });
    made.className = "same";
    made.removeAttribute("aria-label");
    const part = (tag, textContent, className) => Object.assign(document.createElement(tag), { textContent, className, ariaHidden: "true" });
    made.append(part("b", val.dataset.last, ""), part("span", asWhen(val.dataset.was), "when"));
    made.append(Object.assign(document.createElement("span"), { className: "unseen", textContent: `same: ${val.dataset.was}, ${name}` }));
    return made;
  }

  function dress(val) {
    if (val.classList.contains("dressed")) return;
    const box = boxOf(val);
    const was = val.querySelector(".before-value");
    val.dataset.was = val.dataset.last ? was?.textContent.trim().replace(/^was /, "") ?? "" : "";
    was?.remove();
    const name = nameOf(val);
    const less = button("−", `${name}: less`, () => step(val, -1));
    const more = button("+", `${name}: more`, () => step(val, 1));
    less.dataset.way = "-1";
    more.dataset.way = "1";
    const way = Object.assign(document.createElement("span"), { className: "way" });
    box.before(less);
    box.after(more);
    howOf(val).after(sameButton(val, name), way);
    val.classList.add("dressed");
    paint(val);
  }

  /* A row that was not offered at first, from the list at the end. */
  function addRow(key) {
    const list = document.getElementById("visit-added");
    const option = list && [...list.options].find((one) => one.value === key);
    const extra = list?.form.elements.namedItem("extra");
    if (!option || !key) return false;
    const [quantity, moment] = key.split("-");
    for (const more of document.querySelectorAll("[data-more]")) {
      const feet = more.dataset.feet.trim().split(" ");
      const wanted = option.dataset.feet.split(" ").filter((foot) => feet.includes(foot));
      if (!wanted.length) continue;
      const row = document.createElement("fieldset");
      row.className = "vals";
      row.dataset.row = key;
      row.append(Object.assign(document.createElement("legend"), { textContent: `${option.textContent.trim()}, ${option.dataset.unit}` }));
      for (const foot of feet) row.append(wanted.includes(foot) ? newVal(foot, quantity, moment, option) : document.createElement("div"));
      more.append(row);
    }
    if (!extra.value.split(" ").includes(key)) extra.value = `${extra.value} ${key}`.trim();
    addMethod(quantity, option);
    option.remove();
    list.closest("details").open = true;
    return true;
  }

  /* What it was measured with, where that is not as for the others: like the fields of the page. */
  function addMethod(quantity, option) {
    const name = `method-${quantity}`;
    const holder = document.querySelector("[data-methods-of]");
    if (!holder || holder.querySelector(`[name="${name}"]`)) return;
    const field = document.createElement("div");
    field.className = "field";
    const general = document.getElementById(option.dataset.unit === "°" ? "id_angle_method" : "id_length_method");
    const select = general.cloneNode(true);
    const fits = option.dataset.methods.split(" ");
    for (const one of [...select.options]) if (!fits.includes(one.value)) one.remove();
    select.prepend(new Option("as above", "", true, true));
    Object.assign(select, { name, id: `id_${name}` });
    const words = option.textContent.split(",")[0].trim();
    field.append(Object.assign(document.createElement("label"), { htmlFor: select.id, textContent: words }), select);
    holder.append(field);
  }

  function newVal(foot, quantity, moment, option) {
    const val = document.createElement("div");
    val.className = "val";
    const was = JSON.parse(option.dataset.was)[foot] ?? "";
    const last = was.split(",")[0].split(" ")[0].replace("°", "");
    Object.assign(val.dataset, { foot, quantity, moment, step: option.dataset.step, unit: option.dataset.unit, last });
    const name = `${foot}-${quantity}-${moment}`;
    const title = document.getElementById(`foot-${foot}`)?.querySelector("h2")?.textContent.trim() ?? foot;
    const label = Object.assign(document.createElement("label"), { className: "unseen", htmlFor: `id_${name}`, textContent: `${option.textContent.trim()}, ${title}` });
    const box = Object.assign(document.createElement("input"), { type: "text", name, id: `id_${name}`, autocomplete: "off", enterKeyHint: "next" });
    box.inputMode = option.dataset.unit === "in" ? "text" : "decimal";
    const how = Object.assign(document.createElement("input"), { type: "hidden", name: `${name}-how` });
    how.dataset.keepField = "";
    val.append(label, box, how);
    if (was) val.append(Object.assign(document.createElement("span"), { className: "before-value", textContent: was }));
    dress(val);
    return val;
  }

  const keysIn = (text) => text.split(" ").filter(Boolean);

  document.addEventListener("input", (event) => {
    const val = event.target.matches?.(".val input[inputmode]") && isVal(event.target);
    if (!val) return;
    howOf(val).value = event.target.value ? "typed" : "";
    paint(val);
  });
  document.addEventListener("change", (event) => {
    const val = isVal(event.target);
    if (val?.classList.contains("dressed")) paint(val);
    if (event.target.name === "extra") keysIn(event.target.value).forEach(addRow);
  });
  /* Before what was kept is put back: the rows that it needs. */
  document.addEventListener("keep:fill", (event) => {
    const extra = event.detail.values.find(([name]) => name === "extra")?.[1] ?? "";
    keysIn(extra).forEach(addRow);
  });
  document.addEventListener("visit:set", (event) => {
    const { name, value, how } = event.detail;
    const key = name.split("-").slice(1).join("-");
    const find = () => document.querySelector(`.val [name="${CSS.escape(name)}"]`);
    const box = find() ?? (addRow(key) ? find() : null);
    if (!box) return;
    isVal(box).closest("details")?.setAttribute("open", "");
    set(isVal(box), String(value), how ?? "typed");
    event.detail.done = true;
  });
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || !event.target.matches?.(".val input[inputmode]")) return;
    event.preventDefault();
    const all = [...document.querySelectorAll(".val input[inputmode]")].filter((box) => box.checkVisibility?.() ?? box.offsetParent);
    all[all.indexOf(event.target) + 1]?.focus();
  });
  document.querySelector("[data-add]")?.addEventListener("click", (event) => {
    event.preventDefault();
    const list = document.getElementById("visit-added");
    const key = list.value;
    if (!addRow(key)) return;
    document.querySelector(`[data-row="${CSS.escape(key)}"] .val input[inputmode]`)?.focus();
  });

  /* What was measured lately is one tap away: its rows are made when the fold is opened. */
  const addLately = () => document.querySelectorAll("#visit-added [data-lately]").forEach((one) => addRow(one.value));
  document.querySelector("[data-add-lately]")?.remove();
  document.getElementById("visit-more")?.addEventListener("toggle", (event) => { if (event.target.open) addLately(); });

  document.querySelectorAll(".val").forEach(dress);
})();
