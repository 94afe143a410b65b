"""What is reckoned from points, in words: each value with its give or take, or why there is none."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import cast

from caseboard.lib.words import listed
from measurements.hoof.pictures import film
from measurements.hoof.pictures.measured import Measured, Results
from measurements.hoof.points import DIFFERENCES, READING_OF, ViewAsked, value_label
from measurements.hoof.quantities import Z_95_TWO_SIDED
from measurements.hoof.units import Unit, format_value
from measurements.wording import shown_unit

# What a film shows is said as it was reckoned, however small: a foot taken askew hides some of it.
ON_FILMS = frozenset({*film.SIDE_NEEDED, *film.FRONT_NEEDED})


@dataclass(frozen=True)
class ValueShown:
    """One value as shown: `words` "49.3°" and `give` "1.3°", or what it waits for."""

    key: str
    label: str
    words: str = ""
    give: str = ""
    waits_for: str = ""  # "points 5 and 6": those still to be placed
    reading: str = ""  # the quantity that it may be written down as

    @property
    def number(self) -> str:
        """The value alone, as it is typed into a form: "49.3"."""
        return self.words.partition(" ")[0].removesuffix("°")

    @property
    def has_value(self) -> bool:
        return bool(self.words)


@dataclass(frozen=True)
class ValuesShown:
    """The values of a view in their order, and what cannot be reckoned, each reason once."""

    shown: list[ValueShown]
    refused: list[str]


def values_shown(
    results: Results, asked: ViewAsked, placed: Mapping[str, object], length_unit: str
) -> ValuesShown:
    """As far as the points are placed; what only rests on points that may be left out is not missed."""
    shown: list[ValueShown] = []
    reasons: dict[str, list[str]] = {}
    for key in asked.values:
        found = results.get(key)
        if isinstance(found, Measured):
            words, give = value_give(key, found, length_unit)
            reading = READING_OF.get(key, "")
            label = _label(key, found)
            shown.append(ValueShown(key, label, words, give, reading=reading))
        elif found is not None and (wanting := _wanting(asked, key, placed)):
            if set(wanting) & set(asked.needed):
                shown.append(ValueShown(key, value_label(key), waits_for=_numbers(asked, wanting)))
        elif found is not None:
            reasons.setdefault(found.reason, []).append(value_label(key))
    return ValuesShown(shown, [_refused(labels, why) for why, labels in reasons.items()])


def _refused(labels: list[str], why: str) -> str:
    return f"No {listed(labels)}: {why[:1].lower()}{why[1:]}"


def value_give(key: str, found: Measured, length_unit: str) -> tuple[str, str]:
    """ "49.3°" and "1.3°": the value, and what it may be off by in 95 of 100 such pictures."""
    unit = "deg" if found.unit == "deg" else length_in(key, length_unit)
    decimals = 1 if found.unit == "deg" else 0
    off = Z_95_TWO_SIDED * found.sd
    size = abs(found.value) if key in DIFFERENCES else found.value
    value = format_value(size, found.unit, cast(Unit, unit), decimals)
    if _is_hidden(key, found):
        value = "none seen"
    return value, format_value(off, found.unit, cast(Unit, unit), decimals if off >= 1 else 1)


def _is_hidden(key: str, found: Measured) -> bool:
    """A difference on a photograph that is no more than its error."""
    within = abs(found.value) <= Z_95_TWO_SIDED * found.sd
    return key in DIFFERENCES and within and key not in ON_FILMS


def _label(key: str, found: Measured) -> str:
    return value_label(key, 0.0 if _is_hidden(key, found) else found.value)


def length_in(key: str, length_unit: str) -> str:
    """Lengths of the whole foot as the person has them; what is small on it in mm beside cm."""
    if key in READING_OF:
        return shown_unit(READING_OF[key], length_unit)
    return length_unit if length_unit == "in" else "mm"


def result_line(key: str, found: Measured) -> str:
    """ "toe angle 49.3°, give or take 1.3°", in the base unit, for the history."""
    value, give = value_give(key, found, "mm")
    return f"{_label(key, found)} {value}, give or take {give}"


def _wanting(asked: ViewAsked, key: str, placed: Mapping[str, object]) -> list[str]:
    return [name for name in asked.needs[key] if name not in placed]


def _numbers(asked: ViewAsked, wanting: list[str]) -> str:
    """ "points 5 and 6"."""
    numbers = [str(n) for n, name in enumerate(asked.names, start=1) if name in wanting]
    return f"{'point' if len(numbers) == 1 else 'points'} {listed(numbers)}"
