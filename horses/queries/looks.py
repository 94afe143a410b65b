"""The daily look: the horses of one place on one screen, with who looked last and when.

It starts from the person's memberships; the number of queries is the same for any number of horses.
"""

from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from django.db.models import OuterRef, QuerySet, Subquery
from django.utils import timezone

from horses.access import CaseAccess, access_of, active_memberships
from horses.models import Case, Flag, Horse, Look, Person
from horses.models.look import LookQuerySet
from horses.presenters.look_words import look_words
from horses.queries.board import most_urgent_first
from horses.queries.flags import open_flags_on
from horses.queries.places import place_key, place_name


@dataclass
class LookRow:
    """One horse on the screen."""

    access: CaseAccess  # the board that a mark is written on: the standing care before a concern
    last: Look | None = None
    flags: list[Flag] = field(default_factory=list)  # the open ones that the person reads
    said: str = ""  # the last look in words
    is_of_today: bool = False
    undo_until: datetime | None = None  # while the person may take the mark back

    @property
    def horse(self) -> Horse:
        return self.access.horse

    @property
    def flag(self) -> Flag | None:
        return self.flags[0] if self.flags else None


@dataclass(frozen=True)
class Place:
    key: str
    name: str
    rows: list[LookRow]


@dataclass(frozen=True)
class LookScreen:
    """What one screen shows of a place."""

    rows: list[LookRow]

    @property
    def others(self) -> list[LookRow]:
        """What one press marks: those not looked at today, or, once all are, every horse again; never
        one with an open flag."""
        unflagged = [row for row in self.rows if not row.flags]
        return [row for row in unflagged if not row.is_of_today] or unflagged

    @property
    def press_words(self) -> str:
        """ "The other 6: nothing seen": never that all is well."""
        count = len(self.others)
        if all(row.is_of_today for row in self.others):
            which = f"Again, {count}"
        else:
            which = f"All {count}" if count == len(self.rows) else f"The other {count}"
        return f"{which}: nothing seen"

    @property
    def seen(self) -> int:
        return sum(row.is_of_today for row in self.rows)

    @property
    def last_press(self) -> Look | None:
        """What the person may still take back, the newest mark first."""
        mine = [row.last for row in self.rows if row.undo_until and row.last]
        return max(mine, key=lambda look: look.pk, default=None)


def looking_places(person: Person, *, now: datetime, undo_for: timedelta) -> list[Place]:
    """The horses in care, or resting, that the person may look at, by place: the place with most
    horses first."""
    rows = {access.horse.pk: LookRow(access) for access in accesses_of(person)}
    for flag in most_urgent_first(open_flags_on(person).select_related("case")):
        if row := rows.get(flag.case.horse_id):
            row.flags.append(flag)
    today = timezone.localtime(now).date()
    for look in last_looks(rows):
        row = rows[look.horse_id]
        row.last = look
        row.said = look_words(look, person, today)
        row.is_of_today = timezone.localtime(look.looked_at).date() == today
        until = look.looked_at + undo_for
        mine = look.looked_by_id == person.pk and look.case_id == row.access.case.pk
        row.undo_until = until if mine and now <= until else None
    places: dict[str, Place] = {}
    for row in sorted(rows.values(), key=lambda row: (row.horse.name.casefold(), row.horse.pk)):
        key = place_key(row.horse)
        places.setdefault(key, Place(key, place_name(row.horse), [])).rows.append(row)
    return sorted(places.values(), key=lambda place: (-len(place.rows), place.name))


def accesses_of(person: Person, case_ids: Collection[str] | None = None) -> list[CaseAccess]:
    """One open board a horse that has not left the care, the standing care before a concern; of
    those named, if any are: one that the person is not on is not there."""
    members = active_memberships(person).filter(case__closed_at=None)
    members = members.exclude(case__horse__state=Horse.State.ENDED)
    if case_ids is not None:
        members = members.filter(case__public_id__in=case_ids)
    found: dict[int, CaseAccess] = {}
    for member in members.select_related("case__horse").order_by("case_id"):
        case = member.case
        if case.kind == Case.Kind.ROUTINE or case.horse_id not in found:
            found[case.horse_id] = access_of(person, member)
    return list(found.values())


def last_looks(horses: Iterable[int]) -> QuerySet[Look]:
    """The newest look at each of these horses that stands."""
    of_horse = Look.objects.standing().filter(horse=OuterRef("pk")).order_by("-pk").values("pk")
    newest = Horse.objects.filter(pk__in=list(horses)).values(newest=Subquery(of_horse[:1]))
    return Look.objects.filter(pk__in=newest)


def looks_for(access: CaseAccess) -> LookQuerySet:
    """Every row about the horse, those that were taken back and those that take back too."""
    return Look.objects.filter(horse=access.horse)


def last_look(access: CaseAccess) -> Look | None:
    return looks_for(access).standing().order_by("-pk").first()


def looked_at_today(horses: Iterable[int], *, now: datetime) -> int:
    """How many of these horses were looked at today, by anybody."""
    start = timezone.localtime(now).replace(hour=0, minute=0, second=0, microsecond=0)
    looks = Look.objects.standing().filter(horse__in=list(horses), looked_at__gte=start)
    return looks.values("horse").distinct().count()
