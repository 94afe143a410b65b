"""What the trade says about three shapes of foot and the rest of the horse, beside this horse's own
numbers. Nothing here judges the horse: the drawings are of no horse in particular."""

from collections.abc import Iterable
from dataclasses import dataclass

from caseboard.lib.words import FEET
from horses.domain.sourced import COMMON, NO_STUDY, Sourced
from measurements.hoof.quantities import QUANTITIES
from measurements.panels.feet import when_words
from measurements.queries.numbers import Numbers
from measurements.wording import entered_words

LONG, UPRIGHT, SQUARE = "long", "upright", "square"


@dataclass(frozen=True)
class OwnNumber:
    foot: str
    label: str
    value: str
    when: str


@dataclass(frozen=True)
class ShapeTold:
    key: str
    title: str
    says: tuple[Sourced, ...]
    found: tuple[Sourced, ...]
    numbers: tuple[str, ...]  # the quantities that belong beside it
    own: tuple[OwnNumber, ...] = ()

    @property
    def is_long(self) -> bool:
        return self.key == LONG

    @property
    def is_upright(self) -> bool:
        return self.key == UPRIGHT


SHAPES = (
    ShapeTold(
        LONG,
        "A long toe with low heels",
        (
            Sourced("The toe runs forward, the heels run under: the foot turns over its toe late."),
            Sourced(
                "It often goes with a long sloping pastern and a sloping shoulder. Ask whether the foot "
                "follows the leg or has only grown long.",
            ),
            Sourced("The toe is brought back over several trims, not in one.", COMMON),
        ),
        (
            Sourced(
                "Less force on the navicular bone where the coffin bone stood steeper; 31 horses.",
                "Eliashar, EVJ 2004;36:431",
            ),
            Sourced(
                "A gap between toe and heel angle 10° larger: 6.75 times the odds of suspensory failure; "
                "95 dead racehorses.",
                "Kane, AJVR 1998;59:1545",
            ),
            Sourced(
                "But wall and heel angles were larger, not smaller, in lame feet; 300 lame and 25 sound.",
                "Dyson, Vet J 2011;190:364",
            ),
            Sourced("Whether trimming the foot to the slope of the shoulder helps", NO_STUDY),
        ),
        ("toe_angle", "heel_angle", "toe_length", "pastern_angle"),
    ),
    ShapeTold(
        UPRIGHT,
        "An upright foot",
        (
            Sourced(
                "A short upright pastern and shoulder are said to go with it, and a short stride."
            ),
            Sourced("One upright foot of a pair is not made like the other by force."),
            Sourced("If it has become upright, or the heels do not reach the ground: ask the vet."),
        ),
        (
            Sourced(
                "In uneven pairs the flatter foot braked more; 34 horses.", "Wiggers, PLoS ONE 2015"
            ),
            Sourced(
                "Uneven pairs were lame hardly more often, 16 against 12 %; 42 horses.",
                "a digest of 2023, as reported there",
            ),
            Sourced(
                "Stallions with upright hind pasterns moved less far at the trot; 35 horses.",
                "Solé, JEVS 2013",
            ),
            Sourced("Whether an upright foot under an upright leg does harm by itself", NO_STUDY),
        ),
        ("toe_angle", "heel_angle", "pastern_angle"),
    ),
    ShapeTold(
        SQUARE,
        "A square toe",
        (
            Sourced(
                "A toe that wears square is said to drag or to turn over straight ahead. Behind, people "
                "think of hocks, back or a long toe: a reason to ask, no finding.",
            ),
            Sourced("A farrier may also set the toe of a shoe square, or back under, on purpose."),
        ),
        (
            Sourced(
                "A rolled toe lowered the peak force in front, 20 horses, as reported by others; behind "
                "it changed neither time nor force, 10 horses.",
                "Spaak",
            ),
            Sourced("Why a toe wears square, and whether it matters", NO_STUDY),
        ),
        ("toe_length",),
    ),
)
WHOLE_HORSE = (
    Sourced("“Shoulder, pastern and hoof have one slope”: a rule for teaching", NO_STUDY),
    Sourced(
        "The slope of a shoulder is read poorly from a photograph: two people differ widely.",
        "Gmel, PLoS ONE 2018",
    ),
    Sourced(
        "Hind feet 10° lower turned over later; the stride stayed the same; 5 horses. An old textbook "
        "says it gets longer.",
        "Clayton; Lungwitz",
    ),
)


def shapes_told(numbers: Numbers, *, length_unit: str) -> list[ShapeTold]:
    """Each shape with the last values of this horse that belong beside it."""
    return [
        ShapeTold(
            shape.key,
            shape.title,
            shape.says,
            shape.found,
            shape.numbers,
            tuple(_own(numbers, shape.numbers, length_unit)),
        )
        for shape in SHAPES
    ]


def _own(numbers: Numbers, quantities: Iterable[str], length_unit: str) -> Iterable[OwnNumber]:
    wanted = list(quantities)
    for foot in FEET:
        for quantity in wanted:
            if readings := numbers.readings.get((foot, quantity)):
                last = readings[-1]
                value = entered_words(last, length_unit)
                yield OwnNumber(foot, QUANTITIES[quantity].label, value, when_words(last))
