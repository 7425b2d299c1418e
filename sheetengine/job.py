"""The job as it was read, and the results as they were computed."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from sheetengine.cells import CellRef
from sheetengine.columns import Rows, Table
from sheetengine.findings import Finding
from sheetengine.sources import Source

if TYPE_CHECKING:
    import pandas as pd

    from sheetengine.hand_check.data import HandCheck


FOUNDATION_NAME = "foundation"
"""What stands for the lift, letter case aside, where a row is about the foundation of a block."""


@dataclass(frozen=True, slots=True)
class Item:
    """One line of the ``Job`` sheet, in the engine's unit."""

    name: str
    text: str
    number: float
    at: CellRef
    given: bool


@dataclass(frozen=True, slots=True)
class Default:
    """A value that was taken because a cell was blank."""

    sheet: str
    heading: str
    value: str
    blanks: int


@dataclass(slots=True)
class Job:
    """Everything read from a book: settings, tables in base units, findings of the reading.

    Attributes
    ----------
    items
        Lines of the ``Job`` sheet by name.
    tables
        One table for each declared sheet, empty where an optional sheet is absent.
    findings
        What the reading noticed short of a fault.
    defaults
        Every default taken.
    digest
        SHA-256 of every input the results depend on.
    """

    items: dict[str, Item]
    tables: dict[str, Table]
    findings: list[Finding] = field(default_factory=list)
    defaults: list[Default] = field(default_factory=list)
    digest: str = ""

    def text(self, name: str) -> str:
        """Return the text of a ``Job`` item, empty where it is blank."""
        return self.items[name].text

    def number(self, name: str) -> float:
        """Return the number of a ``Job`` item in the engine's unit, ``nan`` where it is blank."""
        return self.items[name].number

    def yes(self, name: str) -> bool:
        """Return whether a yes/no item is yes."""
        return self.items[name].number == 1.0

    def lift_of(self, sheet: str) -> Rows:
        """Return, for each row of an optional sheet, the row of its lift, -1 where there is none."""
        return self.tables["Lifts"].spread_pairs("block", "lift", self.tables[sheet])

    def lift_name(self, item: int) -> str:
        """Return block and lift of a row of ``Lifts`` as a reader says them, ``B1/3``."""
        lifts = self.tables["Lifts"]
        return f"{lifts.label('block')[item]}/{lifts.label('lift')[item]}"

    def lift_called(self, name: str) -> int:
        """Return the row of the lift that is called ``Block/Lift``, -1 where there is none."""
        wanted = "".join(name.split()).casefold()
        for item in range(len(self.tables["Lifts"])):
            if "".join(self.lift_name(item).split()).casefold() == wanted:
                return item
        return -1

    def table(self, sheet: str) -> Table:
        """Return the table of a sheet."""
        return self.tables[sheet]


@dataclass(slots=True)
class Results:
    """What was computed, as frames with the headings of the result sheets, in base units.

    Attributes
    ----------
    frames
        ``Pressures``, ``Anchor demand``, ``Strength ready``, ``Embed counts``, ``Bar counts``,
        ``Programme``, ``Wind``, ``Crane picks``; more may follow.
    findings
        Every flag, most serious first.
    record
        Lines of the run record: heading and text.
    series
        Curves for the charts, by name.
    digest
        Digest of the inputs that these results belong to.
    result_units
        ``metric`` or ``US``: the units in which the sheets show the results.
    reopens_at
        Part by which a signed value may get worse before its flag opens again. [-]
    hand
        What the hand check rests on.
    inputs
        What the results rest on: by sheet, key and heading, as text.
    formulas
        Source of every formula that was evaluated, with what the formula gives.
    """

    frames: dict[str, pd.DataFrame]
    findings: list[Finding]
    record: list[tuple[str, str]]
    series: dict[str, pd.DataFrame] = field(default_factory=dict)
    digest: str = ""
    result_units: str = "metric"
    reopens_at: float = 0.02
    hand: HandCheck | None = None
    inputs: dict[tuple[str, str, str], str] = field(default_factory=dict)
    formulas: list[tuple[Source, str]] = field(default_factory=list)
