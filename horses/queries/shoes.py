"""Reads what happened to a horse's shoes, at the visits and between them."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date

from django.db.models import BooleanField, CharField, F, Value

from horses.access import CaseAccess
from horses.domain.shoe_state import FEET, LOST, VISIT, ShoeEvent, Shoes, shoes_from
from horses.models import Flag, FootWork, Horse, ShoeChange, Trim, Visit
from horses.queries.board import flag_is_open


def shoe_events(
    horse_ids: Iterable[int], *, without: Visit | None = None
) -> dict[int, list[ShoeEvent]]:
    """Everything that says how a foot was left, by horse, oldest first; one query. `without`: as if
    this visit had not been."""
    ids = list(horse_ids)
    work = FootWork.objects.in_force().filter(visit__horse__in=ids)
    if without is not None:
        work = work.exclude(visit=without)
    visits = work.order_by().values_list(
        F("visit__horse_id"),
        F("foot"),
        F("visit__kept_on"),
        F("visit__recorded_at"),
        F("shoeing_left"),
        Value(VISIT, output_field=CharField()),
        F("trimmed"),
        F("id"),
    )
    between = (
        ShoeChange.objects.filter(horse__in=ids)
        .order_by()
        .values_list(
            F("horse_id"),
            F("foot"),
            F("changed_on"),
            F("recorded_at"),
            F("shoeing_left"),
            F("kind"),
            Value(False, output_field=BooleanField()),
            F("id"),
        )
    )
    found: dict[int, list[ShoeEvent]] = defaultdict(list)
    for horse_id, *fields, _ in sorted(
        visits.union(between, all=True), key=lambda row: (row[2], row[3], row[7])
    ):
        found[horse_id].append(ShoeEvent(*fields))
    return dict(found)


def shoe_events_of(horse: Horse, *, without: Visit | None = None) -> list[ShoeEvent]:
    return shoe_events([horse.pk], without=without).get(horse.pk, [])


def shoe_changes_for(access: CaseAccess) -> list[ShoeChange]:
    """The shoes lost and put back between visits, oldest first. Words said on another board of the
    horse stay there: its team may be another."""
    rows = ShoeChange.objects.filter(horse=access.horse)
    changes = list(rows.select_related("flag", "case", "recorded_by").order_by("changed_on", "pk"))
    for change in changes:
        if change.case_id != access.case.pk:
            change.words = ""
    return changes


def shoes_now(horse: Horse) -> Shoes:
    return shoes_from(shoe_events_of(horse))


def open_losses(horse: Horse, flag: Flag) -> list[str]:
    """The feet of this flag that nobody has seen to since."""
    lost = flag.shoe_changes.filter(kind=LOST)
    at = {change.foot: (change.changed_on, change.recorded_at) for change in lost}
    if not at:  # written down before losses were followed up
        return list(flag.feet) if flag_is_open(flag) else []
    seen_to = {
        e.foot
        for e in shoe_events_of(horse)
        if e.kind != LOST and e.foot in at and (e.on, e.at) > at[e.foot]
    }
    return [foot for foot in flag.feet if foot in at and foot not in seen_to]


def last_shoeing(horse: Horse, *, without: Visit | None = None) -> dict[str, FootWork]:
    """The shoe that each foot was last given; none for one whose shoe was taken off since."""
    work = FootWork.objects.in_force().filter(visit__horse=horse)
    if without is not None:
        work = work.exclude(visit=without)
    last: dict[str, FootWork] = {}
    for row in work.exclude(shoe=FootWork.Shoe.NONE).order_by("visit__kept_on", "pk"):
        last[row.foot] = row
    return {foot: row for foot, row in last.items() if row.shoe != FootWork.Shoe.PULLED}


def seen_last(horse: Horse) -> dict[str, tuple[str, str]]:
    """The wear and the landing of each foot, in words, as last written down at a visit."""
    work = FootWork.objects.in_force().filter(visit__horse=horse)
    seen: dict[str, tuple[str, str]] = {}
    for row in work.exclude(wear="", landing="").order_by("visit__kept_on", "pk"):
        seen[row.foot] = (row.get_wear_display(), row.get_landing_display())
    return {foot: seen[foot] for foot in FEET if foot in seen}


def last_trims(horse: Horse) -> dict[str, date]:
    """The day of the last trim of each foot."""
    rows = Trim.objects.in_force().filter(horse=horse).order_by("trimmed_on")
    return dict(rows.values_list("foot", "trimmed_on"))
