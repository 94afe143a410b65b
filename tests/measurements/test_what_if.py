"""The series page: what another interval would bring, and which verdict is shown."""

import re
from collections.abc import Callable
from datetime import datetime
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from measurements.models import FootVerdict, Reading
from measurements.queries.numbers import numbers_of
from measurements.services.readings import reading_correct
from measurements.verdicts.judge import verdict_now
from measurements.verdicts.levels import present_level
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, text_of

pytestmark = pytest.mark.usefixtures("clock_stands")
STEADY = [52, 52.2, 51.9, 52.1, 52, 51.8]
PENDING = "New readings are being looked at."


def filled(cast: Cast, now: datetime, quantity: str = "toe_angle", fall: float = 2.6) -> None:
    build.series(cast.access(cast.farrier), now, STEADY, quantity=quantity, fall=fall)


def ask(cast: Cast, quantity: str = "toe_angle", **query: str) -> str:
    return text_of(Door(cast.owner, cast.case).get("series", "LF", quantity, **query))


def value_at(shown: str, interval: str) -> float:
    found = re.search(rf'<dt>{interval}</dt>\s*<dd>\s*<span class="reading">about ([0-9.]+)', shown)
    assert found is not None, f"nothing for {interval}"
    return float(found[1])


def test_the_horses_own_interval_stands_there(cast: Cast, now: datetime) -> None:
    filled(cast, now)
    shown = ask(cast)
    assert "Every 7 weeks, as now" in shown
    assert 47.5 < value_at(shown, "Every 7 weeks, as now") < 50.5


def test_a_shorter_interval_leaves_the_angle_higher(
    cast: Cast, now: datetime, drain: Callable[..., int]
) -> None:
    # A shod fore foot falls 3 to 3.5 deg in eight weeks (van Heel et al., Equine Vet J
    # 2005;37:536-540): four weeks less of it leave 1 to 2 deg.
    filled(cast, now)
    drain()
    shown = ask(cast, weeks="3")
    gained = value_at(shown, "Every 3 weeks") - value_at(shown, "Every 7 weeks, as now")
    assert 1.0 < gained < 2.0


def test_the_range_is_narrower_for_the_shorter_interval(cast: Cast, now: datetime) -> None:
    filled(cast, now)
    found = re.findall(r"reading-when\">likely ([0-9.]+) to ([0-9.]+)°", ask(cast, weeks="2"))
    own, asked = (float(high) - float(low) for low, high in found[-2:])
    assert asked < own


def test_the_band_for_the_end_of_the_cycle_is_compared(cast: Cast, now: datetime) -> None:
    filled(cast, now)
    build.target(cast.access(cast.vet), now, moment="before", low=Decimal(40), high=Decimal(60))
    assert "; inside the vet&#x27;s band of 40 to 60° at the end of the cycle" in ask(cast)


@pytest.mark.parametrize("weeks", ["5", "5,5", "5.5 weeks", " 8 ", "26", "1"])
def test_weeks_are_typed_freely(cast: Cast, now: datetime, weeks: str) -> None:
    filled(cast, now)
    answer = Door(cast.owner, cast.case).get("series", "LF", "toe_angle", weeks=weeks)
    assert answer.status_code == 200
    assert text_of(answer).count("<dt>Every ") == 2


@pytest.mark.parametrize(
    ("weeks", "words"),
    [
        ("", "How many weeks?"),
        ("five", "such as 5 or 5.5"),
        ("-3", "such as 5 or 5.5"),
        ("1e9", "such as 5 or 5.5"),
        ("nan", "such as 5 or 5.5"),
        ("٥", "such as 5 or 5.5"),
        ("0", "for 1 to 26 weeks"),
        ("27", "for 1 to 26 weeks"),
        ("5\x00<b>", "such as 5 or 5.5"),
        ("5" * 5000, "there is room for 20"),
    ],
)
def test_bad_weeks_are_answered_in_words(cast: Cast, now: datetime, weeks: str, words: str) -> None:
    filled(cast, now)
    answer = Door(cast.owner, cast.case).get("series", "LF", "toe_angle", weeks=weeks)
    assert answer.status_code == 422
    assert words in text_of(answer)
    assert "Every 7 weeks, as now" in text_of(answer)


@given(weeks=st.text(max_size=30))
@settings(
    max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None
)
def test_whatever_is_asked_has_an_answer(cast: Cast, now: datetime, weeks: str) -> None:
    if not Reading.objects.exists():
        build.reading(cast.access(cast.farrier), now, "LF", "toe_angle", 52, now.date())
    answer = Door(cast.owner, cast.case).get("series", "LF", "toe_angle", weeks=weeks)
    assert answer.status_code in (200, 422)


def test_a_length_is_asked_in_the_persons_unit(cast: Cast, now: datetime) -> None:
    build.series(cast.access(cast.farrier), now, [83, 84, 83], quantity="toe_length", fall=-14)
    assert value_at(ask(cast, "toe_length", weeks="4"), "Every 4 weeks") < 10  # cm


def test_nothing_measured_asks_nothing(cast: Cast) -> None:
    assert 'id="what-if"' not in ask(cast, weeks="5")


def test_few_visits_are_said_to_lean_on_what_is_usual(cast: Cast, now: datetime) -> None:
    build.reading(cast.access(cast.farrier), now, "LF", "toe_angle", 52, now.date())
    assert "this leans on what is usual" in ask(cast)


def test_the_level_of_an_angle_is_that_of_its_verdict(
    cast: Cast, now: datetime, drain: Callable[..., int]
) -> None:
    filled(cast, now)
    drain()
    numbers = numbers_of(cast.horse, today=now.date())
    verdict = FootVerdict.objects.get()
    level = present_level(numbers, "LF", "toe_angle", verdict)
    assert level is not None
    assert level.value == verdict.result["findings"][0]["level"][0]


def test_new_readings_are_said_to_be_looked_at(
    cast: Cast, now: datetime, drain: Callable[..., int]
) -> None:
    filled(cast, now)
    assert PENDING in ask(cast)
    drain()
    assert PENDING not in ask(cast)
    build.reading(cast.access(cast.farrier), now, "LF", "toe_angle", 50, now.date())
    shown = ask(cast)
    assert PENDING in shown
    assert "No change of the left fore toe angle" in shown  # the earlier verdict stays meanwhile


def test_a_reading_taken_off_brings_the_earlier_verdict_back(
    cast: Cast, now: datetime, drain: Callable[..., int]
) -> None:
    filled(cast, now)
    drain()
    first = FootVerdict.objects.get()
    access = cast.access(cast.farrier)
    wrong = build.reading(access, now, "LF", "toe_angle", 60, now.date(), trim_state="between")
    drain()
    assert FootVerdict.objects.count() == 2
    reading_correct(
        access=access, reading_id=wrong.public_id, taken=None, reason="Other horse.", now=now
    )
    drain()
    looked = verdict_now(numbers_of(cast.horse, today=now.date()), "LF")
    assert (looked.verdict, looked.is_current) == (first, True)


def test_a_quantity_without_verdicts_waits_for_none(cast: Cast, now: datetime) -> None:
    filled(cast, now, "pastern_angle", 0)
    assert PENDING not in ask(cast, "pastern_angle")


def test_a_forecast_from_one_film_says_so_and_whose_growth_it_borrows(
    cast: Cast, now: datetime
) -> None:
    build.reading(
        cast.access(cast.vet), now, "LF", "palmar_angle", 5, now.date(), method="radiograph"
    )
    shown = ask(cast, "palmar_angle")
    assert "It rests on one film, so this leans on what is usual." in shown
    assert "is borrowed from the toe angle" in shown
