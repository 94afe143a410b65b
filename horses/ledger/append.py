"""Adds lines to a case's history: append-only, chained, written in the caller's transaction."""

import hashlib
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from caseboard.lib.logging.request_id import request_id
from horses.access import TEAM_AUDIENCE
from horses.ledger.canonical import canonical_text
from horses.ledger.row_seal import rows_sealed
from horses.models import Case, HistoryLine, Person
from horses.models.base import AppendOnly


@dataclass(frozen=True)
class Told:
    """What one line says, and the rows kept as written that come with it: it carries their
    fingerprints."""

    verb: str
    subject: str = ""
    audience: str = TEAM_AUDIENCE
    before: dict[str, Any] | None = None
    after: dict[str, Any] | None = None
    rows: Iterable[AppendOnly] = ()


def line_hash(prev_hash: str, canonical: str) -> str:
    return hashlib.sha256(f"{prev_hash}\n{canonical}".encode()).hexdigest()


def line_next(
    case: Case, told: Told, *, actor: Person | None, role: str, now: datetime
) -> HistoryLine:
    """Builds the next line, not saved, and moves the case's end of the chain to it."""
    fields: dict[str, Any] = {
        "case": case.public_id,
        "seq": case.last_seq + 1,
        "at": now.astimezone(UTC).isoformat(),
        "actor": actor.public_id if actor else "",
        "actor_name": str(actor) if actor else "the board",
        "actor_role": role,
        "verb": told.verb,
        "subject": told.subject,
        "audience": told.audience,
        "before": told.before,
        "after": told.after,
        "request_id": request_id(),
    }
    if seals := rows_sealed(told.rows):
        fields["rows"] = seals
    canonical = canonical_text(fields)
    line = HistoryLine(
        case=case,
        seq=fields["seq"],
        at=now,
        actor=actor,
        actor_name=fields["actor_name"],
        actor_role=role,
        verb=told.verb,
        subject=told.subject,
        audience=told.audience,
        before=told.before,
        after=told.after,
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
    """Adds one line: `history_extend` says how."""
    told = Told(verb, subject, audience, before, after, rows)
    return history_extend(case=case, actor=actor, role=role, told=[told], now=now)[0]


def history_extend(
    *, case: Case, actor: Person | None, role: str, told: Sequence[Told], now: datetime
) -> list[HistoryLine]:
    """Adds lines in one go. The case row is locked first, so that the chain never forks.

    `actor` None means the board itself (a rule, a sweep). Must run inside a transaction. Locks are
    taken in the order memberships, horse, case; none of them stops a row that only points at the locked one
    (`no_key`), or two people saving at once would each wait for the other.
    """
    row = Case.objects.select_for_update(no_key=True).filter(pk=case.pk)
    case.last_seq, case.last_hash = row.values_list("last_seq", "last_hash").get()
    lines = [line_next(case, words, actor=actor, role=role, now=now) for words in told]
    HistoryLine.objects.bulk_create(lines)
    Case.objects.filter(pk=case.pk).update(last_seq=case.last_seq, last_hash=case.last_hash)
    return lines


def content_of(text: str) -> dict[str, Any]:
    """The values that a canonical text was made of."""
    values: dict[str, Any] = json.loads(text)
    return values
