"""Which open items of the plan warn whoever is about to cut, and at which feet. Pure.

Those under the vet's direction that are about the cutting (trim, shoeing, the farrier's job), and
any that forbids something of a foot ("no wedges", "leave the toe"), agreed already or not: not to do
a thing harms less than to do it. Other things to do are tasks and stand as such; bands stand beside
their values. An item that names no foot holds for all four.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from caseboard.lib.words import FEET
from horses.models import PlanItem, PlanItemVersion, Role

CUTTING = (PlanItem.Kind.TRIM, PlanItem.Kind.SHOE)
FORBIDS = re.compile(r"\b(no|not|never|don.?t|avoid|without|leave)\b", re.IGNORECASE)
_OF_A_FOOT = re.compile(
    r"\b(trim|cut|rasp|wedge|pad|shoe|shod|nail|toe|heel|sole|frog|bar|hoof|foot|feet|hooves)",
    re.IGNORECASE,
)
_SIDES = {"left": "L", "near": "L", "right": "R", "off": "R"}
_ENDS = {"fore": "F", "front": "F", "hind": "H"}
# "Off fore" is a side where a phrase begins with it; in "two mm off front feet" it is none.
_ONE = re.compile(
    r"\b(left|near|right)[\s-]+(fore|front|hind)\b"
    r"|(?:^|[.,;:(]\s*|\b(?:the|and|or|on)\s+)(off)[\s-]+(fore|front|hind)\b"
    r"|\b([LR][FH])\b",
    re.IGNORECASE,
)
_PAIR = re.compile(
    r"(?<!left )(?<!right )(?<!near )\b(fores|fronts|hinds|(?:fore|front|hind)\s+(?:feet|hooves|shoes))\b",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class CutItem:
    """One such item: its number and words, the feet it holds for, and whether all have agreed."""

    number: int
    text: str
    feet: tuple[str, ...]
    agreed: bool

    @property
    def is_of_all(self) -> bool:
        return len(self.feet) == len(FEET)


def cut_item(
    item: PlanItem, version: PlanItemVersion, *, agreed: bool, today: date
) -> CutItem | None:
    """The item as a warning, from the day it is proposed until its last day; None for others."""
    over = version.until_on is not None and version.until_on < today
    if item.status != PlanItem.Status.OPEN or over or not _warns(item, version):
        return None
    return CutItem(item.number, version.text, feet_named(version), agreed)


def _warns(item: PlanItem, version: PlanItemVersion) -> bool:
    if item.kind == PlanItem.Kind.TARGET:
        return False
    cutting = item.kind in CUTTING or version.who_does == Role.FARRIER
    if version.therapeutic and cutting:
        return True
    about_feet = item.kind in CUTTING or _OF_A_FOOT.search(version.text)
    return bool(about_feet and FORBIDS.search(version.text))


def feet_named(version: PlanItemVersion) -> tuple[str, ...]:
    """The feet that an item is about: its target's, else those its words name, else all."""
    of_target = (version.target or {}).get("foot")
    if of_target in FEET:
        return (str(of_target),)
    named = {_code(match) for match in _ONE.finditer(version.text)}
    for match in _PAIR.finditer(version.text):
        end = "H" if match.group().lower().startswith("hind") else "F"
        named |= {f"L{end}", f"R{end}"}
    return tuple(foot for foot in FEET if foot in named) or tuple(FEET)


def _code(match: re.Match[str]) -> str:
    left, end, off, off_end, code = match.groups()
    if code:
        return str(code).upper()
    return _SIDES[(left or off).lower()] + _ENDS[(end or off_end).lower()]


def in_order(items: Iterable[CutItem]) -> tuple[CutItem, ...]:
    """One warning once, those that name a foot first."""
    idempotent = {(item.number, item.text): item for item in items}
    return tuple(sorted(idempotent.values(), key=lambda item: (item.is_of_all, item.number)))
