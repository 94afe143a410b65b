"""Measurements without a visit, and the correction of one's own."""

from dataclasses import dataclass
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.errors import Conflict
from caseboard.lib.flash_saved import saved
from caseboard.lib.spans import one_or
from horses.access import CaseAccess, access_get, require
from horses.accounts.request import SignedInRequest
from horses.views.attempt import attempt
from horses.views.pictures import pictures_wait, too_many_answer
from measurements.forms.readings import FEET, CorrectionForm, ReadingsForm
from measurements.forms.values import ValueRow
from measurements.models import Reading
from measurements.panels.how_measured import how_measured
from measurements.panels.offered import Offered, foot_words, last_words, quantities_offered
from measurements.queries.numbers import readings_for
from measurements.queries.numbers_kept import numbers_kept
from measurements.queries.repeats import wants_repeats
from measurements.queries.visit_setup import visit_setup_of
from measurements.services.readings import NOT_YOURS, readings_record
from measurements.services.readings import reading_correct as reading_correct_save
from measurements.wording import entered_words

REUSED = (
    "These values were saved before with other ones among them; see the board. Nothing was saved "
    "now. If you measured again, save once more."
)


@dataclass(frozen=True)
class ReadingFootPart:
    """One foot of the form: the fields in use, and the rest behind "more"."""

    foot: str
    words: str
    first: list[ValueRow]
    more: list[ValueRow]
    more_open: bool


@require_http_methods(["GET", "POST"])
def readings_new(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "reading.record")
    now = clock.now()
    numbers = numbers_kept(access.horse, today=now.date())
    offered = quantities_offered(numbers, access.role, now.date())
    about: dict[str, Any] = {
        "numbers": numbers,
        "quantities": offered.every,
        "role": access.role,
        "today": now.date(),
        "length_unit": request.user.length_unit,
        "side_words": request.user.side_words,
    }
    if request.method == "GET":
        return _readings_page(request, access, ReadingsForm(**about), offered)
    if too_many := pictures_wait(request):
        unsent = ReadingsForm(request.POST, **about)
        return too_many_answer(
            unsent,
            too_many,
            lambda status: _readings_page(request, access, unsent, offered, status=status),
        )
    form = ReadingsForm(request.POST, request.FILES, **about)
    if not form.is_valid():
        return _readings_page(request, access, form, offered, status=422)
    answer = attempt(
        form,
        lambda: readings_record(
            access=access,
            taken_on=form.cleaned_data["taken_on"],
            readings=form.readings,
            pictures=form.taken(form.cleaned_data["taken_on"]),
            client_key=form.key,
            now=now,
        ),
        sent_before=REUSED,
    )
    if answer.made is None:
        return _readings_page(request, access, form, offered, status=answer.status)
    count = len(form.readings)
    words = one_or(count, "One reading is saved.", f"{count} readings are saved.")
    saved(request, words, keep=_readings_keep(access))
    return redirect("board", case_id=case_id)


def _readings_keep(access: CaseAccess) -> str:
    return f"readings-{access.case.public_id}"


def _readings_page(
    request: SignedInRequest,
    access: CaseAccess,
    form: ReadingsForm,
    offered: Offered,
    *,
    status: int = 200,
) -> HttpResponse:
    setup = visit_setup_of(request.user)
    blind = bool(setup and setup.blind)
    shown = {
        "case": access.case,
        "horse": access.horse,
        "form": form,
        "blind": blind,
        "feet": [_foot_part(request, form, offered, foot, blind=blind) for foot in FEET],
        "shoeing": form["shoeing"] if "shoeing" in form.fields else None,
        "keep": _readings_keep(access),
        "how": how_measured(offered.every),
        "twice": wants_repeats(form.numbers.readings, request.user.public_id, form.numbers.errors),
    }
    return render(request, "measurements/readings_new.html", shown, status=status)


def _foot_part(
    request: SignedInRequest, form: ReadingsForm, offered: Offered, foot: str, *, blind: bool
) -> ReadingFootPart:
    person, cells = request.user, {c.quantity: c for c in form.cells if c.foot == foot}

    def rows(keys: tuple[str, ...]) -> list[ValueRow]:
        return [
            form.row(
                cells[key],
                None if blind else last_words(form.numbers.latest(foot, key), person.length_unit),
            )
            for key in keys
            if key in cells
        ]

    more = rows(offered.more)
    return ReadingFootPart(
        foot=foot,
        words=foot_words(foot, person.side_words),
        first=rows(offered.first),
        more=more,
        more_open=any(row.field.value() or row.field.errors for row in more),
    )


@require_http_methods(["GET", "POST"])
def reading_correct(request: SignedInRequest, case_id: str, reading_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "reading.correct")
    reading = readings_for(access).filter(public_id=reading_id).first()
    if reading is None:
        raise Http404("no such reading")
    if reading.recorded_by != request.user:
        raise PermissionDenied(NOT_YOURS.format(reading.recorded_by))
    form = _correction_form(request, access, reading)
    if request.method == "GET":
        later = _later(access, reading)
        if later is not None:
            return redirect("reading_correct", case_id=case_id, reading_id=later.public_id)
        return _correct_page(request, access, form)
    if not form.is_valid():
        return _correct_page(request, access, form, status=422)
    answer = attempt(
        form,
        lambda: reading_correct_save(
            access=access,
            reading_id=reading_id,
            taken=form.taken,
            reason=form.cleaned_data["reason"],
            now=clock.now(),
        ),
    )
    new = answer.made
    if new is None:
        later = _later(access, reading) if answer.conflict else None
        return _correct_page(
            request, access, form, status=answer.status, conflict=answer.conflict, of=later
        )
    words = "The reading is taken off." if new.is_void else "The reading is corrected."
    saved(request, f"{words} The old value stays, struck through.", keep=_correct_keep(reading))
    return redirect("series", case_id=case_id, foot=new.foot, quantity=new.quantity)


def _correction_form(
    request: SignedInRequest, access: CaseAccess, reading: Reading
) -> CorrectionForm:
    today = clock.now().date()
    return CorrectionForm(
        request.POST if request.method == "POST" else None,
        reading=reading,
        length_unit=request.user.length_unit,
        side_words=request.user.side_words,
        numbers=numbers_kept(access.horse, today=today),
        today=today,
    )


def _later(access: CaseAccess, reading: Reading) -> Reading | None:
    """The reading that stands in the place of this one by now, if it was corrected."""
    found = None
    rows = {r.corrects_id: r for r in readings_for(access).exclude(corrects=None)}
    while reading.pk in rows:
        found = reading = rows[reading.pk]
    return found


def _correct_keep(reading: Reading) -> str:
    return f"correct-{reading.public_id}"


def _correct_page(
    request: SignedInRequest,
    access: CaseAccess,
    form: CorrectionForm,
    *,
    status: int = 200,
    conflict: Conflict | None = None,
    of: Reading | None = None,
) -> HttpResponse:
    reading, person = form.reading, request.user
    # After a conflict the next sending is about the reading that stands now: a second look.
    about = of or reading
    shown: dict[str, Any] = {
        "case": access.case,
        "horse": access.horse,
        "form": form,
        "reading": reading,
        "what": f"{foot_words(reading.foot, person.side_words)} {form.cell.label}",
        "value": entered_words(reading, person.length_unit),
        "row": form.row(form.cell, None),
        "conflict": conflict,
        "pairs": conflict.pairs() if conflict else [],
        "action": reverse("reading_correct", args=[access.case.public_id, about.public_id]),
        "keep": _correct_keep(reading),
    }
    return render(request, "measurements/reading_correct.html", shown, status=status)
