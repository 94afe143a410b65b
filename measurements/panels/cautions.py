"""Published cautions for the farrier's sheet, each with its source; shown at their fields. Pure."""

from collections.abc import Mapping

from measurements.hoof.mechanics import WARN_CHANGE_PER_VISIT_DEG
from measurements.hoof.quantities import TrimState

# The limit and its source: measurements/hoof/mechanics.py.
ANGLE = (
    f"No more than about {WARN_CHANGE_PER_VISIT_DEG:g}° of change at one visit (a single "
    "practitioner's published advice; no study found)."
)
# Under a vet's direction: from memory; reviews describe the shared responsibility.
WEDGE = (
    f"Therapeutic wedges: under the vet's direction. About {WARN_CHANGE_PER_VISIT_DEG:g}° at one "
    "visit at most (a single practitioner's advice)."
)
AFTER_SHOEING = (
    "Tomorrow: feel each shod foot for heat and pulse. One warm foot may be a close nail: the "
    "farrier if it is mild, the vet if it is marked or the horse is lame (common practice, no "
    "source)."
)


def large_changes(toe_angles: Mapping[tuple[str, str], float]) -> list[tuple[str, float]]:
    """The feet that one visit changed by more than the advice, with the change. `toe_angles` are
    the visit's readings by foot and trim state."""
    found = []
    for foot in dict.fromkeys(foot for foot, _ in toe_angles):
        before = toe_angles.get((foot, TrimState.BEFORE.value))
        after = toe_angles.get((foot, TrimState.AFTER.value))
        if before is not None and after is not None:
            change = after - before
            if abs(change) > WARN_CHANGE_PER_VISIT_DEG:
                found.append((foot, change))
    return found
