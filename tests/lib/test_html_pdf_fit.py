"""The search for the fullest draft that fits: always the right one, with few layouts."""

import random
from collections.abc import Callable

import pytest

from caseboard.lib.pdf.fit import Laid, fullest_fitting, html_to_pdf_fitting
from caseboard.lib.pdf.parent import PdfFailed, pango_missing

ROOM = 280.0
PAGE = '<!doctype html><html lang="en"><head><title>x</title></head><body>{}</body></html>'


def _paper(true: list[float], tried: list[int]) -> Callable[[int], Laid]:
    """Lays out drafts of known heights, and notes which."""

    def lay_out(draft: int) -> Laid:
        tried.append(draft)
        return Laid(int(true[draft] // (ROOM + 1e-9)) + 1, true[draft])

    return lay_out


def _heights(pick: random.Random, drafts: int) -> list[float]:
    return sorted((pick.uniform(150, 900) for _ in range(drafts)), reverse=True)


@pytest.mark.parametrize("seed", range(60))
def test_it_finds_the_fullest_that_fits_whatever_was_thought(seed: int) -> None:
    pick = random.Random(seed)
    true = _heights(pick, pick.randint(1, 20))
    thought = [pick.uniform(0, 900) for _ in true]
    tried: list[int] = []
    chosen = fullest_fitting(_paper(true, tried), thought, room=ROOM, most_pages=1)
    fitting = [draft for draft, height in enumerate(true) if height < ROOM]
    assert chosen == (fitting[0] if fitting else None)
    assert len(tried) == len(set(tried)) <= 9


@pytest.mark.parametrize("seed", range(60))
def test_with_thoughts_that_are_off_alike_it_lays_out_three_at_most(seed: int) -> None:
    pick = random.Random(seed)
    true = _heights(pick, 19)
    off = pick.uniform(-40, 40)
    tried: list[int] = []
    thought = [height + off for height in true]
    fullest_fitting(_paper(true, tried), thought, room=ROOM, most_pages=1)
    assert len(tried) <= 3


def test_a_neighbour_far_too_high_is_not_laid_out() -> None:
    true, tried = [400.0, 320.0, 270.0, 200.0], list[int]()
    assert fullest_fitting(_paper(true, tried), true, room=ROOM, most_pages=1, sure=12) == 2
    assert tried == [2]


def test_a_neighbour_that_is_close_is_laid_out() -> None:
    true, thought, tried = [400.0, 279.0, 270.0], [400.0, 285.0, 270.0], list[int]()
    assert fullest_fitting(_paper(true, tried), thought, room=ROOM, most_pages=1, sure=12) == 1
    assert tried == [2, 1]


needs_pango = pytest.mark.skipif(bool(pango_missing()), reason="needs Pango")


@needs_pango
def test_when_nothing_fits_nothing_is_printed() -> None:
    with pytest.raises(PdfFailed, match="more on this sheet than a page holds"):
        html_to_pdf_fitting(
            lambda draft: PAGE.format("<p>x</p>" * (200 - draft)), [0.0] * 3, room=0, paper="a4"
        )


@needs_pango
def test_the_first_that_fits_is_printed() -> None:
    found = html_to_pdf_fitting(
        lambda draft: PAGE.format("<p>x</p>" * (70 - 30 * draft)), [0.0] * 3, room=0, paper="a4"
    )
    assert found.chosen == 2


@needs_pango
def test_the_margin_of_a_second_page_is_no_height_of_the_draft(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A page of 287 mm that begins 10 mm down: 300 mm of blocks are 13 mm on the second."""
    seen: list[Laid] = []

    def watched(lay_out: Callable[[int], Laid], heights: list[float], **_: object) -> int:
        seen.append(lay_out(0))
        lay_out(1)
        return 1

    monkeypatch.setattr("caseboard.lib.pdf.fit.fullest_fitting", watched)
    rule = "<style>@page { margin: 10mm } body, div { margin: 0 } div { height: 30mm }</style>"
    last = '<div id="end-of-sheet"></div>'
    html_to_pdf_fitting(
        lambda draft: PAGE.format(rule + "<div></div>" * (9 - draft) + last),
        [300.0, 270.0],
        room=287.0,
        top=10.0,
        paper="a4",
    )
    [laid] = seen
    assert laid.pages == 2
    assert laid.height == pytest.approx(277 + 10 + 30, abs=0.1)  # the block moved as a whole
