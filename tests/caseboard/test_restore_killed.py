"""A restore killed at any stage leaves an empty installation, or a whole one that a second restore
says is whole: real processes, on the database of this run."""

import json
import os
from collections.abc import Iterable, Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from horses.models import Note, Person
from tests.bench.drill import Drill
from tests.caseboard.restore_kills import BUCKET_STAGES, STAGES
from tests.caseboard.saved import horse_saved
from tests.caseboard.small_bucket import small_bucket
from tests.caseboard.test_drill import ON_POSTGRESQL
from tests.chaos.processes import python, run

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def drill(tmp_path: Path) -> Iterator[Drill]:
    made = Drill(tmp_path, os.environ.get("DATABASE_URL", "").rsplit("/", 1)[0])
    yield made
    made.end()


def killed_at_each_stage(backup: Path, env: dict[str, str]) -> dict[str, Any]:
    return dict(json.loads(run(python("-m", "tests.caseboard.restore_kills", str(backup)), env)))


def empty_or_whole(stages: Iterable[str]) -> dict[str, Any]:
    whole = [Person.objects.count(), Note.objects.count()]
    return {
        stage: {
            "first": "killed",
            "there": whole if stage == "after the commit" else [0, 0],
            "again": stage == "after the commit",
            "differs": [],
            "beside": [],
        }
        for stage in stages
    }


def test_killed_at_each_stage_it_is_empty_or_whole_and_a_second_one_completes_it(
    drill: Drill, now: datetime, tmp_path: Path
) -> None:
    backup = horse_saved(now, tmp_path / "backups")
    env = drill.place("postgresql" if ON_POSTGRESQL else "sqlite", "killed")
    assert killed_at_each_stage(backup, env) == empty_or_whole(STAGES)


def test_so_it_is_with_photos_in_a_bucket(drill: Drill, now: datetime, tmp_path: Path) -> None:
    backup = horse_saved(now, tmp_path / "backups")
    with small_bucket() as bucket:
        env = drill.place("postgresql" if ON_POSTGRESQL else "sqlite", "killed") | bucket.env
        assert killed_at_each_stage(backup, env) == empty_or_whole(BUCKET_STAGES)
