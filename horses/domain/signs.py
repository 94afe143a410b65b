"""The signs a person can flag, and how urgent each is, alone and together.

The urgent ones, with their sources and what to do meanwhile, stand in horses/domain/urgent_signs.py.
The other entries and the combinations are common practice, no source. A rank is a prompt to talk,
never a diagnosis.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from horses.domain.urgent_signs import NO_PAINKILLER, URGENT_SIGNS


@dataclass(frozen=True)
class Sign:
    key: str
    words: str
    rank: str  # now, today, next_visit
    hint: str = ""


SIGNS: tuple[Sign, ...] = (
    # -- phone your vet now
    *(Sign(sign.key, sign.words, "now", sign.hint) for sign in URGENT_SIGNS),
    # -- today
    Sign("heat", "One foot warmer than the others", "today"),
    Sign("pulse", "Stronger pulse than usual", "today"),
    Sign("pointing", "Points or rests a foot", "today"),
    Sign("reluctant_turn", "Does not want to turn", "today"),
    Sign("lame", "Lame, new or worse", "today"),
    Sign("lost_shoe", "Lost or sprung shoe", "today"),
    # -- next visit
    Sign("short_stride", "Short stride", "next_visit"),
    Sign("stumbling", "Stumbles", "next_visit"),
    Sign("toe_first", "Lands toe first", "next_visit"),
    Sign("sore_stones", "Sore on stones", "next_visit"),
    Sign("crack", "Crack or broken wall", "next_visit"),
    Sign("shape", "The foot looks different", "next_visit"),
    Sign("other", "Something else", "next_visit"),
)
SIGN = {sign.key: sign for sign in SIGNS}

# Signs that together are more urgent than each alone (common practice, no source). Each of the
# groups must be present: at least one sign of every group.
TOGETHER_NOW: tuple[tuple[frozenset[str], ...], ...] = (
    (frozenset({"heat"}), frozenset({"pulse"}), frozenset({"reluctant_turn", "pointing", "lame"})),
    (
        frozenset({"pulse"}),
        frozenset({"reluctant_turn"}),
        frozenset({"short_stride", "sore_stones"}),
    ),
)
TOGETHER_TODAY: tuple[tuple[frozenset[str], ...], ...] = (
    (frozenset({"short_stride"}), frozenset({"toe_first"}), frozenset({"stumbling"})),
)
RANKS = ("now", "today", "next_visit")

# What not to do and what to do until the vet has been spoken to.
ADVICE: dict[str, tuple[str, ...]] = {sign.key: sign.advice for sign in URGENT_SIGNS}
NEVER = (NO_PAINKILLER,)


def _together(signs: frozenset[str], patterns: tuple[tuple[frozenset[str], ...], ...]) -> bool:
    return any(all(signs & group for group in pattern) for pattern in patterns)


def urgency(signs: Iterable[str]) -> str:
    """How soon: "now", "today" or "next_visit", from single signs and from combinations.

    Unknown keys raise KeyError: a sign nobody ranked must not be taken for a mild one.
    """
    given = frozenset(signs)
    ranks = [SIGN[key].rank for key in given]
    if _together(given, TOGETHER_NOW):
        ranks.append("now")
    if _together(given, TOGETHER_TODAY):
        ranks.append("today")
    return min(ranks, key=RANKS.index, default="next_visit")


def is_lost_shoe(signs: Iterable[str], feet: Iterable[str]) -> bool:
    """A flag whose matter is a lost shoe: it is over when the shoe is, not when someone answers.

    One that needs a vet, or names no foot, is answered like any other.
    """
    given = list(signs)
    return "lost_shoe" in given and bool(list(feet)) and urgency(given) != "now"


def advice(signs: Iterable[str]) -> list[str]:
    given = list(signs)
    lines = [line for sign in SIGNS if sign.key in given for line in ADVICE.get(sign.key, ())]
    if urgency(given) == "now" and not lines:  # urgent only by what comes together
        lines = ["Do not make the horse walk or turn."]
    return [*dict.fromkeys(lines), *NEVER]
