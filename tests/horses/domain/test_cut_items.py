"""Which plan items warn whoever cuts, and at which feet."""

from datetime import date

import pytest

from horses.domain.cut_items import cut_item
from horses.models import PlanItem, PlanItemVersion

TODAY = date(2026, 11, 2)
ALL = ("LF", "RF", "LH", "RH")


def feet(
    text: str, kind: str = "trim", status: str = "open", **more: object
) -> tuple[str, ...] | None:
    """The feet of such an item; None when it is no warning."""
    fields: dict[str, object] = {"therapeutic": False, "who_does": "farrier", **more}
    item = PlanItem(kind=kind, number=1, status=status)
    found = cut_item(item, PlanItemVersion(text=text, **fields), agreed=True, today=TODAY)
    return found.feet if found else None


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("No wedges.", ALL),
        ("Left fore: no wedges.", ("LF",)),
        ("Never shorten the near hind toe.", ("LH",)),
        ("Off fore: leave the toe.", ("RF",)),
        ("Leave the toe on LF and RF.", ("LF", "RF")),
        ("No sole off the fronts.", ("LF", "RF")),
        ("Hind feet: leave the heels.", ("LH", "RH")),
        ("Not more than 2 mm off front toes.", ALL),  # "off" is no side here
        ("Do not take the left front shoe off.", ("LF",)),
        ("Leave the bars.", ALL),
    ],
)
def test_what_forbids_is_a_warning_at_the_feet_it_names(text: str, named: tuple[str, ...]) -> None:
    assert feet(text) == named


def test_what_the_vet_leads_of_the_cutting_is_one_without_forbidding() -> None:
    assert feet("Right fore: 2 mm of heel off.", therapeutic=True) == ("RF",)
    assert feet("Hand walk.", kind="work", therapeutic=True, who_does="owner") is None


def test_a_task_is_none() -> None:
    assert feet("Roll the toes.") is None
    assert feet("Every five weeks.", kind="recheck") is None


def test_care_at_home_is_one_when_it_forbids_something_of_the_feet() -> None:
    assert feet("Do not trim before the films.", kind="home", who_does="owner") == ALL
    assert feet("No hard feed.", kind="home", who_does="owner") is None


def test_what_ended_or_has_run_out_is_none() -> None:
    assert feet("No wedges.", status="done") is None
    assert feet("No wedges.", until_on=date(2026, 11, 1)) is None
    assert feet("No wedges.", until_on=TODAY) == ALL


def test_the_foot_of_a_target_comes_before_the_words() -> None:
    assert feet("Leave the toe of the left fore.", target={"foot": "RH"}) == ("RH",)
