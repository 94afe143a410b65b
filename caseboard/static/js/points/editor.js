/* The editor of points. A tap places the point that is asked for and goes on to the next; a finger that
 * stays down looks through the glass. Arrows move the current point by one pixel of the kept picture (with
 * Shift by ten, and further the longer they are held), Enter places it, Backspace goes back.
 *
 *   <form data-points data-reckon="address of the values">
 *     <input type="hidden" name="p-…" data-point="…" data-words="…" data-kind="…" [data-optional] [data-corner]>
 *
 * The form is an ordinary one: what is placed stands in its hidden fields and is sent with it. Without
 * JavaScript it stays hidden, and the values are typed. Forms that come later are set up with
 * globalThis.hoofPoints.editor(form).
 *
 * The corners of a card that was not found are asked for last, and only where somebody says that it is there.
 * The picture opens zoomed to the foot, if nobody has touched it by then. */
"use strict";
(() => {
  const STEPS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
  const NEAR = 30; /* screen pixels within which a placed point is taken up again; house default */
  const ASK_AFTER_MS = 200;

  function editor(form) {
    const { picture: pictureOf, hand, marks } = globalThis.hoofPoints;
    const find = (selector) => form.querySelector(selector);
    const stage = find("[data-stage]");
    const fields = [...form.querySelectorAll("[data-point]")];
    const name = (field) => field.dataset.point;
    const lines = JSON.parse(stage.dataset.lines || "[]");
    let found = null; /* the card's square; null while it is looked for, empty without one */
    const kinds = Object.fromEntries(fields.map((field) => [name(field), field.dataset.kind]));
    form.hidden = false;
    for (const plain of document.querySelectorAll("[data-without-editor]")) plain.hidden = true;
    const picture = pictureOf(stage);
    const draw = marks(find("[data-marks]"), picture);
    let index = 0;
    let ghost = null;
    let panning = false;
    let touched = false;
    let held = 0;

    const placeOf = (field) => (field.value ? field.value.split(",").map(Number) : null);
    const current = () => fields[index] ?? null;
    const group = (field) => ("corner" in field.dataset ? "corner" : "optional" in field.dataset ? "more" : "wanted");
    const inGroup = (name) => fields.filter((field) => group(field) === name);
    const asks = new Set(["wanted"]); /* the groups that are asked for now */
    const corners = inGroup("corner");
    const cornersPlaced = () => corners.filter((field) => field.value).length;
    const isWhole = () => inGroup("wanted").every((field) => field.value) && [0, corners.length].includes(cornersPlaced());
    const say = (words) => document.dispatchEvent(new CustomEvent("announce", { detail: { words } }));
    function stepOf(i) {
      const name = group(fields[i]);
      if (name === "corner") return `Corner ${corners.indexOf(fields[i]) + 1} of ${corners.length}`;
      return `Point ${i + 1} of ${inGroup("wanted").length + (name === "more" ? inGroup("more").length : 0)}`;
    }
    const told = (i) => `${stepOf(i)}, ${fields[i].dataset.words}`;
    function square() {
      if (found?.length) return found;
      if (!corners.length || cornersPlaced() < corners.length) return [];
      const four = corners.map(placeOf);
      const [x, y] = [0, 1].map((axis) => four.reduce((sum, at) => sum + at[axis], 0) / 4);
      return four.sort((a, b) => Math.atan2(a[1] - y, a[0] - x) - Math.atan2(b[1] - y, b[0] - x));
    }

    function shown() {
      const field = current();
      const points = Object.fromEntries(fields.filter((f) => f.value).map((f) => [name(f), placeOf(f)]));
      draw({ points, current: field && name(field), ghost, kinds, lines, square: square() });
      find("[data-step]").textContent = field ? stepOf(index) : "All placed";
      for (const words of form.querySelectorAll("[data-name]")) {
        words.toggleAttribute("data-shown", words.dataset.name === (field ? name(field) : ""));
      }
      for (const dot of form.querySelectorAll("[data-dot]")) {
        const its = fields.find((f) => name(f) === dot.dataset.dot);
        dot.dataset.state = its === field ? "now" : its?.value ? "placed" : "to-come";
      }
      const optional = field && "optional" in field.dataset;
      find("[data-next]").hidden = !field;
      find("[data-next]").textContent = placeOf(field ?? {}) || ghost ? "This is it" : optional ? "Leave it out" : "Place it";
      find("[data-back]").disabled = index === 0 && !field?.value;
      for (const button of form.querySelectorAll("[data-whole]")) button.hidden = !isWhole();
      const more = find("[data-left-out]");
      if (more) more.hidden = !(isWhole() && !field && inGroup("more").some((f) => !f.value));
      cardShown();
    }

    function cardShown() {
      const words = find("[data-card-words]");
      if (!words) return;
      const { asking, none, found: there, byHand } = words.dataset;
      const has = square().length > 0;
      const now = found === null ? asking : found.length ? there : has ? byHand : none;
      if (words.textContent !== now) words.textContent = now;
      find("[data-corners]").hidden = found === null || found.length > 0 || asks.has("corner");
      const size = find("[data-card-size]");
      if (size) size.hidden = !has && !size.open;
    }

    function goTo(next) {
      index = next;
      /* Corners that are placed are gone back to, not come by. */
      const passed = (field) => !asks.has(group(field)) || (group(field) === "corner" && field.value);
      while (current() && passed(current())) index += 1;
      if (!current()) {
        const left = fields.findIndex((field) => !field.value && group(field) !== "more" && asks.has(group(field)));
        if (left >= 0) index = left;
      }
      ghost = null;
      shown();
    }
    function leaveOut() {
      if (group(current()) === "corner") {
        for (const field of corners) field.value = "";
        asks.delete("corner");
      }
      goTo(fields.length);
      ask();
    }
    function askFor(name, words) {
      asks.add(name);
      goTo(fields.findIndex((field) => group(field) === name && !field.value));
      say(`${told(index)}. ${words}`);
      stage.focus();
    }
    const written = (place) => place.map((part) => Math.round(part * 10) / 10).join(",");
    function put(place) {
      current().value = written(place);
      form.dispatchEvent(new Event("input", { bubbles: true }));
    }
    function placed(place) {
      put(place);
      const words = `${told(index)}, placed.`;
      goTo(index + 1);
      say(current() ? `${words} Next: ${current().dataset.words}.` : `${words} All points are placed.`);
      if (!current()) picture.look([0, 0], false);
      ask();
    }

    /* -- a finger, the mouse */

    function nearest(place) {
      const [x, y] = picture.spot(place);
      const far = (field) => {
        const [px, py] = picture.spot(placeOf(field));
        return Math.hypot(px - x, py - y);
      };
      const near = fields.filter((field) => field.value && far(field) < NEAR).sort((a, b) => far(a) - far(b));
      return near[0] ?? null;
    }

    let dragged = null;
    let apart = [0, 0]; /* from the finger to the point that it took up */
    hand(stage, picture, {
      moves: () => panning,
      start(place) {
        dragged = current() ? null : nearest(place);
        if (dragged) {
          const held = placeOf(dragged);
          apart = [held[0] - place[0], held[1] - place[1]];
          picture.look(held);
        } else if (current()) {
          ghost = place;
          picture.look(place);
          shown();
        }
      },
      move(place) {
        if (!dragged && !current()) return;
        const to = dragged ? picture.inside([place[0] + apart[0], place[1] + apart[1]]) : place;
        if (dragged) dragged.value = written(to);
        else ghost = to;
        picture.look(to);
        shown();
      },
      end(place) {
        picture.look(place, false);
        if (!dragged && current()) placed(place);
        if (!dragged) return;
        say(`${dragged.dataset.words}, moved.`);
        dragged = null;
        form.dispatchEvent(new Event("input", { bubbles: true }));
        ask();
      },
      cancel() {
        picture.look([0, 0], false);
        ghost = null;
        dragged = null;
        shown();
      },
    });

    /* -- keys and buttons */

    const earlier = () => {
      const last = fields.slice(0, index).reverse().find((field) => field.value);
      return last ? placeOf(last) : picture.middle.map(Math.round);
    };
    function step([dx, dy], far) {
      const field = current() ?? fields.filter((one) => one.value).pop() ?? fields[0];
      if (!current()) index = fields.indexOf(field);
      const from = placeOf(field) ?? ghost ?? earlier();
      const to = picture.inside([from[0] + dx * far, from[1] + dy * far]);
      if (field.value) { put(to); ask(); } else ghost = to;
      picture.show(to);
      picture.look(to);
      shown();
      whereabouts(to);
    }
    let saying = 0;
    function whereabouts([x, y]) {
      clearTimeout(saying);
      saying = setTimeout(() => say(`${Math.round(x)} from the left, ${Math.round(y)} from the top`), 700);
    }
    function next() {
      const field = current();
      if (!field) return;
      if (field.value) { say(`${told(index)}, placed.`); goTo(index + 1); picture.look([0, 0], false); }
      else if (ghost) { picture.look(ghost, false); placed(ghost); }
      else if ("optional" in field.dataset) leaveOut();
      else say("Tap the place on the picture, or move there with the arrows.");
    }
    function back() {
      const filled = current()?.value || ghost;
      if (filled && current()) { current().value = ""; ghost = null; }
      else if (index > 0) {
        index = Math.min(index, fields.length) - 1;
        while (index > 0 && !fields[index].value) index -= 1;
      }
      ghost = null;
      shown();
      if (current()) say(`Back to ${told(index)}`);
      ask();
    }

    stage.addEventListener("keydown", (event) => {
      if (event.altKey || event.ctrlKey || event.metaKey) return;
      if (event.key in STEPS) {
        held = event.repeat ? held + 1 : 0;
        step(STEPS[event.key], (event.shiftKey ? 10 : 1) * Math.min(1 + Math.floor(held / 8), 8));
      } else if (event.key === "Enter" || event.key === " ") next();
      else if (event.key === "Backspace") back();
      else if (event.key === "+") picture.zoomTo(picture.zoom * 1.5, placeOf(current() ?? {}) ?? ghost ?? undefined);
      else if (event.key === "-") picture.zoomTo(picture.zoom / 1.5);
      else return;
      event.preventDefault();
    });
    form.addEventListener("click", (event) => {
      const button = event.target.closest("button");
      if (!button || !form.contains(button)) return;
      const { dataset } = button;
      touched = true;
      if ("move" in dataset) step(STEPS[dataset.move], 1);
      else if ("zoom" in dataset) picture.zoomTo(picture.zoom * Number(dataset.zoom), ghost ?? earlier());
      else if ("pan" in dataset) {
        panning = !panning;
        button.setAttribute("aria-pressed", String(panning));
      } else if ("next" in dataset) next();
      else if ("back" in dataset) back();
      else if ("leftOut" in dataset) askFor("more", "It may be left out.");
      else if ("corners" in dataset) {
        picture.zoomTo(1); /* it may stand beside the part that is seen */
        askFor("corner", "In whatever order you like.");
      }
    });
    for (const kind of ["pointerdown", "wheel", "keydown"]) stage.addEventListener(kind, () => { touched = true; }, { passive: true });
    /* The first button of a form is the one that Enter presses in a field. */
    form.addEventListener("keydown", (event) => {
      if (event.key === "Enter" && event.target.matches("input")) { event.preventDefault(); ask(); }
    });
    form.addEventListener("change", (event) => { if (!event.target.matches("[data-point]")) ask(); });

    /* -- the values: the server reckons */

    let asking = 0;
    let asked = null;
    function ask() {
      clearTimeout(asking);
      asking = setTimeout(async () => {
        asked?.abort();
        asked = new AbortController();
        const sent = new URLSearchParams();
        for (const [key, value] of new FormData(form)) if (/^(p-|card|marker)/.test(key) && value) sent.append(key, value);
        try {
          const answer = await fetch(`${form.dataset.reckon}?${sent}`, { signal: asked.signal, headers: { "X-Requested-With": "fetch" } });
          if (!answer.ok || answer.redirected) throw new Error(String(answer.status));
          find("[data-values]").innerHTML = await answer.text();
        } catch (error) {
          if (error.name !== "AbortError") find("[data-values]").textContent = "The values come when the points are saved: the server does not answer just now.";
        }
      }, ASK_AFTER_MS);
    }

    async function card() {
      let box = stage.dataset.box ? JSON.parse(stage.dataset.box) : null;
      if (stage.dataset.card) {
        try {
          const told = stage.dataset.cardKnown ? JSON.parse(stage.dataset.cardKnown) : await cardAsked();
          found = told.corners;
          box = told.box ?? box;
        } catch {
          found = []; /* it may be placed by hand */
        }
      }
      if (box && !touched && !fields.some((field) => field.value)) picture.fit(box);
      shown();
    }
    async function cardAsked() {
      const answer = await fetch(stage.dataset.card);
      if (!answer.ok || answer.redirected) throw new Error(String(answer.status));
      return answer.json();
    }

    stage.addEventListener("points:drawn", shown);
    if (cornersPlaced()) asks.add("corner");
    goTo(fields.length);
    card();
    if (fields.some((field) => field.value)) ask();
    return { form, isWhole };
  }

  (globalThis.hoofPoints ??= {}).editor = editor;
  for (const form of document.querySelectorAll("form[data-points]")) editor(form);
})();
