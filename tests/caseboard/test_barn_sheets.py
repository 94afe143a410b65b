"""Papers to write on in the barn: the blank visit sheet, and the farrier's day."""

import io
from datetime import date, datetime, timedelta

import pypdf
import pytest
from django.test import Client
from django.urls import reverse

from caseboard.case_reading import CaseReading
from caseboard.lib.pdf.parent import Paper, PdfFailed, pango_missing
from caseboard.lib.words import FEET
from caseboard.sheets.blank import blank_for, blank_pdf
from caseboard.sheets.day_list import (
    FITS,
    RoundFoot,
    RoundHorse,
    RoundItem,
    fitted,
    round_for,
    round_pdf,
)
from horses.models import Horse, Person, Role, Visit
from horses.services.horses import horse_create, horse_set_state
from horses.services.visit_planning import visit_plan
from tests import build
from tests.cast import Cast, join

pytestmark = pytest.mark.django_db
needs_pango = pytest.mark.skipif(bool(pango_missing()), reason="needs Pango")


def _pages(pdf: bytes) -> list[str]:
    return [" ".join(p.extract_text().split()) for p in pypdf.PdfReader(io.BytesIO(pdf)).pages]


def _horses_with_visits(cast: Cast, count: int, now: datetime) -> None:
    for number in range(count):
        horse = horse_create(person=cast.owner, fields={"name": f"Horse {number:02}"}, now=now)
        case = horse.cases.get()
        join(case, cast.farrier, Role.FARRIER, now)
        visit_plan(access=cast.access(cast.farrier, case), on=now.date(), now=now)


def test_the_blank_sheet_has_the_last_values_beside_the_empty_places(
    cast: Cast, now: datetime
) -> None:
    farrier = cast.access(cast.farrier)
    build.reading(farrier, now, "LF", "toe_angle", 51, now.date(), trim_state="before")
    build.reading(farrier, now, "LF", "toe_angle", 52.5, now.date())
    build.target(cast.access(cast.vet), now)
    sheet = blank_for(CaseReading(farrier, now))
    [left] = [v for v in sheet.feet[0].values if v.label == "toe angle"]
    assert (left.before, left.before_on, left.after) == ("51°", "2 Nov 2026", "52.5°")
    assert left.band == "the vet’s 50 to 54°, after the trim"


@needs_pango
def test_the_blank_sheet_is_one_page_however_much_is_planned(cast: Cast, now: datetime) -> None:
    farrier = cast.access(cast.farrier)
    for quantity in ("toe_angle", "heel_angle"):
        build.reading(farrier, now, "RF", quantity, 50, now.date())
    Horse.objects.filter(pk=cast.horse.pk).update(name="W" * 80, yard="Y" * 120)
    for number in range(30):
        build.plan_item(farrier, now, text=f"Item {number}. " + "Words. " * 200)
    for paper in ("a4", "letter"):
        [text] = _pages(blank_pdf(CaseReading(farrier, now), paper=paper))
        for wanted in ("Left fore", "Right hind", "Found", "Left off here for space", "Next visit"):
            assert wanted in text, wanted


@needs_pango
def test_a_round_has_six_horses_a_page(cast: Cast, now: datetime) -> None:
    _horses_with_visits(cast, 7, now)
    for paper in ("a4", "letter"):
        pages = _pages(round_pdf(cast.farrier, now.date(), paper=paper, now=now))
        assert len(pages) == 2
        assert "Horse 05" in pages[0]
        assert "Horse 06" in pages[1]
        assert "page 2 of 2" in pages[1]


def test_a_round_is_of_the_day_and_of_the_persons_own_horses(cast: Cast, now: datetime) -> None:
    _horses_with_visits(cast, 2, now)
    today, tomorrow = now.date(), now.date() + timedelta(days=1)

    def names(person: Person, on: date) -> list[str]:
        return [h.name for h in round_for(person, on, now=now)]

    assert names(cast.farrier, today) == ["Horse 00", "Horse 01"]
    assert names(cast.farrier, tomorrow) == []
    assert names(cast.other_farrier, today) == []
    assert names(cast.owner, today) == []  # the owner has no round
    paused = Visit.objects.filter(planned_on=today).earliest("pk").case
    horse_set_state(
        access=cast.access(cast.owner, paused), state="paused", reason="Winter", now=now
    )
    assert names(cast.farrier, today) == ["Horse 01"]


def test_a_horse_with_two_boards_is_met_once(cast: Cast, now: datetime) -> None:
    concern = cast.access(cast.farrier, cast.concern)
    build.plan_item(concern, now, text="Heels lower.", who_does="farrier", kind="trim")
    visit_plan(access=cast.access(cast.farrier), on=now.date(), now=now)
    [met] = round_for(cast.farrier, now.date(), now=now)
    assert met.items == (RoundItem(1, "Heels lower.", agreed=False),)


def test_the_papers_come_through_their_pages(
    client: Client, cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    client.force_login(cast.farrier)
    blank, day = reverse("blank_pdf", args=[cast.case.public_id]), reverse("round_pdf")
    with monkeypatch.context() as quick:
        quick.setattr("caseboard.views.printouts.blank_pdf", lambda *a, **k: b"%PDF-1.7")
        quick.setattr("caseboard.views.printouts.round_pdf", lambda *a, **k: b"%PDF-1.7")
        for path in (blank, f"{day}?on=2026-11-02", f"{day}?on=nonsense"):
            assert client.get(path)["Content-Type"] == "application/pdf"

    def fail(*args: object, **more: object) -> bytes:
        raise PdfFailed("Making the PDF took too long.")

    monkeypatch.setattr("caseboard.views.printouts.blank_pdf", fail)
    monkeypatch.setattr("caseboard.views.printouts.round_pdf", fail)
    for path in (blank, day):
        answer = client.get(path)
        assert answer.status_code == 503
        assert "took too long" in answer.content.decode()


def test_what_has_no_place_on_the_blank_sheet_is_said(cast: Cast, now: datetime) -> None:
    farrier = cast.access(cast.farrier)
    for quantity in ("toe_angle", "heel_angle", "pastern_angle"):
        build.reading(farrier, now, "LF", quantity, 50, now.date())
    for number in range(3):
        build.plan_item(farrier, now, text=f"Item {number}.")
    whole = blank_for(CaseReading(farrier, now))
    assert whole.left_off == []
    assert whole.shorter(1, 1).left_off == [
        "Heel angle and pastern angle: write on the back.",
        "2 more plan items: see the board.",
    ]


def test_a_seventh_quantity_in_use_is_named(cast: Cast, now: datetime) -> None:
    farrier = cast.access(cast.farrier)
    used = [
        "toe_angle",
        "heel_angle",
        "pastern_angle",
        "toe_length",
        "heel_length_medial",
        "heel_length_lateral",
        "frog_width",
    ]
    for quantity in used:
        value = 50 if quantity.endswith("angle") else 60
        build.reading(farrier, now, "LF", quantity, value, now.date())
    sheet = blank_for(CaseReading(farrier, now))
    assert len(sheet.feet[0].values) == 6
    assert sheet.left_off == ["Frog width: write on the back."]


@needs_pango
def test_both_papers_warn_of_dangers_and_have_the_emergency_number(
    cast: Cast, now: datetime
) -> None:
    danger = "Sits back when tied: hold, never tie."
    Horse.objects.filter(pk=cast.horse.pk).update(danger=danger, handling="Likes company.")
    farrier = cast.access(cast.farrier)
    visit_plan(access=farrier, on=now.date(), now=now)
    [blank] = _pages(blank_pdf(CaseReading(farrier, now), paper="a4"))
    [day] = _pages(round_pdf(cast.farrier, now.date(), paper="a4", now=now))
    for text in (blank, day):
        assert f"Careful: {danger}" in text
        assert "Good to know: Likes company." in text
        assert "Emergency vet: 0100 999 Night Vets" in text


def _fat_horse() -> RoundHorse:
    """As many words as the forms take and more, in wide letters without a break."""
    wide = "W" * 500
    return RoundHorse(
        name=wide[:80],
        yard=wide[:120],
        owner=wide[:120],
        phone="0" * 40,
        vet_name=wide[:120],
        vet_phone="0" * 40,
        danger=wide[:300],
        handling=wide,
        held_by=wide[:200],
        shoeing=wide[:120],
        last_trim="22 Nov 2026",
        feet=tuple(RoundFoot(foot, ("52.75°", "48.25°", "10.25 in")) for foot in FEET),
        flags=(wide,) * 6,
        before_cutting=(wide,) * 6,
        films="; ".join(
            f"{foot} sole 14.5 mm, palmar −12.5° ({day} Nov)"
            for day, foot in zip((20, 21, 22, 23), FEET, strict=True)
        )
        + ": ring the vet before you cut.",
        items=tuple(RoundItem(n, wide, agreed=False) for n in range(9)),
    )


@needs_pango
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_six_horses_with_far_too_many_words_are_one_page_and_say_so(
    cast: Cast, now: datetime, paper: Paper, monkeypatch: pytest.MonkeyPatch
) -> None:
    fat = [_fat_horse()] * 6
    monkeypatch.setattr("caseboard.sheets.day_list.round_for", lambda *a, **k: fat)
    [text] = _pages(round_pdf(cast.farrier, now.date(), paper=paper, now=now))
    assert text.count("Not all is here: see the board.") == 6
    assert text.count("Emergency vet:") == 6


def test_a_horse_that_is_cut_says_so_and_one_that_is_not_does_not(
    cast: Cast, now: datetime
) -> None:
    visit_plan(access=cast.access(cast.farrier), on=now.date(), now=now)
    build.plan_item(cast.access(cast.farrier), now, text="Heels " * 9, who_does="farrier")
    [met] = round_for(cast.farrier, now.date(), now=now)
    assert fitted(met, FITS[0]) == met
    last = fitted(met, FITS[-1])
    assert last.is_short
    assert last.items[0].text.endswith("…")
