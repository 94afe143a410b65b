"""Nobody else of the machine reads what an installation keeps."""

import os
import sqlite3
import stat
from pathlib import Path
from typing import Any

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.mail import EmailMessage

from caseboard.lib import durable
from caseboard.lib.mailbox import MailboxBackend
from caseboard.lib.private import private_keep, private_state
from tests.caseboard.commands import manage


def _mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def test_an_installation_that_others_could_read_is_put_right(tmp_path: Path) -> None:
    state = tmp_path / "state"
    database, mailbox, media = state / "board.sqlite3", state / "mailbox", state / "media"
    for folder in (state, mailbox, media):
        folder.mkdir(mode=0o755)
        folder.chmod(0o755)
    sqlite3.connect(database).execute("CREATE TABLE t (a)")
    (mailbox / "a.eml").write_text("A code.")
    for path in (database, mailbox / "a.eml"):
        path.chmod(0o644)
    private_state(state, mailbox=mailbox, media=media, database=str(database))
    assert [_mode(path) for path in (state, mailbox, media)] == [0o700] * 3
    assert [_mode(path) for path in (database, mailbox / "a.eml")] == [0o600] * 2


def test_what_is_shared_by_design_or_not_there_is_left_alone(tmp_path: Path) -> None:
    shared = tmp_path / "shared"
    shared.mkdir()
    shared.chmod(0o1777)
    private_keep(shared)
    private_keep(tmp_path / "nothing")
    assert _mode(shared) == 0o777 | stat.S_ISVTX


def test_photos_and_mails_are_for_their_own_user(settings: Any) -> None:
    old = os.umask(0o022)
    try:
        name = default_storage.save("flags/a.jpg", ContentFile(b"a"))
        MailboxBackend().send_messages(
            [EmailMessage("a", "b", "c@example.test", ["d@example.test"])]
        )
    finally:
        os.umask(old)
    photo, mailbox = Path(settings.MEDIA_ROOT) / name, Path(settings.MAILBOX_DIR)
    (mail,) = mailbox.glob("*.eml")
    assert [_mode(p) for p in (photo.parent, photo, mailbox, mail)] == [0o700, 0o600, 0o700, 0o600]


def test_what_this_program_writes_is_for_its_own_user() -> None:
    umask = os.umask(0o077)
    os.umask(umask)
    assert umask == 0o077


def test_a_photo_is_on_the_disk_before_its_row_is_saved(monkeypatch: Any, settings: Any) -> None:
    synced: list[str] = []
    real = durable._sync

    def noted(path: Path, flags: int) -> None:
        synced.append(path.name)
        real(path, flags)

    monkeypatch.setattr(durable, "_sync", noted)
    default_storage.save("flags/b.jpg", ContentFile(b"b"))
    assert synced == ["b.jpg", "flags", Path(settings.MEDIA_ROOT).name]


def test_the_embedded_database_waits_for_the_disk_at_each_commit(tmp_path: Path) -> None:
    """Asked of a process of its own: the tests' own database does not wait."""
    asked = (
        "from django.db import connection as c; "
        "print(c.cursor().execute('PRAGMA synchronous').fetchone()[0])"
    )
    done = manage("shell", "-v", "0", "-c", asked, state=tmp_path)
    assert done.stdout.strip() == "2", done.stderr  # FULL
