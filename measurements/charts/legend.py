"""The words beside a chart's marks, only for the marks that are on it. Pure."""

from dataclasses import dataclass

from measurements.charts.model import AFTER, ANY, BEFORE, BETWEEN, Chart

MOMENTS = {AFTER: "just after the trim", BEFORE: "at the end of the cycle", ANY: "at any time"}


@dataclass(frozen=True)
class LegendLine:
    """One mark and its words; `mark` names the drawing in the template."""

    mark: str
    words: str

    @property
    def draws(self) -> dict[str, bool]:
        """The drawing by name, as the template asks: `draws.before`."""
        return {self.mark.replace("-", "_"): True}


def chart_legend(chart: Chart) -> list[LegendLine]:
    """The lines of the legend, marks first, then lines and areas."""
    kinds = {dot.kind for dot in chart.dots if dot.note != "corrected"}
    notes = {dot.note for dot in chart.dots}
    lines = [
        (BEFORE in kinds, "before", "before the trim"),
        (AFTER in kinds, "after", "after the trim"),
        (BETWEEN in kinds, "between", "between visits"),
        ("doubt" in notes, "doubt", "measure again, please"),
        ("corrected" in notes, "corrected", "corrected or taken off"),
        (bool(chart.trims), "trim", "a trim"),
        (len(chart.level) > 1, "level", "level at the trim, growth allowed for, and its range"),
        (len(chart.forecast) > 1, "forecast", "if it goes on, and its range"),
    ]
    found = [LegendLine(mark, words) for shown, mark, words in lines if shown]
    return found + [
        LegendLine(f"band-{band.moment}", f"{band.words or 'the band'}, {MOMENTS[band.moment]}")
        for band in chart.bands
    ]
