"""A mixture of normal laws: its exact quantiles, by halving."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

HALVINGS = 60
REACH_SD = 12.0


@dataclass(frozen=True)
class Mixture:
    """Parts as (weight, mean, SD); the weights need not sum to 1."""

    parts: Sequence[tuple[float, float, float]]

    def below(self, value: float) -> float:
        """The probability of less than `value`."""
        total = sum(weight for weight, _, _ in self.parts)
        under = 0.0
        for weight, mean, sd in self.parts:
            if sd == 0.0:
                under += weight * (mean <= value)
            else:
                under += weight * 0.5 * math.erfc((mean - value) / (sd * math.sqrt(2.0)))
        return under / total

    def quantile(self, share: float) -> float:
        """The value that so large a share lies under."""
        low = min(mean - REACH_SD * sd for _, mean, sd in self.parts)
        high = max(mean + REACH_SD * sd for _, mean, sd in self.parts)
        for _ in range(HALVINGS):
            middle = (low + high) / 2
            low, high = (middle, high) if self.below(middle) < share else (low, middle)
        return (low + high) / 2

    def estimate(self) -> tuple[float, float, float]:
        """The median and the central 95 %."""
        return self.quantile(0.5), self.quantile(0.025), self.quantile(0.975)

    def joined(self, share: float, other: "Mixture") -> "Mixture":
        """This law with a chance of `share`, the other one else."""
        return Mixture(
            [(share * w / self._total, m, s) for w, m, s in self.parts]
            + [((1 - share) * w / other._total, m, s) for w, m, s in other.parts]
        )

    @property
    def _total(self) -> float:
        return sum(weight for weight, _, _ in self.parts)
