"""What must be so fast, a line each: `python -m tests.bench.all` measures and compares them.

Ratios to something of the same run, so that they hold on any machine. A measure may build what it
needs in the database, which is an empty one of its own; several lines may share one measurement
(`functools.cache`). `quick` asks for a rough figure.
"""

from collections.abc import Callable
from dataclasses import dataclass

from tests.bench import first_load, first_paint, judging, pages, sheet, start, writes

Measure = Callable[[bool], float]
SPARE = 1.2  # a goal counts as missed when it is missed by more than a fifth: machines are noisy


@dataclass(frozen=True)
class Goal:
    name: str
    measure: Measure
    goal: float
    unit: str
    smaller_is_better: bool = True
    # What holds until the page that is to reach the goal is made anew: it may not get worse.
    meanwhile: float | None = None

    def is_missed(self, measured: float) -> bool:
        """Beyond what the noise of a machine explains."""
        return self._is_worse(measured, self.goal if self.meanwhile is None else self.meanwhile)

    def is_reached(self, measured: float) -> bool:
        return not self._is_worse(measured, self.goal)

    def _is_worse(self, measured: float, than: float) -> bool:
        if self.smaller_is_better:
            return measured > than * SPARE
        return measured < than / SPARE


VIEWS, TIMES = "bare views", "times"
GOALS: tuple[Goal, ...] = (
    Goal("board, 60 readings", pages.views_of("board", "60"), 10, VIEWS, meanwhile=16),
    Goal("board, 5,000 to 60 readings", pages.growth_of("board"), 1.5, TIMES),
    Goal("series page, 5,000 to 60 readings", pages.growth_of("series"), 1.5, TIMES),
    Goal("visit form, 60 readings", pages.views_of("visit form", "60"), 15, VIEWS),
    Goal("visit form, 5,000 to 60 readings", pages.growth_of("visit form"), 1.5, TIMES),
    Goal("visit form, nodes", pages.nodes_of("visit form"), 600, "nodes"),
    Goal("visit form, compressed", pages.kilobytes_of("visit form"), 12, "kB"),
    Goal("plan sheet, 5,000 to 60 readings", pages.growth_of("sheet"), 1.5, TIMES),
    Goal("herd, 500 horses to a page of 60", pages.herd_growth, 2, TIMES, meanwhile=2.4),
    Goal("day list, 200 stops to 25", pages.day_list_growth, 2, TIMES, meanwhile=2.6),
    Goal("queries, 5,000 readings more than 60", pages.queries_more, 0, "queries"),
    Goal("judging a toe, unseen", judging.ms_of(heel=False), 25, "ms"),
    Goal("judging toe and heel, unseen", judging.ms_of(heel=True), 25, "ms"),
    Goal("judging 1,000 feet, one core", judging.thousand_feet, 20, "s"),
    Goal("a command that does nothing, to a bare project", start.version_times, 1.5, TIMES),
    # A tenth of it is the search for printed cards on the demo's pictures, in a process of their own.
    Goal("demo from nothing (12 s)", start.demo_starts, 60, "bare starts", meanwhile=68),
    Goal("note told to a team (5 ms)", writes.note_transactions, 385, "bare transactions"),
    Goal(
        "import, to bulk_create of its readings", writes.import_bulk_creates, 3, TIMES, meanwhile=6
    ),
    Goal("plan sheet, 12 items", sheet.blanks_of(12), 40, "blank pages", meanwhile=60),
    Goal("first load of a board, requests", first_load.requests_of, 7, "requests"),
    Goal("first load of a board, without fonts", first_load.kilobytes_of, 45, "kB"),
    Goal("first load of a board, largest font", first_load.font_kilobytes, 20, "kB"),
    Goal("first paint of a board at 400 kbit/s and 400 ms", first_paint.first_paint_s, 2.0, "s"),
)
