#!/usr/bin/env python
"""Runs the project's commands: `python manage.py COMMAND`."""

import os
import sys

from caseboard.env_file import env_file_found

# What would lead a demo to a real installation's data, mail or workers.
REAL_THINGS = (
    "DATABASE_URL",
    "REDIS_URL",
    "CELERY_BROKER_URL",
    "EMAIL_URL",
    "MEDIA_ROOT",
    "MEDIA_S3_BUCKET",
    "STATIC_ROOT",
)


def prepare_demo() -> None:
    """Settings are read before a command runs, so the demo's are chosen here."""
    if os.environ.get("CASEBOARD_PRODUCTION", "").lower() not in ("", "0", "false", "no", "off"):
        return  # the command itself refuses, and says why
    os.environ["CASEBOARD_DEMO"] = "1"
    os.environ["CASEBOARD_ENV_FILE"] = ""  # none: it would lead back to the real things
    for name in REAL_THINGS:
        os.environ.pop(name, None)


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "caseboard.settings")
    if sys.argv[1:2] == ["demo"]:
        prepare_demo()
    else:
        env_file_found()
    from django.core.management import execute_from_command_line

    from caseboard.lib.logging.request_id import log_bound, new_request_id, request_id_bound

    with request_id_bound(new_request_id()), log_bound(command=" ".join(sys.argv[1:2])):
        execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
