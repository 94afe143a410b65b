"""A band is set: by the vet for a treatment, by the farrier as a routine aim."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.errors import Conflict
from caseboard.lib.flash_saved import saved
from horses.access import CaseAccess, access_get, may, require
from horses.accounts.request import SignedInRequest
from horses.models import Person
from horses.views.attempt import attempt
from measurements.forms.target import TargetForm
from measurements.hoof.feet import Foot
from measurements.hoof.quantities import QUANTITIES, Moment, TrimState
from measurements.hoof.trend import TooFewReadings
from measurements.hoof.units import format_number, from_base
from measurements.models import Target
from measurements.panels.offered import foot_words, last_words
from measurements.queries.numbers import Numbers
from measurements.queries.numbers_kept import numbers_kept
from measurements.series.words import range_words, target_words
from measurements.services.targets import target_set
from measurements.verdicts.bands import trend_of
from measurements.wording import shown_unit

REUSED = (
    "This band was set before with other numbers; see the plan. Nothing was saved now. If you mean "
    "another band, save once more."
)


@dataclass(frozen=True)
class NowLine:
    """One foot as it stands now in the chosen quantity."""

    foot: str
    words: str
    filmed: str
    after: str
    before: str
    level: str
    bands: tuple[str, ...]
    chosen: bool


@require_http_methods(["GET", "POST"])
def target_new(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "target.routine")
    now = clock.now()
    numbers = numbers_kept(access.horse, today=now.date())
    may_treat = may(access, "target.therapeutic")
    form = TargetForm(
        request.POST if request.method == "POST" else None,
        initial=_opened_for(request, numbers),
        numbers=numbers,
        may_treat=may_treat,
        length_unit=request.user.length_unit,
        side_words=request.user.side_words,
        today=now.date(),
    )
    page = _TargetPage(request, access, form)
    if request.method == "GET":
        return page.answer(200)
    if not form.is_valid():
        return page.answer(422)
    try:
        answer = attempt(
            form,
            lambda: target_set(
                access=access,
                band=form.band(),
                seen_id=form.cleaned_data["seen"],
                client_key=form.key,
                now=now,
            ),
            sent_before=REUSED,
        )
    except PermissionDenied:  # the vet took this item over between reading and saving
        form.add_error("moment", "The vet has set a band for this. Ask the vet to change it.")
        return page.answer(422)
    if answer.conflict:
        form.see_newest()
    target = answer.made
    if target is None:
        return page.answer(answer.status, answer.conflict)
    saved(request, _saved_words(target), keep=page.keep)
    item = target.plan_version.item if target.plan_version else None
    if item is None:
        return redirect("board", case_id=case_id)
    return redirect("plan_item", case_id=case_id, item_id=item.public_id)


def _saved_words(target: Target) -> str:
    kind = "The target" if target.therapeutic else "The aim"
    return f"{kind} is set and stands on the plan. It counts as agreed when all three have said so."


def _opened_for(request: SignedInRequest, numbers: Numbers) -> dict[str, Any]:
    """The foot and quantity that the page was opened for, with the band that stands for them."""
    foot, quantity = request.GET.get("foot", ""), request.GET.get("quantity", "")
    moment = request.GET.get("moment", "")
    chosen: dict[str, Any] = {}
    if foot in list(Foot):
        chosen["foot"] = foot
    if quantity in QUANTITIES:
        chosen["quantity"] = quantity
    filmed = quantity in QUANTITIES and QUANTITIES[quantity].is_filmed
    usual = Moment.ANY_TIME if filmed else Moment.AFTER_TRIM
    chosen["moment"] = moment if moment in list(Moment) else usual.value
    present = numbers.targets.get((foot, quantity), [])
    for target in present:
        if target.moment == chosen["moment"]:
            chosen |= _band_initial(target, request.user.length_unit)
    return chosen


def _band_initial(target: Target, length_unit: str) -> dict[str, str]:
    unit, decimals = shown_unit(target.quantity, length_unit), QUANTITIES[target.quantity].decimals
    more = {"cm": 1, "in": 2}.get(unit, 0)

    def shown(edge: Decimal | None) -> str:
        if edge is None:
            return ""
        rounded = format_number(from_base(edge, unit), decimals + more)  # type: ignore[arg-type]
        return format_number(Decimal(rounded))

    return {"low": shown(target.low), "high": shown(target.high), "reason": target.reason}


class _TargetPage:
    """The form, with how the feet stand now beside it."""

    def __init__(self, request: SignedInRequest, access: CaseAccess, form: TargetForm) -> None:
        self.request, self.access, self.form = request, access, form
        self.keep = f"target-{access.case.public_id}"

    @property
    def _person(self) -> Person:
        return self.request.user

    def answer(self, status: int, conflict: Conflict | None = None) -> HttpResponse:
        form, quantity = self.form, self.form.chosen_quantity
        chosen = str(form["foot"].value() or "")
        shown = {
            "case": self.access.case,
            "horse": self.access.horse,
            "form": form,
            "may_treat": form.may_treat,
            "keep": self.keep,
            "label": QUANTITIES[quantity].label,
            "quantity": quantity,
            "lines": [self._line(foot.value, quantity, chosen) for foot in Foot],
            "conflict": conflict,
            "pairs": conflict.pairs() if conflict else [],
        }
        return render(self.request, "measurements/target_new.html", shown, status=status)

    def _line(self, foot: str, quantity: str, chosen: str) -> NowLine:
        numbers, unit = self.form.numbers, shown_unit(quantity, self._person.length_unit)
        return NowLine(
            foot=foot,
            words=foot_words(foot, self._person.side_words),
            filmed=self._filmed(foot, quantity),
            after=self._last(foot, quantity, TrimState.AFTER),
            before=self._last(foot, quantity, TrimState.BEFORE),
            level=_level_words(numbers, foot, quantity, unit),
            bands=tuple(target_words(t, unit) for t in numbers.targets.get((foot, quantity), [])),
            chosen=foot == chosen,
        )

    def _filmed(self, foot: str, quantity: str) -> str:
        """The newest film, whenever it was taken; "" for what is measured at the trim."""
        if not QUANTITIES[quantity].is_filmed:
            return ""
        newest = self.form.numbers.latest(foot, quantity)
        return last_words(newest, self._person.length_unit)

    def _last(self, foot: str, quantity: str, state: TrimState) -> str:
        reading = self.form.numbers.latest_before(foot, quantity, state)
        return last_words(reading, self._person.length_unit)


def _level_words(numbers: Numbers, foot: str, quantity: str, unit: str) -> str:
    """ "50.1 to 51.9°": where the foot stands just after a trim, growth allowed for."""
    trend = trend_of(numbers, foot, quantity)
    if isinstance(trend, TooFewReadings):
        return ""
    return range_words(quantity, trend.level_low, trend.level_high, unit)
