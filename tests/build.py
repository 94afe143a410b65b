"""Builders: the smallest way for a test to get a thing, through the services people use."""

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from caseboard.case_reading import CaseReading
from caseboard.sheets.plan_gather import sheet_for
from caseboard.sheets.plan_value import freeze
from horses.access import CaseAccess, access_get
from horses.models import Alert, Flag, Horse, Note, PlanItem, PlanSheet, Visit
from horses.rules.alert_life import Lives
from horses.rules.engine import Finding
from horses.services.flags import flag_raise
from horses.services.notes import note_write
from horses.services.plan import ItemContent, plan_item_propose
from horses.services.sheets import sheet_issue
from horses.services.visits import WorkDone, visit_record
from measurements.hoof.quantities import QUANTITIES
from measurements.models import Reading, Target
from measurements.services.readings import Taken, readings_record
from measurements.services.targets import Band, target_set

TEAM = frozenset({"owner", "farrier", "vet", "carer"})


def flag(access: CaseAccess, now: datetime, *signs: str, words: str = "", **more: Any) -> Flag:
    fields: dict[str, Any] = {"feet": ["LF"], "since_on": None, **more}
    return flag_raise(
        access=access, signs=list(signs or ("short_stride",)), words=words, now=now, **fields
    )


def note(
    access: CaseAccess, now: datetime, body: str = "A note.", audience: Iterable[str] = TEAM
) -> Note:
    return note_write(access=access, body=body, audience=frozenset(audience), now=now)


def content(text: str = "Keep on soft ground.", **more: Any) -> ItemContent:
    fields: dict[str, Any] = {"kind": "home", "therapeutic": False, "who_does": "owner", **more}
    return ItemContent(text=text, **fields)


def plan_item(access: CaseAccess, now: datetime, **more: Any) -> PlanItem:
    return plan_item_propose(access=access, content=content(**more), now=now)


def taken(foot: str, quantity: str, value: float | str, **more: Any) -> Taken:
    unit = QUANTITIES[quantity].unit
    number = Decimal(str(value))
    fields: dict[str, Any] = {
        "method": "gauge" if unit == "deg" else "tape",
        "trim_state": "after",
        "shoeing": "shod",
        "confirmed_odd": True,
        **more,
    }
    return Taken(
        foot=foot,
        quantity=quantity,
        value=number,
        entered_value=number,
        entered_unit=unit,
        entered_text=str(value),
        **fields,
    )


def reading(
    access: CaseAccess,
    now: datetime,
    foot: str,
    quantity: str,
    value: float | str,
    on: date,
    **more: Any,
) -> Reading:
    rows = readings_record(
        access=access, taken_on=on, readings=[taken(foot, quantity, value, **more)], now=now
    )
    return rows[0]


def series(
    access: CaseAccess,
    now: datetime,
    levels: Iterable[float],
    *,
    foot: str = "LF",
    quantity: str = "toe_angle",
    fall: float = 2.6,
    interval_days: int = 49,
    shoeing: str = "shod",
) -> None:
    """A before and an after reading at each of evenly spaced trims, the last one 10 days ago."""
    levels = list(levels)
    first = now.date() - timedelta(days=10 + interval_days * (len(levels) - 1))
    for index, level in enumerate(levels):
        on = first + timedelta(days=interval_days * index)
        rows = [taken(foot, quantity, level, trim_state="after", shoeing=shoeing)]
        if index:
            before = levels[index - 1] - fall
            rows.insert(0, taken(foot, quantity, before, trim_state="before", shoeing=shoeing))
        at = datetime.combine(on, now.time(), tzinfo=now.tzinfo)
        readings_record(access=access, taken_on=on, readings=rows, now=at)


def visit(access: CaseAccess, now: datetime, on: date, **more: Any) -> Visit:
    work = [WorkDone(foot=f, trimmed=True, shoeing_left="shod") for f in ("LF", "RF", "LH", "RH")]
    return visit_record(access=access, kept_on=on, work=more.pop("work", work), now=now, **more)


def band(**more: Any) -> Band:
    fields: dict[str, Any] = {
        "foot": "LF",
        "quantity": "toe_angle",
        "moment": "after",
        "low": Decimal(50),
        "high": Decimal(54),
        "from_on": date(2026, 10, 1),
        "reason": "Straight axis on the films.",
        "therapeutic": True,
        **more,
    }
    return Band(**fields)


def target(access: CaseAccess, now: datetime, **more: Any) -> Target:
    return target_set(access=access, band=band(**more), now=now)


def sheet(access: CaseAccess, now: datetime) -> PlanSheet:
    """The plan sheet as it stands, issued; its pages wait to be drawn."""
    fresh = access_get(access.person, access.case.public_id)
    return sheet_issue(
        access=fresh,
        content=freeze(sheet_for(CaseReading(fresh, now))),
        seen_seq=fresh.case.last_seq,
        now=now,
    )


def alert(horse: Horse, finding: Finding, now: datetime) -> Alert:
    """The finding as the judge raises it, with who is told."""
    lives = Lives(horse, now)
    lives.take({finding.key: finding})
    lives.tell()
    return lives.open[finding.key]
