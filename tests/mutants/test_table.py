"""The table of mutants fits the code: a row that no longer applies is a slip that nobody asks about."""

import ast
from collections import Counter

import pytest

from tests.mutants.row import HOME, Mutant, Stale
from tests.mutants.run import all_is_well
from tests.mutants.table import TABLE

MOST_EXCUSED = 0.05  # house default: what no test can see has its reason in the table

ONE = Mutant("one", "x = 1", "x = 2", file="some.py")


def test_every_row_still_applies_and_leaves_a_program() -> None:
    wrong = []
    for row in TABLE:
        try:
            changed = row.applied((HOME / row.file).read_text())
            if row.file.endswith(".py"):
                ast.parse(changed)
        except (Stale, SyntaxError, FileNotFoundError) as error:
            wrong.append(f"{row.slip}: {error}")
    assert wrong == []


def test_every_row_names_tests_that_are_there() -> None:
    gone = []
    for row in TABLE:
        for named in row.tests:
            path, _, test = named.partition("::")
            there = (HOME / path).exists()
            if not there or f"def {test.partition('[')[0]}" not in (HOME / path).read_text():
                gone.append(f"{row.slip}: {named}")
        if not row.tests:
            gone.append(f"{row.slip}: no tests")
    assert gone == []


def test_each_slip_has_its_own_words_and_is_made_once() -> None:
    words = Counter(row.slip for row in TABLE)
    changes = Counter((row.file, row.old, row.new, row.nth) for row in TABLE)
    assert [one for one, times in words.items() if times > 1] == []
    assert [one for one, times in changes.items() if times > 1] == []


def test_few_are_excused() -> None:
    assert sum(bool(row.lives) for row in TABLE) <= MOST_EXCUSED * len(TABLE)


def test_a_row_is_refused_where_its_text_is_not_as_often_as_it_says() -> None:
    assert ONE.applied("a\nx = 1\n") == "a\nx = 2\n"
    for text in ("x = 3", "x = 1; x = 1"):
        with pytest.raises(Stale):
            ONE.applied(text)


def test_the_occurrence_that_is_meant_is_the_one_that_changes() -> None:
    second = Mutant("second", "1", "2", nth=2, of=3)
    assert second.applied("1 a 1 b 1") == "1 a 2 b 1"


def test_one_that_must_be_seen_and_lives_spoils_the_run() -> None:
    excused = Mutant("two", "y", "z", lives="nobody could see it")
    assert all_is_well([ONE, excused], ["killed", "survived"])
    assert all_is_well([ONE, excused], ["killed", "killed"])
    assert not all_is_well([ONE, excused], ["survived", "survived"])
    assert not all_is_well([ONE, excused], ["killed", "no longer fits"])
    assert not all_is_well([ONE], ["tests did not run (pytest said 2)"])


def test_of_the_whole_table_the_goal_itself_is_asked_and_of_a_part_what_is_surely_below() -> None:
    rows = [ONE] * 50
    almost = ["survived"] * 4 + ["killed"] * 46
    assert all_is_well(rows, almost)
    assert not all_is_well(rows, almost, whole=True)
    assert not all_is_well(rows, ["survived"] * 6 + ["killed"] * 44)
    assert all_is_well(rows, ["survived"] * 2 + ["killed"] * 48, whole=True)
