"""A lost shoe: written down in one go, and what became of it."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from caseboard.lib.written import written_or
from horses.access import CaseAccess, access_get, require
from horses.accounts.request import SignedInRequest
from horses.domain.lost_shoe_advice import TILL_THEN
from horses.domain.wording import foot_words, sentence_case
from horses.forms.shoes import LostShoeForm, ShoeBackForm, ShowForm
from horses.models import Flag, Foot
from horses.queries.board import team_for
from horses.queries.flags import flag_get, others_on
from horses.queries.lost_shoe import calls_for, lost_shoe_shown
from horses.queries.shoes import open_losses, shoes_now
from horses.queries.show_readiness import show_check
from horses.services.flags import flag_raise
from horses.services.shoes import shoe_back
from horses.views.attempt import attempt
from horses.views.page import board_url, case_page


def _feet(access: CaseAccess, feet: list[str]) -> list[tuple[str, str]]:
    return [(foot, sentence_case(foot_words(foot, access.person))) for foot in feet]


@require_http_methods(["GET", "POST"])
def lost_shoe(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "flag.raise")
    now = clock.now()
    form = LostShoeForm(
        request.POST if request.method == "POST" else None,
        feet=_feet(access, [foot.value for foot in Foot]),
        today=timezone.localtime(written_or(now)).date(),
    )
    if request.method != "POST":
        return _lost_page(request, access, form)
    if not form.is_valid():
        return _lost_page(request, access, form, status=422)
    answer = attempt(
        form,
        lambda: flag_raise(
            access=access,
            signs=form.signs,
            feet=form.cleaned_data["feet"],
            since_on=form.lost_on,
            words=form.all_words,
            client_key=form.key,
            now=now,
        ),
    )
    if answer.made is None:
        return _lost_page(request, access, form, status=answer.status)
    saved(
        request,
        "Written down. See below who to call, and what to do till then.",
        keep=_lost_keep(access),
    )
    return redirect("flag", case_id, answer.made.public_id)


def _lost_keep(access: CaseAccess) -> str:
    return f"lost-shoe-{access.case.public_id}"


def _lost_page(
    request: HttpRequest, access: CaseAccess, form: LostShoeForm, *, status: int = 200
) -> HttpResponse:
    team = team_for(access)
    shown = {
        "form": form,
        "keep": _lost_keep(access),
        "shoes": shoes_now(access.horse),
        "calls": calls_for(access, team),
        "till_then": TILL_THEN,
        "readers": others_on(access, team) or ["nobody else yet: you are alone on the team"],
    }
    return case_page(request, access, "horses/lost_shoe.html", shown, status=status)


@require_http_methods(["GET", "POST"])
def shoe_back_new(request: SignedInRequest, case_id: str, flag_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "shoe.back")
    flag = flag_get(access, flag_id)
    if "lost_shoe" not in flag.signs or not flag.feet:
        raise Http404("no lost shoe")
    now = clock.now()
    feet = open_losses(access.horse, flag) or flag.feet
    form = ShoeBackForm(
        request.POST if request.method == "POST" else None,
        feet=_feet(access, feet),
        today=timezone.localtime(now).date(),
    )
    if request.method != "POST":
        return _back_page(request, access, form, flag)
    if not form.is_valid():
        return _back_page(request, access, form, flag, status=422)
    data = form.cleaned_data
    answer = attempt(
        form,
        lambda: shoe_back(
            access=access,
            flag_id=flag_id,
            kind=data["kind"],
            feet=data["feet"],
            on=data["on"],
            words=data["words"],
            client_key=form.key,
            now=now,
        ),
    )
    if answer.made is None:
        return _back_page(request, access, form, flag, status=answer.status)
    saved(request, "Written down. The others are told.", keep=f"shoe-back-{flag_id}")
    return redirect(board_url(access))


def _back_page(
    request: HttpRequest, access: CaseAccess, form: ShoeBackForm, flag: Flag, *, status: int = 200
) -> HttpResponse:
    shown = {
        "form": form,
        "flag": flag,
        "lost": lost_shoe_shown(access, flag, team_for(access)),
        "readers": others_on(access, team_for(access)),
        "keep": f"shoe-back-{flag.public_id}",
    }
    return case_page(request, access, "horses/shoe_back.html", shown, status=status)


@require_safe
def show_ready(request: SignedInRequest, case_id: str) -> HttpResponse:
    """The check before a show; the day is in the address, so that it can be kept."""
    access = access_get(request.user, case_id)
    require(access, "case.see")
    today = timezone.localtime(clock.now()).date()
    form = ShowForm(request.GET if "on" in request.GET else None, today=today)
    asked = form.is_bound and form.is_valid()
    on = form.cleaned_data["on"] if asked else None
    shown = {
        "form": form,
        "on": on,
        "checks": show_check(access, on=on, today=today) if on else [],
    }
    status = 422 if form.errors else 200
    return case_page(request, access, "horses/show_check.html", shown, status=status)
