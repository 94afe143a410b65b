"""Every history line as a plain sentence: one entry a verb, filled from what the line keeps.

A line outlives what it tells of, so a sentence is made of the line's own words alone, and no line
is too old or too odd to be told.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any

from caseboard.lib.spans import counted
from horses.domain.wording import ROLES, day_words, foot_words, listed, readers_short, sentence_case
from horses.models import HistoryLine
from horses.presenters.changed_words import changed_words, reading_told
from horses.presenters.history_sides import told_to

Fields = dict[str, Any]
SCALES = {"aaep": "AAEP 0 to 5", "ten": "0 to 10"}
SHORT = 400  # characters of a quoted text in one line of a list; house default


def _text(value: Any) -> str:
    return "" if value is None or isinstance(value, bool) else str(value)


@dataclass(frozen=True)
class HistorySentence:
    """What was done (after the name of who did it), the words they used, the numbers they gave."""

    words: str
    quote: str = ""
    was: str = ""  # what stood before, to be struck through
    details: tuple[str, ...] = ()


Teller = Callable[[HistoryLine, Fields], HistorySentence]


# -- small pieces


def _day(text: Any) -> str:
    try:
        return day_words(date.fromisoformat(str(text)))
    except ValueError:
        return str(text or "a day not written down")


def _item(after: Fields) -> str:
    version = f", version {after['version']}" if after.get("version", 1) != 1 else ""
    return f"plan item {after.get('item', '')}{version}".rstrip()


def _role(after: Fields) -> str:
    role = str(after.get("role", ""))
    words = role if role in ROLES else "member"
    return f"stand-in {words}" if after.get("stand_in") else words


def _told(words: str, quote: str = "reason") -> Teller:
    """A sentence that needs nothing of the line, with the field that holds its words."""
    return lambda line, a: HistorySentence(words, _text(a.get(quote)))


def _plan(words: str, quote: str = "reason") -> Teller:
    return lambda line, a: HistorySentence(words.format(item=_item(a)), _text(a.get(quote)))


# -- the longer ones


def _horse_edited(line: HistoryLine, a: Fields) -> HistorySentence:
    before = line.before or {}
    details = tuple(
        f"{sentence_case(name.replace('_', ' '))}: {before.get(name) or 'empty'} → {value or 'empty'}"
        for name, value in a.items()
    )
    return HistorySentence("changed what is written about the horse", details=details)


def _flag_raised(line: HistoryLine, a: Fields) -> HistorySentence:
    signs = "; ".join(a.get("signs") or ["no sign named"])
    feet = listed(foot_words(foot) for foot in a.get("feet") or [])
    since = f", since {_day(a['since'])}" if a.get("since") else ""
    now = " (phone the vet now)" if a.get("urgency") == "now" else ""
    where = f", {feet}" if feet else ""
    return HistorySentence(
        f"said something is not right{now}: {signs}{where}{since}", _text(a.get("words"))
    )


def _flag_answered(line: HistoryLine, a: Fields) -> HistorySentence:
    closes = ", which closes it" if a.get("closes") else ""
    if a.get("kind") == "vet_phoned":
        words = f"wrote down what the vet said on the phone about a flag{closes}"
        return HistorySentence(words, _text(a.get("words")))
    if not a.get("words"):
        return HistorySentence(f"answered a flag in words for a part of the team{closes}")
    return HistorySentence(f"answered a flag{closes}", _text(a["words"]))


def _shoe_back(line: HistoryLine, a: Fields) -> HistorySentence:
    feet = listed(foot_words(foot) for foot in a.get("feet") or []) or "the foot"
    became = {
        "back": "the shoe is back on",
        "new": "a new shoe is on",
        "off": "the shoe stays off for now",
        "visit": "the lost shoe was seen to",
    }.get(str(a.get("kind")), "what became of the shoe")
    return HistorySentence(
        f"wrote down that {became}, {feet}, {_day(a.get('on'))}", _text(a.get("words"))
    )


def _stand_in(line: HistoryLine, a: Fields) -> HistorySentence:
    names = listed(a.get("stand_ins") or [])
    whom = f"asked {names}" if names else "found nobody who stands in"
    feet = listed(foot_words(foot) for foot in a.get("feet") or [])
    return HistorySentence(f"{whom}, as no answer came about the lost shoe ({feet})")


def _exam(line: HistoryLine, a: Fields) -> HistorySentence:
    scale, _, grade = str(a.get("grade") or "").partition(" ")
    graded = f", grade {grade} on the {SCALES.get(scale, scale)} scale" if grade else ""
    feet = listed(foot_words(foot) for foot in a.get("feet") or [])
    looked = f", {feet} looked at" if feet else ""
    return HistorySentence(f"recorded an examination{graded}{looked}", _text(a.get("words")))


def _visit_kept(line: HistoryLine, a: Fields) -> HistorySentence:
    work = a.get("work") or {}
    details = tuple(f"{sentence_case(foot_words(foot))}: {done}" for foot, done in work.items())
    return HistorySentence(
        f"wrote up the visit of {_day(a.get('on'))}", _text(a.get("words")), details=details
    )


def _visit_voided(line: HistoryLine, a: Fields) -> HistorySentence:
    items = listed(f"item {number}" for number in a.get("items") or [])
    details = (f"What it said of plan {items} does not count any more.",) if items else ()
    by = (line.before or {}).get("by")
    whose = f", written up by {by}" if by else ""
    return HistorySentence(
        f"took back the visit of {_day(a.get('on'))}{whose}",
        _text(a.get("reason")),
        details=details,
    )


def _corrected(what: str) -> Teller:
    """Which day it was of, why, and each thing that changed."""

    def tell(line: HistoryLine, a: Fields) -> HistorySentence:
        details = tuple(changed_words(text) for text in a.get("changes") or [])
        day = _day((line.before or {}).get("on"))
        return HistorySentence(
            f"corrected {what.format(day=day)}", _text(a.get("reason")), details=details
        )

    return tell


def _readings_voided(line: HistoryLine, a: Fields) -> HistorySentence:
    readings = a.get("readings") or []
    words = f"took {counted(len(readings), 'measurement')} of {_day(a.get('on'))} off their series"
    return HistorySentence(
        words, details=tuple(sentence_case(reading_told(text)) for text in readings)
    )


def _stance(line: HistoryLine, a: Fields) -> HistorySentence:
    feet = a.get("feet") or {}
    details = tuple(f"{sentence_case(foot_words(foot))}: {how}" for foot, how in feet.items())
    return HistorySentence(
        f"noted on {_day(a.get('on'))} how the feet point", _text(a.get("words")), details=details
    )


def _visit_moved(line: HistoryLine, a: Fields) -> HistorySentence:
    before = (line.before or {}).get("on")
    was = _day(before) if before else ""
    words = f"moved the {_which(a)} to {_day(a.get('on'))}{_comes(a)}"
    return HistorySentence(words, _text(a.get("words")), was=was)


def _which(a: Fields) -> str:
    return "vet visit" if a.get("kind") == "vet" else "next visit"


def _comes(a: Fields) -> str:
    return f", {a['who']} is to come" if a.get("who") else ""


def _readings(line: HistoryLine, a: Fields) -> HistorySentence:
    readings = a.get("readings") or []
    did = "read in from a table" if a.get("source") == "import" else "recorded"
    words = f"{did} {counted(len(readings), 'measurement')} of {_day(a.get('on'))}"
    return HistorySentence(
        words, details=tuple(sentence_case(reading_told(text)) for text in readings)
    )


def _reading_corrected(line: HistoryLine, a: Fields) -> HistorySentence:
    was = reading_told(_text((line.before or {}).get("value")))
    value = reading_told(_text(a.get("value")))
    words = f"corrected a measurement to {value}"
    if value == "taken off the series":
        words = "took a measurement off the series"
    return HistorySentence(words, _text(a.get("reason")), was=was)


def _target(line: HistoryLine, a: Fields) -> HistorySentence:
    kind = "under the vet's direction" if a.get("therapeutic") else "as a routine aim"
    return HistorySentence(
        f"set a band {kind}: {a.get('band')}, from {_day(a.get('from'))}", _text(a.get("reason"))
    )


def _plan_proposed(line: HistoryLine, a: Fields) -> HistorySentence:
    if a.get("emergency"):
        return HistorySentence(
            f"set {_item(a)} alone, in force at once, to be agreed", _text(a.get("text"))
        )
    return HistorySentence(f"proposed {_item(a)}", _text(a.get("text")))


def _plan_changed(line: HistoryLine, a: Fields) -> HistorySentence:
    was = _text((line.before or {}).get("text"))
    alone = ", in force at once, to be agreed" if a.get("emergency") else ""
    return HistorySentence(
        f"changed {_item(a)}{alone}", _text(a.get("text")), was=was if was != a.get("text") else ""
    )


SENTENCES: dict[str, Teller] = {
    "horse.created": lambda line, a: HistorySentence(
        f"put {a.get('name', 'the horse')} on the board"
    ),
    "horse.edited": _horse_edited,
    "horse.active": _told("took the care up again"),
    "horse.paused": _told("paused the care"),
    "horse.ended": _told("ended the care"),
    "horse.weighed": lambda line, a: HistorySentence(
        f"recorded a weight of {a.get('value')} {a.get('unit')} on {_day(a.get('on'))}"
    ),
    "case.opened": lambda line, a: HistorySentence(f"opened the case “{a.get('title')}”"),
    "case.closed": _told("closed the case", "words"),
    "team.invited": lambda line, a: HistorySentence(f"invited {a.get('email')} as {_role(a)}"),
    "team.invite_revoked": lambda line, a: HistorySentence(
        f"took back the invitation to {a.get('email')}"
    ),
    "team.hand_over": lambda line, a: HistorySentence(
        f"hands over from {a.get('name')} ({_role(a)}) to {a.get('email')}"
    ),
    "team.joined": lambda line, a: HistorySentence(f"joined the team as {_role(a)}"),
    "team.confirmed": lambda line, a: HistorySentence(
        f"confirmed knowing {a.get('name')} ({_role(a)})"
    ),
    "team.left": _told("left the team"),
    "team.removed": lambda line, a: HistorySentence(
        f"removed {a.get('name')} ({_role(a)}) from the team"
    ),
    "flag.raised": _flag_raised,
    "flag.answered": _flag_answered,
    "flag.photo_added": lambda line, a: HistorySentence(
        f"added {counted(len(a.get('sha256') or [1]), 'photo')} to the flag"
    ),
    "flag.photo_blanked": _told("blanked out a photo"),
    "shoe.back": _shoe_back,
    "shoe.stand_in": _stand_in,
    "note.written": _told("wrote a note", "body"),
    "note.corrected": _told("corrected an earlier note", "body"),
    "exam.recorded": _exam,
    "visit.planned": lambda line, a: HistorySentence(
        f"planned the {_which(a)} for {_day(a.get('on'))}{_comes(a)}", _text(a.get("words"))
    ),
    "visit.moved": _visit_moved,
    "case.exported": _told("took a copy of the case"),
    "visit.confirmed": lambda line, a: HistorySentence(
        f"confirmed the visit of {_day(a.get('on'))}"
    ),
    "visit.unheard": lambda line, a: HistorySentence(
        f"notes that nobody has written up the visit planned for {_day(a.get('on'))}"
    ),
    "interval.set": lambda line, a: HistorySentence(
        f"set the time between trims: {a.get('words')}",
        _text(a.get("why")),
        was=_text((line.before or {}).get("words")),
    ),
    "stance.noted": _stance,
    "visit.cancelled": lambda line, a: HistorySentence(
        f"cancelled the visit of {_day(a.get('on'))}", _text(a.get("reason"))
    ),
    "visit.kept": _visit_kept,
    "visit.voided": _visit_voided,
    "visit.corrected": _corrected("the visit of {day}"),
    "exam.corrected": _corrected("the examination of {day}"),
    "exam.voided": lambda line, a: HistorySentence(
        f"took back the examination of {_day(a.get('on'))}", _text(a.get("reason"))
    ),
    "flag.reopened": lambda line, a: HistorySentence(
        f"opened the flag of the lost shoe again ({listed(foot_words(f) for f in a.get('feet') or [])})"
    ),
    "readings.voided": _readings_voided,
    "readings.recorded": _readings,
    "reading.corrected": _reading_corrected,
    "target.set": _target,
    "plan.item.proposed": _plan_proposed,
    "plan.item.changed": _plan_changed,
    "plan.item.agreed": _plan("agreed to {item}"),
    "plan.item.declined": _plan("declined {item}"),
    "plan.item.change_asked": _plan("asked for a change to {item}"),
    "plan.item.replied": _plan("replied about {item}", "words"),
    "plan.item.agreed_by_all": _plan("notes that everyone has agreed to {item}"),
    "plan.item.done": _plan("marked {item} as done"),
    "plan.item.withdrawn": _plan("withdrew {item}"),
    "sheet.issued": lambda line, a: HistorySentence(f"issued plan sheet {a.get('number')}"),
    "alert.raised": _told("raised an alert", "sentence"),
    "alert.worse": _told("found an alert worse than before", "sentence"),
    "alert.cleared": lambda line, a: HistorySentence(
        f"cleared an alert, because {a.get('why')}", _text(a.get("sentence"))
    ),
    "alert.seen": _told("has seen the alert", "sentence"),
    "alert.answered": _told("answered an alert", "words"),
}


# -- a line


def history_told(line: HistoryLine, person: Any = None) -> HistorySentence:
    """What the line tells `person`; a verb without an entry is told by its own name."""
    teller = SENTENCES.get(line.verb)
    if teller is None:
        return HistorySentence(f"did this: {line.verb.replace('.', ' ').replace('_', ' ')}")
    return told_to(teller(line, line.after or {}), line.verb, person)


def who_words(line: HistoryLine) -> str:
    """ "Vera Vet (vet)", with the name as it was written down then."""
    role = f" ({line.actor_role})" if line.actor_role else ""
    return f"{sentence_case(line.actor_name)}{role}"


def history_sentence(line: HistoryLine, person: Any = None) -> str:
    """The line as one sentence, for a short list."""
    told = history_told(line, person)
    was = f" (before: {told.was})" if told.was else ""
    quote = " ".join(told.quote.split())
    if not quote:
        return f"{who_words(line)} {told.words}{was}."
    if len(quote) > SHORT:
        quote = quote[:SHORT].rstrip() + " …"
    end = "" if quote[-1] in ".!?…" else "."
    return f"{who_words(line)} {told.words}{was}: {quote}{end}"


def line_readers(line: HistoryLine) -> str:
    """Who reads the line, when that is only a part of the team; else nothing."""
    readers = readers_short(role for role in line.audience.split(",") if role)
    return "" if readers == "the whole team" else readers
