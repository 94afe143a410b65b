"""A band that can hardly be meant is asked about once; no steps lead to it."""

from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from horses.services.deed import DeedRefused
from measurements.forms.target import SURE
from measurements.hoof.bands import BandDoubt, band_doubts
from measurements.hoof.quantities import QUANTITIES, Moment
from measurements.models import Target
from measurements.queries.numbers import agreed_movements
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, text_of
from tests.measurements.test_steps_service import agree, measured, propose
from tests.measurements.test_targets_pages import send

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]
DAY = timedelta(days=1)
TOE = QUANTITIES["toe_angle"]


@pytest.mark.parametrize(
    ("low", "high", "more", "found"),
    [
        (50, 54, {}, ()),
        (50, None, {}, ()),
        (None, 54, {}, ()),
        (51, 51.5, {}, (BandDoubt.NARROW,)),
        (20, 25, {}, (BandDoubt.UNUSUAL,)),
        (None, 30, {}, (BandDoubt.UNUSUAL,)),
        (50, 54, {"level": 45.0}, ()),
        (60, 64, {"level": 50.0}, (BandDoubt.FAR,)),
        (60, None, {"level": 50.0}, (BandDoubt.FAR,)),
        (None, 54, {"level": 50.0}, ()),
        (50, 53, {"moment": Moment.ANY_TIME, "grown": -4.0}, (BandDoubt.NARROW,)),
        (50, 53, {"moment": Moment.END_OF_CYCLE, "grown": -4.0}, ()),
        (47, 50, {"moment": Moment.END_OF_CYCLE, "level": 58.5, "grown": -4.0}, ()),
    ],
)
def test_what_is_odd_about_a_band(
    low: float | None, high: float | None, more: dict[str, Any], found: tuple[BandDoubt, ...]
) -> None:
    assert band_doubts(TOE, low, high, **more) == found


ODD = [
    ({"low": "51", "high": "51.5"}, "may differ by 2.8°"),
    ({"low": "20", "high": "25"}, "outside of 38 to 68°"),
    ({"low": "60", "high": "64"}, "stands at about 50°: that is 10° away"),
    ({"low": "", "high": "25"}, "outside of 38 to 68°"),
]


def asked(cast: Cast, now: datetime, **fields: str) -> dict[str, str]:
    """Sends an odd band once; what the form that came back holds."""
    build.reading(cast.access(cast.farrier), now, "LF", "toe_angle", 50, now.date() - DAY)
    answer = send(cast, **fields)
    assert answer.status_code == 422
    form = answer.context["form"]  # type: ignore[attr-defined]  # the test client adds it
    return {"sure_of": str(form["sure_of"].value()), "page": text_of(answer)}


@pytest.mark.parametrize(("fields", "words"), ODD)
def test_an_odd_band_is_asked_about_and_what_was_typed_stays(
    cast: Cast, now: datetime, fields: dict[str, str], words: str
) -> None:
    page = asked(cast, now, **fields)["page"]
    assert words in page
    assert SURE in page
    assert "Straight axis on the films." in page
    assert all(f'value="{typed}"' in page for typed in fields.values() if typed)
    assert not Target.objects.exists()


@pytest.mark.parametrize(("fields", "words"), ODD)
def test_once_confirmed_it_is_saved(
    cast: Cast, now: datetime, fields: dict[str, str], words: str
) -> None:
    sure_of = asked(cast, now, **fields)["sure_of"]
    assert send(cast, **fields, sure="on", sure_of=sure_of).status_code == 302
    assert Target.objects.count() == 1


def test_a_tick_for_one_band_does_not_count_for_another(cast: Cast, now: datetime) -> None:
    sure_of = asked(cast, now, low="20", high="25")["sure_of"]
    answer = send(cast, low="51", high="51.5", sure="on", sure_of=sure_of)
    assert answer.status_code == 422
    assert "may differ by" in text_of(answer)
    form = answer.context["form"]  # type: ignore[attr-defined]  # the test client adds it
    assert not form["sure"].value()


def test_an_ordinary_band_asks_nothing(cast: Cast, now: datetime) -> None:
    page = text_of(Door(cast.vet, cast.case).get("target_new"))
    assert SURE not in page
    build.reading(cast.access(cast.farrier), now, "LF", "toe_angle", 50, now.date() - DAY)
    assert send(cast).status_code == 302


def test_the_form_takes_one_end_and_any_time(cast: Cast) -> None:
    answer = send(cast, quantity="sole_depth", moment="any", low="15 mm", high="")
    assert answer.status_code == 302
    target = Target.objects.get()
    assert (target.low, target.high, target.moment) == (Decimal(15), None, "any")
    page = text_of(Door(cast.vet, cast.case).get("target_new", foot="LF", quantity="sole_depth"))
    assert 'value="any"' in page


ABSURD = [
    {"low": Decimal(20), "high": Decimal(25)},
    {"low": Decimal(51), "high": Decimal("51.5")},
    {"low": Decimal(62), "high": Decimal(66)},
]


@pytest.mark.parametrize("band", ABSURD)
def test_no_steps_are_offered_to_an_absurd_band(
    cast: Cast, now: datetime, band: dict[str, Decimal]
) -> None:
    measured(cast, now, [46.0] * 6)
    build.target(cast.access(cast.vet), now - DAY, from_on=now.date() - DAY, **band)
    page = text_of(Door(cast.vet, cast.case).get("steps", "LF"))
    assert "No steps are offered to such a band" in page
    assert "Propose these steps" not in page


def test_steps_lead_to_the_one_end_of_an_open_band(cast: Cast, now: datetime) -> None:
    measured(cast, now, [46.0] * 6)
    build.target(
        cast.access(cast.vet), now - DAY, low=Decimal(50), high=None, from_on=now.date() - DAY
    )
    page = text_of(Door(cast.vet, cast.case).get("steps", "LF"))
    assert "Propose these steps" in page
    assert "50° or more" in page


@pytest.mark.parametrize("band", ABSURD[:2])
def test_steps_to_an_absurd_band_are_refused(
    cast: Cast, now: datetime, band: dict[str, Decimal]
) -> None:
    build.target(cast.access(cast.vet), now - DAY, from_on=now.date() - DAY, **band)
    with pytest.raises(DeedRefused, match="cannot be meant"):
        propose(cast, now)


def test_steps_that_lead_far_away_are_refused(cast: Cast, now: datetime) -> None:
    with pytest.raises(DeedRefused, match="cannot be meant"):
        propose(cast, now, rate_per_visit=2.0, visits=12)


def test_an_absurd_band_never_counts_as_planned_movement(
    cast: Cast, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stands(*bands: object) -> bool:
        return True

    set_at = now - 60 * DAY
    build.target(
        cast.access(cast.vet), set_at, low=Decimal(20), high=Decimal(25), from_on=set_at.date()
    )
    monkeypatch.setattr("measurements.services.steps.is_believable", stands)
    agree(cast, propose(cast, now - 30 * DAY), now - 30 * DAY)
    agree(
        cast,
        propose(cast, now - 20 * DAY, quantity="heel_angle", rate_per_visit=3.0, visits=6),
        now - 20 * DAY,
    )
    assert agreed_movements(cast.horse, {}) == {}


def test_movement_to_an_ordinary_band_counts_as_planned(cast: Cast, now: datetime) -> None:
    set_at = now - 60 * DAY
    build.target(cast.access(cast.vet), set_at, from_on=set_at.date())
    agree(cast, propose(cast, now - 30 * DAY), now - 30 * DAY)
    assert [m["visits"] for m in agreed_movements(cast.horse, {})["LF"]] == [3]
