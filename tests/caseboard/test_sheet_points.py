"""What is wrong, as the plan sheet says it: the horse's troubles, never who has not answered."""

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from caseboard.case_reading import CaseReading
from caseboard.sheets.plan_fit import fitted
from caseboard.sheets.plan_gather import sheet_for
from caseboard.sheets.plan_kept import points_kept
from caseboard.sheets.plan_steps import FITS
from caseboard.sheets.plan_value import Sheet, freeze, thaw
from caseboard.sheets.render import sheet_html
from horses.models import Alert
from horses.rules.engine import evaluate
from tests import build
from tests.caseboard.sheet_plans import plan
from tests.cast import Cast

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]
DAY = timedelta(days=1)


def judged(cast: Cast, now: datetime) -> Sheet:
    evaluate(cast.horse, now=now)
    return sheet_for(CaseReading(cast.access(cast.owner), now))


def measured(cast: Cast, now: datetime, **values: float) -> None:
    for quantity, value in values.items():
        by, method = (
            (cast.vet, "radiograph") if quantity == "sole_depth" else (cast.farrier, "gauge")
        )
        build.reading(cast.access(by), now, "LF", quantity, value, now.date(), method=method)


def test_thin_soles_come_first_and_heavy_and_the_axis_and_heels_after(
    cast: Cast, now: datetime
) -> None:
    measured(cast, now, toe_angle=46, heel_angle=37, pastern_angle=54, sole_depth=8)
    sheet = judged(cast, now)
    [urgent] = sheet.urgent_points
    assert "sole on the radiograph was 8 mm deep" in urgent
    assert any("called broken back" in point for point in sheet.open_points)
    assert any("underrun" in point for point in sheet.open_points)
    assert f"<li><b><bdi>{urgent}</bdi></b></li>" in sheet_html(sheet).replace("&#x27;", "'")


def test_who_has_not_answered_is_not_wrong_with_the_horse(cast: Cast, now: datetime) -> None:
    build.flag(cast.access(cast.owner), now - 9 * DAY, feet=["LF"])
    build.plan_item(cast.access(cast.vet), now - 30 * DAY, text="Hand walk.")
    sheet = judged(cast, now)
    raised = set(Alert.objects.filter(weight="alert").values_list("rule", flat=True))
    assert "flag.unanswered" in raised  # there was something to leave out
    said = " ".join((*sheet.urgent_points, *sheet.open_points))
    for words in ("answered", "waited", "no word", "not been", "overdue"):
        assert words not in said, words
    assert "24 Oct" in said  # the flag itself stands there


def test_a_jump_that_stands_is_not_called_no_change(cast: Cast, now: datetime) -> None:
    farrier = cast.access(cast.farrier)
    build.series(farrier, now, [52.0] * 5)
    build.reading(farrier, now, "LF", "toe_angle", 40, now.date(), trim_state="between")
    [toe] = [v for v in judged(cast, now).feet[0].values if v.quantity == "toe_angle"]
    assert toe.trend == "changed at once: measure again, today"


def test_the_first_lines_come_before_everything_but_the_head(cast: Cast, now: datetime) -> None:
    measured(cast, now, sole_depth=8)
    html = sheet_html(judged(cast, now))
    place = html.index("Before you cut")
    assert html.index("<h1>") < place < html.index("s-who")
    assert "Left fore sole 8 mm (film 2 Nov 2026, today): ring the vet before you cut." in html


def test_the_first_lines_outlast_every_cut(cast: Cast, now: datetime) -> None:
    films = ("Left fore sole 7 mm (film 3 Sep 2026, 8 weeks ago): ring the vet before you cut.",)
    full = replace(plan(1), films=films, before_cutting=("Plan item 1: no wedges.",) * 9)
    for fit in FITS:
        draft = fitted(full, fit)
        assert draft.films == films
        assert draft.before_cutting
    assert any("more to know before you cut" in words for words in draft.left_off)


def test_a_sheet_of_before_has_no_first_lines() -> None:
    old = freeze(plan(1))
    for name in ("films", "before_cutting", "urgent_points"):
        del old[name]
    assert thaw(old).films == ()


@pytest.mark.parametrize(
    ("most", "kept"),
    [
        (None, (("u", "v"), ("a", "b"), 0)),
        (3, (("u", "v"), ("a",), 1)),
        (1, (("u",), (), 3)),
        (0, (("u",), (), 3)),
    ],
)
def test_the_urgent_points_stay_longest(
    most: int | None, kept: tuple[tuple[str, ...], tuple[str, ...], int]
) -> None:
    assert points_kept(("u", "v"), ("a", "b"), most) == kept


def test_the_heel_angle_stays_as_long_as_the_toe_angle_does() -> None:
    full = plan(1)
    [fit] = [f for f in FITS if not f.plain_values][:1]
    had = {v.quantity for foot in full.feet for v in foot.values}
    kept = {v.quantity for foot in fitted(full, fit).feet for v in foot.values}
    assert {"toe_angle", "heel_angle"} <= had
    assert {"toe_angle", "heel_angle"} <= kept


def test_a_flag_for_now_comes_first_and_stands_once(cast: Cast, now: datetime) -> None:
    build.flag(cast.access(cast.owner), now, "in_sole")
    build.flag(cast.access(cast.owner), now, "short_stride", feet=["RH"])
    sheet = sheet_for(CaseReading(cast.access(cast.owner), now))
    assert ["left fore" in point for point in sheet.urgent_points] == [True]
    assert ["right hind" in point for point in sheet.open_points] == [True]
