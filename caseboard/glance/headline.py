"""An alert in one plain sentence, from the numbers it was raised with; its page says the rest."""

from collections.abc import Callable, Mapping
from datetime import date, timedelta
from typing import Any, TypeVar

from caseboard.case_words import feet_of
from caseboard.lib.spans import days_words
from horses.domain.wording import foot_words, sentence_case
from horses.models import Alert
from measurements.verdicts.words import DAYS_A_YEAR, LIKELY_ENOUGH, finding_of
from measurements.wording import size_words, value_words

Evidence = Mapping[str, Any]
# A month that is this one or the next says less than "about to". House default.
SOON = timedelta(days=35)
# What the foot does, by the quantity that shows it and whether its angle falls.
MOVES = {
    ("toe_angle", True): "the toe is creeping forward",
    ("toe_angle", False): "the toe is getting steeper",
    ("heel_angle", True): "the heel is getting lower",
    ("heel_angle", False): "the heel is getting steeper",
}


# What evidence raises that an earlier version wrote: a board is read whatever it holds.
OF_EARLIER = (LookupError, TypeError, ValueError, ArithmeticError, AttributeError)
T = TypeVar("T")


def _told(say: Callable[[], T], instead: T) -> T:
    try:
        return say()
    except OF_EARLIER:
        return instead


def headline(alert: Alert) -> str:
    """One sentence without its full stop: "Left fore: the toe is creeping forward, about 4° in a
    year". Where the evidence is of an earlier version, the alert's own title."""
    say = _SAY.get(alert.rule, _SAY_OF_KIND.get(alert.rule.split(".")[0], _title))
    return _told(lambda: say(alert, alert.now_evidence or alert.evidence), alert.title)


def aside(alert: Alert) -> str:
    """Of when it is, where that is not today: a film, a grade."""
    return _told(lambda: _aside(alert, alert.now_evidence or alert.evidence), "")


def _aside(alert: Alert, evidence: Evidence) -> str:
    if alert.rule == "foot.drift":
        return _leaves(evidence, (alert.now_at or alert.raised_at).date())
    if alert.rule.startswith("lameness.") and "seen_on" in evidence:
        return f"seen {date.fromisoformat(evidence['seen_on']):%-d %b %Y}"
    if alert.danger and alert.rule.startswith("shape.") and evidence.get("readings"):
        return f"film of {_day(evidence['readings'][0]):%-d %b %Y}"
    return ""


def _leaves(evidence: Evidence, seen_on: date) -> str:
    """When a band is likely left that holds the foot today: beside "inside the band" no riddle."""
    likely = [
        date.fromisoformat(found["likely_on"])
        for found in evidence.get("forecasts", ())
        if found.get("likely_on")
        and found.get("chance", 0.0) > LIKELY_ENOUGH >= found.get("outside_chance", 1.0)
    ]
    if not likely:
        return ""
    if min(likely) - seen_on < SOON:
        return "about to leave the aim"
    return f"leaves the aim about {min(likely):%B %Y}"


def rate_a_year(alert: Alert) -> tuple[str, float] | None:
    """The leading quantity of a slow change and what it would come to in a year at today's pace;
    None where it may as well be nothing."""
    return _told(lambda: _rate_a_year(alert, alert.now_evidence or alert.evidence), None)


def _rate_a_year(alert: Alert, result: Evidence) -> tuple[str, float] | None:
    if alert.rule != "foot.drift" or not result.get("interval_days"):
        return None
    finding = finding_of(result, result["lead"])
    if finding is None or not finding["rate_per_visit"]:
        return None
    rate, low, high = finding["rate_per_visit"]
    if low <= 0 <= high:
        return None
    return result["lead"], rate * DAYS_A_YEAR / result["interval_days"]


def move_words(alert: Alert) -> str:
    """Which way a slow change goes: "the toe is creeping forward"; else nothing."""
    found = rate_a_year(alert)
    return MOVES.get((found[0], found[1] < 0), "") if found else ""


def yearly_words(quantity: str, yearly: float) -> str:
    """ "4.5°", to half a degree; never "0°" of what moves."""
    halves = round(abs(yearly) * 2)
    return size_words(quantity, halves / 2) if halves else f"under {size_words(quantity, 0.5)}"


def change_at_once(alert: Alert) -> tuple[str, float] | None:
    """The leading quantity of a change at one trim, and its size."""
    return _told(lambda: _change_at_once(alert, alert.now_evidence or alert.evidence), None)


def _change_at_once(alert: Alert, result: Evidence) -> tuple[str, float] | None:
    if alert.rule != "foot.step":
        return None
    finding = finding_of(result, result["lead"])
    if finding is None or not finding["change"]:
        return None
    return result["lead"], float(finding["change"][0])


def _title(alert: Alert, _: Evidence) -> str:
    return alert.title


def _foot(alert: Alert, words: str) -> str:
    return f"{sentence_case(foot_words(feet_of(alert)[0]))}: {words}"


def _drift(alert: Alert, _: Evidence) -> str:
    found, moves = rate_a_year(alert), move_words(alert)
    if found is None or not moves:
        return alert.title
    size = yearly_words(*found)
    about = size if size.startswith("under") else f"about {size}"
    return _foot(alert, f"{moves}, {about} in a year")


def _step(alert: Alert, evidence: Evidence) -> str:
    found = change_at_once(alert)
    if found is None:
        return alert.title
    quantity, change = found
    name = "toe angle" if quantity == "toe_angle" else "heel angle"
    way = "lower" if change < 0 else "higher"
    on = date.fromisoformat(evidence["since_on"])
    return _foot(alert, f"{name} {size_words(quantity, change)} {way} since {on:%-d %b %Y}")


def _jump(alert: Alert, evidence: Evidence) -> str:
    first, second = evidence["readings"][:2]
    quantity = evidence["quantity"]
    was, now = (value_words(quantity, one["value"]) for one in (first, second))
    days = (_day(second) - _day(first)).days
    span = f"{days_words(days)} later" if days else "the same day"
    return _foot(alert, f"{quantity.replace('_', ' ')} {was}, {span} {now}")


def _outside(alert: Alert, evidence: Evidence) -> str:
    quantity = evidence["quantity"]
    name = quantity.replace("_", " ")
    way = "under" if evidence["side"] == "low" else "over"
    return _foot(alert, f"{name} {size_words(quantity, evidence['past_edge'])} {way} the aim")


def _thin_sole(alert: Alert, evidence: Evidence) -> str:
    depth = evidence["finding"]["evidence"]["sole_depth_mm"]
    return _foot(alert, f"thin sole, {depth:.0f} mm")


def _bone(alert: Alert, evidence: Evidence) -> str:
    angle = evidence["finding"]["evidence"]["palmar_angle_deg"]
    level = "below level" if angle < 0 else "too steep"
    size = value_words("palmar_angle", angle).replace("-", "−")
    return _foot(alert, f"coffin bone {level}, {size}")


def _axis(alert: Alert, evidence: Evidence) -> str:
    way = "forward" if alert.rule == "shape.broken_forward_axis" else "back"
    return _foot(
        alert, f"hoof and pastern broken {way}, {size_words('toe_angle', _size(evidence))}"
    )


def _uneven_pair(alert: Alert, evidence: Evidence) -> str:
    pair = "Front" if feet_of(alert)[0].endswith("F") else "Hind"
    return f"{pair} feet: toe angles {size_words('toe_angle', _size(evidence))} apart"


def _lame(alert: Alert, evidence: Evidence) -> str:
    scale = "of 5" if "5" in evidence["scale"] else "of 10"
    before = evidence.get("grade_before")
    rose = f", up from {before}" if before is not None else ""
    return f"Lame, grade {evidence['grade']} {scale}{rose}"


def _size(evidence: Evidence) -> float:
    return float(evidence["finding"]["size"])


def _day(reading: Mapping[str, Any]) -> date:
    return date.fromisoformat(reading["taken_on"])


Say = Callable[[Alert, Evidence], str]
_SAY: dict[str, Say] = {
    "foot.drift": _drift,
    "foot.step": _step,
    "reading.jump": _jump,
    "band.outside": _outside,
    "shape.thin_sole": _thin_sole,
    "shape.negative_palmar_angle": _bone,
    "shape.steep_palmar_angle": _bone,
    "shape.broken_back_axis": _axis,
    "shape.broken_forward_axis": _axis,
    "shape.uneven_pair": _uneven_pair,
}
_SAY_OF_KIND: dict[str, Say] = {"lameness": _lame}
