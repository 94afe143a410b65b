"""The fixed people that every test knows, on one horse with a standing case and a concern."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from allauth.account.models import EmailAddress

from horses.access import CaseAccess, access_get
from horses.models import Case, Horse, Membership, Person, Role
from horses.services.cases import case_open
from horses.services.horses import horse_create
from horses.services.team import member_remove


@dataclass
class Cast:
    owner: Person
    vet: Person
    farrier: Person
    stand_in: Person
    carer: Person
    removed: Person  # was a farrier on the case, and was removed
    invited: Person  # has an account, and an invitation not accepted
    stranger: Person
    staff: Person  # runs the installation, is on no case
    other_owner: Person
    other_vet: Person
    other_farrier: Person
    horse: Horse
    case: Case
    concern: Case
    other_case: Case

    def access(self, person: Person, case: Case | None = None) -> CaseAccess:
        """As right after a sign-in."""
        return access_get(person, (case or self.case).public_id, fresh=True)

    @property
    def everyone(self) -> dict[str, Person]:
        return {k: v for k, v in self.__dict__.items() if isinstance(v, Person)}


def person(name: str, **extra: object) -> Person:
    made = Person.objects.create_user(
        f"{name.lower().replace(' ', '.')}@example.test", name, **extra
    )
    EmailAddress.objects.create(user=made, email=made.email, verified=True, primary=True)
    return made


def join(
    case: Case, who: Person, role: Role, at: datetime, *, stand_in: bool = False
) -> Membership:
    return Membership.objects.create(
        case=case, person=who, role=role, stand_in=stand_in, joined_at=at
    )


def make_cast(now: datetime) -> Cast:
    """Everything was set up a month before `now`."""
    at = now - timedelta(days=30)
    owner = person("Ola Owner", phone="0100 200 301")
    vet = person("Vera Vet", phone="0100 200 302")
    farrier = person("Finn Farrier", phone="0100 200 303")
    stand_in = person("Stina Standin")
    carer = person("Cara Carer")
    removed = person("Remi Removed")
    horse = horse_create(
        person=owner,
        fields={
            "name": "Juniper",
            "emergency_vet_name": "Night Vets",
            "emergency_vet_phone": "0100 999",
        },
        now=at,
    )
    case = Case.objects.get(horse=horse)
    join(case, vet, Role.VET, at)
    join(case, farrier, Role.FARRIER, at)
    join(case, stand_in, Role.FARRIER, at, stand_in=True)
    join(case, carer, Role.CARER, at)
    leaver = join(case, removed, Role.FARRIER, at)
    concern = case_open(access=access_get(owner, case.public_id), title="Left fore", now=at)
    for board in (case, concern):
        member = Membership.objects.get(case=board, person=removed)
        member_remove(
            access=access_get(owner, board.public_id, fresh=True),
            membership_id=member.public_id,
            now=at,
        )
    assert leaver.pk
    other_owner, other_vet = person("Otto Other"), person("Viktor Other")
    other_farrier = person("Fia Other")
    other_horse = horse_create(person=other_owner, fields={"name": "Bramble"}, now=at)
    other_case = Case.objects.get(horse=other_horse)
    join(other_case, other_vet, Role.VET, at)
    join(other_case, other_farrier, Role.FARRIER, at)
    return Cast(
        owner=owner,
        vet=vet,
        farrier=farrier,
        stand_in=stand_in,
        carer=carer,
        removed=removed,
        invited=person("Ivo Invited"),
        stranger=person("Sten Stranger"),
        staff=person("Stella Staff", is_staff=True),
        other_owner=other_owner,
        other_vet=other_vet,
        other_farrier=other_farrier,
        horse=horse,
        case=Case.objects.get(pk=case.pk),
        concern=Case.objects.get(pk=concern.pk),
        other_case=other_case,
    )
