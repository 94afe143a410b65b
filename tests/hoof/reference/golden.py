"""The golden file: read and written, a case a line."""

import json
from pathlib import Path
from typing import Any

from tests.hoof.reference.by_code import judged_by_code, limits_by_code
from tests.hoof.reference.by_reference import (
    PATHS,
    judged_by_reference,
    limits_by_reference,
)
from tests.hoof.reference.cases import Case
from tests.hoof.reference.told import plain

PLACE = Path(__file__).parent / "golden.json"
Entry = dict[str, Any]


def read_golden() -> dict[str, Entry]:
    """The entries by the case's name."""
    entries: dict[str, Entry] = json.loads(PLACE.read_text())
    return entries


def write_golden(entries: dict[str, Entry]) -> None:
    """One case a line, so that a changed verdict is a changed line."""
    lines = [f"{json.dumps(name)}: {json.dumps(entry)}" for name, entry in entries.items()]
    PLACE.write_text("{\n" + ",\n".join(lines) + "\n}\n")


def code_entry(case: Case) -> Entry:
    """What the code says now: its limits and its judgement."""
    cache: dict[str, tuple[float, ...]] = {}
    limits = limits_by_code(case, cache)
    bare = limits_by_code(case, cache, with_pairs=False) if case.pairs else None
    return {
        "limits": plain(limits),
        "bare_limits": plain(bare),
        "code": judged_by_code(case, cache).plain(),
    }


def reference_entry(case: Case, entry: Entry) -> Entry:
    """What the reference says under the limits of the code."""
    judged = judged_by_reference(case, entry["limits"], entry["bare_limits"])
    return {"reference": judged.plain()}


def simulated_entry(case: Case, paths: int = PATHS) -> Entry:
    """The limits by the reference's own simulation."""
    return {"simulated_limits": plain(limits_by_reference(case, paths))}
