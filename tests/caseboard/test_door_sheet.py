"""The door sheet: read from a metre, one page whatever stands on it, in dates, and nothing untrue."""

import io
from datetime import datetime, timedelta

import pypdf
import pytest

from caseboard.case_reading import CaseReading
from caseboard.lib.pdf.parent import Paper, pango_missing
from caseboard.sheets.both import both_pdf
from caseboard.sheets.door import MOST_POINTS, DoorSheet, door_for, door_pdf
from horses.domain.finding import Finding
from horses.models import Alert, Horse, Person, PlanItem
from horses.services.plan import latest_version, plan_item_decide
from horses.services.visit_planning import visit_plan
from tests import build
from tests.caseboard.printed_ink import grey_contrast, text_of
from tests.cast import Cast

pytestmark = pytest.mark.django_db
needs_pango = pytest.mark.skipif(bool(pango_missing()), reason="needs Pango")

READ_FROM_A_METRE_PT, NAME_PT = 18, 40
PAPERS: tuple[Paper, Paper] = ("a4", "letter")


def door(cast: Cast, now: datetime) -> DoorSheet:
    return door_for(CaseReading(cast.access(cast.owner), now))


def pages(pdf: bytes) -> list[str]:
    return [" ".join(p.extract_text().split()) for p in pypdf.PdfReader(io.BytesIO(pdf)).pages]


def danger(cast: Cast, now: datetime, rule: str, subject: str, title: str) -> None:
    build.alert(cast.horse, Finding(rule, subject, title, "As filmed.", danger=True), now)


def test_a_quiet_horse_says_that_nothing_special_is_written_down(cast: Cast, now: datetime) -> None:
    sheet = door(cast, now)
    assert (sheet.points, sheet.headline, sheet.more) == ((), "", 0)


def test_what_may_not_wait_stands_first_and_handling_before_the_rest(
    cast: Cast, now: datetime
) -> None:
    Horse.objects.filter(pk=cast.horse.pk).update(danger="Kicks behind.")
    cast.horse.refresh_from_db()
    danger(cast, now, "shape.thin_sole", "LF", "Left fore: thin sole")
    build.flag(cast.access(cast.carer), now, "in_sole", feet=["RH"])
    build.flag(cast.access(cast.carer), now, "crack", feet=["LH"])
    words = [point.words for point in door(cast, now).points]
    assert words[0].startswith("Right hind: nail")
    assert words[1:] == ["Kicks behind.", "Left fore: thin sole"]
    assert door(cast, now).more == 1


def test_every_foot_with_a_trouble_is_marked(cast: Cast, now: datetime) -> None:
    danger(cast, now, "shape.thin_sole", "LF", "Left fore: thin sole")
    build.flag(cast.access(cast.carer), now, "crack", feet=["LH"])
    assert [foot.code for foot in door(cast, now).feet if foot.is_marked] == ["LF", "LH"]


def test_what_is_not_agreed_on_is_not_printed_as_a_thing_to_do(cast: Cast, now: datetime) -> None:
    farrier = cast.access(cast.farrier)
    kind = PlanItem.Kind.HOME
    item = build.plan_item(
        farrier, now, text="Feel the feet each evening.", kind=kind, who_does="owner"
    )
    assert door(cast, now).points == ()
    version = latest_version(item)
    for person in (cast.owner, cast.vet):
        plan_item_decide(
            access=cast.access(person),
            item_id=item.public_id,
            decision="agree",
            now=now,
            seen_hash=version.content_hash,
        )
    assert [point.words for point in door(cast, now).points] == ["Feel the feet each evening."]


@pytest.mark.parametrize(
    ("begins", "ends", "words"),
    [
        (None, 9, "Until 11 Nov 2026: Walk in hand."),
        (3, 9, "From 5 Nov 2026 until 11 Nov 2026: Walk in hand."),
        (-3, None, "Walk in hand."),
        (None, 0, "Until 2 Nov 2026: Walk in hand."),
        (-9, -1, None),
    ],
)
def test_what_is_done_at_home_is_printed_with_its_days_and_not_after_them(
    cast: Cast, now: datetime, begins: int | None, ends: int | None, words: str | None
) -> None:
    item = build.plan_item(
        cast.access(cast.farrier),
        now,
        text="Walk in hand.",
        kind=PlanItem.Kind.HOME,
        who_does="owner",
        from_on=None if begins is None else now.date() + timedelta(days=begins),
        until_on=None if ends is None else now.date() + timedelta(days=ends),
    )
    for person in (cast.owner, cast.vet):
        plan_item_decide(
            access=cast.access(person),
            item_id=item.public_id,
            decision="agree",
            now=now,
            seen_hash=latest_version(item).content_hash,
        )
    assert [point.words for point in door(cast, now).points] == ([words] if words else [])


def test_a_paper_that_hangs_on_counts_no_days_and_says_until_when_it_holds(
    cast: Cast, now: datetime
) -> None:
    visit_plan(access=cast.access(cast.farrier), on=now.date() + timedelta(days=9), now=now)
    sheet = door(cast, now)
    assert sheet.visit_on == "Wed 11 Nov 2026"
    assert sheet.holds_until == now.date() + timedelta(days=9)
    visit_plan(access=cast.access(cast.farrier), on=now.date() + timedelta(days=90), now=now)
    assert door(cast, now).holds_until == now.date() + timedelta(days=28)


def test_a_visit_day_that_is_past_is_not_printed_as_the_next(cast: Cast, now: datetime) -> None:
    visit_plan(access=cast.access(cast.farrier), on=now.date() + timedelta(days=1), now=now)
    later = now + timedelta(days=3)
    assert door(cast, later).visit_on == "No day planned"


def test_the_urgent_box_names_wound_nail_and_fever(cast: Cast, now: datetime) -> None:
    words = ". ".join(door(cast, now).urgent)
    for wanted in ("Nail or wire in it: leave it in", "Wound", "fever", "Will not stand on it"):
        assert wanted in words


@needs_pango
@pytest.mark.parametrize("paper", PAPERS)
def test_it_is_one_page_in_large_type_however_much_is_written(
    paper: Paper, cast: Cast, now: datetime
) -> None:
    Horse.objects.filter(pk=cast.horse.pk).update(
        name="W" * 80,
        danger=("Never tie: " + "bites and kicks. " * 20)[:300],
        handling="Words. " * 60,
        emergency_vet_name="N" * 80,
        emergency_vet_phone="0100 999 000 111 222",
    )
    cast.horse.refresh_from_db()
    Person.objects.filter(pk=cast.farrier.pk).update(name="F" * 80, phone="0100 200 300 400 500")
    for rule in ("shape.thin_sole", "shape.negative_palmar_angle", "reading.jump"):
        danger(cast, now, rule, "LF", "Left fore: " + "very long words " * 6)
    for _ in range(6):
        build.flag(cast.access(cast.carer), now, "crack", "shape", "sore_stones", feet=["LH", "RH"])
    pdf = door_pdf(CaseReading(cast.access(cast.owner), now), paper=paper)
    (text,) = pages(pdf)
    assert "Call your vet now" in text
    assert "more on the board" in text
    pieces = text_of(pdf)
    assert min(piece.size_pt for piece in pieces) >= READ_FROM_A_METRE_PT - 0.1
    assert max(piece.size_pt for piece in pieces) >= NAME_PT
    paper_or_ink = ((1.0, 1.0, 1.0), (0.067, 0.067, 0.067))
    for piece in pieces:
        assert max(grey_contrast(piece.rgb, other) for other in paper_or_ink) >= 7


@needs_pango
def test_front_and_plan_print_as_the_two_sides_of_one_sheet(cast: Cast, now: datetime) -> None:
    for number in range(8):
        build.plan_item(cast.access(cast.farrier), now, text=f"Item {number}. " + "Words. " * 60)
    front, back = pages(both_pdf(CaseReading(cast.access(cast.owner), now), paper="a4"))
    assert "Call your vet now" in front
    assert "Holds until" in front
    assert "Plan sheet" in back


def test_there_are_never_more_than_three_points(cast: Cast, now: datetime) -> None:
    for _ in range(5):
        build.flag(cast.access(cast.carer), now, "crack", feet=["LH"])
    sheet = door(cast, now)
    assert (len(sheet.points), sheet.more) == (MOST_POINTS, 2)


@pytest.mark.parametrize("quantity", ["toe_length", "toe_angle"])
def test_a_slow_change_of_another_version_stands_by_its_own_title(
    cast: Cast, now: datetime, quantity: str
) -> None:
    finding = Finding("foot.drift", "LF", "Left fore: slow change", "It moves.")
    found = build.alert(cast.horse, finding, now)
    rates = [{"quantity": "toe_length", "rate_per_visit": [-1.0, -2.0, -0.5]}]
    odd = {"interval_days": 49, "lead": quantity, "findings": rates}
    Alert.objects.filter(pk=found.pk).update(evidence=odd)
    assert [point.words for point in door(cast, now).points] == ["Left fore: slow change"]
