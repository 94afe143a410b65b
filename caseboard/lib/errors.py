"""Answers a service gives by raising: a view may catch one, else the middleware makes its page."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any


@dataclass(frozen=True)
class Pair:
    """One field, as this person typed it and as it stands by now."""

    label: str
    yours: str
    theirs: str


class Conflict(Exception):
    """Someone else saved the same thing first; nothing of ours was saved (409).

    `mine` and `theirs` map a field's name to what was typed and to what stands now, so that the
    page can show both. `who` saved it `at` a moment, `path` is where to see it, `version` its number
    now.
    """

    def __init__(
        self,
        mine: Mapping[str, Any],
        theirs: Mapping[str, Any],
        *,
        who: str = "",
        at: datetime | None = None,
        path: str = "",
        version: int | None = None,
    ) -> None:
        super().__init__("saved by someone else meanwhile")
        self.mine, self.theirs = dict(mine), dict(theirs)
        self.who, self.at, self.path, self.version = who, at, path, version

    def pairs(self, labels: Mapping[str, str] | None = None) -> list[Pair]:
        """The fields that differ, in the order given; `labels` gives their words on screen."""
        names = dict.fromkeys([*self.mine, *self.theirs])
        pairs = [
            Pair((labels or {}).get(n) or _words(n), _text(self.mine, n), _text(self.theirs, n))
            for n in names
        ]
        return [pair for pair in pairs if pair.yours != pair.theirs]


def _text(fields: Mapping[str, Any], name: str) -> str:
    value = fields.get(name)
    return "" if value is None else str(value)


def _words(name: str) -> str:
    return name.replace("_", " ").capitalize()


class TooMany(Exception):
    """Too many tries in a short time (429)."""

    def __init__(self, retry_after_s: int, *, what: str = "") -> None:
        super().__init__(f"try again in {retry_after_s} s")
        self.retry_after_s = max(1, retry_after_s)
        self.what = what
