"""Where two judgements part, in words; what each may be off by stands beside the number."""

import math
from collections.abc import Mapping, Sequence
from typing import Any

Told = Mapping[str, Any]  # a judgement as it stands in the golden file

EXACT = 2e-4  # what is not drawn: rounding in the file, and the order of sums on another machine
# Estimates of the code come from 1,200 mirrored draws, those of the reference from the exact laws: as
# shares of the interval's width, the middle and the ends.
MIDDLE_OFF, ENDS_OFF = 0.02, 0.08
CHANCE_OFF = 0.025

# Limits: the root mean square of what looks are off by, as a share of their mean limit, over one foot
# and over all. One from the table is within 2 %; where the table knows no such foot (a toe length),
# one off 2,000 paths is known to about 6 %.
LIMITS_OFF_ONE_FOOT, LIMITS_OFF_ALL = 0.05, 0.02


def parting(golden: Told, found: Told) -> list[str]:
    """Where the same method says something else than it did."""
    return list(_unlike("", golden, found))


def _unlike(where: str, golden: Any, found: Any) -> list[str]:
    if isinstance(golden, Mapping) and isinstance(found, Mapping):
        if list(golden) != list(found):  # the order counts: the likelier edge is named first
            return [f"{where.strip()}: {list(golden)} became {list(found)}"]
        return [
            line for key in golden for line in _unlike(f"{where} {key}", golden[key], found[key])
        ]
    if isinstance(golden, list) and isinstance(found, list) and len(golden) == len(found):
        return [
            line
            for place, (old, new) in enumerate(zip(golden, found, strict=True))
            for line in _unlike(f"{where} {place}", old, new)
        ]
    numbers = isinstance(golden, float | int) and isinstance(found, float | int)
    if golden == found or (numbers and abs(golden - found) <= EXACT):
        return []
    return [f"{where.strip()}: {golden} became {found}"]


def disagreement(code: Told, reference: Told, slack: float = 1.0) -> list[str]:
    """Where code and reference say different things of a foot.

    `slack`: how many times as far as usual what is drawn may be off (many feet have a worst one).
    """
    lines = []
    for name in ("state", "lead", "alarm", "since", "rhythm", "statistics"):
        lines += _unlike(name, code[name], reference[name])
    for key, finding in code["findings"].items():
        other = reference["findings"][key]
        lines += _unlike(f"{key} weights", finding["weights"], other["weights"])
        lines += _unlike(f"{key} doubtful", finding["doubtful"], other["doubtful"])
        for name in ("rate", "change", "level", "growth"):
            lines += _off(f"{key} {name}", finding[name], other[name], slack)
    for moment, edges in code["leaving"].items():
        for edge, leaving in edges.items():
            other = reference["leaving"][moment][edge]
            lines += _leaving_off(f"{moment} {edge}", leaving, other)
    return lines


def _off(
    where: str, code: Sequence[float] | None, reference: Sequence[float] | None, slack: float
) -> list[str]:
    if code is None or reference is None:
        return [] if code is reference else [f"{where}: {code} against {reference}"]
    width = slack * (reference[2] - reference[1])
    allowed = (MIDDLE_OFF, ENDS_OFF, ENDS_OFF)
    if all(
        abs(a - b) <= share * width for a, b, share in zip(code, reference, allowed, strict=True)
    ):
        return []
    return [f"{where}: {code} against {reference}"]


def _leaving_off(where: str, code: Told, reference: Told) -> list[str]:
    lines = [
        f"{where} {name}: {code[name]} against {reference[name]}"
        for name in ("chance", "outside")
        if abs(code[name] - reference[name]) > CHANCE_OFF
    ]
    for day, (first, last) in zip(code["days"], reference["days"], strict=True):
        if not _or_never(first) <= _or_never(day) <= _or_never(last):
            lines.append(f"{where}: day {day} is not in {first} to {last}")
    return lines


def _or_never(day: float | None) -> float:
    return math.inf if day is None else day


def limits_off(
    code: Sequence[float | None], reference: Sequence[float | None]
) -> tuple[float, float, int]:
    """Sum of squared differences, sum of the reference's limits, and how many looks are judged."""
    squares, total, count = 0.0, 0.0, 0
    for ours, theirs in zip(code, reference, strict=True):
        if ours is None or theirs is None:
            assert ours is theirs, "one judges a look that the other does not"
            continue
        squares, total, count = squares + (ours - theirs) ** 2, total + abs(theirs), count + 1
    return squares, total, count


def share_off(squares: float, total: float, count: int) -> float:
    """The root mean square of the differences as a share of the mean limit."""
    return math.sqrt(squares / count) / (total / count) if count else 0.0
