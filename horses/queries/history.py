"""The history that one person may read, looked through by person, kind and day."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from django.db.models import Q, QuerySet
from django.urls import reverse
from django.utils import timezone

from horses.access import CaseAccess
from horses.models import HistoryLine
from horses.presenters.history_sentences import (
    HistorySentence,
    history_told,
    line_readers,
    who_words,
)
from horses.queries.board import history_for, without_looks

# Where a line leads, by the beginning of its verb: the page of what it tells of.
LEADS_TO = {"flag.": "flag", "exam.": "exam", "plan.item.": "plan_item", "alert.": "alert"}
LAST_DAY = date.max - timedelta(days=1)  # the day after it is still in the calendar


@dataclass(frozen=True)
class LineShown:
    line: HistoryLine
    who: str
    told: HistorySentence
    readers: str  # empty: the whole team
    url: str
    is_new: bool
    first_old: bool  # the mark "since your last visit" stands above it


def people_in(access: CaseAccess) -> list[tuple[str, str]]:
    """Everybody who has done something that this person may read: id and name, by name."""
    rows = history_for(access).exclude(actor=None).order_by()
    pairs = rows.values_list("actor__public_id", "actor__name", "actor__email").distinct()
    return sorted(((i, name or email) for i, name, email in pairs), key=lambda pair: pair[1])


def history_found(
    access: CaseAccess,
    *,
    who: str = "",
    verbs: Sequence[str] = (),
    since: date | None = None,
    until: date | None = None,
) -> QuerySet[HistoryLine]:
    """The lines, newest first. `who` is a person's id, or "board" for what the board itself did;
    `verbs` are beginnings of verbs, and without any the daily looks stay out; both days count in."""
    lines = history_for(access).order_by("-seq")
    if who:
        lines = lines.filter(actor=None) if who == "board" else lines.filter(actor__public_id=who)
    if verbs:
        beginnings = Q()
        for verb in verbs:
            beginnings |= Q(verb__startswith=verb)
        lines = lines.filter(beginnings)
    else:
        lines = without_looks(lines)
    if since:
        lines = lines.filter(at__gte=_start_of(since))
    if until:
        lines = lines.filter(at__lt=_start_of(min(until, LAST_DAY) + timedelta(days=1)))
    return lines


def _start_of(day: date) -> datetime:
    """Midnight as the installation's clocks show it."""
    return timezone.make_aware(datetime.combine(max(day, date(2, 1, 1)), time.min))


def lines_shown(
    access: CaseAccess, lines: Sequence[HistoryLine], *, seen_seq: int
) -> list[LineShown]:
    """The lines of one page. Those after `seen_seq` are new to this person; 0 marks none."""
    shown: list[LineShown] = []
    for line in lines:
        is_new = line.seq > seen_seq > 0
        first_old = not is_new and bool(shown) and shown[-1].is_new
        shown.append(
            LineShown(
                line,
                who_words(line),
                history_told(line, access.person),
                line_readers(line),
                _url(access, line),
                is_new,
                first_old,
            )
        )
    return shown


def _url(access: CaseAccess, line: HistoryLine) -> Any:
    for beginning, name in LEADS_TO.items():
        if line.verb.startswith(beginning) and line.subject:
            return reverse(name, args=[access.case.public_id, line.subject])
    return ""
