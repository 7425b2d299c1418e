"""What a sheet is to hold, said without any spreadsheet library."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import Enum
from typing import Any


class Look(Enum):
    """How a column of a sheet shows its values."""

    TEXT = "text"
    NUMBER = "number"
    COUNT = "count"
    MOMENT = "moment"
    VERDICT = "verdict"
    LEVEL = "level"
    LINK = "link"
    ENTRY = "entry"
    """A column in which the reviewer writes."""


@dataclass(frozen=True, slots=True)
class ColumnLook:
    """One column of a table: heading with unit, look, width and the note on its heading."""

    heading: str
    look: Look = Look.TEXT
    width: float = 12.0
    decimals: int = 2
    note: str = ""
    group: str = ""
    """Columns with one group text stand under one band heading."""
    hidden: bool = False


@dataclass(frozen=True, slots=True)
class Link:
    """A text that leads to a place in the same book."""

    text: str
    target: str
    """``Sheet!A1``, quoted as a formula would."""


@dataclass(frozen=True, slots=True)
class Formula:
    """A formula of our own with the value that it has, so that no viewer shows a blank.

    ``text`` stands without the sign of equality. Places in result sheets stand in it as :func:`cell_of` and
    :func:`column_of` give them, and become addresses once it is known where the tables stand.
    """

    text: str
    value: float | str | None


def cell_of(table: str, row: int, heading: str) -> str:
    """Return what stands in a formula for a cell of a table, its rows counted from 0."""
    return f"⟦{table}¦{row}¦{heading}⟧"


def column_of(table: str, heading: str) -> str:
    """Return what stands in a formula for all values of a column of a table."""
    return f"⟦{table}¦*¦{heading}⟧"


@dataclass(frozen=True, slots=True)
class Choice:
    """A drop-down list: the cell of a table that has it, and the column of a table that it offers."""

    table: str
    row: int
    heading: str
    offered: tuple[str, str]


@dataclass(frozen=True, slots=True)
class TableContent:
    """A heading row and the rows below it; ``rows`` hold numbers, texts, date-times, links, formulas or None."""

    name: str
    """Name of the table in the book, letters, digits and underscores."""
    columns: Sequence[ColumnLook]
    rows: Sequence[Sequence[Any]]


@dataclass(frozen=True, slots=True)
class Curve:
    """One line of a chart, taken from two columns of a data table."""

    title: str
    table: str
    x: str
    y: str
    kind: str = "line"
    """``line``, ``markers`` or ``steps``."""


@dataclass(frozen=True, slots=True)
class ChartContent:
    """A chart: title, axis titles, curves, and the heading it stands beside."""

    title: str
    x_title: str
    y_title: str
    curves: Sequence[Curve]
    kind: str = "scatter"
    """``scatter``, ``columns``, or ``bars`` (lying, first row on top, the curves in one line)."""
    alt_text: str = ""
    limit: float | None = None
    x_reversed: bool = False
    rows: int = 0
    """Rows that lying bars must have room for."""


@dataclass(frozen=True, slots=True)
class SheetContent:
    """One result sheet: title, lines under it, a main table, further tables and charts."""

    name: str
    title: str
    lines: Sequence[str]
    tables: Sequence[TableContent]
    charts: Sequence[ChartContent] = ()
    footer: str = ""
    landscape: bool = True
    paper: str = "A4"
    freeze_columns: int = 0
    facts: Sequence[tuple[str, Any]] = field(default_factory=tuple)
    """Pairs shown above the table, such as project, revision and digest."""
    choices: Sequence[Choice] = ()
    prints: bool = True
    """Whether the tables go to paper with the rest of the book; if not, only what stands above them does."""
    one_page: bool = False
    """Whether all of it is made to fit one page."""
