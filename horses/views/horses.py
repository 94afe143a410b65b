"""Your horses: the list, a new one, what is written about one, its care and its weight."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime
from typing import Any

from django.contrib import messages
from django.core.paginator import Page, Paginator
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.utils.timezone import localdate
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from caseboard.lib import clock
from caseboard.lib.errors import Conflict
from caseboard.lib.flash_saved import saved
from caseboard.lib.numbers import number_words
from horses.access import CaseAccess, access_get, require
from horses.accounts.request import SignedInRequest
from horses.forms.horse import LABELS, HorseEditForm, HorseForm, HorseNewForm, horse_value_words
from horses.forms.horse_care import HorseStateForm, WeightForm
from horses.models import Horse, HorseWeight, Person, Role
from horses.queries.board import weights_for
from horses.queries.herd import CALM, NEEDS_SOMEONE, HerdLine, herd_add_shoes, herd_for, word_places
from horses.queries.herd_filter import NEEDS, SHOES, HerdFilter, places_of
from horses.queries.looks import looked_at_today
from horses.queries.yards import waiting_for_a_yes, yards_of
from horses.services.endings import may_undo_end
from horses.services.herd_view import herd_view_choose
from horses.services.horses import HeldFor, horse_create, horse_set_state, weight_record
from horses.services.horses import horse_edit as horse_edit_save
from horses.views.attempt import Answer, attempt

HERD_PAGE = 60  # horses; house default: a farrier's week on one page
MOST_PLACES = 3  # as many buttons "was here"; house default
NEW_KEEP = "horse-new"
REUSED = (
    "This form was saved before with other words in it. Nothing was saved now. If you mean another "
    "one, save once more; else look at what is there first."
)

NO_HORSE_YET = (
    "If a horse is yours or stands in your yard, add it here: it gets a board, and you ask the "
    "others to join. If you are its farrier or vet, its owner's name is enough: you hold it until "
    "the owner joins. Were you sent an invitation by mail? Open the link in it."
)


@require_safe
def horse_list(request: SignedInRequest) -> HttpResponse:
    now = clock.now()
    today = localdate(now)
    herd = herd_for(request.user, today=today)
    to_look_at = [h.horse.pk for h in herd if h.open_boards and not h.horse.has_ended]
    chosen = HerdFilter.read(request.GET, own_view=request.user.herd_view)
    if chosen.shoes:
        herd_add_shoes(herd)
    kept = [line for line in herd if chosen.keeps(line)]
    page = Paginator(kept, HERD_PAGE).get_page(request.GET.get("page"))
    if not chosen.shoes:
        herd_add_shoes(page)
    shown = {
        "today": today,
        "has_several": len(herd) > 1,
        "count": len(herd),
        "to_look_at": len(to_look_at),
        "looked": looked_at_today(to_look_at, now=now),
        "kept": len(kept),
        "chosen": chosen,
        "need_choices": NEEDS.items(),
        "shoe_choices": SHOES.items(),
        "yards": (yards := places_of(herd)),
        "has_yards": len(yards) > 1,
        "rounds": any(
            board.role in ("farrier", "vet") for line in herd for board in line.open_boards
        ),
        "in_all": {part: len(lines) for part, lines in _parts(kept).items()},
        **_parts(list(page.object_list)),
        "pages": _pages(page, chosen),
        "word_places": (spoken_of := word_places(herd)[:MOST_PLACES]),
        "several_places": len(spoken_of) > 1,
        "no_horse_yet": NO_HORSE_YET,
        "my_yards": (mine := yards_of(request.user)),
        "my_waiting": waiting_for_a_yes(request.user),
        "may_make_yard": not mine and (not herd or _owns_one(herd)),
    }
    return render(request, "horses/horses.html", shown)


@require_POST
def herd_view(request: SignedInRequest) -> HttpResponse:
    """How this person wants the list to open from now on; back to the same horses."""
    view = request.POST.get("view", "")
    if view in Person.HerdView.values:
        herd_view_choose(person=request.user, view=view)
    chosen = HerdFilter.read(QueryDict(request.POST.get("here", "").lstrip("?")), own_view=view)
    return redirect(reverse("horses") + replace(chosen, view="").here)


def _owns_one(herd: Sequence[HerdLine]) -> bool:
    return any(board.role == Role.OWNER for line in herd for board in line.open_boards)


def _parts(lines: Sequence[HerdLine]) -> dict[str, list[HerdLine]]:
    """The lines under the headings of the page, in their order."""
    return {
        "needs": [line for line in lines if line.rank in NEEDS_SOMEONE],
        "calm": [line for line in lines if line.rank == CALM],
        "resting": [line for line in lines if line.rank > CALM],
    }


def _pages(page: Page[HerdLine], chosen: HerdFilter) -> dict[str, str] | None:
    """Which horses these are, and the ways to the ones before and after them; None when all of
    them are here."""
    if not page.has_other_pages():
        return None
    before = chosen.page_address(page.number - 1) if page.has_previous() else ""
    after = chosen.page_address(page.number + 1) if page.has_next() else ""
    words = f"{page.start_index():,}-{page.end_index():,} of {page.paginator.count:,}"
    return {"words": words, "before": before, "after": after}


@require_http_methods(["GET", "POST"])
def horse_new(request: SignedInRequest) -> HttpResponse:
    now = clock.now()
    posted = request.POST if request.method == "POST" else None
    whose = request.GET.get("as", "owner")
    form = HorseNewForm(posted, today=localdate(now), initial={"whose": whose})
    if posted is None:
        return _new_page(request, form)
    if not form.is_valid():
        return _new_page(request, form, status=422)
    answer = attempt(
        form,
        lambda: horse_create(
            person=request.user,
            fields=form.horse_fields(),
            held_for=HeldFor(*form.held_for) if form.held_for else None,
            last_trim_on=form.cleaned_data["last_trim_on"],
            client_key=form.key,
            now=now,
        ),
        sent_before=REUSED,
    )
    horse = answer.made
    if horse is None:
        return _new_page(request, form, status=answer.status)
    then = "You hold it for its owner" if form.held_for else "Next: ask your farrier and your vet"
    saved(request, f"{horse} has a board now. {then}.", keep=NEW_KEEP)
    _say_doubts(request, form, horse)
    return redirect("board", case_id=horse.cases.get(kind="routine").public_id)


def _new_page(request: SignedInRequest, form: HorseForm, *, status: int = 200) -> HttpResponse:
    shown = {"form": form, "keep": NEW_KEEP, "is_new": True}
    return render(request, "horses/horse_form.html", shown, status=status)


def _say_doubts(request: SignedInRequest, form: HorseForm, horse: Horse) -> None:
    for doubt in form.doubts:
        messages.warning(request, doubt)
    if not horse.emergency_vet_phone:
        messages.warning(request, f"No emergency number is written down for {horse} yet.")


@require_http_methods(["GET", "POST"])
def horse_edit(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "horse.edit")
    now = clock.now()
    posted = request.POST if request.method == "POST" else None
    form = HorseEditForm(posted, today=localdate(now), horse=access.horse)
    if posted is None:
        return _edit_page(request, access, form)
    if not form.is_valid():
        return _edit_page(request, access, form, status=422)
    fields, version = form.horse_fields(), form.cleaned_data["version"]
    answer = attempt(
        form,
        lambda: horse_edit_save(access=access, version=version, fields=fields, now=now),
    )
    conflict, horse = answer.conflict, answer.made
    pairs = _pairs(conflict) if conflict else []
    if conflict and not pairs:  # the same words sent twice: they are saved already
        horse = access.horse
        horse.refresh_from_db()
    if horse is None:
        more = {"pairs": pairs, "conflict": conflict}
        return _edit_page(request, access, form, status=answer.status, **more)
    saved(request, f"Saved what is written about {horse}.", keep=_edit_keep(case_id))
    _say_doubts(request, form, horse)
    return redirect("board", case_id=case_id)


def _edit_keep(case_id: str) -> str:
    return f"horse-{case_id}"


def _edit_page(
    request: SignedInRequest, access: CaseAccess, form: HorseForm, *, status: int = 200, **more: Any
) -> HttpResponse:
    shown = {
        "form": form,
        "keep": _edit_keep(access.case.public_id),
        "horse": access.horse,
        "case": access.case,
        **more,
    }
    return render(request, "horses/horse_form.html", shown, status=status)


def _pairs(conflict: Conflict) -> list[Any]:
    """Both texts of each field that differs, in words."""
    in_words = Conflict(
        {name: horse_value_words(name, value) for name, value in conflict.mine.items()},
        {name: horse_value_words(name, value) for name, value in conflict.theirs.items()},
    )
    return in_words.pairs(LABELS)


@require_http_methods(["GET", "POST"])
def horse_state(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "horse.pause")
    posted = request.POST if request.method == "POST" else None
    horse, keep = access.horse, f"state-{case_id}"
    form = HorseStateForm(
        posted, state=horse.state, horse_name=horse.name, initial={"version": horse.version}
    )
    undo = may_undo_end(horse, clock.now())
    shown = {"form": form, "keep": keep, "horse": horse, "case": access.case, "may_undo": undo}
    status = 200 if posted is None else 422
    if form.is_valid() and form.leads_to_sale:
        words = urlencode({"words": form.cleaned_data["words"]})
        return redirect(f"{reverse('horse_sell', args=[case_id])}?{words}")
    if form.is_valid():
        chosen = form.happening_chosen
        answer = attempt(
            form,
            lambda: horse_set_state(
                access=access,
                state=chosen.state,
                reason=form.reason,
                version=form.cleaned_data["version"],
                now=clock.now(),
            ),
        )
        if answer.made is not None:
            saved(request, chosen.after or _state_words(answer.made), keep=keep)
            return redirect("board", case_id=case_id)
        status = answer.status
        if answer.conflict:
            horse.refresh_from_db()
            pairs = answer.conflict.pairs({"state": "The care", "reason": "Why"})
            shown |= {"conflict": answer.conflict, "pairs": pairs}
    return render(request, "horses/horse_state.html", shown, status=status)


def _state_words(horse: Horse) -> str:
    return {
        Horse.State.ACTIVE: f"{horse} is in care again. Reminders go on from today.",
        Horse.State.PAUSED: f"{horse}'s care is paused. Nobody is reminded until it is taken up.",
        Horse.State.ENDED: f"{horse}'s care here has ended. Nobody is reminded any more. It can be "
        "undone for a day.",
    }[Horse.State(horse.state)]


@require_http_methods(["GET", "POST"])
def weight_new(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "horse.weigh")
    now = clock.now()
    posted, status = (request.POST, 422) if request.method == "POST" else (None, 200)
    form = _weight_form(access, posted, localdate(now))
    keep = f"weight-{case_id}"
    if form.is_valid():
        answer = _weigh(access, form, now)
        if answer.made is not None:
            saved(request, "Weight saved.", keep=keep)
            return redirect("board", case_id=case_id)
        status = answer.status
    shown = {
        "form": form,
        "keep": keep,
        "horse": access.horse,
        "case": access.case,
        "previous": _weight_words(weights_for(access).last()),
    }
    return render(request, "horses/weight.html", shown, status=status)


def _weight_form(access: CaseAccess, posted: QueryDict | None, today: date) -> WeightForm:
    return WeightForm(
        posted,
        today=today,
        born_on=access.horse.born_on,
        initial={"unit": access.person.weight_unit, "weighed_on": today},
    )


def _weigh(access: CaseAccess, form: WeightForm, now: datetime) -> Answer[HorseWeight]:
    return attempt(
        form,
        lambda: weight_record(
            access=access,
            weight_kg=form.read.kg,
            entered_value=form.read.value,
            entered_unit=form.read.unit,
            method=form.cleaned_data["method"],
            weighed_on=form.cleaned_data["weighed_on"],
            client_key=form.key,
            now=now,
        ),
        sent_before=REUSED,
    )


def _weight_words(weight: HorseWeight | None) -> str:
    if weight is None:
        return ""
    number = number_words(weight.entered_value)
    return f"{number} {weight.entered_unit}, {weight.weighed_on:%-d %b %Y}"
