"""What is odd about a band, in words: asked before it is saved, and no steps are offered to it."""

from dataclasses import dataclass

from measurements.hoof.bands import (
    BandDoubt,
    band_doubts,
    edges_after_trim,
    least_width,
    way_to_band,
)
from measurements.hoof.growth import expected_change
from measurements.hoof.quantities import QUANTITIES, Moment
from measurements.queries.numbers import Numbers
from measurements.verdicts.bands import Edges
from measurements.verdicts.levels import PresentLevel
from measurements.wording import band_range_words, value_words


@dataclass(frozen=True)
class Asked:
    """A band as it is looked at: where the foot stands just after its trim, and what grows."""

    quantity: str
    moment: str
    edges: Edges
    level: float | None
    grown: float

    @property
    def after_trim(self) -> Edges:
        return edges_after_trim(*self.edges, Moment(self.moment), self.grown)

    @property
    def doubts(self) -> tuple[BandDoubt, ...]:
        return band_doubts(
            QUANTITIES[self.quantity],
            *self.edges,
            moment=Moment(self.moment),
            level=self.level,
            grown=self.grown,
        )

    def words(self, unit: str = "") -> list[str]:
        """One sentence a doubt, in the reader's unit."""
        said = {
            BandDoubt.NARROW: self._narrow,
            BandDoubt.UNUSUAL: self._unusual,
            BandDoubt.FAR: self._far,
        }
        return [said[doubt](unit) for doubt in self.doubts]

    def _narrow(self, unit: str) -> str:
        low, high = self.edges
        assert low is not None
        assert high is not None  # an open band has no width
        of, width = QUANTITIES[self.quantity], high - low
        wide = f"This band is {value_words(self.quantity, width, unit)} wide"
        if width < (error := least_width(of)):
            return (
                f"{wide}: two readings of an unchanged foot may differ by "
                f"{value_words(self.quantity, error, unit)}."
            )
        grown = value_words(self.quantity, abs(self.grown), unit)
        return f"{wide}, and from trim to trim the foot changes by about {grown}."

    def _unusual(self, unit: str) -> str:
        of = QUANTITIES[self.quantity]
        usual = band_range_words(self.quantity, of.plausible_low, of.plausible_high, unit)
        return f"Hardly any horse has a {of.label} outside of {usual}."

    def _far(self, unit: str) -> str:
        assert self.level is not None  # far from it
        way = way_to_band(self.level, *self.after_trim)
        return (
            f"The foot stands at about {value_words(self.quantity, self.level, unit)}: that is "
            f"{value_words(self.quantity, way, unit)} away."
        )


def band_asked(
    numbers: Numbers,
    foot: str,
    quantity: str,
    moment: str,
    edges: Edges,
    level: PresentLevel | None,
) -> Asked:
    """`level` None: no reading whose trim is known; then the newest reading speaks, if there is
    one. What only a film shows is taken as filmed."""
    filmed = QUANTITIES[quantity].is_filmed
    newest = numbers.latest(foot, quantity)
    if filmed or level is None:
        value = None if newest is None else float(newest.value)
        return Asked(quantity, Moment.ANY_TIME, edges, value, 0.0)
    grown = expected_change(level.growth, numbers.horse.interval_days)[0]
    return Asked(quantity, moment, edges, level.value, grown)
