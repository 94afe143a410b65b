"""Flags: "something's not right", the answers of the others, and the photos."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from caseboard.lib.spans import one_or
from caseboard.lib.written import written_or
from horses.access import THREE, CaseAccess, access_get, require
from horses.accounts.request import SignedInRequest
from horses.domain.agreement import side_of
from horses.domain.signs import ADVICE, NEVER, advice, is_lost_shoe
from horses.domain.wording import listed, readers_short
from horses.forms.audience import audiences_for, for_whole_team
from horses.forms.flag import AnswerForm, FlagForm, PhonedForm, PhotosForm, together_now
from horses.forms.keyed import KeyedForm
from horses.forms.photos import CHOOSE_AGAIN
from horses.models import Flag, FlagAnswer, Role
from horses.queries.board import team_for
from horses.queries.flags import flag_get, flag_shown, others_on, vet_numbers
from horses.queries.lost_shoe import lost_shoe_shown
from horses.services.flags import closes_flag, flag_answer
from horses.services.photos import flag_raise_with_photos
from horses.views.attempt import attempt
from horses.views.page import board_url, case_page
from horses.views.pictures import pictures_wait, too_many_answer

# -- raising one


@require_http_methods(["GET", "POST"])
def flag_new(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "flag.raise")
    now = clock.now()
    today = timezone.localtime(written_or(now)).date()
    if request.method != "POST":
        return _flag_form(request, access, FlagForm(today=today))
    if too_many := pictures_wait(request):
        # The flag itself must not wait: it can go without its photos at once.
        form = FlagForm(request.POST, today=today)
        return too_many_answer(
            form,
            too_many,
            lambda status: _flag_form(request, access, form, status=status),
            field="photos",
        )
    form = FlagForm(request.POST, request.FILES, today=today)
    if not form.is_valid():
        if request.FILES and "photos" not in form.errors:
            form.add_error("photos", CHOOSE_AGAIN)
        return _flag_form(request, access, form, status=422)
    answer = attempt(
        form,
        lambda: flag_raise_with_photos(
            access=access,
            signs=form.all_signs,
            feet=form.named_feet,
            since_on=form.since_on,
            words=form.cleaned_data["words"],
            photos=form.pictures,
            client_key=form.key,
            now=now,
        ),
    )
    if answer.made is None:
        return _flag_form(request, access, form, status=answer.status)
    told = others_on(access, team_for(access))
    saved(request, f"Written down. {_told_words(told)}", keep=_flag_keep(access))
    # A phone sends the photos after the words, so that those do not wait for them.
    request.draft_files_to = reverse("flag_photos", args=[case_id, answer.made.public_id])  # type: ignore[attr-defined]
    if answer.made.urgency == Flag.Urgency.NOW:
        return redirect("flag", case_id, answer.made.public_id)
    return redirect(board_url(access))


def _told_words(told: list[str]) -> str:
    if not told:
        return "Nobody else is on the team yet: phone."
    return f"{listed(told)} {one_or(len(told), 'is', 'are')} told."


def _flag_keep(access: CaseAccess) -> str:
    return f"flag-{access.case.public_id}"


def _flag_form(
    request: HttpRequest, access: CaseAccess, form: FlagForm, *, status: int = 200
) -> HttpResponse:
    team = team_for(access)
    shown = {
        "form": form,
        "keep": _flag_keep(access),
        "numbers": vet_numbers(access, team),
        "readers": others_on(access, team) or ["nobody else yet: you are alone on the team"],
        "has_vet": any(member.role == Role.VET for member in team),
        "together": together_now(),
        "urgent_now": form.is_urgent_so_far,
        "advice": [(key, lines, key in form.ticked) for key, lines in ADVICE.items()],
        "never": NEVER,
    }
    return case_page(request, access, "horses/flag_new.html", shown, status=status)


# -- one flag and its answers


@require_http_methods(["GET", "POST"])
def flag(request: SignedInRequest, case_id: str, flag_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "case.see")
    found = flag_get(access, flag_id)
    forms = _answer_forms(access, found)
    if request.method != "POST":
        return _flag_page(request, access, found, forms)
    phoned = request.POST.get("kind") == FlagAnswer.Kind.VET_PHONED
    require(access, "flag.vet_phoned" if phoned else "flag.answer")
    forms = _answer_forms(access, found, request.POST, phoned=phoned)
    return _answer_take(request, access, found, forms, forms["phoned" if phoned else "answer"])


def closes_words(flag: Flag) -> str:
    """Who can close this flag, in words."""
    if flag.urgency == Flag.Urgency.NOW:
        return (
            "Only a vet's answer closes it, or the owner writing down what the vet said on the "
            "phone."
        )
    if is_lost_shoe(flag.signs, flag.feet):
        return "It stays open until the shoe is back on, or the foot is left bare on purpose."
    answered = FlagAnswer.Kind.ANSWERED
    roles = [r.label for r in Role if r in THREE and closes_flag(flag, role=r, kind=answered)]
    raised = Role(side_of(flag.raised_role)).label
    return f"An answer from the {listed(roles, 'or')} that the {raised} reads closes it."


def _answer_forms(
    access: CaseAccess, flag: Flag, data: Any = None, *, phoned: bool = False
) -> dict[str, KeyedForm]:
    """Both forms; only the one that was sent is bound to what was typed."""
    offered = audiences_for(access, team_for(access))
    return {
        "phoned": PhonedForm(data if phoned else None, auto_id="phoned_%s"),
        "answer": AnswerForm(None if phoned else data, offered=offered, auto_id="answer_%s"),
    }


def _answer_take(
    request: HttpRequest,
    access: CaseAccess,
    flag: Flag,
    forms: dict[str, KeyedForm],
    form: KeyedForm,
) -> HttpResponse:
    if not form.is_valid():
        return _flag_page(request, access, flag, forms, status=422)
    chosen: frozenset[str] | None = form.cleaned_data.get("audience")
    audience = None if chosen is None or for_whole_team(chosen) else chosen
    answer = attempt(
        form,
        lambda: flag_answer(
            access=access,
            flag_id=flag.public_id,
            words=form.cleaned_data["words"],
            kind=form.cleaned_data["kind"],
            audience=audience,
            client_key=form.key,
            now=clock.now(),
        ),
    )
    if answer.made is None:
        return _flag_page(request, access, flag, forms, status=answer.status)
    readers = readers_short(audience) if audience else "the whole team"
    name = "phoned" if isinstance(form, PhonedForm) else "answer"
    saved(request, f"Saved. Read by {readers}.", keep=_answer_keep(name, flag))
    return redirect("flag", access.case.public_id, flag.public_id)


def _answer_keep(name: str, flag: Flag) -> str:
    return f"{name}-{flag.public_id}"


def _flag_page(
    request: HttpRequest,
    access: CaseAccess,
    flag: Flag,
    forms: dict[str, KeyedForm],
    *,
    status: int = 200,
) -> HttpResponse:
    shown = flag_shown(access, flag)
    is_open = shown.is_open and access.case.is_open
    now_and_open = is_open and flag.urgency == Flag.Urgency.NOW
    team = team_for(access)
    context = {
        "shown": shown,
        "flag": flag,
        "forms": forms,
        "keeps": {name: _answer_keep(name, flag) for name in forms},
        "closes_words": closes_words(flag),
        "call_now": now_and_open and access.role != Role.VET,
        "numbers": vet_numbers(access, team) if now_and_open else [],
        "advice": advice(flag.signs),
        "team_readers": others_on(access, team),
        "phone_closes": shown.is_open and not is_lost_shoe(flag.signs, flag.feet),
        "lost": lost_shoe_shown(access, flag, team),
        "photos_form": PhotosForm(auto_id="more_%s", role=access.role),
    }
    return case_page(request, access, "horses/flag.html", context, status=status)
