"""The installation under load as real processes: one, or several with a broker."""

import os
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.chaos.processes import Part, free_port, python, run, wait_until

NOT_PASSED_ON = ("CELERY_BROKER_URL", "DATABASE_URL", "EMAIL_URL", "REDIS_URL", "CASEBOARD_DEMO")
TROUBLE = ("database is locked", "deadlock", "Traceback")


@dataclass(frozen=True)
class Site:
    """Where it listens, with which settings, and where its processes write what they say."""

    port: int
    env: dict[str, str]
    folder: Path

    def said(self) -> dict[str, int]:
        """How often the logs of this run speak of trouble."""
        text = "".join(path.read_text(errors="replace") for path in self.folder.glob("load-*.log"))
        return {words: text.count(words) for words in TROUBLE}


def environment(folder: Path, database_url: str = "") -> dict[str, str]:
    env = {name: value for name, value in os.environ.items() if name not in NOT_PASSED_ON}
    # One farrier of this load writes for a hundred horses at once: no person does.
    env |= {"CASEBOARD_STATE_DIR": str(folder), "CASEBOARD_DEBUG": "0", "LIMIT_WRITES": "1000000"}
    return env | ({"DATABASE_URL": database_url} if database_url else {})


def prepared(env: dict[str, str], *, horses: int, readings: int) -> None:
    """The estate, unless somebody is there already (an estate built before)."""
    run(python("manage.py", "migrate", "-v", "0"), env)
    run(python("manage.py", "createcachetable"), env)
    code = "import django; django.setup(); from horses.models import Person as P; print(P.objects.count())"
    env_set = {**env, "DJANGO_SETTINGS_MODULE": "caseboard.settings"}
    if run(python("-c", code), env_set).strip() == "0":
        size = ("--horses", str(horses), "--readings", str(readings))
        run(python("-m", "tests.bench.estate", *size), env)


@contextmanager
def site(env: dict[str, str]) -> Iterator[Site]:
    """Serves: in one process without DATABASE_URL, else two web processes, a worker with its
    clock and a broker of its own."""
    folder, port = Path(env["CASEBOARD_STATE_DIR"]), free_port()
    for old in folder.glob("load-*.log"):
        old.unlink()
    parts: list[Part] = []

    def start(name: str, *words: str) -> None:
        parts.append(Part(words, env, folder / f"load-{name}.log"))

    try:
        if "DATABASE_URL" not in env:
            start("serve", *python("manage.py", "serve", "--port", str(port)))
        else:
            redis = free_port()
            env = {
                **env,
                "CELERY_BROKER_URL": f"redis://127.0.0.1:{redis}/0",
                "REDIS_URL": f"redis://127.0.0.1:{redis}/1",
            }
            start("redis", "redis-server", "--port", str(redis), "--save", "", "--dir", str(folder))
            start(
                "web",
                *python(
                    "-m",
                    "gunicorn",
                    "caseboard.wsgi",
                    f"--bind=127.0.0.1:{port}",
                    "--workers=2",
                    "--threads=4",
                ),
            )
            celery = ("-m", "celery", "--app=caseboard")
            start("worker", *python(*celery, "worker", "--beat"))
        if not wait_until(lambda: _answers(port), 90):
            raise RuntimeError(f"it does not answer; see the logs in {folder}")
        time.sleep(1)
        yield Site(port, env, folder)
    finally:
        for part in reversed(parts):
            part.stop()


def _answers(port: int) -> bool:
    try:
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/livez", timeout=2) as answer:
            return bool(answer.status == 200)
    except OSError:
        return False
