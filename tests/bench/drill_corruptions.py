"""Ways to spoil a backup, and the words that have to name each: bits, cuts, losses, additions, paths
that lead away, and edits with every sum (or even the seal) made anew."""

import gzip
import hashlib
import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

from caseboard.backup.manifest import FORMAT, NAME, SEAL, file_sum, manifest_read, manifest_write

Spoil = Callable[[Path], Any]


def rows_file(folder: Path, label: str) -> Path:
    return folder / "rows" / f"{label}.jsonl.gz"


def flip(path: Path, at: float = 0.5) -> None:
    content = bytearray(path.read_bytes())
    content[int(len(content) * at)] ^= 0x10
    path.write_bytes(content)


def truncate(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-20])


def rewrite(folder: Path, label: str, change: Callable[[list[dict[str, Any]]], Any]) -> None:
    """Changes rows and makes every sum and the seal anew, as somebody would who has the key too."""
    with gzip.open(rows_file(folder, label), "rt") as file:
        rows = [json.loads(line) for line in file]
    change(rows)
    text = "".join(json.dumps(r, sort_keys=True, ensure_ascii=False) + "\n" for r in rows)
    with gzip.open(rows_file(folder, label), "wt") as out:
        out.write(text)
    manifest = manifest_read(folder)
    manifest["tables"][label] |= {
        "rows": len(rows),
        "sha256": hashlib.sha256(text.encode()).hexdigest(),
        "packed_sha256": file_sum(rows_file(folder, label)),
    }
    manifest_write(folder, manifest)


def reseal(folder: Path, change: Callable[[dict[str, Any]], Any]) -> None:
    """Changes the manifest and makes its seal anew."""
    manifest = json.loads((folder / NAME).read_text())
    change(manifest)
    manifest_write(folder, manifest)


def resum(folder: Path, change: Callable[[dict[str, Any]], Any]) -> None:
    """Changes the manifest and makes its sum anew, without the key."""
    manifest, seal = (json.loads((folder / name).read_text()) for name in (NAME, SEAL))
    change(manifest)
    text = json.dumps(manifest, indent=1, sort_keys=True)
    (folder / NAME).write_text(text)
    seal["sha256"] = hashlib.sha256(text.encode()).hexdigest()
    (folder / SEAL).write_text(json.dumps(seal))


def _spoil_words(rows: list[dict[str, Any]]) -> None:
    rows[1]["after"] = {"words": "Something else."}


def _spoil_note(rows: list[dict[str, Any]]) -> None:
    rows[0]["body"] = "The foot looks fine."


def _spoil_manifest(folder: Path) -> None:
    path = folder / NAME
    rows = manifest_read(folder)["tables"]["measurements.Reading"]["rows"]
    path.write_text(path.read_text().replace(f'"rows": {rows}', f'"rows": {rows - 1}'))


def _a_photo(folder: Path) -> Path:
    return folder / "media" / min(manifest_read(folder)["media"])


def _link_out(folder: Path) -> None:
    photo = _a_photo(folder)
    outside = folder.parent / "outside.jpg"
    shutil.move(photo, outside)
    photo.symlink_to(outside)


def _name_outside(name: str) -> Spoil:
    return lambda folder: reseal(folder, lambda m: m["media"].update({name: "0" * 64}))


def _table_outside(manifest: dict[str, Any]) -> None:
    manifest["tables"]["horses.Note"]["file"] = "../../rows.jsonl.gz"


def _bare(folder: Path) -> None:
    manifest_write(folder, {"format": FORMAT})


CORRUPTIONS: dict[str, tuple[Spoil, str]] = {
    "a bit of a table": (
        lambda f: flip(rows_file(f, "measurements.Reading")),
        "measurements.Reading: its file was changed",
    ),
    "a table cut short": (
        lambda f: truncate(rows_file(f, "horses.Person")),
        "horses.Person: its file was changed",
    ),
    "a table gone": (
        lambda f: rows_file(f, "horses.Note").unlink(),
        "horses.Note: cannot be read",
    ),
    "a bit of a photo": (lambda f: flip(_a_photo(f)), "was changed"),
    "a photo gone": (lambda f: _a_photo(f).unlink(), "missing"),
    "a file too many": (
        lambda f: (_a_photo(f).parent / "two.jpg").write_bytes(b"x"),
        "two.jpg: does not belong",
    ),
    "the manifest edited": (_spoil_manifest, "the manifest was changed"),
    "the manifest edited and its sum made anew": (
        lambda f: resum(f, lambda m: m.update(made_at="2020-01-01")),
        "its sums made anew",
    ),
    "the manifest gone": (lambda f: (f / NAME).unlink(), "cannot be read: FileNotFoundError"),
    "the seal gone": (lambda f: (f / SEAL).unlink(), "has no seal"),
    "the manifest bare": (_bare, "does not say its tables"),
    "the manifest empty": (lambda f: (f / NAME).write_text("{}"), "the manifest is empty"),
    "the manifest garbled": (
        lambda f: (f / NAME).write_bytes(b"\xff\xfe{"),
        "cannot be read: UnicodeDecodeError",
    ),
    "an absolute path": (_name_outside("/etc/hostname"), "outside of the backup: /etc/hostname"),
    "a path upwards": (_name_outside("../../x.jpg"), "outside of the backup: ../../x.jpg"),
    "a table's path upwards": (
        lambda f: reseal(f, _table_outside),
        "outside of the backup: ../../rows.jsonl.gz",
    ),
    "a link to outside": (_link_out, "leads outside of the backup"),
    "a table not in the manifest": (
        lambda f: reseal(f, lambda m: m["tables"].pop("horses.Note")),
        "horses.Note: not in the backup",
    ),
    "a line of history edited and every sum made anew": (
        lambda f: rewrite(f, "horses.HistoryLine", _spoil_words),
        "was changed",
    ),
    "the last line of history taken out and every sum made anew": (
        lambda f: rewrite(f, "horses.HistoryLine", lambda rows: rows.pop()),
        "its end is missing",
    ),
    "a note edited and every sum made anew": (
        lambda f: rewrite(f, "horses.Note", _spoil_note),
        ": the row was changed",
    ),
    "a note taken out and every sum made anew": (
        lambda f: rewrite(f, "horses.Note", lambda rows: rows.pop()),
        ": the row is gone",
    ),
}
