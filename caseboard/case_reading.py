"""One reading of a case: everything that board, sheet, copy and barn papers are made of.

Each part is read when it is first asked for, and once: whoever makes a page makes one `CaseReading`
and hands it on. All of it is what this person may read, as the queries of the two apps give it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import cached_property

from django.db.models import QuerySet

from horses.access import CaseAccess
from horses.domain.cut_items import CutItem
from horses.models import (
    Alert,
    Case,
    Exam,
    Flag,
    HistoryLine,
    Horse,
    HorseWeight,
    Look,
    Membership,
    Note,
    OwnerContact,
    Person,
    PictureQuerySet,
    PlanSheet,
    SheetPaper,
    ShoeChange,
    Soundness,
    Visit,
)
from horses.queries import board as of_case
from horses.queries.alert_quiet import SILENCE_RULE, open_for_team
from horses.queries.alerts import BoardAlerts, board_alerts
from horses.queries.cutting import cut_items_in
from horses.queries.flags import flags_asked
from horses.queries.held import contact_of
from horses.queries.looks import last_look, looks_for
from horses.queries.pictures import pictures_for
from horses.queries.plan_lines import PlanLine, plan_for
from horses.queries.plan_sheets import papers_for, sheet_before, sheets_for
from horses.queries.shoes import shoe_changes_for
from horses.queries.visit_questions import UNDO_FOR, WordPart, words_for
from measurements.models import FootVerdict, Reading, Target
from measurements.queries.dangers import Dangers, FilmDanger, dangers_for, film_dangers
from measurements.queries.jumps import JumpSeen, jumps_standing
from measurements.queries.numbers import Numbers, bands_of_case, readings_for, targets_for
from measurements.queries.numbers_kept import numbers_kept
from measurements.verdicts.trend_short import verdicts_of


@dataclass(frozen=True)
class CaseReading:
    """What one person may read of one case at one moment."""

    access: CaseAccess
    now: datetime

    @property
    def case(self) -> Case:
        return self.access.case

    @property
    def horse(self) -> Horse:
        return self.access.horse

    @property
    def person(self) -> Person:
        return self.access.person

    @property
    def today(self) -> date:
        return self.now.date()

    # -- who

    @cached_property
    def members(self) -> list[Membership]:
        """Everybody who is or was on any case of the horse."""
        return of_case.members_of_horse(self.access)

    @cached_property
    def team(self) -> list[Membership]:
        """The people on the case now, owner first."""
        return of_case.team_of(self.members, self.case)

    @property
    def other_cases(self) -> list[Case]:
        return of_case.other_cases_of(self.members, self.access)

    # -- what is wrong

    @cached_property
    def flags(self) -> list[Flag]:
        """All of them with their answers, newest first."""
        return of_case.flags_with_answers(self.access)

    @cached_property
    def open_flags(self) -> list[Flag]:
        """Those nobody has closed, most urgent first."""
        return of_case.most_urgent_first(filter(of_case.flag_is_open, self.flags))

    @cached_property
    def flags_asked(self) -> tuple[list[Flag], list[Flag]]:
        """The open flags that ask for somebody, and those that were left open at the end."""
        return flags_asked(self.access, self.open_flags)

    @property
    def just_answered(self) -> list[Flag]:
        return of_case.answered_lately(self.flags, now=self.now)

    @cached_property
    def alerts(self) -> list[Alert]:
        """The open alerts and remarks, alerts first."""
        return of_case.alerts_for(self.access)

    @cached_property
    def team_alerts(self) -> list[Alert]:
        """The remarks, and the alerts that stand open for anybody on the team; of a closed case
        those it ended with. An unanswered flag stands there as the flag itself."""
        alerts = [alert for alert in self.alerts if alert.rule != SILENCE_RULE]
        if not self.case.is_open:
            return alerts
        asked = open_for_team(self.case, today=self.today)
        return [a for a in alerts if a.weight != Alert.Weight.ALERT or a.pk in asked]

    @cached_property
    def own_alerts(self) -> BoardAlerts:
        """The alerts as this person meets them: what needs them, and what is quiet."""
        return board_alerts(self.access, today=self.today)

    # -- the numbers

    @cached_property
    def numbers(self) -> Numbers:
        return numbers_kept(self.horse, today=self.today)

    @cached_property
    def case_numbers(self) -> Numbers:
        """The same; the bands of a closed case ended with it, and its last page compares with them."""
        if self.case.is_open:
            return self.numbers
        return replace(self.numbers, targets=bands_of_case(self.access))

    @cached_property
    def verdicts(self) -> dict[str, FootVerdict]:
        """What was judged last of each foot."""
        return verdicts_of(self.case_numbers)

    @property
    def jumps(self) -> list[JumpSeen]:
        return jumps_standing(self.case_numbers, self.today)

    @cached_property
    def films(self) -> tuple[FilmDanger, ...]:
        """What the newest films show that must be known before a foot is cut."""
        return film_dangers(self.numbers.readings)

    @cached_property
    def dangers(self) -> Dangers:
        """The films, and what the plans of all the horse's boards say of the cutting."""
        return dangers_for(self.access, self.numbers, today=self.today, plan=self.open_plan)

    # -- the plan

    @cached_property
    def plan(self) -> list[PlanLine]:
        return plan_for(self.access, members=self.members)

    @property
    def open_plan(self) -> list[PlanLine]:
        return [line for line in self.plan if line.is_open]

    @property
    def cutting(self) -> tuple[CutItem, ...]:
        """What this plan says to whoever is about to cut."""
        return cut_items_in(self.plan, today=self.today)

    @cached_property
    def sheet_before(self) -> PlanSheet | None:
        return sheet_before(self.access)

    # -- visits and examinations

    @cached_property
    def next_visit(self) -> Visit | None:
        return of_case.next_visit(self.horse)

    def visits_near(self, kept: int) -> tuple[list[Visit], list[Visit]]:
        """The planned visits, the next one first, and the last ones kept."""
        return of_case.visits_ahead_and_behind(self.access, kept)

    @cached_property
    def owner_contact(self) -> OwnerContact | None:
        """What is kept of the owner of a held horse; asked for no other."""
        held = any(member.holds for member in self.team)
        return contact_of(self.access) if held else None

    @cached_property
    def words(self) -> WordPart:
        """What is asked about a day that passed, and what others reported."""
        today, undo_from = self.today, self.now - UNDO_FOR
        return words_for(self.access, today=today, undo_from=undo_from)

    @cached_property
    def grade(self) -> Soundness | None:
        return of_case.newest_grade(self.access)

    @cached_property
    def last_exam(self) -> Exam | None:
        """Only when and by whom."""
        return of_case.newest_exam(self.access)

    @property
    def exams(self) -> QuerySet[Exam]:
        return of_case.exams_for(self.access)

    @property
    def soundness(self) -> QuerySet[Soundness]:
        return of_case.soundness_for(self.access)

    # -- what was said

    def notes_newest(self, count: int) -> list[Note]:
        return of_case.notes_newest(self.access, count)

    @property
    def history(self) -> QuerySet[HistoryLine]:
        """All lines that this person may read."""
        return of_case.history_for(self.access)

    @property
    def talk(self) -> QuerySet[HistoryLine]:
        """The lines without the daily looks; a board reads the newest."""
        return of_case.without_looks(self.history)

    @cached_property
    def last_look(self) -> Look | None:
        """When the horse was last looked at in passing, and by whom."""
        return last_look(self.access)

    # -- the whole of it, for a copy

    @property
    def notes(self) -> QuerySet[Note]:
        return of_case.notes_for(self.access)

    @cached_property
    def pictures(self) -> PictureQuerySet:
        """Blanked out or not; of the horse's other boards those of its visits."""
        return pictures_for(self.access)

    @property
    def weights(self) -> QuerySet[HorseWeight]:
        return of_case.weights_for(self.access)

    @property
    def visits(self) -> QuerySet[Visit]:
        return of_case.visits_for(self.access)

    @property
    def looks(self) -> QuerySet[Look]:
        return looks_for(self.access)

    @property
    def shoe_changes(self) -> Sequence[ShoeChange]:
        return shoe_changes_for(self.access)

    @property
    def readings(self) -> QuerySet[Reading]:
        return readings_for(self.access)

    @property
    def targets(self) -> QuerySet[Target]:
        return targets_for(self.access)

    @property
    def sheets(self) -> QuerySet[PlanSheet]:
        return sheets_for(self.access)

    @property
    def papers(self) -> QuerySet[SheetPaper]:
        return papers_for(self.access)
