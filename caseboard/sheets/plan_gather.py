"""Gathers one plan sheet into one frozen value: everything is read, rounded and worded here.

It holds what the whole team may read and nothing else: no notes, no words of answers.
"""

from dataclasses import replace
from datetime import date, datetime

from caseboard.board import age_words, feet_needing, team_label
from caseboard.lib.words import foot_label, own_sides, plan_text
from caseboard.sheets.plan_comparison import outcome_numbers, since_words, with_then
from caseboard.sheets.plan_points import points_of
from caseboard.sheets.plan_value import (
    ROLE_ORDER,
    Sheet,
    SheetBand,
    SheetFoot,
    SheetItem,
    SheetMark,
    SheetNumber,
    SheetPerson,
    SheetValue,
    thaw,
)
from horses.access import CaseAccess
from horses.ledger.append import content_of
from horses.models import Alert, Case, Horse, Membership, Person, PlanItem, PlanSheet, Soundness
from horses.queries.alert_quiet import SILENCE_RULE, open_for_team
from horses.queries.board import alerts_for, next_visit, open_flags_for, soundness_for, team_for
from horses.queries.cutting import cut_items_in
from horses.queries.plan import marks_of
from horses.queries.plan_lines import PlanLine, plan_for
from horses.queries.plan_sheets import sheet_before
from measurements.charts.draw import Size
from measurements.hoof.quantities import QUANTITIES
from measurements.models import FootVerdict
from measurements.panels.feet import FootPanel, ValueLine, foot_panels
from measurements.queries.dangers import film_dangers, films_short, item_words
from measurements.queries.jumps import jumps_standing
from measurements.queries.numbers import Numbers, bands_of_case, numbers_of
from measurements.verdicts.bands import band_look
from measurements.verdicts.jump_words import JUMPED
from measurements.verdicts.trend_short import band_short, measured_now, trend_short, verdicts_of
from measurements.wording import shown_unit

# The chart of a foot on paper: as wide as half the page, little writing on it.
# Printed a quarter of a millimetre the unit: 13 units are 9.2 pt.
PAPER_CHART = Size("paper", 152, 84, (8, 31, 16, 5), 13, 2.3, 0, 2)
# What nobody should act on before it is agreed: bands, trims, shoes, and what the vet leads.
NEW_VET = "Vet new here, not yet confirmed."  # in full on the board; here each line counts
ESSENTIAL = (PlanItem.Kind.TARGET, PlanItem.Kind.TRIM, PlanItem.Kind.SHOE)


def sheet_for(access: CaseAccess, *, now: datetime) -> Sheet:
    """Everything one printed page says, as it stands now, for this person's units and words.

    A draft: its number and its code come when it is issued.
    """
    horse, case = access.horse, access.case
    before = sheet_before(access)
    numbers = numbers_of(horse, today=now.date())
    if not case.is_open:  # the bands ended with the case; its last page compares with them
        numbers = replace(numbers, targets=bands_of_case(access))
    flags, alerts = open_flags_for(access), _alerts(access, now.date())
    urgent, points = points_of(flags, alerts, access.person)
    heavy = [alert for alert in alerts if alert.weight == Alert.Weight.ALERT]
    team = team_for(access)
    held = {m.role for m in team}
    people = tuple(SheetPerson(_role_words(m), str(m.person), m.person.phone) for m in team)
    signers = [p for p, m in zip(people, team, strict=True) if m.role in ROLE_ORDER]
    signers += [SheetPerson(role, "", "") for role in ROLE_ORDER if role not in held]
    visit, grade = next_visit(horse), soundness_for(access).first()
    plan = plan_for(access)
    sheet = Sheet(
        horse_name=horse.name,
        horse_words=_about(horse, now.date()),
        identity=_identity(horse),
        case_title=case.title,
        is_concern=case.kind == case.Kind.CONCERN,
        people=people,
        vacant=tuple(role for role in ROLE_ORDER if role not in held),
        emergency_name=horse.emergency_vet_name,
        emergency_phone=horse.emergency_vet_phone,
        danger=horse.danger,
        feet=_feet(access, numbers, numbers.shoes.worn, feet_needing(flags, heavy), now.date()),
        shoeing=own_sides(numbers.shoes.short, access.person),
        grade=_grade_words(grade) if grade else "",
        films=_films(numbers, access, now.date()),
        before_cutting=tuple(item_words(item) for item in cut_items_in(plan, today=now.date())),
        urgent_points=tuple(urgent),
        open_points=tuple(points),
        items=tuple(_item(line, access) for line in plan if line.is_open),
        closed_items=_closed(plan, before, access.person),
        next_visit=f"{visit.planned_on:%A %-d %B %Y}" if visit and visit.planned_on else "",
        signers=tuple(signers),
        made_on=now.date(),
        made_by=str(access.person),
        case_code=case.public_id,
        numbers=tuple(SheetNumber(**vars(number)) for number in measured_now(numbers)),
    )
    if before is not None:
        sheet = with_then(sheet, thaw(content_of(before.content)), access.person.length_unit)
        sheet = replace(sheet, since=since_words(before.number, before.issued_at))
    return sheet if case.is_open else _closing(sheet, case)


# -- who


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


# -- what is wrong


def _films(numbers: Numbers, access: CaseAccess, today: date) -> tuple[str, ...]:
    return tuple(films_short(film_dangers(numbers.readings), access.person, today))


def _grade_words(grade: Soundness) -> str:
    """The grade with what it is worth: on which ground, and after which painkiller."""
    words = f"{grade.grade} on the {grade.get_scale_display()} scale, {grade.seen_on:%-d %b %Y}"
    words += f", {grade.surface}" if grade.surface else ""
    if grade.painkiller:
        words += f", last painkiller: {grade.painkiller}"
        words += f" on {grade.painkiller_on:%-d %b}" if grade.painkiller_on else ""
    return words


def _alerts(access: CaseAccess, today: date) -> list[Alert]:
    """The remarks, and the alerts that stand open for anybody on the team, as the sheet is for all of
    them; of a closed case those it ended with. An unanswered flag stands there as the flag itself."""
    alerts = [a for a in alerts_for(access) if a.rule != SILENCE_RULE]
    if not access.case.is_open:
        return alerts
    asked = open_for_team(access.case, today=today)
    return [a for a in alerts if a.weight != Alert.Weight.ALERT or a.pk in asked]


# -- the feet


Jumped = frozenset[tuple[str, str]]  # foot and quantity


def _feet(
    access: CaseAccess,
    numbers: Numbers,
    shoeing: dict[str, str],
    needing: frozenset[str],
    today: date,
) -> tuple[SheetFoot, ...]:
    person, verdicts = access.person, verdicts_of(numbers)
    jumps = jumps_standing(numbers, today)
    jumped = frozenset((seen.start.foot, seen.start.quantity) for seen in jumps)
    panels = foot_panels(
        numbers, shoeing, needing, length_unit=person.length_unit, chart_size=PAPER_CHART
    )
    return tuple(
        SheetFoot(
            foot=panel.foot,
            label=foot_label(panel.foot, person),
            shoeing=panel.shoeing_words,
            marked=panel.needs,
            values=_values(numbers, panel, verdicts.get(panel.foot), jumped, person.length_unit),
        )
        for panel in panels
    )


def _values(
    numbers: Numbers, panel: FootPanel, verdict: FootVerdict | None, jumped: Jumped, lengths: str
) -> tuple[SheetValue, ...]:
    """The quantities with a band first, those not measured yet too; then the others."""
    made = [_value(numbers, panel.foot, line, verdict, jumped, lengths) for line in panel.lines]
    known = {line.quantity for line in panel.lines}
    for (foot, quantity), targets in numbers.targets.items():
        if foot == panel.foot and quantity not in known:
            unit = shown_unit(quantity, lengths)
            bands = tuple(SheetBand(*band_short(target, None, unit)) for target in targets)
            label = QUANTITIES[quantity].label
            made.append(SheetValue(quantity, label, "", "", targets[0].from_on, bands))
    return tuple(sorted(made, key=lambda value: not value.bands))


def _value(
    numbers: Numbers,
    foot: str,
    line: ValueLine,
    verdict: FootVerdict | None,
    jumped: Jumped,
    lengths: str,
) -> SheetValue:
    targets = numbers.targets.get((foot, line.quantity), [])
    unit = shown_unit(line.quantity, lengths)
    wanted = bool(targets) or line.quantity == "toe_angle"
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


# -- the plan


def _item(line: PlanLine, access: CaseAccess) -> SheetItem:
    version = line.version
    marks = marks_of(access, line)
    return SheetItem(
        number=line.item.number,
        text=plan_text(version, access.person),
        who_does=version.who_does,
        until=f"{version.until_on:%-d %b %Y}" if version.until_on else "",
        reason=version.reason,
        therapeutic=version.therapeutic,
        essential=version.therapeutic or line.item.kind in ESSENTIAL,
        marks=tuple(SheetMark(m.role, m.state, *_who_and_when(m.who), m.others) for m in marks),
        agreed=line.state.is_agreed,
        set_alone=line.set_alone and line.in_force,
        new_vet=NEW_VET if line.new_vet_words else "",
    )


def _who_and_when(words: str) -> tuple[str, str]:
    """ "Vera Vet, 2 Nov 2026" in its two parts."""
    who, _, on = words.rpartition(", ")
    return who, on


def _closed(plan: list[PlanLine], before: PlanSheet | None, person: Person) -> tuple[str, ...]:
    """The items that ended since the last sheet, so that nobody goes on with them."""
    ended = [
        line.item
        for line in plan
        if not line.is_open
        and line.item.status_at
        and (before is None or line.item.status_at > before.issued_at)
    ]
    texts = {line.item.pk: plan_text(line.version, person) for line in plan}
    return tuple(
        f"Item {item.number} {item.get_status_display()}: {texts[item.pk].rstrip(' .')}"
        for item in ended
    )


def _closing(sheet: Sheet, case: Case) -> Sheet:
    return replace(
        sheet,
        outcome=case.get_outcome_display(),
        outcome_words=case.outcome_words,
        outcome_numbers=outcome_numbers(sheet),
    )
