"""The yard's people on its horses: ordinary memberships, and what a yard may not do."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.core.exceptions import PermissionDenied
from django.http import Http404

from horses.access import POLICY, access_get, access_on, may, require
from horses.jobs.outbox import jobs_run_due
from horses.models import Case, Membership, Person, Role, YardRole
from horses.services.cases import case_open
from horses.services.deed import DeedRefused
from horses.services.plan import latest_version, plan_item_decide
from horses.services.team import member_remove
from horses.services.yard_members import yard_member_end
from horses.services.yard_move import asks_first_set, let_in
from tests import build
from tests.cast import person
from tests.rights import RUNS_YARD, allowed
from tests.yards import YardCast, ask, joined, make_yard, moved, own_horse, say_yes

pytestmark = pytest.mark.django_db


def roles(case: Case) -> dict[str, str]:
    """Who is on the case now, as what."""
    rows = Membership.objects.filter(case=case, left_at=None).select_related("person")
    return {str(m.person).split()[0]: _as(m) for m in rows}


def _as(m: Membership) -> str:
    return "manager" if m.runs_yard else "stand-in" if m.stand_in else str(m.role)


def test_the_yards_people_are_on_its_own_horses_at_once(yard_cast: YardCast) -> None:
    everybody = {"Mara": "owner", "Fay": "farrier", "Vic": "vet", "Gro": "carer"}
    assert roles(yard_cast.pebble) == roles(yard_cast.otter) == everybody


def test_a_livery_owner_is_on_their_horse_only_and_the_manager_is_no_owner_there(
    yard_cast: YardCast,
) -> None:
    assert roles(yard_cast.linnet) == {
        "Liv": "owner",
        "Mara": "manager",
        "Fay": "farrier",
        "Vic": "vet",
        "Gro": "carer",
    }
    for case in (yard_cast.pebble, yard_cast.otter):
        with pytest.raises(Http404):
            access_get(yard_cast.livery, case.public_id)


@pytest.mark.parametrize("name", ["waiting", "gone", "other_manager"])
def test_who_waits_has_gone_or_runs_another_yard_is_on_no_horse(
    name: str, yard_cast: YardCast
) -> None:
    who: Person = getattr(yard_cast, name)
    for case in (yard_cast.pebble, yard_cast.otter, yard_cast.linnet):
        assert access_on(who, case) is None


def test_a_manager_on_a_livery_horse_plans_and_records_and_no_more(yard_cast: YardCast) -> None:
    access = yard_cast.access(yard_cast.manager, yard_cast.linnet)
    for action in POLICY:
        expected = allowed(action, "carer") or action in RUNS_YARD
        assert may(access, action) is expected, action
        if not expected:
            with pytest.raises(PermissionDenied):
                require(access, action)
        else:
            require(access, action)


def test_a_manager_neither_agrees_for_a_livery_owner_nor_removes_them(
    yard_cast: YardCast, now: datetime
) -> None:
    item = build.plan_item(yard_cast.access(yard_cast.vet, yard_cast.linnet), now)
    here = yard_cast.access(yard_cast.manager, yard_cast.linnet)
    with pytest.raises(PermissionDenied):
        plan_item_decide(
            access=here,
            item_id=item.public_id,
            seen_hash=latest_version(item).content_hash,
            decision="agree",
            reason="",
            now=now,
        )
    owner = Membership.objects.get(case=yard_cast.linnet, person=yard_cast.livery)
    with pytest.raises(PermissionDenied):
        member_remove(access=here, membership_id=owner.public_id, now=now)


def test_an_access_from_before_the_manager_was_only_a_carer_opens_nothing_more(
    yard_cast: YardCast,
) -> None:
    held = yard_cast.access(yard_cast.manager, yard_cast.linnet)
    Membership.objects.filter(case=yard_cast.linnet, person=yard_cast.manager).update(
        runs_yard=False
    )
    with pytest.raises(PermissionDenied):
        require(held, "visit.plan")


def test_each_membership_remembers_the_place_it_came_through(yard_cast: YardCast) -> None:
    rows = Membership.objects.filter(case=yard_cast.linnet, left_at=None).exclude(
        person=yard_cast.livery
    )
    assert all(row.via == yard_cast.member(row.person) for row in rows)
    own = Membership.objects.get(case=yard_cast.linnet, person=yard_cast.livery)
    assert own.via is None


def test_somebody_new_comes_on_every_horse_of_the_yard(yard_cast: YardCast, now: datetime) -> None:
    new = person("Nea New")
    joined(yard_cast.place(yard_cast.manager), new, YardRole.STAND_IN, now)
    for case in (yard_cast.pebble, yard_cast.otter, yard_cast.linnet):
        assert roles(case)["Nea"] == "stand-in"
    assert access_on(new, yard_cast.elsewhere) is None


def test_where_the_owner_wants_to_be_asked_nobody_new_comes_by_themself(
    yard_cast: YardCast, now: datetime
) -> None:
    owner = yard_cast.access(yard_cast.livery, yard_cast.linnet)
    asks_first_set(access=owner, asks_first=True, now=now)
    new = person("Nea New")
    member = joined(yard_cast.place(yard_cast.manager), new, YardRole.CARER, now)
    assert "Nea" in roles(yard_cast.pebble)
    assert "Nea" not in roles(yard_cast.linnet)
    let_in(access=owner, member_id=member.public_id, now=now)
    assert roles(yard_cast.linnet)["Nea"] == "carer"


def test_an_owner_leaves_one_of_the_yard_out_and_they_do_not_come_back_by_themselves(
    yard_cast: YardCast, now: datetime
) -> None:
    owner = yard_cast.access(yard_cast.livery, yard_cast.linnet)
    vet = Membership.objects.get(case=yard_cast.linnet, person=yard_cast.vet)
    member_remove(access=owner, membership_id=vet.public_id, now=now)
    joined(yard_cast.place(yard_cast.manager), person("Nea New"), YardRole.CARER, now)
    assert "Vic" not in roles(yard_cast.linnet)
    assert "Vic" in roles(yard_cast.pebble)
    let_in(access=owner, member_id=yard_cast.member(yard_cast.vet).public_id, now=now)
    assert roles(yard_cast.linnet)["Vic"] == "vet"


def test_only_the_owner_lets_somebody_in(yard_cast: YardCast, now: datetime) -> None:
    owner = yard_cast.access(yard_cast.livery, yard_cast.linnet)
    vet = Membership.objects.get(case=yard_cast.linnet, person=yard_cast.vet)
    member_remove(access=owner, membership_id=vet.public_id, now=now)
    place = yard_cast.member(yard_cast.vet).public_id
    for who in (yard_cast.manager, yard_cast.farrier, yard_cast.groom):
        with pytest.raises(PermissionDenied):
            let_in(access=yard_cast.access(who, yard_cast.linnet), member_id=place, now=now)


def test_an_owners_own_farrier_stands_in_the_place_of_the_yards(
    yard_cast: YardCast, now: datetime
) -> None:
    own = person("Odo Own")
    case = own_horse(yard_cast.livery, "Wren", now)
    Membership.objects.create(case=case, person=own, role=Role.FARRIER, joined_at=now)
    moved(yard_cast.access(yard_cast.livery, case), yard_cast.yard, now)
    found = roles(case)
    assert (found["Odo"], found["Vic"]) == ("farrier", "vet")
    assert "Fay" not in found


def test_the_yards_people_join_the_standing_care_and_no_concern(
    yard_cast: YardCast, now: datetime
) -> None:
    owner = yard_cast.access(yard_cast.livery, yard_cast.linnet)
    concern = case_open(access=owner, title="Left fore", now=now)
    joined(yard_cast.place(yard_cast.manager), person("Nea New"), YardRole.CARER, now)
    assert "Nea" in roles(yard_cast.linnet)
    assert "Nea" not in roles(concern)


def test_a_concern_that_the_yards_vet_opens_takes_none_of_the_yard_along(
    yard_cast: YardCast, now: datetime
) -> None:
    vet = yard_cast.access(yard_cast.vet, yard_cast.linnet)
    concern = case_open(access=vet, title="Left fore", now=now)
    assert roles(concern) == {"Liv": "owner", "Vic": "vet"}


def test_who_leaves_the_yard_goes_from_every_horse_it_brought_them_on(
    yard_cast: YardCast, now: datetime
) -> None:
    owner = yard_cast.access(yard_cast.livery, yard_cast.linnet)
    concern = case_open(access=owner, title="Left fore", now=now)
    place = yard_cast.place(yard_cast.manager)
    yard_member_end(access=place, member_id=yard_cast.member(yard_cast.farrier).public_id, now=now)
    for case in (yard_cast.pebble, yard_cast.otter, yard_cast.linnet, concern):
        assert access_on(yard_cast.farrier, case) is None


def test_the_last_manager_cannot_leave(yard_cast: YardCast, now: datetime) -> None:
    place = yard_cast.place(yard_cast.manager)
    with pytest.raises(DeedRefused, match="last manager"):
        yard_member_end(access=place, member_id=place.member.public_id, now=now)


def test_a_manager_who_leaves_stands_as_owner_nowhere_and_another_one_does(
    yard_cast: YardCast, now: datetime
) -> None:
    second = person("Sev Second")
    joined(yard_cast.place(yard_cast.manager), second, YardRole.MANAGER, now)
    assert roles(yard_cast.pebble)["Sev"] == "owner"
    assert roles(yard_cast.linnet)["Sev"] == "manager"
    place = yard_cast.place(yard_cast.manager)
    yard_member_end(access=place, member_id=place.member.public_id, now=now)
    for case in (yard_cast.pebble, yard_cast.otter, yard_cast.linnet):
        assert access_on(yard_cast.manager, case) is None
    with pytest.raises(Http404):
        yard_cast.place(yard_cast.manager)
    assert roles(yard_cast.pebble)["Sev"] == "owner"


def test_a_livery_owner_takes_a_horse_that_the_yard_stood_for(
    yard_cast: YardCast, now: datetime
) -> None:
    place, new = yard_cast.place(yard_cast.manager), person("Nils Newowner")
    member = ask(place, new, YardRole.OWNER, now)
    say_yes(place, member, now, horse_ids=[yard_cast.otter.public_id])
    assert (roles(yard_cast.otter)["Nils"], roles(yard_cast.otter)["Mara"]) == ("owner", "manager")
    assert "Nils" not in roles(yard_cast.pebble)
    assert roles(yard_cast.pebble)["Mara"] == "owner"


def test_a_manager_gives_no_horse_away_that_is_not_the_yards_own(
    yard_cast: YardCast, now: datetime
) -> None:
    place, new = yard_cast.place(yard_cast.manager), person("Nils Newowner")
    member = ask(place, new, YardRole.OWNER, now)
    for case in (yard_cast.linnet, yard_cast.elsewhere):
        with pytest.raises(DeedRefused):
            say_yes(place, member, now, horse_ids=[case.public_id])
        assert "Nils" not in roles(case)
        member.refresh_from_db()
        assert member.confirmed_at is None


def test_a_horse_that_moves_yard_changes_its_people_by_one_deed(
    yard_cast: YardCast, now: datetime
) -> None:
    there = yard_cast.other_yard
    place = yard_cast.place(yard_cast.other_manager, there)
    joined(place, yard_cast.livery, YardRole.OWNER, now)
    joined(place, person("Nea Newvet"), YardRole.VET, now)
    owner = yard_cast.access(yard_cast.livery, yard_cast.linnet)
    kept = Membership.objects.get(case=yard_cast.linnet, person=yard_cast.farrier)
    moved(owner, there, now, keep_ids=[kept.public_id])
    assert roles(yard_cast.linnet) == {
        "Liv": "owner",
        "Fay": "farrier",
        "Olm": "manager",
        "Nea": "vet",
    }
    kept.refresh_from_db()
    assert kept.via is None


def test_a_yards_own_horse_that_leaves_keeps_who_takes_it_as_owner(
    yard_cast: YardCast, now: datetime
) -> None:
    moved(yard_cast.access(yard_cast.manager, yard_cast.otter), None, now)
    assert roles(yard_cast.otter) == {"Mara": "owner"}
    assert access_on(yard_cast.farrier, yard_cast.otter) is None


def test_equal_typed_places_make_no_yard(now: datetime, db: None) -> None:
    owner = person("Una Unyarded")
    case = own_horse(owner, "Wisp", now)
    case.horse.yard = "Quillmarsh"
    case.horse.save()
    make_yard(person("Mara Manager"), now, "Quillmarsh")
    assert roles(case) == {"Una": "owner"}


def test_a_stand_in_for_a_time_goes_when_their_last_day_is_over_at_the_yard(
    yard_cast: YardCast, now: datetime
) -> None:
    place, new = yard_cast.place(yard_cast.manager), person("Sti Standin")
    place.yard.time_zone = "Pacific/Auckland"  # 13 hours before UTC in November
    place.yard.save()
    last = date(2026, 11, 9)
    joined(place, new, YardRole.STAND_IN, now, until_on=last)
    over = datetime(2026, 11, 9, 11, 0, tzinfo=UTC)
    _jobs(over - timedelta(minutes=1))
    assert access_on(new, yard_cast.pebble) is not None
    _jobs(over)
    assert access_on(new, yard_cast.pebble) is None
    assert access_on(new, yard_cast.linnet) is None


def _jobs(now: datetime) -> None:
    while jobs_run_due(now=now):
        pass
