"""Kills a restore at each of its stages and restores once more, in processes of their own.

    python -m tests.caseboard.restore_kills BACKUP

in the environment of an empty, migrated installation; says for each stage what was there after the kill
and after the second restore, as JSON.
"""

import json
import os
import signal
import sys
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import Any

import django

MODULE = "caseboard.backup"
# The stage: which function is met, at which call, and whether it is killed after it or before.
STAGES: dict[str, tuple[str, str, int, bool]] = {
    "while photos are copied": (f"{MODULE}.media_in", "file_sum", 2, False),
    "before the first row": (f"{MODULE}.restore", "_nobody_meanwhile", 1, True),
    "among the rows": (f"{MODULE}.restore", "_fill", 20, True),
    "after the last row": (f"{MODULE}.restore", "restored_rows_troubles", 1, True),
    "after the journal": (f"{MODULE}.media_in", "write_durably", 1, True),
    "among the photos": ("os", "replace", 3, False),
    "before the commit": (f"{MODULE}.media_in", "media_move_in", 1, True),
    "after the commit": (f"{MODULE}.media_in", "done", 2, False),
}
# In a bucket nothing waits beside and no journal is written: the photos are put there, one by one.
# What is asked for the fourth time after the commit is whether there is anything to clear away.
BUCKET_STAGES: dict[str, tuple[str, str, int, bool]] = {
    **{s: STAGES[s] for s in ("before the first row", "among the rows", "after the last row")},
    "before the first photo": (f"{MODULE}.media_in", "_upload", 1, False),
    "among the photos": (f"{MODULE}.media_in", "file_ails", 4, False),
    "before the commit": STAGES["before the commit"],
    "after the commit": (f"{MODULE}.media_in", "on_disk", 4, False),
}


def stages_of(env: Mapping[str, str]) -> dict[str, tuple[str, str, int, bool]]:
    return BUCKET_STAGES if env.get("MEDIA_S3_BUCKET") else STAGES


def _kill_at(stage: str) -> None:
    module_name, name, at, after = stages_of(os.environ)[stage]
    module: Any = sys.modules[module_name]
    original: Callable[..., Any] = getattr(module, name)
    calls = 0

    def killed(*args: Any, **kwargs: Any) -> Any:
        nonlocal calls
        calls += 1
        if calls < at:
            return original(*args, **kwargs)
        if after:
            original(*args, **kwargs)
        os.kill(os.getpid(), signal.SIGKILL)

    setattr(module, name, killed)


def _in_a_process(work: Callable[[], Any]) -> Any:
    """What it returns, as JSON has it; "killed" for a process that was."""
    read, write = os.pipe()
    if (child := os.fork()) == 0:
        os.close(read)
        code = 1
        try:
            os.write(write, json.dumps(work()).encode())
            code = 0
        finally:
            os._exit(code)
    os.close(write)
    with os.fdopen(read, "rb") as said:
        text = said.read()
    _, status = os.waitpid(child, 0)
    if os.WIFSIGNALED(status):
        return "killed" if os.WTERMSIG(status) == signal.SIGKILL else status
    return json.loads(text) if text else f"ended with {status}"


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "caseboard.settings")
    django.setup()
    from django.conf import settings
    from django.core.files.storage import default_storage

    from caseboard.backup.manifest import manifest_read
    from caseboard.backup.restore import backup_restore, restored_troubles
    from caseboard.lib import clock
    from horses.models import Note, Person
    from tests.caseboard.saved import installation_emptied

    backup = Path(sys.argv[1])

    def restore(stage: str = "") -> Any:
        if stage:
            _kill_at(stage)
        return backup_restore(backup, now=clock.now()).was_there

    def state() -> list[int]:
        return [Person.objects.count(), Note.objects.count()]

    def left_over() -> dict[str, Any]:
        found = {
            "differs": restored_troubles(manifest_read(backup)),
            "beside": sorted(p.name for p in Path(settings.MEDIA_ROOT).glob(".restore*")),
        }
        for name in manifest_read(backup)["media"]:
            default_storage.delete(name)
        installation_emptied()
        return found

    said = {}
    for stage in stages_of(os.environ):
        first = _in_a_process(partial(restore, stage))
        there = _in_a_process(state)
        said[stage] = {
            "first": first,
            "there": there,
            "again": _in_a_process(restore),
            **_in_a_process(left_over),
        }
    print(json.dumps(said))


if __name__ == "__main__":
    main()
