"""The farrier writes up a visit: one long form, foot by foot."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from typing import Any

from django.forms import BoundField
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from caseboard.lib.spans import one_or
from horses.access import CaseAccess, access_get, require
from horses.accounts.request import SignedInRequest
from horses.domain.wording import day_words
from horses.models import FootWork, Role, Shoeing, Visit
from horses.queries.board import visits_for
from horses.queries.plan_lines import PlanLine, plan_for
from horses.queries.shoes import last_shoeing
from horses.services.idempotency import key_used
from horses.views.attempt import attempt
from measurements.forms.values import ValueRow
from measurements.forms.visit_doubts import AGAIN, SHOE_ON, UNTOUCHED
from measurements.forms.visit_record import (
    FEET,
    MOMENTS,
    VisitSheetForm,
    method_name,
    shoe_then_name,
)
from measurements.forms.visit_shoe import (
    ALL_FEET,
    AS_LAST,
    DETAILS,
    SEEN,
    FillButton,
    again_buttons,
    bare_button,
    filled_in,
)
from measurements.forms.visit_shoe import last_words as last_shoe_words
from measurements.hoof.quantities import Method, TrimState
from measurements.panels import cautions
from measurements.panels.cautions import large_changes
from measurements.panels.how_measured import how_measured
from measurements.panels.offered import Offered, foot_words, last_words, quantities_offered
from measurements.queries.dangers import dangers_for, films_short
from measurements.queries.numbers import Numbers
from measurements.queries.numbers_kept import numbers_kept
from measurements.services.visit_record import visit_write_up

FILL_BUTTON = "as_last"
WORK = (*AS_LAST, *SEEN, "left", "words")
REUSED = (
    "It was saved: what was sent from this form before is on the board. To change it, choose "
    "“Correct this visit” under Visits. If this is another visit, save once more."
)


@dataclass(frozen=True)
class MoreRow:
    """One quantity behind "more": both moments beside each other."""

    label: str
    before: ValueRow
    after: ValueRow

    @property
    def both(self) -> list[ValueRow]:
        return [replace(self.before, label="Before"), replace(self.after, label="After")]


@dataclass(frozen=True)
class FootPart:
    """One foot of the form, in the order of the work: found, done, left."""

    foot: str
    words: str
    shoeing: str
    found: list[ValueRow]
    left: list[ValueRow]
    more: list[MoreRow]
    more_open: bool
    work: dict[str, Any]
    details_open: bool
    seen_open: bool
    again: list[FillButton]  # "as last time"
    asks_left: bool  # nobody has said yet how the foot is: not to be hidden in a fold
    last_shoe: str
    next_anchor: str
    is_last: bool
    dangers: list[str]


@require_http_methods(["GET", "POST"])
def visit_new(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "work.record")
    now = clock.now()
    numbers = numbers_kept(access.horse, today=now.date())
    offered = quantities_offered(numbers, access.role, now.date())
    planned = _planned_visit(access)
    last = last_shoeing(access.horse)
    plan = plan_for(access)
    form = _form(request, access, numbers, offered, planned, plan, now.date(), last)
    page = VisitPage(request, access, numbers, offered, form, last, plan=plan)
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
    saved(request, _saved_words(form), keep=page.keep)
    return redirect("board", case_id=case_id)


def _planned_visit(access: CaseAccess) -> Visit | None:
    planned = visits_for(access).planned().filter(kind=Visit.Kind.FARRIER)
    return planned.order_by("planned_on").first()


def _form(
    request: SignedInRequest,
    access: CaseAccess,
    numbers: Numbers,
    offered: Offered,
    planned: Visit | None,
    plan: Sequence[PlanLine],
    today: date,
    last: dict[str, FootWork],
) -> VisitSheetForm:
    initial: dict[str, Any] = {}
    fills = FILL_BUTTON in request.POST  # without scripts the page comes back filled in
    if asked := request.GET.get("on"):  # the day that somebody reported
        initial["kept_on"] = asked
    if fills:
        initial = typed_and_filled_in(request.POST, last)
    return VisitSheetForm(
        request.POST if request.method == "POST" and not fills else None,
        initial=initial,
        numbers=numbers,
        quantities=offered.every,
        plan=[line for line in plan if line.version.who_does == Role.FARRIER],
        booked=planned,
        today=today,
        length_unit=request.user.length_unit,
        side_words=request.user.side_words,
        kept_by=partial(kept_by, access),
        sent_before=partial(key_used, access.person),
    )


def typed_and_filled_in(typed: QueryDict, last: dict[str, FootWork]) -> dict[str, Any]:
    """What was typed so far, with what the pressed button fills in."""
    initial: dict[str, Any] = {f"{foot}-trimmed": False for foot in FEET} | {"planned": False}
    return initial | typed.dict() | filled_in(str(typed[FILL_BUTTON]), last, FEET)


def kept_by(access: CaseAccess, day: date, *, but: Visit | None = None) -> str:
    """Who wrote up a visit of this day; `but`: another one than this."""
    kept = visits_for(access).kept().filter(kind=Visit.Kind.FARRIER, kept_on=day)
    if but is not None:
        kept = kept.exclude(pk=but.pk)
    return ", ".join(dict.fromkeys(kept.order_by("pk").values_list("person_name", flat=True)))


class VisitPage:
    """Puts the form's fields where the template shows them."""

    def __init__(
        self,
        request: SignedInRequest,
        access: CaseAccess,
        numbers: Numbers,
        offered: Offered,
        form: VisitSheetForm,
        last: dict[str, FootWork],
        *,
        plan: Sequence[PlanLine] | None = None,
        **more: Any,
    ) -> None:
        """`plan`: of this board, where it was read already; `more`: what the page that corrects a
        visit shows beside."""
        self.request, self.access, self.form, self.last = request, access, form, last
        self.numbers, self.offered = numbers, offered
        self.cells = {(c.foot, c.moment, c.quantity): c for c in form.cells}
        opened = None if plan is None else [line for line in plan if line.is_open]
        self.dangers = dangers_for(access, numbers, today=form.today, plan=opened)
        self.keep = more.get("keep", f"visit-{access.case.public_id}")
        self.pressed = str(request.POST.get(FILL_BUTTON, ""))
        self.more = more

    def answer(self, status: int) -> HttpResponse:
        form, feet = self.form, [self._foot(foot) for foot in FEET]
        steps = [{"label": "Visit", "url": "#visit-start"}]
        steps += [{"label": part.words.capitalize(), "url": f"#foot-{part.foot}"} for part in feet]
        steps += [{"label": "To end", "url": "#visit-end"}]
        shown = {
            "access": self.access,
            "case": self.access.case,
            "horse": self.access.horse,
            "form": form,
            "feet": feet,
            "steps": steps,
            "keep": self.keep,
            "before_cutting": self._before_cutting(),
            "trimmed": [form[f"{foot}-trimmed"] for foot in FEET],
            "planned": form["planned"] if "planned" in form.fields else None,
            "methods": [form[method_name(key)] for key in self.offered.every],
            "items": form.plan.rows(),
            "methods_open": self._methods_open(),
            "move_box": form.next.move_box,
            "next_on": form["next_on"] if "next_on" in form.fields else None,
            "again_all": again_buttons(ALL_FEET, self.last, FEET, pressed=self.pressed),
            "bare": self._bare(),
            "how": how_measured(self.offered.every),
            "caution": cautions,
            "shoe_then": [form[shoe_then_name(moment)] for moment in MOMENTS],
            "again": form.doubts.shown(AGAIN),
            "doubts": form.doubts.shown(SHOE_ON, UNTOUCHED),
            **self.more,
        }
        return render(self.request, "measurements/visit_new.html", shown, status=status)

    def _before_cutting(self) -> list[str]:
        """In front of everything: the feet whose films must be known, and what holds for all."""
        films = films_short(self.dangers.films, self.request.user, self.form.today)
        return [*films, *self.dangers.of_all]

    def _methods_open(self) -> bool:
        usual = {"angle_method": Method.GAUGE, "length_method": Method.TAPE}
        usual_still = all(self.form[name].value() == usual[name] for name in usual)
        errors = any(self.form[name].errors for name in usual)
        own = any(_is_used(self.form[method_name(key)]) for key in self.offered.every)
        return errors or own or not usual_still

    def _foot(self, foot: str) -> FootPart:
        more = [row for key in self.offered.more if (row := self._more(foot, key))]
        following = FEET.index(foot) + 1
        return FootPart(
            foot=foot,
            words=foot_words(foot, self.request.user.side_words),
            shoeing=self._shoeing(foot),
            found=self._rows(foot, TrimState.BEFORE),
            left=self._rows(foot, TrimState.AFTER),
            more=more,
            more_open=any(_is_used(r.before.field) or _is_used(r.after.field) for r in more),
            work={name: self.form[f"{foot}-{name}"] for name in WORK},
            details_open=any(_is_used(self.form[f"{foot}-{name}"]) for name in (*DETAILS, "left")),
            seen_open=any(_is_used(self.form[f"{foot}-{name}"]) for name in SEEN),
            again=again_buttons(foot, self.last, (foot,), pressed=self.pressed),
            asks_left=not self.numbers.shoeing.get(foot),
            last_shoe=last_shoe_words(self.last[foot]) if foot in self.last else "",
            next_anchor=f"foot-{FEET[following]}" if following < len(FEET) else "visit-end",
            is_last=following >= len(FEET),
            dangers=self.dangers.lines_of(foot, self.request.user, self.form.today),
        )

    def _bare(self) -> FillButton | None:
        """For a horse of which it is not known yet how its feet are."""
        if all(self.numbers.shoeing.get(foot) for foot in FEET):
            return None
        return bare_button(self.last, FEET, pressed=self.pressed)

    def _shoeing(self, foot: str) -> str:
        known, state = self.numbers.shoeing.get(foot), self.numbers.shoes.feet.get(foot)
        if state and state.lost_on:
            return f"without its shoe: lost {day_words(state.lost_on)}"
        return Shoeing(known[-1][1]).label if known else ""

    def _rows(self, foot: str, moment: TrimState) -> list[ValueRow]:
        keys = [key for key in self.offered.first if (foot, moment.value, key) in self.cells]
        return [self._row(foot, moment, key) for key in keys]

    def _row(self, foot: str, moment: TrimState, quantity: str) -> ValueRow:
        cell = self.cells[foot, moment.value, quantity]
        last = self.numbers.latest_before(foot, quantity, moment)
        return self.form.row(cell, last_words(last, self.request.user.length_unit))

    def _more(self, foot: str, quantity: str) -> MoreRow | None:
        if (foot, MOMENTS[0], quantity) not in self.cells:
            return None
        before, after = (self._row(foot, moment, quantity) for moment in _BOTH)
        return MoreRow(before.label.capitalize(), before, after)


_BOTH = (TrimState.BEFORE, TrimState.AFTER)


def _is_used(field: BoundField) -> bool:
    """A fold that holds something, or an error, stands open."""
    return bool(field.value() or field.errors)


def _saved_words(form: VisitSheetForm) -> str:
    count = len(form.readings)
    readings = one_or(count, "one reading", f"{count or 'no'} readings")
    words = [f"The visit is saved with {readings}. The team is told. {form.next.told()}"]
    taken = [r for r in form.readings if r.quantity == "toe_angle"]
    for foot, change in large_changes({(r.foot, r.trim_state): float(r.value) for r in taken}):
        where = foot_words(foot, form.side_words)
        words.append(f"The {where} toe angle changed by {abs(change):.3g}°. {cautions.ANGLE}")
    return " ".join(words)
