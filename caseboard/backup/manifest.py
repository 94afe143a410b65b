"""What a backup says of itself: how many rows and which bytes, and the schema they fit. Sealed with a
key made from SECRET_KEY, so that nobody without it can change a backup and make its sums anew."""

import hashlib
import hmac
import json
import re
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connections
from django.db.migrations.recorder import MigrationRecorder

NAME, SEAL = "manifest.json", "manifest.seal"
FORMAT = 2
HEX = re.compile(r"[0-9a-f]{64}")
OTHER_KEY = (
    "the manifest was sealed with another SECRET_KEY. Set the one of that installation, or restore "
    "with --unsigned: then nobody knows whether the backup was changed on purpose since"
)
UNSEALED = (
    "the manifest has no seal. With --unsigned it is read all the same: then nobody knows whether "
    "the backup was changed on purpose"
)


class BackupWrong(Exception):
    """The backup cannot be used; says why."""


def migrations_of(alias: str) -> list[str]:
    applied = MigrationRecorder(connections[alias]).applied_migrations()
    return sorted(f"{app}.{name}" for app, name in applied)


def manifest_write(folder: Path, manifest: dict[str, Any]) -> None:
    text = json.dumps(manifest, indent=1, sort_keys=True)
    (folder / NAME).write_text(text, encoding="utf-8")
    seal = {"sha256": _sum(text), "key": _key_name(), "seal": _seal(text)}
    (folder / SEAL).write_text(json.dumps(seal), encoding="utf-8")


def manifest_read(folder: Path, *, unsigned: bool = False) -> dict[str, Any]:
    """The manifest of a backup that says nothing impossible. Raises BackupWrong."""
    manifest, troubles = manifest_look(folder, unsigned=unsigned)
    if troubles or manifest is None:
        raise BackupWrong("; ".join(troubles))
    return manifest


def manifest_look(
    folder: Path, *, unsigned: bool = False
) -> tuple[dict[str, Any] | None, list[str]]:
    """The manifest, where it is of use for looking further, and everything wrong with it."""
    try:
        text = (folder / NAME).read_text(encoding="utf-8")
        manifest = json.loads(text)
    except (OSError, ValueError, RecursionError) as error:
        return None, [f"the manifest cannot be read: {type(error).__name__}"]
    shape = _shape(manifest)
    troubles = [*_seal_troubles(folder, text, unsigned), *shape]
    return (None if shape else manifest), troubles


def _seal_troubles(folder: Path, text: str, unsigned: bool) -> list[str]:
    try:
        seal = json.loads((folder / SEAL).read_text(encoding="utf-8"))
        if not isinstance(seal, dict):
            raise ValueError("no seal")
    except FileNotFoundError:
        return [] if unsigned else [UNSEALED]
    except (OSError, ValueError, RecursionError):
        return ["the seal of the manifest cannot be read"]
    if set(seal) != {"sha256", "key", "seal"} or seal["sha256"] != _sum(text):
        return ["the manifest was changed"]
    if unsigned:
        return []
    if seal["key"] != _key_name():
        return [OTHER_KEY]
    fits = hmac.compare_digest(str(seal["seal"]).encode(), _seal(text).encode())
    return [] if fits else ["the manifest was changed, and its sums made anew"]


def _shape(manifest: Any) -> list[str]:
    """What is impossible in it: all that is read later is of the kind that is expected there."""
    if not isinstance(manifest, dict) or not manifest:
        return ["the manifest is empty, or no manifest"]
    if manifest.get("format") != FORMAT:
        return [f"this program reads format {FORMAT}, not {manifest.get('format')}"]
    kinds = {"migrations": list, "tables": dict, "media": dict, "lost": dict, "made_at": str}
    wrong = [
        f"the manifest does not say its {n}"
        for n, k in kinds.items()
        if not isinstance(manifest.get(n), k)
    ]
    if wrong:
        return wrong
    for label, said in manifest["tables"].items():
        wrong += _table_shape(label, said)
    for name, stated in manifest["media"].items():
        if not path_inside(name):
            wrong.append(f"the manifest names a path outside of the backup: {name}")
        elif not _is_sum(stated):
            wrong.append(f"media/{name}: the manifest has no fingerprint of it")
    return wrong


def _table_shape(label: str, said: Any) -> list[str]:
    if not isinstance(said, dict):
        return [f"{label}: the manifest says nothing of it"]
    wrong = []
    if not _is_sum(said.get("sha256")) or not _is_sum(said.get("packed_sha256")):
        wrong.append(f"{label}: the manifest has no fingerprint of it")
    if type(said.get("rows")) is not int:
        wrong.append(f"{label}: the manifest has no number of rows")
    if said.get("file") != f"rows/{label}.jsonl.gz" or "/" in label or not path_inside(label):
        wrong.append(f"the manifest names a path outside of the backup: {said.get('file')}")
    return wrong


def path_inside(name: str) -> bool:
    """Whether the path stays inside its folder: not absolute, no `..`, no drive or backslash."""
    parts = name.split("/")
    return not any(part in ("", ".", "..") for part in parts) and not set(name) & set("\\\0:")


def _is_sum(value: Any) -> bool:
    return isinstance(value, str) and HEX.fullmatch(value) is not None


def _sum(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def _key() -> bytes:
    return hmac.new(settings.SECRET_KEY.encode(), b"backup seal", hashlib.sha256).digest()


def _key_name() -> str:
    """A fingerprint that tells two keys apart and reveals neither."""
    return hmac.new(_key(), b"name", hashlib.sha256).hexdigest()[:16]


def _seal(text: str) -> str:
    return hmac.new(_key(), text.encode(), hashlib.sha256).hexdigest()


def file_sum(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
