"""The visit sheet's shoes: what each is, "as last time", wear and landing, the cautions."""

import re
from datetime import datetime, timedelta
from decimal import Decimal
from html import unescape
from typing import Any

import pytest

from horses.models import FootWork, Visit
from measurements.hoof.quantities import QUANTITIES
from measurements.models import Reading
from measurements.panels.cautions import ANGLE, large_changes
from measurements.panels.how_measured import HOW
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, text_of
from tests.measurements.visit_form import FEET, send, sheet

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]
DETAILS: dict[str, Any] = {
    "kind": "rolled",
    "material": "aluminium",
    "size": "00 front",
    "pad": "rim",
    "clips": "side",
    "studs": "holes",
    "nails": 6,
    "shoe_words": "fit full behind",
}


def _shoeing_weeks_ago(cast: Cast, now: datetime, shoe: str = "new") -> None:
    at = now - timedelta(days=49)
    left = "barefoot" if shoe == "pulled" else "shod"
    work = [
        build.WorkDone(
            foot="LF",
            trimmed=True,
            shoeing_left=left,
            shoe=shoe,
            wedge_deg=Decimal("2.5"),
            **DETAILS,
        )
    ]
    build.visit(cast.access(cast.farrier), at, at.date(), work=work)


def _newest(foot: str) -> FootWork:
    visit = Visit.objects.filter(kept_on__isnull=False).order_by("-kept_on", "-pk")[0]
    return visit.work.get(foot=foot)


def test_every_detail_of_the_shoe_is_kept(cast: Cast, now: datetime) -> None:
    fields = {f"LF-{name}": str(value) for name, value in DETAILS.items()}
    send(
        cast,
        "LF",
        **fields,
        **{"LF-shoe": "new", "LF-left": "", "LF-wear": "outside", "LF-landing": "heel"},
    )
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


@pytest.mark.parametrize("asked", ["LF-reset", "LF-new", "fronts-reset", "fronts-new", "all-reset"])
def test_without_scripts_as_last_time_comes_back_filled_in_and_saves_nothing(
    asked: str, cast: Cast, now: datetime
) -> None:
    _shoeing_weeks_ago(cast, now)
    typed = {"LF-toe_angle-before": "49,5", "LF-words": "a crack", "as_last": asked}
    door = Door(cast.farrier, cast.case)
    answer = door.client.post(door.address("visit_new"), sheet("LF") | typed)
    assert answer.status_code == 200
    form = answer.context["form"]
    for name, value in {**DETAILS, "shoe": asked.partition("-")[2], "wedge": "2.5"}.items():
        assert str(form[f"LF-{name}"].value()) == str(value), name
    assert form["LF-toe_angle-before"].value() == "49,5"
    assert form["LF-words"].value() == "a crack"
    assert 'data-said="fronts">Left fore: ' in text_of(answer)
    assert (form["LF-trimmed"].value(), form["RF-trimmed"].value()) == ("on", False)
    assert Visit.objects.filter(kept_on__isnull=False).count() == 1


def test_as_last_asks_whether_the_shoe_is_new_or_set_again(cast: Cast, now: datetime) -> None:
    _shoeing_weeks_ago(cast, now)
    page = text_of(Door(cast.farrier, cast.case).get("visit_new"))
    for asked in ("fronts-reset", "fronts-new", "fronts-bare", "hinds-new"):
        assert f'name="as_last" value="{asked}"' in page
    assert 'value="hinds-reset"' not in page  # nobody knows what they last wore


def test_barefoot_takes_the_shoe_off_a_foot_that_came_shod(cast: Cast, now: datetime) -> None:
    _shoeing_weeks_ago(cast, now)
    door = Door(cast.farrier, cast.case)
    form = door.client.post(door.address("visit_new"), {"as_last": "fronts-bare"}).context["form"]
    said = {name: form[name].value() for name in ("LF-shoe", "LF-left", "LF-size", "RF-shoe")}
    assert said == {"LF-shoe": "pulled", "LF-left": "barefoot", "LF-size": "", "RF-shoe": "none"}


def test_a_tap_copies_the_shoe_to_the_other_side_and_never_a_measurement(cast: Cast) -> None:
    door = Door(cast.farrier, cast.case)
    typed = {"LF-shoe": "new", "LF-size": "5", "LF-toe_angle-after": "52", "LF-words": "a crack"}
    sent = door.client.post(door.address("visit_new"), typed | {"as_last": "RF-as-LF"})
    form = sent.context["form"]
    assert (form["RF-shoe"].value(), form["RF-size"].value()) == ("new", "5")
    assert not form["RF-toe_angle-after"].value()
    assert not form["RF-words"].value()


@pytest.mark.parametrize("asked", ["", "LF", "LF-pulled", "XX-new", "all", "bare-new"])
def test_a_button_that_is_none_fills_in_nothing(asked: str, cast: Cast, now: datetime) -> None:
    _shoeing_weeks_ago(cast, now)
    door = Door(cast.farrier, cast.case)
    answer = door.client.post(door.address("visit_new"), sheet("LF") | {"as_last": asked})
    assert answer.status_code == 200
    assert answer.context["form"]["LF-size"].value() in (None, "")


def test_barefoot_all_round_is_one_button_without_scripts_too(cast: Cast) -> None:
    door = Door(cast.farrier, cast.case)
    page = text_of(door.get("visit_new"))
    assert 'value="all-bare"' in page
    sent = {
        "kept_on": "2026-11-01",
        "angle_method": "gauge",
        "length_method": "tape",
        "words": "A first trim.",
        **{f"{foot}-trimmed": "on" for foot in FEET},
    }
    asked = door.client.post(door.address("visit_new"), sent | {"as_last": "all-bare"})
    form = asked.context["form"]
    sent |= {f"{foot}-left": form[f"{foot}-left"].value() for foot in FEET}
    assert door.client.post(door.address("visit_new"), sent).status_code == 302
    assert set(FootWork.objects.values_list("shoeing_left", flat=True)) == {"barefoot"}


def test_what_has_to_be_answered_is_not_in_a_closed_fold(cast: Cast) -> None:
    page = text_of(Door(cast.farrier, cast.case).get("visit_new"))
    outside = re.sub(r"<details(?![^>]* open).*?</details>", "", page, flags=re.DOTALL)
    for foot in FEET:
        assert f'name="{foot}-left"' in outside


@pytest.mark.parametrize(
    "field",
    [
        "LF-wear",
        "LF-landing",
        "LF-kind",
        "LF-wedge",
        "method-toe_angle",
        "LF-frog_width-before",
        "LF-left",
        "shoe_then-before",
    ],
)
def test_no_error_hides_in_a_closed_fold(field: str, cast: Cast, now: datetime) -> None:
    _shoeing_weeks_ago(cast, now)
    answer = send(cast, "LF", **{field: "no such thing"})
    assert answer.status_code == 422
    outside = re.sub(r"<details(?![^>]* open).*?</details>", "", text_of(answer), flags=re.DOTALL)
    assert f'name="{field}"' in outside


def test_whether_the_shoe_was_on_is_kept_with_the_readings_of_shod_feet(cast: Cast) -> None:
    send(
        cast,
        "LF",
        "RF",
        **{
            "LF-shoe": "new",
            "RF-left": "barefoot",
            "LF-toe_angle-before": "48",
            "LF-toe_angle-after": "52",
            "RF-toe_angle-after": "51",
            "shoe_then-before": "on",
            "shoe_then-after": "off",
        },
    )
    then = {(r.foot, r.trim_state): r.shoe_then for r in Reading.objects.all()}
    assert then == {("LF", "before"): "on", ("LF", "after"): "off", ("RF", "after"): ""}
    page = text_of(Door(cast.owner, cast.case).get("series", "LF", "toe_angle"))
    assert "measured with the shoe off" in page


def test_the_forms_say_how_each_is_measured_and_draw_it(cast: Cast) -> None:
    assert set(HOW) == set(QUANTITIES)
    shown = {"visit_new": ("toe_angle", "toe_length"), "readings_new": tuple(HOW)}
    for name, quantities in shown.items():
        page = text_of(Door(cast.farrier, cast.case).get(name))
        assert all(HOW[quantity] in page for quantity in quantities)
        assert 'class="measured-hoof"' in page


def test_one_that_was_taken_off_is_not_offered_again(cast: Cast, now: datetime) -> None:
    _shoeing_weeks_ago(cast, now)
    door = Door(cast.farrier, cast.case)
    assert "As last, reset" in text_of(door.get("visit_new"))
    send(cast, "LF", **{"LF-shoe": "pulled", "LF-left": ""})
    assert "As last, reset" not in text_of(door.get("visit_new"))


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
