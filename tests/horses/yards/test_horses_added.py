"""Ten horses at once: what is known of each is kept, and what is due follows from it."""

from datetime import date, datetime

import pytest
from django.core.exceptions import PermissionDenied
from django.test import Client
from django.urls import reverse

from horses.domain.horse_lines import horse_lines
from horses.domain.trim_cycle import due_for
from horses.models import Case, HistoryLine, Horse, Membership
from horses.queries.board import last_trimmed_on
from horses.queries.shoes import shoes_now
from horses.queries.yards import without_trim, yard_horses
from horses.services.deed import DeedRefused
from horses.services.horses import horse_create
from horses.services.idempotency import KeyReused
from horses.services.team import member_remove
from horses.services.yard_horses import horses_add, last_trims_say
from horses.services.yards import yard_create, yard_edit
from tests.cast import person
from tests.yards import YardCast, make_yard, standing

pytestmark = pytest.mark.django_db
TEN = """Ash, 2015, barefoot, trimmed 1 Oct
Birch 11 yo mare fronts trimmed 6 weeks ago
Cedar, shod all round 12/10
Damson
Elder, born 12 May 2015, kicks behind, done yesterday
Fir, unshod, trimmed 3 Sep
Gorse, trimmed today
Hazel, 2020, hinds only, trimmed 2026-09-28
Ivy, gelding, trimmed 20 Oct
Juniper, trimmed Tuesday"""


def ten(yard_cast: YardCast, now: datetime, text: str = TEN, key: str = "") -> list[Horse]:
    place = yard_cast.place(yard_cast.manager)
    lines = horse_lines(text, today=now.date())
    return horses_add(access=place, lines=lines, client_key=key, now=now)


def test_what_a_line_says_counts_for_what_is_due(yard_cast: YardCast, now: datetime) -> None:
    horses = {horse.name: horse for horse in ten(yard_cast, now)}
    assert len(horses) == 10
    assert last_trimmed_on(horses["Cedar"]) == date(2026, 10, 12)
    due = due_for(
        horses["Ash"],
        today=now.date(),
        planned_on=None,
        last_trim_on=last_trimmed_on(horses["Ash"]),
    )
    assert due.on == date(2026, 11, 19)
    assert shoes_now(horses["Birch"]).words == "front shoes as said of 21 Sep 2026"
    assert not shoes_now(horses["Damson"]).is_known
    assert horses["Elder"].handling == "kicks behind"


def test_a_last_trim_is_marked_as_said_and_names_no_farrier(
    yard_cast: YardCast, now: datetime, client: Client
) -> None:
    ash = standing(ten(yard_cast, now)[0])
    assert not ash.horse.visits.exists()
    client.force_login(yard_cast.manager)
    page = client.get(reverse("history", args=[ash.public_id])).content.decode()
    assert "said of the time before: last trimmed 1 Oct 2026 and barefoot" in page


def test_a_yards_weeks_and_night_number_are_every_new_horses(
    yard_cast: YardCast, now: datetime
) -> None:
    place = yard_cast.place(yard_cast.manager)
    fields = {"interval_days": 42, "held_by": "Gro"}
    yard_edit(access=place, version=place.yard.version, fields=fields, now=now)
    horse = ten(yard_cast, now, "Ash")[0]
    assert (horse.interval_days, horse.held_by) == (42, "Gro")
    assert horse.emergency_vet_phone == "0100 999"


def test_a_changed_night_number_is_changed_where_the_old_one_stood_and_nowhere_else(
    yard_cast: YardCast, now: datetime
) -> None:
    Horse.objects.filter(pk=yard_cast.otter.horse.pk).update(emergency_vet_phone="0100 111")
    place = yard_cast.place(yard_cast.manager)
    fields = {"vet_phone": "0100 777"}
    yard_edit(access=place, version=place.yard.version, fields=fields, now=now)
    numbers = dict(Horse.objects.values_list("name", "emergency_vet_phone"))
    assert (numbers["Pebble"], numbers["Linnet"]) == ("0100 777", "0100 777")
    assert (numbers["Otter"], numbers["Zephyr"]) == ("0100 111", "")


def test_a_new_night_number_reaches_a_horse_whose_owner_left_the_manager_out(
    yard_cast: YardCast, now: datetime
) -> None:
    owner = yard_cast.access(yard_cast.livery, yard_cast.linnet)
    manager = Membership.objects.get(case=yard_cast.linnet, person=yard_cast.manager)
    member_remove(access=owner, membership_id=manager.public_id, now=now)
    place = yard_cast.place(yard_cast.manager)
    fields = {"vet_phone": "0100 777"}
    yard_edit(access=place, version=place.yard.version, fields=fields, now=now)
    line = HistoryLine.objects.filter(case=yard_cast.linnet).latest("seq")
    assert (line.verb, line.actor_name) == ("horse.edited", "the board")
    assert Horse.objects.get(pk=yard_cast.linnet.horse_id).emergency_vet_phone == "0100 777"


def test_the_same_list_sent_twice_adds_the_horses_once(yard_cast: YardCast, now: datetime) -> None:
    ten(yard_cast, now, key="k")
    before = Horse.objects.count()
    assert ten(yard_cast, now, key="k") == []
    assert Horse.objects.count() == before
    with pytest.raises(KeyReused):
        ten(yard_cast, now, "Kale", key="k")


def test_a_line_that_cannot_be_adds_none(yard_cast: YardCast, now: datetime) -> None:
    before = Horse.objects.count()
    with pytest.raises(DeedRefused):
        ten(yard_cast, now, "Ash\nBirch, trimmed 31/2")
    assert Horse.objects.count() == before


def test_last_trims_are_said_later_and_once(yard_cast: YardCast, now: datetime) -> None:
    place = yard_cast.place(yard_cast.manager)
    bare = without_trim(yard_horses(place, today=now.date()))
    assert [h.horse.name for h in bare] == ["Otter"]  # Linnet's is its owner's to say
    otter = yard_cast.otter.public_id
    last_trims_say(access=place, days={otter: date(2026, 10, 1)}, now=now)
    last_trims_say(access=place, days={otter: date(2026, 10, 9)}, now=now)
    assert last_trimmed_on(yard_cast.otter.horse) == date(2026, 10, 1)


def test_ones_own_horses_make_a_yard_and_bring_nobody_on_them(now: datetime) -> None:
    owner = person("Una Owner")
    case = standing(horse_create(person=owner, fields={"name": "Wisp"}, now=now))
    yard_create(
        person=owner,
        fields={"name": "Upper", "time_zone": "UTC"},
        horse_ids=[case.public_id],
        now=now,
    )
    assert [m.person for m in Membership.objects.filter(case=case)] == [owner]
    assert Horse.objects.get(pk=case.horse_id).yard == "Upper"


def test_nobody_makes_a_yard_of_a_strangers_horse(yard_cast: YardCast, now: datetime) -> None:
    for who in (yard_cast.other_manager, yard_cast.farrier):
        with pytest.raises((PermissionDenied, DeedRefused)):
            yard_create(
                person=who,
                fields={"name": "Mine", "time_zone": "UTC"},
                horse_ids=[yard_cast.linnet.public_id],
                now=now,
            )


# -- the page


def test_the_page_shows_what_was_understood_before_it_adds(
    yard_cast: YardCast, client: Client, now: datetime
) -> None:
    client.force_login(yard_cast.manager)
    path = reverse("yard_horses_add", args=[yard_cast.yard.public_id])
    before = Horse.objects.count()
    page = client.post(path, {"lines": "Ash, 2015\nBirch, grey", "client_key": "k"})
    words = page.content.decode()
    assert (page.status_code, Horse.objects.count()) == (200, before)
    assert "born 2015" in words
    assert "Not understood: “grey”" in words
    mark = page.context["mark"]
    changed = client.post(path, {"lines": "Ash, 2015\nBirch", "seen": mark, "client_key": "k"})
    assert (changed.status_code, Horse.objects.count()) == (200, before)  # not what was shown
    done = client.post(path, {"lines": "Ash, 2015\nBirch, grey", "seen": mark, "client_key": "k"})
    assert (done.status_code, Horse.objects.count()) == (302, before + 2)


def test_a_problem_stands_beside_its_line_and_nothing_typed_is_lost(
    yard_cast: YardCast, client: Client
) -> None:
    client.force_login(yard_cast.manager)
    path = reverse("yard_horses_add", args=[yard_cast.yard.public_id])
    text = "Ash, 2015\nBirch, trimmed 31/2"
    page = client.post(path, {"lines": text, "client_key": "k"})
    assert page.status_code == 422
    assert "“31/2” is not a day we can read." in page.content.decode()
    assert text in page.content.decode().replace("\r\n", "\n")


def test_a_new_yard_says_what_is_missing_each_a_tap(now: datetime, client: Client) -> None:
    manager = person("Mara Manager")
    yard = make_yard(manager, now)
    client.force_login(manager)
    path = reverse("yard", args=[yard.public_id])
    words = [one.words for one in client.get(path).context["missing"]]
    assert words == [
        "No horse yet: write their names",
        "No vet's number for the night",
        "No farrier yet: ask one",
        "No vet yet: ask one",
    ]
    for one in client.get(path).context["missing"]:
        assert client.get(one.url).status_code == 200


def test_horses_without_a_last_trim_are_missing_something(
    yard_cast: YardCast, client: Client, now: datetime
) -> None:
    client.force_login(yard_cast.manager)
    path = reverse("yard", args=[yard_cast.yard.public_id])
    assert [m.words for m in client.get(path).context["missing"]] == [
        "1 horse without a last trim: nothing is due"
    ]
    trims = reverse("yard_trims", args=[yard_cast.yard.public_id])
    otter: Case = yard_cast.otter
    wrong = client.post(trims, {otter.public_id: "soon"})
    assert wrong.status_code == 422
    assert "soon" in wrong.content.decode()
    assert client.post(trims, {otter.public_id: "6 weeks ago"}).status_code == 302
    assert client.get(path).context["missing"] == []
