"""Checks a case's history chain, and the rows that came with its lines, against what is stored."""

from collections.abc import Iterator
from datetime import UTC

from horses.ledger.append import line_hash
from horses.ledger.canonical import canonical_text
from horses.ledger.verify_rows import changed_rows, line_seals
from horses.models import Case, HistoryLine


def broken_lines(case: Case) -> Iterator[tuple[int, str]]:
    """Yields (sequence number, what is wrong) for every line that does not fit; none: intact."""
    case = Case.objects.get(pk=case.pk)
    prev_hash, expected = "", 1
    lines = list(HistoryLine.objects.filter(case=case).select_related("actor").order_by("seq"))
    for line in lines:
        if line.seq != expected:
            yield line.seq, f"line {expected} is missing"
        if line.prev_hash != prev_hash:
            yield line.seq, "does not follow from the line before it"
        if line.line_hash != line_hash(line.prev_hash, line.canonical):
            yield line.seq, "its text was changed"
        if line.canonical != canonical_text(_stored_fields(case, line)):
            yield line.seq, "its columns were changed"
        prev_hash, expected = line.line_hash, line.seq + 1
    if (case.last_seq, case.last_hash) != (expected - 1, prev_hash):
        yield case.last_seq, "the end of the chain is not where the case says it is"
    for line, what in changed_rows(lines):
        yield line.seq, what


def _stored_fields(case: Case, line: HistoryLine) -> dict[str, object]:
    seals = line_seals(line)  # under the hash of the text itself: no column repeats them
    return {
        **({"rows": seals} if seals else {}),
        "case": case.public_id,
        "seq": line.seq,
        "at": line.at.astimezone(UTC).isoformat(),
        "actor": line.actor.public_id if line.actor else "",
        "actor_name": line.actor_name,
        "actor_role": line.actor_role,
        "verb": line.verb,
        "subject": line.subject,
        "audience": line.audience,
        "before": line.before,
        "after": line.after,
        "request_id": line.request_id,
    }
