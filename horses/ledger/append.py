"""Adds lines to a case's history: append-only, chained, written in the caller's transaction."""

import hashlib
import json
from collections.abc import Iterable
from datetime import UTC, datetime
from typing import Any

from caseboard.lib.logging.request_id import request_id
from horses.access import TEAM_AUDIENCE
from horses.ledger.canonical import canonical_text
from horses.ledger.row_seal import rows_sealed
from horses.models import Case, HistoryLine, Person
from horses.models.base import AppendOnly


def line_hash(prev_hash: str, canonical: str) -> str:
    return hashlib.sha256(f"{prev_hash}\n{canonical}".encode()).hexdigest()


def line_next(
    case: Case,
    *,
    actor: Person | None,
    role: str,
    verb: str,
    now: datetime,
    subject: str = "",
    audience: str = TEAM_AUDIENCE,
    before: dict[str, Any] | None = None,
    after: dict[str, Any] | None = None,
    rows: Iterable[AppendOnly] = (),
) -> HistoryLine:
    """Builds the next line, not saved, and moves the case's end of the chain to it."""
    fields: dict[str, Any] = {
        "case": case.public_id,
        "seq": case.last_seq + 1,
        "at": now.astimezone(UTC).isoformat(),
        "actor": actor.public_id if actor else "",
        "actor_name": str(actor) if actor else "the board",
        "actor_role": role,
        "verb": verb,
        "subject": subject,
        "audience": audience,
        "before": before,
        "after": after,
        "request_id": request_id(),
    }
    if seals := rows_sealed(rows):
        fields["rows"] = seals
    canonical = canonical_text(fields)
    line = HistoryLine(
        case=case,
        seq=fields["seq"],
        at=now,
        actor=actor,
        actor_name=fields["actor_name"],
        actor_role=role,
        verb=verb,
        subject=subject,
        audience=audience,
        before=before,
        after=after,
        request_id=fields["request_id"],
        canonical=canonical,
        prev_hash=case.last_hash,
        line_hash=line_hash(case.last_hash, canonical),
    )
    case.last_seq, case.last_hash = line.seq, line.line_hash
    return line


def history_append(
    *,
    case: Case,
    actor: Person | None,
    role: str,
    verb: str,
    now: datetime,
    subject: str = "",
    audience: str = TEAM_AUDIENCE,
    before: dict[str, Any] | None = None,
    after: dict[str, Any] | None = None,
    rows: Iterable[AppendOnly] = (),
) -> HistoryLine:
    """Adds one line. The case row is locked first, so that the chain never forks.

    `actor` None means the board itself (a rule, a sweep). Must run inside a transaction. Locks are
    taken in the order memberships, horse, case; none of them stops a row that only points at the locked one
    (`no_key`), or two people saving at once would each wait for the other.
    `rows` are all rows kept as written that come with this line: it carries their fingerprints.
    """
    locked = Case.objects.select_for_update(no_key=True).get(pk=case.pk)
    line = line_next(
        locked,
        actor=actor,
        role=role,
        verb=verb,
        now=now,
        subject=subject,
        audience=audience,
        before=before,
        after=after,
        rows=rows,
    )
    line.save()
    Case.objects.filter(pk=locked.pk).update(last_seq=line.seq, last_hash=line.line_hash)
    case.last_seq, case.last_hash = line.seq, line.line_hash
    return line


def content_of(text: str) -> dict[str, Any]:
    """The values that a canonical text was made of."""
    values: dict[str, Any] = json.loads(text)
    return values
