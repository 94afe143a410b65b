"""Who stands in once and who has taken over, and that later visits change nothing said before."""

from dataclasses import replace

import pytest

from measurements.hoof.drift.foot import prepare
from measurements.hoof.drift.hands import Handover, HandReading, find_handovers
from measurements.hoof.drift.look_statistics import statistics_by_look
from measurements.hoof.series import SeriesReading
from tests.hoof.build import a_series


def visits(*hands: str) -> list[HandReading]:
    """A reading after each trim by each of the letters of a visit."""
    return [HandReading(v, v, True, hand) for v, letters in enumerate(hands) for hand in letters]


def known(*hands: str) -> list[tuple[int, frozenset[str]]]:
    return [(each.known_from, each.new) for each in find_handovers(visits(*hands))]


def test_somebody_known_who_comes_once_has_not_taken_over() -> None:
    assert known("f", "f", "f", "AB", "A", "A", "B", "A") == [(3, frozenset("AB"))]


def test_somebody_known_who_comes_twice_running_has_taken_over() -> None:
    found = find_handovers(visits("f", "f", "f", "AB", "A", "A", "B", "B"))
    assert [(each.known_from, each.new) for each in found][1:] == [(7, frozenset("B"))]
    assert found[1].last_onset == 5  # the trim before the first of the two


def test_with_the_lead_between_somebody_known_has_come_once_each_time() -> None:
    assert len(known("f", "f", "f", "AB", "A", "A", "B", "A", "B", "A")) == 1


def test_of_two_visits_nobody_has_taken_over() -> None:
    assert known("f", "A", "A", "A") == []
    assert known("f", "f", "A", "A") == [(2, frozenset("A"))]


@pytest.mark.parametrize(
    ("look", "last_trim", "fresh"), [(6, 5, False), (7, 6, True), (14, 13, True), (15, 14, False)]
)
def test_a_change_of_hands_is_fresh_from_its_visit_for_eight_trims(
    look: int, last_trim: int, fresh: bool
) -> None:
    change = Handover(5, 5, 5, 7, "f", frozenset("A"))
    assert change.is_fresh(look, last_trim) is fresh


def hands_of(rows: list[SeriesReading], *hands: str) -> list[SeriesReading]:
    """The readings of each visit by its first letter, and those after the trim by all."""
    taken: list[SeriesReading] = []
    for row in rows:
        letters = hands[round(row.at_days / 49.0)]
        taken += [replace(row, by=hand) for hand in letters]
    return taken


def test_what_was_said_stands_when_somebody_known_takes_over_later() -> None:
    rows = hands_of(a_series(10, noise=0.7), *"fff", "AB", *"AABBBB")
    foot = prepare({"toe_angle": rows}, {}, None)
    whole = statistics_by_look(foot.pair, foot.looks)
    assert [each.known_from for each in foot.looks.handovers] == [3, 7]
    for count in range(6, 10):
        begun = prepare({"toe_angle": [r for r in rows if r.at_days < count * 49.0 - 1]}, {}, None)
        assert statistics_by_look(begun.pair, begun.looks) == pytest.approx(whole[:count])
