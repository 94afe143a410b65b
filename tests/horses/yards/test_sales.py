"""A sale as a guided deed, and the end of a horse's care that can be undone for a day."""

from datetime import datetime, timedelta

import pytest
from django.core.exceptions import PermissionDenied
from django.http import Http404
from django.test import Client
from django.urls import reverse

from horses.access import access_get, access_on
from horses.jobs.outbox import jobs_run_due
from horses.models import Case, Horse, Invitation, Membership, Person, Sale, Stay, Visit, YardRole
from horses.queries.sale import goes_unless_said
from horses.services.cases import case_open
from horses.services.deed import DeedRefused
from horses.services.endings import horse_end_undo
from horses.services.horses import horse_set_state
from horses.services.invitations import invitation_accept, token_for
from horses.services.sales import horse_sell, sale_undo
from horses.services.team import member_remove
from horses.services.visit_planning import visit_plan
from tests.cast import person
from tests.yards import YardCast, joined

pytestmark = pytest.mark.django_db


def team(case: Case) -> list[Membership]:
    return list(Membership.objects.filter(case=case, left_at=None).select_related("person"))


def names(case: Case) -> set[str]:
    return {str(m.person).split()[0] for m in team(case)}


def sell(
    yard_cast: YardCast,
    now: datetime,
    buyer: Person,
    boards: list[Case] | None = None,
    days: int = 0,
) -> Sale:
    return horse_sell(
        access=yard_cast.access(yard_cast.livery, yard_cast.linnet),
        email=buyer.email,
        board_ids=[case.public_id for case in boards or []],
        leaver_ids=goes_unless_said(team(yard_cast.linnet)),
        leave_on=(now + timedelta(days=days)).date(),
        now=now,
    )


def accept(sale: Sale, buyer: Person, now: datetime) -> None:
    for invitation in Invitation.objects.filter(sale=sale).order_by("case__kind"):
        invitation_accept(person=buyer, token=token_for(invitation.public_id), now=now)


def test_nobody_leaves_before_the_buyer_is_here_and_then_everybody_who_goes(
    yard_cast: YardCast, now: datetime
) -> None:
    buyer = person("Bo Buyer")
    before = names(yard_cast.linnet)
    sale = sell(yard_cast, now, buyer)
    assert names(yard_cast.linnet) == before
    accept(sale, buyer, now)
    assert names(yard_cast.linnet) == {"Bo"}
    assert not Stay.objects.now().filter(horse=yard_cast.linnet.horse).exists()
    assert access_on(yard_cast.livery, yard_cast.linnet) is None


def test_whoever_the_seller_lets_stay_is_the_buyers_own_and_of_no_yard(
    yard_cast: YardCast, now: datetime
) -> None:
    buyer = person("Bo Buyer")
    keep = {yard_cast.farrier.pk, yard_cast.manager.pk}
    leaving = [m.public_id for m in team(yard_cast.linnet) if m.person_id not in keep]
    sale = horse_sell(
        access=yard_cast.access(yard_cast.livery, yard_cast.linnet),
        email=buyer.email,
        board_ids=[],
        leaver_ids=leaving,
        leave_on=now.date(),
        now=now,
    )
    accept(sale, buyer, now)
    left = {m.person: (m.via, m.runs_yard) for m in team(yard_cast.linnet)}
    assert left == {
        buyer: (None, False),
        yard_cast.farrier: (None, False),
        yard_cast.manager: (None, False),
    }


def test_who_came_through_the_yard_since_the_sale_began_goes_too(
    yard_cast: YardCast, now: datetime
) -> None:
    buyer, new = person("Bo Buyer"), person("Nea New")
    sale = sell(yard_cast, now, buyer)
    later = now + timedelta(hours=1)
    joined(yard_cast.place(yard_cast.manager), new, YardRole.CARER, later)
    assert "Nea" in names(yard_cast.linnet)
    accept(sale, buyer, later)
    assert names(yard_cast.linnet) == {"Bo"}


def test_those_who_leave_go_on_their_day_and_not_before(yard_cast: YardCast, now: datetime) -> None:
    buyer = person("Bo Buyer")
    sale = sell(yard_cast, now, buyer, days=5)
    accept(sale, buyer, now)
    assert "Liv" in names(yard_cast.linnet)
    while jobs_run_due(now=now + timedelta(days=4)):
        pass
    assert "Liv" in names(yard_cast.linnet)
    while jobs_run_due(now=now + timedelta(days=5)):
        pass
    assert names(yard_cast.linnet) == {"Bo"}


def test_a_board_that_does_not_pass_on_is_read_by_neither_side(
    yard_cast: YardCast, now: datetime
) -> None:
    owner = yard_cast.access(yard_cast.livery, yard_cast.linnet)
    kept_back = case_open(access=owner, title="Left fore", now=now)
    passed = case_open(access=owner, title="Right hind", now=now)
    buyer = person("Bo Buyer")
    sale = sell(yard_cast, now, buyer, boards=[passed])
    accept(sale, buyer, now)
    assert names(passed) == {"Bo"}
    assert names(kept_back) == set()


def test_a_sale_is_called_off_until_the_buyer_has_joined(
    yard_cast: YardCast, now: datetime
) -> None:
    buyer = person("Bo Buyer")
    owner = yard_cast.access(yard_cast.livery, yard_cast.linnet)
    sale = sell(yard_cast, now, buyer)
    with pytest.raises(DeedRefused, match="begun already"):
        sell(yard_cast, now, person("Bob Other"))
    sale_undo(access=owner, now=now)
    with pytest.raises(Http404):
        accept(sale, buyer, now)
    sale = sell(yard_cast, now, buyer, days=3)
    accept(sale, buyer, now)
    with pytest.raises(DeedRefused, match="joined already"):
        sale_undo(access=owner, now=now)


@pytest.mark.parametrize("name", ["manager", "farrier", "vet", "groom"])
def test_nobody_of_the_yard_sells_a_livery_owners_horse(
    name: str, yard_cast: YardCast, now: datetime
) -> None:
    access = yard_cast.access(getattr(yard_cast, name), yard_cast.linnet)
    with pytest.raises(PermissionDenied):
        horse_sell(
            access=access,
            email="bo@example.test",
            board_ids=[],
            leaver_ids=[],
            leave_on=now.date(),
            now=now,
        )


# -- the end of the care


def test_the_end_is_undone_for_a_day_with_the_visits_that_were_planned(
    yard_cast: YardCast, now: datetime
) -> None:
    owner = yard_cast.access(yard_cast.livery, yard_cast.linnet)
    visit_plan(access=owner, on=(now + timedelta(days=9)).date(), now=now)
    horse_set_state(access=owner, state="ended", reason="Sold", now=now)
    planned = Visit.objects.planned().filter(horse=yard_cast.linnet.horse)
    assert not planned.exists()
    horse_end_undo(access=owner, now=now + timedelta(hours=23))
    assert [visit.planned_on for visit in planned] == [(now + timedelta(days=9)).date()]
    assert Horse.objects.get(pk=yard_cast.linnet.horse_id).is_in_care


def test_a_day_later_the_end_is_no_slip_any_more(yard_cast: YardCast, now: datetime) -> None:
    owner = yard_cast.access(yard_cast.livery, yard_cast.linnet)
    horse_set_state(access=owner, state="ended", reason="Sold", now=now)
    with pytest.raises(DeedRefused, match="more than a day"):
        horse_end_undo(access=owner, now=now + timedelta(days=1))


@pytest.fixture
def owner_at(yard_cast: YardCast, clock_stands: datetime, client: Client) -> Client:
    client.force_login(yard_cast.livery)
    return client


def test_it_was_sold_leads_to_the_sale_with_the_words_typed(
    yard_cast: YardCast, owner_at: Client
) -> None:
    state = reverse("horse_state", args=[yard_cast.linnet.public_id])
    answer = owner_at.post(state, {"happening": "sold", "words": "To friends", "version": "0"})
    assert answer.status_code == 302
    page = owner_at.get(answer["Location"])
    assert "To friends" in page.content.decode()
    assert Horse.objects.get(pk=yard_cast.linnet.horse_id).is_in_care


@pytest.mark.parametrize("happening", ["moved", "end", "died"])
def test_an_end_is_asked_about_twice(happening: str, yard_cast: YardCast, owner_at: Client) -> None:
    state = reverse("horse_state", args=[yard_cast.linnet.public_id])
    horse = Horse.objects.get(pk=yard_cast.linnet.horse_id)
    typed = {"happening": happening, "words": "On Sunday.", "version": str(horse.version)}
    first = owner_at.post(state, typed)
    assert (first.status_code, "On Sunday." in first.content.decode()) == (422, True)
    assert Horse.objects.get(pk=horse.pk).is_in_care
    assert owner_at.post(state, {**typed, "sure": "on"}).status_code == 302
    assert Horse.objects.get(pk=horse.pk).has_ended
    assert "Undo the end of the care" in owner_at.get(state).content.decode()
    undo = reverse("horse_end_undo", args=[yard_cast.linnet.public_id])
    assert owner_at.post(undo).status_code == 302
    assert Horse.objects.get(pk=horse.pk).is_in_care


def test_the_page_begins_a_sale_with_the_vets_word(yard_cast: YardCast, owner_at: Client) -> None:
    path = reverse("horse_sell", args=[yard_cast.linnet.public_id])
    page = owner_at.get(path)
    form = page.context["form"]
    typed = {
        "email": "bo@example.test",
        "leavers": form["leavers"].initial,
        "leave_on": form["leave_on"].initial.isoformat(),
    }
    refused = owner_at.post(path, typed)
    assert refused.status_code == 422
    assert "talk with the vet first" in refused.content.decode()
    assert "bo@example.test" in refused.content.decode()
    assert owner_at.post(path, {**typed, "vet_asked": "on"}).status_code == 302
    assert "bo@example.test" in owner_at.get(path).content.decode()
    assert Sale.objects.get().leavers


def bought_and_left(yard_cast: YardCast, now: datetime) -> Sale:
    buyer = person("Bo Buyer")
    sale = sell(yard_cast, now, buyer, days=5)
    accept(sale, buyer, now)
    place = Membership.objects.get(case=yard_cast.linnet, person=buyer, left_at=None)
    member_remove(
        access=access_get(buyer, yard_cast.linnet.public_id, fresh=True),
        membership_id=place.public_id,
        now=now,
    )
    return sale


def test_where_the_buyer_has_left_again_the_sale_is_off_and_the_owner_stays(
    yard_cast: YardCast, now: datetime
) -> None:
    """Nobody would own the horse, and nobody could ask anybody to join."""
    sale = bought_and_left(yard_cast, now)
    before = names(yard_cast.linnet)
    jobs_run_due(now=now + timedelta(days=6))
    assert names(yard_cast.linnet) == before
    sale.refresh_from_db()
    assert sale.undone_at is not None
    assert sale.done_at is None


def test_where_the_buyer_has_left_again_the_seller_may_call_it_off(
    yard_cast: YardCast, now: datetime
) -> None:
    bought_and_left(yard_cast, now)
    sale = sale_undo(access=yard_cast.access(yard_cast.livery, yard_cast.linnet), now=now)
    assert sale.undone_at == now
