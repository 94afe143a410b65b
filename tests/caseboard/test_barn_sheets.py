"""Papers to write on in the barn: the blank visit sheet, and the farrier's day."""

import io
from datetime import date, datetime, timedelta

import pypdf
import pytest
from django.test import Client
from django.urls import reverse

from caseboard.barn_sheets import blank_for, blank_pdf, round_for, round_pdf
from caseboard.lib.html_pdf import PdfFailed, pango_missing
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
        visit_plan(standing=cast.standing(cast.farrier, case), on=now.date(), now=now)


def test_the_blank_sheet_has_the_last_values_beside_the_empty_places(
    cast: Cast, now: datetime
) -> None:
    farrier = cast.standing(cast.farrier)
    build.reading(farrier, now, "LF", "toe_angle", 51, now.date(), trim_state="before")
    build.reading(farrier, now, "LF", "toe_angle", 52.5, now.date())
    build.target(cast.standing(cast.vet), now)
    sheet = blank_for(farrier, now=now)
    [left] = [v for v in sheet.feet[0].values if v.label == "toe angle"]
    assert (left.before, left.before_on, left.after) == ("51°", "2 Nov", "52.5°")
    assert left.band == "the vet’s 50 to 54°, after the trim"


@needs_pango
def test_the_blank_sheet_is_one_page_however_much_is_planned(cast: Cast, now: datetime) -> None:
    farrier = cast.standing(cast.farrier)
    for quantity in ("toe_angle", "heel_angle"):
        build.reading(farrier, now, "RF", quantity, 50, now.date())
    Horse.objects.filter(pk=cast.horse.pk).update(name="W" * 80, yard="Y" * 120)
    for number in range(30):
        build.plan_item(farrier, now, text=f"Item {number}. " + "Words. " * 200)
    for paper in ("a4", "letter"):
        [text] = _pages(blank_pdf(farrier, paper=paper, now=now))
        for wanted in ("Left fore", "Right hind", "Found", "Left off here for space", "Next visit"):
            assert wanted in text, wanted


@needs_pango
def test_a_round_has_six_horses_a_page(cast: Cast, now: datetime) -> None:
    _horses_with_visits(cast, 7, now)
    for paper in ("a4", "letter"):
        pages = _pages(round_pdf(cast.farrier, now.date(), paper=paper, today=now.date()))
        assert len(pages) == 2
        assert "Horse 05" in pages[0]
        assert "Horse 06" in pages[1]
        assert "page 2 of 2" in pages[1]


def test_a_round_is_of_the_day_and_of_the_persons_own_horses(cast: Cast, now: datetime) -> None:
    _horses_with_visits(cast, 2, now)
    today, tomorrow = now.date(), now.date() + timedelta(days=1)

    def names(person: Person, on: date) -> list[str]:
        return [h.name for h in round_for(person, on, today=today)]

    assert names(cast.farrier, today) == ["Horse 00", "Horse 01"]
    assert names(cast.farrier, tomorrow) == []
    assert names(cast.other_farrier, today) == []
    assert names(cast.owner, today) == []  # the owner has no round
    paused = Visit.objects.filter(planned_on=today).earliest("pk").case
    horse_set_state(
        standing=cast.standing(cast.owner, paused), state="paused", reason="Winter", now=now
    )
    assert names(cast.farrier, today) == ["Horse 01"]


def test_a_horse_with_two_boards_is_met_once(cast: Cast, now: datetime) -> None:
    concern = cast.standing(cast.farrier, cast.concern)
    build.plan_item(concern, now, text="Heels lower.", who_does="farrier", kind="trim")
    visit_plan(standing=cast.standing(cast.farrier), on=now.date(), now=now)
    [met] = round_for(cast.farrier, now.date(), today=now.date())
    assert met.items == ("1. Heels lower. (not agreed yet)",)


def test_the_papers_come_through_their_pages(
    client: Client, cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    client.force_login(cast.farrier)
    blank, day = reverse("blank_pdf", args=[cast.case.public_id]), reverse("round_pdf")
    with monkeypatch.context() as quick:
        quick.setattr("caseboard.views.barn.blank_pdf", lambda *a, **k: b"%PDF-1.7")
        quick.setattr("caseboard.views.barn.round_pdf", lambda *a, **k: b"%PDF-1.7")
        for path in (blank, f"{day}?on=2026-11-02", f"{day}?on=nonsense"):
            assert client.get(path)["Content-Type"] == "application/pdf"

    def fail(*args: object, **more: object) -> bytes:
        raise PdfFailed("Making the PDF took too long.")

    monkeypatch.setattr("caseboard.views.barn.blank_pdf", fail)
    monkeypatch.setattr("caseboard.views.barn.round_pdf", fail)
    for path in (blank, day):
        answer = client.get(path)
        assert answer.status_code == 503
        assert "took too long" in answer.content.decode()
