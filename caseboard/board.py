"""Composes one board: who is on it, what needs someone now, the feet, the plan, the history."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from caseboard.lib import spans
from horses.access import CaseAccess
from horses.domain.foals import is_young
from horses.domain.shoe_state import Shoes
from horses.domain.trim_cycle import Due, Interval, due_for, interval_on
from horses.models import (
    Alert,
    Case,
    Exam,
    Flag,
    HistoryLine,
    Horse,
    Membership,
    Note,
    Role,
    Soundness,
    Visit,
)
from horses.presenters.history_sentences import history_sentence
from horses.queries.alerts import Matter, board_alerts
from horses.queries.board import (
    PlanLine,
    exams_for,
    flags_now_for,
    history_for,
    members_of_horse,
    notes_newest,
    other_cases_of,
    plan_for,
    short_day,
    soundness_for,
    team_of,
    visits_ahead_and_behind,
)
from horses.queries.flags import flags_asked, in_care, vet_numbers
from horses.queries.plan import Mark, marks_of
from horses.queries.rights import Rights, rights_of
from horses.rules.engine import failing_since
from measurements.panels.feet import FootPanel, foot_panels
from measurements.queries.numbers import Numbers, numbers_of

# Heat or pulse the next day in one foot: suspect a close nail (common practice, no source). So long
# the board says so. House default.
FEEL_FEET_FOR = timedelta(days=2)
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
class Board:
    """Everything the page shows, read with a fixed number of queries whatever the size."""

    access: CaseAccess
    today: date
    can: Rights
    team: list[TeamLine]
    missing_roles: tuple[str, ...]
    other_cases: list[Case]
    next_visit: Visit | None
    vet_visit: Visit | None
    due: Due
    interval: Interval
    days_to_visit: int | None
    trimmed_on: date | None
    shoes: Shoes
    flags: list[Flag]
    just_answered: list[Flag]
    left_open: list[Flag]  # asked of nobody any more: the case is closed, or the care has ended
    alerts: list[Alert]  # those that need this person, by cause in `matters`
    matters: list[Matter]
    quiet: list[Matter]
    remarks: list[Alert]
    waiting: list[PlanCard]
    plan: list[PlanCard]
    finished: list[PlanCard]
    panels: list[FootPanel]
    has_numbers: bool
    grade: Soundness | None
    exam: Exam | None
    notes: list[Note]
    visits: list[Visit]
    history: list[HistoryRow]
    new_count: int
    seen_seq: int

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
        if not self.has_numbers:
            return "Nothing has been measured yet."
        if self.alerts or self.quiet or self.remarks:
            return ""
        return "Nothing found in the numbers."

    @property
    def vet_numbers(self) -> list[dict[str, str]]:
        """Whom to ring when it cannot wait: the emergency vet, then the vets on the team."""
        return vet_numbers(self.access, [line.member for line in self.team])

    @property
    def unreached(self) -> list[TeamLine]:
        """The people whose mail does not arrive: the others must tell them another way."""
        return [line for line in self.team if line.member.person.mail_trouble_at]

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
        kept = (visit for visit in self.visits if visit.status == Visit.Status.KEPT)
        last = next(kept, None)
        if last is None or last.kept_on is None or self.today - last.kept_on > FEEL_FEET_FOR:
            return None
        nailed = any(work.shoe in ("new", "reset") for work in last.work.all())
        return last if nailed else None

    def is_young(self) -> bool:
        return is_young(self.access.horse.born_on, self.today)

    @property
    def may_confirm(self) -> bool:
        """The other side of the one that planned the next visit says that the day suits."""
        visit = self.next_visit
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
        return len(self.flags) + len(self.matters) + len(self.waiting)


def feet_needing(flags: list[Flag], alerts: list[Alert]) -> frozenset[str]:
    """The feet that an open flag or alert names; a pair names both."""
    feet = {foot for flag in flags for foot in flag.feet}
    for alert in alerts:
        feet.update(part for part in alert.subject.split(":")[0].split("-") if len(part) == 2)
    return frozenset(feet)


def board_for(
    access: CaseAccess, *, seen_seq: int, now: datetime, numbers: Numbers | None = None
) -> Board:
    """Reads one board. `seen_seq` is how far in the history this person had read before."""
    numbers = numbers or numbers_of(access.horse, today=now.date())
    flags, just_answered = flags_now_for(access, now=now)
    asked, left_open = flags_asked(access, flags)
    found = board_alerts(access, today=now.date())
    people = members_of_horse(access)
    lines = plan_for(access, members=people)
    cards = [PlanCard(line, marks_of(access, line)) for line in lines]
    team = team_of(people, access.case)
    ahead, kept = visits_ahead_and_behind(access, RECENT_VISITS)
    planned = {visit.kind: visit for visit in reversed(ahead)}
    visit = planned.get(Visit.Kind.FARRIER)
    shoeing = {foot: states[-1][1] for foot, states in numbers.shoeing.items() if states}
    history = list(history_for(access).order_by("-seq")[:RECENT_LINES])
    trims = [days[-1] for days in numbers.trims.values() if days]
    return Board(
        access=access,
        today=now.date(),
        can=rights_of(access),
        team=[TeamLine(m, team_label(m)) for m in team],
        missing_roles=tuple(
            role for role in ("farrier", "vet") if role not in {m.role for m in team}
        ),
        other_cases=other_cases_of(people, access),
        next_visit=visit,
        vet_visit=planned.get(Visit.Kind.VET),
        due=due_for(
            access.horse,
            today=now.date(),
            last_trim_on=max(trims, default=None),
            planned_on=visit.planned_on if visit else None,
        ),
        interval=interval_on(access.horse, now.date()),
        days_to_visit=(visit.planned_on - now.date()).days if visit and visit.planned_on else None,
        trimmed_on=max(trims, default=None),
        shoes=numbers.shoes,
        flags=asked,
        just_answered=just_answered,
        left_open=left_open,
        alerts=found.open,
        matters=found.needs,
        quiet=found.quiet,
        remarks=found.remarks,
        waiting=[card for card in cards if card.line.my_word_missing and in_care(access.horse)],
        plan=[card for card in cards if card.line.is_open],
        finished=[card for card in cards if not card.line.is_open],
        panels=foot_panels(
            numbers,
            shoeing,
            feet_needing(asked, found.heavy),
            length_unit=access.person.length_unit,
        ),
        has_numbers=bool(numbers.readings),
        grade=soundness_for(access).first(),
        exam=exams_for(access).prefetch_related(None).first(),  # only when and by whom
        notes=notes_newest(access, RECENT_NOTES),
        visits=kept,
        history=[
            HistoryRow(line, history_sentence(line, access.person), _is_new(line, access, seen_seq))
            for line in history
        ],
        seen_seq=seen_seq,
        new_count=_new_count(access, history, seen_seq),
    )


def _is_new(line: HistoryLine, access: CaseAccess, seen_seq: int) -> bool:
    """New since the last look, and somebody else's: one knows what one did oneself."""
    return line.seq > seen_seq > 0 and line.actor_id != access.person.pk


def _new_count(access: CaseAccess, newest: list[HistoryLine], seen_seq: int) -> int:
    """How many lines this person has not seen; counted in the database only if there are many."""
    if not seen_seq:
        return 0
    if sum(line.seq > seen_seq for line in newest) < RECENT_LINES:
        return sum(_is_new(line, access, seen_seq) for line in newest)
    fresh = history_for(access).filter(seq__gt=seen_seq)
    return fresh.exclude(actor=access.person).count()


def age_words(born_on: date, today: date) -> str:
    months = (today.year - born_on.year) * 12 + today.month - born_on.month
    months -= today.day < born_on.day
    return spans.age_words(months)


def horse_words(horse: Horse, today: date) -> str:
    """ "Mare, 11 years, cob type. Riding school, mixed footing, turned out in a group." """
    who = [horse.get_sex_display(), age_words(horse.born_on, today) if horse.born_on else ""]
    who.append(horse.breed)
    life = [horse.get_use_display()]
    life += [f"{horse.get_footing_display()} footing"] if horse.footing else []
    life += (
        [f"turned out {horse.get_turnout_display()}"] if horse.turnout in ("group", "alone") else []
    )
    life += [horse.get_turnout_display()] if horse.turnout == "stabled" else []
    parts = [", ".join(filter(None, who)), ", ".join(filter(None, life))]
    return " ".join(f"{part[0].upper()}{part[1:]}." for part in parts if part)


def team_label(member: Membership) -> str:
    return "stand-in farrier" if member.stand_in else member.get_role_display()
