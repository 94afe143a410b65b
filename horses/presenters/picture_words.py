"""What a picture shows and what it belongs to, in words."""

from dataclasses import dataclass
from typing import Any

from caseboard.lib.spans import counted
from horses.domain.picture_views import GUIDE
from horses.domain.wording import day_words, foot_words, sentence_case
from horses.models import HistoryLine, Picture
from horses.presenters.history_pieces import Fields, HistorySentence, day_of

OF_WORDS = {
    "flag": "with a flag",
    "note": "with a note",
    "look": "with a look",
    "exam": "with an examination",
    "visit": "with a visit",
}


def shows_words(foot: str, view: str, person: Any = None) -> str:
    """ "left fore, from the side" """
    guide = GUIDE.get(view)
    words = guide.words if guide else ""
    if not foot:
        return words or "a picture"
    return f"{foot_words(foot, person)}, {words[:1].lower()}{words[1:]}".rstrip(", ")


def picture_told(line: HistoryLine, a: Fields) -> HistorySentence:
    many = counted(len(a.get("sha256") or [1]), "picture")
    shown = shows_words(str(a.get("foot") or ""), str(a.get("view") or ""))
    of = OF_WORDS.get(str(a.get("of") or ""), "")
    taken = f", taken on {day_of(a['on'])}" if a.get("on") else ""
    return HistorySentence(f"added {many} {of}".rstrip() + f": {shown}{taken}")


@dataclass(frozen=True)
class PictureShown:
    """One picture as a page shows it."""

    picture: Picture
    words: str
    of: str
    by: str
    state: str  # "", "blanked" or "lost"

    @property
    def is_blanked(self) -> bool:
        return self.state == "blanked"

    @property
    def is_lost(self) -> bool:
        return self.state == "lost"

    @property
    def compares(self) -> bool:
        """Whether there can be another day's picture of the same."""
        return bool(self.picture.foot) or self.picture.view == Picture.View.WHOLE

    @property
    def alt(self) -> str:
        return f"{sentence_case(self.words)}, {day_words(self.picture.taken_on)}"


def picture_shown(picture: Picture, person: Any) -> PictureShown:
    words = shows_words(picture.foot, picture.view, person)
    of = OF_WORDS.get(picture.thing_kind, "")
    by = f"{picture.added_by_name} ({picture.added_by_role})"
    state = "blanked" if picture.redacted_at else "lost" if picture.lost_at else ""
    return PictureShown(picture, words, of, by, state)
