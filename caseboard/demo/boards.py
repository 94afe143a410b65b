"""One case as the stories play it: each deed by a person at a moment, through the services."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from horses.access import CaseAccess, access_get
from horses.models import Case, Exam, Flag, FlagAnswer, Horse, Membership, Person, PlanItem
from horses.rules.engine import evaluate
from horses.services.cases import case_mark_seen, case_open
from horses.services.exams import FootFound, Grade, exam_record
from horses.services.flags import flag_answer, flag_raise
from horses.services.notes import note_write
from horses.services.plan import (
    ItemContent,
    latest_version,
    plan_item_decide,
    plan_item_propose,
    plan_item_revise,
)
from horses.services.plan_end import plan_item_finish
from horses.services.shoes import shoe_back
from measurements.services.targets import Band, target_set

TEAM = frozenset({"owner", "farrier", "vet", "carer"})


@dataclass(frozen=True)
class DemoBoard:
    horse: Horse
    case_id: str

    def access(self, person: Person) -> CaseAccess:
        return access_get(person, self.case_id, fresh=True)

    def flag(
        self,
        by: Person,
        at: datetime,
        signs: list[str],
        feet: list[str],
        words: str,
        since_on: date | None = None,
    ) -> Flag:
        return flag_raise(
            access=self.access(by),
            signs=signs,
            feet=feet,
            since_on=since_on,
            words=words,
            now=at,
        )

    def answer(
        self, by: Person, at: datetime, flag: Flag, words: str, *, phoned: bool = False
    ) -> None:
        kind = FlagAnswer.Kind.VET_PHONED if phoned else FlagAnswer.Kind.ANSWERED
        flag_answer(access=self.access(by), flag_id=flag.public_id, words=words, kind=kind, now=at)

    def shoe_back(self, by: Person, at: datetime, flag: Flag, words: str) -> None:
        shoe_back(
            access=self.access(by),
            flag_id=flag.public_id,
            kind="back",
            feet=flag.feet,
            on=at.date(),
            words=words,
            now=at,
        )

    def note(
        self, by: Person, at: datetime, body: str, readers: frozenset[str] | set[str] = TEAM
    ) -> None:
        note_write(access=self.access(by), body=body, audience=frozenset(readers), now=at)

    def exam(
        self, by: Person, at: datetime, words: str, grade: Grade | None, feet: list[FootFound]
    ) -> Exam:
        return exam_record(
            access=self.access(by), examined_at=at, feet=feet, grade=grade, words=words, now=at
        )

    def target(self, by: Person, at: datetime, band: Band) -> PlanItem:
        target = target_set(access=self.access(by), band=band, now=at)
        assert target.plan_version is not None  # setting a band puts it on the plan
        return target.plan_version.item

    def propose(self, by: Person, at: datetime, content: ItemContent) -> PlanItem:
        return plan_item_propose(access=self.access(by), content=content, now=at)

    def revise(self, by: Person, at: datetime, item: PlanItem, content: ItemContent) -> None:
        plan_item_revise(
            access=self.access(by),
            item_id=item.public_id,
            content=content,
            now=at,
            seen_version=latest_version(item).number,
        )

    def decide(
        self, by: Person, at: datetime, item: PlanItem, decision: str = "agree", reason: str = ""
    ) -> None:
        plan_item_decide(
            access=self.access(by),
            item_id=item.public_id,
            decision=decision,
            reason=reason,
            seen_hash=latest_version(item).content_hash,
            now=at,
        )

    def done(self, by: Person, at: datetime, item: PlanItem, words: str = "") -> None:
        plan_item_finish(
            access=self.access(by),
            item_id=item.public_id,
            status=PlanItem.Status.DONE,
            reason=words,
            now=at,
        )

    def open_concern(self, by: Person, at: datetime, title: str) -> "DemoBoard":
        case = case_open(access=self.access(by), title=title, now=at)
        return DemoBoard(self.horse, case.public_id)

    def judge(self, at: datetime) -> None:
        """What the rules said at that moment, as the sweep would have asked them."""
        evaluate(self.horse, now=at)

    def read_by_all(self, at: datetime) -> None:
        """Everybody on the team opened the board then."""
        for member in Membership.objects.filter(case__public_id=self.case_id, left_at=None):
            case_mark_seen(access=self.access(member.person), now=at)


def routine_board(horse: Horse) -> DemoBoard:
    case = Case.objects.get(horse=horse, kind=Case.Kind.ROUTINE)
    return DemoBoard(horse, case.public_id)


def band(
    foot: str, low: int, high: int, from_on: date, reason: str, *, therapeutic: bool = True
) -> Band:
    """A band for the toe angle just after the trim."""
    return Band(
        foot=foot,
        quantity="toe_angle",
        moment="after",
        low=Decimal(low),
        high=Decimal(high),
        from_on=from_on,
        reason=reason,
        therapeutic=therapeutic,
    )


def aaep(
    grade: int, surface: str, painkiller: str = "", painkiller_on: date | None = None
) -> Grade:
    return Grade("aaep", grade, surface, painkiller, painkiller_on)
