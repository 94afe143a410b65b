"""Compares the rows that are kept as written with the fingerprints in the histories.

Found: a row that was changed, in whichever column, or deleted, or put in beside the program. The
fingerprints themselves are covered by the chain (verify.py).
"""

import json
from collections import defaultdict
from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Any

from django.apps import apps

from horses.ledger.row_seal import row_seal
from horses.models import HistoryLine
from horses.models.base import AppendOnly, stored_label

BATCH = 500
# Derived by the program from other rows and never typed: computed again they are the same.
NOT_SEALED = {"horses.historyline", "horses.sheetpaper", "measurements.footverdict"}


def sealed_models() -> list[type[AppendOnly]]:
    kept = [model for model in apps.get_models() if issubclass(model, AppendOnly)]
    return [model for model in kept if stored_label(model).lower() not in NOT_SEALED]


def seals_of(lines: Iterable[HistoryLine]) -> dict[str, tuple[HistoryLine, str]]:
    """For each row: the line that came with it, and the fingerprint in it."""
    found: dict[str, tuple[HistoryLine, str]] = {}
    for line in lines:
        for name, seal in line_seals(line).items():
            found[name] = (line, seal)
    return found


def line_seals(line: HistoryLine) -> dict[str, str]:
    """Returns nothing when the line's text is not as written: verify.py reports that."""
    try:
        seals = json.loads(line.canonical).get("rows", {})
    except (ValueError, AttributeError):
        return {}
    return seals if isinstance(seals, dict) else {}


def changed_rows(lines: Iterable[HistoryLine]) -> Iterator[tuple[HistoryLine, str]]:
    """Each row of these lines that is not as it was written, with the line that came with it."""
    by_model: dict[str, dict[str, tuple[HistoryLine, str]]] = defaultdict(dict)
    for name, sealed in seals_of(lines).items():
        label, _, public_id = name.partition(":")
        by_model[label][public_id] = sealed
    for label, wanted in by_model.items():
        for ids in _batches(wanted):
            there = _rows(label, ids)
            for public_id in ids:
                line, seal = wanted[public_id]
                if public_id not in there:
                    yield line, f"{label} {public_id} is gone"
                elif row_seal(there[public_id]) != seal:
                    yield line, f"{label} {public_id} was changed"


def _batches(ids: Iterable[str]) -> Iterator[list[str]]:
    left = iter(ids)
    while batch := list(islice(left, BATCH)):
        yield batch


def _rows(label: str, ids: Iterable[str]) -> dict[str, Any]:
    model = next(model for model in sealed_models() if stored_label(model).lower() == label)
    return {row.public_id: row for row in model._base_manager.filter(public_id__in=list(ids))}


def rows_without_line() -> dict[str, int]:
    """How many rows of each kind no history speaks of: older than the fingerprints, or put in
    beside the program."""
    known = set(seals_of(HistoryLine.objects.only("canonical").iterator()))
    found: dict[str, int] = {}
    for model in sealed_models():
        label = stored_label(model).lower()
        ids = model._base_manager.values_list("public_id", flat=True).iterator()
        if count := sum(f"{label}:{public_id}" not in known for public_id in ids):
            found[label] = count
    return found
