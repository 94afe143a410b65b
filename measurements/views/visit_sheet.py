"""The farrier writes up a visit: one long form, foot by foot."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import Any

from django.http import Http404, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.saved import saved
from caseboard.lib.spans import one_or
from horses.access import Standing, require, standing_get
from horses.models import FootWork, Role, Shoeing, Visit
from horses.once import KeyReused, key_used
from horses.queries import plan_for, visits_for
from horses.queries_shoes import last_shoeing
from horses.services.visit_planning import VisitRefused
from horses.signed_in import SignedInRequest
from horses.wording import day_words
from measurements import cautions
from measurements.cautions import large_changes
from measurements.forms.values import ValueRow
from measurements.forms.visit_doubts import AGAIN, SHOE_ON, UNTOUCHED
from measurements.forms.visit_sheet import FEET, MOMENTS, VisitSheetForm, method_name
from measurements.forms.visit_shoe import AS_LAST, DETAILS, SEEN, last_values
from measurements.forms.visit_shoe import last_words as last_shoe_words
from measurements.hoof.quantities import Method, TrimState
from measurements.offered import Offered, foot_words, last_words, quantities_offered
from measurements.queries import Numbers, numbers_of
from measurements.services.readings import ReadingRefused
from measurements.services.visit_sheet import visit_write_up

AS_LAST_BUTTON, ALL_FEET = "as_last", "all"
WORK = (*AS_LAST, *SEEN, "left", "words")
PLANNED_NEAR_DAYS = 14  # house default: a visit this near to the planned day is most likely it
REUSED = (
    "This visit was saved before with other content; see the board. Nothing was saved now. If this "
    "is another visit, save once more."
)
GONE = "The plan was changed while you were writing. Look at the plan items, then save again."


@dataclass(frozen=True)
class MoreRow:
    """One quantity behind "more": both moments beside each other."""

    label: str
    before: ValueRow
    after: ValueRow


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
    as_last: str  # JSON of what "as last time" writes into the fields; empty: not offered
    last_shoe: str
    next_anchor: str


@require_http_methods(["GET", "POST"])
def visit_new(request: SignedInRequest, case_id: str) -> HttpResponse:
    standing = standing_get(request.user, case_id)
    require(standing, "work.record")
    now = clock.now()
    numbers = numbers_of(standing.horse, today=now.date())
    offered = quantities_offered(numbers, standing.role, now.date())
    planned = _planned_visit(standing)
    last = last_shoeing(standing.horse)
    form = _form(request, standing, numbers, offered, planned, now.date(), last)
    page = _Page(request, standing, numbers, offered, form, last)
    if request.method == "GET" or AS_LAST_BUTTON in request.POST:
        return page.answer(200)
    if not form.is_valid():
        return page.answer(422)
    data = form.cleaned_data
    try:
        visit_write_up(
            standing=standing, kept_on=data["kept_on"], work=form.work, readings=form.readings,
            words=data["words"], next_on=data["next_on"], outcomes=form.outcomes,
            planned_id=planned.public_id if planned and data.get("planned") else "",
            client_key=form.key, now=now,
        )  # fmt: skip
    except KeyReused:
        form.renew_key()
        form.add_error(None, REUSED)
        return page.answer(409)
    except (VisitRefused, ReadingRefused) as refused:
        form.add_error(None, str(refused))
        return page.answer(422)
    except Http404:  # an item was finished between reading the plan and saving
        form.add_error(None, GONE)
        return page.answer(422)
    saved(request, _saved_words(form), keep=page.keep)
    return redirect("board", case_id=case_id)


def _planned_visit(standing: Standing) -> Visit | None:
    planned = visits_for(standing).filter(status=Visit.Status.PLANNED, kind=Visit.Kind.FARRIER)
    return planned.order_by("planned_on").first()


def _form(
    request: SignedInRequest, standing: Standing, numbers: Numbers, offered: Offered,
    planned: Visit | None, today: date, last: dict[str, FootWork],
) -> VisitSheetForm:  # fmt: skip
    label = ""
    initial: dict[str, Any] = {}
    fills = AS_LAST_BUTTON in request.POST  # without scripts the page comes back filled in
    if planned is not None and planned.planned_on is not None:
        label = f"This is the visit planned for {planned.planned_on:%-d %B %Y}"
        initial["planned"] = (planned.planned_on - today).days <= PLANNED_NEAR_DAYS
    plan = [line for line in plan_for(standing) if line.version.who_does == Role.FARRIER]
    if fills:
        initial = _as_last(request.POST, last)
    return VisitSheetForm(
        request.POST if request.method == "POST" and not fills else None,
        initial=initial, numbers=numbers, quantities=offered.every, plan=plan,
        planned=(planned.public_id, label) if planned else None, today=today,
        length_unit=request.user.length_unit, side_words=request.user.side_words,
        kept_by=partial(_kept_by, standing),
    )  # fmt: skip


def _as_last(typed: QueryDict, last: dict[str, FootWork]) -> dict[str, Any]:
    """What was typed so far, with the shoes of last time put in on the foot asked for, or all."""
    initial: dict[str, Any] = {f"{foot}-trimmed": False for foot in FEET} | {"planned": False}
    initial |= typed.dict()
    asked = typed[AS_LAST_BUTTON]
    for foot, work in last.items():
        if asked in (foot, ALL_FEET):
            initial |= {f"{foot}-{name}": value for name, value in last_values(work).items()}
    return initial


def _kept_by(standing: Standing, day: date, key: str) -> str:
    """Who wrote up a visit of this day; "" too for a form sent twice: its visit is no other."""
    if key_used(standing.person, key):
        return ""
    kept = visits_for(standing).filter(
        status=Visit.Status.KEPT, kind=Visit.Kind.FARRIER, kept_on=day
    )
    return ", ".join(dict.fromkeys(kept.order_by("pk").values_list("person_name", flat=True)))


class _Page:
    """Puts the form's fields where the template shows them."""

    def __init__(
        self, request: SignedInRequest, standing: Standing, numbers: Numbers, offered: Offered,
        form: VisitSheetForm, last: dict[str, FootWork],
    ) -> None:  # fmt: skip
        self.request, self.standing, self.form, self.last = request, standing, form, last
        self.numbers, self.offered = numbers, offered
        self.cells = {(c.foot, c.moment, c.quantity): c for c in form.cells}
        self.keep = f"visit-{standing.case.public_id}"

    def answer(self, status: int) -> HttpResponse:
        form, feet = self.form, [self._foot(foot) for foot in FEET]
        steps = [{"label": "Visit", "url": "#visit-start"}]
        steps += [{"label": part.words.capitalize(), "url": f"#foot-{part.foot}"} for part in feet]
        steps += [{"label": "To end", "url": "#visit-end"}]
        shown = {
            "standing": self.standing, "case": self.standing.case, "horse": self.standing.horse,
            "form": form, "feet": feet, "steps": steps, "keep": self.keep,
            "trimmed": [form[f"{foot}-trimmed"] for foot in FEET],
            "planned": form["planned"] if "planned" in form.fields else None,
            "methods": [form[method_name(key)] for key in self.offered.every],
            "items": form.plan.rows(), "methods_open": self._methods_open(),
            "as_last_all": self._as_last(FEET), "caution": cautions,
            "again": form.doubts.shown(AGAIN), "doubts": form.doubts.shown(SHOE_ON, UNTOUCHED),
        }  # fmt: skip
        return render(self.request, "measurements/visit_new.html", shown, status=status)

    def _methods_open(self) -> bool:
        usual = {"angle_method": Method.GAUGE, "length_method": Method.TAPE}
        usual_still = all(self.form[name].value() == usual[name] for name in usual)
        errors = any(self.form[name].errors for name in usual)
        own = any(self.form[method_name(key)].value() for key in self.offered.every)
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
            more_open=any(_is_used(row.before) or _is_used(row.after) for row in more),
            work={name: self.form[f"{foot}-{name}"] for name in WORK},
            details_open=any(
                self.form[f"{foot}-{name}"].value() or self.form[f"{foot}-{name}"].errors
                for name in (*DETAILS, "left")
            ),
            seen_open=any(self.form[f"{foot}-{name}"].value() for name in SEEN),
            as_last=self._as_last((foot,)),
            last_shoe=last_shoe_words(self.last[foot]) if foot in self.last else "",
            next_anchor=f"foot-{FEET[following]}" if following < len(FEET) else "visit-end",
        )

    def _as_last(self, feet: Sequence[str]) -> str:
        fields = {
            f"{foot}-{name}": value
            for foot in feet
            if foot in self.last
            for name, value in last_values(self.last[foot]).items()
        }
        return json.dumps(fields) if fields else ""

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
        return self.form.row(cell, last_words(last, self.request.user.length_unit, self.form.today))

    def _more(self, foot: str, quantity: str) -> MoreRow | None:
        if (foot, MOMENTS[0], quantity) not in self.cells:
            return None
        before, after = (self._row(foot, moment, quantity) for moment in _BOTH)
        return MoreRow(before.label.capitalize(), before, after)


_BOTH = (TrimState.BEFORE, TrimState.AFTER)


def _is_used(row: ValueRow) -> bool:
    return bool(row.field.value() or row.field.errors)


def _saved_words(form: VisitSheetForm) -> str:
    count = len(form.readings)
    readings = one_or(count, "one reading", f"{count or 'no'} readings")
    next_on = form.cleaned_data.get("next_on")
    coming = f" Next visit {next_on:%-d %B %Y}." if next_on else " No next visit is planned."
    words = [f"The visit is saved with {readings}. The team is told.{coming}"]
    taken = [r for r in form.readings if r.quantity == "toe_angle"]
    for foot, change in large_changes({(r.foot, r.trim_state): float(r.value) for r in taken}):
        where = foot_words(foot, form.side_words)
        words.append(f"The {where} toe angle changed by {abs(change):.3g}°. {cautions.ANGLE}")
    return " ".join(words)
