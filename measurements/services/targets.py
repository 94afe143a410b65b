"""Targets: a band with its reason, put on the plan for everyone's agreement."""

from dataclasses import asdict, dataclass
from datetime import date, datetime
from decimal import Decimal

from caseboard.lib.errors import Conflict
from horses.access import CaseAccess, require
from horses.domain.wording import day_words
from horses.models import Horse, PlanItem, PlanItemVersion
from horses.services.deed import DeedRefused, deed
from horses.services.plan import ItemContent, latest_version, plan_item_propose, plan_item_revise
from horses.services.visit_planning import horse_lock
from measurements.hoof.feet import Foot, label
from measurements.hoof.quantities import QUANTITIES, Moment
from measurements.hoof.units import format_entered
from measurements.models import Target
from measurements.queries.numbers import bands_in_force, in_force_on
from measurements.wording import edges_words


@dataclass(frozen=True)
class Band:
    """A band in base units, one side of it open or none, and the moment that it holds for."""

    foot: str
    quantity: str
    moment: str
    low: Decimal | None
    high: Decimal | None
    from_on: date
    reason: str
    therapeutic: bool


def band_words(band: Band) -> str:
    """ "Left fore toe angle 50 to 54° just after the trim" for the plan and the paper."""
    quantity = QUANTITIES[band.quantity]
    ends = [
        "" if edge is None else format_entered(edge.normalize(), quantity.unit)
        for edge in (band.low, band.high)
    ]
    foot = label(Foot(band.foot)).capitalize()
    what = f"{foot} {quantity.label_on(Foot(band.foot))}"
    return f"{what} {edges_words(*ends)} {Moment(band.moment).label}"


def band_check(band: Band) -> None:
    quantity = QUANTITIES[band.quantity]
    edges = [edge for edge in (band.low, band.high) if edge is not None]
    if not edges:
        raise DeedRefused("Write down at least one end of the band.")
    if band.low is not None and band.high is not None and band.low >= band.high:
        raise DeedRefused("The lower end must be below the upper end.")
    if not all(quantity.possible_low <= edge <= quantity.possible_high for edge in edges):
        raise DeedRefused(f"No horse has a {quantity.label} like this. Look at the unit.")
    if not band.reason.strip():
        raise DeedRefused("Say why: the others agree to the reason as well.")


def _content(band: Band) -> ItemContent:
    return ItemContent(
        kind=PlanItem.Kind.TARGET,
        therapeutic=band.therapeutic,
        text=band_words(band),
        who_does="farrier",
        from_on=band.from_on,
        target={
            "foot": band.foot,
            "quantity": band.quantity,
            "moment": band.moment,
            "low": _kept(band.low),
            "high": _kept(band.high),
        },
        reason=band.reason,
    )


def _kept(edge: Decimal | None) -> str | None:
    return None if edge is None else f"{edge.normalize():f}"


def target_set(
    *,
    access: CaseAccess,
    band: Band,
    seen_id: str | None = None,
    client_key: str = "",
    now: datetime,
) -> Target:
    """Sets a band. It is looked at from its day on; the plan shows who has agreed to it.

    Setting another band for the same foot, quantity and moment changes the same plan item. What
    stands in the place of the vet's therapeutic band, on whichever board, is the vet's to set.

    `seen_id` is the newest band of the horse that the person saw ("": there was none; None: not
    asked). Raises Conflict when somebody has set this same band since.
    """
    action = "target.therapeutic" if band.therapeutic else "target.routine"
    with deed(access, action, now=now, key=client_key) as act:
        band_check(band)
        payload = {"case": access.case.public_id, "band": band}
        if earlier := act.made_before(Target, payload):
            return earlier
        horse_lock(access.horse)
        if _replaces_therapeutic(access.horse, band, now.date()):
            require(access, "target.therapeutic")
        if seen_id is not None:
            _nobody_set_it_since(access.horse, band, seen_id)
        version = _plan_version(access, band, now)
        target = act.row(
            Target.objects.create(
                **asdict(band),
                horse=access.horse,
                plan_version=version,
                set_by=access.person,
                set_role=access.role,
                set_at=now,
            )
        )
        after = {
            "band": band_words(band),
            "reason": band.reason,
            "from": str(band.from_on),
            "therapeutic": band.therapeutic,
        }
        act.line("target.set", target, after=after)
        act.evaluate()
        return act.made(target)


def newest_target_id(horse: Horse) -> str:
    newest = Target.objects.filter(horse=horse).order_by("pk").last()
    return newest.public_id if newest else ""


def _nobody_set_it_since(horse: Horse, band: Band, seen_id: str) -> None:
    bands = Target.objects.filter(horse=horse).select_related("plan_version", "set_by")
    seen = bands.filter(public_id=seen_id).first() if seen_id else None
    same = bands.filter(foot=band.foot, quantity=band.quantity, moment=band.moment)
    newest = same.order_by("pk").last()
    if newest is None or (seen is not None and newest.pk <= seen.pk):
        return
    theirs = {
        "band": newest.plan_version.text if newest.plan_version else "",
        "from": day_words(newest.from_on),
        "reason": newest.reason,
    }
    mine = {"band": band_words(band), "from": day_words(band.from_on), "reason": band.reason}
    raise Conflict(mine, theirs, who=str(newest.set_by), at=newest.set_at)


def _replaces_therapeutic(horse: Horse, band: Band, today: date) -> bool:
    """Whether a therapeutic band is in force on the new one's first day, or comes later."""
    key = (band.foot, band.quantity, band.moment)
    bands = [t for t in bands_in_force(horse) if (t.foot, t.quantity, t.moment) == key]
    first = max(today, band.from_on)
    days = [first, *(t.from_on for t in bands if t.from_on > first)]
    return any(t.therapeutic for day in days for t in in_force_on(bands, day).values())


def _plan_version(access: CaseAccess, band: Band, now: datetime) -> PlanItemVersion:
    earlier = (
        Target.objects.filter(
            horse=access.horse,
            foot=band.foot,
            quantity=band.quantity,
            moment=band.moment,
            plan_version__item__status=PlanItem.Status.OPEN,
            plan_version__item__case=access.case,
        )
        .select_related("plan_version__item")
        .last()
    )
    content = _content(band)
    if earlier is None or earlier.plan_version is None:
        return latest_version(plan_item_propose(access=access, content=content, now=now))
    item = earlier.plan_version.item
    return plan_item_revise(
        access=access,
        item_id=item.public_id,
        content=content,
        now=now,
        seen_version=latest_version(item).number,
        with_numbers=True,
    )
