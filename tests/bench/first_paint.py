"""When a board's first words stand on a phone behind a thin line: 400 kbit/s, answers 400 ms late.

    uv run python -m tests.bench.first_paint [--looks 5] [--beside FOLDER]

The line is Chromium's own emulation; each look has an empty cache and pays for the connection, the
page and its style sheet. `--beside` is a working copy of another commit with an environment of its own
(`git worktree add FOLDER COMMIT`, `uv sync` there): both are looked at in turns in the same run.
"""

import argparse
import sys
from contextlib import ExitStack
from functools import cache
from pathlib import Path
from statistics import median

from playwright.sync_api import Browser, sync_playwright

from tests.bench.first_load import CHROMIUM, FILL, FULLEST, Served, board_served, visited
from tests.caseboard.commands import ROOT

LATENCY_MS = 400
BYTES_A_SECOND = 400_000 / 8
LOOKS = 5
# What the browser itself saw: the first pixel, the first words or picture, and all of it.
TIMES = """() => {
  const paint = Object.fromEntries(performance.getEntriesByType("paint").map((p) => [p.name, p.startTime]));
  const [page] = performance.getEntriesByType("navigation");
  return [paint["first-paint"], paint["first-contentful-paint"], page.responseEnd, page.loadEventEnd];
}"""
NAMES = ("first paint", "first words", "page here", "all loaded")


def _look(browser: Browser, served: Served) -> list[float]:
    """The four times of one look, in seconds."""
    context = visited(browser, served)
    page = context.new_page()
    line = context.new_cdp_session(page)
    line.send("Network.enable")
    line.send(
        "Network.emulateNetworkConditions",
        {
            "offline": False,
            "latency": LATENCY_MS,
            "downloadThroughput": BYTES_A_SECOND,
            "uploadThroughput": BYTES_A_SECOND,
        },
    )
    page.goto(served.url, wait_until="load")
    page.wait_for_function("performance.getEntriesByType('paint').length > 1")
    found: list[float] = page.evaluate(TIMES)
    context.close()
    return [ms / 1000 for ms in found]


def paints(roots: list[Path], looks: int = LOOKS, fill: str = FILL) -> list[list[float]]:
    """For each working copy the medians of the four times."""
    with ExitStack() as stack:
        served = [stack.enter_context(board_served(root, fill)) for root in roots]
        play = stack.enter_context(sync_playwright())
        browser = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        for one in served:  # a process that was just started reads its templates first
            visited(browser, one).new_page().goto(one.url, wait_until="load")
        rounds = [[_look(browser, one) for one in served] for _ in range(looks)]
        browser.close()
    return [
        [median(look[place][at] for look in rounds) for at in range(len(NAMES))]
        for place in range(len(served))
    ]


@cache
def first_paint_s(quick: bool) -> float:
    [times] = paints([ROOT], 3 if quick else LOOKS, FULLEST)
    return times[0]


def main(arguments: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--looks", type=int, default=LOOKS)
    parser.add_argument("--beside", type=Path)
    asked = parser.parse_args(arguments)
    roots = [ROOT, *([asked.beside] if asked.beside else [])]
    for board, fill in (("one horse of 60 readings", FILL), ("the fullest of the demo", FULLEST)):
        for root, times in zip(roots, paints(roots, asked.looks, fill), strict=True):
            which = "this working copy" if root == ROOT else "the one beside it"
            said = ", ".join(f"{n} {s:.2f} s" for n, s in zip(NAMES, times, strict=True))
            print(f"{board}, {which}: {said}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
