"""Measures what a finger needs: how large each control is, and that nothing sticks out sideways."""

from playwright.sync_api import Page

PHONE_SMALL = {"width": 360, "height": 740}
SMALLEST_PX = 44  # house rule: the enhanced target size of WCAG 2.2, success criterion 2.5.5

# A control is as large as what answers to a tap on it: a box or a radio button together with its
# words. A link inside a sentence is exempt, as in WCAG 2.2, success criterion 2.5.8.
TOO_SMALL = """(smallest) => {
  const wanted = "a[href], button, input:not([type=hidden]), select, textarea, summary, [role=button]";
  const isShown = (node) => node.checkVisibility({visibilityProperty: true, opacityProperty: true});
  const isUnseen = (node) => node.closest(".unseen, .skip") && document.activeElement !== node;
  const inSentence = (node) => node.matches("a[href]") && getComputedStyle(node).display === "inline"
    && [...node.parentNode.childNodes].some((other) => other !== node && other.textContent.trim());
  const around = (node) => {
    const boxes = [node, ...(node.labels ?? [])].filter((one) => one === node || node.matches("[type=checkbox], [type=radio]"))
      .map((one) => one.getBoundingClientRect()).filter((box) => box.width && box.height);
    return {width: Math.max(...boxes.map((b) => b.right)) - Math.min(...boxes.map((b) => b.left)),
            height: Math.max(...boxes.map((b) => b.bottom)) - Math.min(...boxes.map((b) => b.top))};
  };
  const found = [];
  for (const node of document.querySelectorAll(wanted)) {
    if (!isShown(node) && !(node.labels ?? []).length) continue;
    if (![node, ...(node.labels ?? [])].some(isShown) || isUnseen(node) || inSentence(node)) continue;
    const {width, height} = around(node);
    if (width >= smallest - 0.5 && height >= smallest - 0.5) continue;
    found.push(`${node.tagName.toLowerCase()}.${node.className} "${(node.textContent || node.name || "").trim().slice(0, 40)}" ${Math.round(width)}x${Math.round(height)}`);
  }
  return found;
}"""
# Boxes that scroll on their own, with a keyboard too, may hold something wide.
STICKING_OUT = """() => {
  const page = document.scrollingElement;
  if (page.scrollWidth <= innerWidth) return [];
  const wide = [...document.body.querySelectorAll("*")].filter((node) => !node.closest(".scroll *")
    && node.checkVisibility() && node.getBoundingClientRect().right > innerWidth + 1);
  return [`page ${page.scrollWidth} px wide: `
    + wide.slice(0, 5).map((node) => `${node.tagName.toLowerCase()}.${node.className}`).join(", ")];
}"""


def misfits(page: Page) -> list[str]:
    """What is too small to tap, or too wide, on a small phone held upright."""
    before = page.viewport_size
    page.set_viewport_size({"width": PHONE_SMALL["width"], "height": PHONE_SMALL["height"]})
    try:
        small: list[str] = page.evaluate(TOO_SMALL, SMALLEST_PX)
        wide: list[str] = page.evaluate(STICKING_OUT)
        wide += _at_twice_the_text(page)
    finally:
        if before is not None:
            page.set_viewport_size(before)
    return [*(f"too small: {line}" for line in small), *(f"too wide: {line}" for line in wide)]


def _at_twice_the_text(page: Page) -> list[str]:
    """What sticks out where the text is twice as large (WCAG 2.2, success criterion 1.4.4)."""
    found: list[str] = []
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    for width in (390, 320):
        page.set_viewport_size({"width": width, "height": 844})
        wide: list[str] = page.evaluate(STICKING_OUT)
        found += [f"at 200 % text, {width} px: {line}" for line in wide]
    page.evaluate("document.documentElement.style.fontSize = ''")
    return found
