"""The rules that read numbers; importing this module registers them, before the first horse is evaluated."""

from measurements.rules import jumps, numbers, schedule

__all__ = ["jumps", "numbers", "schedule"]
