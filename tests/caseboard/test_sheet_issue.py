"""Issued sheets: kept as they were, drawn by a worker, verified by the code on the paper."""

import hashlib
from collections.abc import Callable
from datetime import datetime, timedelta

import pytest
from django.test import Client
from django.urls import reverse

from caseboard.case_reading import CaseReading
from caseboard.lib.errors import Conflict
from caseboard.lib.pdf.parent import PdfFailed, PdfUnavailable
from caseboard.sheets.plan_gather import sheet_for
from caseboard.sheets.plan_value import freeze, thaw
from caseboard.sheets.render import Page
from horses.ledger.append import content_of
from horses.models import HistoryLine, Job, PlanSheet, SheetPaper
from horses.queries.plan_sheets import drawings_of
from horses.services.cases import case_close
from horses.services.sheets import sheet_hash, sheet_issue
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db
Drain = Callable[..., int]


@pytest.fixture
def drawn(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Pages are numbers here: what is drawn, not how it looks. Says for which papers."""
    papers: list[str] = []

    def draw(sheet: object, *, paper: str, **more: object) -> Page:
        papers.append(paper)
        return Page(f"%PDF-{len(papers)}".encode(), ("The charts are on the board.",))

    monkeypatch.setattr("caseboard.sheets.job.sheet_page", draw)
    monkeypatch.setattr("caseboard.views.sheet.sheet_left_off", lambda sheet: {})
    return papers


def _path(name: str, cast: Cast, *more: object) -> str:
    return reverse(name, args=[cast.case.public_id, *more])


def test_a_frozen_sheet_thaws_to_the_same_value(cast: Cast, now: datetime) -> None:
    farrier = cast.access(cast.farrier)
    build.series(farrier, now, [52, 51.5, 51, 51, 50.5])
    build.target(cast.access(cast.vet), now)
    sheet = sheet_for(CaseReading(cast.access(cast.owner), now))
    assert sheet.has_charts
    assert thaw(freeze(sheet)) == sheet


def test_an_issued_sheet_says_what_stood_on_the_board_then(cast: Cast, now: datetime) -> None:
    build.plan_item(cast.access(cast.vet), now, text="Walk in hand.")
    issued = build.sheet(cast.access(cast.owner), now)
    build.plan_item(cast.access(cast.vet), now, text="A later item.")
    kept = thaw(content_of(PlanSheet.objects.get(pk=issued.pk).content))
    assert [item.text for item in kept.items] == ["Walk in hand."]
    assert (kept.number, kept.code) == (1, issued.code)
    assert issued.content_hash == sheet_hash(issued.content)


def test_issuing_is_a_line_of_the_history_with_the_hash(cast: Cast, now: datetime) -> None:
    issued = build.sheet(cast.access(cast.owner), now)
    line = HistoryLine.objects.get(verb="sheet.issued")
    assert line.after == {"number": 1, "code": issued.code, "hash": issued.content_hash}


def test_a_sheet_is_not_issued_unseen(cast: Cast, now: datetime) -> None:
    access = cast.access(cast.owner)
    seen = access.case.last_seq
    build.plan_item(cast.access(cast.vet), now)
    with pytest.raises(Conflict):
        sheet_issue(access=access, content={}, seen_seq=seen, now=now)


def test_the_page_shows_the_board_anew_when_it_changed_meanwhile(
    client: Client, cast: Cast, now: datetime, drawn: list[str]
) -> None:
    client.force_login(cast.owner)
    form = client.get(_path("sheet_issue", cast)).context["form"]
    build.plan_item(cast.access(cast.vet), now, text="Meanwhile.")
    answer = client.post(_path("sheet_issue", cast), {"seen_seq": form.initial["seen_seq"]})
    assert answer.status_code == 409
    assert "Meanwhile." in answer.content.decode()
    again = client.post(
        _path("sheet_issue", cast), {"seen_seq": answer.context["form"].initial["seen_seq"]}
    )
    assert again["Location"] == _path("sheet_issued", cast, 1)


def test_a_worker_draws_both_papers_and_a_reprint_is_the_same_paper(
    client: Client, cast: Cast, now: datetime, drain: Drain, drawn: list[str]
) -> None:
    issued = build.sheet(cast.access(cast.owner), now)
    client.force_login(cast.carer)
    first = client.get(_path("sheet_issued_pdf", cast, 1, "a4"))
    assert first["Location"] == _path("sheet_issued", cast, 1)
    drain()
    build.plan_item(cast.access(cast.vet), now)
    prints = [client.get(_path("sheet_issued_pdf", cast, 1, "a4")).content for _ in range(2)]
    paper = SheetPaper.objects.get(sheet=issued, paper="a4")
    assert prints == [bytes(paper.pdf)] * 2
    assert hashlib.sha256(prints[0]).hexdigest() == paper.sha256
    assert sorted(drawn) == ["a4", "letter"]


def test_the_work_done_twice_draws_once(
    cast: Cast, now: datetime, drain: Drain, drawn: list[str]
) -> None:
    from caseboard.sheets.job import sheet_draw

    issued = build.sheet(cast.access(cast.owner), now)
    drain()
    sheet_draw(f"{issued.public_id}:a4", now)
    assert len(drawn) == 2


def test_the_progress_is_said_and_ends(
    client: Client, cast: Cast, now: datetime, drain: Drain, drawn: list[str]
) -> None:
    build.sheet(cast.access(cast.owner), now)
    client.force_login(cast.owner)
    waiting = client.get(_path("sheet_progress", cast, 1)).content.decode()
    assert "waits to be drawn" in waiting
    assert 'hx-trigger="every 2s"' in waiting
    drain()
    done = client.get(_path("sheet_progress", cast, 1)).content.decode()
    assert "hx-trigger" not in done
    assert _path("sheet_issued_pdf", cast, 1, "letter") in done
    assert "The charts are on the board." in done


@pytest.mark.parametrize("error", [PdfFailed("too slow"), PdfUnavailable("no library")])
def test_a_failed_drawing_is_said_and_loses_nothing(
    client: Client,
    cast: Cast,
    now: datetime,
    drain: Drain,
    drawn: list[str],
    monkeypatch: pytest.MonkeyPatch,
    clock_stands: datetime,
    error: Exception,
) -> None:
    build.sheet(cast.access(cast.owner), now)
    drain()
    issued = build.sheet(cast.access(cast.owner), now)

    def fail(*args: object, **more: object) -> Page:
        raise error

    with monkeypatch.context() as broken:
        broken.setattr("caseboard.sheets.job.sheet_page", fail)
        drain()
    client.force_login(cast.owner)
    page = client.get(_path("sheet_issued", cast, 2)).content.decode()
    assert "could not be drawn" in page
    assert "Juniper" in page
    assert client.get(_path("sheet_issued_pdf", cast, 1, "a4")).status_code == 200
    assert client.post(_path("sheet_issued", cast, 2)).status_code == 302
    drain()
    assert {drawing.state for drawing in drawings_of(issued)} == {"done"}


def test_a_drawing_given_up_on_is_said_and_can_be_asked_for_again(
    cast: Cast, now: datetime
) -> None:
    issued = build.sheet(cast.access(cast.owner), now)
    Job.objects.filter(key__startswith=issued.public_id).update(set_aside_at=now)
    assert {drawing.state for drawing in drawings_of(issued)} == {"failed"}


def test_the_code_tells_a_stranger_genuine_current_or_superseded_and_nothing_else(
    client: Client, cast: Cast, now: datetime
) -> None:
    first = build.sheet(cast.access(cast.owner), now)
    path = reverse("sheet_verify", args=[first.code])
    current = client.get(path).content.decode()
    assert "Genuine, and the current sheet" in current
    build.sheet(cast.access(cast.vet), now)
    superseded = client.get(path).content.decode()
    assert "Genuine, but superseded" in superseded
    private = ("Juniper", "Ola", "Vera", "0100", cast.case.public_id, cast.case.title, "2026")
    for page in (current, superseded):
        assert not [word for word in private if word in page]


def test_a_member_is_led_to_the_sheet_and_told_which_one_superseded_it(
    client: Client, cast: Cast, now: datetime
) -> None:
    first = build.sheet(cast.access(cast.owner), now)
    build.sheet(cast.access(cast.owner), now)
    client.force_login(cast.vet)
    page = client.get(reverse("sheet_verify", args=[first.code]), follow=True).content.decode()
    assert "Superseded by sheet 2" in page
    assert "Juniper" in page


def test_who_was_removed_is_a_stranger_to_the_code(
    client: Client, cast: Cast, now: datetime
) -> None:
    sheet = build.sheet(cast.access(cast.owner), now)
    client.force_login(cast.removed)
    answer = client.get(reverse("sheet_verify", args=[sheet.code]))
    assert answer.status_code == 200
    assert "Juniper" not in answer.content.decode()


def test_a_code_is_typed_in_any_form(client: Client, cast: Cast, now: datetime) -> None:
    code = build.sheet(cast.access(cast.owner), now).code
    answer = client.get(reverse("sheet_check"), {"code": f" {code[:5].upper()}-{code[5:]} "})
    assert answer["Location"] == reverse("sheet_verify", args=[code])
    wrong = client.get(reverse("sheet_check"), {"code": "too short"})
    assert wrong.status_code == 422
    assert 'value="too short"' in wrong.content.decode()


def test_an_unknown_code_is_not_known_and_guessing_is_limited(
    client: Client, db: None, clock_stands: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("caseboard.views.sheet_verify.CHECKS_AN_HOUR", 2)
    path = reverse("sheet_verify", args=["abcdefghjk"])
    assert [client.get(path).status_code for _ in range(3)] == [404, 404, 429]


def test_the_next_sheet_compares_like_with_like(cast: Cast, now: datetime) -> None:
    farrier, owner = cast.access(cast.farrier), cast.access(cast.owner)
    for foot, value in (("LF", 52.0), ("RF", 52.0)):
        build.reading(farrier, now, foot, "toe_angle", value, now.date() - timedelta(days=56))
    build.sheet(owner, now)
    later = now + timedelta(days=1)
    for foot, value in (("LF", 46.0), ("RF", 51.8)):
        build.reading(farrier, later, foot, "toe_angle", value, later.date())
    sheet = sheet_for(CaseReading(owner, later))
    then = {foot.foot: (v.then, v.changed) for foot in sheet.feet for v in foot.values}
    assert then["LF"] == ("was 52° after trim: 6° less, beyond the measuring error", True)
    assert then["RF"] == ("was 52° after trim: no change beyond the measuring error", False)
    assert sheet.since == "sheet 1 of 2 Nov 2026"


def test_a_closed_case_has_a_closing_sheet_with_its_outcome(cast: Cast, now: datetime) -> None:
    vet = cast.access(cast.vet, cast.concern)
    farrier = cast.access(cast.farrier, cast.concern)
    build.target(vet, now)  # left fore, toe angle, 50 to 54 after the trim
    build.reading(farrier, now, "LF", "toe_angle", 52, now.date())
    owner = cast.access(cast.owner, cast.concern)
    case_close(access=owner, outcome="partly", words="Sound at walk.", now=now)
    sheet = sheet_for(CaseReading(cast.access(cast.owner, cast.concern), now))
    assert sheet.is_closing
    assert (sheet.outcome, sheet.outcome_words) == ("goal partly met", "Sound at walk.")
    assert sheet.outcome_numbers == "1 of 1 bands held at the last measurement"
    assert build.sheet(owner, now).number == 1
