"""The people of the demo: all invented, with addresses that cannot exist."""

from dataclasses import dataclass, fields
from datetime import datetime

from allauth.account.models import EmailAddress

from horses.models import Person


@dataclass(frozen=True)
class Who:
    """One person as they are made; `role` says in words what they do."""

    name: str
    role: str
    email: str
    phone: str
    length_unit: str = "cm"
    weight_unit: str = "kg"
    side_words: str = "left_right"


@dataclass(frozen=True)
class People:
    manager: Person
    owner: Person
    farrier: Person
    stand_in: Person
    vet: Person
    second_vet: Person
    groom: Person

    def all(self) -> list[Person]:
        return [getattr(self, field.name) for field in fields(self)]


# The phone numbers are of the range that is set aside for fiction.
WHO: dict[str, Who] = {
    "manager": Who(
        "Dorrit Vane",
        "yard manager, owner of the school's horses",
        "dorrit.vane@quillmarsh.example",
        "01632 960201",
    ),
    "owner": Who(
        "Piers Amblin",
        "owner of one horse",
        "piers.amblin@example.test",
        "01632 960202",
        side_words="near_off",
    ),
    "farrier": Who(
        "Gus Hallow", "farrier", "gus.hallow@example.test", "01632 960203", length_unit="mm"
    ),
    "stand_in": Who(
        "Tessa Wrenn",
        "stand-in farrier",
        "tessa.wrenn@example.test",
        "01632 960204",
        length_unit="in",
        weight_unit="lb",
    ),
    "vet": Who("Ines Calder", "vet", "ines.calder@example.test", "01632 960205"),
    "second_vet": Who(
        "Rolf Ashdene",
        "second vet, a second opinion on one case",
        "rolf.ashdene@example.test",
        "01632 960206",
    ),
    "groom": Who("Kit Farrow", "groom (carer)", "kit.farrow@quillmarsh.example", "01632 960207"),
}


def people_make(now: datetime) -> People:
    """All known to whoever runs the yard, but the second vet: somebody is new on one board."""
    known = {key: None if key == "second_vet" else now for key in WHO}
    return People(**{key: _make(who, known[key]) for key, who in WHO.items()})


def _make(who: Who, known_at: datetime | None) -> Person:
    person = Person.objects.create_user(
        who.email,
        who.name,
        phone=who.phone,
        length_unit=who.length_unit,
        weight_unit=who.weight_unit,
        side_words=who.side_words,
        known_at=known_at,
    )
    EmailAddress.objects.create(user=person, email=person.email, verified=True, primary=True)
    return person
