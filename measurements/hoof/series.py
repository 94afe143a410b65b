"""One reading as the series mathematics see it: numbers only, no dates, no people's names."""

import math
from dataclasses import dataclass

from measurements.hoof.errors import HoofError
from measurements.hoof.quantities import Method, Shoeing, TrimState


class UnusableReading(HoofError):
    """A reading whose numbers cannot enter a calculation (not finite, negative time or error)."""


@dataclass(frozen=True)
class SeriesReading:
    """One reading of one quantity on one foot.

    `at_days`: days from any fixed origin, the same for the whole series.
    `value`, `sd`: the value and its error SD (> 0), base unit of the quantity.
    `trim_index`: which trim the foot stands on, counted from any number, rising by one per trim.
    A reading before trim 3 and the reading after trim 2 share index 2.
    `days_since_trim`: days (>= 0) since that trim; 0 for a reading just after it.
    `by`: an opaque key of the person who measured. `key`: an opaque key of the reading itself.
    Raises `UnusableReading`.
    """

    at_days: float
    value: float
    sd: float
    trim_index: int
    days_since_trim: float
    trim_state: TrimState
    shoeing: Shoeing
    method: Method
    by: str
    key: str = ""

    def __post_init__(self) -> None:
        numbers = (self.at_days, self.value, self.sd, self.days_since_trim)
        if not all(math.isfinite(number) for number in numbers):
            raise UnusableReading("A reading needs a real value, date and measuring error.")
        if self.sd <= 0:
            raise UnusableReading("A measuring error must be more than zero.")
        if self.days_since_trim < 0:
            raise UnusableReading("A reading cannot be taken before the trim it counts from.")
