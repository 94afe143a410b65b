/* htmx, for the pages with a part that asks again by itself: after the page has loaded, because none
 * of them needs it to be read or used, and a barn's line has its bytes to spare for the page. */
"use strict";
(() => {
  const script = document.querySelector('meta[name="htmx"]')?.content;
  if (!script || !document.querySelector("[hx-get]")) return;
  const load = () => document.head.append(Object.assign(document.createElement("script"), { src: script }));
  if (document.readyState === "complete") load();
  else addEventListener("load", load, { once: true });
})();
