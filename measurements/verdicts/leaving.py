"""When a level leaves its band if nothing changes: the most likely time, the range, the chances."""

from dataclasses import dataclass
from datetime import date

from measurements.wording import about_when

# A chance under this is not worth a sentence, and one over its opposite is taken as sure. House
# default: one in twenty.
WORTH_SAYING = 0.05


@dataclass(frozen=True)
class Leaving:
    """The days of a level that leaves its band. `latest_on` is None when it may well not leave.

    `out_already`, `stays`: the chances that it is out now, and that it stays inside for two
    years; None where only a line is known.
    """

    earliest_on: date
    likely_on: date
    latest_on: date | None
    out_already: float | None = None
    stays: float | None = None


def in_ten(chance: float) -> str:
    """ "about 4 in 10"; never none or all of them, for nothing here is sure."""
    return f"about {min(9, max(1, round(chance * 10)))} in 10"


def leaving_sentences(band: str, leaving: Leaving, today: date) -> str:
    """ "If it goes on, it leaves the vet's band ..., most likely in late January (between ...)." """
    likely = _likely(leaving.likely_on, today)
    words = (
        f"If it goes on, it leaves {band}, most likely {likely}{_range(leaving, likely, today)}."
    )
    return f"{words}{_already(leaving, today)}{_stays(leaving)}"


def _likely(day: date, today: date) -> str:
    """A level just after the trim is seen to be out at the next trim, not in between."""
    return "by the next trim" if day <= today else f"in {about_when(day, today)}"


def _range(leaving: Leaving, likely: str, today: date) -> str:
    first = about_when(leaving.earliest_on, today) if leaving.earliest_on > today else ""
    last = about_when(leaving.latest_on, today) if leaving.latest_on else ""
    if first and last:
        return "" if first == last else f" (between {first} and {last})"
    if first:
        return "" if likely == f"in {first}" else f" and hardly before {first}"
    return f" and hardly later than {last}" if last else ""


def _already(leaving: Leaving, today: date) -> str:
    if leaving.earliest_on > today:
        return ""
    if leaving.out_already is None:
        return " It may have left it already."
    if leaving.out_already < WORTH_SAYING:
        return ""
    return f" It may have left it already: {in_ten(leaving.out_already)}."


def _stays(leaving: Leaving) -> str:
    if leaving.stays is None:
        return "" if leaving.latest_on else " It may also stay inside for two years."
    if leaving.stays < WORTH_SAYING:
        return ""
    return f" It may also stay inside for two years: {in_ten(leaving.stays)}."
