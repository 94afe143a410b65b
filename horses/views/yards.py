"""A yard: its page, a new one, what is written about it, and its horses."""

from dataclasses import dataclass
from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.timezone import localdate
from django.views.decorators.http import require_http_methods, require_safe

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from caseboard.lib.spans import counted, one_or
from horses.access_yard import YardAccess, yard_access_get, yard_may, yard_require
from horses.accounts.request import SignedInRequest
from horses.forms.yards import (
    HorseLinesForm,
    LastTrimsForm,
    YardEditForm,
    YardNewForm,
    yard_initial,
)
from horses.models import YardRole
from horses.queries.yards import (
    YardHorse,
    horses_to_bring,
    without_trim,
    yard_horses,
    yard_links,
    yard_people,
    yard_waiting,
)
from horses.services.yard_horses import horses_add, last_trims_say
from horses.services.yards import yard_create
from horses.services.yards import yard_edit as yard_edit_save
from horses.views.attempt import attempt

NEW_KEEP = "yard-new"
LABELS = {
    "name": "Name",
    "vet_phone": "Vet's number out of hours",
    "vet_name": "Whose number that is",
    "address": "Address",
    "held_by": "Who holds the horses",
    "interval_days": "Days between trims",
    "time_zone": "Time zone",
}


@dataclass(frozen=True)
class Missing:
    """Something a yard does without so far, and the page where a tap leads."""

    words: str
    url: str


@require_safe
def yard(request: SignedInRequest, yard_id: str) -> HttpResponse:
    access = yard_access_get(request.user, yard_id)
    now = clock.now()
    horses = yard_horses(access, today=localdate(now))
    people = yard_people(access)
    shown = {
        "yard": access.yard,
        "access": access,
        "people": people,
        "waiting": yard_waiting(access),
        "links": [(link, link.expires_at <= now) for link in yard_links(access)],
        "horses": horses,
        "missing": _missing(access, horses, {m.role for m in people}),
        "may": {action.partition(".")[2]: yard_may(access, action) for action in ASKED},
        "role_words": access.role.label,
    }
    return render(request, "horses/yard.html", shown)


ASKED = ("yard.edit", "yard.add_horses", "yard.invite", "yard.confirm", "yard.bring", "yard.remove")


def _missing(access: YardAccess, horses: list[YardHorse], roles: set[str]) -> list[Missing]:
    """What a new yard does without, the most needed first; for the managers."""
    if not yard_may(access, "yard.edit"):
        return []
    yard_id = access.yard.public_id
    found = []
    if not horses:
        found.append(Missing("No horse yet: write their names", _url("yard_horses_add", yard_id)))
    if not access.yard.vet_phone:
        words = "No vet's number for the night"
        found.append(Missing(words, f"{_url('yard_edit', yard_id)}#id_vet_phone"))
    for role in (YardRole.FARRIER, YardRole.VET):
        if role not in roles:
            link = f"{_url('yard_invite', yard_id)}?as={role.value}"
            found.append(Missing(f"No {role.label} yet: ask one", link))
    if bare := without_trim(horses):
        words = f"{counted(len(bare), 'horse')} without a last trim: nothing is due"
        found.append(Missing(words, _url("yard_trims", yard_id)))
    return found


def _url(name: str, yard_id: str) -> str:
    return reverse(name, args=[yard_id])


@require_http_methods(["GET", "POST"])
def yard_new(request: SignedInRequest) -> HttpResponse:
    posted = request.POST if request.method == "POST" else None
    form = YardNewForm(posted, cases=horses_to_bring(request.user))
    status = 200 if posted is None else 422
    if form.is_valid():
        answer = attempt(
            form,
            lambda: yard_create(
                person=request.user,
                fields=form.yard_fields(),
                horse_ids=form.cleaned_data["horses"],
                client_key=form.key,
                now=clock.now(),
            ),
        )
        if answer.made is not None:
            saved(request, f"{answer.made} is there.", keep=NEW_KEEP)
            return redirect("yard", yard_id=answer.made.public_id)
        status = answer.status
    shown = {"form": form, "keep": NEW_KEEP}
    return render(request, "horses/yard_form.html", shown, status=status)


@require_http_methods(["GET", "POST"])
def yard_edit(request: SignedInRequest, yard_id: str) -> HttpResponse:
    access = yard_access_get(request.user, yard_id)
    yard_require(access, "yard.edit")
    posted = request.POST if request.method == "POST" else None
    form = YardEditForm(posted, initial=yard_initial(access.yard))
    keep, status, more = f"yard-{yard_id}", 200 if posted is None else 422, {}
    if form.is_valid():
        answer = attempt(
            form,
            lambda: yard_edit_save(
                access=access,
                version=form.cleaned_data["version"],
                fields=form.yard_fields(),
                now=clock.now(),
            ),
        )
        if answer.made is not None:
            saved(request, f"Saved what is written about {answer.made}.", keep=keep)
            return redirect("yard", yard_id=yard_id)
        status = answer.status
        if answer.conflict:
            more = {"conflict": answer.conflict, "pairs": answer.conflict.pairs(LABELS)}
    shown: dict[str, Any] = {"form": form, "keep": keep, "yard": access.yard, **more}
    return render(request, "horses/yard_form.html", shown, status=status)


@require_http_methods(["GET", "POST"])
def yard_horses_add(request: SignedInRequest, yard_id: str) -> HttpResponse:
    """Lines are typed; then it shows what was understood; then they are added."""
    access = yard_access_get(request.user, yard_id)
    yard_require(access, "yard.add_horses")
    now = clock.now()
    today = localdate(now)
    names = [h.horse.name for h in yard_horses(access, today=today)]
    posted = request.POST if request.method == "POST" else None
    form = HorseLinesForm(posted, today=today, names=names)
    keep, status = f"yard-horses-{yard_id}", 200 if posted is None else 422
    if form.is_valid():
        if form.was_shown and form.can_be_added:
            answer = attempt(
                form,
                lambda: horses_add(access=access, lines=form.read, client_key=form.key, now=now),
            )
            if answer.made is not None:
                many = len(form.read)
                words = (
                    f"{counted(many, 'horse')} {one_or(many, 'has a board', 'have boards')} now."
                )
                saved(request, words, keep=keep)
                return redirect("yard", yard_id=yard_id)
            status = answer.status
        elif form.can_be_added:
            status = 200
    shown = {"form": form, "yard": access.yard, "keep": keep, "lines": form.read}
    shown |= {"can_be_added": form.can_be_added, "mark": form.mark if form.is_bound else ""}
    return render(request, "horses/yard_horses.html", shown, status=status)


@require_http_methods(["GET", "POST"])
def yard_trims(request: SignedInRequest, yard_id: str) -> HttpResponse:
    access = yard_access_get(request.user, yard_id)
    yard_require(access, "yard.add_horses")
    now = clock.now()
    today = localdate(now)
    bare = without_trim(yard_horses(access, today=today))
    posted = request.POST if request.method == "POST" else None
    form = LastTrimsForm(posted, cases=[h.case for h in bare], today=today)
    keep = f"yard-trims-{yard_id}"
    if form.is_valid():
        made = last_trims_say(access=access, days=form.days, now=now)
        saved(request, f"Written down for {counted(made, 'horse')}.", keep=keep)
        return redirect("yard", yard_id=yard_id)
    shown = {"form": form, "yard": access.yard, "keep": keep}
    status = 200 if posted is None else 422
    return render(request, "horses/yard_trims.html", shown, status=status)
