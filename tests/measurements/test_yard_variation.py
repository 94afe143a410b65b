"""What a place's horses teach the verdict on a foot, whom it is learned from, and how it is told."""

from datetime import datetime

import pytest
from django.core.cache import cache
from django.test import Client

from horses.models import Case, Horse, Person, Role
from horses.services.horses import horse_create
from measurements.hoof.drift import learning
from measurements.models import FootVerdict
from measurements.queries.numbers import numbers_of
from measurements.queries.yard_series import YardHand, yard_hand, yard_series
from measurements.verdicts.judge import foot_judge, verdict_now
from measurements.verdicts.yard_variation import learned_at, learned_words
from tests import build
from tests.cast import Cast, join
from tests.hoof.build import the

pytestmark = pytest.mark.django_db
UNEVEN = (50, 54, 49, 55, 50, 54, 49, 55, 51, 54, 49, 55)  # trims that vary by nearly 3 deg


@pytest.fixture(autouse=True)
def _few_visits_teach(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(learning, "VISITS_THAT_TEACH", 24)
    cache.clear()


def at_place(cast: Cast, horse: Horse, place: str = "Quillmarsh, lower barn") -> Horse:
    horse.yard = place
    horse.save()
    return horse


def a_neighbour(cast: Cast, now: datetime, place: str, measured_by: Person) -> Horse:
    fields = {"name": "Sorrel", "yard": place}
    horse = horse_create(person=cast.owner, fields=fields, now=now)
    case = Case.objects.get(horse=horse)
    join(case, measured_by, Role.FARRIER, now)
    build.series(cast.access(measured_by, case), now, UNEVEN)
    return horse


def judged(horse: Horse, now: datetime) -> FootVerdict:
    return the(foot_judge(numbers_of(horse, today=now.date()), "LF", now=now))


def hand_of(horse: Horse, now: datetime) -> YardHand | None:
    return yard_hand(numbers_of(horse, today=now.date()), "LF", "toe_angle")


def test_a_verdict_is_judged_under_what_the_horses_of_the_place_teach(
    cast: Cast, now: datetime
) -> None:
    at_place(cast, cast.horse)
    build.series(cast.access(cast.farrier), now, UNEVEN)
    assert judged(cast.horse, now).result["learned"] is None  # 12 visits are not enough
    a_neighbour(cast, now, " quillmarsh,  LOWER barn", cast.farrier)
    cache.clear()
    build.reading(cast.access(cast.farrier), now, "LF", "toe_angle", 50, now.date())
    learned = judged(cast.horse, now).result["learned"]
    assert (learned["visits"], learned["feet"]) == (25, 2)
    assert learned["trim_scale"] > 1.3


def test_where_trims_are_known_to_be_uneven_less_would_show(cast: Cast, now: datetime) -> None:
    at_place(cast, cast.horse)
    access = cast.access(cast.farrier)
    build.series(access, now, UNEVEN)
    before = judged(cast.horse, now).result
    alike = a_neighbour(cast, now, cast.horse.yard, cast.farrier)  # measured as the first horse
    cache.clear()
    after = judged(alike, now).result
    assert after["would_show"]["alike"] > before["would_show"]["alike"]


def test_a_horse_of_another_place_teaches_nothing(cast: Cast, now: datetime) -> None:
    at_place(cast, cast.horse)
    build.series(cast.access(cast.farrier), now, UNEVEN)
    a_neighbour(cast, now, "Elsewhere", cast.farrier)
    hand = the(hand_of(cast.horse, now))
    assert len(yard_series(hand, today=now.date())) == 1


def test_a_place_of_the_same_name_that_another_measures_at_teaches_nothing(
    cast: Cast, now: datetime
) -> None:
    at_place(cast, cast.horse)
    build.series(cast.access(cast.farrier), now, UNEVEN)
    a_neighbour(cast, now, cast.horse.yard, cast.other_farrier)
    hand = the(hand_of(cast.horse, now))
    assert hand.by == cast.farrier.public_id
    assert len(yard_series(hand, today=now.date())) == 1


def test_without_a_place_nobody_is_looked_for(cast: Cast, now: datetime) -> None:
    build.series(cast.access(cast.farrier), now, UNEVEN)
    assert hand_of(cast.horse, now) is None
    assert learned_at(numbers_of(cast.horse, today=now.date()), "LF", now=now) is None


def test_what_was_learned_is_kept_for_the_day(cast: Cast, now: datetime) -> None:
    at_place(cast, cast.horse)
    build.series(cast.access(cast.farrier), now, UNEVEN)
    numbers = numbers_of(cast.horse, today=now.date())
    assert learned_at(numbers, "LF", now=now) is None
    a_neighbour(cast, now, cast.horse.yard, cast.farrier)
    assert learned_at(numbers, "LF", now=now) is None
    cache.clear()
    assert learned_at(numbers, "LF", now=now) is not None


def test_a_verdict_stands_whatever_other_horses_teach_later(cast: Cast, now: datetime) -> None:
    at_place(cast, cast.horse)
    build.series(cast.access(cast.farrier), now, UNEVEN)
    first = judged(cast.horse, now)
    a_neighbour(cast, now, cast.horse.yard, cast.farrier)
    cache.clear()
    looked = verdict_now(numbers_of(cast.horse, today=now.date()), "LF")
    assert (looked.verdict, looked.is_current) == (first, True)


def test_it_is_told_as_multiples_of_what_is_usual_and_names_nobody() -> None:
    learned = {"visits": 240, "feet": 20, "trim_scale": 1.71, "error_scale": 1.05}
    assert learned_words({"learned": learned}) == (
        "From 240 visits to 20 feet at this place: trims vary about 1.7 times as much as is usual, "
        "readings about as much as is usual. The verdict on this foot allows for both."
    )


def test_nothing_is_said_where_nothing_was_learned() -> None:
    assert learned_words({"learned": None}) == ""
    assert learned_words({}) == ""  # a verdict of long ago


def test_the_series_page_tells_it(cast: Cast, now: datetime, client: Client) -> None:
    at_place(cast, cast.horse)
    build.series(cast.access(cast.farrier), now, UNEVEN)
    a_neighbour(cast, now, cast.horse.yard, cast.farrier)
    cache.clear()
    judged(cast.horse, now)
    client.force_login(cast.owner)
    page = client.get(f"/cases/{cast.case.public_id}/series/LF/toe_angle/")
    assert "From 24 visits to 2 feet at this place" in page.content.decode()
