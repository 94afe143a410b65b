"""Wherever somebody is about to cut, what the films and the plan say of the foot stands there.

CASEBOARD_CUT_ROUNDS=25 takes a hundred generated feet.
"""

import os
import random
import re
from collections.abc import Iterator
from datetime import date, datetime, timedelta

import pytest
from django.template.loader import render_to_string
from django.test import Client

from caseboard.case_reading import CaseReading
from caseboard.lib.words import FEET, foot_label
from caseboard.sheets.blank import blank_for
from caseboard.sheets.day_list import FITS, fitted, round_for
from caseboard.sheets.plan_fit import sheet_drafts
from caseboard.sheets.plan_gather import sheet_for
from caseboard.sheets.render import sheet_html
from horses.rules.engine import evaluate
from horses.services.visit_planning import visit_plan
from measurements.services.readings import readings_record
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]
DAY = timedelta(days=1)
ROUNDS = int(os.environ.get("CASEBOARD_CUT_ROUNDS", "6"))  # of four feet each


def filmed(cast: Cast, now: datetime, on: date, soles: dict[str, str], **palmar: str) -> None:
    rows = [build.taken(f, "sole_depth", v, method="radiograph") for f, v in soles.items()]
    rows += [build.taken(f, "palmar_angle", v, method="radiograph") for f, v in palmar.items()]
    rows = [row for row in rows if row]
    readings_record(access=cast.access(cast.vet), taken_on=on, readings=rows, now=now)


def places(cast: Cast, now: datetime) -> Iterator[tuple[str, str]]:
    """Each place with its text: the visit form, the two papers, the day list, the plan sheet."""
    yield "visit form", text_of(Door(cast.farrier, cast.case).get("visit_new"))
    sheet = blank_for(CaseReading(cast.access(cast.farrier), now))
    for draft in (sheet, sheet.shorter(2, 0)):
        yield "paper visit", render_to_string("caseboard/blank_print.html", {"sheet": draft})
    client = Client()
    client.force_login(cast.farrier)
    yield "day list", client.get("/round/").content.decode()
    [horse] = round_for(cast.farrier, now.date(), now=now)
    for name, fit in (("paper day", FITS[0]), ("tight paper day", FITS[-1])):
        shown = {"pages": [[fitted(horse, fit)]], "on": now.date(), "person": cast.farrier}
        yield name, render_to_string("caseboard/round_print.html", shown | {"today": now})
    drafts = sheet_drafts(sheet_for(CaseReading(cast.access(cast.owner), now)))
    for plan in (drafts[0], drafts[-1]):
        yield "plan sheet", sheet_html(plan)


def said(place: str, foot: str, depth: str) -> str:
    return f"{foot} sole {depth} mm" if "paper day" in place else f"ole {depth} mm"


def test_every_sole_under_fifteen_millimetres_stands_in_every_place(
    cast: Cast, now: datetime
) -> None:
    pick = random.Random(11)
    visit_plan(access=cast.access(cast.farrier), on=now.date(), now=now)
    seen = 0
    for turn in range(ROUNDS):
        # Each foot has a depth of its own, so that no foot's words stand for another's.
        depths = pick.sample([f"{n / 10:g}" for n in range(40, 230)], k=len(FEET))
        soles = dict(zip(FEET, depths, strict=True))
        filmed(cast, now, now.date() - (ROUNDS - turn) * DAY, soles)
        thin = {foot: depth for foot, depth in soles.items() if float(depth) < 15}
        seen += len(thin)
        for place, text in places(cast, now):
            for foot, depth in soles.items():
                there = (
                    f"{said(place, foot, depth)} " in text or f"{said(place, foot, depth)};" in text
                )
                assert there is (foot in thin), (place, foot, depth)
        for foot, depth in thin.items():
            page = text_of(Door(cast.farrier, cast.case).get("steps", foot))
            assert f"Sole {depth} mm on the film of" in page, (foot, depth)
            assert ("ring the vet" if float(depth) < 10 else "ask the vet") in page
    assert seen > ROUNDS  # there was something to find


def beside_the_feet(page: str) -> dict[str, str]:
    """What the form of a visit warns of, by foot; each under the foot's own name."""
    found = re.findall(r'data-danger="(..)"(.*?)</div>\s*</div>', page, flags=re.DOTALL)
    return dict.fromkeys(FEET, "") | dict(found)


def test_it_stands_beside_its_own_foot(cast: Cast, now: datetime) -> None:
    filmed(cast, now, now.date() - 20 * DAY, {"RF": "8"}, LH="-4.5")
    page = text_of(Door(cast.farrier, cast.case).get("visit_new"))
    parts = beside_the_feet(page)
    film = f"on the film of {now.date() - 20 * DAY:%-d %b %Y}, 20 days ago"
    assert f"Sole 8 mm {film}: under 10 mm, ring the vet before you cut." in parts["RF"]
    assert "<b>Right fore</b>" in parts["RF"]
    assert "Plantar angle −4.5°" in parts["LH"]
    assert "the coffin bone is below level, ask the vet before you cut." in parts["LH"]
    assert "before-cutting" not in parts["LF"] + parts["RH"]
    sheet = blank_for(CaseReading(cast.access(cast.farrier), now))
    assert [bool(foot.dangers) for foot in sheet.feet] == [False, True, True, False]


def test_a_palmar_angle_out_of_range_stands_in_every_place(cast: Cast, now: datetime) -> None:
    visit_plan(access=cast.access(cast.farrier), on=now.date(), now=now)
    filmed(cast, now, now.date() - DAY, {}, LF="12", RH="4")
    for place, text in places(cast, now):
        angle = "almar 12°" if "paper day" in place else "almar angle 12°"
        assert angle in text, place
        assert "lantar angle 4°" not in text, place


def test_what_the_plan_forbids_stands_in_every_place(cast: Cast, now: datetime) -> None:
    """Not agreed yet: not to do a thing harms less than to do it."""
    vet = cast.access(cast.vet)
    build.plan_item(vet, now, text="Left fore: no wedges.", kind="shoe", who_does="farrier")
    visit_plan(access=cast.access(cast.farrier), on=now.date(), now=now)
    for place, text in places(cast, now):
        # Six horses with far too many words leave each a few letters, those that forbid, and say so.
        there = "no wed" if place == "tight paper day" else "Left fore: no wedges."
        assert there in text, place
        assert place != "tight paper day" or "Not all is here: see the board." in text
    page = text_of(Door(cast.farrier, cast.case).get("visit_new"))
    parts = beside_the_feet(page)
    warning = "Plan item 1: Left fore: no wedges. (Not agreed yet.)"
    assert warning in parts["LF"]
    assert warning not in parts["RF"]
    assert warning in text_of(Door(cast.farrier, cast.case).get("steps", "LF"))


def test_a_warning_on_a_concern_reaches_who_cuts_on_the_standing_care(
    cast: Cast, now: datetime
) -> None:
    vet = cast.access(cast.vet, cast.concern)
    build.plan_item(
        vet, now, text="Take no sole anywhere.", kind="trim", therapeutic=True, who_does="farrier"
    )
    page = text_of(Door(cast.farrier, cast.case).get("visit_new"))
    assert "Take no sole anywhere." in page
    blank = blank_for(CaseReading(cast.access(cast.farrier), now))
    assert any("Take no sole anywhere." in line for line in blank.before_cutting)


def test_a_new_film_takes_the_old_words_away(cast: Cast, now: datetime) -> None:
    filmed(cast, now, now.date() - 20 * DAY, {"LF": "8"})
    filmed(cast, now, now.date() - DAY, {"LF": "16"})
    page = text_of(Door(cast.farrier, cast.case).get("visit_new"))
    assert "before-cutting" not in page


def test_the_feet_are_named_as_the_reader_says_them(cast: Cast, now: datetime) -> None:
    cast.farrier.side_words = "near_off"
    cast.farrier.save()
    filmed(cast, now, now.date() - DAY, {"RF": "8"})
    page = text_of(Door(cast.farrier, cast.case).get("visit_new"))
    assert foot_label("RF", cast.farrier) == "off fore"
    assert "Off fore sole 8 mm (film" in page


@pytest.fixture
def jumped(cast: Cast, now: datetime) -> None:
    """52° just after the trim, then 41°, kept."""
    visit_plan(access=cast.access(cast.farrier), on=now.date(), now=now)
    on = now.date() - 20 * DAY
    build.visit(cast.access(cast.farrier), now, on)
    for day, value, state in ((on, 52, "after"), (on + 18 * DAY, 41, "between")):
        build.reading(
            cast.access(cast.farrier), now, "RF", "toe_angle", value, day, trim_state=state
        )
    evaluate(cast.horse, now=now)


@pytest.mark.usefixtures("jumped")
def test_a_jump_is_to_be_measured_again_in_every_place(cast: Cast, now: datetime) -> None:
    for place, text in places(cast, now):
        if place == "plan sheet":  # it has words of its own
            continue
        there = f"oe angle 52°, then 41° on {now.date() - 2 * DAY:%-d %b %Y}: measure again."
        assert there in text, place


@pytest.mark.usefixtures("jumped")
def test_a_jump_that_was_measured_again_is_the_vets_in_every_place(
    cast: Cast, now: datetime
) -> None:
    build.reading(cast.access(cast.farrier), now, "RF", "toe_angle", 41.5, now.date() - DAY)
    for place, text in places(cast, now):
        if place != "plan sheet":
            assert "measured again and the same, ring the vet." in text, place


@pytest.mark.usefixtures("jumped")
def test_a_jump_stands_at_its_own_foot(cast: Cast, now: datetime) -> None:
    sheet = blank_for(CaseReading(cast.access(cast.farrier), now))
    assert [bool(foot.dangers) for foot in sheet.feet] == [False, True, False, False]
    [horse] = round_for(cast.farrier, now.date(), now=now)
    assert horse.again.startswith("RF toe angle 52°")
    build.reading(cast.access(cast.farrier), now, "RF", "toe_angle", 51.5, now.date() - DAY)
    [horse] = round_for(cast.farrier, now.date(), now=now)
    assert horse.again == ""


@pytest.mark.usefixtures("jumped")
def test_a_paper_says_how_many_more_jumps_there_are(cast: Cast, now: datetime) -> None:
    on = now.date() - 20 * DAY
    for quantity, low, high in (("heel_angle", 36, 50), ("toe_length", 80, 120)):
        for day, value in ((on, low), (on + 18 * DAY, high)):
            build.reading(cast.access(cast.farrier), now, "RF", quantity, value, day)
    more = "1 more to measure again: see the board."
    sheet = blank_for(CaseReading(cast.access(cast.farrier), now))
    assert [line for line in sheet.feet[1].dangers if "measure again" in line][2] == more
    [horse] = round_for(cast.farrier, now.date(), now=now)
    assert horse.again.endswith(more)
    assert horse.again.count(", then ") == 2
    page = text_of(Door(cast.farrier, cast.case).get("visit_new"))
    assert page.count(": measure again.") == 3
