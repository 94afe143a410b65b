"""What is reckoned from points, in words: each value with its give or take, or why there is none."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import cast

from measurements.hoof.pictures.measured import Measured, Refused, Results
from measurements.hoof.points import ViewAsked, value_label
from measurements.hoof.quantities import QUANTITIES, Z_95_TWO_SIDED
from measurements.hoof.units import Unit, format_value

# Where figures of pictures stand. Each sentence is true of what was tried and known in 2026.
TRIED = (
    "Not tried on real photographs of feet with a card: how far a value may be off is reckoned and "
    "simulated."
)
KNOWN = (
    "Of photographs of feet it is known that two people agree well on them (White et al., Equine "
    "Vet J 2008;40:623-628: agreement indices of at least .89), and that angles taken in different "
    "ways are not interchangeable (J Equine Vet Sci 2023;121:104195)."
)


@dataclass(frozen=True)
class ValueShown:
    """One value as shown: `words` "49.3°", `give` "1.3°"; or `why` there is none."""

    key: str
    label: str
    words: str = ""
    give: str = ""
    why: str = ""
    waits_for: str = ""  # "points 5 and 6": those still to be placed

    @property
    def has_value(self) -> bool:
        return bool(self.words)


def values_shown(
    results: Results, asked: ViewAsked, placed: Mapping[str, object], length_unit: str
) -> list[ValueShown]:
    """The values of a view in their order, as far as its points are placed."""
    shown = []
    for key in asked.values:
        if key not in results:
            continue
        found = results[key]
        label = value_label(key)
        if isinstance(found, Measured):
            words, give = value_give(key, found, length_unit)
            shown.append(ValueShown(key, label, words, give))
        elif waits := _waits_for(asked, key, placed):
            shown.append(ValueShown(key, label, waits_for=waits))
        else:
            shown.append(ValueShown(key, label, why=found.reason))
    return shown


def value_give(key: str, found: Measured, length_unit: str) -> tuple[str, str]:
    """ "49.3°" and "1.3°": the value, and what it may be off by in 95 of 100 such pictures."""
    unit = "deg" if found.unit == "deg" else _length_unit(key, length_unit)
    decimals = 1 if found.unit == "deg" else 0
    value = format_value(found.value, found.unit, cast(Unit, unit), decimals)
    off = Z_95_TWO_SIDED * found.sd
    return value, format_value(off, found.unit, cast(Unit, unit), decimals if off >= 1 else 1)


def _length_unit(key: str, length_unit: str) -> str:
    """Lengths of the whole foot as the person has them; what is small on it in mm beside cm."""
    in_person = key in QUANTITIES and key != "sole_depth"
    return length_unit if in_person or length_unit == "in" else "mm"


def result_line(key: str, found: Measured) -> str:
    """ "toe angle 49.3°, give or take 1.3°", in the base unit, for the history."""
    value, give = value_give(key, found, "mm")
    return f"{value_label(key)} {value}, give or take {give}"


def _waits_for(asked: ViewAsked, key: str, placed: Mapping[str, object]) -> str:
    wanting = [
        str(number)
        for number, point in enumerate(asked.points, start=1)
        if point.name in asked.needs.get(key, ()) and point.name not in placed
    ]
    if not wanting:
        return ""
    listed = " and ".join(filter(None, (", ".join(wanting[:-1]), wanting[-1])))
    return f"{'point' if len(wanting) == 1 else 'points'} {listed}"


def why_of(results: Results) -> list[str]:
    """Each reason once."""
    return list(dict.fromkeys(f.reason for f in results.values() if isinstance(f, Refused)))
