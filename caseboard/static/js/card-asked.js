/* The card on a chosen picture tells which foot it was last used for: an offer, taken by a tap.
 *
 *   <div data-card-asked="address" role="status">   in a form with a field `pictures`; the offer comes into it
 *   <button data-card-take data-foot data-view>     in the offer: chooses the foot and the view of the form
 *
 * Nothing is chosen by itself, and nothing is asked where a foot is chosen already, or where the form is sent
 * at once: the server then has the picture to keep. Without an answer (no signal, no card, a card of nobody's)
 * nothing is said. */
"use strict";
(() => {
  const place = document.querySelector("[data-card-asked]");
  const form = place?.closest("form");
  if (!form) return;
  const AFTER_MS = 600; /* house default */
  let asking = null;
  let waiting = 0;
  const hasFoot = () => Boolean(form.querySelector('input[name="picture_foot"]:checked')?.value);
  function stop() {
    clearTimeout(waiting);
    asking?.abort();
  }

  async function ask(file) {
    asking = new AbortController();
    const body = new FormData();
    body.set("picture", file);
    body.set("csrfmiddlewaretoken", form.elements.namedItem("csrfmiddlewaretoken").value);
    try {
      const answer = await fetch(place.dataset.cardAsked, { method: "POST", body, signal: asking.signal });
      if (answer.ok && !answer.redirected) place.innerHTML = await answer.text();
    } catch { /* the form works without */ }
  }

  form.addEventListener("change", (event) => {
    const input = event.target;
    /* The first change is the person's, the second comes when the pictures are made smaller. */
    if (input.type !== "file" || event.isTrusted || !input.files.length) return;
    stop();
    place.replaceChildren();
    waiting = setTimeout(() => { if (navigator.onLine && !hasFoot()) ask(input.files[0]); }, AFTER_MS);
  });
  form.addEventListener("submit", stop);

  place.addEventListener("click", (event) => {
    const button = event.target.closest("[data-card-take]");
    if (!button) return;
    for (const [name, value] of [["picture_foot", button.dataset.foot], ["picture_view", button.dataset.view]]) {
      const radio = form.querySelector(`input[name="${name}"][value="${value}"]`);
      if (radio) { radio.checked = true; radio.dispatchEvent(new Event("change", { bubbles: true })); }
    }
    const said = document.createElement("p");
    said.textContent = "Chosen below: look once more.";
    place.replaceChildren(said);
    form.querySelector('input[name="picture_foot"]:checked')?.focus();
  });
})();
