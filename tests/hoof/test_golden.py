"""Golden verdicts: what the code says of seventy feet is what it said, and what the reference says.

The reference judges a part of the feet at each run, another one whenever the mathematics change, and
a few drawn by chance; `CASEBOARD_GOLDEN=all` lets it judge them all, and many more by chance. After a change of the method:
`uv run python -m tests.hoof.reference.regenerate`.
"""

import ast
import copy
import hashlib
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import measurements.hoof
from tests.hoof.reference import compare
from tests.hoof.reference.any_case import any_case
from tests.hoof.reference.cases import CASES, Case
from tests.hoof.reference.golden import code_entry, read_golden, reference_entry

PARTS = 8
ALL = os.environ.get("CASEBOARD_GOLDEN") == "all"
ANY_FEET = range(300 if ALL else 12)
GOLDEN = read_golden()
HERE = Path(__file__).parent / "reference"
# The one file of the reference that asks the code.
ASKS_THE_CODE = "by_code.py"


def the_part() -> list[Case]:
    """The feet that the reference judges in this run."""
    if ALL:
        return list(CASES)
    digest = hashlib.sha256()
    for path in sorted(Path(measurements.hoof.__path__[0]).rglob("*.py")):
        digest.update(path.read_bytes())
    return list(CASES[int(digest.hexdigest(), 16) % PARTS :: PARTS])


def names(cases: list[Case]) -> list[str]:
    return [case.name.replace(" ", "_") for case in cases]


@pytest.mark.parametrize("case", CASES, ids=names(list(CASES)))
def test_a_foot_has_the_verdict_that_it_had(case: Case) -> None:
    golden, found = GOLDEN[case.name], code_entry(case)
    assert compare.parting({key: golden[key] for key in found}, found) == []


@pytest.mark.parametrize("case", the_part(), ids=names(the_part()))
def test_the_reference_says_what_it_said(case: Case) -> None:
    golden = GOLDEN[case.name]
    assert compare.parting(golden["reference"], reference_entry(case, golden)["reference"]) == []


@pytest.mark.parametrize("case", CASES, ids=names(list(CASES)))
def test_the_golden_verdict_is_that_of_the_reference(case: Case) -> None:
    golden = GOLDEN[case.name]
    assert compare.disagreement(golden["code"], golden["reference"]) == []


@pytest.mark.parametrize("seed", ANY_FEET)
def test_code_and_reference_agree_on_any_foot(seed: int) -> None:
    case = any_case(seed)
    entry = code_entry(case)
    entry |= reference_entry(case, entry)
    code, reference = ({**entry[by], "leaving": {}} for by in ("code", "reference"))
    assert compare.disagreement(code, reference, slack=2.0) == []


def test_the_limits_are_those_of_the_references_simulation() -> None:
    off = {
        name: compare.limits_off(entry["limits"], entry["simulated_limits"])
        for name, entry in GOLDEN.items()
    }
    assert max(compare.share_off(*each) for each in off.values()) <= compare.LIMITS_OFF_ONE_FOOT
    squares, total, count = (sum(column) for column in zip(*off.values(), strict=True))
    assert compare.share_off(squares, total, int(count)) <= compare.LIMITS_OFF_ALL


def test_every_case_has_its_line_and_every_line_its_case() -> None:
    assert list(GOLDEN) == [case.name for case in CASES]


def test_the_feet_are_of_every_kind() -> None:
    states = [entry["code"]["state"] for entry in GOLDEN.values()]
    assert {state: states.count(state) >= 2 for state in set(states)} == dict.fromkeys(
        ["too_early", "quiet", "drift", "step"], True
    )
    assert {entry["code"]["lead"] for entry in GOLDEN.values()} >= {"toe_angle", "heel_angle"}


def test_the_reference_shares_no_code_with_what_it_judges() -> None:
    """Readings, and the names of methods and states, are all that both know."""
    known = {"measurements.hoof.quantities", "measurements.hoof.series"}
    for path in HERE.glob("*.py"):
        if path.name == ASKS_THE_CODE:
            continue
        for node in ast.walk(ast.parse(path.read_text())):
            modules = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            modules += [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            ours = {module for module in modules if module.startswith("measurements")}
            assert ours <= known, path.name


def _set(*place: Any, to: Any) -> Callable[[dict[str, Any]], None]:
    def change(told: dict[str, Any]) -> None:
        for step in place[:-1]:
            told = told[step]
        told[place[-1]] = to

    return change


@pytest.mark.parametrize(
    "change",
    [
        _set("state", to="quiet"),
        _set("lead", to="heel_angle"),
        _set("alarm", 0, to=3.0),
        _set("since", 3, to=9999.0),
        _set("rhythm", 1, to=50.0),
        _set("statistics", -1, to=1.0),
        _set("findings", "toe_angle", "rate", 0, to=-0.4),
        _set("findings", "toe_angle", "level", 1, to=40.0),
        _set("findings", "toe_angle", "weights", to={"3": 0.5}),
        _set("findings", "toe_angle", "doubtful", to=[3]),
        _set("leaving", "after", "low", "chance", to=0.2),
        _set("leaving", "before", "low", "days", 1, to=None),
    ],
)
def test_the_comparison_sees_a_wrong_number(change: Callable[[dict[str, Any]], None]) -> None:
    golden = GOLDEN["drift"]
    wrong = copy.deepcopy(golden["code"])
    change(wrong)
    assert compare.disagreement(wrong, golden["reference"]) != []
    assert compare.parting(golden["code"], wrong) != []


def test_the_comparison_sees_an_edge_that_is_named_first_by_mistake() -> None:
    golden = GOLDEN["drift"]["code"]
    turned = copy.deepcopy(golden)
    turned["leaving"]["after"] = dict(reversed(golden["leaving"]["after"].items()))
    assert compare.parting(golden, turned) != []
