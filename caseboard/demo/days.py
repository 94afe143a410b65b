"""The demo's days, counted back from the moment it is loaded; the farrier comes on Tuesdays."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from itertools import cycle, islice

TUESDAY = 1
WEEK = timedelta(weeks=1)


@dataclass(frozen=True)
class Days:
    """Turns "two weeks before the last farrier day" into dates and moments."""

    now: datetime

    @property
    def last_farrier_day(self) -> date:
        """A Tuesday three to nine days back: there is room for what people said since."""
        latest = self.now.date() - timedelta(days=3)
        return latest - timedelta(days=(latest.weekday() - TUESDAY) % 7)

    def weeks_back(self, weeks: int, *, days: int = 0) -> date:
        """That many weeks before the last farrier day, and some days later (or earlier)."""
        return self.last_farrier_day - weeks * WEEK + timedelta(days=days)

    def at(self, day: date, clock: str = "11:00") -> datetime:
        """A moment of a day that has come, never later than now."""
        moment = datetime.combine(day, time.fromisoformat(clock), tzinfo=self.now.tzinfo)
        return min(moment, self.now)

    def back(self, days: int, clock: str) -> datetime:
        """A moment so many days before today."""
        return self.at(self.now.date() - timedelta(days=days), clock)

    def visits(self, count: int, *, last: int, gaps: Sequence[int]) -> list[date]:
        """`count` farrier days, oldest first: the last one `last` weeks back, the gaps in weeks
        repeated backwards from it."""
        weeks = [last]
        for gap in islice(cycle(gaps), count - 1):
            weeks.append(weeks[-1] + gap)
        return [self.weeks_back(back) for back in reversed(weeks)]
