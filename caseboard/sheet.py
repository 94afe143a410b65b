"""Gathers one plan sheet into one frozen value: everything is read, rounded and worded here.

The page on screen and the printed page draw the same value.
"""

from dataclasses import dataclass, replace
from datetime import date, datetime

import segno
from django.conf import settings
from django.urls import reverse
from django.utils import timezone

from caseboard.board import Mark, age_words, plan_card
from horses.access import Standing
from horses.models import Alert, Horse, Membership, Soundness
from horses.queries import (
    PlanLine,
    alerts_for,
    next_visit,
    open_flags_for,
    plan_for,
    shoeing_now,
    shoeing_words,
    soundness_for,
    team_for,
)
from measurements.charts import Size
from measurements.panels import FootPanel, foot_panels
from measurements.queries import numbers_of

# The chart of a foot on paper: as wide as half the page, little writing on it.
PAPER_CHART = Size("paper", 190, 96, (8, 30, 15, 6), 11, 2.6, 0, 2)

# No page holds more of the plan's words than this, however set: such a draft is not tried.
MOST_CHARACTERS = 6000  # house default: about 60 lines of 100 characters

ROLE_ORDER = ("owner", "farrier", "vet")
# The usual urgent signs, short enough for the stable door. The full list is on the urgent page.
URGENT = (
    "will not put weight on a foot",
    "nail, wire or stone in the sole (leave it in)",
    "rocked back or will not move",
    "hot feet with a pounding pulse",
    "wound at the coronet",
    "swelling up the leg with fever",
)
SOON = "New lameness, a warm foot, a stronger pulse, or heat the day after shoeing"


@dataclass(frozen=True)
class SheetPerson:
    role: str
    name: str
    phone: str


@dataclass(frozen=True)
class SheetItem:
    """One plan item on paper."""

    number: int
    text: str
    who_does: str
    until: str
    reason: str
    therapeutic: bool
    marks: tuple[Mark, ...]
    agreed: bool
    set_alone: bool = False  # by the vet, in force, not agreed yet
    shortened: bool = False


@dataclass(frozen=True)
class Sheet:
    horse_name: str
    horse_words: str
    identity: str
    case_title: str
    is_concern: bool
    closed_words: str
    people: tuple[SheetPerson, ...]
    vacant: tuple[str, ...]
    emergency_name: str
    emergency_phone: str
    panels: tuple[FootPanel, ...]
    shoeing: str
    grade: str
    open_points: tuple[str, ...]
    items: tuple[SheetItem, ...]
    next_visit: str
    signers: tuple[SheetPerson, ...]
    made_on: date
    made_by: str
    address: str
    qr_path: str
    qr_size: int
    case_code: str
    left_off: tuple[str, ...] = ()
    charts: bool = True
    dense: bool = False

    @property
    def has_charts(self) -> bool:
        return any(panel.charts for panel in self.panels)

    @property
    def all_agreed(self) -> bool:
        return bool(self.items) and all(item.agreed for item in self.items)


def sheet_for(standing: Standing, *, now: datetime) -> Sheet:
    """Everything one printed page says, as it stands now, for this person's units."""
    horse, case, person = standing.horse, standing.case, standing.person
    numbers = numbers_of(horse, today=now.date())
    shoeing = shoeing_now(horse)
    team = team_for(standing)
    visit = next_visit(horse)
    grade = soundness_for(standing).first()
    address = settings.SITE_URL + reverse("board", args=[case.public_id])
    qr = segno.make(address, error="m", micro=False)
    people = tuple(SheetPerson(_role(m), str(m.person), m.person.phone) for m in team)
    held = {m.role for m in team}
    signers = [p for p, m in zip(people, team, strict=True) if m.role in ROLE_ORDER]
    signers += [SheetPerson(role, "", "") for role in ROLE_ORDER if role not in held]
    return Sheet(
        horse_name=horse.name,
        horse_words=_about(horse, now.date()),
        identity=_identity(horse),
        case_title=case.title,
        is_concern=case.kind == case.Kind.CONCERN,
        closed_words="" if case.is_open else f"{case.get_outcome_display()}: {case.outcome_words}",
        people=people,
        vacant=tuple(role for role in ROLE_ORDER if role not in held),
        emergency_name=horse.emergency_vet_name,
        emergency_phone=horse.emergency_vet_phone,
        panels=tuple(
            foot_panels(
                numbers, shoeing, frozenset(), length_unit=person.length_unit,
                chart_size=PAPER_CHART,
            )
        ),
        shoeing=shoeing_words(shoeing),
        grade=_grade_words(grade) if grade else "",
        open_points=tuple(_open_points(standing)),
        items=tuple(_item(line, standing) for line in plan_for(standing, open_only=True)),
        next_visit=f"{visit.planned_on:%A %-d %B %Y}" if visit and visit.planned_on else "",
        signers=tuple(signers),
        made_on=now.date(),
        made_by=str(person),
        address=address,
        qr_path=qr_path(qr),
        qr_size=len(qr.matrix),
        case_code=case.public_id,
    )  # fmt: skip


def _grade_words(grade: Soundness) -> str:
    """The grade with what it is worth: on which ground, and after which painkiller."""
    words = f"{grade.grade} on the {grade.get_scale_display()} scale, {grade.seen_on:%-d %b %Y}"
    words += f", {grade.surface}" if grade.surface else ""
    if grade.painkiller:
        words += f", last painkiller: {grade.painkiller}"
        words += f" on {grade.painkiller_on:%-d %b}" if grade.painkiller_on else ""
    return words


def _role(member: Membership) -> str:
    return "stand-in farrier" if member.stand_in else member.role


def _about(horse: Horse, today: date) -> str:
    age = age_words(horse.born_on, today) if horse.born_on else ""
    words = ", ".join(filter(None, [horse.get_sex_display(), age, horse.breed, horse.yard]))
    return words[:1].upper() + words[1:]


def _identity(horse: Horse) -> str:
    parts = [f"chip {horse.microchip}" if horse.microchip else ""]
    parts.append(f"UELN {horse.ueln}" if horse.ueln else "")
    return ", ".join(filter(None, parts))


def _open_points(standing: Standing) -> list[str]:
    """What is wrong, in a line each: open flags, then alerts."""
    points = [
        f"{timezone.localtime(flag.raised_at):%-d %b}: {', '.join(flag.sign_words)}"
        + (f" ({', '.join(flag.feet)})" if flag.feet else "")
        for flag in open_flags_for(standing)
    ]
    alerts = [a for a in alerts_for(standing) if a.weight == Alert.Weight.ALERT]
    skip = {"flag.unanswered"}
    return points + [a.now_sentence for a in alerts if a.rule not in skip]


def _item(line: PlanLine, standing: Standing) -> SheetItem:
    version = line.version
    return SheetItem(
        number=line.item.number,
        text=version.text,
        who_does=version.who_does,
        until=f"{version.until_on:%-d %b %Y}" if version.until_on else "",
        reason=version.reason,
        therapeutic=version.therapeutic,
        marks=plan_card(line, standing).marks,
        agreed=line.state.is_agreed,
        set_alone=line.set_alone and line.in_force,
    )


def qr_path(qr: segno.QRCode) -> str:
    """The dark squares as one SVG path, a unit a module; runs in a row are one rectangle."""
    parts = []
    for y, row in enumerate(qr.matrix):
        x = 0
        while x < len(row):
            run = 0
            while x + run < len(row) and row[x + run]:
                run += 1
            if run:
                parts.append(f"M{x} {y}h{run}v1h-{run}z")
            x += run + 1
    return "".join(parts)


def sheet_drafts(sheet: Sheet) -> list[Sheet]:
    """The same sheet, each draft shorter than the one before; what was left off is said on it.

    Order: closer set, long texts cut, fewer open points, then items from the end. The charts of
    feet without a band go before the words of the plan do.
    """
    dense = replace(sheet, dense=True)
    no_charts = replace(
        dense,
        charts=False,
        left_off=("The charts are on the board.",) if sheet.has_charts else (),
    )
    drafts = [sheet, dense, no_charts]
    for text_limit, points, items in ((260, 4, 14), (160, 3, 12), (110, 2, 10), (80, 1, 8),
                                      (60, 1, 6), (40, 0, 4)):  # fmt: skip
        drafts.append(_shortened(no_charts, text_limit, points, items))
    worth_trying = [draft for draft in drafts if _words_length(draft) <= MOST_CHARACTERS]
    return worth_trying or drafts[-1:]


def _words_length(sheet: Sheet) -> int:
    texts = [*sheet.open_points, *(item.text + item.reason for item in sheet.items)]
    return sum(len(text) for text in texts)


def _cut(text: str, limit: int) -> str:
    return text if len(text) <= limit else text[: limit - 1].rstrip() + "…"


def _shortened(sheet: Sheet, limit: int, points: int, items: int) -> Sheet:
    left_off = list(sheet.left_off)
    kept = tuple(
        replace(
            item,
            text=_cut(item.text, limit),
            reason=_cut(item.reason, limit // 2),
            shortened=len(item.text) > limit,
        )
        for item in sheet.items[:items]
    )
    if any(item.shortened for item in kept):
        left_off.append("Long texts are cut (…): the board has them whole.")
    if len(sheet.items) > items:
        numbers = ", ".join(str(item.number) for item in sheet.items[items:])
        left_off.append(f"Plan items {_cut(numbers, 60)} are on the board only.")
    if len(sheet.open_points) > points:
        left_off.append(f"{len(sheet.open_points) - points} more open points are on the board.")
    return replace(
        sheet,
        items=kept,
        open_points=tuple(_cut(point, limit * 2) for point in sheet.open_points[:points]),
        people=tuple(replace(p, name=_cut(p.name, 40)) for p in sheet.people[:8]),
        horse_name=_cut(sheet.horse_name, 60),
        left_off=tuple(left_off),
    )
