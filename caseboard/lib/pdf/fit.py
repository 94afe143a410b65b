"""The fullest of several drafts of one document that fits its pages, found with few layouts.

Drafts get shorter and shorter. A layout costs a few tenths of a second, so the search begins at the
draft that is estimated to fit, and each layout corrects the estimate.

Decided 2026-11: the fullest draft that fits is searched for from an estimated height
(caseboard/sheets/plan_height.py), in one to three layouts. A neighbour that is some mm too high by
what was measured is taken for too long without a layout. When not even the last draft fits, nothing
is printed.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from caseboard.lib.pdf.parent import TIME_LIMIT_S, Paper, PdfFailed, drawing

PX_A_MM = 96 / 25.4  # CSS: 96 px are an inch
GUESSES = 3  # house default: after so many the rest is halved, so that the worst is soon found


@dataclass(frozen=True)
class Laid:
    """One draft as laid out: its pages, and its height where the document lets it be measured."""

    pages: int
    height: float = 0.0


@dataclass(frozen=True)
class Fitted:
    pdf: bytes
    chosen: int
    layouts: int


def html_to_pdf_fitting(
    html_of: Callable[[int], str],
    heights: Sequence[float],
    *,
    room: float,
    paper: Paper,
    top: float = 0.0,
    most_pages: int = 1,
    time_limit_s: float = TIME_LIMIT_S,
    sure: float = 0.0,
) -> Fitted:
    """The fullest draft that fits `most_pages`; raises PdfFailed when not even the last one does.

    `heights` says for every draft how high it is about, in mm, `room` how much of that a page
    holds, and `top` how much of it every page loses to its margin; where they are off, it takes more layouts and finds the same. With `sure`, a draft that
    measured against its neighbour is higher than the room by as much is not tried at all.
    """
    with drawing(paper=paper, most_pages=most_pages, time_limit_s=time_limit_s) as sheet:
        tried: dict[int, Laid] = {}

        def lay_out(draft: int) -> Laid:
            pages, end = sheet.lay_out(len(tried), html_of(draft))
            places[draft] = len(tried)
            tried[draft] = Laid(pages, (pages - 1) * (room - top) + end / PX_A_MM if end else 0.0)
            return tried[draft]

        places: dict[int, int] = {}
        chosen = fullest_fitting(
            lay_out, heights, room=room * most_pages, most_pages=most_pages, sure=sure
        )
        if chosen is None:
            raise PdfFailed("There is more on this sheet than a page holds, however short.")
        return Fitted(sheet.write(places[chosen]), chosen, len(tried))


def fullest_fitting(
    lay_out: Callable[[int], Laid],
    heights: Sequence[float],
    *,
    room: float,
    most_pages: int,
    sure: float = 0.0,
) -> int | None:
    """The first draft that fits, or None. Between one known to be too long and one known to fit it
    goes on where the last layout, measured against its own thought height, says."""
    too_long, fits = -1, len(heights)
    off, guesses = 0.0, 0
    measured = False
    while fits - too_long > 1:
        if measured and sure and fits < len(heights):
            while too_long < fits - 1 and heights[too_long + 1] + off > room + sure:
                too_long += 1
            if fits - too_long <= 1:
                break
        guess = _thought_to_fit(heights, off, room, too_long + 1, fits - 1)
        if guesses >= GUESSES:
            guess = (too_long + fits) // 2
        guesses += 1
        laid = lay_out(guess)
        if laid.height:
            off, measured = laid.height - heights[guess], True
        if laid.pages > most_pages:
            too_long = guess
        else:
            fits = guess
    return fits if fits < len(heights) else None


def _thought_to_fit(
    heights: Sequence[float], off: float, room: float, first: int, last: int
) -> int:
    for draft in range(first, last):
        if heights[draft] + off <= room:
            return draft
    return last
