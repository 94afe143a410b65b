"""The horses of one person, with what needs somebody: a fixed number of queries for any herd."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property

from django.db.models import Exists, Max, Min, OuterRef, Q, Subquery

from caseboard.lib.spans import days_words
from caseboard.lib.words import role_words
from horses.access import active_memberships
from horses.domain.shoe_state import Shoes, shoes_from
from horses.domain.trim_cycle import OVERDUE as OVERDUE_STATE
from horses.domain.trim_cycle import Due, due_for
from horses.models import (
    AGREEING_ROLES,
    Agreement,
    Case,
    Horse,
    Person,
    PlanItem,
    PlanItemVersion,
    PlanReply,
    Role,
    Trim,
    Visit,
)
from horses.models.alert import matter_name
from horses.queries.alert_quiet import alert_pairs
from horses.queries.flags import open_flags_on
from horses.queries.places import place_key
from horses.queries.shoes import shoe_events
from horses.queries.visit_questions import asked_days, reported_days

# The order in which horses are listed: what cannot wait first.
NOW, TODAY, ALERTS, WAITING, OVERDUE, ASKED, CALM, PAUSED, ENDED, CLOSED = range(10)
NEEDS_SOMEONE = range(NOW, CALM)

FAR = 10_000  # days: behind every horse that has a day
OVERDUE_RULE = "visit.overdue"


@dataclass
class HerdBoard:
    """One board that the person is on, and what is open on it."""

    case: Case
    role: Role
    stand_in: bool
    runs_yard: bool = False
    flags: Counter[str] = field(default_factory=Counter)  # urgency -> open flags
    waiting: int = 0  # plan items that wait for the person's own word

    @property
    def role_words(self) -> str:
        return "yard manager" if self.runs_yard else role_words(self.role, self.stand_in)

    @property
    def order(self) -> tuple[bool, bool, bool, int]:
        """The board with most need first; the standing care before a concern, old before new."""
        concern = self.case.kind != Case.Kind.ROUTINE
        return not self.flags["now"], not (self.flags or self.waiting), concern, self.case.pk


@dataclass
class HerdLine:
    """One horse in the list."""

    horse: Horse
    today: date
    open_boards: list[HerdBoard] = field(default_factory=list)
    closed_boards: list[HerdBoard] = field(default_factory=list)
    matters: dict[str, bool] = field(default_factory=dict)  # cause -> the visit that is overdue
    next_on: date | None = None
    asked_on: date | None = None  # a planned day that passed, and nobody has said what became of it
    reported_on: date | None = None  # a visit that the farrier has not confirmed yet
    last_trim_on: date | None = None
    shoes: Shoes = field(default_factory=lambda: Shoes({}))  # see `herd_add_shoes`

    @property
    def main_board(self) -> HerdBoard:
        return min(self.open_boards or self.closed_boards, key=lambda board: board.order)

    @property
    def one_role(self) -> HerdBoard | None:
        """Any board, when the person has the same role on all; None when they differ."""
        boards = self.open_boards or self.closed_boards
        return boards[0] if len({(b.role, b.stand_in) for b in boards}) == 1 else None

    @property
    def flags(self) -> Counter[str]:
        return sum((board.flags for board in self.open_boards), Counter())

    @property
    def flag_count(self) -> int:
        return self.flags.total()

    @property
    def waiting(self) -> int:
        return sum(board.waiting for board in self.open_boards)

    @property
    def alerts(self) -> int:
        """What the boards show as cards of alerts: one a cause."""
        return len(self.matters)

    @property
    def needs_count(self) -> int:
        """What the boards of this horse ask of the person, all together."""
        return self.flag_count + self.alerts + self.waiting

    @property
    def is_late(self) -> bool:
        """The planned day has passed, or the horse's interval has run out."""
        active = self.horse.state == Horse.State.ACTIVE
        return active and (any(self.matters.values()) or self.due.state == OVERDUE_STATE)

    @cached_property
    def due(self) -> Due:
        """Where the horse is in its cycle, in a word and in days."""
        return due_for(
            self.horse,
            today=self.today,
            planned_on=self.next_on,
            last_trim_on=self.last_trim_on,
            asked_on=self.asked_on,
        )

    @property
    def trim_days(self) -> int | None:
        return (self.today - self.last_trim_on).days if self.last_trim_on else None

    @property
    def trimmed_words(self) -> str:
        """ "today", "12 days ago"; nothing of a horse that was never trimmed here."""
        days = self.trim_days
        if days is None:
            return ""
        when = f"{days_words(days)} ago" if days else "today"
        return f"{when}, reported" if self.reported_on == self.last_trim_on else when

    @property
    def next_ahead(self) -> date | None:
        """The next visit, unless its day has passed: then it is asked about."""
        return self.next_on if self.next_on and self.next_on >= self.today else None

    @property
    def is_asked(self) -> bool:
        """Whoever looks first says whether a visit took place."""
        return self.is_cared_for and self.asked_on is not None

    @property
    def is_cared_for(self) -> bool:
        """In care, and on an open board."""
        return self.horse.is_in_care and bool(self.open_boards)

    @cached_property
    def rank(self) -> int:
        flags = self.flags
        if flags["now"]:
            return NOW
        if flags["today"]:
            return TODAY
        if flags or not all(self.matters.values()):
            return ALERTS
        if self.waiting:
            return WAITING
        if self.matters:
            return OVERDUE
        if self.is_asked:
            return ASKED
        return self._calm_rank

    @property
    def _calm_rank(self) -> int:
        if not self.open_boards:
            return CLOSED
        return {Horse.State.PAUSED: PAUSED, Horse.State.ENDED: ENDED}.get(
            Horse.State(self.horse.state), CALM
        )


def herd_for(person: Person, *, today: date) -> list[HerdLine]:
    """Every horse that the person is on a board of, neediest first, then by name. How they are
    shod is not read here: it takes all that was ever done to their feet."""
    lines: dict[int, HerdLine] = {}
    boards: dict[int, HerdBoard] = {}
    members = active_memberships(person).select_related("case__horse").order_by("case_id")
    for member in members:
        case = member.case
        line = lines.setdefault(case.horse_id, HerdLine(case.horse, today))
        board = HerdBoard(case, Role(member.role), member.stand_in, member.runs_yard)
        (line.open_boards if case.is_open else line.closed_boards).append(board)
        if case.is_open:
            boards[case.pk] = board
    _add_flags(person, boards)
    _add_waiting(person, boards)
    _add_alerts(person, lines, today)
    _add_days(lines, today)
    for line in lines.values():
        line.open_boards.sort(key=lambda board: board.case.kind != Case.Kind.ROUTINE)
    return sorted(lines.values(), key=_by_need)


def word_places(herd: Iterable[HerdLine]) -> list[tuple[str, str]]:
    """Where the person may say "was here" without doing such work: each place, with a board there."""
    found: dict[str, tuple[str, str]] = {}
    for line in herd:
        board = line.main_board
        if line.is_cared_for and board.role in (Role.OWNER, Role.CARER):
            place = (line.horse.yard, board.case.public_id)
            found.setdefault(place_key(line.horse) or line.horse.public_id, place)
    return list(found.values())


def _by_need(line: HerdLine) -> tuple[int, int, int, str, int]:
    """What cannot wait first; then those that need somebody and then the calm ones, each by what is
    due soonest; then by name."""
    group = ALERTS if line.rank in range(ALERTS, CALM) else line.rank
    by_due = line.rank in range(ALERTS, PAUSED) and line.due.on is not None
    days = line.due.days if by_due else FAR
    return group, days, line.rank, line.horse.name.casefold(), line.horse.pk


def _add_flags(person: Person, boards: dict[int, HerdBoard]) -> None:
    for case_id, urgency in open_flags_on(person).values_list("case_id", "urgency"):
        if case_id in boards:  # joined since the boards were read
            boards[case_id].flags[urgency] += 1


def _add_waiting(person: Person, boards: dict[int, HerdBoard]) -> None:
    """What `PlanLine.my_word_missing` says of each item, asked of all boards at once. A role that
    the person holds on an open board is always one of those whose word is needed."""
    mine = active_memberships(person).filter(role__in=AGREEING_ROLES, case__closed_at=None)
    later = PlanItemVersion.objects.filter(item=OuterRef("item"), number__gt=OuterRef("number"))
    words = Agreement.objects.filter(version=OuterRef("pk"), role=OuterRef("my_role"))
    to_this = words.filter(content_hash=OuterRef("content_hash"))
    my_last = words.filter(person=person).order_by("-pk")
    replies = PlanReply.objects.filter(version=OuterRef("pk"), said_at__gte=OuterRef("my_word_at"))
    unsaid = Q(my_word=None) & ~Exists(to_this)
    replied_to = ~Q(my_word=Agreement.Decision.AGREE) & Exists(replies.exclude(person=person))
    newest = PlanItemVersion.objects.filter(
        ~Exists(later), item__status=PlanItem.Status.OPEN, item__case__in=mine.values("case")
    )
    waiting = newest.annotate(
        my_role=Subquery(mine.filter(case=OuterRef("item__case")).values("role")),
        my_word=Subquery(my_last.values("decision")[:1]),
        my_word_at=Subquery(my_last.values("decided_at")[:1]),
    ).filter(unsaid | replied_to)
    in_care = waiting.exclude(item__case__horse__state=Horse.State.ENDED)
    for case_id in in_care.order_by().values_list("item__case_id", flat=True):
        boards[case_id].waiting += 1


def _add_alerts(person: Person, lines: dict[int, HerdLine], today: date) -> None:
    """What stands open for the person on any of their boards, one a cause."""
    mine = Q(horse__cases__memberships__person=person)
    rows = alert_pairs(mine, today=today).filter(quiet=False)
    for horse_id, cause, rule, subject in rows.values_list("horse_id", "cause", "rule", "subject"):
        matters, matter = lines[horse_id].matters, matter_name(cause, rule, subject)
        matters[matter] = matters.get(matter, False) or rule == OVERDUE_RULE


def _add_days(lines: dict[int, HerdLine], today: date) -> None:
    planned = Visit.objects.planned().filter(horse__in=lines, kind=Visit.Kind.FARRIER)
    for horse_id, on in planned.values_list("horse_id").annotate(on=Min("planned_on")):
        lines[horse_id].next_on = on
    for horse_id, on in asked_days(lines, today).items():
        lines[horse_id].asked_on = on
    for horse_id, on in reported_days(lines).items():
        lines[horse_id].reported_on = on
    trims = Trim.objects.in_force().filter(horse__in=lines)
    for horse_id, on in trims.values_list("horse_id").annotate(on=Max("trimmed_on")):
        lines[horse_id].last_trim_on = on


def herd_add_shoes(lines: Iterable[HerdLine]) -> None:
    by_horse = {line.horse.pk: line for line in lines}
    for horse_id, events in shoe_events(by_horse).items():
        by_horse[horse_id].shoes = shoes_from(events)
