"""Every way of spoiling a backup is found, and its name is said.

CASEBOARD_BACKUP_FAULTS=200 draws as many faults by chance as the goal asks for.
"""

import gzip
import os
import random
import shutil
from collections.abc import Callable
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from caseboard.backup.check import backup_look
from tests.bench.drill_corruptions import CORRUPTIONS, rewrite, rows_file
from tests.caseboard.saved import horse_saved

pytestmark = pytest.mark.django_db(transaction=True)
FAULTS = int(os.environ.get("CASEBOARD_BACKUP_FAULTS", "40"))
# Rows that the lines of a history seal; of each, a column that holds words or a number.
SEALED = {
    "horses.Flag": "words",
    "horses.Note": "body",
    "horses.PlanItemVersion": "text",
    "measurements.Reading": "value",
}


@pytest.fixture
def saved(now: datetime, tmp_path: Path) -> Path:
    return horse_saved(now, tmp_path / "backups")


def _spoilt(saved: Path, folder: Path, spoil: Callable[[Path], Any]) -> list[str]:
    shutil.copytree(saved, folder)
    spoil(folder)
    found = backup_look(folder).troubles()
    shutil.rmtree(folder)
    return found


def test_every_seeded_spoiling_is_named(saved: Path, tmp_path: Path) -> None:
    missed = {}
    for name, (spoil, words) in CORRUPTIONS.items():
        said = _spoilt(saved, tmp_path / "spoilt", spoil)
        if not any(words in line for line in said):
            missed[name] = said
    assert (len(CORRUPTIONS) >= 17, missed) == (True, {})


def test_all_faults_are_named_and_not_only_the_first(saved: Path) -> None:
    names = ("a table gone", "a bit of a photo", "a file too many", "a table cut short")
    for name in names:
        CORRUPTIONS[name][0](saved)
    said = backup_look(saved).troubles()
    assert [n for n in names if not any(CORRUPTIONS[n][1] in line for line in said)] == []
    assert not backup_look(saved).whole


def test_faults_by_chance_are_all_found_where_they_are(saved: Path, tmp_path: Path) -> None:
    missed = []
    for number in range(FAULTS):
        chance = random.Random(number)
        told: list[str] = []
        said = _spoilt(saved, tmp_path / "spoilt", partial(_fault, chance=chance, told=told))
        if not any(word in line for line in said for word in told):
            missed.append((number, told, said))
    assert missed == []


def _fault(folder: Path, chance: random.Random, told: list[str]) -> None:
    """One fault of a random kind; `told` gets the words of which one has to be said."""
    files = sorted(path for path in folder.rglob("*") if path.is_file())
    path = chance.choice(files)
    told += [path.name.removesuffix(".jsonl.gz")]
    told += ["manifest"] if path.name.startswith("manifest") else []
    content = bytearray(path.read_bytes())
    match chance.randrange(6):
        case 0:
            content[chance.randrange(len(content))] ^= 1 << chance.randrange(8)
            path.write_bytes(content)
        case 1:
            path.write_bytes(content[: chance.randrange(len(content))])
        case 2:
            path.unlink()
        case 3:
            at = chance.randrange(len(content))
            path.write_bytes(
                content[:at] + chance.randbytes(chance.randrange(1, 99)) + content[at:]
            )
        case 4:
            other = chance.choice([p for p in files if p.read_bytes() != bytes(content)])
            path.write_bytes(other.read_bytes())
        case _:
            told[:] = [_row_fault(folder, chance)]


def _row_fault(folder: Path, chance: random.Random) -> str:
    label, column = chance.choice(sorted(SEALED.items()))
    with gzip.open(rows_file(folder, label), "rt") as file:
        count = sum(1 for _ in file)
    at = chance.randrange(count)
    if chance.random() < 0.5:
        rewrite(folder, label, lambda rows: rows.pop(at))
    else:
        rewrite(folder, label, lambda rows: rows[at].update({column: "49.5"}))
    return label.lower()
