"""What the trade weighs for barefoot and for shoes, and what of this horse each rule touches."""

from dataclasses import dataclass

from horses.domain.wording import day_words, foot_words, listed, sentence_case
from horses.models import Flag, Horse, Person, Soundness
from measurements.hoof.shape import THIN_SOLE_MM
from measurements.hoof.wear import GROWTH_MM_PER_MONTH, Wear
from measurements.wording import band_range_words

PRACTICE = "trade practice, no source"
BARE, SHOD, BOTH = "barefoot", "shoes", "either"
HARD_WORK = (Horse.Use.SPORT, Horse.Use.DRIVEN, Horse.Use.SCHOOL)
LIGHT_WORK = (Horse.Use.REST, Horse.Use.YOUNG, Horse.Use.BREEDING)


@dataclass(frozen=True)
class Consideration:
    """One rule of the trade. `here`: what of this horse it touches; empty: nothing is known of it."""

    side: str
    words: str
    here: str = ""
    source: str = PRACTICE


@dataclass(frozen=True)
class Weighed:
    """What is known of this horse: soreness and lameness of the last year, the newest first."""

    horse: Horse
    person: Person
    wear: dict[str, Wear]
    sore: tuple[Flag, ...]
    lame: tuple[Soundness, ...]
    vets_open: tuple[str, ...]
    thin: tuple[str, ...]  # the feet whose sole is under what one rule wants

    @property
    def outrun(self) -> list[str]:
        """The feet that wear faster than they grow."""
        return self._feet(outruns=True)

    @property
    def kept(self) -> list[str]:
        return self._feet(outruns=False)

    def _feet(self, *, outruns: bool) -> list[str]:
        return [
            foot_words(foot, self.person)
            for foot, wear in self.wear.items()
            if (wear.state == "outruns") is outruns
        ]

    @property
    def last_sore(self) -> str:
        """When it was last sore or lame, in words; "" for never."""
        said = [(f.raised_at.date(), day_words(f.raised_at.date())) for f in self.sore[:1]]
        said += [(graded.seen_on, grade_words(graded)) for graded in self.lame[:1]]
        return max(said)[1] if said else ""

    @property
    def footing(self) -> str:
        return sentence_case(f"{self.horse.get_footing_display()} footing") + "."

    @property
    def use(self) -> str:
        return sentence_case(self.horse.get_use_display()) + "."


def considerations(weighed: Weighed) -> tuple[Consideration, ...]:
    return (*_for_bare(weighed), *_for_shoes(weighed), *_either_way(weighed))


def _for_bare(weighed: Weighed) -> tuple[Consideration, ...]:
    return (
        Consideration(
            BARE,
            "Wear stays under growth.",
            f"So on the {listed(weighed.kept)}." if weighed.kept and not weighed.outrun else "",
        ),
        Consideration(
            BARE,
            "The ground is forgiving.",
            weighed.footing if weighed.horse.footing == Horse.Footing.SOFT else "",
        ),
        Consideration(
            BARE,
            "Comfortable on its usual ground.",
            "" if weighed.last_sore else "Nothing else is written down; ask whoever rides it.",
        ),
        Consideration(
            BARE,
            "Light work, rest or growing up.",
            weighed.use if weighed.horse.use in LIGHT_WORK else "",
        ),
    )


def _for_shoes(weighed: Weighed) -> tuple[Consideration, ...]:
    return (
        Consideration(
            SHOD,
            "Wear outruns growth.",
            f"So on the {listed(weighed.outrun)}." if weighed.outrun else "",
        ),
        Consideration(
            SHOD,
            "Sore on the ground it works on.",
            f"Last written down: {weighed.last_sore}." if weighed.last_sore else "",
        ),
        Consideration(
            SHOD,
            "Hard or stony footing.",
            weighed.footing if weighed.horse.footing == Horse.Footing.HARD else "",
        ),
        Consideration(
            SHOD,
            "Needs grip: jumping, driving, slippery roads.",
            weighed.use if weighed.horse.use in HARD_WORK else "",
        ),
        Consideration(
            SHOD,
            "A thin sole that wants cover.",
            f"Under {THIN_SOLE_MM:g} mm on the {listed(weighed.thin)}, which is one rule of "
            "several: ask the vet before anything is cut."
            if weighed.thin
            else "",
        ),
        Consideration(SHOD, "Weak, broken or thin wall that does not hold up."),
        Consideration(
            SHOD,
            "Therapy, under the vet's direction.",
            f"{'; '.join(weighed.vets_open)}. The vet first." if weighed.vets_open else "",
        ),
    )


def _either_way(weighed: Weighed) -> tuple[Consideration, ...]:
    return (
        Consideration(
            BOTH,
            "Lame: the vet looks before shoes are put on or taken off.",
            f"{grade_words(weighed.lame[0])}." if weighed.lame else "",
        ),
        Consideration(BOTH, "Try front shoes before all four."),
        Consideration(
            BOTH,
            "A change to barefoot takes two or three cycles. Boots bridge it; expect "
            "tender feet on stones.",
        ),
        Consideration(
            BOTH,
            "Hind shoes in group turnout: many yards forbid them, kicks are worse.",
            "Turned out in a group." if weighed.horse.turnout == Horse.Turnout.GROUP else "",
        ),
        Consideration(
            BOTH, "Show and breed rules may ask for or limit shoes: this year's rule book."
        ),
        Consideration(
            BOTH,
            f"An adult hoof grows {_grown(weighed.person)} a month.",
            source="The Veterinary Care of the Horse, p. 196",
        ),
    )


def grade_words(graded: Soundness) -> str:
    return f"{day_words(graded.seen_on)}, grade {graded.grade} ({graded.get_scale_display()})"


def _grown(person: Person) -> str:
    least, most = GROWTH_MM_PER_MONTH
    return band_range_words("toe_length", least, most, person.length_unit)
