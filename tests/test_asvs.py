"""The map of tests/asvs_map.py is no list of names: each test that it names is there and asserts.

Whether the proofs hold is what running them says; here is only that there is something to run.
"""

import ast
import re
from functools import cache
from pathlib import Path

from tests.asvs_map import ROWS, proofs

HOME = Path(__file__).resolve().parent.parent
CHAPTERS = {"1", "2", "5", "6", "7", "8", "13", "14", "16"}
PATH = re.compile(r"\b(?:caseboard|horses|measurements|tests)/[\w/]+\.\w+")


@cache
def cases_in(path: str) -> dict[str, ast.FunctionDef]:
    file = HOME / path
    if not file.is_file():
        return {}
    nodes = ast.walk(ast.parse(file.read_text()))
    found = [node for node in nodes if isinstance(node, ast.FunctionDef)]
    return {node.name: node for node in found if node.name.startswith("test_")}


def asserts(test: ast.FunctionDef) -> bool:
    """Whether it can fail by what it looks at: it asserts, or expects an error or a helper's check."""
    for node in ast.walk(test):
        if isinstance(node, ast.Assert):
            return True
        if isinstance(node, ast.Call) and re.search(
            r"\braises$|assert|expect", ast.unparse(node.func)
        ):
            return True
    return False


def wrong_with(named: str) -> str:
    path, _, name = named.partition("::")
    test = cases_in(path).get(name)
    if test is None:
        return f"{named}: no such test"
    return "" if asserts(test) else f"{named}: asserts nothing"


def test_each_test_that_is_named_is_there_and_asserts() -> None:
    assert [wrong for named in proofs() if (wrong := wrong_with(named))] == []


def test_each_line_has_its_number_once_and_words_or_a_reason() -> None:
    numbers = [row[0] for row in ROWS]
    assert all(re.fullmatch(r"\d{1,2}\.\d\.\d{1,2}", number) for number in numbers)
    assert len(numbers) == len(set(numbers))
    assert {number.split(".")[0] for number in numbers} == CHAPTERS
    assert all(words for _, words, _ in ROWS)
    assert all(len(proof) > 12 for _, _, proof in ROWS)


def test_most_lines_are_proved_and_not_argued() -> None:
    assert sum(not row[2].startswith("- ") for row in ROWS) >= 60


def test_reasons_name_files_that_are_there() -> None:
    named = {path for _, _, proof in ROWS for path in PATH.findall(proof)}
    assert {path for path in named if not (HOME / path).exists()} == set()


def test_a_test_that_is_gone_or_asserts_nothing_would_be_noticed() -> None:
    assert wrong_with("tests/test_asvs.py::test_that_never_was").endswith("no such test")
    assert wrong_with("tests/no_such_file.py::test_x").endswith("no such test")
    empty = ast.parse("def test_x():\n    do()\n").body[0]
    assert isinstance(empty, ast.FunctionDef)
    assert not asserts(empty)
