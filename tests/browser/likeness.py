"""Which pages have been looked over already in this run, to the letter.

Looking a page over takes 1.5 to 2 s of processor time: the accessibility rules in both looks and both
widths, and what a finger needs. Most tests begin on pages that the tests before them began on. Two
pages are alike when every element, in its order and depth, has the same name, attributes, state and
text; only what differs from row to row counts for nothing: digits, addresses, and names of things.
One word more is another page. What a test looks over by itself (`look_over`) is always looked over.
"""

import hashlib
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import Page, ViewportSize

# Digits are all alike, as is a value that holds one: the name of a row, or an address.
TO_THE_LETTER = r"""() => {
  const alike = (text) => text.replace(/[0-9]/g, "0");
  const elsewhere = new Set(["href", "src", "action", "value", "d", "points"]);
  const attribute = ({name, value}) => elsewhere.has(name) || /[0-9]/.test(value) && name !== "class"
    ? name : `${name}=${value}`;
  const of = (node) => [
    [...node.attributes].map(attribute).sort().join(" "),
    node.checked, node.disabled, node.open, node.hidden, node === document.activeElement,
    node.type === "hidden" ? "" : alike(String(node.value ?? "")),
    [...node.childNodes].filter((one) => one.nodeType === 3).map((one) => alike(one.data)).join("|"),
  ].join("\t");
  const lines = [document.title, getComputedStyle(document.documentElement).fontSize];
  const walk = (node, depth) => {
    lines.push(`${depth} ${node.localName} ${of(node)}`);
    for (const child of node.children) walk(child, depth + 1);
  };
  walk(document.documentElement, 0);
  return lines.join("\n");
}"""


@dataclass(frozen=True)
class LookedOver:
    """Kept as the names of empty files, so that all processes of a run know."""

    folder: Path

    def sign_of(self, page: Page, size: ViewportSize, scripts: bool) -> Path:
        """Of the page as it stands, before it is looked over."""
        text = f"{size} {scripts}\n{page.evaluate(TO_THE_LETTER)}"
        return self.folder / hashlib.sha256(text.encode("utf-8", "replace")).hexdigest()
