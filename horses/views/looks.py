"""The daily look: all horses of a place on one screen, marked alone or together in one press."""

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import TypeVar
from urllib.parse import urlencode

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.spans import counted
from caseboard.lib.text_safe import safe_line
from caseboard.lib.written import written_or
from horses.accounts.request import SignedInRequest
from horses.forms.keyed import KeyedForm
from horses.models import Look
from horses.queries.looks import LookScreen, Place, accesses_of, looking_places
from horses.services.looks import UNDO_FOR, looks_mark, looks_undo
from horses.views.attempt import attempt

T = TypeVar("T")
ONE_SCREEN = 60  # horses; house default, as in the list of horses
WORDS_FOR_ONE = "{name}: looked at, nothing seen."


@require_http_methods(["GET", "POST"])
def daily_look(request: SignedInRequest) -> HttpResponse:
    now = clock.now()
    if request.method == "POST":
        return _pressed(request, now)
    places = looking_places(request.user, now=now, undo_for=UNDO_FOR)
    place = _chosen(places, request.GET.get("place"))
    page = Paginator(place.rows if place else [], ONE_SCREEN).get_page(request.GET.get("page"))
    shown = {
        "now": now,
        "places": places,
        "has_places": len(places) > 1,
        "place": place,
        "page": page,
        "screen": LookScreen(list(page.object_list)),
        "form": KeyedForm(),
    }
    return render(request, "horses/daily_look.html", shown)


def _chosen(places: Sequence[Place], key: str | None) -> Place | None:
    named = [place for place in places if place.key == key]
    return next(iter([*named, *places]), None)


def _pressed(request: SignedInRequest, now: datetime) -> HttpResponse:
    form = KeyedForm(request.POST)
    form.is_valid()  # a key that is too long counts as none
    one = safe_line(request.POST.get("one", ""))
    if press := safe_line(request.POST.get("undo", "")):
        _undo(request, form, press, now)
    else:
        ids = [one] if one else [safe_line(i) for i in request.POST.getlist("with")[:ONE_SCREEN]]
        _mark(request, form, ids, now)
    where = urlencode(
        {"place": request.POST.get("place", ""), "page": request.POST.get("page", "")}
    )
    spot = f"#horse-{one}" if one else ""
    return redirect(f"{reverse('daily_look')}?{where}{spot}")


def _mark(request: SignedInRequest, form: KeyedForm, ids: list[str], now: datetime) -> None:
    accesses = accesses_of(request.user, ids)
    if len(ids) == 1 and not accesses:
        raise Http404("no such horse")
    key = form.cleaned_data.get("client_key") or ""
    # Each button of the screen is a form of its own: going back and pressing another is no repeat.
    own_key = f"{key}-{ids[0] if len(ids) == 1 else 'all'}" if key else ""

    def do() -> list[Look]:
        looked_at = written_or(now)
        return looks_mark(accesses=accesses, client_key=own_key, looked_at=looked_at, now=now)

    marked = _said(request, form, do)
    if marked is None:
        return
    until = marked[0].looked_at + UNDO_FOR
    if len(marked) == 1:
        words = WORDS_FOR_ONE.format(name=marked[0].horse.name)
    else:
        words = f"{len(marked)} marked together: looked at, nothing seen."
    if until > now:  # a phone may have kept it for longer
        words += f" Undo until {until:%-H:%M}."
    messages.success(request, words)
    if left := len(ids) - len(marked):
        words = f"{counted(left, 'horse')} left out: look again, something was said meanwhile."
        messages.warning(request, words)


def _undo(request: SignedInRequest, form: KeyedForm, press: str, now: datetime) -> None:
    def do() -> int:
        return looks_undo(accesses=accesses_of(request.user), press=press, now=now)

    undone = _said(request, form, do)
    if undone is not None:
        messages.success(request, f"Taken back: {counted(undone, 'horse')}.")


def _said(request: SignedInRequest, form: KeyedForm, do: Callable[[], T]) -> T | None:
    """What the deed made; a refusal is said on the next page."""
    answer = attempt(form, do)
    if answer.made is None:
        messages.warning(request, " ".join(map(str, form.non_field_errors())))
    return answer.made
