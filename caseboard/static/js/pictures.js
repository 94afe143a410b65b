/* Makes chosen pictures smaller in the phone before they are sent.
 *
 *   <input type=file data-pictures>   its files are replaced by JPEGs: upright, at most LONG_EDGE_PX,
 *                                     under MAX_BYTES, without place, time or device
 *
 * What cannot be read here (HEIC in most browsers) stays as it is: the server makes it smaller. A form
 * that is sent meanwhile waits for its pictures. */
"use strict";
(() => {
  /* As in caseboard/lib/photo.py: the server draws them anew in any case. */
  const LONG_EDGE_PX = 2400;
  const MAX_BYTES = 700_000;
  const QUALITIES = [0.85, 0.78, 0.7, 0.6, 0.5];
  const SMALLER = 0.8;
  const SMALL_ENOUGH_PX = 400;

  const blobOf = (canvas, quality) => new Promise((done) => canvas.toBlob(done, "image/jpeg", quality));

  function drawn(bitmap, edge) {
    const scale = Math.min(1, edge / Math.max(bitmap.width, bitmap.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.max(1, Math.round(bitmap.width * scale));
    canvas.height = Math.max(1, Math.round(bitmap.height * scale));
    const pen = canvas.getContext("2d", { alpha: false });
    pen.fillStyle = "#fff"; /* what is see-through */
    pen.fillRect(0, 0, canvas.width, canvas.height);
    pen.imageSmoothingQuality = "high";
    pen.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
    return canvas;
  }

  async function smaller(file, number) {
    let bitmap;
    try { bitmap = await createImageBitmap(file, { imageOrientation: "from-image" }); } catch { return file; }
    try {
      let edge = Math.min(LONG_EDGE_PX, Math.max(bitmap.width, bitmap.height));
      for (;;) {
        const canvas = drawn(bitmap, edge);
        for (const quality of QUALITIES) {
          const blob = await blobOf(canvas, quality);
          if (!blob) return file;
          if (blob.size <= MAX_BYTES || edge < SMALL_ENOUGH_PX) {
            return new File([blob], `picture-${number}.jpg`, { type: "image/jpeg" });
          }
        }
        edge *= SMALLER;
      }
    } catch { return file; } finally { bitmap.close(); }
  }

  const working = new Map(); /* input: the promise of its pictures */

  function say(input, words) {
    let line = input.parentElement.querySelector("[data-pictures-said]");
    if (!line) {
      line = document.createElement("p");
      line.className = "hint";
      line.dataset.picturesSaid = "";
      line.setAttribute("role", "status");
      input.after(line);
    }
    line.textContent = words;
  }

  const size = (bytes) => (bytes < 1_000_000 ? `${Math.max(1, Math.round(bytes / 1000))} kB` : `${(bytes / 1_000_000).toFixed(1)} MB`);

  async function work(input) {
    const chosen = [...input.files];
    say(input, "Making the pictures smaller…");
    const made = new DataTransfer();
    let number = 0;
    for (const file of chosen) made.items.add(await smaller(file, (number += 1)));
    /* Chosen anew meanwhile: those are worked on instead. */
    if (chosen.length !== input.files.length || chosen.some((file, at) => file !== input.files[at])) return;
    input.files = made.files;
    const bytes = [...made.files].reduce((sum, file) => sum + file.size, 0);
    say(input, `${chosen.length === 1 ? "1 picture" : `${chosen.length} pictures`}, ${size(bytes)} to send.`);
    input.dispatchEvent(new Event("change", { bubbles: true }));
  }

  document.addEventListener("change", (event) => {
    const input = event.target;
    if (!event.isTrusted) return; /* our own */
    if (!(input instanceof HTMLInputElement) || !("pictures" in input.dataset) || !input.files.length) return;
    const job = work(input).catch(() => say(input, "")).finally(() => { if (working.get(input) === job) working.delete(input); });
    working.set(input, job);
  });

  /* Before anything else sees that the form is sent. */
  window.addEventListener("submit", (event) => {
    const jobs = [...working].filter(([input]) => input.form === event.target).map(([, job]) => job);
    if (!jobs.length) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    const { target: form, submitter } = event;
    Promise.allSettled(jobs).then(() => form.requestSubmit(submitter ?? undefined));
  }, true);

  /* Asked for with a foot and a view where the phone had only the plain form (js/worker/shelf.js). */
  if (document.querySelector("[data-as-of]")) {
    for (const [name, value] of new URLSearchParams(location.search)) {
      const choices = [...document.getElementsByName(`picture_${name}`)];
      const one = choices.find((choice) => choice.value === value);
      if (one && !choices.some((choice) => choice.checked && choice.value)) one.checked = true;
    }
  }
})();
