"""The people of a generated estate, yard by yard; one of them manages all yards."""

from dataclasses import dataclass
from datetime import datetime

from allauth.account.models import EmailAddress
from django.contrib.auth.hashers import make_password

from horses.models import Person
from tests.bench.estate import FARRIER_YARDS, VET_YARDS


@dataclass(frozen=True)
class Yard:
    name: str
    owner: Person
    farrier: Person
    vet: Person
    manager: Person  # an owner on every board of the estate: the largest herd there can be


def people_make(seed: int, yards: int, joined: datetime) -> list[Yard]:
    mark = f"estate{seed}"
    manager = f"{mark}-manager@example.test"
    owners = [f"{mark}-owner-{n}@example.test" for n in range(yards)]
    farriers = [f"{mark}-farrier-{n}@example.test" for n in range(-(-yards // FARRIER_YARDS))]
    vets = [f"{mark}-vet-{n}@example.test" for n in range(-(-yards // VET_YARDS))]
    people = [
        Person(
            email=email,
            name=email.split("@")[0].split("-", 1)[1].replace("-", " ").title(),
            password=make_password(None),
            joined_at=joined,
        )
        for email in (manager, *owners, *farriers, *vets)
    ]
    Person.objects.bulk_create(people)
    EmailAddress.objects.bulk_create(
        EmailAddress(user=who, email=who.email, verified=True, primary=True) for who in people
    )
    by_email = {who.email: who for who in people}
    return [
        Yard(
            name=f"Yard {seed}-{n}",
            owner=by_email[owners[n]],
            farrier=by_email[farriers[n // FARRIER_YARDS]],
            vet=by_email[vets[n // VET_YARDS]],
            manager=by_email[manager],
        )
        for n in range(yards)
    ]
