"""Steps from the present toe angle to its band, and their proposal to the team."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.errors import Conflict
from caseboard.lib.flash_saved import saved
from horses.access import CaseAccess, access_get, may, require
from horses.accounts.request import SignedInRequest
from horses.models import Person, Role, Visit
from horses.queries.board import team_for, visits_for
from horses.queries.flags import vet_numbers
from horses.views.attempt import attempt
from measurements.forms.steps import PaceForm, ProposalForm, usual_pace
from measurements.hoof.errors import HoofError
from measurements.hoof.feet import Foot
from measurements.hoof.mechanics import NAVICULAR_LOAD_CAUTION, WARN_CHANGE_PER_VISIT_DEG
from measurements.panels.offered import foot_words, last_words, unit_symbol
from measurements.panels.steps_plan import (
    QUANTITY,
    Start,
    StepsWay,
    horn_words,
    length_reading,
    length_words,
    planned_words,
    raise_words,
    sole_left_words,
    sole_step_words,
    start_of,
    steps_text,
    way_to,
)
from measurements.queries.dangers import dangers_for
from measurements.queries.films import SOLE, film_of
from measurements.queries.numbers_kept import numbers_kept
from measurements.series.words import range_words, target_words
from measurements.services.steps import Steps, steps_propose, steps_version
from measurements.verdicts.judge import verdict_now
from measurements.verdicts.of_series import LOOKED_AT
from measurements.wording import value_words

REUSED = (
    "These steps were proposed before with other words; see the plan. Nothing was saved now. If "
    "you mean other steps, propose them once more."
)
CHANGED = (
    "The numbers have changed since you saw these steps, so they came out differently. Nothing was "
    "proposed. Look at them as they are now, then propose them once more."
)
FAST = (
    f"More than {WARN_CHANGE_PER_VISIT_DEG:g}° at one visit. That limit comes from a single "
    "practitioner source; no study was found."
)
NEAR_EDGE = (
    "But it stands so near an edge that it may be outside: look at the slow change on its own page, "
    "and measure again."
)


@dataclass(frozen=True)
class StepRow:
    """One visit as the table shows it."""

    on: date
    change: str
    aim: str
    height: str
    sole: str


@require_http_methods(["GET", "POST"])
def steps(request: SignedInRequest, case_id: str, foot: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "target.routine")
    if foot not in list(Foot):
        raise Http404("no such foot")
    page = _StepsPage(request, access, foot)
    if request.method == "GET":
        wrong = page.pace.is_bound and not page.pace.is_valid()
        return page.answer(422 if wrong else 200)
    return page.propose()


class _StepsPage:
    """The steps of one foot for one reader."""

    def __init__(self, request: SignedInRequest, access: CaseAccess, foot: str) -> None:
        self.request, self.access, self.foot = request, access, foot
        self.now = clock.now()
        self.today = self.now.date()
        self.numbers = numbers_kept(access.horse, today=self.today)
        self.looked = verdict_now(self.numbers, foot)
        self.start = start_of(self.numbers, foot, self.looked)
        self.measured = length_reading(self.numbers, foot)
        self.pace = self._pace()
        self.proposal = ProposalForm(request.POST if request.method == "POST" else None)
        self.keep = f"steps-{access.case.public_id}-{foot}"
        self.trouble = ""
        self.dangers = dangers_for(access, self.numbers, today=self.today)
        self.way = self._way()

    @property
    def person(self) -> Person:
        return self.request.user

    def _pace(self) -> PaceForm:
        unit, asked = self.person.length_unit, self.request.GET.dict()
        sent: Any = self.request.POST
        if self.request.method == "GET":  # an address may hold only one of the two
            sent = {**usual_pace(unit), **asked} if asked.keys() & usual_pace(unit) else None
        return PaceForm(
            sent,
            length_unit=unit,
            measured_mm=self.measured.value if self.measured else None,
        )

    def _way(self) -> StepsWay | None:
        if self.start is None or (self.pace.is_bound and not self.pace.is_valid()):
            return None
        if self.dangers.thin_sole(self.foot) is not None:
            return None  # every step that is trimmed takes some
        planned = (
            visits_for(self.access)
            .planned()
            .filter(kind=Visit.Kind.FARRIER, planned_on__gte=self.today)
        )
        planned_on = planned.order_by("planned_on").values_list("planned_on", flat=True).first()
        try:
            return way_to(
                self.numbers,
                self.foot,
                self.start,
                change_deg=self.pace.change_deg,
                length_mm=self.pace.length_mm,
                planned_on=planned_on,
                today=self.today,
            )
        except HoofError as error:
            self.trouble = str(error)
            return None

    @property
    def _treats(self) -> bool:
        return may(self.access, "target.therapeutic")

    @property
    def _may_propose(self) -> bool:
        """Towards the vet's band the steps are the vet's to propose."""
        if self.start is None or self.way is None or not may(self.access, "plan.propose"):
            return False
        return self._treats or not self.start.target.therapeutic

    def propose(self) -> HttpResponse:
        form, way, start = self.proposal, self.way, self.start
        if not form.is_valid() or not self.pace.is_valid() or way is None or start is None:
            return self.answer(422)
        seen, _, version = form.cleaned_data["seen"].rpartition("-")
        if seen != way.fingerprint:
            form.add_error(None, CHANGED)
            return self.answer(409)
        proposed = Steps(
            foot=self.foot,
            quantity=QUANTITY,
            rate_per_visit=way.rate_per_visit,
            visits=len(way.days),
            from_on=way.from_on,
            therapeutic=self._treats,
            text=steps_text(self.foot, start, way),
            reason=form.cleaned_data["reason"],
        )
        answer = attempt(
            form,
            lambda: steps_propose(
                access=self.access,
                steps=proposed,
                client_key=form.key,
                now=self.now,
                seen_version=int(version) if version.isdecimal() else 0,
            ),
            sent_before=REUSED,
        )
        item = answer.made
        if item is None:
            return self.answer(answer.status, answer.conflict)
        saved(
            self.request,
            "The steps stand on the plan. They count as planned movement when all have agreed.",
            keep=self.keep,
        )
        return redirect("plan_item", case_id=self.access.case.public_id, item_id=item.public_id)

    def answer(self, status: int, conflict: Conflict | None = None) -> HttpResponse:
        access, start, way = self.access, self.start, self.way
        if way is not None:
            version = steps_version(access, self.foot, QUANTITY)
            self.proposal.show(f"{way.fingerprint}-{version}")
        shown: dict[str, Any] = {
            "case": access.case,
            "horse": access.horse,
            "foot": self.foot,
            "conflict": conflict,
            "pairs": conflict.pairs({"text": "The steps", "reason": "Why"}) if conflict else [],
            "foot_words": foot_words(self.foot, self.person.side_words),
            "quantity": QUANTITY,
            "dangers": self.dangers.lines_of(self.foot, self.person, self.today),
            "dangers_of_all": self.dangers.of_all,
            "vet_numbers": self._vet_numbers(),
            "thin": self.dangers.thin_sole(self.foot) is not None,
            "start": start,
            "pace": self.pace,
            "proposal": self.proposal,
            "keep": self.keep,
            "length_unit": unit_symbol("hoof_length", self.person.length_unit),
            "trouble": self.trouble,
            "way": way,
            "may_propose": self._may_propose,
            "treats": self._treats,
            "pending": "" if self.looked.is_current else LOOKED_AT,
            "planned": planned_words(self.numbers, self.foot, QUANTITY),
            "has_readings": bool(self.numbers.series(self.foot, QUANTITY)),
            **(self._start_words(start) if start else {}),
            **(self._way_words(start, way) if start and way else {}),
        }
        return render(self.request, "measurements/steps.html", shown, status=status)

    def _vet_numbers(self) -> list[dict[str, str]]:
        """Whom to ring; the vet needs nobody's number for a question to the vet."""
        asks = self.dangers.films_of(self.foot) and self.access.role != Role.VET
        return vet_numbers(self.access, team_for(self.access)) if asks else []

    def _start_words(self, start: Start) -> dict[str, Any]:
        level = start.level.value
        return {
            "level": value_words(QUANTITY, level),
            "level_likely": range_words(QUANTITY, start.level.low, start.level.high, "deg"),
            "band": target_words(start.target, "deg"),
            "few_visits": start.level.visits < 3,
            "near": NEAR_EDGE if start.is_inside and not start.is_surely_inside else "",
            "length": last_words(self.measured, self.person.length_unit),
        }

    def _way_words(self, start: Start, way: StepsWay) -> dict[str, Any]:
        unit = self.person.length_unit
        return {
            "rows": [
                StepRow(
                    on,
                    value_words(QUANTITY, abs(step.change_deg)),
                    value_words(QUANTITY, step.aim_deg),
                    raise_words(step.change_deg, way.length_mm, unit),
                    sole_step_words(step.sole_mm, unit),
                )
                for on, step in zip(way.days, way.plan.steps, strict=True)
            ],
            "end": value_words(QUANTITY, way.plan.steps[-1].aim_deg),
            "steeper": way.rate_per_visit > 0,
            "chosen_length": length_words(way.length_mm, unit),
            "one_degree": raise_words(1.0, way.length_mm, unit),
            "horn": horn_words(self.access.horse.interval_days, start.level.value, unit),
            "fast": FAST if way.plan.is_fast else "",
            "limited": way.plan.limited_by_horn,
            "sole": sole_left_words(
                film_of(self.numbers.readings, self.foot, SOLE), way, unit, self.today
            ),
            "load": NAVICULAR_LOAD_CAUTION,
        }
