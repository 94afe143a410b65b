"""What a row of the table of mutants says: one slip in one file, and the tests that must see it."""

from dataclasses import dataclass, replace
from pathlib import Path

HOME = Path(__file__).resolve().parents[2]


@dataclass(frozen=True)
class Mutant:
    """One slip that somebody could make. Named by its words: no two rows have the same."""

    slip: str
    old: str  # exact text
    new: str
    nth: int = 1  # which of how many occurrences of the text is changed
    of: int = 1
    file: str = ""
    tests: tuple[str, ...] = ()  # paths, or path::test; the quickest first
    fresh: bool = False  # the tables are made anew: the slip is in how they are made
    lives: str = ""  # why no test can see it; such rows count as survivors

    @property
    def needs_a_browser(self) -> bool:
        return any(path.startswith("tests/browser/") for path in self.tests)

    def applied(self, text: str) -> str:
        """The text of the file with the slip in it; refuses a row that no longer fits."""
        found = text.count(self.old)
        if found != self.of:
            raise Stale(f"{self.slip}: {self.file} has its old text {found} times, not {self.of}")
        parts = text.split(self.old)
        before, after = self.old.join(parts[: self.nth]), self.old.join(parts[self.nth :])
        return before + self.new + after


class Stale(Exception):
    """The code has moved on: the row's old text is not where it was."""


def rows(file: str, tests: str | tuple[str, ...], *slips: Mutant) -> tuple[Mutant, ...]:
    """The slips of one file; those that name no tests of their own are seen by `tests`."""
    usual = (tests,) if isinstance(tests, str) else tests
    return tuple(replace(slip, file=file, tests=slip.tests or usual) for slip in slips)
