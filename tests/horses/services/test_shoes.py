"""A lost shoe: who is told when, what settles it, and what a second loss says."""

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest
from django.http import Http404

from horses.domain.lost_shoe_advice import STAND_IN_AFTER
from horses.models import Flag, FlagAnswer, Horse, Membership, Notice, Person, ShoeChange
from horses.queries.board import flag_is_open
from horses.queries.shoes import open_losses, shoes_now
from horses.services.deed import DeedRefused
from horses.services.flags import flag_answer
from horses.services.shoes import shoe_back
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db
DAY, MINUTE = timedelta(days=1), timedelta(minutes=1)
Drain = Callable[..., int]


@pytest.fixture
def shod(cast: Cast, now: datetime) -> Cast:
    at = now - 20 * DAY
    build.visit(cast.access(cast.farrier), at, at.date())
    return cast


def lose(cast: Cast, now: datetime, *feet: str, by: Person | None = None, **more: object) -> Flag:
    signs = more.pop("signs", ["lost_shoe"])
    return build.flag(cast.access(by or cast.owner), now, *signs, feet=list(feet or ["LF"]))  # type: ignore[misc]


def back(cast: Cast, flag: Flag, now: datetime, **more: object) -> FlagAnswer:
    fields = {"kind": "back", "feet": list(flag.feet), "on": now.date(), **more}
    who = fields.pop("by", cast.owner)
    access = cast.access(who)  # type: ignore[arg-type]
    return shoe_back(access=access, flag_id=flag.public_id, now=now, **fields)  # type: ignore[arg-type]


def told(person: Person) -> list[str]:
    return list(Notice.objects.filter(person=person, channel="app").values_list("verb", flat=True))


def is_open(flag: Flag) -> bool:
    return flag_is_open(Flag.objects.get(pk=flag.pk))


def test_the_foot_is_bare_from_the_day_it_was_lost(shod: Cast, now: datetime) -> None:
    lose(shod, now)
    shoes = shoes_now(shod.horse)
    assert shoes.missing == ("LF",)
    assert shoes.feet["LF"].lost_on == now.date()


def test_the_farrier_is_told_at_once_and_the_stand_in_is_not(shod: Cast, now: datetime) -> None:
    lose(shod, now)
    assert "flag.raised" in told(shod.farrier)
    assert "flag.raised" not in told(shod.stand_in)
    subject = Notice.objects.filter(person=shod.farrier, verb="flag.raised").first()
    assert subject is not None
    assert subject.subject == "Juniper: shoe lost, left fore"


def test_without_an_answer_the_stand_in_is_told_after_the_set_time(
    shod: Cast, now: datetime, drain: Drain
) -> None:
    lose(shod, now)
    drain(now + STAND_IN_AFTER - MINUTE)
    assert "shoe.stand_in" not in told(shod.stand_in)
    drain(now + STAND_IN_AFTER)
    assert told(shod.stand_in).count("shoe.stand_in") == 1
    assert "shoe.stand_in" in told(shod.owner)
    assert "shoe.stand_in" not in told(shod.vet)


def _farrier_answers(cast: Cast, flag: Flag, now: datetime) -> None:
    flag_answer(
        access=cast.access(cast.farrier),
        flag_id=flag.public_id,
        words="Tomorrow at eight.",
        now=now,
    )


def _put_back(cast: Cast, flag: Flag, now: datetime) -> None:
    back(cast, flag, now)


def _pause(cast: Cast, flag: Flag, now: datetime) -> None:
    Horse.objects.filter(pk=cast.horse.pk).update(state="paused")


@pytest.mark.parametrize("ends", [_farrier_answers, _put_back, _pause])
def test_the_stand_in_is_left_in_peace_when(
    ends: Callable[[Cast, Flag, datetime], None], shod: Cast, now: datetime, drain: Drain
) -> None:
    flag = lose(shod, now)
    ends(shod, flag, now + MINUTE)
    drain(now + STAND_IN_AFTER)
    assert "shoe.stand_in" not in told(shod.stand_in)


def test_a_stand_in_alone_on_the_team_is_told_at_once(shod: Cast, now: datetime) -> None:
    Membership.objects.filter(case=shod.case, person=shod.farrier).update(left_at=now)
    lose(shod, now)
    assert "flag.raised" in told(shod.stand_in)


def test_one_that_needs_the_vet_is_told_to_everybody_at_once(shod: Cast, now: datetime) -> None:
    flag = lose(shod, now, signs=["lost_shoe", "in_sole"])
    assert flag.urgency == "now"
    assert "flag.raised" in told(shod.stand_in)


def test_words_alone_do_not_put_a_shoe_back(shod: Cast, now: datetime) -> None:
    flag = lose(shod, now)
    _farrier_answers(shod, flag, now)
    assert is_open(flag)


@pytest.mark.parametrize(("kind", "missing"), [("back", ()), ("new", ()), ("off", ("LF",))])
def test_a_short_record_closes_it(
    kind: str, missing: tuple[str, ...], shod: Cast, now: datetime
) -> None:
    flag = lose(shod, now)
    back(shod, flag, now + MINUTE, kind=kind)
    assert not is_open(flag)
    shoes = shoes_now(shod.horse)
    assert (shoes.lost, shoes.missing) == ([], missing)
    assert "shoe.back" in told(shod.farrier)


def test_of_two_feet_the_flag_waits_for_the_second(shod: Cast, now: datetime) -> None:
    flag = lose(shod, now, "LF", "RF")
    back(shod, flag, now + MINUTE, feet=["LF"])
    assert is_open(flag)
    back(shod, flag, now + 2 * MINUTE, feet=["RF"])
    assert not is_open(flag)


def test_a_written_up_visit_closes_it_for_the_feet_worked_on(shod: Cast, now: datetime) -> None:
    left, right = lose(shod, now, "LF"), lose(shod, now, "LH")
    work = [build.WorkDone(foot="LF", trimmed=False, shoeing_left="shod", shoe="reset")]
    later = now + DAY
    build.visit(shod.access(shod.farrier), later, later.date(), work=work)
    assert (is_open(left), is_open(right)) == (False, True)
    assert left.answers.get().words == "Seen to at the visit of 3 Nov 2026: left fore."


def test_a_visit_before_the_loss_does_not_close_it(shod: Cast, now: datetime) -> None:
    flag = lose(shod, now)
    build.visit(shod.access(shod.farrier), now + MINUTE, (now - 5 * DAY).date())
    assert is_open(flag)
    assert shoes_now(shod.horse).missing == ("LF",)


def test_one_loss_flagged_twice_is_closed_by_one_record(shod: Cast, now: datetime) -> None:
    first, second = lose(shod, now), lose(shod, now + MINUTE, by=shod.carer)
    back(shod, first, now + 2 * MINUTE)
    assert (is_open(first), is_open(second)) == (False, False)


def test_it_goes_back_on_as_it_was_with_its_wedge(cast: Cast, now: datetime) -> None:
    at = now - 20 * DAY
    work = [build.WorkDone(foot="LF", trimmed=True, shoeing_left="shod_wedge", shoe="new")]
    build.visit(cast.access(cast.farrier), at, at.date(), work=work)
    flag = lose(cast, now)
    back(cast, flag, now + MINUTE)
    assert shoes_now(cast.horse).feet["LF"].shoeing == "shod_wedge"


def test_a_second_loss_in_one_cycle_says_so_in_the_notice(shod: Cast, now: datetime) -> None:
    first = lose(shod, now - 4 * DAY)
    back(shod, first, now - 3 * DAY)
    lose(shod, now)
    bodies = list(
        Notice.objects.filter(person=shod.farrier, channel="app", verb="flag.raised")
        .order_by("pk")
        .values_list("body", flat=True)
    )
    assert ["twice" in body for body in bodies] == [False, True]


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"feet": []}, "Choose from the feet"),
        ({"feet": ["RH"]}, "Choose from the feet"),
        ({"on": datetime(2026, 11, 3).date()}, "still to come"),
        ({"on": datetime(2026, 11, 1).date()}, "before the shoe was lost"),
    ],
)
def test_what_cannot_be_is_refused(
    fields: dict[str, object], says: str, shod: Cast, now: datetime
) -> None:
    flag = lose(shod, now)
    with pytest.raises(DeedRefused, match=says):
        back(shod, flag, now + MINUTE, **fields)
    assert open_losses(shod.horse, flag) == ["LF"]


def test_what_is_settled_is_not_settled_twice(shod: Cast, now: datetime) -> None:
    flag = lose(shod, now)
    back(shod, flag, now + MINUTE)
    with pytest.raises(DeedRefused, match="written down already"):
        back(shod, flag, now + 2 * MINUTE)
    assert ShoeChange.objects.filter(kind="back").count() == 1


def test_another_flag_is_no_lost_shoe(shod: Cast, now: datetime) -> None:
    flag = build.flag(shod.access(shod.owner), now, "crack")
    with pytest.raises(Http404):
        back(shod, flag, now)
