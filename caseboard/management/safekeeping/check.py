"""Reads a backup as if it were put back, and says everything that is wrong with it."""

import gzip
import hashlib
import json
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from caseboard.management.safekeeping.manifest import (
    NAME,
    SUM,
    BackupWrong,
    file_sum,
    manifest_read,
)
from caseboard.management.safekeeping.tables import Model, file_names, kept_models, rows_read
from horses.history import line_hash
from horses.models import Case, HistoryLine


def backup_troubles(folder: Path) -> list[str]:
    """Everything found wrong, in words; empty for a backup that can be put back."""
    try:
        manifest = manifest_read(folder)
    except BackupWrong as error:
        return [str(error)]
    troubles = list(_strangers(folder, manifest))
    troubles += _media(folder, manifest["media"])
    rows: dict[str, list[dict[str, Any]]] = {}
    for model in kept_models():
        label = model._meta.label
        if label not in manifest["tables"]:
            troubles.append(f"{label}: not in the backup")
            continue
        try:
            lines = list(table_lines(folder, manifest["tables"][label]))
        except BackupWrong as error:
            troubles.append(f"{label}: {error}")
            continue
        troubles += _files_named(model, lines, manifest["media"])
        if model in (Case, HistoryLine):
            rows[label] = list(rows_read(model, lines))
    if len(rows) == 2:
        troubles += _chains(rows["horses.Case"], rows["horses.HistoryLine"])
    return troubles


def table_lines(folder: Path, said: dict[str, Any]) -> Iterator[str]:
    """The lines of one table, checked against the manifest; BackupWrong when they do not fit."""
    digest, count = hashlib.sha256(), 0
    try:
        with gzip.open(folder / said["file"], "rt", encoding="utf-8") as file:
            for line in file:
                digest.update(line.encode())
                count += 1
                yield line.rstrip("\n")
    except (OSError, EOFError, zlib.error, UnicodeDecodeError) as error:
        raise BackupWrong(f"cannot be read: {type(error).__name__}") from None
    if count != said["rows"]:
        raise BackupWrong(f"{count} rows, not {said['rows']}")
    if digest.hexdigest() != said["sha256"]:
        raise BackupWrong("its rows were changed")


def _strangers(folder: Path, manifest: dict[str, Any]) -> Iterator[str]:
    known = {NAME, SUM, *(t["file"] for t in manifest["tables"].values())}
    known |= {f"media/{name}" for name in manifest["media"]}
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder).as_posix()
        if path.is_file() and name not in known:
            yield f"{name}: does not belong to the backup"


def _media(folder: Path, sums: dict[str, str]) -> Iterator[str]:
    for name, stated in sums.items():
        path = folder / "media" / name
        if not path.is_file():
            yield f"media/{name}: missing"
        elif file_sum(path) != stated:
            yield f"media/{name}: was changed"


def _files_named(model: Model, lines: list[str], media: dict[str, str]) -> Iterator[str]:
    for line in lines:
        for name in file_names(model, json.loads(line)):
            if name not in media:
                yield f"{model._meta.label}: its file {name} is not in the backup"


def _chains(cases: list[dict[str, Any]], lines: list[dict[str, Any]]) -> Iterator[str]:
    """The history, line by line: a row that was edited with all sums made anew is found here."""
    of_case: dict[int, list[dict[str, Any]]] = {case["id"]: [] for case in cases}
    for line in sorted(lines, key=lambda line: line["seq"]):
        of_case.setdefault(line["case_id"], []).append(line)
    for case in cases:
        before, expected = "", 1
        for line in of_case[case["id"]]:
            fits = (
                line["seq"] == expected
                and line["prev_hash"] == before
                and line["line_hash"] == line_hash(before, line["canonical"])
                and _columns_fit(line)
            )
            if not fits:
                yield f"history of case {case['public_id']}: line {line['seq']} was changed"
            before, expected = line["line_hash"], line["seq"] + 1
        if (case["last_seq"], case["last_hash"]) != (expected - 1, before):
            yield f"history of case {case['public_id']}: its end is missing"


def _columns_fit(line: dict[str, Any]) -> bool:
    said = json.loads(line["canonical"])
    same = ("seq", "actor_name", "actor_role", "verb", "subject", "audience", "before", "after")
    return all(line[name] == said[name] for name in same) and said["at"] == line["at"].isoformat()
