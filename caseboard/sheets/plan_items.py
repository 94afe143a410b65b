"""The items of the plan as the plan sheet says them."""

from caseboard.lib.words import plan_text
from caseboard.sheets.plan_value import SheetItem, SheetMark
from horses.access import CaseAccess
from horses.models import Person, PlanItem, PlanSheet
from horses.queries.plan import marks_of
from horses.queries.plan_lines import PlanLine

# What nobody should act on before it is agreed: bands, trims, shoes, and what the vet leads.
ESSENTIAL = (PlanItem.Kind.TARGET, PlanItem.Kind.TRIM, PlanItem.Kind.SHOE)
NEW_VET = "Vet new here, not yet confirmed."  # in full on the board; here each line counts


def sheet_item(line: PlanLine, access: CaseAccess) -> SheetItem:
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


def closed_items(plan: list[PlanLine], before: PlanSheet | None, person: Person) -> tuple[str, ...]:
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
