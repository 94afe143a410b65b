"""A young horse: when to look, until when which joint grows, how its feet point."""

from datetime import date, timedelta
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from caseboard.lib.words import foot_label
from horses.access import CaseAccess, access_get, require
from horses.accounts.request import SignedInRequest
from horses.domain.foals import (
    SCHEDULES,
    Window,
    correction_words,
    is_young,
    looks_ahead,
    schedule_of,
    weaning_on,
    windows_of,
)
from horses.forms.toe_direction import StanceForm
from horses.models import Foot
from horses.presenters.toe_direction_chart import Seen, StanceChart, stance_chart
from horses.queries.board import last_trimmed_on, team_for
from horses.queries.flags import others_on
from horses.queries.visit_statistics import stances_for
from horses.services.toe_direction import stance_note
from horses.views.attempt import attempt
from horses.views.page import case_page

LOOKS_AHEAD = timedelta(days=200)  # house default: as far as a season can be planned
SHOWN_LOOKS = 5


@require_safe
def young(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "case.see")
    today = timezone.localtime(clock.now()).date()
    horse, born = access.horse, access.horse.born_on
    windows = windows_of(born) if born else ()
    shown = {
        "today": today,
        "is_young": is_young(born, today),
        "windows": [_window_shown(window, today) for window in windows],
        "is_one_closing": any(window.is_closing(today) for window in windows),
        "after_a_year": correction_words(born, today) if born else "",
        "schedule": schedule_of(horse.young_schedule),
        "others": [s for s in SCHEDULES.values() if s is not schedule_of(horse.young_schedule)],
        "by_age": horse.interval_basis in ("default", "age"),
        "weaning": weaning_on(born, horse.weaned_on) if born else None,
        "looks": _looks(access, today),
        "charts": stance_charts(access, today, windows),
    }
    return case_page(request, access, "horses/young.html", shown)


def _window_shown(window: Window, today: date) -> dict[str, Any]:
    state = window.state(today)
    chips = {"closing": ("need", "closes soon"), "open": ("strong", "time to act")}
    look, label = chips.get(state, ("", "past"))
    words = window.words(today)
    return {"window": window, "state": state, "look": look, "label": label, "words": words}


def _looks(access: CaseAccess, today: date) -> list[date]:
    horse = access.horse
    if horse.born_on is None or not is_young(horse.born_on, today):
        return []
    days = looks_ahead(
        horse.young_schedule,
        horse.born_on,
        horse.weaned_on,
        last_look=last_trimmed_on(horse),
        until=today + LOOKS_AHEAD,
    )
    return days[:SHOWN_LOOKS]


def stance_charts(
    access: CaseAccess, today: date, windows: tuple[Window, ...] = ()
) -> list[StanceChart]:
    """One chart a foot that somebody has looked at."""
    notes = list(stances_for(access))
    if not notes:
        return []
    start = notes[0].seen_on
    if is_young(access.horse.born_on, today) and access.horse.born_on:
        start = access.horse.born_on
    ends = [(window.joint.split()[0], window.until) for window in windows]
    charts = []
    for foot in Foot.values:
        seen = [
            Seen(
                n.seen_on,
                n.stance,
                n.get_stance_display(),
                f"{n.seen_by_name} ({n.seen_by_role})" + (f": {n.words}" if n.words else ""),
            )
            for n in notes
            if n.foot == foot
        ]
        if seen:
            label = foot_label(foot, access.person)
            charts.append(stance_chart(foot, label, seen, ends, start))
    return charts


@require_http_methods(["GET", "POST"])
def stance_new(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "stance.note")
    now = clock.now()
    posted = request.POST if request.method == "POST" else None
    today = timezone.localtime(now).date()
    form = StanceForm(posted, today=today, born_on=access.horse.born_on, person=request.user)
    if posted is None:
        return _stance_page(request, access, form)
    if not form.is_valid():
        return _stance_page(request, access, form, status=422)
    answer = attempt(
        form,
        lambda: stance_note(
            access=access,
            seen_on=form.cleaned_data["seen_on"],
            stances=form.stances,
            words=form.cleaned_data["words"],
            client_key=form.key,
            now=now,
        ),
    )
    if answer.made is None:
        return _stance_page(request, access, form, status=answer.status)
    saved(request, "Saved: how the feet point.", keep=_keep(access))
    return redirect("young", case_id)


def _keep(access: CaseAccess) -> str:
    return f"stance-{access.case.public_id}"


def _stance_page(
    request: HttpRequest, access: CaseAccess, form: StanceForm, *, status: int = 200
) -> HttpResponse:
    shown = {
        "form": form,
        "feet": form.feet(),
        "keep": _keep(access),
        "readers": others_on(access, team_for(access)),
    }
    return case_page(request, access, "horses/stance_new.html", shown, status=status)
