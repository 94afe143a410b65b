"""The rules about shoes: pairs, second losses, hind shoes in company, square toes."""

from collections.abc import Callable, Iterable
from datetime import datetime, timedelta

import pytest

from horses.domain.lost_shoe_advice import FRESH
from horses.models import Alert, Horse
from horses.rules.engine import Finding, evaluate
from horses.rules.shoes import hind_shoes_in_company, shoe_lost_again, shoes_incomplete, squared_toe
from horses.services.shoes import shoe_back
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
ALL = ("LF", "RF", "LH", "RH")
Rule = Callable[[Horse, datetime], Iterable[Finding]]


def shoe(cast: Cast, at: datetime, shod: str, wear: str = "") -> None:
    work = [
        build.WorkDone(
            foot=foot,
            trimmed=True,
            wear=wear,
            shoeing_left="shod" if foot in shod.split() else "barefoot",
        )
        for foot in ALL
    ]
    build.visit(cast.access(cast.farrier), at, at.date(), work=work)


def found(rule: Rule, cast: Cast, at: datetime) -> list[Finding]:
    return list(rule(Horse.objects.get(pk=cast.horse.pk), at))


@pytest.mark.parametrize("shod", ["", "LF RF", "LF RF LH RH"])
def test_a_full_set_says_nothing(shod: str, cast: Cast, now: datetime) -> None:
    shoe(cast, now, shod)
    assert found(shoes_incomplete, cast, now) == []


@pytest.mark.parametrize(
    ("shod", "subject", "weight"),
    [
        ("LF", "RF", "alert"),
        ("LF RF RH", "LH", "alert"),
        ("LF LH", "RF-RH", "alert"),
        ("LH RH", "LH-RH", "remark"),
    ],
)
def test_one_or_three_or_half_a_pair_is_an_alert(
    shod: str, subject: str, weight: str, cast: Cast, now: datetime
) -> None:
    shoe(cast, now, shod)
    [finding] = found(shoes_incomplete, cast, now)
    assert (finding.subject, finding.weight) == (subject, weight)


def test_feet_that_are_not_recorded_are_not_judged(cast: Cast, now: datetime) -> None:
    work = [build.WorkDone(foot="LF", trimmed=True, shoeing_left="shod")]
    build.visit(cast.access(cast.farrier), now, now.date(), work=work)
    assert found(shoes_incomplete, cast, now) == []


def test_a_loss_is_a_remark_while_it_is_seen_to_and_then_an_alert(
    cast: Cast, now: datetime
) -> None:
    shoe(cast, now - 20 * DAY, "LF RF")
    build.flag(cast.access(cast.owner), now, "lost_shoe")
    [fresh] = found(shoes_incomplete, cast, now)
    assert fresh.weight == "remark"
    assert "lost 2 Nov 2026" in fresh.sentence
    [later] = found(shoes_incomplete, cast, now + FRESH)
    assert later.weight == "alert"


def test_the_alert_is_cleared_when_the_pair_is_complete(cast: Cast, now: datetime) -> None:
    shoe(cast, now - 2 * DAY, "LF")
    evaluate(cast.horse, now=now)
    alert = Alert.objects.get(rule="shoes.incomplete")
    assert (alert.weight, alert.cleared_at) == ("alert", None)
    shoe(cast, now, "LF RF")
    evaluate(cast.horse, now=now)
    alert.refresh_from_db()
    assert alert.cleared_at == now


def test_the_second_loss_in_a_cycle_is_an_alert_until_the_next_trim(
    cast: Cast, now: datetime
) -> None:
    owner = cast.access(cast.owner)
    shoe(cast, now - 20 * DAY, "LF RF")
    first = build.flag(owner, now - 6 * DAY, "lost_shoe")
    shoe_back(
        access=owner,
        flag_id=first.public_id,
        kind="back",
        feet=["LF"],
        on=(now - 5 * DAY).date(),
        now=now - 5 * DAY,
    )
    assert found(shoe_lost_again, cast, now) == []
    build.flag(owner, now, "lost_shoe")
    [finding] = found(shoe_lost_again, cast, now)
    assert (finding.subject, finding.weight) == ("LF", "alert")
    shoe(cast, now + DAY, "LF RF")
    assert found(shoe_lost_again, cast, now + DAY) == []


@pytest.mark.parametrize(
    ("shod", "turnout", "count"),
    [("LF RF LH RH", "group", 1), ("LF RF LH RH", "alone", 0), ("LF RF", "group", 0)],
)
def test_hind_shoes_in_a_group_are_a_caution_only(
    shod: str, turnout: str, count: int, cast: Cast, now: datetime
) -> None:
    Horse.objects.filter(pk=cast.horse.pk).update(turnout=turnout)
    shoe(cast, now, shod)
    findings = found(hind_shoes_in_company, cast, now)
    assert [f.weight for f in findings] == ["remark"] * count


def _square(cast: Cast, now: datetime, before: str = "even") -> None:
    shoe(cast, now - 49 * DAY, "", wear=before)
    shoe(cast, now, "", wear="squared")


def test_a_squared_toe_alone_says_nothing(cast: Cast, now: datetime) -> None:
    _square(cast, now)
    assert found(squared_toe, cast, now) == []


def test_a_new_squared_toe_beside_an_open_flag_is_a_word_to_the_vet(
    cast: Cast, now: datetime
) -> None:
    _square(cast, now)
    build.flag(cast.access(cast.owner), now, "stumbling", feet=["LH"])
    [finding] = found(squared_toe, cast, now)
    assert (finding.subject, finding.weight) == ("LH", "remark")
    assert "word to the vet" in finding.sentence


def test_a_toe_that_was_square_before_is_no_news(cast: Cast, now: datetime) -> None:
    _square(cast, now, before="squared")
    build.flag(cast.access(cast.owner), now, "stumbling", feet=["LH"])
    assert found(squared_toe, cast, now) == []


@pytest.mark.parametrize(("rule", "count"), [("foot.drift", 1), ("shape.underrun", 0)])
def test_a_new_squared_toe_on_a_foot_that_changes_is_mentioned(
    rule: str, count: int, cast: Cast, now: datetime
) -> None:
    _square(cast, now)
    Alert.objects.create(
        horse=cast.horse,
        rule=rule,
        subject="RH",
        weight="alert",
        title="t",
        sentence="s",
        evidence={},
        true_since=now,
        raised_at=now,
    )
    assert [f.subject for f in found(squared_toe, cast, now)] == ["RH"] * count
