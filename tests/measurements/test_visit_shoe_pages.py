"""The visit sheet's shoes: what each is, "as last time", wear and landing, the cautions."""

from datetime import datetime, timedelta
from decimal import Decimal
from html import unescape
from typing import Any

import pytest

from horses.models import FootWork, Visit
from measurements.cautions import ANGLE, large_changes
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door
from tests.measurements.test_visit_sheet_pages import send, sheet, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]
DETAILS: dict[str, Any] = {
    "kind": "rolled", "material": "aluminium", "size": "00 front", "pad": "rim", "clips": "side",
    "studs": "holes", "nails": 6, "shoe_words": "fit full behind",
}  # fmt: skip


def _shoeing_weeks_ago(cast: Cast, now: datetime, shoe: str = "new") -> None:
    at = now - timedelta(days=49)
    left = "barefoot" if shoe == "pulled" else "shod"
    work = [build.WorkDone(foot="LF", trimmed=True, shoeing_left=left, shoe=shoe,
                           wedge_deg=Decimal("2.5"), **DETAILS)]  # fmt: skip
    build.visit(cast.standing(cast.farrier), at, at.date(), work=work)


def _newest(foot: str) -> FootWork:
    visit = Visit.objects.filter(kept_on__isnull=False).order_by("-kept_on", "-pk")[0]
    return visit.work.get(foot=foot)


def test_every_detail_of_the_shoe_is_kept(cast: Cast, now: datetime) -> None:
    fields = {f"LF-{name}": str(value) for name, value in DETAILS.items()}
    send(cast, "LF", **fields, **{"LF-shoe": "new", "LF-left": "", "LF-wear": "outside",
                                  "LF-landing": "heel"})  # fmt: skip
    work = _newest("LF")
    assert {name: getattr(work, name) for name in DETAILS} == DETAILS
    assert (work.wear, work.landing, work.shoeing_left) == ("outside", "heel", "shod_wedge")
    assert work.shoe_line == (
        "rolled or rocker toe aluminium, size 00 front, rim pad, side clips, stud holes, 6 nails, "
        "fit full behind"
    )


def test_a_shoe_that_is_glued_on_has_no_nails(cast: Cast) -> None:
    send(cast, "LF", **{"LF-shoe": "new", "LF-nails": "0", "LF-left": ""})
    assert (_newest("LF").nails, _newest("LF").shoe_line) == (0, "glued or cuffed on")


@pytest.mark.parametrize("asked", ["LF", "all"])
def test_without_scripts_as_last_time_comes_back_filled_in_and_saves_nothing(
    asked: str, cast: Cast, now: datetime
) -> None:
    _shoeing_weeks_ago(cast, now)
    typed = {"LF-toe_angle-before": "49,5", "LF-words": "a crack", "as_last": asked}
    door = Door(cast.farrier, cast.case)
    answer = door.client.post(door.address("visit_new"), sheet("LF") | typed)
    assert answer.status_code == 200
    form = answer.context["form"]
    for name, value in {**DETAILS, "shoe": "new", "wedge": "2.5"}.items():
        assert str(form[f"LF-{name}"].value()) == str(value), name
    assert form["LF-toe_angle-before"].value() == "49,5"
    assert form["LF-words"].value() == "a crack"
    assert (form["LF-trimmed"].value(), form["RF-trimmed"].value()) == ("on", False)
    assert Visit.objects.filter(kept_on__isnull=False).count() == 1


def test_one_that_was_taken_off_is_not_offered_again(cast: Cast, now: datetime) -> None:
    _shoeing_weeks_ago(cast, now)
    door = Door(cast.farrier, cast.case)
    assert "As last time" in text_of(door.get("visit_new"))
    send(cast, "LF", **{"LF-shoe": "pulled", "LF-left": ""})
    assert "As last time" not in text_of(door.get("visit_new"))


def test_a_pad_under_a_shoe_that_was_taken_off_is_asked_about(cast: Cast) -> None:
    fields = {"LF-shoe": "pulled", "LF-wedge": "2", "LF-left": ""}
    answer = send(cast, "LF", **fields)
    assert answer.status_code == 422
    assert "leave wedge and pad empty" in text_of(answer)


def test_the_published_cautions_stand_at_their_fields(cast: Cast) -> None:
    page = unescape(text_of(Door(cast.farrier, cast.case).get("visit_new")))
    for words in (ANGLE, "under the vet's direction", "heat and pulse"):
        assert words in page


@pytest.mark.parametrize(("after", "count"), [("53", 0), ("53.1", 1), ("46.5", 1)])
def test_more_than_three_degrees_at_one_visit_is_said_once_it_is_saved(
    after: str, count: int, cast: Cast
) -> None:
    door = Door(cast.farrier, cast.case)
    values = {"LF-toe_angle-before": "50", "LF-toe_angle-after": after}
    page = text_of(door.client.post(door.address("visit_new"), sheet("LF", **values), follow=True))
    assert page.count("toe angle changed by") == count


def test_a_change_needs_both_readings() -> None:
    assert large_changes({("LF", "after"): 60.0, ("RF", "before"): 40.0}) == []
