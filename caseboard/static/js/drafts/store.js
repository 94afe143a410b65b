/* What a person wrote and the board has not accepted yet, in this phone: one store for all forms.
 *
 *   database "caseboard", store "drafts", a row a draft:
 *     id        the draft's own name; "typing:PERSON:FORM" while it is only typed
 *     key       the key by which the board accepts it once; the form's own where it has one
 *     person    whose it is: nobody else is shown it, and it goes under no other sign-in
 *     state     "typing" (never sent), "waiting", "sending", "needs you" (the board's answer is in `last`)
 *     form, page, action, values, files, shown, horse, kind, caseId, urgent, numbers, writtenAt,
 *               contact (clock.js), tries, last
 *
 * Decided 2026-11-29: what was only typed is forgotten two weeks after its last change, as before; what was
 * sent stays until the board has it or its writer throws it away, because nobody would miss it in time.
 * A later version of the database keeps the store and its rows; an earlier script opens it as it is. */
"use strict";
const drafts = (window.drafts ??= {});
drafts.store = (() => {
  const NAME = "caseboard", STORE = "drafts", VERSION = 1;
  const DAYS_TYPED = 14;
  const NOTHING = 404; // a page that says nothing of the case
  const DAY_MS = 24 * 60 * 60 * 1000;
  const person = document.querySelector('meta[name="person"]')?.content ?? "nobody";
  const told = "BroadcastChannel" in window ? new BroadcastChannel("drafts") : null;
  let opening = null;

  function upgrade(db) {
    if (!db.objectStoreNames.contains(STORE)) db.createObjectStore(STORE, { keyPath: "id" });
  }
  /* A script of a later version makes room at once, and this one opens what that one made. */
  function open() {
    const more = { upgrade, blocking: (_old, _new, event) => { event.target.close(); opening = null; }, terminated: () => { opening = null; } };
    opening ??= idb.openDB(NAME, VERSION, more)
      .catch((error) => { if (error?.name === "VersionError") return idb.openDB(NAME, undefined, { ...more, upgrade: undefined }); throw error; })
      .catch((error) => { opening = null; throw error; });
    return opening;
  }

  function changed() {
    told?.postMessage("changed");
    document.dispatchEvent(new CustomEvent("drafts:changed"));
  }
  told?.addEventListener("message", () => document.dispatchEvent(new CustomEvent("drafts:changed")));

  /* Written for good before anybody is told so: a phone may be switched off the moment after. */
  async function write(act) {
    const db = await open();
    const tx = db.transaction(STORE, "readwrite", { durability: "strict" });
    await Promise.all([act(tx.store), tx.done]);
    changed();
  }

  const put = (row, { without = "" } = {}) => write(async (store) => {
    if (without && without !== row.id) await store.delete(without);
    await store.put(row);
  });
  const forget = (id) => write((store) => store.delete(id));
  const get = async (id) => (await open()).get(STORE, id);
  async function mine() {
    try {
      const all = await (await open()).getAll(STORE);
      return all.filter((row) => row.person === person);
    } catch { return []; }
  }
  /* Changes a row that is still there: what was sent or thrown away meanwhile does not come back. */
  const change = (id, values) => write(async (store) => {
    const row = await store.get(id);
    if (row) await store.put({ ...row, ...values });
  });

  const byOrder = (one, other) => (other.urgent - one.urgent)
    || (!one.urgent && (Number(one.files.length > 0) - Number(other.files.length > 0)))
    || ((one.madeAt ?? one.writtenAt) - (other.madeAt ?? other.writtenAt));
  const sent = async () => (await mine()).filter((row) => row.state !== "typing").sort(byOrder);

  /* -- whether this phone keeps anything: private windows and full phones refuse */

  const SPARE_BYTES = 2 * 1024 * 1024; // house default: one photo of a form
  async function keeps() {
    try {
      const id = `try:${person}`;
      const db = await open();
      await db.put(STORE, { id, person: "", state: "try" });
      await db.delete(STORE, id);
      const { quota, usage } = (await navigator.storage?.estimate?.()) ?? {};
      return quota === undefined || quota - usage > SPARE_BYTES;
    } catch { return false; }
  }

  /* -- texts that an earlier version kept elsewhere (localStorage, "keep:PERSON:FORM") come along */

  async function takeOver() {
    let names = [];
    try { names = Object.keys(localStorage).filter((name) => name.startsWith("keep:")); } catch { return; }
    for (const name of names) {
      try {
        const old = JSON.parse(localStorage.getItem(name));
        const [, whose, ...rest] = name.split(":");
        const form = rest.join(":");
        const id = `typing:${whose}:${form}`;
        if (old?.values && form && !(await get(id))) {
          await write((store) => store.put(typed({ id, person: whose, form, page: old.path ?? "/", title: old.title ?? "", values: old.values, typed: old.changed !== false, at: old.at ?? Date.now() })));
        }
        localStorage.removeItem(name);
      } catch { /* stays where it is, for the next time */ }
    }
  }
  const typed = ({ id, person: whose, form, page, title, values, typed: isTyped, at }) => {
    const [kind = "", horse = ""] = title.split(" · ");
    return {
      id, person: whose, form, page, values, isTyped, state: "typing", files: [], shown: [], urgent: false, kind: kind || "A form",
      horse: title.split(" · ").length > 2 ? horse : "", writtenAt: at, tries: 0, last: null, key: values.find(([name]) => name === "client_key")?.[1] ?? "",
    };
  };
  async function forgetOld() {
    const db = await open();
    const oldest = Date.now() - DAYS_TYPED * DAY_MS;
    for (const row of await db.getAll(STORE)) {
      if (row.state === "try" || (row.state === "typing" && !(row.writtenAt > oldest))) await db.delete(STORE, row.id);
    }
    await dropPages((row) => row.person !== person || !(row.last.at > oldest));
  }
  /* What somebody wrote is theirs until it is sent; the board's page beside it, where it asked back, is the
   * board's: it goes when another is signed in here, when it is two weeks old, and when its case is closed to
   * them. Sent again, the board says anew how things stand. */
  async function dropPages(isGone) {
    const db = await open();
    for (const row of await db.getAll(STORE)) {
      if (row.last?.html && isGone(row)) await change(row.id, { last: { ...row.last, html: "" } });
    }
  }
  document.addEventListener("kept:open", ({ detail: { homes } }) => {
    const isClosed = ({ person: whose, caseId, last }) => whose === person && caseId && last.status !== NOTHING && !homes.includes(`/cases/${caseId}/`);
    dropPages(isClosed).catch(() => { /* nothing is kept here */ });
  });

  const ready = takeOver().then(forgetOld).catch(() => { /* nothing is kept here: `keeps` says so */ });
  return { person, ready, put, get, forget, change, mine, sent, keeps, typed, open };
})();
