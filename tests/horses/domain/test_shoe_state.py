"""How a horse is shod: worked out from visits, losses and what became of them."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from horses.domain.shoe_state import ShoeEvent, Shoes, lost_again_words, shoes_from

DAY = timedelta(days=1)
START = date(2026, 9, 1)


def event(foot: str, days: int, shoeing: str, kind: str = "visit", **more: bool) -> ShoeEvent:
    on = START + days * DAY
    return ShoeEvent(
        foot, on, datetime(on.year, on.month, on.day, 9, tzinfo=UTC), shoeing, kind, **more
    )


def visit(days: int, shod: str, trimmed: bool = True) -> list[ShoeEvent]:
    return [
        event(foot, days, "shod" if foot in shod.split() else "barefoot", trimmed=trimmed)
        for foot in ("LF", "RF", "LH", "RH")
    ]


@pytest.mark.parametrize(
    ("shod", "name", "full", "missing"),
    [
        ("", "barefoot", True, ()),
        ("LF RF", "front shoes", True, ()),
        ("LF RF LH RH", "shod all round", True, ()),
        ("LH RH", "hind shoes only", False, ()),
        ("LF", "shoes on the left fore", False, ("RF",)),
        ("LF RF LH", "shoes on the left fore, right fore and left hind", False, ("RH",)),
        ("LF LH", "shoes on the left fore and left hind", False, ("RF", "RH")),
    ],
)
def test_a_set_is_none_the_fronts_or_all_four(
    shod: str, name: str, full: bool, missing: tuple[str, ...]
) -> None:
    shoes = shoes_from(visit(0, shod))
    assert (shoes.name, shoes.is_full_set, shoes.missing) == (name, full, missing)


def test_since_when_is_the_day_the_set_came_about_not_the_last_visit() -> None:
    shoes = shoes_from([*visit(0, ""), *visit(42, "LF RF"), *visit(84, "LF RF")])
    assert shoes.since == START + 42 * DAY
    assert shoes.feet["LH"].since == START
    assert shoes.words == "front shoes since 13 Oct 2026"


def lost(foot: str, days: int) -> ShoeEvent:
    return event(foot, days, "barefoot", "lost")


def test_a_lost_shoe_leaves_the_foot_bare_from_that_day() -> None:
    shoes = shoes_from([*visit(0, "LF RF"), lost("LF", 5)])
    assert shoes.missing == ("LF",)
    assert shoes.feet["LF"].lost_on == START + 5 * DAY
    assert shoes.words.endswith("left fore shoe lost 6 Sep 2026")


@pytest.mark.parametrize("kind", ["back", "new", "visit"])
def test_it_is_lost_no_more_once_it_is_back(kind: str) -> None:
    shoes = shoes_from([*visit(0, "LF RF"), lost("LF", 5), event("LF", 6, "shod", kind)])
    assert (shoes.lost, shoes.is_full_set) == ([], True)
    assert shoes.feet["LF"].since == START + 6 * DAY


def times(*more: ShoeEvent) -> int:
    return shoes_from([*visit(0, "LF RF"), *more]).feet["LF"].lost_times


def test_losses_are_counted_from_the_last_trim_of_that_foot() -> None:
    back = event("LF", 6, "shod", "back")
    assert times(lost("LF", 5)) == 1
    assert times(lost("LF", 5), back, lost("LF", 9)) == 2
    assert times(lost("LF", 5), back, *visit(8, "LF RF"), lost("LF", 9)) == 1
    assert times(lost("LF", 5), lost("RF", 6)) == 1


def test_one_loss_that_two_people_wrote_down_is_one_loss() -> None:
    assert times(lost("LF", 5), lost("LF", 5)) == 1


def test_nothing_known_is_said_so() -> None:
    assert (Shoes({}).words, Shoes({}).is_known) == ("not recorded yet", False)
    assert "twice" in lost_again_words("LF", 2)
    assert "3 times" in lost_again_words("LF", 3)


def test_of_two_things_on_one_day_the_one_written_down_later_counts() -> None:
    lost = event("LF", 5, "barefoot", "lost")
    back = replace(event("LF", 5, "shod", "back"), at=lost.at + timedelta(hours=3))
    for events in ([lost, back], [back, lost]):
        assert shoes_from(events).feet["LF"].is_shod
