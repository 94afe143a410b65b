"""How the visits of one case went: planned, kept, late, said not to have been. Counts, no grades.

Only of this case and only for its team: nobody is compared across the horses of other people.
"""

from dataclasses import dataclass, field
from datetime import date

from django.db.models import QuerySet

from caseboard.lib.spans import days_words
from horses.access import CaseAccess
from horses.models import StanceNote, Visit

# Days after the planned one that still count as kept: a day is moved on the phone. House default.
LATE_AFTER_DAYS = 2


@dataclass
class VisitsKept:
    """One farrier's visits on this case."""

    name: str
    kept: int = 0
    late: int = 0
    cancelled: int = 0
    denied: int = 0  # somebody said that it did not take place; silence counts against nobody
    gaps: list[int] = field(default_factory=list)

    @property
    def average_days(self) -> int | None:
        """Days since the visit before, on average over those this person kept."""
        return round(sum(self.gaps) / len(self.gaps)) if self.gaps else None


@dataclass(frozen=True)
class Rhythm:
    farriers: list[VisitsKept]
    average_days: int | None
    ahead: list[Visit]
    behind: list[Visit]


def is_late(visit: Visit) -> bool:
    on, kept = visit.planned_on, visit.kept_on
    return on is not None and kept is not None and (kept - on).days > LATE_AFTER_DAYS


def outcome_words(visit: Visit) -> str:
    """ "kept", "kept 6 days late", "cancelled", "reported by Dorrit, not yet confirmed by Gus"."""
    if visit.is_planned:
        return "confirmed" if visit.confirmed_at else "planned"
    if visit.is_kept and is_late(visit):
        assert visit.kept_on is not None
        assert visit.planned_on is not None
        return f"kept {days_words((visit.kept_on - visit.planned_on).days)} late"
    if visit.is_reported:
        return visit.word_of
    if visit.is_denied:
        return f"did not take place, as {visit.reported_name} says"
    return visit.get_status_display()


def case_visits_for(access: CaseAccess) -> QuerySet[Visit]:
    """The visits planned or kept on this case, the newest first."""
    return Visit.objects.filter(case=access.case).select_related(
        "person", "planned_for", "corrected_by"
    )


def rhythm_for(access: CaseAccess) -> Rhythm:
    visits = list(case_visits_for(access))
    visits.sort(key=lambda v: v.kept_on or v.planned_on or date.min)
    people: dict[str, VisitsKept] = {}
    gaps: list[int] = []
    before: date | None = None
    for visit in visits:
        if visit.kind != Visit.Kind.FARRIER:
            continue
        counts = people.setdefault(_who(visit), VisitsKept(_who(visit)))
        _count(counts, visit)
        if visit.means.took_place and visit.kept_on is not None:
            if before is not None and visit.kept_on > before:
                gaps.append((visit.kept_on - before).days)
                counts.gaps.append(gaps[-1])
            before = visit.kept_on
    return Rhythm(
        farriers=[k for k in people.values() if k.kept or k.late or k.cancelled or k.denied],
        average_days=round(sum(gaps) / len(gaps)) if gaps else None,
        ahead=[v for v in visits if v.means.ahead],
        behind=[v for v in reversed(visits) if not v.means.ahead and not v.is_replaced_report],
    )


def _who(visit: Visit) -> str:
    if visit.is_kept:
        return visit.person_name or str(visit.person or "the farrier")
    return str(visit.planned_for or "nobody named")


def _count(counts: VisitsKept, visit: Visit) -> None:
    counts.late += visit.means.took_place and is_late(visit)
    counts.kept += visit.means.took_place and not is_late(visit)
    counts.cancelled += visit.is_cancelled
    counts.denied += visit.is_denied


def stances_for(access: CaseAccess) -> QuerySet[StanceNote]:
    """How the feet pointed, on all cases of the horse, the oldest first."""
    return StanceNote.objects.filter(horse=access.horse).select_related("seen_by")
