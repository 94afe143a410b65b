"""The history's chain: it verifies, and a changed, lost or added line is found."""

from collections.abc import Callable
from datetime import datetime, timedelta
from io import StringIO
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import transaction

from caseboard.lib.logging.request_id import request_id_bound
from horses.access import access_get
from horses.ledger.append import history_append
from horses.ledger.canonical import canonical_text
from horses.ledger.verify import broken_lines
from horses.models import Case, HistoryLine
from horses.queries.board import history_for
from horses.services.horses import horse_edit
from tests import build
from tests.cast import Cast
from tests.deeds import DEEDS
from tests.lift import drop_kept_triggers
from tests.rights import allowed
from tests.stage import Stage

pytestmark = pytest.mark.django_db


@pytest.fixture
def told(cast: Cast, now: datetime) -> Case:
    """A case with a few lines beyond those of the cast."""
    for who in (cast.owner, cast.vet, cast.farrier):
        build.note(cast.access(who), now, f"By {who}.")
    return cast.case


def test_after_every_kind_of_deed_the_chain_fits(stage: Stage, now: datetime) -> None:
    for deed in DEEDS:
        if deed.action in ("case.close", "team.remove"):
            continue
        role = next(r for r in ("owner", "vet", "farrier") if allowed(deed.action, r))
        sid = transaction.savepoint()
        deed(stage, stage.access(role), now)
        assert list(broken_lines(stage.cast.concern)) == [], deed.name
        transaction.savepoint_rollback(sid)


def test_lines_are_numbered_without_a_gap_case_by_case(told: Case, cast: Cast) -> None:
    for case in (told, cast.concern, cast.other_case):
        seqs = list(HistoryLine.objects.filter(case=case).values_list("seq", flat=True))
        assert seqs == list(range(1, len(seqs) + 1))


CHANGES: dict[str, dict[str, Any]] = {
    "the text": {"canonical": "{}"},
    "the verb": {"verb": "note.read"},
    "the name": {"actor_name": "Somebody Else"},
    "the role": {"actor_role": "vet"},
    "the actor": {"actor": None},
    "the moment": {"at": datetime.fromisoformat("2020-01-01T00:00:00+00:00")},
    "what changed": {"after": {"body": "I never said that."}},
    "what was before": {"before": {"body": "x"}},
    "the readers": {"audience": ",vet,"},
    "the subject": {"subject": "another"},
    "the request": {"request_id": "0" * 16},
    "its own hash": {"line_hash": "0" * 64},
    "the link": {"prev_hash": "0" * 64},
}


@pytest.mark.parametrize("what", CHANGES)
def test_an_edited_line_is_found_and_named(what: str, told: Case) -> None:
    drop_kept_triggers()
    victim = HistoryLine.objects.filter(case=told)[2]
    HistoryLine.objects.filter(pk=victim.pk).update(**CHANGES[what])
    assert victim.seq in dict(broken_lines(told))


def test_a_line_rewritten_with_a_fitting_hash_is_found_by_the_next_one(told: Case) -> None:
    drop_kept_triggers()
    victim = HistoryLine.objects.filter(case=told)[2]
    other = HistoryLine.objects.filter(case=told)[3]
    HistoryLine.objects.filter(pk=victim.pk).update(
        canonical=other.canonical, line_hash=other.line_hash
    )
    assert victim.seq + 1 in dict(broken_lines(told))


def test_a_line_taken_out_of_the_middle_is_found(told: Case) -> None:
    drop_kept_triggers()
    HistoryLine.objects.filter(case=told, seq=3)._raw_delete("default")
    assert (4, "line 3 is missing") in list(broken_lines(told))


def test_a_line_taken_off_the_end_is_found(told: Case) -> None:
    drop_kept_triggers()
    last = HistoryLine.objects.filter(case=told).order_by("-seq")[0]
    HistoryLine.objects.filter(pk=last.pk)._raw_delete("default")
    assert [what for _, what in broken_lines(told)] == [
        "the end of the chain is not where the case says it is"
    ]


def test_the_command_says_that_all_fits(told: Case) -> None:
    out = StringIO()
    call_command("verify_history", stdout=out)
    assert "Every line of every case fits" in out.getvalue()


def test_the_command_fails_and_names_the_case_and_line(told: Case) -> None:
    drop_kept_triggers()
    HistoryLine.objects.filter(case=told, seq=2).update(verb="x")
    out = StringIO()
    with pytest.raises(CommandError):
        call_command("verify_history", stdout=out)
    assert f"case {told.public_id}, line 2" in out.getvalue()


def test_every_line_of_one_click_carries_its_request(cast: Cast, now: datetime) -> None:
    with request_id_bound("abcdef0123456789"):
        build.plan_item(cast.access(cast.vet), now)
    lines = HistoryLine.objects.filter(request_id="abcdef0123456789")
    assert {line.verb for line in lines} == {"plan.item.proposed", "plan.item.agreed"}


def test_a_line_keeps_the_name_of_its_day(cast: Cast, now: datetime) -> None:
    build.note(cast.access(cast.vet), now)
    cast.vet.name = "Vera Married"
    cast.vet.save()
    assert HistoryLine.objects.get(verb="note.written").actor_name == "Vera Vet"
    assert list(broken_lines(cast.case)) == []


def test_moments_of_any_time_zone_verify(cast: Cast, now: datetime) -> None:
    from zoneinfo import ZoneInfo

    with transaction.atomic():
        history_append(
            case=cast.case,
            actor=None,
            role="",
            verb="alert.raised",
            now=now.astimezone(ZoneInfo("America/Denver")) + timedelta(microseconds=1),
        )
    assert list(broken_lines(cast.case)) == []


def test_a_number_that_is_none_is_never_written() -> None:
    with pytest.raises(ValueError):
        canonical_text({"after": {"value": float("nan")}})


def test_the_text_does_not_hang_on_the_order_of_keys() -> None:
    assert canonical_text({"b": 1, "a": {"d": 2, "c": 3}}) == '{"a":{"c":3,"d":2},"b":1}'


@pytest.mark.parametrize("who", ["owner", "vet", "farrier", "carer"])
def test_a_person_reads_the_lines_of_their_audience_only(
    who: str, cast: Cast, now: datetime
) -> None:
    build.note(cast.access(cast.vet), now, "Between us.", {"vet", "farrier"})
    access = access_get(getattr(cast, who), cast.case.public_id)
    seen = history_for(access).filter(verb="note.written").exists()
    assert seen is (who in ("vet", "farrier"))


def test_two_histories_never_share_a_line(
    cast: Cast, now: datetime, drain: Callable[[], int]
) -> None:
    access = cast.access(cast.owner)
    horse_edit(access=access, version=1, fields={"yard": "North"}, now=now)
    assert HistoryLine.objects.filter(verb="horse.edited").count() == 1
