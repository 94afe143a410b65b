"""The rows of one yard, made in memory and written in bulk: what the services would have written.

Two things are not: notices (all were read long ago) and the judging, which counts as done at the
moment of building and falls due again over the week that follows. Nothing says that a number is
old or new beyond that.
"""

from datetime import datetime, timedelta
from decimal import Decimal
from random import Random

from caseboard.demo.series import FootLevel, SeriesChange, Value, series
from horses.models import (
    Case,
    Foot,
    FootWork,
    Horse,
    HorseClock,
    HorseWeight,
    Membership,
    Person,
    Role,
    Trim,
    Visit,
)
from measurements.hoof.quantities import QUANTITIES
from measurements.models import Reading
from tests.bench.estate_people import Yard
from tests.bench.estate_talk import CYCLE_DAYS, Talk

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
SLOW_EVERY, BAREFOOT_EVERY = 12, 3  # one horse in so many; house defaults


class Rows(Talk):
    """All rows of a generated horse."""

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
