"""Gathers one plan sheet into one frozen value: everything is read, rounded and worded here.

It holds what the whole team may read and nothing else: no notes, no words of answers.
"""

from dataclasses import replace
from datetime import date
from typing import Any

from caseboard.case_reading import CaseReading
from caseboard.case_words import age_words, feet_needing, team_label
from caseboard.lib.words import foot_label, own_sides
from caseboard.sheets.plan_comparison import outcome_numbers, since_words, with_then
from caseboard.sheets.plan_items import closed_items, sheet_item
from caseboard.sheets.plan_points import points_of
from caseboard.sheets.plan_value import (
    ROLE_ORDER,
    Sheet,
    SheetBand,
    SheetFoot,
    SheetNumber,
    SheetPerson,
    SheetValue,
    thaw,
)
from horses.ledger.append import content_of
from horses.models import Alert, Case, Horse, Membership, Soundness, Visit
from measurements.charts.draw import Size
from measurements.hoof.quantities import QUANTITIES
from measurements.panels.feet import FootPanel, ValueLine, foot_panels, moment_words
from measurements.panels.side_view import side_story
from measurements.queries.dangers import films_short, item_words
from measurements.series.foot_side import foot_side
from measurements.verdicts.bands import band_look
from measurements.verdicts.jump_words import JUMPED
from measurements.verdicts.trend_short import band_short, measured_now, trend_short
from measurements.wording import shown_unit

# The chart of a foot on paper, little writing on it. Printed at least a quarter of a millimetre
# the unit: 13 units are 9.2 pt.
PAPER_CHART = Size("paper", 128, 84, (8, 5, 16, 27), 13, 2.3, 2, 2, is_thin=True)
PASTERN_MM = 45.0  # as much of the leg as a small side view has room for. House default.


def sheet_for(reading: CaseReading) -> Sheet:
    """Everything one printed page says, as it stands now, for this person's units and words.

    A draft: its number and its code come when it is issued.
    """
    sheet, before = _as_it_stands(reading), reading.sheet_before
    if before is not None:
        then = thaw(content_of(before.content))
        sheet = with_then(sheet, then, reading.person.length_unit)
        sheet = replace(sheet, since=since_words(before.number, before.issued_at))
    return sheet if reading.case.is_open else _closing(sheet, reading.case)


def _as_it_stands(reading: CaseReading) -> Sheet:
    horse, case, person, today = reading.horse, reading.case, reading.person, reading.today
    urgent, points = points_of(reading.open_flags, reading.team_alerts, person)
    people = tuple(_person(member) for member in reading.team)
    vacant = _vacant(reading.team)
    return Sheet(
        horse_name=horse.name,
        horse_words=_about(horse, today),
        identity=_identity(horse),
        case_title=case.title,
        is_concern=case.kind == case.Kind.CONCERN,
        people=people,
        vacant=vacant,
        emergency_name=horse.emergency_vet_name,
        emergency_phone=horse.emergency_vet_phone,
        danger=horse.danger,
        feet=_feet(reading),
        shoeing=own_sides(reading.numbers.shoes.short, person),
        grade=_grade_words(reading.grade) if reading.grade else "",
        films=tuple(films_short(reading.films, person, today)),
        before_cutting=tuple(item_words(item) for item in reading.cutting),
        urgent_points=tuple(urgent),
        open_points=tuple(points),
        items=tuple(sheet_item(line, reading.access) for line in reading.open_plan),
        closed_items=closed_items(reading.plan, reading.sheet_before, person),
        next_visit=_visit_words(reading.next_visit),
        signers=_signers(people, reading.team, vacant),
        made_on=today,
        made_by=str(person),
        case_code=case.public_id,
        numbers=tuple(SheetNumber(**vars(n)) for n in measured_now(reading.case_numbers)),
    )


# -- who


def _person(member: Membership) -> SheetPerson:
    return SheetPerson(_role_words(member), str(member.person), member.person.phone)


def _vacant(team: list[Membership]) -> tuple[str, ...]:
    held = {member.role for member in team}
    return tuple(role for role in ROLE_ORDER if role not in held)


def _signers(
    people: tuple[SheetPerson, ...], team: list[Membership], vacant: tuple[str, ...]
) -> tuple[SheetPerson, ...]:
    """A place for each of the three that agree, and an empty one for a role that nobody has."""
    there = [p for p, member in zip(people, team, strict=True) if member.role in ROLE_ORDER]
    return (*there, *(SheetPerson(role, "", "") for role in vacant))


def _role_words(member: Membership) -> str:
    """The whole sentence, with who invited them, stands on the board."""
    return f"{team_label(member)}, new here" if member.is_new_here else team_label(member)


def _about(horse: Horse, today: date) -> str:
    age = age_words(horse.born_on, today) if horse.born_on else ""
    words = ", ".join(filter(None, [horse.get_sex_display(), age, horse.breed, horse.yard]))
    return words[:1].upper() + words[1:]


def _identity(horse: Horse) -> str:
    parts = [f"chip {horse.microchip}" if horse.microchip else ""]
    parts.append(f"UELN {horse.ueln}" if horse.ueln else "")
    return ", ".join(filter(None, parts))


# -- how it stands


def _visit_words(visit: Visit | None) -> str:
    return f"{visit.planned_on:%A %-d %b %Y}" if visit and visit.planned_on else ""


def _grade_words(grade: Soundness) -> str:
    """The grade with what it is worth: on which ground, and after which painkiller."""
    words = f"{grade.grade} on the {grade.get_scale_display()} scale, {grade.seen_on:%-d %b %Y}"
    words += f", {grade.surface}" if grade.surface else ""
    if grade.painkiller:
        words += f", last painkiller: {grade.painkiller}"
        words += f" on {grade.painkiller_on:%-d %b %Y}" if grade.painkiller_on else ""
    return words


# -- the feet


Jumped = frozenset[tuple[str, str]]  # foot and quantity


def _feet(reading: CaseReading) -> tuple[SheetFoot, ...]:
    person, numbers = reading.person, reading.case_numbers
    jumped = frozenset((seen.start.foot, seen.start.quantity) for seen in reading.jumps)
    heavy = [alert for alert in reading.team_alerts if alert.weight == Alert.Weight.ALERT]
    panels = foot_panels(
        numbers,
        numbers.shoes.worn,
        feet_needing(reading.open_flags, heavy),
        length_unit=person.length_unit,
        chart_size=PAPER_CHART,
    )
    return tuple(
        SheetFoot(
            foot=panel.foot,
            label=foot_label(panel.foot, person),
            shoeing=panel.shoeing_words,
            marked=panel.needs,
            values=_values(reading, panel, jumped),
            **_side(reading, panel),
        )
        for panel in panels
    )


def _side(reading: CaseReading, panel: FootPanel) -> dict[str, Any]:
    """The foot from the side, and of which days it is where that stands nowhere else."""
    story = side_story(reading.case_numbers, panel.foot)
    unit = reading.person.length_unit
    found = foot_side(story, unit, plain=True, pastern_mm=PASTERN_MM) if story else None
    if story is None or found is None or not found.drawn.hoof:
        return {}  # the toe's line alone says nothing on paper that its number does not
    now = moment_words(story.now.trim_state, story.now.on)
    days = [] if now == panel.common_when else [f"thick: {now}"]
    days += [f"dashed: {story.then.on:%-d %b %Y}"] if story.then else []
    words = [f"{'; '.join(days)}."] if days else []
    return {"side": found.drawn, "side_words": " ".join([*words, *found.sentences])}


def _values(reading: CaseReading, panel: FootPanel, jumped: Jumped) -> tuple[SheetValue, ...]:
    """The quantities with a band first, those not measured yet too; then the others."""
    made = [_value(reading, panel.foot, line, jumped) for line in panel.lines]
    known = {line.quantity for line in panel.lines}
    for (foot, quantity), targets in reading.case_numbers.targets.items():
        if foot == panel.foot and quantity not in known:
            unit = shown_unit(quantity, reading.person.length_unit)
            bands = tuple(SheetBand(*band_short(target, None, unit)) for target in targets)
            label = QUANTITIES[quantity].label
            made.append(SheetValue(quantity, label, "", "", targets[0].from_on, bands))
    return tuple(sorted(made, key=lambda value: not value.bands))


def _value(reading: CaseReading, foot: str, line: ValueLine, jumped: Jumped) -> SheetValue:
    numbers = reading.case_numbers
    targets = numbers.targets.get((foot, line.quantity), [])
    unit = shown_unit(line.quantity, reading.person.length_unit)
    wanted = bool(targets) or line.quantity == "toe_angle"
    verdict = reading.verdicts.get(foot)
    trend = trend_short(numbers, foot, line.quantity, verdict, unit) if wanted else ""
    return SheetValue(
        quantity=line.quantity,
        label=line.label,
        value=line.value,
        when=line.when,
        on=line.on,
        bands=tuple(SheetBand(*band_short(t, band_look(numbers, t), unit)) for t in targets),
        trend=JUMPED if (foot, line.quantity) in jumped else trend,
        chart=line.chart,
    )


# -- the end


def _closing(sheet: Sheet, case: Case) -> Sheet:
    return replace(
        sheet,
        outcome=case.get_outcome_display(),
        outcome_words=case.outcome_words,
        outcome_numbers=outcome_numbers(sheet),
    )
