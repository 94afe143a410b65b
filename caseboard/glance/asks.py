"""What each kind of alert asks for at a glance: of whom, how soon, and the word beside the foot.

The words are short forms of what the alert's own sentence says; the sentence stands one tap deeper.
Whom to ring first for what is a house default: films and lameness are the vet's, the set is the
farrier's.
"""

from dataclasses import dataclass
from enum import StrEnum

from horses.models import Alert, Role


class Soon(StrEnum):
    """How soon a row wants to be looked at; the order is the order of the rows."""

    NOW = "now"
    TODAY = "today"
    NEXT = "next"
    WORD = "word"


@dataclass(frozen=True)
class Ask:
    """`foot_word` stands beside the foot; `step` after the day; `own_step` for who is asked. `when`
    stands in place of the day, where the moment is not one."""

    ring: str
    soon: Soon
    step: str
    own_step: str
    foot_word: str = ""
    when: str = ""


_LOOK = ("have it looked at", "look at it")
_FILM = ("ask the vet", "they cut only after your word")


def _film(foot_word: str) -> Ask:
    return Ask(Role.VET, Soon.TODAY, *_FILM, foot_word, "Before anybody cuts")


def _farrier(foot_word: str) -> Ask:
    return Ask(Role.FARRIER, Soon.NEXT, *_LOOK, foot_word)


# The first of them that a foot has gives it its word, and stands first among rows as soon as it.
ASKS: dict[str, Ask] = {
    "lameness.severe": Ask(Role.VET, Soon.NOW, "call your vet now", "see the horse now"),
    "lameness.rise": Ask(
        Role.VET, Soon.TODAY, "ask the vet", "say what may be done", "", "Before work or a trim"
    ),
    "reading.jump": Ask(
        Role.FARRIER,
        Soon.TODAY,
        "sore or hot: your vet now",
        "sore or hot: the vet now",
        "measure again",
        "Measure again today",
    ),
    "shape.thin_sole": _film("thin sole"),
    "shape.negative_palmar_angle": _film("bone below level"),
    "shape.steep_palmar_angle": _film("bone too steep"),
    "shape.uneven_palmar_angles": _film("films differ"),
    "shape.uneven_soles": _film("soles differ"),
    "foot.drift": _farrier("slow change"),
    "foot.step": _farrier("changed at once"),
    "band.outside": _farrier("outside the aim"),
    "band.moving": _farrier("leaving the aim"),
    "forecast.near": _farrier("leaving the aim"),
    "shape.broken_back_axis": _farrier("broken back"),
    "shape.broken_forward_axis": _farrier("broken forward"),
    "shape.underrun_heel": _farrier("low heel"),
    "shape.sheared_heels": _farrier("heels differ"),
    "shape.uneven_pair": _farrier("pair differs"),
    "shape.long_toe": _farrier("long toe"),
    "shape.small_feet": _farrier("small foot"),
    "shape.narrow_frog": _farrier("narrow frog"),
    "visit.overdue": Ask(Role.FARRIER, Soon.NEXT, "plan a day", "plan a day"),
    "visit.stand_in": Ask(Role.FARRIER, Soon.NEXT, "ask the stand-in", "plan a day"),
    "shoes.incomplete": _farrier("not in pairs"),
    "shoes.lost_again": _farrier("shoe lost again"),
    "young.window": Ask(Role.VET, Soon.NEXT, "ask while there is time", "look at it in time"),
    "plan.recheck": Ask(Role.VET, Soon.NEXT, "plan the re-check", "the re-check is yours"),
    "plan.unconfirmed": Ask("", Soon.WORD, "ask for their word", "your word is asked for"),
    "plan.set_alone": Ask("", Soon.WORD, "ask for their word", "your word is asked for"),
    "flag.unanswered": Ask("", Soon.TODAY, "nobody else has answered", "answer it"),
    "readings.silence": Ask(Role.FARRIER, Soon.NEXT, "measure again", "measure again"),
}
# A rule that nobody has given words: its own title stands, and its page says the rest.
UNKNOWN = Ask("", Soon.NEXT, *_LOOK)


def ask_of(alert: Alert) -> Ask:
    return ASKS.get(alert.rule, UNKNOWN)


def rank_of(rule: str) -> int:
    """The place of a rule in the table; one that nobody has given words comes last."""
    return list(ASKS).index(rule) if rule in ASKS else len(ASKS)
