"""Every history line as a plain sentence: one entry a verb, filled from what the line keeps.

A line outlives what it tells of, so a sentence is made of the line's own words alone, and no line
is too old or too odd to be told.
"""

from dataclasses import replace
from datetime import datetime
from typing import Any

from django.utils import timezone

from caseboard.lib.spans import counted
from caseboard.lib.written import WRITTEN
from horses.domain.wording import foot_words, listed, readers_short, sentence_case
from horses.models import HistoryLine
from horses.presenters.history_care import (
    at_clock,
    corrected,
    exam_told,
    look_told,
    points_placed_told,
    reading_corrected_told,
    readings_told,
    readings_voided_told,
    shoe_back_told,
    stance_told,
    stand_in_told,
    visit_kept_told,
    visit_moved_told,
    visit_reported_told,
    visit_unsaid_told,
    visit_voided_told,
    which_visit,
    who_comes,
)
from horses.presenters.history_pieces import (
    Fields,
    HistorySentence,
    Teller,
    day_of,
    item_of,
    of_item,
    quoting,
    role_of,
    text_of,
)
from horses.presenters.history_sides import told_to
from horses.presenters.history_yard import YARD_SENTENCES, joined_told
from horses.presenters.picture_words import picture_told

SHORT = 400  # characters of a quoted text in one line of a list; house default


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
    since = f", since {day_of(a['since'])}" if a.get("since") else ""
    now = " (phone the vet now)" if a.get("urgency") == "now" else ""
    where = f", {feet}" if feet else ""
    return HistorySentence(
        f"said something is not right{now}: {signs}{where}{since}", text_of(a.get("words"))
    )


def _flag_answered(line: HistoryLine, a: Fields) -> HistorySentence:
    closes = ", which closes it" if a.get("closes") else ""
    if a.get("kind") == "vet_phoned":
        words = f"wrote down what the vet said on the phone about a flag{closes}"
        return HistorySentence(words, text_of(a.get("words")))
    if not a.get("words"):
        return HistorySentence(f"answered a flag in words for a part of the team{closes}")
    return HistorySentence(f"answered a flag{closes}", text_of(a["words"]))


def _target(line: HistoryLine, a: Fields) -> HistorySentence:
    kind = "under the vet's direction" if a.get("therapeutic") else "as a routine aim"
    return HistorySentence(
        f"set a band {kind}: {a.get('band')}, from {day_of(a.get('from'))}",
        text_of(a.get("reason")),
    )


def _plan_proposed(line: HistoryLine, a: Fields) -> HistorySentence:
    if a.get("emergency"):
        return HistorySentence(
            f"set {item_of(a)} alone, in force at once, to be agreed", text_of(a.get("text"))
        )
    return HistorySentence(f"proposed {item_of(a)}", text_of(a.get("text")))


def _plan_changed(line: HistoryLine, a: Fields) -> HistorySentence:
    was = text_of((line.before or {}).get("text"))
    alone = ", in force at once, to be agreed" if a.get("emergency") else ""
    return HistorySentence(
        f"changed {item_of(a)}{alone}",
        text_of(a.get("text")),
        was=was if was != a.get("text") else "",
    )


SENTENCES: dict[str, Teller] = {
    **YARD_SENTENCES,
    "horse.created": lambda line, a: HistorySentence(
        f"put {a.get('name', 'the horse')} on the board"
    ),
    "horse.held": lambda line, a: HistorySentence(
        f"put {a.get('name', 'the horse')} on the board, held for its owner, who has no account"
    ),
    "owner.told": quoting("told the owner what is kept of them"),
    "owner.erased": quoting("erased what was kept of the owner, who had asked for it"),
    "owner.took_over": quoting("took the horse over as its owner"),
    "horse.edited": _horse_edited,
    "horse.active": quoting("took the care up again"),
    "horse.paused": quoting("paused the care"),
    "horse.ended": quoting("ended the care"),
    "horse.weighed": lambda line, a: HistorySentence(
        f"recorded a weight of {a.get('value')} {a.get('unit')} on {day_of(a.get('on'))}"
    ),
    "case.opened": lambda line, a: HistorySentence(f"opened the case “{a.get('title')}”"),
    "case.closed": quoting("closed the case", "words"),
    "team.invited": lambda line, a: HistorySentence(f"invited {a.get('email')} as {role_of(a)}"),
    "team.invite_revoked": lambda line, a: HistorySentence(
        f"took back the invitation to {a.get('email')}"
    ),
    "team.hand_over": lambda line, a: HistorySentence(
        f"hands over from {a.get('name')} ({role_of(a)}) to {a.get('email')}"
    ),
    "team.joined": joined_told,
    "team.confirmed": lambda line, a: HistorySentence(
        f"confirmed knowing {a.get('name')} ({role_of(a)})"
    ),
    "team.left": quoting("left the team"),
    "team.removed": lambda line, a: HistorySentence(
        f"removed {a.get('name')} ({role_of(a)}) from the team"
    ),
    "flag.raised": _flag_raised,
    "flag.answered": _flag_answered,
    "flag.photo_added": lambda line, a: HistorySentence(
        f"added {counted(len(a.get('sha256') or [1]), 'photo')} to the flag"
    ),
    "flag.photo_blanked": quoting("blanked out a photo"),
    "picture.added": picture_told,
    "picture.blanked": quoting("blanked out a picture"),
    "look.marked": look_told,
    "look.undone": lambda line, a: HistorySentence(f"took back the look of {a.get('clock')}"),
    "shoe.back": shoe_back_told,
    "shoe.stand_in": stand_in_told,
    "note.written": quoting("wrote a note", "body"),
    "note.corrected": quoting("corrected an earlier note", "body"),
    "exam.recorded": exam_told,
    "visit.planned": lambda line, a: HistorySentence(
        f"planned the {which_visit(a)} for {day_of(a.get('on'))}{at_clock(a)}{who_comes(a)}",
        text_of(a.get("words")),
    ),
    "visit.moved": visit_moved_told,
    "case.exported": quoting("took a copy of the case"),
    "visit.confirmed": lambda line, a: HistorySentence(
        f"confirmed the visit of {day_of(a.get('on'))}"
    ),
    "visit.late": lambda line, a: HistorySentence(
        f"said to be about {a.get('minutes')} minutes late for the visit of {day_of(a.get('on'))}"
    ),
    "visit.unheard": lambda line, a: HistorySentence(
        f"notes that nobody has said yet what became of the visit planned for {day_of(a.get('on'))}"
    ),
    "visit.reported": visit_reported_told,
    "visit.denied": lambda line, a: HistorySentence(
        f"said that the visit planned for {day_of(a.get('on'))} did not take place",
        text_of(a.get("words")),
    ),
    "visit.unsaid": visit_unsaid_told,
    "visit.vouched": lambda line, a: HistorySentence(
        f"confirmed the visit of {day_of(a.get('on'))} that {a.get('by')} had reported"
    ),
    "interval.set": lambda line, a: HistorySentence(
        f"set the time between trims: {a.get('words')}",
        text_of(a.get("why")),
        was=text_of((line.before or {}).get("words")),
    ),
    "stance.noted": stance_told,
    "visit.cancelled": lambda line, a: HistorySentence(
        f"cancelled the visit of {day_of(a.get('on'))}", text_of(a.get("reason"))
    ),
    "visit.kept": visit_kept_told,
    "visit.voided": visit_voided_told,
    "visit.corrected": corrected("the visit of {day}"),
    "exam.corrected": corrected("the examination of {day}"),
    "exam.voided": lambda line, a: HistorySentence(
        f"took back the examination of {day_of(a.get('on'))}", text_of(a.get("reason"))
    ),
    "flag.reopened": lambda line, a: HistorySentence(
        f"opened the flag of the lost shoe again ({listed(foot_words(f) for f in a.get('feet') or [])})"
    ),
    "readings.voided": readings_voided_told,
    "points.placed": points_placed_told,
    "readings.recorded": readings_told,
    "reading.corrected": reading_corrected_told,
    "target.set": _target,
    "plan.item.proposed": _plan_proposed,
    "plan.item.changed": _plan_changed,
    "plan.item.agreed": of_item("agreed to {item}"),
    "plan.item.declined": of_item("declined {item}"),
    "plan.item.change_asked": of_item("asked for a change to {item}"),
    "plan.item.replied": of_item("replied about {item}", "words"),
    "plan.item.agreed_by_all": of_item("notes that everyone has agreed to {item}"),
    "plan.item.done": of_item("marked {item} as done"),
    "plan.item.withdrawn": of_item("withdrew {item}"),
    "sheet.issued": lambda line, a: HistorySentence(f"issued plan sheet {a.get('number')}"),
    "alert.raised": quoting("raised an alert", "sentence"),
    "alert.worse": quoting("found an alert worse than before", "sentence"),
    "alert.cleared": lambda line, a: HistorySentence(
        f"cleared an alert, because {a.get('why')}", text_of(a.get("sentence"))
    ),
    "alert.seen": quoting("has seen the alert", "sentence"),
    "alert.answered": quoting("answered an alert", "words"),
}


# -- a line


def history_told(line: HistoryLine, person: Any = None) -> HistorySentence:
    """What the line tells `person`; a verb without an entry is told by its own name."""
    teller = SENTENCES.get(line.verb)
    if teller is None:
        return HistorySentence(f"did this: {line.verb.replace('.', ' ').replace('_', ' ')}")
    told = told_to(teller(line, line.after or {}), line.verb, person)
    return _with_written(told, (line.after or {}).get(WRITTEN))


def _with_written(told: HistorySentence, at: Any) -> HistorySentence:
    """The line is of the moment when the board got it: before that it was in a phone."""
    try:
        moment = timezone.localtime(datetime.fromisoformat(at))
    except (TypeError, ValueError):
        return told
    when = f"{day_of(moment.date().isoformat())}, {moment:%H:%M}"
    return replace(told, words=f"{told.words} (written {when}, as the phone says that kept it)")


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
