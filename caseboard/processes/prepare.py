"""What an installation needs before it serves: its tables up to date, its static files collected."""

import hashlib
from collections.abc import Callable
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles.finders import get_finders
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor

COLLECTED = "collected-from.txt"  # beside the static files: what they were collected from


def installation_prepare(*, say: Callable[[str], None]) -> None:
    """Brings tables and static files up to date. Raises CommandError, in one line, if it cannot."""
    try:
        _tables(say)
    except DatabaseError as error:
        raise CommandError(f"The database cannot be used: {_one_line(error)}") from error
    if settings.PRODUCTION:
        try:
            _static_files(say)
        except OSError as error:
            raise CommandError(
                f"The static files cannot be collected into {settings.STATIC_ROOT}: "
                f"{_one_line(error)}. Set STATIC_ROOT to a folder that may be written."
            ) from error


def _one_line(error: Exception) -> str:
    return " ".join(str(error).split())


def _tables(say: Callable[[str], None]) -> None:
    executor = MigrationExecutor(connection)
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        say("Bringing the database up to date ...")
        call_command("migrate", verbosity=0, interactive=False)
    if not settings.REDIS_URL:
        call_command("createcachetable", verbosity=0)


def _static_files(say: Callable[[str], None]) -> None:
    """Collects the static files only when they changed, because packing them takes seconds."""
    note = Path(settings.STATIC_ROOT) / COLLECTED
    sources = sources_fingerprint()
    if note.is_file() and note.read_text() == sources and static_manifest().is_file():
        return
    say("Collecting the static files ...")
    call_command("collectstatic", verbosity=0, interactive=False)
    note.write_text(sources)


def static_manifest() -> Path:
    """The list of collected files; without it every page is an error in production."""
    return Path(settings.STATIC_ROOT) / "staticfiles.json"


def sources_fingerprint() -> str:
    """Of the names, sizes and times of all files that would be collected."""
    seen = []
    for finder in get_finders():
        for name, storage in finder.list([]):
            stat = Path(storage.path(name)).stat()
            seen.append(f"{name} {stat.st_size} {stat.st_mtime_ns}")
    return hashlib.sha256("\n".join(sorted(seen)).encode()).hexdigest()
