// Passkeys: hands what the page asks to the browser, and the browser's answer to the form.
// Without this script, or without a browser that knows passkeys, codes by mail work as ever.
(() => {
  "use strict";
  const bytes = (text) => {
    const plain = text.replace(/-/g, "+").replace(/_/g, "/");
    return Uint8Array.from(atob(plain), (letter) => letter.charCodeAt(0));
  };
  const text = (buffer) =>
    btoa(String.fromCharCode(...new Uint8Array(buffer)))
      .replace(/\+/g, "-").replace(/\//g, "_").replace(/=+$/, "");
  const withIds = (list) => (list || []).map((one) => ({ ...one, id: bytes(one.id) }));

  const toCreate = ({ publicKey }) => ({
    publicKey: {
      ...publicKey,
      challenge: bytes(publicKey.challenge),
      user: { ...publicKey.user, id: bytes(publicKey.user.id) },
      excludeCredentials: withIds(publicKey.excludeCredentials),
    },
  });
  const toGet = ({ publicKey }) => ({
    publicKey: {
      ...publicKey,
      challenge: bytes(publicKey.challenge),
      allowCredentials: withIds(publicKey.allowCredentials),
    },
  });
  const answer = (made) => {
    const response = { clientDataJSON: text(made.response.clientDataJSON) };
    for (const part of ["attestationObject", "authenticatorData", "signature", "userHandle"]) {
      if (made.response[part]) response[part] = text(made.response[part]);
    }
    return JSON.stringify({
      id: made.id, rawId: text(made.rawId), type: made.type, response,
      clientExtensionResults: {},
    });
  };

  const say = (form, error) => {
    const place = form.querySelector("[data-passkey-trouble]");
    const known = {
      InvalidStateError: "This device has a passkey for you already.",
      NotAllowedError: "The device did not go on: it was stopped, or took too long. Try again.",
    };
    place.textContent = known[error.name] ||
      "That did not work on this device. Codes by mail work as before.";
    place.hidden = false;
  };

  const ways = {
    add: async (form) => navigator.credentials.create(toCreate(JSON.parse(form.dataset.passkeyOptions))),
    "sign-in": async (form) => {
      const asked = await fetch(form.action, { headers: { Accept: "application/json" } });
      if (!asked.ok) throw new Error(String(asked.status));
      return navigator.credentials.get(toGet(await asked.json()));
    },
  };

  if (window.PublicKeyCredential) {
    for (const note of document.querySelectorAll("[data-passkey-without]")) note.hidden = true;
  }
  for (const form of document.querySelectorAll("form[data-passkey]")) {
    if (!window.PublicKeyCredential) continue;
    form.hidden = false;
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      const button = form.querySelector("[type=submit]");
      button.disabled = true;
      try {
        const made = await ways[form.dataset.passkey](form);
        form.querySelector("[name=credential]").value = answer(made);
        form.submit();
      } catch (error) {
        say(form, error);
        button.disabled = false;
      }
    });
  }
})();
