"""A warning of the plan in fewer letters, without losing what it forbids. Pure."""

import re

from caseboard.sheets.plan_kept import cut
from horses.domain.cut_items import FORBIDS

LEAST_PART = 8  # letters of a part that is cut itself; fewer say nothing. House default
_CLAUSE = re.compile(r"(?<=[.,;:!?])\s+")
_NOT_AGREED = re.compile(r"\s*\(Not agreed yet\.\)$")


def warning_cut(text: str, limit: int) -> str:
    """At most `limit` letters. The parts that forbid something stay, the others as long as there is
    room, in their order; "…" stands where some were left out.

    "Both fronts alike: rolled toe, heels covered. No wedges." must not end before its last words.
    """
    if len(text) <= limit:
        return text
    clauses = _CLAUSE.split(_NOT_AGREED.sub("", text))
    kept = {n for n, clause in enumerate(clauses) if FORBIDS.search(clause)}
    if not kept:
        return cut(text, limit)
    for number in range(len(clauses)):
        if len(_joined(clauses, kept | {number})) <= limit:
            kept.add(number)
    words = _with_a_part(clauses, kept, limit)
    return cut(words if len(words) <= limit else words.removeprefix("… "), limit)


def _with_a_part(clauses: list[str], kept: set[int], limit: int) -> str:
    """With as much as there is room for of the first part that was left out."""
    gone = next((n for n in range(len(clauses)) if n not in kept), None)
    if gone is not None:
        for letters in range(len(clauses[gone]) - 1, LEAST_PART - 1, -1):
            part = cut(clauses[gone], letters)
            words = _joined([*clauses[:gone], part, *clauses[gone + 1 :]], kept | {gone})
            if len(words) <= limit:
                return words
    return _joined(clauses, kept)


def _joined(clauses: list[str], kept: set[int]) -> str:
    words: list[str] = []
    for number, clause in enumerate(clauses):
        if number in kept:
            words.append(clause)
        elif not words or not words[-1].endswith("…"):
            words.append("…")
    return " ".join(words)
