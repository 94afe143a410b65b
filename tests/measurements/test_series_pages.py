"""The page of one quantity on one foot: the chart, what it says, and the table that holds it all."""

import re
from collections.abc import Callable, Sequence
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from measurements.charts.draw import Dot
from measurements.charts.legend import chart_legend
from measurements.hoof.quantities import QUANTITIES, Method, Shoeing
from measurements.hoof.trend import TooFewReadings
from measurements.series.sources import assumptions
from measurements.services.readings import reading_correct
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, shut, text_of
from tests.measurements.test_charts import chart

pytestmark = pytest.mark.usefixtures("clock_stands")
STEADY = [52, 52.2, 51.9, 52.1, 52, 51.8]
FALLING = [54, 53.1, 52.2, 51.1, 50.3, 49.2, 48.2]


def page(cast: Cast, foot: str = "LF", quantity: str = "toe_angle", who: str = "owner") -> str:
    return text_of(Door(getattr(cast, who), cast.case).get("series", foot, quantity))


def filled(cast: Cast, now: datetime, levels: Sequence[float], **more: Any) -> None:
    build.series(cast.access(cast.farrier), now, levels, **more)


@pytest.mark.parametrize("who", ["owner", "vet", "farrier", "stand_in", "carer"])
def test_everyone_on_the_case_sees_it(cast: Cast, now: datetime, who: str) -> None:
    filled(cast, now, STEADY)
    assert "Left fore, toe angle" in page(cast, who=who)


@pytest.mark.parametrize("who", ["stranger", "removed", "other_vet", "staff", "invited"])
def test_a_stranger_gets_404(cast: Cast, who: str) -> None:
    answer = Door(getattr(cast, who), cast.case).get("series", "LF", "toe_angle")
    assert answer.status_code == 404


@pytest.mark.parametrize(
    ("foot", "quantity"), [("XX", "toe_angle"), ("lf", "toe_angle"), ("LF", "mood")]
)
def test_what_is_not_measured_does_not_exist(cast: Cast, foot: str, quantity: str) -> None:
    assert Door(cast.owner, cast.case).get("series", foot, quantity).status_code == 404


def test_it_is_only_read(cast: Cast) -> None:
    assert Door(cast.owner, cast.case).post("series", "LF", "toe_angle").status_code == 405


def test_nothing_measured_is_said_and_offers_to_begin(cast: Cast) -> None:
    shown = page(cast)
    assert "Not measured yet" in shown
    assert '<svg class="plot ' not in shown


def test_the_chart_is_drawn_for_wide_and_for_narrow(cast: Cast, now: datetime) -> None:
    filled(cast, now, STEADY)
    ids = re.findall(r'id="(chart-[^"]+)"', page(cast))
    assert len(ids) == 4  # a title and a description each
    assert len(set(ids)) == 4


def test_the_table_holds_every_reading(cast: Cast, now: datetime) -> None:
    filled(cast, now, STEADY)
    shown = page(cast)
    assert shown.count('<th scope="row"') == 2 * len(STEADY) - 1
    assert "49.4°" in shown


def test_few_visits_are_too_early_to_judge(cast: Cast, now: datetime) -> None:
    filled(cast, now, [52, 51], quantity="pastern_angle")
    assert "Too early to say whether it changes: two visits" in page(cast, quantity="pastern_angle")


def test_a_steady_foot_shows_no_change_these_methods_could_see(cast: Cast, now: datetime) -> None:
    filled(cast, now, STEADY, quantity="pastern_angle", fall=0)
    assert "No change was found over" in page(cast, quantity="pastern_angle")


def test_a_falling_foot_is_told_with_its_rate_and_range(cast: Cast, now: datetime) -> None:
    filled(cast, now, FALLING, quantity="pastern_angle", fall=0)
    shown = page(cast, quantity="pastern_angle")
    assert re.search(r"fallen about (0\.9|1)° per visit over the last seven visits", shown)
    assert "after allowing for growth" in shown


def test_a_toe_that_grows_long_is_told_in_the_persons_unit(cast: Cast, now: datetime) -> None:
    lengths = [80, 83, 86, 89, 92, 95, 98]
    filled(cast, now, lengths, quantity="toe_length", fall=-14)
    assert re.search(r"become about 0\.3 cm longer per visit", page(cast, quantity="toe_length"))


def test_the_newest_value_is_told_against_the_band(cast: Cast, now: datetime) -> None:
    filled(cast, now, [52, 51.5])
    build.target(cast.access(cast.vet), now)
    assert "inside the vet&#x27;s band of 50 to 54° just after the trim" in page(cast)


def test_a_value_past_the_edge_by_less_than_the_error_asks_to_measure_again(
    cast: Cast, now: datetime
) -> None:
    filled(cast, now, [52, 49])
    build.target(cast.access(cast.vet), now)
    assert "less than the measuring error. Measure again, please." in page(cast)


def test_a_value_well_outside_is_said_so(cast: Cast, now: datetime) -> None:
    filled(cast, now, [52, 46])
    build.target(cast.access(cast.vet), now)
    assert "4° under the vet&#x27;s band" in page(cast)


def test_a_band_that_nothing_can_be_compared_with_is_named(cast: Cast, now: datetime) -> None:
    filled(cast, now, [52])
    build.target(cast.access(cast.vet), now, moment="before")
    assert "Not measured yet for the vet&#x27;s band" in page(cast)


def test_what_leaves_the_band_is_told_with_its_time(cast: Cast, now: datetime) -> None:
    levels = [56, 55, 54.1, 53, 52.1, 51.1]
    filled(cast, now, levels, quantity="pastern_angle", fall=0)
    build.target(cast.access(cast.vet), now, quantity="pastern_angle", low=Decimal(48))
    assert "If it goes on, it leaves the vet&#x27;s band" in page(cast, quantity="pastern_angle")


def test_the_verdict_of_the_drift_method_stands_on_the_page_of_an_angle(
    cast: Cast, now: datetime, drain: Callable[..., int]
) -> None:
    filled(cast, now, FALLING)
    drain()
    shown = page(cast)
    assert "The left fore toe angle has fallen about" in shown
    assert 'class="num">Counts</th>' in shown


def test_it_never_reassures(cast: Cast, now: datetime) -> None:
    filled(cast, now, STEADY)
    assert "Numbers do not see pain." in page(cast)


def test_a_corrected_reading_is_struck_through_with_the_reason(cast: Cast, now: datetime) -> None:
    access = cast.access(cast.farrier)
    old = build.reading(access, now, "LF", "toe_angle", "59.5", date(2026, 10, 1))
    new = build.taken("LF", "toe_angle", "49.5")
    reading_correct(access=access, reading_id=old.public_id, taken=new, reason="Misread.", now=now)
    shown = page(cast)
    assert "<s>59.5°</s>" in shown
    assert "Corrected to 49.5° on 2 Nov 2026: Misread." in shown
    assert 'class="c-gone"' in shown


def test_a_reading_taken_off_stays_in_the_table_once(cast: Cast, now: datetime) -> None:
    access = cast.access(cast.farrier)
    old = build.reading(access, now, "LF", "toe_angle", "59.5", date(2026, 10, 1))
    reading_correct(
        access=access, reading_id=old.public_id, taken=None, reason="Other horse.", now=now
    )
    shown = page(cast)
    assert shown.count('<th scope="row"') == 1
    assert "Taken off on 2 Nov 2026: Other horse." in shown


def test_only_ones_own_readings_can_be_corrected(cast: Cast, now: datetime) -> None:
    filled(cast, now, [52])
    assert "/correct/" in page(cast, who="farrier")
    assert "/correct/" not in page(cast, who="owner")


def test_a_closed_case_shows_no_actions(cast: Cast, now: datetime) -> None:
    filled(cast, now, [52])
    shut(cast.case, now)
    shown = page(cast, who="farrier")
    assert "/correct/" not in shown
    assert "Record measurements" not in shown


def test_a_value_entered_in_another_unit_is_shown_in_both(cast: Cast, now: datetime) -> None:
    Door(cast.farrier, cast.case).post(
        "readings_new",
        taken_on="2026-11-01",
        trim_state="between",
        angle_method="gauge",
        length_method="tape",
        **{"LF-toe_length": "3 1/4 in"},
    )
    shown = page(cast, quantity="toe_length")
    assert "8.3 cm" in shown
    assert "3.25 in" in shown


def test_the_other_feet_and_quantities_are_one_tap_away(cast: Cast, now: datetime) -> None:
    filled(cast, now, [52])
    filled(cast, now, [83], quantity="toe_length")
    shown = page(cast)
    assert Door(cast.owner, cast.case).address("series", "RF", "toe_angle") in shown
    assert Door(cast.owner, cast.case).address("series", "LF", "toe_length") in shown


def test_the_sources_are_named(cast: Cast, now: datetime) -> None:
    filled(cast, now, [52])
    assert "van Heel et al., Equine Vet J 2005" in page(cast)


def test_a_corrected_reading_of_nonsense_does_not_break_the_page(cast: Cast, now: datetime) -> None:
    access = cast.access(cast.farrier)
    old = build.reading(access, now, "LF", "toe_angle", "95", date(2026, 10, 1))
    reading_correct(access=access, reading_id=old.public_id, taken=None, reason="<b>x</b>", now=now)
    assert "&lt;b&gt;x&lt;/b&gt;" in page(cast)


def test_the_page_costs_the_same_number_of_queries_whatever_its_length(
    cast: Cast, now: datetime
) -> None:
    filled(cast, now, [52, 51])
    door = Door(cast.owner, cast.case)
    with CaptureQueriesContext(
        connection,
    ) as few:
        door.get("series", "LF", "toe_angle")
    filled(cast, now, [50 + n / 10 for n in range(12)])
    with CaptureQueriesContext(connection) as many:
        door.get("series", "LF", "toe_angle")
    assert len(many) <= len(few) <= 25


@pytest.mark.parametrize("quantity", list(QUANTITIES))
def test_every_quantity_says_what_it_takes_for_granted(quantity: str) -> None:
    of = QUANTITIES[quantity]
    for shoeing in Shoeing:
        words = assumptions(quantity, shoeing, of.methods[0], TooFewReadings(0, 3), of.unit)
        assert all(sentence.endswith(".") for sentence in words)
        assert of.methods[0].label in words[-1]
        assert Method(of.methods[0])


def test_the_legend_names_only_what_is_drawn() -> None:
    made = chart(Dot(date(2026, 1, 1), 50, "after"))
    assert [line.mark for line in chart_legend(made)] == ["after"]


def test_a_long_table_comes_in_pages(cast: Cast, now: datetime) -> None:
    filled(cast, now, [52.0] * 32, interval_days=30)
    door = Door(cast.owner, cast.case)
    newest = text_of(door.get("series", "LF", "toe_angle"))
    oldest = text_of(door.get("series", "LF", "toe_angle", page=2))
    assert "Page 1 of 2" in newest
    assert "Older readings" in newest
    assert "Newer readings" in oldest
    first = now.date() - timedelta(days=10 + 30 * 31)
    day = f'class="nowrap">{first:%-d %b %Y}</th>'
    assert (newest.count(day), oldest.count(day)) == (0, 1)


def test_a_page_that_is_not_there_shows_the_nearest(cast: Cast, now: datetime) -> None:
    filled(cast, now, [52.0, 52.0])
    for asked in ("99", "-1", "x"):
        page = Door(cast.owner, cast.case).get("series", "LF", "toe_angle", page=asked)
        assert page.status_code == 200
        assert "Page" not in text_of(page)
