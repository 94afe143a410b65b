"""What a plan sheet costs: `uv run python -m tests.bench.sheet [--runs 15]`.

Drawn as the warm child process draws them, but in this one, so that all of its processor time is
counted. Prints sheets of 1, 12 and 40 items beside a blank page of the same run: trust the ratio, not
the milliseconds.
"""

import argparse
import gc
import json
import os
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache
from typing import Any
from unittest.mock import patch

import django

BLANK = '<!doctype html><html lang="en"><head><title>Blank</title></head><body></body></html>'
ITEMS = (1, 12, 40)


class _Here:
    """Stands for the child process and answers in this one."""

    sheets = 0

    def __init__(self) -> None:
        from caseboard.lib.pdf.child import _answerer
        from caseboard.lib.pdf.parent import _child_environment, _done

        self._answer = _answerer(json.loads(_child_environment()["HTML_PDF"]))
        self._done = _done

    def ask(self, request: dict[str, Any], time_limit_s: float) -> dict[str, Any]:
        wanted = {name: value for name, value in request.items() if name != "cpu_s"}
        return {**self._done(self._answer(wanted)), "cpu_s": 0.0}


@contextmanager
def _drawn_here() -> Iterator[None]:
    here = _Here()
    gc.disable()  # as the child does, between its layouts
    try:
        with patch("caseboard.lib.pdf.parent._child", lambda: here):
            yield
    finally:
        gc.enable()


def _best_ms(draws: dict[str, Callable[[], object]], runs: int) -> dict[str, float]:
    """The best processor time of each; in turns, so that a busy moment meets them alike."""
    best = dict.fromkeys(draws, float("inf"))
    for run in range(runs + 1):  # the first warms
        for name, draw in draws.items():
            gc.collect()
            began = time.process_time()
            draw()
            if run:
                best[name] = min(best[name], (time.process_time() - began) * 1000)
    return best


@cache
def sheet_costs(runs: int) -> dict[str, float]:
    """Milliseconds of a blank page, and of four charts with so many items."""
    from caseboard.lib.pdf.parent import html_to_pdf
    from caseboard.sheets.render import sheet_page
    from tests.caseboard.sheet_plans import busy

    draws: dict[str, Callable[[], object]] = {
        "blank": lambda: html_to_pdf(BLANK, paper="a4", time_limit_s=60)
    }
    for items in ITEMS:
        sheet = busy(items)
        draws[str(items)] = lambda s=sheet: sheet_page(s, paper="a4", time_limit_s=60)  # type: ignore[misc]
    with _drawn_here():
        return _best_ms(draws, runs)


def blanks_of(items: int) -> Callable[[bool], float]:
    """How many blank pages a sheet of so many items costs."""

    def measure(quick: bool) -> float:
        costs = sheet_costs(3 if quick else 9)
        return costs[str(items)] / costs["blank"]

    return measure


def main(arguments: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=9)
    runs = parser.parse_args(arguments).runs
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "caseboard.settings")
    django.setup()

    costs = sheet_costs(runs)
    print(f"blank page                   {costs['blank']:7.1f} ms")
    for items in ITEMS:
        took = costs[str(items)]
        print(
            f"four charts, {items:2} items       {took:7.1f} ms, {took / costs['blank']:5.1f} blank pages"
        )
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
