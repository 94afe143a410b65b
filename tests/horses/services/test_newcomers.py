"""A new vet or farrier is shown as new until somebody independent has confirmed knowing them."""

from datetime import datetime

import pytest

from horses.access import access_get
from horses.accounts.services.people_admin import person_know, person_know_not
from horses.models import HistoryLine, Membership, Notice, Person, PlanItem, Role
from horses.queries.plan_lines import plan_for
from horses.queries.plan_state import active_roles, version_state
from horses.services.cases import case_open
from horses.services.deed import DeedRefused
from horses.services.invitations import invitation_accept, invitation_create, token_for
from horses.services.plan import latest_version, plan_item_decide
from horses.services.team import member_confirm, member_remove
from tests import build
from tests.cast import Cast, person
from tests.horses.doors import Door, text_of

pytestmark = pytest.mark.django_db
NEW = "new here, invited by Ola Owner; not yet confirmed by anybody else"


def joins(cast: Cast, inviter: Person, who: Person, role: Role, now: datetime) -> Membership:
    asked = invitation_create(access=cast.access(inviter), email=who.email, role=role, now=now)
    return invitation_accept(person=who, token=token_for(asked.public_id), now=now)


def confirms(cast: Cast, who: Person, member: Membership, now: datetime) -> Membership:
    return member_confirm(
        access=cast.access(who, member.case), membership_id=member.public_id, now=now
    )


def refusal(cast: Cast, who: Person, member: Membership, now: datetime) -> str:
    with pytest.raises(DeedRefused) as refused:
        confirms(cast, who, member, now)
    member.refresh_from_db()
    assert member.is_new_here
    return str(refused.value)


@pytest.fixture
def second() -> Person:
    return person("Ola Second")


@pytest.fixture
def fake(cast: Cast, second: Person, now: datetime) -> Membership:
    """The owner's second address, asked in as a vet."""
    return joins(cast, cast.owner, second, Role.VET, now)


@pytest.mark.parametrize("page", ["team", "board"])
def test_everybody_reads_that_a_vet_is_new(page: str, cast: Cast, fake: Membership) -> None:
    for who in (cast.owner, cast.farrier, cast.carer, cast.vet, fake.person):
        said = text_of(Door(who, cast.case).get(page))
        assert said.lower().count(NEW.lower()) == 1, who


def test_the_team_is_told_at_the_joining(cast: Cast, fake: Membership) -> None:
    bodies = Notice.objects.filter(verb="team.joined", person=cast.farrier)
    assert {notice.body for notice in bodies} == {f"N{NEW[1:]}."}


def test_owners_and_carers_are_not_shown_as_new(cast: Cast, now: datetime) -> None:
    for name, role in (("Pia Partner", Role.OWNER), ("Gil Groom", Role.CARER)):
        assert not joins(cast, cast.owner, person(name), role, now).is_new_here


def test_who_was_there_before_it_was_written_down_counts_as_confirmed(cast: Cast) -> None:
    assert not any(m.is_new_here for m in Membership.objects.all())
    assert "new here" not in text_of(Door(cast.owner, cast.case).get("team"))


# -- whose word counts


def test_somebody_who_did_not_bring_them_confirms(
    cast: Cast, fake: Membership, now: datetime
) -> None:
    confirms(cast, cast.farrier, fake, now)
    fake.refresh_from_db()
    assert (fake.is_new_here, fake.confirmed_by, fake.confirmed_at) == (False, cast.farrier, now)
    line = HistoryLine.objects.get(case=cast.case, verb="team.confirmed")
    assert (line.actor, line.after) == (cast.farrier, {"name": "Ola Second", "role": "vet"})
    assert "new here" not in text_of(Door(cast.carer, cast.case).get("team"))
    confirms(cast, cast.vet, fake, now)  # the second says nothing
    assert HistoryLine.objects.filter(verb="team.confirmed").count() == 1
    fake.refresh_from_db()
    assert fake.confirmed_by == cast.farrier


def test_neither_who_brought_them_nor_themself(cast: Cast, fake: Membership, now: datetime) -> None:
    assert "did not bring" in refusal(cast, cast.owner, fake, now)
    assert "Nobody confirms themself" in refusal(cast, fake.person, fake, now)


@pytest.mark.parametrize("role", [Role.FARRIER, Role.OWNER, Role.VET])
def test_a_second_fake_does_not_confirm_the_first(
    role: Role, cast: Cast, fake: Membership, now: datetime
) -> None:
    third = joins(cast, cast.owner, person("Ola Third"), role, now)
    refusal(cast, third.person, fake, now)


def test_one_confirmed_does_not_confirm_whom_the_same_person_brought(
    cast: Cast, fake: Membership, now: datetime
) -> None:
    third = joins(cast, cast.owner, person("Ola Third"), Role.FARRIER, now)
    confirms(cast, cast.farrier, third, now)
    assert "same person" in refusal(cast, third.person, fake, now)


def test_nobody_confirms_at_second_hand(cast: Cast, now: datetime) -> None:
    """The owner brings a second owner of their own, who brings the vet."""
    partner = joins(cast, cast.owner, person("Ola Partner"), Role.OWNER, now).person
    vet = joins(cast, partner, person("Ola Vetty"), Role.VET, now)
    assert "did not bring" in refusal(cast, cast.owner, vet, now)
    own = Membership.objects.get(case=cast.case, person=partner)
    member_remove(access=cast.access(partner), membership_id=own.public_id, now=now)
    elsewhere = case_open(access=cast.access(cast.owner), title="Other", now=now)
    there = Membership.objects.get(case=elsewhere, person=vet.person)
    assert there.is_new_here  # another case of the horse launders nothing
    assert "did not bring" in refusal(cast, cast.owner, there, now)
    confirms(cast, cast.farrier, there, now)


def test_removed_and_asked_again_one_is_new_again(
    cast: Cast, fake: Membership, now: datetime
) -> None:
    confirms(cast, cast.farrier, fake, now)
    member_remove(access=cast.access(cast.owner), membership_id=fake.public_id, now=now)
    assert joins(cast, cast.owner, fake.person, Role.VET, now).is_new_here


def test_whom_the_installation_knows_is_not_new_and_confirms_others(
    cast: Cast, fake: Membership, now: datetime
) -> None:
    """On a team that one person has gathered, trust begins outside of it."""
    third = joins(cast, cast.owner, person("Ola Third"), Role.FARRIER, now)
    person_know(person=third.person, now=now)
    assert not Membership.objects.get(pk=third.pk).is_new_here
    confirms(cast, third.person, fake, now)
    fake.refresh_from_db()
    assert not fake.is_new_here
    person_know_not(person=third.person)
    assert Membership.objects.get(pk=third.pk).is_new_here


# -- the pages


def test_the_link_is_there_for_those_whose_word_counts(cast: Cast, fake: Membership) -> None:
    for who, there in (
        (cast.farrier, True),
        (cast.vet, True),
        (cast.owner, False),
        (cast.carer, False),
        (fake.person, False),
    ):
        assert ("I know Ola Second" in text_of(Door(who, cast.case).get("team"))) is there, who


def test_confirming_by_the_page(cast: Cast, fake: Membership) -> None:
    door = Door(cast.farrier, cast.case)
    asked = text_of(door.get("member_confirm", fake.public_id))
    assert "Do you know Ola Second?" in asked
    assert fake.person.email in asked
    done = door.post("member_confirm", fake.public_id)
    assert done.status_code == 302
    fake.refresh_from_db()
    assert fake.confirmed_by == cast.farrier


def test_a_word_that_does_not_count_is_refused_by_the_page(cast: Cast, fake: Membership) -> None:
    answer = Door(cast.owner, cast.case).post("member_confirm", fake.public_id)
    assert answer.status_code == 422
    assert "It takes somebody who did not bring them." in text_of(answer)
    assert Door(cast.owner, cast.other_case).get("member_confirm", "x" * 16).status_code == 404
    assert Door(cast.owner, cast.case).get("member_confirm", "x" * 16).status_code == 404


# -- a therapeutic word


def agreed_item(cast: Cast, now: datetime, vet: Person) -> PlanItem:
    item = build.plan_item(cast.access(vet), now, text="Wedges.", therapeutic=True)
    for who in (cast.owner, cast.farrier):
        plan_item_decide(
            access=cast.access(who),
            item_id=item.public_id,
            seen_hash=latest_version(item).content_hash,
            decision="agree",
            now=now,
        )
    return item


WORDS = "The vet&#x27;s word here is from Ola Second, who is new here and not yet confirmed."


def test_an_agreement_by_a_new_vet_says_so_and_counts(
    cast: Cast, fake: Membership, now: datetime
) -> None:
    item = agreed_item(cast, now, fake.person)
    assert version_state(latest_version(item), active_roles(cast.case)).is_agreed
    door = Door(cast.farrier, cast.case)
    pages = (
        ("board", (), WORDS),
        ("plan_item", (item.public_id,), WORDS),
        ("sheet", (), "Vet new here, not yet confirmed."),
    )
    for page, ids, words in pages:
        assert text_of(door.get(page, *ids)).count(words) == 1, page
    confirms(cast, cast.farrier, fake, now)
    for page, ids, _ in pages:
        assert "new here" not in text_of(door.get(page, *ids)), page


def test_it_is_said_after_the_new_vet_has_left_too(
    cast: Cast, fake: Membership, now: datetime
) -> None:
    agreed_item(cast, now, fake.person)
    member_remove(access=cast.access(cast.owner), membership_id=fake.public_id, now=now)
    (line,) = plan_for(access_get(cast.owner, cast.case.public_id))
    assert "Ola Second" in line.new_vet_words


def test_a_confirmed_vets_word_beside_it_is_enough(
    cast: Cast, fake: Membership, now: datetime
) -> None:
    item = agreed_item(cast, now, fake.person)
    plan_item_decide(
        access=cast.access(cast.vet),
        item_id=item.public_id,
        seen_hash=latest_version(item).content_hash,
        decision="agree",
        now=now,
    )
    (line,) = plan_for(cast.access(cast.owner))
    assert line.new_vet_words == ""


def test_nothing_is_said_of_what_is_not_therapeutic(
    cast: Cast, fake: Membership, now: datetime
) -> None:
    build.plan_item(cast.access(fake.person), now, text="Walk daily.")
    (line,) = plan_for(cast.access(cast.owner))
    assert line.new_vet_words == ""


def test_the_sheet_names_who_is_new(cast: Cast, fake: Membership, now: datetime) -> None:
    door = Door(cast.farrier, cast.case)
    assert text_of(door.get("sheet")).count("Vet, new here") >= 1
    confirms(cast, cast.vet, fake, now)
    assert "new here" not in text_of(door.get("sheet"))
