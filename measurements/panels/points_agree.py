"""How well two people agree on pictures, in words."""

from dataclasses import dataclass
from typing import cast

from caseboard.lib.spans import counted
from measurements.hoof.points import value_label
from measurements.hoof.units import Unit, format_value
from measurements.panels.points_words import length_in
from measurements.queries.points_agreement import PairAgrees

FEW = 3  # under this there are no limits of agreement: see measurements/hoof/repeats.py


@dataclass(frozen=True)
class AgreeShown:
    label: str
    words: str


def agree_shown(pairs: list[PairAgrees], length_unit: str) -> list[AgreeShown]:
    """One sentence where several values have the same to say, as while pictures are few."""
    labels: dict[str, list[str]] = {}
    for pair in pairs:
        labels.setdefault(_words(pair, length_unit), []).append(value_label(pair.key))
    return [AgreeShown(", ".join(of), words) for words, of in labels.items()]


def _words(pair: PairAgrees, length_unit: str) -> str:
    bias, of = pair.of.bias, pair.of.icc
    both = f"{pair.first_name} and {pair.second_name}"
    on = f"on {counted(bias.days, 'picture')}"
    if bias.agreement_low is None or bias.agreement_high is None:
        return f"{both} {on}: too few to say how well they agree ({FEW} are needed)."
    low, high = (
        _in_unit(pair.key, edge, length_unit) for edge in (bias.agreement_low, bias.agreement_high)
    )
    words = (
        f"{both} {on}: what the first says less what the second says lies between {low} and {high} "
        "in 95 of 100 pictures"
    )
    if of is None:
        return f"{words}."
    within = f" ({of.low95:.2f} to {of.high95:.2f})" if of.low95 is not None else ""
    return f"{words}. Agreement index (ICC) {of.value:.2f}{within}; 1 is the same."


def _in_unit(key: str, value: float, length_unit: str) -> str:
    angle = key.endswith(("_angle", "_slope", "_line", "_bone")) or "_less_" in key
    unit = "deg" if angle else length_in(key, length_unit)
    return format_value(value, "deg" if angle else "mm", cast(Unit, unit), 1)
