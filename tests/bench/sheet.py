"""How long a plan sheet takes: `uv run python -m tests.bench.sheet [--runs 15]`.

Warm, in the child process that draws them. Prints the median for four charts and 12 items beside a
blank page of the same run (trust the ratio, not the seconds), and the growth from 1 to 40 items.
"""

import argparse
import os
import statistics
import time
from collections.abc import Callable

import django

GOAL_MS = 350.0
BLANK = '<!doctype html><html lang="en"><head><title>Blank</title></head><body></body></html>'


def median_ms(draw: Callable[[], object], runs: int) -> float:
    draw()  # warm
    taken = []
    for _ in range(runs):
        start = time.perf_counter()
        draw()
        taken.append((time.perf_counter() - start) * 1000)
    return statistics.median(taken)


def main(arguments: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=15)
    runs = parser.parse_args(arguments).runs
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "caseboard.settings")
    django.setup()

    from caseboard.lib.pdf.parent import html_to_pdf
    from caseboard.sheets.render import sheet_page
    from tests.caseboard.sheet_plans import busy

    blank = median_ms(lambda: html_to_pdf(BLANK, paper="a4", time_limit_s=60), runs)
    print(f"blank page                   {blank:7.1f} ms")
    for items in (1, 12, 40):
        sheet = busy(items)
        page = sheet_page(sheet, paper="a4", time_limit_s=60)
        took = median_ms(lambda s=sheet: sheet_page(s, paper="a4", time_limit_s=60), runs)  # type: ignore[misc]
        goal = f"  goal {GOAL_MS:.0f} ms" if items == 12 else ""
        print(
            f"four charts, {items:2} items       {took:7.1f} ms, {took / blank:5.1f} blank pages, "
            f"{len(page.left_off)} things left off{goal}"
        )
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
