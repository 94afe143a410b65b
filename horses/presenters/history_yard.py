"""The sentences of what happens between a horse and a yard."""

from horses.domain.horse_lines import SHOD_WORDS
from horses.domain.wording import listed
from horses.models import HistoryLine
from horses.presenters.history_pieces import (
    Fields,
    HistorySentence,
    Teller,
    day_of,
    role_of,
    text_of,
)


def joined_told(line: HistoryLine, a: Fields) -> HistorySentence:
    as_what = "manager of the yard" if a.get("runs_yard") else role_of(a)
    through = f", with the yard {a['yard']}" if a.get("yard") else ""
    return HistorySentence(f"joined the team as {as_what}{through}")


def _known_told(line: HistoryLine, a: Fields) -> HistorySentence:
    said = []
    if a.get("trimmed_on"):
        said.append(f"last trimmed {day_of(a['trimmed_on'])}")
    if a.get("shod") is not None:
        said.append(SHOD_WORDS.get(tuple(a["shod"]), "shod on some feet"))
    return HistorySentence(f"said of the time before: {listed(said) or 'nothing'}")


def _names(a: Fields, name: str) -> str:
    return listed(a.get(name) or [])


def _moved_told(line: HistoryLine, a: Fields) -> HistorySentence:
    was = text_of((line.before or {}).get("yard"))
    to = f"to the yard {a['yard']}" if a.get("yard") else "to no yard"
    details = [
        f"{words}: {_names(a, name)}"
        for name, words in (("goes", "Go"), ("joins", "Join"), ("left_out", "Left out"))
        if a.get(name)
    ]
    start = f"moved the horse from {was} {to}" if was else f"moved the horse {to}"
    return HistorySentence(start, details=tuple(details))


def _sale_told(line: HistoryLine, a: Fields) -> HistorySentence:
    details = [f"Passes on: {_names(a, 'boards')}"]
    if a.get("leave"):
        details.append(f"Leave, not before {day_of(a.get('on'))}: {_names(a, 'leave')}")
    words = f"began the sale: {a.get('email')} is asked to join as owner"
    return HistorySentence(words, details=tuple(details))


YARD_SENTENCES: dict[str, Teller] = {
    "horse.to_yard": lambda line, a: HistorySentence(
        f"wrote down that the horse stands at the yard {a.get('yard')}"
    ),
    "horse.known": _known_told,
    "horse.moved": _moved_told,
    "horse.sale_begun": _sale_told,
    "horse.sale_undone": lambda line, a: HistorySentence(
        f"called off the sale; {a.get('email')} is no longer asked to join"
    ),
    "horse.sold": lambda line, a: HistorySentence(f"handed the horse on to {a.get('email')}"),
    "horse.end_undone": lambda line, a: HistorySentence("undid the end of the care"),
    "horse.yard_asks": lambda line, a: HistorySentence(
        "wants to be asked before somebody new of the yard comes on the horse"
        if a.get("asks_first")
        else "lets new people of the yard come on the horse"
    ),
}
