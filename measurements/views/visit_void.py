"""Taking back a visit that was written up by mistake, or carrying it over to the right horse."""

from datetime import date
from functools import partial
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.errors import Conflict
from caseboard.lib.flash_saved import saved
from caseboard.lib.spans import counted, one_or
from horses.access import CaseAccess, access_get, require
from horses.accounts.request import SignedInRequest
from horses.domain.wording import day_words, foot_words, sentence_case
from horses.models import FootWork, Person, Shoeing, Visit
from horses.queries.board import visits_for
from horses.queries.other_boards import other_boards
from horses.queries.pictures import pictures_of_visits
from horses.services.idempotency import key_used
from horses.services.visit_correct import may_correct
from horses.services.visit_void import NOT_YOURS, may_void
from horses.views.attempt import attempt
from horses.views.page import case_page
from measurements.forms.jump_asked import jump_question
from measurements.forms.visit_void import VisitVoidForm
from measurements.hoof.feet import Foot
from measurements.hoof.quantities import QUANTITIES
from measurements.models import Reading
from measurements.queries.kept_that_day import kept_that_day
from measurements.queries.numbers import Numbers
from measurements.queries.numbers_kept import numbers_kept
from measurements.queries.visit_readings import all_on_visit
from measurements.services.readings import Taken
from measurements.services.visit_other_horse import readings_for_other, visit_to_other_horse
from measurements.services.visit_void import visit_take_back

SHOE_WAS_ON = (FootWork.Shoe.RESET, FootWork.Shoe.PULLED)
REUSED = "This form was sent before with other content. Look at the visit, then send it once more."


@require_http_methods(["GET", "POST"])
def visit_void(request: SignedInRequest, case_id: str, visit_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "visit.void")
    visit = visits_for(access).written_up().filter(public_id=visit_id).first()
    if visit is None:
        raise Http404("no such visit")
    if not may_void(access, visit):
        raise PermissionDenied(NOT_YOURS.format(visit.person_name))
    form = _form(request, access, visit)
    if not form.is_valid():
        return _page(request, access, visit, form, 422 if form.errors else 200)
    answer = attempt(form, lambda: _take_back(request, access, visit, form), sent_before=REUSED)
    if answer.made is None:
        visit.refresh_from_db()
        return _page(request, access, visit, form, answer.status, conflict=answer.conflict)
    board = answer.made
    saved(request, _told(visit, None if board is access else board), keep=_keep(visit))
    return redirect("visits", board.case.public_id)


def _keep(visit: Visit) -> str:
    return f"visit-void-{visit.public_id}"


def _page(
    request: SignedInRequest,
    access: CaseAccess,
    visit: Visit,
    form: VisitVoidForm,
    status: int,
    *,
    conflict: Conflict | None = None,
) -> HttpResponse:
    readings = all_on_visit(visit)
    marks = visit.outcomes.filter(version__item__case=access.case)
    shown: dict[str, Any] = {
        "visit": visit,
        "form": form,
        "keep": _keep(visit),
        "readings_words": _readings_words(len(readings)),
        "pictures_words": _pictures_words(access, visit, readings),
        "outcomes": marks.select_related("version__item"),
    }
    if conflict is not None:
        shown |= {"conflict": conflict, "pairs": conflict.pairs({"reason": "Why"})}
    return case_page(request, access, "measurements/visit_void.html", shown, status=status)


def _readings_words(count: int) -> str:
    """What becomes of what was measured at the visit; nothing to say of none."""
    if not count:
        return ""
    them = one_or(count, "it", "them")
    struck = f"{counted(count, 'measurement')}: struck through"
    return f"{struck}, and nothing is reckoned from {them} any more."


def _pictures_words(access: CaseAccess, visit: Visit, readings: list[Reading]) -> str:
    """Those that hang on it go with it, and to no other horse; those that were added from its form
    hang on nothing and stay."""
    hung = len(pictures_of_visits(access).get(visit.pk, []))
    stay = {r.points.picture_id for r in readings if r.points and not r.points.picture.visit_id}
    words = []
    if hung:
        words.append(
            f"{counted(hung, 'picture')} of the visit: not shown with the others any more. To another "
            "horse none goes along."
        )
    if stay:
        words.append(
            f"{counted(len(stay), 'picture')} that values came from: under Pictures as before. Blank "
            f"{one_or(len(stay), 'it', 'them')} out where another horse is shown."
        )
    return " ".join(words)


def _form(request: SignedInRequest, access: CaseAccess, visit: Visit) -> VisitVoidForm:
    boards = other_boards(access) if may_correct(access, visit) else []
    return VisitVoidForm(
        request.POST if request.method == "POST" else None,
        boards=boards,
        questions=lambda board: _questions(request.user, board, visit),
        sent_before=partial(key_used, access.person),
    )


def _questions(person: Person, board: str, visit: Visit) -> list[str]:
    """What does not fit the other horse: it may be the wrong one again."""
    to, today = access_get(person, board), clock.now().date()
    assert visit.kept_on is not None
    numbers = numbers_kept(to.horse, today=today)
    asked = [
        f"{sentence_case(foot_words(work.foot, person))}: barefoot before that day, and the visit says "
        f"{work.get_shoe_display()}."
        for work in visit.work.all()
        if work.shoe in SHOE_WAS_ON and _came_bare(numbers, work.foot, visit.kept_on)
    ]
    typed = list[Taken]()
    for taken in readings_for_other(visit, numbers):
        unit = person.length_unit
        if jump := jump_question(
            numbers, taken, visit.kept_on, typed, length_unit=unit, today=today
        ):
            what = f"{foot_words(taken.foot, person)} {QUANTITIES[taken.quantity].label_on(Foot(taken.foot))}"
            asked.append(f"{sentence_case(what)}: {jump}")
        typed.append(taken)
    if by := kept_that_day(to, visit.kept_on):
        asked.append(f"{to.horse.name} has a visit of this day already, by {by}.")
    return asked


def _came_bare(numbers: Numbers, foot: str, day: date) -> bool:
    known = bool(numbers.shoeing.get(foot))
    return known and numbers.shoeing_on(foot, day) == Shoeing.BAREFOOT


def _take_back(
    request: SignedInRequest, access: CaseAccess, visit: Visit, form: VisitVoidForm
) -> CaseAccess:
    """Takes it back, and gives the board where it stands now: the one that it was carried over to,
    or this one, struck through."""
    why, now = form.cleaned_data["reason"], clock.now()
    if not form.to:
        visit_take_back(access=access, public_id=visit.public_id, reason=why, now=now)
        return access
    to = access_get(request.user, form.to)
    visit_to_other_horse(
        access=access,
        to=to,
        public_id=visit.public_id,
        reason=why,
        client_key=form.key,
        now=now,
    )
    return to


def _told(visit: Visit, board: CaseAccess | None) -> str:
    assert visit.kept_on is not None
    day, horse = day_words(visit.kept_on), visit.horse.name
    if board is None:
        return f"The visit of {day} is taken back. The others are told."
    return (
        f"The visit of {day} is taken back from {horse} and stands here on {board.horse.name}. Look "
        "it over; “Correct this visit” puts right what differs."
    )
