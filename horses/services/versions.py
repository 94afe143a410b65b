"""Two people saving the same row: the second one is told who was first, and with which words."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from caseboard.lib.errors import Conflict
from horses.access import CaseAccess
from horses.models.base import Versioned
from horses.queries.board import last_change


def version_check(
    access: CaseAccess,
    row: Versioned,
    seen: int | None,
    *,
    mine: Mapping[str, Any],
    theirs: Mapping[str, Any],
) -> None:
    """Raises Conflict when the row is no longer the version that was seen. None: not asked.

    The row must be locked by the caller.
    """
    if seen is not None and row.version != seen:
        raise conflict_over(access, row, mine=mine, theirs=theirs)


def conflict_over(
    access: CaseAccess, row: Versioned, *, mine: Mapping[str, Any], theirs: Mapping[str, Any]
) -> Conflict:
    """Says who saved this row last, and when, as far as this person may read it."""
    who, at = last_saved(access, row.public_id)
    return Conflict(mine, theirs, who=who, at=at, version=row.version)


def last_saved(access: CaseAccess, public_id: str) -> tuple[str, datetime | None]:
    line = last_change(access, public_id)
    return (line.actor_name, line.at) if line else ("", None)
