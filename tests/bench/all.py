"""Measures every goal of speed: `uv run python -m tests.bench.all [--quick] [--only board]`.

Prints each goal beside what was measured and ends with 1 where one is missed by more than a fifth.
Works in an empty installation of its own, which is thrown away. The goals: goals.py.
"""

import argparse
import os
import sys
import tempfile
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # its measures read models, which need the settings first
    from tests.bench.goals import Goal


@contextmanager
def empty_installation() -> Iterator[None]:
    """Django set up on an empty embedded database, as an installation at work has it."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {
            "CASEBOARD_STATE_DIR": folder,
            "CASEBOARD_ENV_FILE": "",  # no setting of a real installation
            "CASEBOARD_DEBUG": "0",
            "DJANGO_SETTINGS_MODULE": "caseboard.settings",
        }
        for name in ("DATABASE_URL", "REDIS_URL", "CELERY_BROKER_URL", "CASEBOARD_DEMO"):
            os.environ.pop(name, None)
        import django
        from django.core.management import call_command
        from django.db import connections

        django.setup()
        call_command("migrate", verbosity=0)
        call_command("createcachetable", verbosity=0)
        yield
        connections.close_all()


def line(goal: "Goal", measured: float) -> str:
    wanted = f"{'at most' if goal.smaller_is_better else 'at least'} {goal.goal:g}"
    said = "" if goal.is_reached(measured) else f"  not yet, meanwhile {goal.meanwhile}"
    said = "  MISSED" if goal.is_missed(measured) else said
    return f"{goal.name:<42} {wanted:>14} {measured:>10.1f} {goal.unit}{said}"


def measure_all(goals: "Iterable[Goal]", *, quick: bool) -> int:
    """Prints a line for each goal; how many are missed."""
    missed = 0
    for goal in goals:
        measured = goal.measure(quick)
        print(line(goal, measured), flush=True)
        missed += goal.is_missed(measured)
    return missed


def main(arguments: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="rough figures, under three minutes")
    parser.add_argument("--only", default="", help="the goals whose name holds this")
    asked = parser.parse_args(arguments)
    began = time.monotonic()
    with empty_installation():
        from tests.bench.goals import GOALS

        chosen = [goal for goal in GOALS if asked.only in goal.name]
        missed = measure_all(chosen, quick=asked.quick)
    print(f"{missed} of {len(chosen)} goals missed; {time.monotonic() - began:.0f} s")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
