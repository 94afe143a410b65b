"""Finding a farrier and keeping one: whom to ask, what to ask, and what is asked of the owner. Pure.

Things to talk about, each with its source. No person or firm is recommended.
"""

from horses.domain.sourced import COMMON, MEMORY, NO_STUDY, Sourced

FLORIDA = "University of Florida, advice for owners"
COUNCIL = "the British registration council, on the owner's duties"

WHERE = (
    Sourced("Your vet: they see the work of many farriers, and will have to work with yours."),
    Sourced("Barns with many horses near you: who comes, and who comes on the day that was said?"),
    Sourced(
        "The body that registers or certifies farriers where you are. There may be no licence: in "
        "Great Britain only a registered person may shoe; in the United States anybody may, and "
        "exams are voluntary; in Germany shoeing needs the state's approval.",
        "the national rules, as published; ask which hold where you are",
    ),
    Sourced(
        "In Australia, New Zealand and Canada many learn by apprenticeship, and mostly no licence is "
        "asked for.",
        MEMORY,
    ),
)
ASK = (
    Sourced("How did you learn, and how long have you done it?", FLORIDA),
    Sourced("How many horses a month, and how many that do what mine does?", FLORIDA),
    Sourced("Do you know the rules for shoes in my sport?", FLORIDA),
    Sourced("May I watch you at another horse first?", FLORIDA),
    Sourced("Do you work with my vet, and look at films together?", COMMON),
    Sourced("Which weeks are you away, and who comes then?", COMMON),
    Sourced("How soon do you come for a lost shoe?", COMMON),
)
KEEP = (
    Sourced("A clean, dry, level, well-lit place that is not slippery, with shelter.", COUNCIL),
    Sourced(
        "A horse with dry feet that was taught to stand, and somebody who can hold it.", COUNCIL
    ),
    Sourced("Say beforehand what it does: who kicks, who leans, who sits back when tied.", COUNCIL),
    Sourced("Set the next day before they leave, with a time; write down what was agreed.", COMMON),
    Sourced("Pay on the day.", COMMON),
)
STAND_IN = (
    Sourced("Ask your farrier who stands in, and invite them to this board before a shoe is lost."),
    Sourced("Let the stand-in read the board: the last work on each foot is written there."),
)
PUNCTUAL = Sourced("Whether a farrier who keeps the days keeps the feet better", NO_STUDY)
