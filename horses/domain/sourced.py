"""A sentence of advice with where it comes from. Pure."""

from dataclasses import dataclass

COMMON = "common practice, no source"
MEMORY = "from memory, not checked"
NO_STUDY = "no study found"


@dataclass(frozen=True)
class Sourced:
    words: str
    source: str = COMMON

    @property
    def is_open(self) -> bool:
        """Nobody has looked into it, as far as we found."""
        return self.source == NO_STUDY
