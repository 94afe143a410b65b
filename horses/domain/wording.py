"""Sentences and comparisons that several pages need, made of plain values. Pure."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from difflib import SequenceMatcher
from itertools import combinations
from typing import Any

from caseboard.lib.words import FEET, foot_label
from caseboard.lib.words import listed as listed  # said on every page of this app

ROLES = ("owner", "farrier", "vet", "carer")  # in the order in which they are always named
TEAM = ",".join(ROLES)


def sentence_case(text: str) -> str:
    """The first letter large, the others as they are (names keep theirs)."""
    return text[:1].upper() + text[1:]


def foot_words(foot: str, person: Any = None) -> str:
    """ "left fore", or "near fore" for a person who says it so; what is no foot stays as it is."""
    return foot_label(foot, person) if foot in FEET else foot


def day_words(day: date | None) -> str:
    """ "2 Nov 2026"; nothing for no day."""
    return f"{day:%-d %b} {day.year}" if day else ""


# -- who reads what


@dataclass(frozen=True)
class Audience:
    """One set of readers to choose: its value in a form, its name, and who that is in words."""

    value: str
    label: str
    sentence: str

    @property
    def roles(self) -> frozenset[str]:
        return frozenset(self.value.split(","))


def audiences(own: str, names: Mapping[str, Sequence[str]]) -> list[Audience]:
    """The sets of readers that someone of the role `own` may choose, the whole team first.

    `names` holds the people on the team by role. Every set holds the writer's own role. Roles
    that nobody holds are not offered one by one: nobody would be left out or let in by them. A
    carer stands with the owner, so that no set holds the carer without the owner.
    """
    others = [role for role in ROLES if role != own and names.get(role)]
    made = [Audience(TEAM, "The whole team", reader_sentence(ROLES, names))]
    for count in range(len(others) - 1, -1, -1):
        for some in combinations(others, count):
            roles = [role for role in ROLES if role == own or role in some]
            if "carer" in roles and "owner" not in roles:
                continue
            label = sentence_case(listed(roles)) + ("" if len(roles) > 1 else " only")
            made.append(Audience(",".join(roles), label, reader_sentence(roles, names)))
    return made


def reader_sentence(roles: Iterable[str], names: Mapping[str, Sequence[str]]) -> str:
    """ "Will be read by: Vera Vet (vet) and Finn Farrier (farrier). Not the owner."."""
    readers = set(roles)
    people = [
        f"{name} ({role})" for role in ROLES if role in readers for name in names.get(role, ())
    ]
    left_out = [role for role in ROLES if role not in readers and names.get(role)]
    not_these = f" Not the {listed(left_out, 'or')}." if left_out else ""
    return f"Will be read by: {listed(people) or 'nobody yet'}.{not_these}"


def readers_short(roles: Iterable[str]) -> str:
    """ "the whole team", or "vet and farrier only": who reads a thing that is written already."""
    readers = set(roles)
    held = [role for role in ROLES if role in readers]
    return "the whole team" if len(held) == len(ROLES) else f"{listed(held)} only"


# -- what changed between two texts, word by word


@dataclass(frozen=True)
class Piece:
    """A stretch of text: "same", "gone" (only in the old one) or "new" (only in the new one)."""

    kind: str
    text: str

    @property
    def is_gone(self) -> bool:
        return self.kind == "gone"

    @property
    def is_new(self) -> bool:
        return self.kind == "new"


# Beyond this many comparisons the middle is shown as gone and new as a whole. House default:
# under a second of work; two texts of 400 words without a common start or end.
MOST_COMPARISONS = 150_000
# A lone "and" that both texts happen to have between two changes only chops them up.
WORDS_THAT_HOLD = 2


def words_changed(old: str, new: str) -> list[Piece]:
    """The two texts as one, word by word; without change it is one piece "same"."""
    before, after = _words(old), _words(new)
    start = _common(before, after)
    end = _common(before[start:][::-1], after[start:][::-1])
    pieces = [Piece("same", "".join(after[:start]))]
    pieces += _middle(before[start : len(before) - end], after[start : len(after) - end])
    pieces.append(Piece("same", "".join(after[len(after) - end :])))
    return _spaced([piece for piece in pieces if piece.text]) or [Piece("same", "")]


def _spaced(pieces: list[Piece]) -> list[Piece]:
    """The last word of a text has no space behind it, and needs one when more follows here."""
    return [
        Piece(piece.kind, piece.text if piece.text[-1].isspace() else f"{piece.text} ")
        for piece in pieces[:-1]
    ] + pieces[-1:]


def _words(text: str) -> list[str]:
    """Each word with the space behind it."""
    return re.findall(r"\S+\s*|\s+", text)


def _common(one: Sequence[str], other: Sequence[str]) -> int:
    count = 0
    for mine, theirs in zip(one, other, strict=False):
        if mine.strip() != theirs.strip():
            break
        count += 1
    return count


def _middle(before: list[str], after: list[str]) -> list[Piece]:
    if len(before) * len(after) > MOST_COMPARISONS:
        return _changed(before, after)
    was, is_now = ([word.strip() for word in words] for words in (before, after))
    pieces: list[Piece] = []
    gone: list[str] = []
    new: list[str] = []
    for tag, b1, b2, a1, a2 in SequenceMatcher(None, was, is_now, autojunk=False).get_opcodes():
        if tag == "equal" and a2 - a1 >= WORDS_THAT_HOLD:
            pieces += _changed(gone, new)
            pieces.append(Piece("same", "".join(after[a1:a2])))
            gone, new = [], []
        else:
            gone += before[b1:b2]
            new += after[a1:a2]
    return pieces + _changed(gone, new)


def _changed(gone: list[str], new: list[str]) -> list[Piece]:
    return [Piece("gone", "".join(gone)), Piece("new", "".join(new))]
