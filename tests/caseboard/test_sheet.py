"""The plan sheet: one page whatever is on the plan, and everything essential on it."""

import io
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pypdf
import pytest
import segno
from django.core.management import CommandError, call_command
from django.test import Client

from caseboard.case_reading import CaseReading
from caseboard.lib.pdf.parent import Paper, PdfUnavailable, pango_missing
from caseboard.lib.qr import qr_path
from caseboard.sheets.plan_fit import sheet_drafts
from caseboard.sheets.plan_gather import sheet_for
from caseboard.sheets.render import sheet_html, sheet_page
from horses.access import CaseAccess
from horses.models import Horse
from horses.services.plan import plan_item_decide
from horses.services.visit_planning import visit_plan
from tests import build
from tests.caseboard.sheet_plans import busy, plan
from tests.cast import Cast

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.skipif(bool(pango_missing()), reason="needs Pango"),
]

COMMAND = "caseboard.management.commands.plan_sheet"
# The whole list is in test_sheet_hostile.py; these come the way of what people type.
HOSTILE = (
    '<img src="file:///etc/passwd"><style>* { display: none }</style>',
    "\u202eright to left override \u0627\u0644\u062d\u0635\u0627\u0646 \u05e1\u05d5\u05e1 &lt;b&gt; \ufeff\u200b "
    + "x" * 900,
)


def sheet_pdf(access: CaseAccess, *, paper: Paper, now: datetime) -> bytes:
    return sheet_page(sheet_for(CaseReading(access, now)), paper=paper).pdf


def _text(pdf: bytes) -> str:
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    assert len(reader.pages) == 1
    return " ".join(reader.pages[0].extract_text().split())


def _busy_case(cast: Cast, now: datetime) -> None:
    farrier, vet = cast.access(cast.farrier), cast.access(cast.vet)
    build.series(farrier, now, [52, 51.5, 51, 51, 50.5])
    build.target(vet, now)
    build.plan_item(vet, now, text="Walk only on soft ground.", therapeutic=True)
    build.flag(cast.access(cast.owner), now, "sore_stones")
    visit_plan(access=farrier, on=now.date().replace(month=12), now=now)


def test_the_sheet_says_everything_essential_on_one_page(cast: Cast, now: datetime) -> None:
    _busy_case(cast, now)
    text = _text(sheet_pdf(cast.access(cast.owner), paper="a4", now=now))
    for wanted in (
        "Juniper",
        "Ola Owner",
        "0100 200 301",
        "Vera Vet",
        "Finn Farrier",
        "0100 999",
        "50.5°",
        "Walk only on soft ground.",
        "under the vet",
        "Not agreed yet",
        "Vera Vet 2 Nov 2026",
        "Sore on stones",
        "2 Dec 2026",
        "Call your vet now",
        "Date:",
    ):
        assert wanted in text, wanted


def test_an_item_everyone_agreed_to_is_not_marked_open(cast: Cast, now: datetime) -> None:
    item = build.plan_item(cast.access(cast.vet), now, text="Pick out daily.")
    for person in (cast.owner, cast.farrier):
        version = item.versions.get()
        plan_item_decide(
            access=cast.access(person),
            item_id=item.public_id,
            seen_hash=version.content_hash,
            decision="agree",
            now=now,
        )
    text = _text(sheet_pdf(cast.access(cast.owner), paper="a4", now=now))
    assert "Not agreed yet" not in text
    assert "Ola Owner 2 Nov 2026" in text


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize(
    "fill",
    [
        lambda cast, now: None,
        _busy_case,
        lambda cast, now: [
            build.plan_item(cast.access(cast.vet), now, text=f"Item {n}. " + "Long words. " * 300)
            for n in range(25)
        ],
        lambda cast, now: [
            build.flag(cast.access(cast.owner), now, words="y" * 500) for _ in range(15)
        ],
    ],
    ids=["empty", "busy", "many long items", "many flags"],
)
def test_it_is_one_page_of_the_right_size(
    cast: Cast, now: datetime, paper: str, fill: Callable[[Cast, datetime], object]
) -> None:
    fill(cast, now)
    pdf = sheet_pdf(cast.access(cast.owner), paper=paper, now=now)  # type: ignore[arg-type]
    page = pypdf.PdfReader(io.BytesIO(pdf)).pages[0]
    assert _text(pdf)
    size = (round(float(page.mediabox.width)), round(float(page.mediabox.height)))
    assert size == {"a4": (595, 842), "letter": (612, 792)}[paper]


def test_what_was_left_off_is_said(cast: Cast, now: datetime) -> None:
    for number in range(30):
        build.plan_item(cast.access(cast.vet), now, text=f"Item {number}. " + "Words. " * 200)
    text = _text(sheet_pdf(cast.access(cast.owner), paper="a4", now=now))
    assert "Left off here for space" in text
    assert "on the board only" in text


@pytest.mark.parametrize("words", HOSTILE)
def test_hostile_words_are_only_words(cast: Cast, now: datetime, words: str) -> None:
    build.plan_item(cast.access(cast.vet), now, text=words, reason=words)
    Horse.objects.filter(pk=cast.horse.pk).update(name=words[:80], yard=words[:120])
    text = _text(sheet_pdf(cast.access(cast.owner), paper="a4", now=now))
    assert "root:" not in text
    assert "Call your vet now" in text


def test_each_draft_is_shorter_and_none_says_less_silently(cast: Cast, now: datetime) -> None:
    for number in range(30):
        build.plan_item(cast.access(cast.vet), now, text=f"Item {number}. " + "Words. " * 200)
    drafts = sheet_drafts(sheet_for(CaseReading(cast.access(cast.owner), now)))
    lengths = [len(sheet_html(draft)) for draft in drafts]
    assert lengths[2:] == sorted(lengths[2:], reverse=True)
    assert all(draft.left_off for draft in drafts if len(draft.items) < 30)


def test_the_code_draws_exactly_the_dark_squares() -> None:
    code = segno.make("https://board.example.test/cases/abc/", error="m", micro=False)
    squares = {(x, y) for y, row in enumerate(code.matrix) for x, dark in enumerate(row) if dark}
    drawn = set()
    for line in qr_path(code).split("M")[1:]:
        place, run = line.split("h")
        x, y = place.split()
        assert y.endswith(".5")  # a line one square wide lies in the middle of its row
        drawn |= {(int(x) + step, int(y.removesuffix(".5"))) for step in range(int(run))}
    assert drawn == squares


def test_the_pdf_comes_through_the_page(client: Client, cast: Cast) -> None:
    client.force_login(cast.carer)
    answer = client.get(f"/cases/{cast.case.public_id}/sheet.pdf?paper=letter")
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"] == 'inline; filename="plan-sheet-juniper-draft.pdf"'
    assert answer.content.startswith(b"%PDF")


def test_a_strange_paper_size_gives_a4(client: Client, cast: Cast) -> None:
    client.force_login(cast.owner)
    answer = client.get(f"/cases/{cast.case.public_id}/sheet.pdf?paper=wall")
    page = pypdf.PdfReader(io.BytesIO(answer.content)).pages[0]
    assert round(float(page.mediabox.width)) == 595


def test_without_the_library_the_page_says_what_to_install(
    client: Client, cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    def missing(*args: object, **kwargs: object) -> bytes:
        raise PdfUnavailable("PDFs need the Pango library. Debian or Ubuntu: apt-get install it.")

    monkeypatch.setattr("caseboard.views.sheet.sheet_page", missing)
    client.force_login(cast.owner)
    answer = client.get(f"/cases/{cast.case.public_id}/sheet.pdf")
    assert answer.status_code == 503
    assert "apt-get install" in answer.content.decode()
    assert "Juniper" in answer.content.decode()


def test_the_command_writes_the_file(cast: Cast, tmp_path: Path) -> None:
    out = tmp_path / "sheet.pdf"
    call_command("plan_sheet", cast.case.public_id, "--paper", "letter", "--out", str(out))
    assert "Juniper" in _text(out.read_bytes())


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_command_prints_far_too_much_on_one_page_and_says_what_it_left_off(
    cast: Cast,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    paper: str,
) -> None:
    monkeypatch.setattr(f"{COMMAND}.sheet_for", lambda reading: plan(1))
    out = tmp_path / "sheet.pdf"
    call_command("plan_sheet", cast.case.public_id, "--paper", paper, "--out", str(out))
    text = _text(out.read_bytes())
    said = [line for line in capsys.readouterr().out.splitlines() if line.startswith("Left off: ")]
    assert any("on the board only" in line for line in said)
    for line in said:
        assert line.removeprefix("Left off: ") in text


def test_the_preview_says_before_printing_what_each_paper_leaves_off(
    client: Client, cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("caseboard.views.sheet.sheet_for", lambda reading: plan(2))
    client.force_login(cast.owner)
    page = client.get(f"/cases/{cast.case.public_id}/sheet/issue/").content.decode()
    for label, paper in (("A4", "a4"), ("Letter", "letter")):
        left_off = sheet_page(plan(2).issued_as(999, "x" * 10), paper=paper).left_off  # type: ignore[arg-type]
        assert any("on the board only" in words for words in left_off)
        assert f"<b>{label}:</b> {' '.join(left_off)}" in page


def test_a_sheet_that_cannot_be_one_page_is_not_printed_and_the_page_says_so(
    client: Client, cast: Cast, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("caseboard.sheets.render.sheet_drafts", lambda sheet: [busy(60)])
    client.force_login(cast.owner)
    answer = client.get(f"/cases/{cast.case.public_id}/sheet.pdf")
    assert answer.status_code == 503
    assert "more on this sheet than a page holds" in answer.content.decode()
    with pytest.raises(CommandError, match="more on this sheet"):
        call_command("plan_sheet", cast.case.public_id, "--out", str(tmp_path / "x.pdf"))
    assert not (tmp_path / "x.pdf").exists()


def test_the_command_refuses_an_unknown_case_and_a_place_it_cannot_write(
    cast: Cast, tmp_path: Path
) -> None:
    with pytest.raises(CommandError, match="no case"):
        call_command("plan_sheet", "nosuchcase", "--out", str(tmp_path / "x.pdf"))
    with pytest.raises(CommandError, match="cannot be written"):
        call_command("plan_sheet", cast.case.public_id, "--out", str(tmp_path / "no" / "x.pdf"))
