"""Starts the project's commands as a person would: as processes, with files of their own."""

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
# What a test run itself may have set, and a fresh start would not have.
NOT_PASSED_ON = (
    "CASEBOARD_DEMO",
    "CELERY_BROKER_URL",
    "DATABASE_URL",
    "DJANGO_SETTINGS_MODULE",
    "EMAIL_URL",
    "PYTEST_XDIST_WORKER",
    "REDIS_URL",
    "SITE_URL",
)


def environment(state: Path, **extra: str) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if name not in NOT_PASSED_ON}
    return {**kept, "CASEBOARD_STATE_DIR": str(state), "PYTHONUNBUFFERED": "1", **extra}


def manage(*words: str, state: Path, **extra: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "manage.py", *words],
        cwd=ROOT,
        env=environment(state, **extra),
        capture_output=True,
        text=True,
        timeout=240,
    )


def manage_start(*words: str, state: Path, **extra: str) -> subprocess.Popen[str]:
    # A shell that starts the tests in the background lets them ignore Ctrl-C; a person's does not.
    heeds = "import os, signal, sys; signal.signal(signal.SIGINT, signal.default_int_handler); "
    heeds += "os.execv(sys.executable, [sys.executable, *sys.argv[1:]])"
    return subprocess.Popen(
        [sys.executable, "-c", heeds, "manage.py", *words],
        cwd=ROOT,
        env=environment(state, **extra),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
