"""What stands already of a day, for whoever writes up a visit of the same day."""

from datetime import date

from horses.access import CaseAccess
from horses.domain.wording import foot_words, listed
from horses.models import FootWork, Visit
from horses.queries.board import visits_for
from measurements.models import Reading


def kept_that_day(access: CaseAccess, day: date, *, but: Visit | None = None) -> str:
    """Who wrote up a visit of this day, and what it says, in one line each; `but`: another one than
    this. Nothing where there is none."""
    kept = visits_for(access).kept().filter(kind=Visit.Kind.FARRIER, kept_on=day)
    if but is not None:
        kept = kept.exclude(pk=but.pk)
    return "; ".join(_said(visit, access) for visit in kept.order_by("pk"))


def _said(visit: Visit, access: CaseAccess) -> str:
    did: dict[str, list[str]] = {}
    for work in visit.work.order_by("pk"):
        did.setdefault(_did(work), []).append(foot_words(work.foot, access.person))
    done = [
        f"{listed(feet) if len(did) > 1 else 'all four'} {what}"
        for what, feet in did.items()
        if what
    ]
    count = Reading.objects.filter(visit=visit).count()
    said = [
        *done,
        f"{count} measured" if count else "",
        f"“{visit.words}”" * bool(visit.words),
    ]
    return (
        f"{visit.person_name} ({', '.join(filter(None, said))})" if any(said) else visit.person_name
    )


def _did(work: FootWork) -> str:
    shoe = work.get_shoe_display().lower() if work.shoe != FootWork.Shoe.NONE else ""
    return " and ".join(filter(None, ["trimmed" if work.trimmed else "", shoe]))
