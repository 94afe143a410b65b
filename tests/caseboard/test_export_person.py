"""Everything kept of one person: their own, on all their cases, and nobody else's."""

import json
import zipfile
from datetime import datetime
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db


def exported(cast: Cast, out: Path) -> dict[str, object]:
    call_command("people", "export", cast.owner.email, "--out", str(out))
    with zipfile.ZipFile(out) as packed:
        return dict(json.loads(packed.read("person.json")))


def test_it_holds_the_account_and_their_own_words(
    cast: Cast, now: datetime, tmp_path: Path
) -> None:
    mine = build.note(cast.access(cast.owner), now)
    theirs = build.note(cast.access(cast.vet), now)
    told = exported(cast, tmp_path / "out.zip")
    text = json.dumps(told)
    assert cast.owner.email in text
    assert mine.public_id in text
    assert theirs.public_id not in text
    assert "password" not in text


def test_a_file_that_is_there_is_not_written_over(cast: Cast, tmp_path: Path) -> None:
    (tmp_path / "out.zip").write_text("precious")
    with pytest.raises((CommandError, FileExistsError)):
        exported(cast, tmp_path / "out.zip")
    assert (tmp_path / "out.zip").read_text() == "precious"
