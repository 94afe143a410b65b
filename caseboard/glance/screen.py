"""Composes the first screen of a board."""

from dataclasses import dataclass
from datetime import date

from django.urls import reverse
from django.utils import timezone

from caseboard.board import Board, PlanCard
from caseboard.glance.feet import FootGlance, Rim, feet_at_a_glance
from caseboard.glance.rows import Row, Rows, fitted, rows_of
from caseboard.lib.spans import one_or
from horses.domain.wording import listed
from horses.models import AGREEING_ROLES
from measurements.queries.numbers import Numbers

# Beyond this a count of days says less than the date itself. House default.
COUNTED_DAYS = 99
# A visit further off than this is not the one that puts a lost shoe back. House default.
SHOE_DAYS = 7
# So near a planned day somebody may say that it has been. House default.
WORD_DAYS = 7


@dataclass(frozen=True)
class VisitLine:
    """The next visit: the count of days beside its date, or what stands in its place."""

    count: str
    unit: str
    head: str
    below: str
    confirms: str  # the address of "the day suits"; empty where nobody asks this person
    plans: str  # the address where a day is planned; empty where this person may not
    says: str = ""  # the address where somebody says that the farrier was here; empty where far off


@dataclass(frozen=True)
class FirstScreen:
    rows: Rows
    feet: list[FootGlance]
    caption: str
    visit: VisitLine
    quiet_words: str  # under a board that waits for nothing of this person
    looked_words: str  # who looked at the horse today, while nothing newer stands; else empty
    agreed_words: str  # on the day on which the last of all gave their word; else empty


def first_screen(board: Board, numbers: Numbers) -> FirstScreen:
    """What is seen before any scroll, from the parts the board has read."""
    rows = rows_of(board)
    shown = fitted(rows)
    feet = feet_at_a_glance(board, numbers, rows)
    visit = _visit(board, rows)
    return FirstScreen(
        rows=shown,
        feet=feet,
        caption=_caption(feet),
        visit=visit,
        quiet_words="" if rows else f"{_waits(visit)} {board.numbers_words}".strip(),
        looked_words=board.looked_words,
        agreed_words=_agreed_today(board),
    )


def _waits(visit: VisitLine) -> str:
    return "Only the day below waits for you." if visit.confirms else "Nothing waits for you."


def _agreed_today(board: Board) -> str:
    """All three roles are there and agree, and the last word was given today."""
    numbers = [str(c.line.item.number) for c in board.plan if _all_agreed_on(c, board.today)]
    if not numbers:
        return ""
    return f"Plan {one_or(len(numbers), 'item', 'items')} {listed(numbers)}: all three have agreed"


def _all_agreed_on(card: PlanCard, today: date) -> bool:
    line = card.line
    agreed = [mark.role for mark in card.marks if mark.is_agreed]
    if not line.state.is_agreed or len(set(agreed)) < len(AGREEING_ROLES):
        return False
    words = [word.decided_at for word in line.version.agreements.all()]
    return bool(words) and timezone.localtime(max(words)).date() == today


def _caption(feet: list[FootGlance]) -> str:
    """What the number is and what the lines under it mean, of what is drawn here."""
    parts = ["Newest toe angle, seen from above." if any(f.value for f in feet) else ""]
    rims = {foot.rim for foot in feet}
    parts.append("Rim: shod." if Rim.SHOD in rims else "")
    parts.append("Dotted: shoe lost." if Rim.LOST in rims else "")
    return " ".join(filter(None, parts))


def _visit(board: Board, rows: list[Row]) -> VisitLine:
    visit, case_id = board.visit_ahead, board.case.public_id
    says = reverse("was_here", args=[case_id]) if _may_have_been(board) else ""
    may_plan = "visit.plan" in board.can and board.case.is_open
    plans = reverse("visit_plan", args=[case_id]) if may_plan else ""
    if visit is None or visit.planned_on is None:
        return VisitLine("", "", "No visit planned", board.due.words, "", plans, says)
    confirms = reverse("visit_confirm", args=[case_id, visit.public_id])
    days = (visit.planned_on - board.today).days
    count, unit = _count(days) if not _cannot_wait(rows) else ("", "")
    who = str(visit.planned_for) if visit.planned_for else "Farrier"
    return VisitLine(
        count=count,
        unit=unit,
        head=_day(visit.planned_on, board.today),
        below=", ".join(filter(None, (who, _state(board, days, rows)))),
        confirms=confirms if board.may_confirm and not _too_late(board, days, rows) else "",
        plans="",
        says=says,
    )


def _may_have_been(board: Board) -> bool:
    """Somebody may have been here who has not typed it: a day is near, or none is known."""
    visit = board.visit_ahead
    if not board.offers_word or not board.case.is_open or not board.access.horse.is_in_care:
        return False
    if visit is not None and visit.planned_on is not None:
        return (visit.planned_on - board.today).days <= WORD_DAYS
    return board.due.is_due or board.due.is_overdue or board.due.is_soon or not board.trimmed_on


def _count(days: int) -> tuple[str, str]:
    if days == 0:
        return "today", ""
    if 0 < days <= COUNTED_DAYS:
        return str(days), one_or(days, "day", "days")
    return "", ""


def _day(day: date, today: date) -> str:
    year = f" {day:%Y}" if day.year != today.year else ""
    return f"{day:%a %-d %b}{year}"


def _too_late(board: Board, days: int, rows: list[Row]) -> bool:
    """A day that must not be agreed to as if it were soon enough."""
    return _cannot_wait(rows) or bool(board.shoes.lost and days > SHOE_DAYS)


def _state(board: Board, days: int, rows: list[Row]) -> str:
    if _cannot_wait(rows):
        return "not before the vet has spoken"
    if _too_late(board, days, rows):
        return "too late for the lost shoe: ask for a day"
    if board.next_visit is not None and board.next_visit.confirmed_at is not None:
        return "confirmed"
    return board.due.words if board.due.is_overdue else ""


def _cannot_wait(rows: list[Row]) -> bool:
    """A comfortable number of days never stands under an emergency."""
    return any(row.is_now for row in rows)
