"""The four feet where a drawing puts them: seen from above, the horse facing up the page. Pure."""

from collections.abc import Container
from dataclasses import dataclass

from caseboard.lib.words import FEET


@dataclass(frozen=True)
class DiagramFoot:
    """One foot of the drawing."""

    code: str
    is_marked: bool = False

    @property
    def is_left(self) -> bool:
        return FEET[self.code][0] == "left"

    @property
    def is_hind(self) -> bool:
        return FEET[self.code][1] == "hind"


def diagram_feet(marked: Container[str]) -> list[DiagramFoot]:
    """All four; those named in `marked` (a list of codes, or codes in a text) are drawn marked."""
    return [DiagramFoot(code, code in marked) for code in FEET]


def diagram_foot(code: str) -> DiagramFoot | None:
    """The foot of that code; nothing for anything else."""
    return DiagramFoot(code) if code in FEET else None
