"""Bands for any time and bands with one end: kept, judged, said and drawn like the others."""

from datetime import datetime, timedelta
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction

from horses.rules.engine import Finding
from measurements.charts.draw import LARGE, draw
from measurements.hoof.bands import Place
from measurements.hoof.quantities import Moment
from measurements.models import Target
from measurements.panels.feet import foot_panels
from measurements.queries.numbers import numbers_of
from measurements.rules.numbers import numbers_rules
from measurements.series.chart import series_chart
from measurements.verdicts.bands import band_look, moving_toward_edge
from measurements.verdicts.judge import foot_judge
from measurements.verdicts.trend_short import band_short
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]
DAY = timedelta(days=1)


def outside(cast: Cast, now: datetime) -> Finding | None:
    found = [f for f in numbers_rules(cast.horse, now) if f.rule == "band.outside"]
    return found[0] if found else None


def palmar_band(cast: Cast, now: datetime, moment: str = "any") -> Target:
    return build.target(
        cast.access(cast.vet),
        now - 30 * DAY,
        quantity="palmar_angle",
        moment=moment,
        low=Decimal(3),
        high=Decimal(8),
        from_on=(now - 30 * DAY).date(),
    )


def sole_band(cast: Cast, now: datetime) -> Target:
    return build.target(
        cast.access(cast.vet),
        now - 30 * DAY,
        quantity="sole_depth",
        moment="any",
        low=Decimal(15),
        high=None,
        from_on=(now - 30 * DAY).date(),
    )


def film(cast: Cast, now: datetime, quantity: str, value: float, state: str = "between") -> None:
    build.reading(
        cast.access(cast.vet),
        now,
        "LF",
        quantity,
        value,
        (now - 3 * DAY).date(),
        method="radiograph",
        trim_state=state,
    )


@pytest.mark.parametrize("moment", list(Moment))
def test_a_palmar_band_is_judged_beside_a_film_whenever_it_was_taken(
    cast: Cast, now: datetime, moment: str
) -> None:
    palmar_band(cast, now, moment)
    film(cast, now, "palmar_angle", -4)
    finding = outside(cast, now)
    assert finding is not None
    assert finding.weight == "alert"
    assert "was −4° between visits on" in finding.sentence
    assert "under the vet's band of 3 to 8°" in finding.sentence
    page = text_of(Door(cast.owner, cast.case).get("board"))
    assert "7° under the vet&#x27;s band of 3 to 8°" in page
    assert "not measured yet" not in page


def test_a_thin_sole_is_under_fifteen_or_more(cast: Cast, now: datetime) -> None:
    target = sole_band(cast, now)
    film(cast, now, "sole_depth", 8)
    finding = outside(cast, now)
    assert finding is not None
    assert finding.sentence.endswith("under the vet's band of 15 mm or more.")
    assert "band_high" not in finding.evidence
    look = band_look(numbers_of(cast.horse, today=now.date()), target)
    assert band_short(target, look) == ("7 mm under the vet’s 15 mm or more", True)


def test_a_thick_sole_is_inside_fifteen_or_more(cast: Cast, now: datetime) -> None:
    target = sole_band(cast, now)
    film(cast, now, "sole_depth", 21)
    assert outside(cast, now) is None
    look = band_look(numbers_of(cast.horse, today=now.date()), target)
    assert look is not None
    assert look.position.place is Place.INSIDE


def test_an_upper_end_alone_is_at_most(cast: Cast, now: datetime) -> None:
    target = build.target(
        cast.access(cast.vet),
        now - 30 * DAY,
        quantity="palmar_angle",
        moment="any",
        low=None,
        high=Decimal(8),
        from_on=(now - 30 * DAY).date(),
    )
    film(cast, now, "palmar_angle", 12)
    finding = outside(cast, now)
    assert finding is not None
    assert "over the vet's band of at most 8°" in finding.sentence
    assert target.plan_version is not None
    assert target.plan_version.text == "Left fore palmar angle at most 8° at any time"


def test_the_plan_says_an_open_band_in_words(cast: Cast, now: datetime) -> None:
    version = sole_band(cast, now).plan_version
    assert version is not None
    assert version.text == "Left fore sole depth 15 mm or more at any time"
    assert version.target is not None
    assert (version.target["low"], version.target["high"]) == ("15", None)


def test_a_foot_found_outside_before_the_trim_was_outside_at_any_time(
    cast: Cast, now: datetime
) -> None:
    build.target(
        cast.access(cast.vet), now - 30 * DAY, moment="any", from_on=(now - 30 * DAY).date()
    )
    on = (now - 3 * DAY).date()
    for value, state in ((44, "before"), (52, "after")):
        build.reading(
            cast.access(cast.farrier), now, "LF", "toe_angle", value, on, trim_state=state
        )
    finding = outside(cast, now)
    assert finding is not None
    assert "was 44° before the trim on" in finding.sentence
    page = text_of(Door(cast.owner, cast.case).get("sheet"))
    assert "the vet’s 50 to 54°, measured before the trim" in page.replace("\xa0", " ")


def test_an_any_time_band_is_left_at_the_worse_end_of_the_cycle(cast: Cast, now: datetime) -> None:
    """A shod toe falls about 2.6 degrees in its cycle, so that 51 after the trim is under 50 by its
    end; the verdict must say so for a band that holds at any time, and not for one after the trim."""
    build.series(cast.access(cast.farrier), now, [51.0] * 8)
    set_on = now - 200 * DAY
    for moment in ("after", "any"):
        build.target(
            cast.access(cast.vet),
            set_on,
            moment=moment,
            low=Decimal(50),
            high=None,
            from_on=set_on.date(),
        )
    verdict = foot_judge(numbers_of(cast.horse, today=now.date()), "LF", now=now)
    assert verdict is not None
    chance = {f["moment"]: f["outside_chance"] for f in verdict.result["forecasts"]}
    assert chance["after"] < 0.2
    assert chance["any"] > 0.8


def test_a_length_moves_toward_the_one_end_of_its_band(cast: Cast, now: datetime) -> None:
    levels = [78.0 + 2.5 * visit for visit in range(8)]
    build.series(cast.access(cast.farrier), now, levels, quantity="toe_length", fall=-12)
    made = {
        ends: build.target(
            cast.access(cast.vet),
            now - 200 * DAY,
            quantity="toe_length",
            low=ends[0],
            high=ends[1],
            from_on=(now - 200 * DAY).date(),
        )
        for ends in ((None, Decimal(100)), (Decimal(70), None))
    }
    numbers = numbers_of(cast.horse, today=now.date())
    moving = {ends: moving_toward_edge(numbers, target) for ends, target in made.items()}
    assert moving[None, Decimal(100)] is not None
    assert moving[Decimal(70), None] is None


@pytest.mark.parametrize(
    ("low", "high", "edges", "labels"),
    [(15, None, 1, {"15"}), (None, 20, 1, {"20"}), (15, 20, 2, {"15", "20"})],
)
def test_the_chart_draws_the_ends_that_there_are(
    cast: Cast, now: datetime, low: int | None, high: int | None, edges: int, labels: set[str]
) -> None:
    build.target(
        cast.access(cast.vet),
        now - 30 * DAY,
        quantity="sole_depth",
        moment="any",
        low=None if low is None else Decimal(low),
        high=None if high is None else Decimal(high),
        from_on=(now - 30 * DAY).date(),
    )
    film(cast, now, "sole_depth", 8)
    chart = series_chart(numbers_of(cast.horse, today=now.date()), "LF", "sole_depth")
    assert chart is not None
    drawn = draw(chart, LARGE)
    assert drawn.bands[0].edges.count("M") == edges
    assert {label.text for label in drawn.edge_labels} == labels
    assert drawn.bands[0].hatch


def test_the_ruler_of_an_open_band_reaches_its_end(cast: Cast, now: datetime) -> None:
    sole_band(cast, now)
    film(cast, now, "sole_depth", 8)
    panels = foot_panels(
        numbers_of(cast.horse, today=now.date()), {}, frozenset(), length_unit="mm"
    )
    mark = next(line for p in panels for line in p.lines if line.quantity == "sole_depth").bands[0]
    assert (mark.at < mark.low < mark.high, mark.high) == (True, 100)


def test_a_row_without_bounds_still_ends_a_band(cast: Cast, now: datetime) -> None:
    target = sole_band(cast, now)
    Target.objects.create(
        horse=cast.horse,
        foot="LF",
        quantity="sole_depth",
        moment="any",
        from_on=now.date(),
        reason="No longer.",
        therapeutic=True,
        plan_version=target.plan_version,
        set_by=cast.vet,
        set_role="vet",
        set_at=now,
    )
    assert numbers_of(cast.horse, today=now.date()).targets == {}


def test_the_database_refuses_a_band_upside_down(cast: Cast, now: datetime) -> None:
    with pytest.raises(IntegrityError, match="target_low_below_high"), transaction.atomic():
        Target.objects.create(
            horse=cast.horse,
            foot="LF",
            quantity="sole_depth",
            moment="any",
            from_on=now.date(),
            low=Decimal(20),
            high=Decimal(15),
            reason="Slip.",
            therapeutic=True,
            set_by=cast.vet,
            set_role="vet",
            set_at=now,
        )


@pytest.mark.parametrize("page", ["board", "sheet", "series"])
def test_every_page_says_an_open_band(cast: Cast, now: datetime, page: str) -> None:
    sole_band(cast, now)
    film(cast, now, "sole_depth", 8)
    ids = ("LF", "sole_depth") if page == "series" else ()
    said = text_of(Door(cast.vet, cast.case).get(page, *ids))
    assert "15 mm or more" in said or "1.5 cm or more" in said


def test_the_visit_sheets_say_an_open_band_before_it_was_measured(
    cast: Cast, now: datetime
) -> None:
    target = sole_band(cast, now)
    assert band_short(target, None) == ("the vet’s 15 mm or more: not measured yet", False)
