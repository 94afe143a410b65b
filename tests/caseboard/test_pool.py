"""DATABASE_POOL: threads share a few connections, and one that died is not handed out."""

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from django.db import connection

from tests.caseboard.commands import ROOT, environment

pytestmark = [
    pytest.mark.skipif(connection.vendor != "postgresql", reason="pools are PostgreSQL's"),
    pytest.mark.django_db,
]
THREADS = """
import json, threading
import django; django.setup()
from django.db import connection
from horses.models import Person
seen, failed = set(), []
def ask():
    try:
        for _ in range(5):
            with connection.cursor() as cursor:
                cursor.execute("SELECT pg_backend_pid()")
                seen.add(cursor.fetchone()[0])
            Person.objects.count()
            connection.close()  # as after each page: back to the pool
    except Exception as error:
        failed.append(repr(error))
def all_ask():
    threads = [threading.Thread(target=ask) for _ in range(8)]
    [t.start() for t in threads]; [t.join() for t in threads]
all_ask()
first = set(seen); seen.clear()
import psycopg
from django.conf import settings
d = settings.DATABASES["default"]
url = dict(host=d["HOST"], port=d["PORT"] or 5432, user=d["USER"], password=d["PASSWORD"], dbname=d["NAME"])
with psycopg.connect(**url, autocommit=True) as other:
    for pid in first:
        other.execute("SELECT pg_terminate_backend(%s)", [pid])
all_ask()
connection.close_pool()
print(json.dumps({"first": len(first), "after": len(seen), "again": len(first & seen), "failed": failed}))
"""


def _with_pool(tmp_path: Path, code: str) -> Any:
    named: dict[str, Any] = connection.settings_dict
    login = f"{named['USER']}:{named['PASSWORD']}" if named["PASSWORD"] else named["USER"]
    place = f"{named['HOST']}:{named['PORT'] or 5432}/{named['NAME']}"
    env = environment(
        tmp_path,
        DATABASE_URL=f"postgres://{login}@{place}",
        DATABASE_POOL="2",
        DJANGO_SETTINGS_MODULE="caseboard.settings",
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, env=env, capture_output=True, text=True, timeout=60
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout.splitlines()[-1])


def test_eight_threads_share_two_connections_and_dead_ones_are_replaced(tmp_path: Path) -> None:
    found = _with_pool(tmp_path, THREADS)
    assert found["failed"] == []
    assert 1 <= found["first"] <= 2
    assert 1 <= found["after"] <= 2
    assert found["again"] == 0
