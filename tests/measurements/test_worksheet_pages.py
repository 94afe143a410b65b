"""Barefoot or shod: gathers what is known, weighs nothing itself, ends as a proposal."""

from datetime import datetime, timedelta
from decimal import Decimal
from html import unescape

import pytest

from horses.models import Horse, Membership, PlanItem, Soundness
from measurements.panels.worksheet import Worksheet, worksheet_for
from measurements.queries.numbers import numbers_of
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]
DAY = timedelta(days=1)


def made(cast: Cast, now: datetime) -> Worksheet:
    access = cast.access(cast.owner)
    return worksheet_for(access, numbers_of(access.horse, today=now.date()), now.date())


def here(sheet: Worksheet, side: str) -> dict[str, str]:
    return {line.words: line.here for line in sheet.on(side) if line.here}


def toe(cast: Cast, now: datetime, left: float, found: float) -> None:
    """One whole cycle of 42 days on the left fore, barefoot."""
    farrier, at = cast.access(cast.farrier), now - 50 * DAY
    bare = [build.WorkDone(foot="LF", trimmed=True, shoeing_left="barefoot")]
    build.visit(farrier, at, at.date(), work=bare)
    build.reading(farrier, at, "LF", "toe_length", left, at.date(), shoeing="barefoot")
    later = at + 42 * DAY
    build.reading(
        farrier,
        later,
        "LF",
        "toe_length",
        found,
        later.date(),
        trim_state="before",
        shoeing="barefoot",
    )


def test_wear_that_outruns_growth_speaks_for_shoes(cast: Cast, now: datetime) -> None:
    toe(cast, now, 82, 81)
    sheet = made(cast, now)
    assert here(sheet, "shoes")["Wear outruns growth."] == "So on the left fore."
    assert "Wear stays under growth." not in here(sheet, "barefoot")


def test_wear_under_growth_speaks_for_barefoot(cast: Cast, now: datetime) -> None:
    toe(cast, now, 80, 87)
    sheet = made(cast, now)
    assert here(sheet, "barefoot")["Wear stays under growth."] == "So on the left fore."
    [line] = [fact.lines[0] for fact in sheet.facts if fact.title == "Wear against growth"]
    assert line == (
        "Left fore: gained about 0.5 cm a month over 1 cycle; wear took about 0.1 to 0.5 cm."
    )


def test_soreness_ground_and_company_are_named(cast: Cast, now: datetime) -> None:
    Horse.objects.filter(pk=cast.horse.pk).update(footing="hard", turnout="group", use="sport")
    build.flag(cast.access(cast.owner), now - 9 * DAY, "sore_stones", words="On the gravel.")
    sheet = made(cast, now)
    assert set(here(sheet, "shoes")) == {
        "Sore on the ground it works on.",
        "Hard or stony footing.",
        "Needs grip: jumping, driving, slippery roads.",
    }
    assert "Hind shoes in group turnout: many yards forbid them, kicks are worse." in here(
        sheet, "either"
    )
    assert any("On the gravel." in line for fact in sheet.facts for line in fact.lines)


def test_therapy_under_the_vet_comes_first(cast: Cast, now: datetime) -> None:
    build.plan_item(
        cast.access(cast.vet),
        now,
        kind="shoe",
        therapeutic=True,
        who_does="farrier",
        text="Bar shoes in front.",
    )
    assert "The vet first" in here(made(cast, now), "shoes")["Therapy, under the vet's direction."]
    page = text_of(Door(cast.owner, cast.case).get("worksheet"))
    assert "the vet speaks first" in page


def test_every_rule_of_the_trade_says_where_it_comes_from(cast: Cast, now: datetime) -> None:
    assert all(line.source for line in made(cast, now).considerations)


def test_flags_of_another_board_are_not_told(cast: Cast, now: datetime) -> None:
    flag = build.flag(cast.access(cast.owner, cast.concern), now, "lame", words="Only there.")
    assert flag.pk
    assert all("Only there" not in line for fact in made(cast, now).facts for line in fact.lines)


def test_it_ends_as_a_proposed_plan_item(cast: Cast) -> None:
    fields = {
        "way": "fronts",
        "more": "Light, plain.",
        "reason": "Short on the road.",
        "sore_on": "the road",
    }
    assert Door(cast.owner, cast.case).post("worksheet", **fields).status_code == 302
    version = PlanItem.objects.get().versions.get()
    assert (version.text, version.who_does, version.therapeutic) == (
        "Front shoes. Light, plain.",
        "farrier",
        False,
    )
    assert version.reason == "Short on the road.\nSore on: the road."


def test_without_a_reason_nothing_is_proposed_and_nothing_lost(cast: Cast) -> None:
    answer = Door(cast.owner, cast.case).post("worksheet", way="barefoot", more="From spring.")
    assert answer.status_code == 422
    assert not PlanItem.objects.exists()
    page = unescape(text_of(answer))
    assert "From spring." in page
    assert "Say why: the others agree" in page


def test_a_carer_reads_it_and_proposes_nothing(cast: Cast) -> None:
    door = Door(cast.carer, cast.case)
    assert "What do you propose?" not in text_of(door.get("worksheet"))
    assert door.post("worksheet", way="barefoot", reason="x").status_code == 403


def fact(sheet: Worksheet, title: str) -> tuple[str, ...]:
    return next(one.lines for one in sheet.facts if one.title == title)


def lame(cast: Cast, now: datetime, grade: int) -> None:
    Soundness.objects.create(
        horse=cast.horse,
        case=cast.case,
        seen_by=cast.vet,
        seen_role="vet",
        recorded_at=now,
        seen_on=now.date() - 10 * DAY,
        scale="aaep",
        grade=grade,
    )


def test_under_a_shoe_no_wear_is_reckoned(cast: Cast, now: datetime) -> None:
    build.series(cast.access(cast.farrier), now, [82.0] * 5, quantity="toe_length", fall=1)
    build.visit(cast.access(cast.farrier), now - 40 * DAY, (now - 40 * DAY).date())
    sheet = made(cast, now)
    assert "Wear stays under growth." not in here(sheet, "barefoot")
    assert "Wear outruns growth." not in here(sheet, "shoes")
    assert fact(sheet, "Wear against growth") == (
        "Shod on the left fore, right fore, left hind and right hind: there the shoe wears, not "
        "the hoof.",
    )


def test_a_cycle_that_was_shod_at_one_end_is_left_out(cast: Cast, now: datetime) -> None:
    toe(cast, now, 80, 87)
    farrier, at = cast.access(cast.farrier), now - 8 * DAY
    build.reading(farrier, at, "LF", "toe_length", 80, at.date(), shoeing="shod")
    build.reading(
        farrier, now, "LF", "toe_length", 70, now.date(), trim_state="before", shoeing="barefoot"
    )
    assert any("over 1 cycle;" in line for line in fact(made(cast, now), "Wear against growth"))


def test_the_vets_band_is_named_where_no_shoeing_is_planned(cast: Cast, now: datetime) -> None:
    build.target(cast.access(cast.vet), now - DAY, from_on=now.date() - DAY)
    sheet = made(cast, now)
    assert fact(sheet, "Under the vet’s direction") == (
        "Item 1: Left fore toe angle 50 to 54° just after the trim",
    )
    assert "The vet first" in here(sheet, "shoes")["Therapy, under the vet's direction."]


def test_the_vets_band_of_another_board_is_named_too(cast: Cast, now: datetime) -> None:
    build.target(cast.access(cast.vet, cast.concern), now - DAY, from_on=now.date() - DAY)
    assert fact(made(cast, now), "Under the vet’s direction") == (
        "Left fore toe angle: the vet's band of 50 to 54° just after the trim",
    )


def test_a_lame_horse_is_not_called_comfortable(cast: Cast, now: datetime) -> None:
    lame(cast, now, 2)
    sheet = made(cast, now)
    assert "Comfortable on its usual ground." not in here(sheet, "barefoot")
    assert "grade 2 (AAEP 0 to 5)" in here(sheet, "shoes")["Sore on the ground it works on."]
    assert "Lame: the vet looks before shoes are put on or taken off." in here(sheet, "either")
    assert any("grade 2" in line for line in fact(sheet, "Sore or lame, and on which ground"))


def test_a_grade_of_nought_is_no_lameness(cast: Cast, now: datetime) -> None:
    lame(cast, now, 0)
    assert "Comfortable on its usual ground." in here(made(cast, now), "barefoot")


@pytest.mark.parametrize(("depth", "thin"), [(8, True), (21, False)])
def test_the_sole_stands_there_as_filmed(cast: Cast, now: datetime, depth: int, thin: bool) -> None:
    on = now.date() - 20 * DAY
    build.reading(
        cast.access(cast.vet),
        now,
        "LF",
        "sole_depth",
        depth,
        on,
        method="radiograph",
        trim_state="between",
    )
    sheet = made(cast, now)
    assert f"{depth} mm deep on" in fact(sheet, "Sole, as filmed")[0]
    assert ("A thin sole that wants cover." in here(sheet, "shoes")) is thin


def test_a_sole_nobody_filmed_is_said(cast: Cast, now: datetime) -> None:
    assert fact(made(cast, now), "Sole, as filmed") == (
        "Not filmed: how thick it is nobody knows.",
    )


@pytest.mark.parametrize("way", ["barefoot", "boots"])
def test_proposing_barefoot_against_the_vets_item_says_so(
    cast: Cast, now: datetime, way: str
) -> None:
    build.plan_item(
        cast.access(cast.vet),
        now,
        kind="shoe",
        therapeutic=True,
        who_does="farrier",
        text="Bar shoes in front.",
    )
    door = Door(cast.owner, cast.case)
    assert door.post("worksheet", way=way, reason="Cheaper.").status_code == 302
    version = PlanItem.objects.order_by("number").last().versions.get()  # type: ignore[union-attr]
    assert "nothing is changed before the vet has said so" in version.text
    assert "The vet’s, still open: Item 1: Bar shoes in front." in version.reason
    assert "The vet decides on that first: Vera Vet" in text_of(door.get("board"))


@pytest.fixture
def vetless(cast: Cast, now: datetime) -> Cast:
    """A vet set a band and has left the team."""
    build.target(cast.access(cast.vet), now - DAY, from_on=now.date() - DAY, high=Decimal(55))
    Membership.objects.filter(case=cast.case, role="vet").update(left_at=now)
    return cast


def test_without_a_vet_on_the_team_it_names_who_set_it_and_offers_to_invite_one(
    vetless: Cast,
) -> None:
    door = Door(vetless.owner, vetless.case)
    page = text_of(door.get("worksheet"))
    assert "No vet is on this team. Vera Vet set it: ask them first." in page
    assert f"{door.address('invite')}?as=vet" in page
    door.post("worksheet", way="barefoot", reason="Cheaper.")
    assert "Vera Vet set it: ask them first. Invite a vet" in text_of(door.get("board"))


def test_who_may_not_invite_reads_who_may(vetless: Cast) -> None:
    page = text_of(Door(vetless.farrier, vetless.case).get("worksheet"))
    assert "can invite a vet, so that one can answer here." in page
    assert "Ola Owner" in page
    assert "Invite a vet</a>" not in page


def test_without_a_vet_and_with_nothing_open_it_names_the_horses_own_number(
    cast: Cast, now: datetime
) -> None:
    Membership.objects.filter(case=cast.case, role="vet").update(left_at=now)
    Horse.objects.filter(pk=cast.horse.pk).update(
        emergency_vet_name="Nell Night", emergency_vet_phone="0100 200 399"
    )
    page = text_of(Door(cast.owner, cast.case).get("worksheet"))
    assert "No vet is on this team. A question for a vet goes to Nell Night (0100 200 399)." in page


def test_with_a_vet_and_nothing_open_it_names_nobody(cast: Cast) -> None:
    page = text_of(Door(cast.owner, cast.case).get("worksheet"))
    assert "No vet is on this team" not in page
    assert "decides on that first" not in page
