"""Makes one slip at a time in a copy of the tree and asks whether its narrow tests see it.

    uv run python -m tests.mutants.run --all                     # every row; the nightly form
    uv run python -m tests.mutants.run --share 10 --seed COMMIT  # a tenth that differs by commit
    uv run python -m tests.mutants.run --only plan               # rows whose file or words hold this

Ends with 1 where a row no longer fits the code, where its tests do not run or fail without it, or
where too few are seen: 95 in 100 of the whole table; of a drawn part so few that the table is surely
below that. The table may excuse one in twenty. The slips of who may do
what are also made while running, in `tests/access/faults.py`; these here are made in the source.
"""

import argparse
import json
import os
import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from math import sqrt
from pathlib import Path
from queue import SimpleQueue

from tests.browser.chrome import chromium_path
from tests.mutants.row import Mutant, Stale
from tests.mutants.scratch import copy_tree, slip_made
from tests.mutants.table import TABLE

SEEN = 0.95  # the share of slips that tests must see: our goal
SURELY = 2.0  # standard errors of a drawn share: what is below by more is no accident of the draw
ANSWERS = {0: "survived", 1: "killed", -1: "killed"}  # -1: the tests never came to an end
NOT_HANDED_ON = """
CASEBOARD_DEMO CELERY_BROKER_URL DATABASE_URL EMAIL_URL PYTHONDONTWRITEBYTECODE REDIS_URL
"""


@dataclass(frozen=True)
class Answer:
    words: str
    seconds: float
    output: str


class House:
    """A copy of the tree with a process beside it that runs tests in it."""

    def __init__(self, tree: Path) -> None:
        copy_tree(tree)
        self.tree = tree
        environment = {
            name: value for name, value in os.environ.items() if name not in NOT_HANDED_ON.split()
        }
        environment |= {
            "CASEBOARD_ENV_FILE": "",
            "OPENBLAS_NUM_THREADS": "1",
            "PYTHONHASHSEED": "0",
        }
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tests.mutants.server"],
            cwd=tree,
            env=environment,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def asked(self, tests: tuple[str, ...], *, fresh: bool = False) -> Answer:
        began = time.monotonic()
        assert self.process.stdin
        assert self.process.stdout
        self.process.stdin.write(json.dumps({"tests": tests, "fresh": fresh}) + "\n")
        self.process.stdin.flush()
        code = json.loads(self.process.stdout.readline())["code"]
        output = (self.tree / "var/mutants/output.txt").read_text(errors="replace")
        words = ANSWERS.get(code, f"tests did not run (pytest said {code})")
        return Answer(words, time.monotonic() - began, output)

    def of_slip(self, mutant: Mutant) -> Answer:
        try:
            with slip_made(self.tree, mutant):
                return self.asked(mutant.tests, fresh=mutant.fresh)
        except Stale as stale:
            return Answer("no longer fits", 0, str(stale))

    def close(self) -> None:
        assert self.process.stdin
        self.process.stdin.close()
        self.process.wait()


@contextmanager
def _houses(many: int) -> Iterator["SimpleQueue[House]"]:
    free: SimpleQueue[House] = SimpleQueue()
    with ExitStack() as stack:
        scratch = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="mutants-")))
        for number in range(many):
            house = House(scratch / str(number))
            stack.callback(house.close)
            free.put(house)
        yield free


def _chosen(asked: argparse.Namespace) -> list[Mutant]:
    rows = [row for row in TABLE if asked.only in f"{row.file} {row.slip}"]
    if not chromium_path():  # their tests would be skipped, and so see nothing
        rows = [row for row in rows if not row.needs_a_browser]
    if asked.share == 1:
        return rows
    return random.Random(asked.seed).sample(rows, k=-(-len(rows) // asked.share))


def _without_slips(rows: list[Mutant], *, every: bool) -> list[tuple[str, ...]]:
    """The tests to be run on the code as it is: they must pass, or nothing said here means much."""
    tests = list(dict.fromkeys(row.tests for row in rows))
    return tests if every else tests[:1]  # the whole suite has been run just before


def _wrong_without(free: "SimpleQueue[House]", tests: tuple[str, ...]) -> str:
    house = free.get()
    try:
        answer = house.asked(tests)
    finally:
        free.put(house)
    return "" if answer.words == "survived" else f"{' '.join(tests)}\n{answer.output[-2000:]}"


def _judged(free: "SimpleQueue[House]", row: Mutant, show: bool) -> Answer:
    house = free.get()
    try:
        answer = house.of_slip(row)
    finally:
        free.put(house)
    reason = f" ({row.lives})" if row.lives else ""
    print(f"{answer.words:<9} {answer.seconds:5.1f} s  {row.file}: {row.slip}{reason}", flush=True)
    if show or answer.words not in ANSWERS.values():
        print(answer.output[-3000:], flush=True)
    return answer


def _arguments(given: list[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Which slips the tests would see.")
    parser.add_argument("--all", action="store_true", help="every row")
    parser.add_argument("--share", type=int, default=1, help="one in so many, drawn by the seed")
    parser.add_argument("--seed", default="")
    parser.add_argument("--only", default="", help="rows whose file or words hold this")
    parser.add_argument(
        "--at-once", action="store_true", help="the tests are known to pass on the code as it is"
    )
    parser.add_argument("--show", action="store_true", help="what the tests said")
    parser.add_argument("--processes", type=int, default=2)
    return parser.parse_args(given)


def main(given: list[str]) -> int:
    asked = _arguments(given)
    rows = _chosen(asked)
    began = time.monotonic()
    with _houses(asked.processes) as free, ThreadPoolExecutor(asked.processes) as pool:
        plain = [] if asked.at_once else _without_slips(rows, every=asked.share == 1)
        if wrong := [
            words for words in pool.map(lambda t: _wrong_without(free, t), plain) if words
        ]:
            print("These fail on the code as it is:", *wrong, sep="\n")
            return 1
        answers = list(pool.map(lambda row: _judged(free, row, asked.show), rows))
    seen = sum(answer.words == "killed" for answer in answers)
    print(f"{seen} of {len(rows)} killed in {time.monotonic() - began:.0f} s")
    whole = asked.share == 1 and not asked.only
    return 0 if all_is_well(rows, [answer.words for answer in answers], whole=whole) else 1


def all_is_well(rows: list[Mutant], answers: list[str], *, whole: bool = False) -> bool:
    """Every row was asked, and enough slips are seen, those that the table excuses left out. Of the
    whole table that is the goal itself; a drawn part fails where it is surely below it."""
    pairs = list(zip(rows, answers, strict=True))
    if any(words not in ("killed", "survived") for _, words in pairs):
        return False
    asked = [words for row, words in pairs if not row.lives]
    if not asked:
        return True
    spare = 0.0 if whole else SURELY * sqrt(SEEN * (1 - SEEN) / len(asked))
    return asked.count("killed") / len(asked) >= SEEN - spare


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
