"""What stands beside a row of values: what the vet asks for."""

from collections.abc import Sequence

from horses.models import Person, Role
from measurements.hoof.quantities import Moment
from measurements.panels.offered import foot_words
from measurements.panels.visit_set import AFTER, BEFORE, Row
from measurements.queries.numbers import Numbers
from measurements.verdicts.bands import band_edges
from measurements.wording import band_range_words, shown_unit


def asked_words(numbers: Numbers, row: Row, feet: Sequence[str], person: Person) -> str:
    """ "the vet asks, left fore: 50 to 54°"; "" where none of these feet is asked for."""
    unit = shown_unit(row.quantity, person.length_unit)
    said: dict[str, list[str]] = {}
    for foot in feet:
        for target in numbers.targets.get((foot, row.quantity), ()):
            moment = BEFORE if target.moment == Moment.END_OF_CYCLE else AFTER
            if target.set_role == Role.VET and moment == row.moment:
                band = band_range_words(row.quantity, *band_edges(target), unit)
                said.setdefault(band, []).append(foot_words(foot, person.side_words))
    lines = [f"{' and '.join(names)} {band}" for band, names in said.items()]
    return f"asked for by the vet: {', '.join(lines)}" if lines else ""
