/* The next visit, in weeks from the day of this one; the day stands beside and can be chosen as ever.
 *
 * The day follows the box that names the booked visit, as long as nobody changed it; the hidden field
 * "next_offered" has both days. Without JavaScript the server does the same. */
"use strict";
(() => {
  /* What stands beside a closed fold holds only as long as nothing in it was changed. */
  document.getElementById("visit-start")?.addEventListener("change", (event) => event.currentTarget.querySelector("summary .soft")?.remove());

  const holder = document.querySelector("[data-weeks]");
  const form = holder?.closest("form");
  const day = form?.elements.namedItem("next_on");
  if (!day) return;
  const DAY_MS = 86400000;
  const begin = () => Date.parse(form.elements.namedItem("kept_on")?.value || new Date().toISOString().slice(0, 10));
  const days = () => Math.round((Date.parse(day.value) - begin()) / DAY_MS);

  function words() {
    if (!day.value || Number.isNaN(days())) return "no day";
    const weeks = Math.floor(days() / 7), rest = days() % 7;
    if (days() < 7) return days() === 1 ? "1 day" : `${days()} days`;
    return `${weeks === 1 ? "1 week" : `${weeks} weeks`}${rest ? `, ${rest === 1 ? "1 day" : `${rest} days`}` : ""}`;
  }
  const shown = document.createElement("output");
  shown.className = "weeks-said";
  const paint = () => { shown.value = words(); };

  function set(iso) {
    day.value = iso;
    paint();
    form.dispatchEvent(new Event("input", { bubbles: true }));
    document.dispatchEvent(new CustomEvent("announce", { detail: { words: `${words()}: ${day.value || "no next visit"}` } }));
  }
  const weeks = (count) => set(new Date(begin() + count * 7 * DAY_MS).toISOString().slice(0, 10));
  function step(way) {
    const now = day.value ? days() / 7 : Math.round((Date.parse(day.defaultValue) - begin()) / DAY_MS / 7 || 0) - way;
    weeks(Math.max(1, way > 0 ? Math.floor(now) + 1 : Math.ceil(now) - 1));
  }
  function button(sign, name, way) {
    const made = Object.assign(document.createElement("button"), { type: "button", textContent: sign });
    made.setAttribute("aria-label", name);
    made.addEventListener("click", () => step(way));
    return made;
  }
  const steps = document.createElement("div");
  steps.className = "weeks";
  steps.append(button("−", "Next visit: a week earlier", -1), shown, button("+", "Next visit: a week later", 1));
  holder.append(steps);
  holder.classList.add("dressed");
  paint();
  form.addEventListener("input", paint);
  form.addEventListener("change", paint);

  const planned = form.querySelector('[name="planned"][type="checkbox"]');
  const offered = form.elements.namedItem("next_offered");
  planned?.addEventListener("change", (event) => {
    const [first, after] = offered?.value.split(" ") ?? [];
    if (!event.isTrusted || !after) return;
    if (planned.checked && day.value === first) day.value = after;
    else if (!planned.checked && day.value === after) day.value = first;
    paint();
  });

  document.addEventListener("visit:set", (event) => {
    const { name, value } = event.detail;
    if (name === "next_weeks" && Number(value) > 0) weeks(Number(value));
    else if (name === "next_on") set(String(value));
    else return;
    event.detail.done = true;
  });
})();
