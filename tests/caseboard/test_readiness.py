"""What the watchers of an installation are told."""

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.core.management import call_command
from django.test import Client
from redis.exceptions import ConnectionError as RedisAway
from redis.exceptions import OutOfMemoryError

from horses.models import Heartbeat, Job
from tests.no_writes import no_writes

pytestmark = pytest.mark.django_db


@pytest.fixture
def well(clock_stands: datetime) -> datetime:
    """An installation whose worker and clock live."""
    for kind in ("worker", "clock"):
        Heartbeat.objects.create(name=f"{kind}@here:1", kind=kind, beat_at=clock_stands)
    return clock_stands


def asked() -> tuple[int, dict[str, str]]:
    answer = Client().get("/readyz")
    return answer.status_code, answer.json()


def only_wrong(said: dict[str, str]) -> dict[str, str]:
    return {name: words for name, words in said.items() if words != "ok"}


def test_all_is_well(well: datetime) -> None:
    status, said = asked()
    assert (status, only_wrong(said)) == (200, {})
    assert set(said) == {
        "database",
        "disk",
        "migrations",
        "cache",
        "worker",
        "clock",
        "mail",
        "oldest_unsent",
        "set_aside",
        "photos",
        "backup",
    }


def test_without_a_worker_it_is_not_ready(clock_stands: datetime) -> None:
    assert asked() == (503, asked()[1])
    assert only_wrong(asked()[1]) == {"worker": "never seen", "clock": "never seen"}


def test_a_worker_that_fell_silent_is_said(well: datetime) -> None:
    Heartbeat.objects.update(beat_at=well - timedelta(seconds=300))
    assert only_wrong(asked()[1]) == {"worker": "silent for 300 s"}


def test_a_worker_without_a_clock_is_said(well: datetime) -> None:
    Heartbeat.objects.filter(kind="clock").update(beat_at=well - timedelta(seconds=400))
    assert only_wrong(asked()[1]) == {"clock": "silent for 400 s"}


def test_work_that_waits_too_long_is_said(well: datetime) -> None:
    due = well - timedelta(minutes=6)
    Job.objects.create(kind="notice.mail", key="a", due_at=due, created_at=due)
    assert only_wrong(asked()[1]) == {"oldest_unsent": "waits for 360 s"}


def test_what_was_given_up_is_said_and_can_be_tried_anew(well: datetime, capsys: Any) -> None:
    Job.objects.create(
        kind="horse.judge",
        key="a",
        due_at=well,
        created_at=well,
        set_aside_at=well,
        trouble="ValueError: what somebody wrote",
    )
    assert only_wrong(asked()[1]) == {"set_aside": "1 given up: see `manage.py outbox`"}
    call_command("outbox", again=True)
    said = capsys.readouterr().out
    assert "set aside: horse.judge a after 0 tries (ValueError)" in said
    assert "what somebody wrote" not in said
    assert only_wrong(asked()[1]) == {}


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (RedisAway(), "does not answer"),
        (OutOfMemoryError("command not allowed when used memory > 'maxmemory'."), "is full"),
    ],
)
def test_what_ails_the_cache_is_said(
    error: Exception, said: str, well: datetime, monkeypatch: pytest.MonkeyPatch, settings: Any
) -> None:
    def fails(*_: object, **__: object) -> None:
        raise error

    settings.CACHES = {
        "default": {
            "BACKEND": "caseboard.lib.forgiving_cache.ForgivingRedisCache",
            "LOCATION": "redis://127.0.0.1:1/0",
        }
    }
    monkeypatch.setattr("django.core.cache.backends.redis.RedisCacheClient.set", fails)
    assert only_wrong(asked()[1]) == {"cache": said}


def test_a_database_that_takes_nothing_new_is_said(well: datetime) -> None:
    with no_writes():
        said = only_wrong(asked()[1])
    assert said["database"] == "takes nothing new: full or read-only"


def test_little_room_on_the_disk_is_said(well: datetime, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("caseboard.processes.readiness.LEAST_FREE_MB", 10**12)
    assert only_wrong(asked()[1])["disk"].endswith(" MB left")


def test_mail_that_does_not_go_is_said_with_the_servers_answer(well: datetime) -> None:
    Job.objects.create(
        kind="code.mail",
        key="a",
        due_at=well,
        created_at=well,
        attempts=2,
        trouble="Later: SMTPAuthenticationError 535",
    )
    expected = "1 tried and not sent yet: SMTPAuthenticationError 535"
    assert only_wrong(asked()[1]) == {"mail": expected}


def test_whoever_asks_again_within_seconds_gets_the_answer_of_before(
    well: datetime, settings: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.READY_KEPT_S = 5
    asks: list[datetime] = []

    def once_more(*, now: datetime) -> list[Any]:
        asks.append(now)
        return []

    monkeypatch.setattr("caseboard.processes.readiness.readiness", once_more)
    monkeypatch.setattr("caseboard.processes.readiness._kept", None)
    for _ in range(20):
        Client().get("/readyz")
    assert len(asks) == 1


def test_a_migration_that_was_not_applied_is_said(
    well: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        "caseboard.processes.readiness.MigrationExecutor.migration_plan", lambda *_: ["one", "two"]
    )
    assert only_wrong(asked()[1]) == {"migrations": "2 not applied"}
