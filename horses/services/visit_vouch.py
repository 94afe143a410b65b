"""A reported visit, confirmed with one tap by whoever did the work.

Decided 2026-11: the farrier's one tap says of each foot "trimmed, shoes as before" in a version of
their own. Where that cannot be said, because a shoe was lost before, or nobody knows how the feet
are, the visit is written up instead; that is the correction as well (`visit_record`).
"""

from datetime import datetime

from django.core.exceptions import PermissionDenied
from django.http import Http404

from horses.access import CaseAccess
from horses.domain.shoe_state import FEET, Shoes, shoes_from
from horses.domain.wording import day_words
from horses.models import FootWork, Visit
from horses.models.foot import Shoeing
from horses.models.visit import ROLE_OF_KIND
from horses.models.visit_life import VisitChange
from horses.queries.shoes import shoe_events_of
from horses.services.deed import Deed, DeedRefused, deed
from horses.services.visit_planning import horse_lock
from horses.services.visits import report_replaced, trim_ensure

NOT_YOUR_WORK = "Only a {} confirms the {}’s work."
OVER = "It is no open report any more: confirmed, corrected or taken back meanwhile."
WRITE_UP = "Write this visit up instead: {}"


def report_confirm(*, access: CaseAccess, public_id: str, left: str = "", now: datetime) -> Visit:
    """Confirms it, as a row that stands in the report's place. `left`: how the feet are, where the
    board does not know it."""
    with deed(access, "visit.vouch", now=now) as act:
        horse_lock(access.horse)
        visits = Visit.objects.select_for_update(no_key=True, of=("self",))
        report = visits.filter(horse=access.horse, public_id=public_id).first()
        if report is None:
            raise Http404("no such report")
        by = ROLE_OF_KIND[report.kind]
        if access.role != by:
            raise PermissionDenied(NOT_YOUR_WORK.format(by, by))
        if not report.is_reported:
            if (later := _mine_already(access, report)) is not None:
                return later
            raise DeedRefused(OVER)
        feet = _feet_left(report, left) if not report.is_vet_visit else {}
        visit = report_replaced(act, report, VisitChange.VOUCH)
        visit.words = report.words
        visit.save()
        _work_write(act, visit, feet)
        after = {"on": str(visit.kept_on), "by": report.reported_name, "words": report.words}
        act.line("visit.vouched", visit, after=after)
        subject = f"{access.person} confirmed the visit of {day_words(visit.kept_on)}"
        act.tell("visit.vouched", visit, f"{access.horse.name}: {subject}")
        act.evaluate()
        return visit


def _mine_already(access: CaseAccess, report: Visit) -> Visit | None:
    """The same button twice."""
    return Visit.objects.kept().filter(corrects=report, person=access.person).first()


def shoes_on(report: Visit) -> Shoes:
    """How the horse was shod when the visit is said to have been."""
    return shoes_from(e for e in shoe_events_of(report.horse) if e.on <= (report.kept_on or e.on))


def one_tap_words(report: Visit) -> str:
    """Why one tap is not enough; nothing where it is."""
    if report.is_vet_visit or not shoes_on(report).lost:
        return ""
    return WRITE_UP.format("a shoe was lost before it.")


def _feet_left(report: Visit, left: str) -> dict[str, str]:
    if words := one_tap_words(report):
        raise DeedRefused(words)
    known = shoes_on(report).worn
    unsaid = [foot for foot in FEET if foot not in known]
    if unsaid and left not in (Shoeing.BAREFOOT, Shoeing.SHOD):
        raise DeedRefused(WRITE_UP.format("how the feet are is not known yet."))
    return {foot: known.get(foot, left) for foot in FEET}


def _work_write(act: Deed, visit: Visit, feet: dict[str, str]) -> None:
    assert visit.kept_on is not None
    for foot, shoeing in feet.items():
        work = FootWork(visit=visit, foot=foot, trimmed=True, shoeing_left=shoeing)
        work.words = "" if shoeing == Shoeing.BAREFOOT else "shoes as before"
        work.save()
        act.row(work)
        act.rows(trim_ensure(visit.horse, foot, visit.kept_on, visit=visit, now=act.now))
