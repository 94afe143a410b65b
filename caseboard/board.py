"""Composes one board: who is on it, what needs someone now, the feet, the plan, the history."""

from dataclasses import dataclass
from datetime import date, timedelta

from caseboard.case_reading import CaseReading
from caseboard.case_words import feet_needing, horse_words, team_label
from caseboard.lib.spans import counted
from horses.access import CaseAccess
from horses.domain.foals import is_young
from horses.domain.shoe_state import Shoes
from horses.domain.trim_cycle import Due, Interval, due_for, interval_on
from horses.domain.wording import day_words
from horses.models import (
    Alert,
    Case,
    Exam,
    Flag,
    HistoryLine,
    Horse,
    Look,
    Membership,
    Note,
    OwnerContact,
    Role,
    Soundness,
    Visit,
)
from horses.presenters.history_sentences import history_sentence
from horses.presenters.look_words import look_short, look_words
from horses.queries.alerts import Matter
from horses.queries.board import short_day
from horses.queries.flags import in_care, vet_numbers
from horses.queries.plan import Mark, marks_of
from horses.queries.plan_lines import PlanLine
from horses.queries.rights import Rights, rights_of
from horses.queries.visit_questions import WordPart
from horses.rules.engine import failing_since
from measurements.panels.feet import FootPanel, foot_panels
from measurements.rules.schedule import SILENT_AFTER

# Heat or pulse the next day in one foot: suspect a close nail (common practice, no source). So long
# the board says so. House default.
FEEL_FEET_FOR = timedelta(days=2)
LARGE_NAME = 12  # letters; what fits beside the horse in 40 px on 390 px, measured
RECENT_LINES, RECENT_NOTES, RECENT_VISITS = 8, 5, 3


@dataclass(frozen=True)
class PlanCard:
    line: PlanLine
    marks: tuple[Mark, ...]


@dataclass(frozen=True)
class TeamLine:
    member: Membership
    label: str


@dataclass(frozen=True)
class HistoryRow:
    """One history line as a sentence."""

    line: HistoryLine
    words: str
    is_new: bool


@dataclass(frozen=True)
class TeamPart:
    team: list[TeamLine]
    missing_roles: tuple[str, ...]
    is_held: bool  # for an owner who has no account
    owner_contact: OwnerContact | None
    other_cases: list[Case]


@dataclass(frozen=True)
class CarePart:
    """The next visits and the last ones, and what was found then."""

    next_visit: Visit | None
    vet_visit: Visit | None
    due: Due
    interval: Interval
    days_to_visit: int | None
    trimmed_on: date | None
    visits: list[Visit]
    grade: Soundness | None
    exam: Exam | None
    look: Look | None


@dataclass(frozen=True)
class NeedsPart:
    """What needs someone, and what was dealt with lately."""

    flags: list[Flag]
    just_answered: list[Flag]
    word: WordPart  # what is asked about a day that passed, and what others reported
    left_open: list[Flag]  # asked of nobody any more: the case is closed, or the care has ended
    alerts: list[Alert]  # those that need this person, by cause in `matters`
    matters: list[Matter]
    quiet: list[Matter]
    remarks: list[Alert]
    heavy: list[Alert]  # needed or quiet: what stands


@dataclass(frozen=True)
class FeetPart:
    shoes: Shoes
    panels: list[FootPanel]
    measured_on: date | None  # the newest reading of any foot


@dataclass(frozen=True)
class PlanPart:
    waiting: list[PlanCard]
    plan: list[PlanCard]
    finished: list[PlanCard]


@dataclass(frozen=True)
class SaidPart:
    notes: list[Note]
    history: list[HistoryRow]
    new_count: int
    seen_seq: int


@dataclass(frozen=True)
class Board(TeamPart, CarePart, NeedsPart, FeetPart, PlanPart, SaidPart):
    """Everything the page shows, read with a fixed number of queries whatever the size."""

    access: CaseAccess
    today: date
    can: Rights

    @property
    def case(self) -> Case:
        return self.access.case

    @property
    def horse_words(self) -> str:
        return horse_words(self.access.horse, self.today)

    @property
    def numbers_words(self) -> str:
        """What may be said of the numbers when nothing of theirs stands above. Never that all is
        well."""
        if self.access.horse.state != Horse.State.ACTIVE:
            return "The care is paused or has ended: the numbers are not looked at."
        if not self.case.is_open:
            return "This case is closed: the numbers are looked at on the open boards."
        if (since := failing_since(self.access.horse)) is not None:
            return (
                f"The numbers could not be looked at since {short_day(since)}: look at them "
                "yourselves meanwhile. The people who run this board see it too."
            )
        if self.measured_on is None:
            return "Nothing has been measured yet."
        if self.alerts or self.quiet or self.remarks:
            return ""
        if self.today - self.measured_on >= SILENT_AFTER:
            return f"Nothing has been measured since {day_words(self.measured_on)}."
        return "Nothing found in the numbers."

    @property
    def numbers_are_looked_at(self) -> bool:
        """The rules read this horse's numbers, on this board."""
        active = self.access.horse.state == Horse.State.ACTIVE
        return active and self.case.is_open and failing_since(self.access.horse) is None

    @property
    def short_words(self) -> str:
        """ "Mare, 11 years, cob type": what fits beside the name."""
        return ", ".join(self.horse_words.split(". ")[0].rstrip(".").split(", ")[:3])

    @property
    def has_long_name(self) -> bool:
        """Longer than one line of large type on a phone."""
        return len(self.access.horse.name) > LARGE_NAME

    @property
    def matters_words(self) -> str:
        """What lies in the fold of everything that needs somebody."""
        quiet = f"{len(self.quiet)} quiet for you" if self.quiet else ""
        remarks = counted(len(self.remarks), "remark") if self.remarks else ""
        needs = counted(self.needs_count, "matter") if self.needs_count else ""
        return ", ".join(filter(None, (needs, quiet, remarks))) or "nothing waits for you"

    @property
    def plan_words(self) -> str:
        items = counted(len(self.plan), "item") if self.plan else "nothing agreed on yet"
        waits = f"{len(self.waiting)} waits for you" if len(self.waiting) == 1 else ""
        waits = waits or (f"{len(self.waiting)} wait for you" if self.waiting else "")
        return ", ".join(filter(None, (items, waits)))

    @property
    def team_words(self) -> str:
        missing = [f"no {role}" for role in self.missing_roles]
        missing += ["held for its owner"] if self.is_held else []
        return ", ".join([f"{len(self.team)} on the team", *missing])

    @property
    def vet_numbers(self) -> list[dict[str, str]]:
        """Whom to ring when it cannot wait: the emergency vet, then the vets on the team."""
        return vet_numbers(self.access, [line.member for line in self.team])

    @property
    def unreached(self) -> list[TeamLine]:
        """The people whose mail does not arrive: the others must tell them another way."""
        return [line for line in self.team if line.member.person.mail_trouble_at]

    @property
    def _look_that_holds(self) -> Look | None:
        """The last look, while nothing was noticed since: "looked at" beside a newer flag or alert
        would reassure."""
        if self.look is None or self.flags:
            return None
        newer = any(alert.raised_at > self.look.looked_at for alert in self.alerts)
        return None if newer else self.look

    @property
    def look_words(self) -> str:
        look = self._look_that_holds
        return look_words(look, self.access.person, self.today) if look else ""

    @property
    def looked_words(self) -> str:
        """The same beside the name: only of today, and only where no concern or pause stands there."""
        look = self._look_that_holds
        horse = self.access.horse
        if look is None or self.case.is_concern or not horse.is_in_care:
            return ""
        return look_short(look, self.access.person, self.today)

    @property
    def due_is_said(self) -> bool:
        """A planned day says enough of a trim that is only near."""
        return self.due.is_overdue or self.due.is_due or (self.due.is_soon and not self.next_visit)

    @property
    def looks_as_farrier(self) -> bool:
        return self.access.role == Role.FARRIER

    @property
    def looks_as_vet(self) -> bool:
        return self.access.role == Role.VET

    @property
    def may_lose_a_shoe(self) -> bool:
        """Shod, or not known to be bare: then a lost shoe is one tap away."""
        return bool(self.shoes.shod) or not self.shoes.is_known

    @property
    def just_shod(self) -> Visit | None:
        """The last visit, if shoes were nailed on in the last days: feel the feet."""
        took_place = (v for v in self.visits if v.means.took_place and not v.is_vet_visit)
        last = next(took_place, None)
        if last is None or last.kept_on is None or self.today - last.kept_on > FEEL_FEET_FOR:
            return None
        nailed = any(work.shoe in ("new", "reset") for work in last.work.all())
        reported = bool(last.reported_name and self.shoes.shod)  # "shoes as before"
        return last if nailed or reported else None

    @property
    def visit_ahead(self) -> Visit | None:
        """The next visit, unless its day has passed: then it is asked about."""
        visit = self.next_visit
        if visit is None or visit.planned_on is None or visit.planned_on < self.today:
            return None
        return visit

    @property
    def offers_word(self) -> bool:
        """Whoever does such work writes it up instead."""
        return "visit.report" in self.can and not self.looks_as_farrier

    @property
    def trim_word(self) -> str:
        """Whose word the last trim is, while the farrier has not confirmed it."""
        told = (v for v in self.visits if v.is_reported and v.kept_on == self.trimmed_on)
        return next((visit.word_of for visit in told), "")

    def is_young(self) -> bool:
        return is_young(self.access.horse.born_on, self.today)

    @property
    def may_confirm(self) -> bool:
        """The other side of the one that planned the next visit says that the day suits."""
        visit = self.visit_ahead
        return (
            visit is not None
            and visit.confirmed_at is None
            and "visit.confirm" in self.can
            and visit.planned_by_role not in ("", self.access.role)
        )

    @property
    def is_urgent(self) -> bool:
        return any(flag.urgency == Flag.Urgency.NOW for flag in self.flags)

    @property
    def needs_count(self) -> int:
        asked = len(self.word.questions) + len(self.word.to_confirm)
        return len(self.flags) + len(self.matters) + len(self.waiting) + asked


def board_for(reading: CaseReading, *, seen_seq: int) -> Board:
    """Reads one board. `seen_seq` is how far in the history this person had read before."""
    access = reading.access
    parts = (
        _team(reading),
        _care(reading),
        _needs(reading),
        _feet(reading),
        _plan(reading),
        _said(reading, seen_seq),
    )
    made = {name: value for part in parts for name, value in vars(part).items()}
    return Board(access=access, today=reading.today, can=rights_of(access), **made)


def _team(reading: CaseReading) -> TeamPart:
    held = {member.role for member in reading.team}
    return TeamPart(
        team=[TeamLine(member, team_label(member)) for member in reading.team],
        missing_roles=tuple(role for role in ("farrier", "vet") if role not in held),
        is_held=any(member.holds for member in reading.team),
        owner_contact=reading.owner_contact,
        other_cases=reading.other_cases,
    )


def _care(reading: CaseReading) -> CarePart:
    horse, today = reading.horse, reading.today
    ahead, kept = reading.visits_near(RECENT_VISITS)
    planned = {visit.kind: visit for visit in reversed(ahead)}
    visit = planned.get(Visit.Kind.FARRIER)
    on = visit.planned_on if visit else None
    trimmed_on = reading.numbers.last_trim_on
    return CarePart(
        next_visit=visit,
        vet_visit=planned.get(Visit.Kind.VET),
        due=due_for(
            horse,
            today=today,
            last_trim_on=trimmed_on,
            planned_on=on,
            asked_on=reading.words.asked_on,
        ),
        interval=interval_on(horse, today),
        days_to_visit=(on - today).days if on else None,
        trimmed_on=trimmed_on,
        visits=kept,
        grade=reading.grade,
        exam=reading.last_exam,
        look=reading.last_look,
    )


def _needs(reading: CaseReading) -> NeedsPart:
    asked, left_open = reading.flags_asked
    found = reading.own_alerts
    return NeedsPart(
        flags=asked,
        just_answered=reading.just_answered,
        word=reading.words,
        left_open=left_open,
        alerts=found.open,
        matters=found.needs,
        quiet=found.quiet,
        remarks=found.remarks,
        heavy=found.heavy,
    )


def _feet(reading: CaseReading) -> FeetPart:
    numbers = reading.numbers
    shoeing = {foot: states[-1][1] for foot, states in numbers.shoeing.items() if states}
    needing = feet_needing(reading.flags_asked[0], reading.own_alerts.heavy)
    length_unit = reading.person.length_unit
    return FeetPart(
        shoes=numbers.shoes,
        panels=foot_panels(numbers, shoeing, needing, length_unit=length_unit),
        measured_on=max((rows[-1].taken_on for rows in numbers.readings.values()), default=None),
    )


def _plan(reading: CaseReading) -> PlanPart:
    cards = [PlanCard(line, marks_of(reading.access, line)) for line in reading.plan]
    asks = in_care(reading.horse)
    return PlanPart(
        waiting=[card for card in cards if card.line.my_word_missing and asks],
        plan=[card for card in cards if card.line.is_open],
        finished=[card for card in cards if not card.line.is_open],
    )


def _said(reading: CaseReading, seen_seq: int) -> SaidPart:
    access = reading.access
    newest = list(reading.talk.order_by("-seq")[:RECENT_LINES])
    return SaidPart(
        notes=reading.notes_newest(RECENT_NOTES),
        history=[
            HistoryRow(line, history_sentence(line, access.person), _is_new(line, access, seen_seq))
            for line in newest
        ],
        new_count=_new_count(reading, newest, seen_seq),
        seen_seq=seen_seq,
    )


def _is_new(line: HistoryLine, access: CaseAccess, seen_seq: int) -> bool:
    """New since the last look, and somebody else's: one knows what one did oneself."""
    return line.seq > seen_seq > 0 and line.actor_id != access.person.pk


def _new_count(reading: CaseReading, newest: list[HistoryLine], seen_seq: int) -> int:
    """How many lines this person has not seen; counted in the database only if there are many."""
    if not seen_seq:
        return 0
    if sum(line.seq > seen_seq for line in newest) < RECENT_LINES:
        return sum(_is_new(line, reading.access, seen_seq) for line in newest)
    fresh = reading.talk.filter(seq__gt=seen_seq)
    return fresh.exclude(actor=reading.person).count()
