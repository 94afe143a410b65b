"""Steps to a band: a change spread over several trims, put on the plan for everyone's agreement."""

import math
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from caseboard.lib.errors import Conflict
from horses.access import CaseAccess, require
from horses.models import Horse, PlanItem, PlanItemVersion
from horses.services.deed import DeedRefused, deed
from horses.services.plan import ItemContent, latest_version, plan_item_propose, plan_item_revise
from horses.services.visit_planning import horse_lock
from measurements.hoof.drift.priors import DRIFT_QUANTITIES
from measurements.hoof.feet import Foot
from measurements.hoof.steps import LARGEST_STEP_DEG, MAX_STEPS
from measurements.queries.dangers import film_dangers
from measurements.queries.films import SOLE
from measurements.queries.numbers import current_readings, targets_in_force
from measurements.queries.planned import is_believable, lead_band
from measurements.queries.reading_values import reading_values

THIN = (
    "The sole of this foot was under 15 mm on the last film, and every step that is trimmed takes "
    "some. Ask the vet what may be done."
)


@dataclass(frozen=True)
class Steps:
    """An even change at each of so many trims, the first on or after `from_on`; base unit, signed.

    `text` says it to people. `therapeutic`: under the vet's direction.
    """

    foot: str
    quantity: str
    rate_per_visit: float
    visits: int
    from_on: date
    therapeutic: bool
    text: str
    reason: str

    @property
    def movement(self) -> dict[str, Any]:
        """What the drift method reads as movement that was planned."""
        return {
            "foot": self.foot,
            "quantity": self.quantity,
            "rate_per_visit": self.rate_per_visit,
            "visits": self.visits,
            "from_on": self.from_on.isoformat(),
        }


def steps_check(steps: Steps) -> None:
    """Raises DeedRefused for steps that nobody could carry out."""
    if steps.foot not in list(Foot) or steps.quantity not in DRIFT_QUANTITIES:
        raise DeedRefused("Steps are planned for the toe or heel angle of one foot.")
    rate = steps.rate_per_visit
    if not math.isfinite(rate) or not 0 < abs(rate) <= LARGEST_STEP_DEG:
        raise DeedRefused(f"A change per visit is more than 0 and at most {LARGEST_STEP_DEG:g}°.")
    if not 1 <= steps.visits <= MAX_STEPS:
        raise DeedRefused(f"Steps are planned over 1 to {MAX_STEPS} visits.")
    if not steps.reason.strip():
        raise DeedRefused("Say why: the others agree to the reason as well.")


def steps_propose(
    *,
    access: CaseAccess,
    steps: Steps,
    seen_version: int | None = None,
    client_key: str = "",
    now: datetime,
) -> PlanItem:
    """Proposes the steps as a plan item; once all agree, the movement counts as planned.

    Steps proposed again for the same foot and angle are a new version of the same item. Towards a
    band of the vet's, only the vet proposes them. `seen_version` is the version of that item that
    the person saw (0: there was none; None: not asked); Conflict is raised when it is another.
    """
    action = "target.therapeutic" if steps.therapeutic else "target.routine"
    with deed(access, action, now=now, key=client_key) as act:
        _may_stand(access, steps, now.date())
        payload = {"case": access.case.public_id, "steps": steps}
        if before := act.made_before(PlanItem, payload):
            return before
        horse_lock(access.horse)
        content, earlier = _content(steps), _earlier(access, steps.foot, steps.quantity)
        current = latest_version(earlier) if earlier else None
        if seen_version is not None and seen_version != (current.number if current else 0):
            raise _changed_since(steps, current)
        if earlier is None or current is None:
            return act.made(plan_item_propose(access=access, content=content, now=now))
        version = plan_item_revise(
            access=access,
            item_id=earlier.public_id,
            content=content,
            now=now,
            seen_version=current.number,
            with_numbers=True,
        )
        return act.made(version.item)


def _may_stand(access: CaseAccess, steps: Steps, today: date) -> None:
    bands = targets_in_force(access.horse, today=today).get((steps.foot, steps.quantity), [])
    if any(band.therapeutic for band in bands) and not steps.therapeutic:
        require(access, "target.therapeutic")
    steps_check(steps)
    if has_thin_sole(access.horse, steps.foot):
        raise DeedRefused(THIN)
    if not is_believable(steps.movement, lead_band(bands)):
        raise DeedRefused("The band these steps lead to cannot be meant. Set the band again.")


def _changed_since(steps: Steps, current: PlanItemVersion | None) -> Conflict:
    return Conflict(
        {"text": steps.text, "reason": steps.reason},
        {"text": current.text, "reason": current.reason} if current else {},
        who=str(current.proposed_by) if current else "",
        at=current.proposed_at if current else None,
    )


def has_thin_sole(horse: Horse, foot: str) -> bool:
    films = current_readings(horse).filter(foot=foot, quantity=SOLE).order_by("taken_on", "pk")
    return bool(film_dangers({(foot, SOLE): reading_values(films)}))


def _content(steps: Steps) -> ItemContent:
    return ItemContent(
        kind=PlanItem.Kind.TRIM,
        therapeutic=steps.therapeutic,
        text=steps.text,
        who_does="farrier",
        from_on=steps.from_on,
        target=steps.movement,
        reason=steps.reason,
    )


def steps_version(access: CaseAccess, foot: str, quantity: str) -> int:
    """The version of the steps that stand on the plan for this foot and angle; 0 without any."""
    earlier = _earlier(access, foot, quantity)
    return latest_version(earlier).number if earlier else 0


def _earlier(access: CaseAccess, foot: str, quantity: str) -> PlanItem | None:
    """The open item of this case that holds steps for the same foot and angle."""
    rows = PlanItemVersion.objects.filter(
        item__case=access.case,
        item__kind=PlanItem.Kind.TRIM,
        item__status=PlanItem.Status.OPEN,
        target__foot=foot,
        target__quantity=quantity,
        target__rate_per_visit__isnull=False,
    ).select_related("item__case")
    last = rows.order_by("pk").last()
    return last.item if last else None
