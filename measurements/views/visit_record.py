"""The farrier writes up a visit: what was measured, what was done, and on to the next horse."""

from collections.abc import Sequence
from datetime import date
from functools import partial
from typing import Any
from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from caseboard.lib.spans import one_or
from horses.access import CaseAccess, access_get, require
from horses.accounts.request import SignedInRequest
from horses.models import FootWork, Role, Shoeing, Visit
from horses.queries.board import visits_for
from horses.queries.day_places import next_stop
from horses.queries.plan_lines import PlanLine, plan_for
from horses.queries.shoes import last_shoeing
from horses.services.idempotency import key_used
from horses.views.attempt import attempt
from measurements.forms.visit_fields import EXTRA
from measurements.forms.visit_fill import FILL_BUTTON, ShoeFills, typed_and_filled_in
from measurements.forms.visit_record import VisitSheetForm
from measurements.models import VisitSetup
from measurements.panels import cautions
from measurements.panels.cautions import large_changes
from measurements.panels.offered import foot_words
from measurements.panels.visit_set import FEET, VisitSet, visit_set
from measurements.queries.kept_that_day import kept_that_day
from measurements.queries.numbers import Numbers
from measurements.queries.numbers_kept import numbers_kept
from measurements.queries.picture_points import own_points
from measurements.queries.visit_setup import own_shoes, visit_setup_of
from measurements.services.visit_record import visit_write_up
from measurements.services.visit_setup import own_shoe_keep
from measurements.views.visit_page import ADDED, LATELY, MORE, VisitPage

DAY = "day"  # in the address: opened from the list of this day
REUSED = (
    "It was saved: what was sent from this form before is on the board. To change it, choose "
    "“Correct this visit” under Visits. If this is another visit, save once more."
)


@require_http_methods(["GET", "POST"])
def visit_new(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "work.record")
    now = clock.now()
    page = _page(request, access, now.date())
    form = page.form
    if request.method == "GET" or FILL_BUTTON in request.POST:
        return page.answer(200)
    if not form.is_valid():
        return page.answer(422)
    data = form.cleaned_data
    answer = attempt(
        form,
        lambda: visit_write_up(
            access=access,
            kept_on=data["kept_on"],
            work=form.work,
            readings=form.readings,
            words=data["words"],
            next_on=data["next_on"],
            move_booked=form.next.moves,
            outcomes=form.outcomes,
            planned_id=form.next.planned_id,
            client_key=form.key,
            now=now,
        ),
        sent_before=REUSED,
    )
    if answer.made is None:
        return page.answer(answer.status)
    shoes_keep(request, form)
    return _go_on(request, page)


def _go_on(request: SignedInRequest, page: VisitPage) -> HttpResponse:
    """To the board; from the list of a day to its next stop, and behind the last one to the day."""
    words, on = _saved_words(page.form), page.shown.get("day")
    if on is None:
        saved(request, words, keep=page.keep)
        return redirect("board", case_id=page.access.case.public_id)
    # Another horse's page follows: the words say of whom they are.
    saved(request, f"{page.access.horse.name}: {words}", keep=page.keep)
    then = page.shown["then"]
    if then is None:
        return redirect(f"{reverse('round')}?{urlencode({'from': on.isoformat(), 'days': 1})}")
    return redirect(f"{reverse('visit_new', args=[then.case.public_id])}?{of_day(on)}")


def of_day(on: date) -> str:
    """What the address of a form says that was opened from the list of a day."""
    return urlencode({DAY: on.isoformat()})


def _page(request: SignedInRequest, access: CaseAccess, today: date) -> VisitPage:
    person = request.user
    numbers = numbers_kept(access.horse, today=today)
    setup = visit_setup_of(person)
    offered = visit_set(numbers, setup, access.role, today)
    plan, last = plan_for(access), last_shoeing(access.horse)
    fills = shoe_fills(request, numbers, last, setup)
    form = _form(request, access, numbers, offered, plan, today, fills)
    page = VisitPage(request, access, numbers, offered, form, fills, setup, plan=plan)
    if on := _day(request.GET.get(DAY, "")):
        then = next_stop(person, after=access.case.public_id, on=on, today=today)
        page.shown |= {"day": on, "then": then}
    return page


def _day(asked: str) -> date | None:
    try:
        return date.fromisoformat(asked)
    except ValueError:
        return None


def shoe_fills(
    request: SignedInRequest,
    numbers: Numbers,
    last: dict[str, FootWork],
    setup: VisitSetup | None,
) -> ShoeFills:
    known = {foot: states[-1][1] for foot, states in numbers.shoeing.items() if states}
    return ShoeFills(
        last,
        shod=[foot for foot in FEET if known.get(foot, Shoeing.BAREFOOT) != Shoeing.BAREFOOT],
        own=own_shoes(setup),
        typed=request.POST.dict(),
        pressed=str(request.POST.get(FILL_BUTTON, "")),
    )


def filled_in(offered: VisitSet, fills: ShoeFills) -> dict[str, Any]:
    """The page as it was sent, with what the pressed button fills in or opens."""
    typed = dict(fills.typed)
    if fills.pressed in (MORE, LATELY):
        rows = [row.key for row in offered.lately] if fills.pressed == LATELY else []
        typed[EXTRA] = " ".join([str(typed.get(EXTRA, "")), str(typed.get(ADDED, "")), *rows])
    return typed_and_filled_in(typed, fills.fields(fills.pressed).items())


def _form(
    request: SignedInRequest,
    access: CaseAccess,
    numbers: Numbers,
    offered: VisitSet,
    plan: Sequence[PlanLine],
    today: date,
    fills: ShoeFills,
) -> VisitSheetForm:
    initial: dict[str, Any] = {}
    if asked := request.GET.get("on"):  # the day that somebody reported
        initial["kept_on"] = asked
    if fills.pressed:  # without scripts the page comes back filled in
        initial = filled_in(offered, fills)
    planned = visits_for(access).planned().filter(kind=Visit.Kind.FARRIER)
    return VisitSheetForm(
        request.POST if request.method == "POST" and not fills.pressed else None,
        initial=initial,
        numbers=numbers,
        offered=offered,
        plan=[line for line in plan if line.version.who_does == Role.FARRIER],
        booked=planned.order_by("planned_on").first(),
        today=today,
        length_unit=request.user.length_unit,
        side_words=request.user.side_words,
        kept_by=partial(kept_that_day, access),
        sent_before=partial(key_used, access.person),
        points_by=partial(own_points, access),
    )


def shoes_keep(request: SignedInRequest, form: VisitSheetForm) -> None:
    """The shoes that were given a name, among the person's own."""
    for name, shoe in form.named_shoes().items():
        own_shoe_keep(person=request.user, name=name, shoe=shoe)


def _saved_words(form: VisitSheetForm) -> str:
    count = len(form.readings)
    readings = one_or(count, "one reading", f"{count or 'no'} readings")
    words = [f"The visit is saved with {readings}. The team is told. {form.next.told()}"]
    taken = [r for r in form.readings if r.quantity == "toe_angle"]
    for foot, change in large_changes({(r.foot, r.trim_state): float(r.value) for r in taken}):
        where = foot_words(foot, form.side_words)
        words.append(f"The {where} toe angle changed by {abs(change):.3g}°. {cautions.ANGLE}")
    return " ".join(words)
