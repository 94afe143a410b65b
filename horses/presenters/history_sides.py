"""A history line in one person's words for sides and lengths; typed words stay as typed. Pure."""

import re
from dataclasses import replace
from typing import Any

from caseboard.lib.words import own_start, own_words
from horses.presenters.history_pieces import HistorySentence

# Verbs whose quoted sentence is the program's own; the words of an answer are somebody's.
OWN_SENTENCES = frozenset({"alert.raised", "alert.worse", "alert.cleared", "alert.seen"})
QUOTED = re.compile(r"(“[^”]*”)")


def told_to(told: HistorySentence, verb: str, person: Any) -> HistorySentence:
    """The line with its sides and lengths in the words of `person`; quotes of people are left alone."""
    words = [
        part if part.startswith("“") else own_words(part, person)
        for part in QUOTED.split(told.words)
    ]
    quote = own_words if verb in OWN_SENTENCES else own_start
    return replace(
        told,
        words="".join(words),
        quote=quote(told.quote, person),
        was=own_start(told.was, person),
        details=tuple(own_start(detail, person) for detail in told.details),
    )
