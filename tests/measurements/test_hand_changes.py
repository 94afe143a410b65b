"""A foot that came into other hands: what is said of it, and how pairs on any foot are used."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta

import pytest

from horses.models import Person
from horses.rules.engine import evaluate
from measurements.models import FootVerdict
from measurements.queries.numbers import Numbers, numbers_of
from measurements.services.readings import readings_record
from measurements.verdicts.hand_changes import HandChange, hand_change, hand_pairs
from measurements.verdicts.judge import foot_question
from measurements.verdicts.trend_short import trend_short
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, text_of

pytestmark = pytest.mark.usefixtures("clock_stands")
GAP = timedelta(days=49)
COULD_SEE = "No change of the left fore toe angle that these methods could see"
CANNOT_TELL = "the numbers cannot tell a changed foot from a changed hand here"


def days(now: datetime, visits: int) -> list[date]:
    """The days of the visits, the last one ten days ago."""
    last = now.date() - timedelta(days=10)
    return [last - GAP * (visits - 1 - visit) for visit in range(visits)]


def visit(
    cast: Cast,
    now: datetime,
    on: date,
    who: Person,
    *,
    before: Person | None = None,
    value: float = 52.0,
    method: str = "gauge",
    foot: str = "LF",
    quantity: str = "toe_angle",
) -> None:
    """What is read after a trim and, by `before`, just before it."""
    at = datetime.combine(on, now.time(), tzinfo=now.tzinfo)
    for person, state, read in ((before, "before", value - 2.6), (who, "after", value)):
        if person is not None:
            row = build.taken(foot, quantity, read, trim_state=state, method=method)
            readings_record(access=cast.access(person), taken_on=on, readings=[row], now=at)


def handed_over(
    cast: Cast,
    now: datetime,
    *,
    measures_first: bool = False,
    method: str = "gauge",
    quantity: str = "toe_angle",
    same_person: bool = False,
) -> list[date]:
    """Six visits of the farrier, then three of the stand-in (or in another way), all judged."""
    on = days(now, 9)
    for number, day in enumerate(on):
        new = number >= 6 and not same_person
        by = cast.stand_in if new else cast.farrier
        first = by if number != 6 or measures_first else cast.farrier
        way = method if number >= 6 else "gauge"
        visit(cast, now, day, by, before=first if number else None, method=way, quantity=quantity)
    evaluate(cast.horse, now=now)
    return on


def both(cast: Cast, now: datetime, on: Sequence[date], foot: str = "LF", gap: float = 0.0) -> None:
    """The farrier and the stand-in measure one foot at one moment of each day."""
    for day in on:
        for who, value in ((cast.farrier, 50.0), (cast.stand_in, 50.0 + gap)):
            build.reading(
                cast.access(who), now, foot, "toe_angle", value, day, trim_state="between"
            )


def numbers(cast: Cast, now: datetime) -> Numbers:
    return numbers_of(cast.horse, today=now.date())


def change(cast: Cast, now: datetime, quantity: str = "toe_angle") -> HandChange:
    found = hand_change(numbers(cast, now), "LF", quantity)
    assert found is not None
    return found


def page(cast: Cast, who: str = "owner", quantity: str = "toe_angle") -> str:
    return text_of(Door(getattr(cast, who), cast.case).get("series", "LF", quantity))


def test_a_quiet_foot_in_new_hands_is_not_called_unchanged(cast: Cast, now: datetime) -> None:
    handed_over(cast, now)
    assert FootVerdict.objects.get(foot="LF").state == "quiet"
    shown = page(cast)
    assert CANNOT_TELL in shown
    assert COULD_SEE not in shown
    assert "Stina Standin measures the left fore toe angle, before that Finn Farrier." in shown


def test_what_settles_it_is_said_and_is_one_tap_away(cast: Cast, now: datetime) -> None:
    handed_over(cast, now)
    shown = page(cast, "farrier")
    assert "both measure the same foot at the same moment of one day, three times" in shown
    assert "no of them so far" not in shown
    assert "none of them so far" in shown
    assert "let the new one measure before the first trim" in shown
    address = Door(cast.farrier, cast.case).address("readings_new")
    assert f'href="{address}">Measure it together: write down both</a>' in shown


def test_who_measured_first_is_not_told_to_do_so(cast: Cast, now: datetime) -> None:
    handed_over(cast, now, measures_first=True)
    assert change(cast, now).measured_before
    assert "before the first trim" not in page(cast)


def test_the_same_hands_say_what_they_could_see(cast: Cast, now: datetime) -> None:
    build.series(cast.access(cast.farrier), now, [52, 52.2, 51.9, 52.1, 52, 51.8])
    evaluate(cast.horse, now=now)
    assert hand_change(numbers(cast, now), "LF", "toe_angle") is None
    assert CANNOT_TELL not in page(cast)
    assert "Measure it together" not in page(cast, "farrier")


def test_pairs_on_the_foot_are_counted(cast: Cast, now: datetime) -> None:
    on = handed_over(cast, now)
    both(cast, now, [on[6] + timedelta(days=7), on[7] + timedelta(days=7)])
    evaluate(cast.horse, now=now)
    assert change(cast, now).same_foot == 2
    assert "three times; two of them so far." in page(cast)


def test_three_pairs_settle_it(cast: Cast, now: datetime) -> None:
    on = handed_over(cast, now)
    both(cast, now, [day + timedelta(days=7) for day in on[5:8]])
    evaluate(cast.horse, now=now)
    assert change(cast, now).is_settled
    assert CANNOT_TELL not in page(cast)


def test_pairs_on_other_feet_are_told_of_as_less(cast: Cast, now: datetime) -> None:
    on = handed_over(cast, now)
    both(cast, now, [on[7] + timedelta(days=3)], foot="RF")
    evaluate(cast.horse, now=now)
    assert not change(cast, now).is_settled
    assert "none of them so far, and one on other feet, which say less." in page(cast)


def test_another_way_of_measuring_is_told_as_such(cast: Cast, now: datetime) -> None:
    handed_over(cast, now, method="photo", same_person=True)
    shown = page(cast)
    assert "is measured by photo, before by hoof gauge." in shown
    assert "Two ways of measuring read a foot differently" in shown
    assert COULD_SEE not in shown


def test_a_quantity_judged_by_a_straight_line_says_so_too(cast: Cast, now: datetime) -> None:
    handed_over(cast, now, quantity="pastern_angle")
    shown = page(cast, quantity="pastern_angle")
    assert CANNOT_TELL in shown
    assert "No change that these methods could see" not in shown


def test_the_short_words_do_not_call_it_unchanged_either(cast: Cast, now: datetime) -> None:
    handed_over(cast, now)
    verdict = FootVerdict.objects.get(foot="LF")
    words = trend_short(numbers(cast, now), "LF", "toe_angle", verdict)
    assert words == "a change cannot be told from a change of hands"


def test_pairs_on_other_feet_reach_the_judgement(cast: Cast, now: datetime) -> None:
    on = handed_over(cast, now)
    both(cast, now, [on[7] + timedelta(days=3)], foot="RF", gap=2.0)
    (pair,) = hand_pairs(numbers(cast, now), "LF")["toe_angle"]
    by_name = {pair.first: 1.0, pair.second: -1.0}
    assert pair.difference * by_name[f"gauge\0{cast.farrier.public_id}"] == pytest.approx(-2.0)
    assert pair.sd == pytest.approx(2**0.5)
    assert hand_pairs(numbers(cast, now), "RF") == {}


def test_a_pair_on_another_foot_makes_a_new_verdict(cast: Cast, now: datetime) -> None:
    on = handed_over(cast, now)
    old = foot_question(numbers(cast, now), "LF").key
    both(cast, now, [on[7] + timedelta(days=3)], foot="RF", gap=2.0)
    assert foot_question(numbers(cast, now), "LF").key != old
    evaluate(cast.horse, now=now)
    assert FootVerdict.objects.filter(foot="LF").count() == 2
