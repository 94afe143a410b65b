"""The rules of this app; importing this module registers them, before the first horse is evaluated."""

from horses.rules import (
    calendar,
    lameness,
    missed_visits,
    plan,
    schedule,
    shoes,
    unanswered_flags,
)

__all__ = [
    "calendar",
    "lameness",
    "missed_visits",
    "plan",
    "schedule",
    "shoes",
    "unanswered_flags",
]
