"""A photo that is lost or spoilt is named at once, and costs nothing but itself."""

from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from caseboard.backup import write
from caseboard.backup.check import backup_look
from caseboard.backup.manifest import BackupWrong, manifest_read
from caseboard.backup.restore import Allowed, backup_restore
from horses.ledger.photo_check import photos_look
from horses.models import Flag, Note, Picture
from horses.services.pictures import photo_delete, picture_blank
from tests.caseboard.saved import horse_made, installation_emptied, picture_files

pytestmark = pytest.mark.django_db(transaction=True)


def _backup(into: Path, **more: Any) -> Path:
    call_command("backup", str(into), **more)
    return max(into.glob("backup-*"))


def test_a_lost_and_a_spoilt_photo_are_named_and_all_the_rest_comes_back(
    clock_stands: datetime, tmp_path: Path, capsys: Any
) -> None:
    now = clock_stands
    cast = horse_made(now)
    gone, spoilt, well = picture_files()
    gone.unlink()
    spoilt.write_bytes(b"something else")
    with pytest.raises(CommandError, match="2 found wrong"):
        call_command("backup", str(tmp_path))
    said = capsys.readouterr()
    assert f"photo pictures/{gone.name}: missing" in said.err
    assert f"photo pictures/{spoilt.name}: was changed" in said.err
    assert "2 missing or changed" in Client().get("/readyz").json()["photos"]
    with pytest.raises(CommandError, match=r"0 line\(s\) and 2 photo"):
        call_command("verify_history")
    backup = Path(said.out.strip())
    look = backup_look(backup)
    assert (look.whole, sorted(look.lost)) == (
        True,
        sorted(f"pictures/{p.name}" for p in (gone, spoilt)),
    )

    installation_emptied()
    with pytest.raises(BackupWrong, match="--without-lost-photos"):
        backup_restore(backup, now=now)
    assert Note.objects.count() == 0
    allowed = Allowed(without_lost_photos=True)
    assert backup_restore(backup, now=now, allowed=allowed).lost == look.lost
    assert Note.objects.count() == 1
    assert [path.is_file() for path in (gone, spoilt, well)] == [False, False, True]
    assert backup_restore(backup, now=now, allowed=allowed).was_there
    client = Client()
    client.force_login(type(cast.vet).objects.get(pk=cast.vet.pk))
    flag = Flag.objects.get()
    page = client.get(reverse("flag", args=[flag.case.public_id, flag.public_id])).content.decode()
    assert page.count("was lost, noticed on 2 Nov 2026") == 2
    assert page.count('class="picture"') == 1


def test_the_nightly_look_finds_what_is_gone_and_sees_it_come_back(
    clock_stands: datetime,
) -> None:
    now = clock_stands
    horse_made(now)
    assert photos_look(now=now) == []
    path = picture_files()[0]
    content = path.read_bytes()
    path.write_bytes(b"")
    (fault,) = photos_look(now=now)
    assert (fault.name, fault.what) == (f"pictures/{path.name}", "was changed")
    assert Picture.objects.get(lost_at=now).file.name == fault.name
    path.write_bytes(content)
    assert photos_look(now=now) == []
    assert Picture.objects.exclude(lost_at=None).count() == 0
    assert Client().get("/readyz").json()["photos"] == "ok"


def test_a_photo_that_is_blanked_out_during_a_backup_is_no_damage(
    clock_stands: datetime, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    now = clock_stands
    cast = horse_made(now)
    photo = Picture.objects.latest("pk")
    copied = write.stored_names

    def meanwhile(storage: Any, folder: str = "") -> Iterator[str]:
        picture_blank(
            access=cast.access(cast.owner),
            picture_id=photo.public_id,
            reason="A face.",
            now=now,
        )
        photo_delete(str(photo.file.name), now)
        return copied(storage, folder)

    monkeypatch.setattr(write, "stored_names", meanwhile)
    backup = _backup(tmp_path)
    assert backup_look(backup).troubles() == []
    manifest = manifest_read(backup)
    assert (manifest["lost"], len(manifest["media"])) == ({}, 2)
    monkeypatch.undo()
    installation_emptied()
    backup_restore(backup, now=now)
    assert Picture.objects.exclude(redacted_at=None).count() == 1


def test_an_older_backup_that_holds_the_lost_photo_is_named_and_stays(
    clock_stands: datetime, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Any
) -> None:
    now = clock_stands
    horse_made(now)
    for day in range(3):
        if day == 2:
            picture_files()[0].unlink()
        monkeypatch.setattr("caseboard.lib.clock.now", lambda d=day: now + timedelta(days=d))
        try:
            call_command("backup", str(tmp_path), keep=3 if day < 2 else 1)
        except CommandError:
            assert day == 2
    assert "missing; backup-20261103T090000 still holds it" in capsys.readouterr().err
    assert sorted(p.name for p in tmp_path.iterdir()) == [
        "backup-20261102T090000",
        "backup-20261103T090000",
        "backup-20261104T090000",
    ]


def test_a_row_whose_fingerprint_was_changed_with_its_file_differs_from_the_history(
    clock_stands: datetime, capsys: Any
) -> None:
    horse_made(clock_stands)
    Picture.objects.filter(pk=Picture.objects.latest("pk").pk).update(sha256="0" * 64)
    with pytest.raises(CommandError, match="photo"):
        call_command("verify_history")
    assert "1 photo(s) that no line speaks of" in capsys.readouterr().out
