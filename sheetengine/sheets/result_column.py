"""What one column of a result sheet is, and the columns that many sheets share."""

from __future__ import annotations

from dataclasses import dataclass

from sheetengine.content import Look
from sheetengine.units import MEASURES, Measure


@dataclass(frozen=True, slots=True)
class ResultColumn:
    """One column of a result sheet; ``measure_name`` says what its numbers are and in which units they go out."""

    name: str
    look: Look = Look.TEXT
    measure_name: str = "number"
    decimals: int = 2
    width: float = 12.0
    note: str = ""
    group: str = ""

    @property
    def measure(self) -> Measure:
        """The measure of the column's numbers."""
        return MEASURES[self.measure_name]

    def heading(self, us: bool) -> str:
        """Return the heading with its unit in brackets."""
        unit = self.measure.us if us else self.measure.metric
        return f"{self.name} [{unit}]" if unit and self.look is Look.NUMBER else self.name


BLOCK = ResultColumn("Block", Look.TEXT, width=8)
LIFT = ResultColumn("Lift", Look.TEXT, width=7)
SLACK_NOTE = "Planned less ready; negative: too early by that much."
