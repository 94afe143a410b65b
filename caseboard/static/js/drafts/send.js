/* One draft to the board and its answer. The board's answers carry the draft's key: what does not is the
 * page of a hotspot, or of something on the way, and counts as no answer. */
"use strict";
const drafts = (window.drafts ??= {});
drafts.send = (() => {
  const WAIT_MS = 20000; // house default, as for the parts of a page
  const SLOWEST_BYTES_MS = 4; // 4 kB a second; house default
  const SENDER = "/me/waiting/sender/";
  const HEARD_FOR_MS = 60000; // house default
  let token = "", heardAt = 0;

  const signal = (ms) => AbortSignal.timeout(ms);
  const size = (draft) => draft.files.reduce((sum, file) => sum + file.blob.size, 0);

  /* Who is signed in here, with a token to send by. null: no answer. */
  async function sender() {
    try {
      const answer = await fetch(SENDER, { redirect: "manual", headers: { "X-Draft-Key": "sender" }, cache: "no-store", signal: signal(WAIT_MS) });
      if (answer.status === 401) return { person: "" };
      const said = answer.ok ? await answer.json() : null;
      if (typeof said?.person !== "string") return null;
      token = said.token;
      heardAt = Date.now();
      drafts.clock.heard(said.now);
      return said;
    } catch { return null; }
  }

  function bodyOf(draft) {
    const body = draft.files.length ? new FormData() : new URLSearchParams();
    for (const [name, value] of draft.values) body.append(name, value);
    for (const { name, blob, filename } of draft.files) body.append(name, blob, filename);
    return body;
  }

  async function once(draft, later) {
    const headers = {
      "X-CSRFToken": token, "X-Draft-Key": draft.key, "X-Draft-Person": draft.person,
    };
    const age = drafts.clock.age(draft);
    if (age !== null) headers["X-Draft-Age"] = String(Math.round(age / 1000));
    if (later) headers["X-Draft-Later"] = "yes";
    if (draft.files.length) headers["X-Draft-Bytes"] = String(size(draft));
    const wait = WAIT_MS + size(draft) / SLOWEST_BYTES_MS;
    const answer = await fetch(draft.action, { method: "POST", headers, body: bodyOf(draft), redirect: "manual", cache: "no-store", signal: signal(wait) });
    return { answer, text: await answer.text() };
  }

  /* accepted {to, said, filesTo} · refused {to, said} · page {status, html} · signed out · other person · first {to}
   * · later {afterS}: the board takes nothing now · none: nobody answered */
  async function send(draft, { later = false, with: pageToken = "" } = {}) {
    token = pageToken || token;
    /* For what was not written just now the board's time is asked for as well. */
    const isOfNow = Math.abs(Date.now() - draft.writtenAt) < HEARD_FOR_MS || Math.abs(Date.now() - heardAt) < HEARD_FOR_MS;
    if (!(token && isOfNow) && !(await sender())) return { kind: "none" };
    try {
      let { answer, text } = await once(draft, later);
      const said = () => answer.headers.get("X-Draft-Answer") ?? "";
      if (answer.status === 403 && said().startsWith("not reached")) { // an old page's token
        token = "";
        const who = await sender();
        if (!who) return { kind: "none" };
        if (!who.person) return { kind: "signed out" };
        ({ answer, text } = await once(draft, later));
      }
      return read(draft, answer, text, said());
    } catch { return { kind: "none" }; }
  }

  function read(draft, answer, text, said) {
    const { status } = answer;
    if (!said.endsWith(draft.key)) return { kind: "none" };
    if (status === 401) return { kind: "signed out" };
    if (status >= 500 || status === 429) return { kind: "later", afterS: Number(answer.headers.get("Retry-After")) || 60, status };
    if (!(answer.headers.get("Content-Type") ?? "").startsWith("application/json")) return { kind: "page", status, html: text };
    const told = JSON.parse(text);
    if (told.other_person) return { kind: "other person" };
    if (told.first) return { kind: "first", to: told.first };
    return { kind: told.refused ? "refused" : "accepted", to: told.to, said: told.said ?? [], filesTo: told.files_to ?? "" };
  }

  return { send, sender };
})();
