"""The map of tests/asvs_map.py holds: each test that it names is still there."""

import ast
import re
from functools import cache
from pathlib import Path

import pytest

from tests.asvs_map import ROWS

HOME = Path(__file__).resolve().parent.parent
CHAPTERS = {"1", "2", "5", "6", "7", "8", "13", "16"}


@cache
def named_in(path: str) -> frozenset[str]:
    file = HOME / path
    if not file.is_file():
        return frozenset()
    tree = ast.parse(file.read_text())
    names = (node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef))
    return frozenset(name for name in names if name.startswith("test_"))


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row[0])
def test_each_line_names_tests_that_exist_or_says_why_not(row: tuple[str, ...]) -> None:
    number, words, proof = row
    assert re.fullmatch(r"\d{1,2}\.\d\.\d{1,2}", number)
    assert words
    if proof.startswith("- "):
        assert len(proof) > 12
        return
    for named in proof.split():
        path, _, name = named.partition("::")
        assert name in named_in(path), named


def test_no_requirement_stands_twice_and_each_chapter_is_there() -> None:
    numbers = [row[0] for row in ROWS]
    assert len(numbers) == len(set(numbers))
    assert {number.split(".")[0] for number in numbers} == CHAPTERS
    assert sum(not row[2].startswith("- ") for row in ROWS) >= 60


def test_a_test_that_is_gone_would_be_noticed() -> None:
    assert "test_that_never_was" not in named_in("tests/test_asvs.py")
    assert named_in("tests/no_such_file.py") == frozenset()
    assert "test_a_test_that_is_gone_would_be_noticed" in named_in("tests/test_asvs.py")
