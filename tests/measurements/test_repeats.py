"""A person's own repeats: how well they measure, and how two people differ."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta

import pytest

from measurements.hoof.quantities import mdc95
from measurements.models import Reading
from measurements.queries.numbers import Numbers, numbers_of
from measurements.queries.repeats import Source, differences, own_errors, wants_repeats
from measurements.services.readings import reading_correct, readings_import, readings_record
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, text_of

pytestmark = pytest.mark.usefixtures("clock_stands")
FIRST = date(2026, 6, 1)


def twice(
    cast: Cast,
    now: datetime,
    pairs: Sequence[tuple[float, float]],
    who: str = "farrier",
    quantity: str = "toe_angle",
) -> None:
    """A pair of readings of one foot on each of several days, by one person."""
    access = cast.access(getattr(cast, who))
    for week, pair in enumerate(pairs):
        for value in pair:
            on = FIRST + timedelta(days=7 * week)
            build.reading(access, now, "LF", quantity, value, on, trim_state="between")


def both(cast: Cast, now: datetime, pairs: Sequence[tuple[float, float]], foot: str = "LF") -> None:
    """One reading each of the farrier and the stand-in on each of several days."""
    for week, values in enumerate(pairs):
        on = FIRST + timedelta(days=7 * week)
        for who, value in zip((cast.farrier, cast.stand_in), values, strict=True):
            build.reading(cast.access(who), now, foot, "toe_angle", value, on, trim_state="between")


def numbers(cast: Cast) -> Numbers:
    return numbers_of(cast.horse, today=FIRST)


def the_farrier(cast: Cast) -> Source:
    return Source(cast.farrier.public_id, "gauge", "toe_angle")


def page(cast: Cast, who: str = "farrier") -> str:
    return text_of(Door(getattr(cast, who), cast.case).get("series", "LF", "toe_angle"))


def sds(cast: Cast) -> set[float]:
    return {row.sd for row in numbers(cast).series("LF", "toe_angle")}


GOOD = [(52, 52.1), (51.8, 52), (52.1, 52.1), (52, 52.2)]


def trimmed(cast: Cast, now: datetime) -> None:
    """A trim before all of them, so that they count from one."""
    on = FIRST - timedelta(days=7)
    build.reading(cast.access(cast.vet), now, "LF", "toe_angle", 52, on, method="radiograph")


def test_own_repeats_take_the_place_of_the_usual_error(cast: Cast, now: datetime) -> None:
    trimmed(cast, now)
    twice(cast, now, GOOD)
    rows = numbers(cast).series("LF", "toe_angle")
    assert {row.sd for row in rows if row.method == "gauge"} == {
        numbers(cast).errors[the_farrier(cast)].sd
    }
    assert all(0.4 <= row.sd < 1 for row in rows if row.method == "gauge")


def test_two_repeats_are_too_few_to_count(cast: Cast, now: datetime) -> None:
    trimmed(cast, now)
    twice(cast, now, GOOD[:2])
    assert sds(cast) == {1.0}


def test_somebody_elses_repeats_say_nothing_of_mine(cast: Cast, now: datetime) -> None:
    trimmed(cast, now)
    twice(cast, now, GOOD, who="stand_in")
    build.reading(cast.access(cast.farrier), now, "LF", "toe_angle", 52, FIRST)
    mine = [r for r in numbers(cast).series("LF", "toe_angle") if r.by == cast.farrier.public_id]
    assert [row.sd for row in mine] == [1.0]


def test_the_spread_inside_pairs_is_the_published_one(cast: Cast, now: datetime) -> None:
    # sqrt(sum of squared differences / 2n), Bland & Altman, Lancet 1986;i:307-310.
    twice(cast, now, [(52, 53), (51, 52), (50, 51)])
    error = numbers(cast).errors[the_farrier(cast)]
    assert error.own_sd == pytest.approx((3 / 6) ** 0.5)
    assert error.repeats == 3


def test_before_and_after_a_trim_are_no_repeat(cast: Cast, now: datetime) -> None:
    build.series(cast.access(cast.farrier), now, [52, 51, 52, 51])
    assert numbers(cast).errors == {}


def test_two_feet_are_no_repeat(cast: Cast, now: datetime) -> None:
    access = cast.access(cast.farrier)
    readings_record(
        access=access,
        taken_on=FIRST,
        now=now,
        readings=[build.taken("LF", "toe_angle", 52), build.taken("RF", "toe_angle", 50)],
    )
    assert numbers(cast).errors == {}


def test_the_wrong_foot_is_no_repeat(cast: Cast, now: datetime) -> None:
    twice(cast, now, [*GOOD, (52, 61)])
    assert numbers(cast).errors[the_farrier(cast)].repeats == len(GOOD)


def test_a_corrected_value_is_no_repeat_of_the_right_one(cast: Cast, now: datetime) -> None:
    access = cast.access(cast.farrier)
    old = build.reading(access, now, "LF", "toe_angle", 53, FIRST)
    new = build.taken("LF", "toe_angle", 52)
    reading_correct(access=access, reading_id=old.public_id, taken=new, reason="Misread.", now=now)
    assert numbers(cast).errors == {}


def test_old_records_read_in_are_no_repeats(cast: Cast, now: datetime) -> None:
    readings_import(
        access=cast.access(cast.owner),
        days={FIRST: [build.taken("LF", "toe_angle", 52)] * 2},
        taken_by_name="Finn",
        now=now,
    )
    assert own_errors(numbers(cast).readings) == {}


def test_the_page_tells_people_their_own_repeats(cast: Cast, now: datetime) -> None:
    twice(cast, now, GOOD)
    # 1.96 * sqrt((10 * 1 + 0.045) / 14): the pairs' 0.01 + 0.04 + 0 + 0.04, halved.
    assert "Your own repeats by hoof gauge: ±1.7°, from 4 pairs" in page(cast)
    assert "Your own repeats" not in page(cast, "owner")


def test_the_page_counts_the_first_repeats(cast: Cast, now: datetime) -> None:
    twice(cast, now, GOOD[:1])
    assert "Your own repeats by hoof gauge: one so far. From three on" in page(cast)


def test_who_reads_higher_is_told_with_its_range(cast: Cast, now: datetime) -> None:
    both(cast, now, [(54, 52), (53.9, 51.9), (54.1, 52.1), (54, 52), (53, 51), (54, 52)])
    shown = page(cast, "owner")
    # 6 differences of 2, each with variance 2, held to 0 by a prior with variance 1:
    # 1.5 +/- 1.96 * sqrt(1 / 4).
    assert "Finn Farrier reads about 1.5° higher than Stina Standin" in shown
    assert "(6 same-day pairs, likely 0.5 to 2.5°)" in shown


def test_people_are_told_of_themselves_as_you(cast: Cast, now: datetime) -> None:
    both(cast, now, [(54, 52)] * 6)
    assert "You read about 1.5° higher than Stina Standin (6" in page(cast)
    assert "Finn Farrier reads about 1.5° higher than you (6" in page(cast, "stand_in")


def test_the_one_who_reads_higher_is_named_first(cast: Cast, now: datetime) -> None:
    both(cast, now, [(50, 52), (50, 52), (50, 52), (50, 52)])
    assert "Stina Standin reads about" in page(cast, "owner")


def test_two_who_read_alike_show_no_difference(cast: Cast, now: datetime) -> None:
    both(cast, now, [(52, 52.1), (52, 51.9)])
    shown = page(cast, "owner")
    assert "Finn Farrier and Stina Standin: no clear difference in 2 same-day pairs; up to" in shown


def test_readings_of_different_days_are_not_compared(cast: Cast, now: datetime) -> None:
    for who, on in ((cast.farrier, FIRST), (cast.stand_in, FIRST + timedelta(days=1))):
        build.reading(cast.access(who), now, "LF", "toe_angle", 52, on, trim_state="between")
    assert differences(numbers(cast).readings, "toe_angle", {}) == []


def test_two_ways_of_measuring_are_named(cast: Cast, now: datetime) -> None:
    for who, method, value in ((cast.farrier, "gauge", 55), (cast.owner, "owner", 50)):
        for week in range(3):
            on = FIRST + timedelta(days=7 * week)
            build.reading(
                cast.access(who),
                now,
                "LF",
                "toe_angle",
                value,
                on,
                method=method,
                trim_state="between",
            )
    assert "Finn Farrier (hoof gauge) reads about" in page(cast, "vet")


def test_the_smallest_difference_that_counts_is_told(cast: Cast, now: datetime) -> None:
    # 1.96 * sqrt(2) * 1 deg (Weir, J Strength Cond Res 2005;19:231-240).
    build.reading(cast.access(cast.farrier), now, "LF", "toe_angle", 52, FIRST)
    shown = page(cast)
    assert f"{mdc95(1, 1):.1f}" == "2.8"
    assert "Between two readings by hoof gauge a difference under about 2.8° is within" in shown
    assert "Weir, J Strength Cond Res 2005" in shown


def test_the_smallest_difference_between_two_ways_is_told_too(cast: Cast, now: datetime) -> None:
    access = cast.access(cast.farrier)
    build.reading(access, now, "LF", "toe_angle", 52, FIRST, method="photo")
    build.reading(access, now, "LF", "toe_angle", 52, FIRST + timedelta(days=1))
    # 1.96 * sqrt(1 + 2^2)
    assert "one by hoof gauge and one by photo, under about 4.4°" in page(cast)


def test_the_same_foot_is_measured_twice_on_a_day(cast: Cast) -> None:
    door = Door(cast.farrier, cast.case)
    for value in ("52", "52,4"):
        answer = door.post(
            "readings_new",
            taken_on="2026-11-01",
            trim_state="between",
            angle_method="gauge",
            length_method="tape",
            **{"LF-toe_angle": value},
        )
        assert answer.status_code == 302
    assert Reading.objects.count() == 2
    assert numbers(cast).errors[the_farrier(cast)].repeats == 1


def test_who_has_few_repeats_is_asked_now_and_then(cast: Cast, now: datetime) -> None:
    door = Door(cast.farrier, cast.case)
    assert "measure one foot twice" not in text_of(door.get("readings_new"))
    twice(cast, now, GOOD[:1])
    assert "measure one foot twice" in text_of(door.get("readings_new"))


def test_who_has_enough_repeats_is_left_alone(cast: Cast, now: datetime) -> None:
    twice(cast, now, GOOD)
    shown = text_of(Door(cast.farrier, cast.case).get("readings_new"))
    assert "measure one foot twice" not in shown


def test_lengths_ask_for_no_repeats(cast: Cast, now: datetime) -> None:
    build.reading(cast.access(cast.farrier), now, "LF", "toe_length", 83, FIRST)
    known = numbers(cast)
    assert not wants_repeats(known.readings, cast.farrier.public_id, known.errors)
