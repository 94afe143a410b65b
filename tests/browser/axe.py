"""Runs the accessibility rules of axe-core over the page as it stands."""

from functools import cache
from importlib.resources import files
from typing import Any, Literal

from playwright.sync_api import Page

# WCAG 2.2 at A and AA, and what axe counts as best practice.
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa", "best-practice"]
# The only rules whose answer depends on the colours.
COLOUR_RULES = ["color-contrast", "link-in-text-block"]
Look = Literal["light", "dark"]
RUN = """async (options) => {
  const found = await axe.run(document, {...options, resultTypes: ["violations"]});
  return found.violations.map((one) => ({id: one.id, help: one.help,
    nodes: one.nodes.map((node) => [node.target.join(" "), node.failureSummary])}));
}"""


@cache
def source() -> str:
    return files("axe_playwright_python").joinpath("axe.min.js").read_text(encoding="utf-8")


def violations(page: Page, look: Look, *, colours_only: bool = False) -> list[str]:
    """One line for each place that breaks a rule, in the light or the dark look."""
    page.emulate_media(color_scheme=look, reduced_motion="reduce")
    only = (
        {"type": "rule", "values": COLOUR_RULES}
        if colours_only
        else {"type": "tag", "values": TAGS}
    )
    options: dict[str, Any] = {"runOnly": only, "preload": False}
    # By `evaluate`: the content security policy refuses a script element.
    if not page.evaluate("'axe' in globalThis"):
        page.evaluate(source())
    found = page.evaluate(RUN, options)
    return [
        f"{look}, {one['id']} ({one['help']}): {target}: {' '.join(summary.split())}"
        for one in found
        for target, summary in one["nodes"]
    ]
