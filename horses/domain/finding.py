"""What a rule finds. Pure, except that it may name the case it belongs to."""

import math
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from horses.models import Case


@dataclass(frozen=True)
class Finding:
    """What one rule found: which rule, about what, how heavy, in words, and with which numbers."""

    rule: str
    subject: str
    title: str
    sentence: str
    evidence: dict[str, Any] = field(default_factory=dict)
    weight: str = "alert"  # "alert" tells people; "remark" only stands on the board
    true_since: datetime | None = None
    case: Case | None = None
    # Findings of one cause are one card and are raised once: "LF:angles". Empty: a cause of its own.
    cause: str = ""
    way: str = ""  # which way it goes, where there are two: the other way is another finding
    # How bad it is, in the finding's own unit and growing with it, with its standard error: "worse
    # than when you answered" needs both. None where the finding has no degrees.
    severity: float | None = None
    severity_sd: float = 0.0
    # Somebody could be about to hurt the horse: alerts at first sight, quiet by a vet's word only.
    danger: bool = False

    def __post_init__(self) -> None:
        if not math.isfinite(self.severity or 0.0) or not 0.0 <= self.severity_sd < math.inf:
            raise ValueError(f"{self.rule}: a severity and its error are real numbers.")

    @property
    def key(self) -> tuple[str, str]:
        return self.rule, self.subject
