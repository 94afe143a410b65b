"""What is said and agreed on a generated horse: notes, plan items, flags, the next visit."""

from collections import defaultdict
from datetime import date, datetime, timedelta
from decimal import Decimal
from random import Random
from typing import Any

from django.db import models

from horses.access import TEAM_AUDIENCE
from horses.domain.signs import SIGN
from horses.ledger.append import Told, line_next
from horses.models import (
    Agreement,
    Case,
    Flag,
    HistoryLine,
    Horse,
    Note,
    Person,
    PlanItem,
    PlanItemVersion,
    Role,
    Visit,
)
from horses.models.base import ID_ALPHABET, ID_LENGTH
from horses.services.plan import ItemContent, content_hash
from measurements.models import Target
from measurements.services.targets import Band, band_words

CYCLE_DAYS = 49
FLAGGED_EVERY = 10  # one horse in so many; house default


class Gathered:
    """Gathers rows, parents before children, and writes each kind with few statements."""

    def __init__(self, rng: Random, now: datetime) -> None:
        self.rng, self.now = rng, now
        self.made: dict[type[models.Model], list[Any]] = defaultdict(list)

    def save(self) -> None:
        for model, rows in self.made.items():  # in the order in which kinds first came up
            model._default_manager.bulk_create(rows, batch_size=5000)
        self.made.clear()

    def _add(self, model: Any, **fields: Any) -> Any:
        if any(field.name == "public_id" for field in model._meta.fields):
            fields["public_id"] = "".join(self.rng.choices(ID_ALPHABET, k=ID_LENGTH))
        row = model(**fields)
        self.made[model].append(row)
        return row

    def _line(
        self, case: Case, who: Person | None, role: str, verb: str, at: datetime, **more: Any
    ) -> None:
        self.made[HistoryLine].append(
            line_next(case, Told(verb, **more), actor=who, role=role, now=at)
        )


class Talk(Gathered):
    """The rows of what a team says to each other."""

    def _talk(
        self, horse: Horse, case: Case, team: dict[Role, Person], at: datetime, number: int
    ) -> None:
        """A band that all agreed to, an item that waits, a note, sometimes a flag and a next day."""
        low = Decimal(50 + self.rng.randrange(3))
        band = Band(
            foot="LF",
            quantity="toe_angle",
            moment="after",
            low=low,
            high=low + 4,
            from_on=at.date(),
            reason="Straight axis on the films.",
            therapeutic=True,
        )
        numbers = {
            "foot": "LF",
            "quantity": "toe_angle",
            "moment": "after",
            "low": f"{low:f}",
            "high": f"{low + 4:f}",
        }
        content = ItemContent(
            kind="target",
            therapeutic=True,
            text=band_words(band),
            who_does="farrier",
            from_on=band.from_on,
            target=numbers,
            reason=band.reason,
        )
        version = self._item(case, 1, content, team, Role.VET, at, agreed=tuple(team))
        self._add(
            Target,
            horse=horse,
            foot="LF",
            quantity="toe_angle",
            moment="after",
            low=low,
            high=low + 4,
            from_on=band.from_on,
            reason=band.reason,
            therapeutic=True,
            plan_version=version,
            set_by=team[Role.VET],
            set_role=Role.VET,
            set_at=at,
        )
        home = ItemContent(
            kind="home", therapeutic=False, text="Keep on soft ground.", who_does="owner"
        )
        self._item(case, 2, home, team, Role.FARRIER, at, agreed=(Role.FARRIER,))
        owner = team[Role.OWNER]
        note = self._add(
            Note,
            case=case,
            author=owner,
            author_role=Role.OWNER,
            audience=TEAM_AUDIENCE,
            body="Goes well on the circle.",
            written_at=at,
        )
        self._line(
            case,
            owner,
            Role.OWNER,
            "note.written",
            at,
            subject=note.public_id,
            audience=TEAM_AUDIENCE,
            after={"body": note.body},
        )
        if number % FLAGGED_EVERY == 0:
            self._flag(case, owner, self.now - timedelta(hours=2))
        if number % 2 == 0:
            self._next(horse, case, team[Role.FARRIER], at, at.date() + timedelta(days=CYCLE_DAYS))

    def _item(
        self,
        case: Case,
        number: int,
        content: ItemContent,
        team: dict[Role, Person],
        by: Role,
        at: datetime,
        *,
        agreed: tuple[Role, ...],
    ) -> PlanItemVersion:
        item = self._add(PlanItem, case=case, number=number, kind=content.kind, created_at=at)
        version = self._add(
            PlanItemVersion,
            item=item,
            number=1,
            therapeutic=content.therapeutic,
            text=content.text,
            who_does=content.who_does,
            from_on=content.from_on,
            target=content.target,
            reason=content.reason,
            proposed_by=team[by],
            proposed_role=by,
            proposed_at=at,
            required_roles=[role.value for role in team],
            content_hash=content_hash(case, number, 1, content),
        )
        self._line(
            case,
            team[by],
            by,
            "plan.item.proposed",
            at,
            subject=item.public_id,
            after={
                "item": number,
                "version": 1,
                "text": content.text,
                "therapeutic": content.therapeutic,
                "emergency": False,
                "hash": version.content_hash,
            },
        )
        for role in agreed:
            self._add(
                Agreement,
                version=version,
                content_hash=version.content_hash,
                person=team[role],
                person_name=str(team[role]),
                role=role,
                decision=Agreement.Decision.AGREE,
                decided_at=at,
            )
            self._line(
                case,
                team[role],
                role,
                "plan.item.agreed",
                at,
                subject=item.public_id,
                after={"item": number, "version": 1, "hash": version.content_hash, "reason": ""},
            )
        if len(agreed) == len(team):
            self._line(
                case,
                None,
                "",
                "plan.item.agreed_by_all",
                at,
                subject=item.public_id,
                after={
                    "item": number,
                    "version": 1,
                    "hash": version.content_hash,
                    "roles": [role.value for role in team],
                },
            )
        return version

    def _flag(self, case: Case, who: Person, at: datetime) -> None:
        flag = self._add(
            Flag,
            case=case,
            raised_by=who,
            raised_role=Role.OWNER,
            raised_at=at,
            signs=["short_stride"],
            feet=["LF"],
            urgency="next_visit",
            words="Short on the left.",
        )
        self._line(
            case,
            who,
            Role.OWNER,
            "flag.raised",
            at,
            subject=flag.public_id,
            after={
                "signs": [SIGN[key].words for key in flag.signs],
                "feet": flag.feet,
                "since": "",
                "words": flag.words,
                "urgency": flag.urgency,
            },
        )

    def _next(self, horse: Horse, case: Case, who: Person, at: datetime, on: date) -> None:
        visit = self._add(
            Visit,
            horse=horse,
            case=case,
            kind=Visit.Kind.FARRIER,
            status=Visit.Status.PLANNED,
            planned_on=on,
            planned_for=who,
            planned_by_role=Role.FARRIER,
            recorded_at=at,
            changed_at=at,
            version=2,
        )
        self._line(
            case,
            who,
            Role.FARRIER,
            "visit.planned",
            at,
            subject=visit.public_id,
            after={"on": str(on), "words": "", "kind": "farrier", "who": str(who)},
        )
