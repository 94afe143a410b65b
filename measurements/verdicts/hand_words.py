"""What is said of a quiet foot that came into other hands: it does not reassure."""

from measurements.hoof.quantities import Method
from measurements.verdicts.hand_changes import SAME_FOOT_PAIRS_NEEDED, HandChange
from measurements.wording import foot_quantity, full_day_words, number_words

HANDS_SHORT = "a change cannot be told from a change of hands"


def unsettled_words(foot: str, quantity: str, change: HandChange) -> str:
    """That a changed foot cannot be told from a changed hand, and what settles it."""
    since = f"Since {full_day_words(change.on)}"
    what = foot_quantity(foot, quantity)
    old, new = Method(change.old.method).label, Method(change.new.method).label
    if change.is_one_person:
        start = f"{since} the {what} is measured by {new}, before by {old}."
        reads = "Two ways of measuring read a foot differently"
        both = "measure the same foot in both ways"
    else:
        way = "" if old == new else f" (by {new}, before by {old})"
        start = (
            f"{since} {change.new.taken_by_name} measures the {what}, before that "
            f"{change.old.taken_by_name}{way}."
        )
        reads = "Two people read a foot differently"
        both = "both measure the same foot"
    return (
        f"{start} {reads}, so the numbers cannot tell a changed foot from a changed hand here: a "
        f"change at that time may not show. What settles it: {both} at the same moment of one day, "
        f"{number_words(SAME_FOOT_PAIRS_NEEDED)} times; {_so_far(change)}.{_cheapest(change)}"
    )


def _so_far(change: HandChange) -> str:
    count = number_words(change.same_foot) if change.same_foot else "none"
    words = f"{count} of them so far"
    if change.other_feet:
        words += f", and {number_words(change.other_feet)} on other feet, which say less"
    return words


def _cheapest(change: HandChange) -> str:
    """What costs nothing the next time, where it was not done this time."""
    if change.measured_before or change.is_one_person:
        return ""
    return " Next time, let the new one measure before the first trim: that settles most of it."
