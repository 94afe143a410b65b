"""A notice as its reader says sides and lengths today; typed words stay as typed. Pure.

Each person's notice is written in their words of that day, and they may choose others since.
"""

import re
from dataclasses import dataclass
from typing import Any

from caseboard.lib.words import own_start, own_words, plain_sides

LOST_SHOE = re.compile(r"shoe lost, |(?:(?:, | and )?(?:left|right|near|off) (?:fore|hind))+ shoe ")
FEET_ONLY = re.compile(r"(?:(?:^|, )(?:left|right|near|off) (?:fore|hind))+")
ALERTS = "alert."
OWN_BODIES = frozenset({"shoe.stand_in"})
TYPED_ALERTS = frozenset({"alert.answered"})


@dataclass(frozen=True)
class NoticeTold:
    """One line of the list of notices."""

    notice: Any
    subject: str
    body: str


def notice_told(notice: Any, person: Any) -> NoticeTold:
    name = f"{notice.case.horse.name}: "
    of_horse = notice.subject.startswith(name)
    start, rest = (name, notice.subject[len(name) :]) if of_horse else ("", notice.subject)
    is_alert = notice.verb.startswith(ALERTS) and notice.verb not in TYPED_ALERTS
    if is_alert or LOST_SHOE.match(rest):
        rest = own_words(plain_sides(rest), person)
    return NoticeTold(notice, start + rest, _body(notice, person, is_alert=is_alert))


def _body(notice: Any, person: Any, *, is_alert: bool) -> str:
    body = str(notice.body)
    if is_alert or notice.verb in OWN_BODIES:
        return own_words(plain_sides(body), person)
    if notice.verb == "flag.raised":
        return _flag_body(body, person)
    return own_start(body, person)


def _flag_body(body: str, person: Any) -> str:
    """The signs, then the feet on a line of their own; whatever follows may be typed."""
    lines = body.split("\n")
    if len(lines) > 1 and FEET_ONLY.fullmatch(lines[1]):
        lines[1] = own_words(plain_sides(lines[1]), person)
    return "\n".join(lines)
