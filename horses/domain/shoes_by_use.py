"""Shoes by what the horse does: things to discuss with the farrier, never an order. Pure.

Each line says what people usually do and what was found about it, with the source; "no study found"
where that is so.
"""

from dataclasses import dataclass

from horses.domain.sourced import COMMON, MEMORY, NO_STUDY, Sourced


@dataclass(frozen=True)
class ShoesFor:
    what: str
    usual: Sourced
    found: tuple[Sourced, ...] = ()
    uses: frozenset[str] = frozenset()  # of Horse.Use: where this horse's own use is one of them


BY_USE = (
    ShoesFor(
        "Sliding work behind (reining)",
        Sourced("Wide smooth hind plates with long heels; grip in front."),
        (
            Sourced("Described, not tried: 3/4 to 1 1/2 inches wide.", "US university extension"),
            Sourced("Sliders are not for mixed work.", COMMON),
        ),
        frozenset({"sport"}),
    ),
    ShoesFor(
        "Quick turns (jumping, cutting, polo)",
        Sourced("Plain or rimmed steel; removable studs, as few as will do."),
        (
            Sourced(
                "One stud in the outer heel cut the slip of all feet, 9 horses on grass. What it does to "
                "joints was not looked at.",
                "Vet J 2012;192:217",
            ),
        ),
        frozenset({"sport"}),
    ),
    ShoesFor(
        "Road and driving",
        Sourced("Hard-faced shoes, or steel with plastic."),
        (
            Sourced(
                "On concrete plastic with steel gripped best, hard facing well; 5 horses.",
                "Wang et al. 2021",
            ),
        ),
        frozenset({"driven"}),
    ),
    ShoesFor(
        "Dressage, trails, school",
        Sourced("Flat steel or aluminium; pads where soles are thin, with the vet."),
        (
            Sourced(
                "Aluminium, steel or bare, 12 horses: the hoof's path in the air changed; stride length "
                "and symmetry did not.",
                "Gottleib et al. 2025",
            ),
        ),
        frozenset({"ridden", "school"}),
    ),
    ShoesFor(
        "Gaits",
        Sourced("Weight and length of foot within the rules of the breed's sport."),
        (
            Sourced("Check the current rule book: they change, and weight tires.", MEMORY),
            Sourced("More weight, longer toe, better gait for longer", NO_STUDY),
        ),
        frozenset({"sport"}),
    ),
    ShoesFor(
        "Flat racing",
        Sourced("Aluminium plates; toe grabs as low as the rules say, or none."),
        (
            Sourced(
                "Regular toe grabs: 3.5 times the odds of a fatal injury, 201 dead racehorses; not "
                "adjusted for training.",
                "Kane et al. 1996",
            ),
            Sourced(
                "No clear link with fractures of the sesamoid bones, 269 horses: studies disagree.",
                "Anthenill et al. 2007, as reported by others",
            ),
        ),
        frozenset({"sport"}),
    ),
    ShoesFor(
        "Harness racing",
        Sourced("Shoes changed with the going, sometimes bare."),
        (
            Sourced(
                "Bare was 0.7 s/km faster, with 15 to 35 % more risk of galloping and being disqualified.",
                "Animal Sci J 2020, about 190,000 starts",
            ),
        ),
        frozenset({"sport", "driven"}),
    ),
    ShoesFor(
        "Winter",
        Sourced("Studs or hard facing, pads against balled snow, or bare."),
        (Sourced("Enough grip, not the most: the leg takes what does not slide.", COMMON),),
    ),
    ShoesFor(
        "Resting, at grass, growing up",
        Sourced("Often bare; hind shoes come off in a group that kicks."),
        (
            Sourced(
                "Bones struck at 8 m/s were damaged by steel or aluminium in 25 of 32 trials, by plastic or "
                "a bare hoof in none; at 12 m/s by a bare hoof in 2 of 16. A laboratory, no herd.",
                "a Zurich thesis, as reported by others",
            ),
        ),
        frozenset({"rest", "breeding", "young"}),
    ),
)
MATERIALS = (
    Sourced("Steel wears long and can be reset; aluminium is light, wears fast, is often thicker."),
    Sourced(
        "A rim or fullering fills with earth and grips; a smooth plate slides. Both on purpose."
    ),
    Sourced("A pad covers the sole and hides it: ask how it will be looked at."),
    Sourced(
        "Glue held the heels more than nails did, 7 horses; nails behind the quarters held them too, "
        "in dead feet.",
        "Yoshihara et al. 2010; Dahl et al. 2023",
    ),
    Sourced("Most ways of shoeing rest on tradition.", "Eliashar 2007, a review"),
)
