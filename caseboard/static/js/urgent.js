/* Vets' numbers in this phone, for the urgent page without a connection, and the worker that keeps the page.
 *
 *   <… data-emergency="+00 000 000" data-emergency-id="horse id" data-emergency-horse="Name" data-emergency-label="Out of hours">
 *
 * on a board writes the number down (an empty data-emergency takes that horse's number out again). */
"use strict";
(() => {
  const NAME = "urgent:numbers";
  const read = () => { try { return JSON.parse(localStorage.getItem(NAME)) ?? {}; } catch { return {}; } };
  const write = (numbers) => { try { localStorage.setItem(NAME, JSON.stringify(numbers)); } catch { /* no storage here */ } };

  function writeDown() {
    const found = document.querySelectorAll("[data-emergency]");
    if (!found.length) return;
    const numbers = read();
    const seen = new Set();
    for (const spot of found) {
      const { emergency, emergencyId, emergencyHorse, emergencyLabel } = spot.dataset;
      const id = emergencyId || emergencyHorse || "horse";
      if (!seen.has(id)) { delete numbers[id]; seen.add(id); }
      if (emergency) (numbers[id] ??= []).push({ phone: emergency, horse: emergencyHorse ?? "", label: emergencyLabel ?? "" });
    }
    write(numbers);
  }

  /* What a phone is given to ring, as caseboard/lib/phone.py makes it. */
  function dialled(phone) {
    const number = phone.replace(/((?:\+|00)[0-9 ./-]*)\(0\)/g, "$1").replace(/(?:ext|x).*/i, "");
    return number.replace(/[^+0-9]/g, "");
  }

  /* One line a number: a yard's vet looks after many horses. */
  function byNumber(all) {
    const lines = new Map();
    for (const { phone, horse, label } of all) {
      const key = dialled(phone);
      const line = lines.get(key) ?? { phone, horses: new Set(), labels: new Set() };
      if (horse) line.horses.add(horse);
      if (label) line.labels.add(label);
      lines.set(key, line);
    }
    return [...lines.values()];
  }

  function line({ phone, horses, labels }) {
    const item = document.createElement("li");
    const link = document.createElement("a");
    link.className = "phone";
    link.href = `tel:${dialled(phone)}`;
    link.textContent = `${phone} `;
    const who = document.createElement("small");
    who.textContent = [[...labels].join(", "), [...horses].join(", ")].filter(Boolean).join(": ");
    link.append(who);
    item.append(link);
    return item;
  }

  function show() {
    const box = document.querySelector("[data-urgent-numbers]");
    const all = Object.values(read()).flat();
    if (!box || !all.length) return;
    box.querySelector("[data-urgent-list]").replaceChildren(...byNumber(all).map(line));
    box.hidden = false;
    const none = document.querySelector("[data-urgent-none]");
    if (none) none.hidden = true;
  }

  document.addEventListener("signed-out", () => {
    try { localStorage.removeItem(NAME); } catch { /* nothing was kept */ }
  });
  writeDown();
  show();
  if ("serviceWorker" in navigator) navigator.serviceWorker.register("/worker.js", { scope: "/" }).catch(() => { /* the page works without it */ });
})();
