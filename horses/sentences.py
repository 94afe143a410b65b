"""Every history line as a plain sentence: one entry a verb, filled from what the line keeps.

`history_sentence(line)` is used by the board, the history page and the sheet.
"""

from collections.abc import Callable
from typing import Any

from horses.models import HistoryLine, Role

Fields = dict[str, Any]


def _item(after: Fields) -> str:
    version = f", version {after['version']}" if after.get("version", 1) != 1 else ""
    return f"plan item {after.get('item', '')}{version}".rstrip()


def _because(after: Fields) -> str:
    return f": {after['reason']}" if after.get("reason") else ""


def _role(after: Fields) -> str:
    words = str(Role(after["role"]).label) if after.get("role") in Role.values else ""
    return f"stand-in {words}" if after.get("stand_in") else words


def _changed(line: HistoryLine) -> str:
    names = ", ".join(name.replace("_", " ") for name in line.after or {})
    return f"changed what is written about the horse ({names})"


# verb -> words after the actor's name. `a` is what the line kept as "after".
SENTENCES: dict[str, Callable[[HistoryLine, Fields], str]] = {
    "horse.created": lambda line, a: f"put {a.get('name', 'the horse')} on the board",
    "horse.edited": lambda line, a: _changed(line),
    "horse.active": lambda line, a: f"took the care up again{_because(a)}",
    "horse.paused": lambda line, a: f"paused the care{_because(a)}",
    "horse.ended": lambda line, a: f"ended the care{_because(a)}",
    "horse.weighed": lambda line, a: f"recorded a weight of {a.get('value')} {a.get('unit')}",
    "case.opened": lambda line, a: f"opened the case “{a.get('title')}”",
    "case.closed": lambda line, a: f"closed the case: {a.get('words')}",
    "team.invited": lambda line, a: f"invited {a.get('email')} as {_role(a)}",
    "team.invite_revoked": lambda line, a: f"took back the invitation to {a.get('email')}",
    "team.joined": lambda line, a: f"joined the team as {_role(a)}",
    "team.left": lambda line, a: "left the team",
    "team.removed": lambda line, a: f"removed {a.get('name')} ({a.get('role')}) from the team",
    "flag.raised": lambda line, a: f"said something is not right: {', '.join(a.get('signs', ()))}",
    "flag.answered": lambda line, a: (
        f"wrote down what the vet said: {a.get('words')}"
        if a.get("kind") == "vet_phoned"
        else f"answered a flag{': ' + a['words'] if a.get('words') else ''}"
    ),
    "flag.photo_added": lambda line, a: "added a photo to a flag",
    "flag.photo_blanked": lambda line, a: f"blanked out a photo{_because(a)}",
    "note.written": lambda line, a: f"wrote a note: {a.get('body')}",
    "note.corrected": lambda line, a: f"corrected an earlier note: {a.get('body')}",
    "exam.recorded": lambda line, a: (
        "recorded an examination" + (f", grade {a['grade']}" if a.get("grade") else "")
    ),
    "visit.planned": lambda line, a: f"planned a visit for {a.get('on')}",
    "visit.moved": lambda line, a: f"moved the visit to {a.get('on')}",
    "visit.cancelled": lambda line, a: f"cancelled the visit of {a.get('on')}{_because(a)}",
    "visit.kept": lambda line, a: f"wrote up the visit of {a.get('on')}",
    "readings.recorded": lambda line, a: (
        f"{'read in' if a.get('source') == 'import' else 'recorded'} "
        f"{len(a.get('readings', ()))} measurement(s) of {a.get('on')}"
    ),
    "reading.corrected": lambda line, a: (
        f"corrected a measurement ({(line.before or {}).get('value')}) to "
        f"{a.get('value')}{_because(a)}"
    ),
    "target.set": lambda line, a: f"set a target: {a.get('band')}{_because(a)}",
    "plan.item.proposed": lambda line, a: f"proposed {_item(a)}: {a.get('text')}",
    "plan.item.changed": lambda line, a: f"changed {_item(a)}: {a.get('text')}",
    "plan.item.agreed": lambda line, a: f"agreed to {_item(a)}",
    "plan.item.declined": lambda line, a: f"declined {_item(a)}{_because(a)}",
    "plan.item.change_asked": lambda line, a: f"asked for a change to {_item(a)}{_because(a)}",
    "plan.item.agreed_by_all": lambda line, a: f"notes: everyone agreed to {_item(a)}",
    "plan.item.done": lambda line, a: f"marked {_item(a)} as done{_because(a)}",
    "plan.item.withdrawn": lambda line, a: f"withdrew {_item(a)}{_because(a)}",
    "alert.raised": lambda line, a: f"raised an alert: {a.get('sentence')}",
    "alert.cleared": lambda line, a: f"cleared an alert, {a.get('why')}: {a.get('sentence')}",
    "alert.seen": lambda line, a: f"has seen the alert: {a.get('sentence')}",
    "alert.answered": lambda line, a: f"answered an alert: {a.get('words')}",
}


def history_sentence(line: HistoryLine) -> str:
    """The line as one sentence, with the name as it was written down then."""
    role = f" ({line.actor_role})" if line.actor_role else ""
    who = f"{line.actor_name[:1].upper()}{line.actor_name[1:]}{role}"
    words = SENTENCES[line.verb](line, line.after or {}).rstrip()
    return f"{who} {words}" + ("" if words.endswith((".", "?", "!", "…")) else ".")
