"""Ten ways to spoil a backup: bits, cuts, losses, additions, and edits with every sum made anew."""

import gzip
import hashlib
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from caseboard.management.safekeeping.manifest import manifest_read, manifest_write


def rows_file(folder: Path, label: str) -> Path:
    return folder / "rows" / f"{label}.jsonl.gz"


def flip(path: Path, at: float = 0.5) -> None:
    content = bytearray(path.read_bytes())
    content[int(len(content) * at)] ^= 0x10
    path.write_bytes(content)


def truncate(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-20])


def _rewrite(folder: Path, label: str, change: Callable[[list[dict[str, Any]]], Any]) -> None:
    """Changes rows and makes every sum anew, as somebody would who wants to hide it."""
    with gzip.open(rows_file(folder, label), "rt") as file:
        rows = [json.loads(line) for line in file]
    change(rows)
    text = "".join(json.dumps(r, sort_keys=True, ensure_ascii=False) + "\n" for r in rows)
    with gzip.open(rows_file(folder, label), "wt") as out:
        out.write(text)
    manifest = manifest_read(folder)
    manifest["tables"][label] |= {
        "rows": len(rows), "sha256": hashlib.sha256(text.encode()).hexdigest(),
    }  # fmt: skip
    manifest_write(folder, manifest)


def _spoil_words(rows: list[dict[str, Any]]) -> None:
    rows[1]["after"] = {"words": "Something else."}


def _spoil_manifest(folder: Path) -> None:
    path = folder / "manifest.json"
    rows = manifest_read(folder)["tables"]["measurements.Reading"]["rows"]
    path.write_text(path.read_text().replace(f'"rows": {rows}', f'"rows": {rows - 1}'))


def _a_photo(folder: Path) -> Path:
    return folder / "media" / min(manifest_read(folder)["media"])


CORRUPTIONS: dict[str, Callable[[Path], Any]] = {
    "a bit of a table": lambda f: flip(rows_file(f, "measurements.Reading")),
    "a table cut short": lambda f: truncate(rows_file(f, "horses.Person")),
    "a table gone": lambda f: rows_file(f, "horses.Note").unlink(),
    "a bit of a photo": lambda f: flip(_a_photo(f)),
    "a photo gone": lambda f: _a_photo(f).unlink(),
    "a file too many": lambda f: (f / "media/flags/two.jpg").write_bytes(b"x"),
    "the manifest edited": _spoil_manifest,
    "the manifest gone": lambda f: (f / "manifest.json").unlink(),
    "a line of history edited and every sum made anew": lambda f: _rewrite(
        f, "horses.HistoryLine", _spoil_words
    ),
    "the last line of history taken out and every sum made anew": lambda f: _rewrite(
        f, "horses.HistoryLine", lambda rows: rows.pop()
    ),
}
