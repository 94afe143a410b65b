"""What the sentences of the history are put together from."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any

from horses.domain.wording import ROLES, day_words
from horses.models import HistoryLine

Fields = dict[str, Any]


def text_of(value: Any) -> str:
    return "" if value is None or isinstance(value, bool) else str(value)


@dataclass(frozen=True)
class HistorySentence:
    """What was done (after the name of who did it), the words they used, the numbers they gave."""

    words: str
    quote: str = ""
    was: str = ""  # what stood before, to be struck through
    details: tuple[str, ...] = ()


Teller = Callable[[HistoryLine, Fields], HistorySentence]


def day_of(text: Any) -> str:
    try:
        return day_words(date.fromisoformat(str(text)))
    except ValueError:
        return str(text or "a day not written down")


def item_of(after: Fields) -> str:
    version = f", version {after['version']}" if after.get("version", 1) != 1 else ""
    return f"plan item {after.get('item', '')}{version}".rstrip()


def role_of(after: Fields) -> str:
    role = str(after.get("role", ""))
    words = role if role in ROLES else "member"
    return f"stand-in {words}" if after.get("stand_in") else words


def quoting(words: str, quote: str = "reason") -> Teller:
    """A sentence that needs nothing of the line, with the field that holds its words."""
    return lambda line, a: HistorySentence(words, text_of(a.get(quote)))


def of_item(words: str, quote: str = "reason") -> Teller:
    return lambda line, a: HistorySentence(words.format(item=item_of(a)), text_of(a.get(quote)))
