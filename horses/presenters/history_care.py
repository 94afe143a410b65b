"""The sentences of the horse's care: lost shoes, examinations, visits, measurements."""

from caseboard.lib.spans import counted
from horses.domain.wording import foot_words, listed, sentence_case
from horses.models import HistoryLine
from horses.presenters.changed_words import changed_words, reading_told
from horses.presenters.history_pieces import Fields, HistorySentence, Teller, day_of, text_of

SCALES = {"aaep": "AAEP 0 to 5", "ten": "0 to 10"}


def shoe_back_told(line: HistoryLine, a: Fields) -> HistorySentence:
    feet = listed(foot_words(foot) for foot in a.get("feet") or []) or "the foot"
    became = {
        "back": "the shoe is back on",
        "new": "a new shoe is on",
        "off": "the shoe stays off for now",
        "visit": "the lost shoe was seen to",
    }.get(str(a.get("kind")), "what became of the shoe")
    return HistorySentence(
        f"wrote down that {became}, {feet}, {day_of(a.get('on'))}", text_of(a.get("words"))
    )


def stand_in_told(line: HistoryLine, a: Fields) -> HistorySentence:
    names = listed(a.get("stand_ins") or [])
    whom = f"asked {names}" if names else "found nobody who stands in"
    feet = listed(foot_words(foot) for foot in a.get("feet") or [])
    return HistorySentence(f"{whom}, as no answer came about the lost shoe ({feet})")


def look_told(line: HistoryLine, a: Fields) -> HistorySentence:
    others = int(a.get("together") or 1) - 1
    if not others:
        return HistorySentence("looked at the horse and saw nothing")
    return HistorySentence(
        f"looked over the horses and saw nothing (marked together with {counted(others, 'other')})"
    )


def exam_told(line: HistoryLine, a: Fields) -> HistorySentence:
    scale, _, grade = str(a.get("grade") or "").partition(" ")
    graded = f", grade {grade} on the {SCALES.get(scale, scale)} scale" if grade else ""
    feet = listed(foot_words(foot) for foot in a.get("feet") or [])
    looked = f", {feet} looked at" if feet else ""
    return HistorySentence(f"recorded an examination{graded}{looked}", text_of(a.get("words")))


def visit_kept_told(line: HistoryLine, a: Fields) -> HistorySentence:
    work = a.get("work") or {}
    details = tuple(f"{sentence_case(foot_words(foot))}: {done}" for foot, done in work.items())
    if said := a.get("reported"):
        details += (f"{said.get('by')} had reported it, of {day_of(said.get('on'))}.",)
    return HistorySentence(
        f"wrote up the visit of {day_of(a.get('on'))}", text_of(a.get("words")), details=details
    )


def visit_reported_told(line: HistoryLine, a: Fields) -> HistorySentence:
    who = a.get("who") or ("the vet" if a.get("kind") == "vet" else "the farrier")
    done = "" if a.get("kind") == "vet" else ": trimmed, shoes as before"
    return HistorySentence(
        f"reported that {who} was here on {day_of(a.get('on'))}{done}", text_of(a.get("words"))
    )


def visit_unsaid_told(line: HistoryLine, a: Fields) -> HistorySentence:
    said = line.before or {}
    what = "did not take place" if said.get("said") == "not" else "took place"
    return HistorySentence(
        f"took back the word of {said.get('by')} that the visit of {day_of(said.get('on'))} {what}",
        text_of(a.get("reason")),
    )


def visit_voided_told(line: HistoryLine, a: Fields) -> HistorySentence:
    items = listed(f"item {number}" for number in a.get("items") or [])
    details = (f"What it said of plan {items} does not count any more.",) if items else ()
    by = (line.before or {}).get("by")
    whose = f", written up by {by}" if by else ""
    return HistorySentence(
        f"took back the visit of {day_of(a.get('on'))}{whose}",
        text_of(a.get("reason")),
        details=details,
    )


def corrected(what: str) -> Teller:
    """Which day it was of, why, and each thing that changed."""

    def tell(line: HistoryLine, a: Fields) -> HistorySentence:
        details = tuple(changed_words(text) for text in a.get("changes") or [])
        day = day_of((line.before or {}).get("on"))
        return HistorySentence(
            f"corrected {what.format(day=day)}", text_of(a.get("reason")), details=details
        )

    return tell


def readings_voided_told(line: HistoryLine, a: Fields) -> HistorySentence:
    readings = a.get("readings") or []
    words = (
        f"took {counted(len(readings), 'measurement')} of {day_of(a.get('on'))} off their series"
    )
    return HistorySentence(
        words, details=tuple(sentence_case(reading_told(text)) for text in readings)
    )


def stance_told(line: HistoryLine, a: Fields) -> HistorySentence:
    feet = a.get("feet") or {}
    details = tuple(f"{sentence_case(foot_words(foot))}: {how}" for foot, how in feet.items())
    return HistorySentence(
        f"noted on {day_of(a.get('on'))} how the feet point",
        text_of(a.get("words")),
        details=details,
    )


def visit_moved_told(line: HistoryLine, a: Fields) -> HistorySentence:
    before = line.before or {}
    was = f"{day_of(before['on'])}{at_clock(before)}" if before.get("on") else ""
    words = f"moved the {which_visit(a)} to {day_of(a.get('on'))}{at_clock(a)}{who_comes(a)}"
    return HistorySentence(words, text_of(a.get("words")), was=was)


def which_visit(a: Fields) -> str:
    return "vet visit" if a.get("kind") == "vet" else "next visit"


def at_clock(a: Fields) -> str:
    return f" at {a['at']}" if a.get("at") else ""


def who_comes(a: Fields) -> str:
    return f", {a['who']} is to come" if a.get("who") else ""


def readings_told(line: HistoryLine, a: Fields) -> HistorySentence:
    readings = a.get("readings") or []
    did = "read in from a table" if a.get("source") == "import" else "recorded"
    words = f"{did} {counted(len(readings), 'measurement')} of {day_of(a.get('on'))}"
    return HistorySentence(
        words, details=tuple(sentence_case(reading_told(text)) for text in readings)
    )


def reading_corrected_told(line: HistoryLine, a: Fields) -> HistorySentence:
    was = reading_told(text_of((line.before or {}).get("value")))
    value = reading_told(text_of(a.get("value")))
    words = f"corrected a measurement to {value}"
    if value == "taken off the series":
        words = "took a measurement off the series"
    return HistorySentence(words, text_of(a.get("reason")), was=was)


def _beside_others(a: Fields) -> str:
    """Lines of before said that there were points, and not whether they had been seen."""
    if a.get("others"):
        seen = "without seeing" if a.get("blind") else "after seeing"
        return f", {seen} those of others"
    return ", which had points before" if a.get("again") else ""


def points_placed_told(line: HistoryLine, a: Fields) -> HistorySentence:
    foot = f" of the {foot_words(a['foot'])}" if a.get("foot") else ""
    words = f"placed points on the picture{foot} of {day_of(a.get('taken_on'))}{_beside_others(a)}"
    if a.get("card_by_hand"):
        words += "; the card placed by hand"
    return HistorySentence(
        words, details=tuple(sentence_case(text) for text in a.get("values") or ())
    )
