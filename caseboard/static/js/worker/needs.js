/* What a page needs to look right: it names its own styles, scripts and pictures, by hashed names in
 * production; what lies on the shelf beside it is what it was made with. */
const MOST_PICTURES = 24; // of one page; house default

/* Without pictures: as the urgent page is kept. */
function needs(html) {
  const found = html.matchAll(/<(?:link|script)\b[^>]*?(?:href|src)="([^"]+\.(?:css|js|svg)[^"]*)"/g);
  const later = html.matchAll(/<meta name="htmx" content="([^"]+)"/g);  // asked for by a script: js/parts.js
  return [...new Set([...found, ...later].map((match) => match[1]))];
}
function pictures(html) {
  const found = [...html.matchAll(/<img\b[^>]*?\bsrc="(\/[^"]+)"/g)].map((match) => match[1].replaceAll("&amp;", "&"));
  return [...new Set(found)].slice(0, MOST_PICTURES);
}
const fonts = (css, address) => [...css.matchAll(/url\("?([^")]+\.woff2)"?\)/g)].map((match) => new URL(match[1], new URL(address, self.location)).pathname);

const isStatic = (address) => new URL(address, self.location).pathname.startsWith("/static/");
/* Its name changes with its content: what is kept under it is right. */
const isForGood = (address) => /\.[0-9a-f]{12}\.\w+$/.test(new URL(address, self.location).pathname);
const isThing = (answer) => answer.ok && !answer.redirected && !(answer.headers.get("Content-Type") ?? "").startsWith("text/html");
/* A picture of a case is its person's; a style or script is anybody's. */
const mayKeepThing = (address, answer, person) => isThing(answer)
  && (isStatic(address) || (answer.headers.get("X-Person") === person && answer.headers.has("X-Keep")));

/* Puts what a page needs beside it, unless it is there; returns all the addresses. */
async function keepNeeds(person, asked, html) {
  const all = [];
  for (const address of [...needs(html), ...pictures(html)]) {
    all.push(address);
    let answer = await keptThing(address);
    if (!answer) {
      answer = await limited(address, { credentials: "same-origin" }).catch(() => null);
      if (!answer || !mayKeepThing(address, answer, person)) continue;
      await put(person, asked, address, answer.clone());
    }
    if (!/\.css$/.test(new URL(address, self.location).pathname)) continue;
    for (const font of fonts(await answer.text(), address)) {
      all.push(font);
      if (await keptThing(font)) continue;
      const file = await limited(font).catch(() => null);
      if (file && mayKeepThing(font, file, person)) await put(person, asked, font, file);
    }
  }
  return all;
}
