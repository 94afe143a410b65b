/* How long ago a draft was written, by a clock of this phone that somebody may have put right since.
 *
 * Each page of the board says what time it is there (data-now). The phone notes that beside its own time: the
 * last contact. A draft keeps the contact before it was written. If the two clocks stand apart as they did
 * then, the phone's own difference is right. If not, the phone's was moved before the writing or after it;
 * of the two ages the one that cannot be falls away (still to come, or before that contact). Where both can
 * be, nobody can tell, and the board is told nothing. */
"use strict";
const drafts = (window.drafts ??= {});
drafts.clock = (() => {
  const NAME = "drafts-contact";
  const SLACK_MS = 2 * 60 * 1000; // house default: a page takes that long at most from the board to here
  let last = null;

  function contact() {
    try { last ??= JSON.parse(localStorage.getItem(NAME)); } catch { /* nothing is kept here */ }
    return last;
  }
  function heard(server) {
    if (!Number.isFinite(server) || server <= 0) return;
    last = { server, phone: Date.now() };
    try { localStorage.setItem(NAME, JSON.stringify(last)); } catch { /* for this page alone */ }
  }

  /* By how much this phone's clock was moved since, as far as the board's clock shows. */
  function moved({ contact: then }) {
    const now = contact();
    const by = then && now ? now.server - now.phone - (then.server - then.phone) : 0;
    return Math.abs(by) > SLACK_MS ? by : 0;
  }
  /* In milliseconds; null where nobody can tell. */
  function age(draft) {
    const byPhone = Date.now() - draft.writtenAt;
    const by = moved(draft);
    if (!by) return byPhone;
    const most = contact().server - draft.contact.server + (Date.now() - contact().phone) + SLACK_MS;
    const can = [byPhone, byPhone + by].filter((one) => one > -SLACK_MS && one < most);
    return can.length === 1 ? Math.max(0, can[0]) : null;
  }

  /* A moment as the board's own pages write it, whatever the browser's language: 29 Nov, 15:03. */
  const inWords = (at, more = {}) => new Date(at).toLocaleString("en-GB", { day: "numeric", month: "short", hour: "2-digit", minute: "2-digit", ...more });
  const hourOf = (at) => new Date(at).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });

  const word = document.querySelector('meta[name="person"]')?.dataset.now;
  const isOfNow = !document.querySelector('[data-as-of], meta[name="draft"]'); // not from the shelf, nor an answer shown again
  if (word && isOfNow) heard(Number(word));
  return { contact, heard, moved, age, inWords, hourOf };
})();
