"""The rows of one yard, made in memory and written in bulk: what the services would have written.

Two things are not: notices (all were read long ago) and the judging, which counts as done at the
moment of building and falls due again over the week that follows. Nothing says that a number is
old or new beyond that.
"""

from collections import defaultdict
from datetime import date, datetime, timedelta
from decimal import Decimal
from random import Random
from typing import Any

from django.db import models

from caseboard.demo.series import FootLevel, SeriesChange, Value, series
from horses.access import TEAM_AUDIENCE
from horses.domain.signs import SIGN
from horses.ledger.append import line_next
from horses.models import (
    Agreement,
    Case,
    Flag,
    Foot,
    FootWork,
    HistoryLine,
    Horse,
    HorseClock,
    HorseWeight,
    Membership,
    Note,
    Person,
    PlanItem,
    PlanItemVersion,
    Role,
    Trim,
    Visit,
)
from horses.models.base import ID_ALPHABET, ID_LENGTH
from horses.services.plan import ItemContent, content_hash
from measurements.hoof.quantities import QUANTITIES
from measurements.models import Reading, Target
from measurements.services.targets import Band, band_words
from tests.bench.estate_people import Yard

NAMES = (
    "Alder",
    "Birch",
    "Cedar",
    "Damson",
    "Elder",
    "Furze",
    "Gorse",
    "Hawthorn",
    "Iris",
    "Jasmine",
    "Larch",
    "Myrtle",
    "Nettle",
    "Osier",
    "Poplar",
    "Rowan",
    "Sorrel",
    "Teasel",
)
CYCLE_DAYS = 49
FLAGGED_EVERY, SLOW_EVERY, BAREFOOT_EVERY = 10, 12, 3  # one horse in so many; house defaults


class Rows:
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
            line_next(case, actor=who, role=role, verb=verb, now=at, **more)
        )

    def add_horse(self, yard: Yard, *, readings: int, number: int) -> None:
        rng = self.rng
        shod = number % BAREFOOT_EVERY != 0
        feet = _levels(rng, shod=shod, slow=number % SLOW_EVERY == 0)
        visits = _visits(f"{yard.name} {number}", feet, readings)
        last = self.now - timedelta(days=rng.randrange(3, CYCLE_DAYS + 14), hours=rng.randrange(6))
        first = last - timedelta(days=CYCLE_DAYS * len(visits))
        born = first.date() - timedelta(days=rng.randrange(1500, 6000))
        name = f"{NAMES[number % len(NAMES)]} {number}"
        horse = self._add(
            Horse,
            name=name,
            yard=yard.name,
            born_on=born,
            sex="mare",
            use="ridden",
            emergency_vet_name="Night vets",
            emergency_vet_phone="01632 960000",
            created_at=first,
        )
        case = self._add(
            Case,
            horse=horse,
            kind=Case.Kind.ROUTINE,
            title="Standing care",
            opened_at=first,
            opened_by=yard.owner,
        )
        self._add(
            HorseClock,
            horse=horse,
            judged_at=self.now,
            due_at=self.now + timedelta(days=1, minutes=rng.randrange(6 * 24 * 60)),
        )
        team = {Role.OWNER: yard.owner, Role.FARRIER: yard.farrier, Role.VET: yard.vet}
        for role, who in (*team.items(), (Role.OWNER, yard.manager)):
            self._add(Membership, case=case, person=who, role=role, joined_at=first)
        self._line(
            case,
            yard.owner,
            Role.OWNER,
            "horse.created",
            first,
            subject=horse.public_id,
            after={"name": name, "yard": yard.name},
        )
        self._weight(horse, case, yard.owner, first)
        for index, values in enumerate(visits, start=1):
            at = first + timedelta(days=CYCLE_DAYS * index)
            self._visit(horse, case, yard.farrier, at, values, shod)
        self._talk(horse, case, team, last, number)

    def _weight(self, horse: Horse, case: Case, who: Person, at: datetime) -> None:
        kg = Decimal(self.rng.randrange(420, 640))
        weight = self._add(
            HorseWeight,
            horse=horse,
            weight_kg=kg,
            entered_value=kg,
            entered_unit="kg",
            method="tape",
            weighed_on=at.date(),
            recorded_by=who,
            recorded_at=at,
        )
        self._line(
            case,
            who,
            Role.OWNER,
            "horse.weighed",
            at,
            subject=weight.public_id,
            after={"value": str(kg), "unit": "kg", "on": str(at.date())},
        )

    def _visit(
        self, horse: Horse, case: Case, who: Person, at: datetime, values: list[Value], shod: bool
    ) -> None:
        on, left = at.date(), "shod" if shod else "barefoot"
        visit = self._add(
            Visit,
            horse=horse,
            case=case,
            kind=Visit.Kind.FARRIER,
            status=Visit.Status.KEPT,
            kept_on=on,
            person=who,
            person_role=Role.FARRIER,
            person_name=str(who),
            recorded_at=at,
            words="Trimmed and balanced.",
        )
        for foot in Foot.values:
            self._add(
                FootWork,
                visit=visit,
                foot=foot,
                trimmed=True,
                shoeing_left=left,
                shoe="reset" if shod else "none",
            )
            self._add(Trim, horse=horse, foot=foot, trimmed_on=on, visit=visit, recorded_at=at)
        self._line(
            case,
            who,
            Role.FARRIER,
            "visit.kept",
            at,
            subject=visit.public_id,
            after={
                "on": str(on),
                "words": visit.words,
                "work": dict.fromkeys(Foot.values, "trimmed"),
            },
        )
        if values:
            self._readings(horse, case, who, at, visit, values, left)

    def _readings(
        self,
        horse: Horse,
        case: Case,
        who: Person,
        at: datetime,
        visit: Visit,
        values: list[Value],
        left: str,
    ) -> None:
        told, first = [], ""
        for value in values:
            unit = QUANTITIES[value.quantity].unit
            method = "gauge" if unit == "deg" else "tape"
            number, text = Decimal(str(value.number)), f"{value.number:g}"
            row = self._add(
                Reading,
                horse=horse,
                foot=value.foot,
                quantity=value.quantity,
                value=number,
                entered_value=number,
                entered_unit=unit,
                entered_text=text,
                method=method,
                trim_state=value.trim_state,
                shoeing=left,
                taken_on=at.date(),
                taken_by=who,
                taken_by_name=str(who),
                visit=visit,
                recorded_by=who,
                recorded_at=at,
            )
            first = first or row.public_id
            told.append(f"{value.foot} {value.quantity} {text} {unit} {method} {value.trim_state}")
        self._line(
            case,
            who,
            Role.FARRIER,
            "readings.recorded",
            at,
            subject=first,
            after={"on": str(at.date()), "readings": told, "source": "form"},
        )

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


def _levels(rng: Random, *, shod: bool, slow: bool) -> dict[str, FootLevel]:
    """Four feet of an ordinary horse; a slow one's left fore loses half a degree a trim."""
    change = (SeriesChange(after=2, until=100, toe_angle_deg=-0.5, heel_angle_deg=-0.5),)
    return {
        foot: FootLevel(
            toe_angle_deg=rng.uniform(50, 54),
            heel_angle_deg=rng.uniform(46, 50),
            toe_length_mm=rng.uniform(76, 86),
            pastern_angle_deg=rng.uniform(50, 54),
            shod=shod,
            changes=change if slow and foot == "LF" else (),
        )
        for foot in Foot.values
    }


def _visits(seed: str, feet: dict[str, FootLevel], readings: int) -> list[list[Value]]:
    """So many visits that they hold this many values; the last one ends where the count does."""
    visits: list[list[Value]] = []
    days = [CYCLE_DAYS * n for n in range(readings // 12 + 1)]  # a visit has 12 values or more
    for values in series(seed, feet, days):
        if readings <= 0:
            break
        visits.append(list(values[:readings]))
        readings -= len(visits[-1])
    return visits
