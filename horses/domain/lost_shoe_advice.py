"""What to do about a lost shoe until the farrier comes, and how long the farrier has to answer.

Decided 2026-11: the farrier is told of a lost shoe first, the stand-in by the clock. While it is
being seen to, the incomplete pair is a remark, or its alert would tell the stand-in at once. The
flag closes with what became of the shoe, not with an answer.
"""

from dataclasses import dataclass
from datetime import timedelta

from horses.domain.urgent_signs import LEAVE_IT

# From telling the farrier until the stand-in is told as well. House default: time to finish the
# horse under one's hands and look at the phone; trade practice wants the call within a day.
STAND_IN_AFTER = timedelta(hours=4)
# So long a pair that is not complete stands as a remark, while its lost shoe is being seen to; then
# it is an alert of its own. House default.
FRESH = timedelta(days=2)

PRACTICE = "common practice, no source"
VET_HOSPITAL = "University of Florida Large Animal Hospital, 2012"


@dataclass(frozen=True)
class Advice:
    words: str
    source: str

    @property
    def is_published(self) -> bool:
        return self.source != PRACTICE


TILL_THEN = (
    Advice("Bring the horse in, or keep it on soft ground. No riding.", PRACTICE),
    Advice(
        "Pick out the foot and look for nail pricks, a bent clip in the sole, or heat.", PRACTICE
    ),
    Advice(
        f"A nail still in the sole, call your vet now. {LEAVE_IT} Stop the horse walking.",
        VET_HOSPITAL,
    ),
    Advice("Wrap the foot or put a boot on, so that the wall does not break away.", PRACTICE),
    Advice(
        "Find the shoe, and count its nails: a stray one will be trodden on. Keep the shoe.",
        PRACTICE,
    ),
    Advice(
        "Lame, hot, or a strong pulse: write it down as something not right, and phone.", PRACTICE
    ),
)
