"""How the suite is run: on which database, in which order, by how many processes."""

import os
from fnmatch import fnmatch
from pathlib import Path
from random import Random
from types import SimpleNamespace
from typing import Any

import pytest

from tests.conftest import pytest_xdist_auto_num_workers, shuffle
from tests.databases import ALIKE, EACH_TIME, differs, drawn

HOME = Path(__file__).resolve().parent.parent
FILES = [path.relative_to(HOME).as_posix() for path in HOME.glob("tests/**/test_*.py")]


def test_every_name_in_the_list_is_of_some_tests() -> None:
    assert [one for one in ALIKE if not any(fnmatch(path, one) for path in FILES)] == []


def test_a_file_that_nobody_named_is_asked_of_both() -> None:
    assert differs("tests/horses/services/test_of_tomorrow.py")
    assert not differs("tests/horses/views/test_of_tomorrow.py")


def test_what_locks_keeps_or_counts_in_the_database_is_asked_of_both() -> None:
    for folder in ("services", "ledger", "jobs", "queries", "rules", "notices"):
        mine = [path for path in FILES if path.startswith(f"tests/horses/{folder}/")]
        assert mine
        assert all(differs(path) for path in mine if not path.endswith("_pages.py"))


def test_every_name_of_what_is_asked_each_time_is_of_some_tests_asked_of_both() -> None:
    both = [path for path in FILES if differs(path)]
    assert [one for one in EACH_TIME if not any(fnmatch(path, one) for path in both)] == []


def test_each_commit_draws_a_third_and_thirty_commits_draw_every_file() -> None:
    both = {path for path in FILES if differs(path)}
    always = {path for path in both if any(fnmatch(path, one) for one in EACH_TIME)}
    parts = [{path for path in both if drawn(path, f"commit {n}")} for n in range(30)]
    assert all(always <= part for part in parts)
    shares = [len(part - always) / len(both - always) for part in parts]
    assert min(shares) > 0.15
    assert max(shares) < 0.55
    assert set.union(*parts) == both


@pytest.mark.parametrize(
    ("named", "workers"),
    [
        ([], (os.cpu_count() or 1) + 1),
        (["tests"], (os.cpu_count() or 1) + 1),
        (["tests/"], (os.cpu_count() or 1) + 1),
        (["tests/hoof"], 0),
        (["tests/hoof/test_wear.py::test_x"], 0),
        (["tests", "tests/hoof"], 0),
    ],
)
def test_only_the_whole_suite_starts_workers(named: list[str], workers: int) -> None:
    config: Any = SimpleNamespace(args=[str(HOME / path) for path in named])
    assert pytest_xdist_auto_num_workers(config) == workers


def items(*places: tuple[str, int]) -> list[Any]:
    return [SimpleNamespace(path=path, number=number) for path, number in places]


def test_the_same_seed_gives_the_same_order_and_keeps_a_files_tests_together() -> None:
    def order(seed: int) -> list[tuple[str, int]]:
        these = items(*[(path, number) for path in "abcdef" for number in range(9)])
        shuffle(these, Random(seed))
        return [(item.path, item.number) for item in these]

    assert order(1) == order(1)
    assert order(1) != order(2)
    assert sorted(order(1)) == [(path, number) for path in "abcdef" for number in range(9)]
    paths = [path for path, _ in order(1)]
    assert sum(one != other for one, other in zip(paths, paths[1:], strict=False)) == 5
