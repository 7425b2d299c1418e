"""What an empty book is to hold, said without any spreadsheet library."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True, slots=True)
class Check:
    """What the spreadsheet program lets into a cell, and what it says of anything else.

    Attributes
    ----------
    kind
        ``number``, ``whole``, ``moment`` or ``list``.
    list_name
        Name, in the book, of the list; empty for a list of ``words``.
    words
        A short list without commas.
    at_least, above, at_most
        Bounds in the unit of the heading.
    strict
        Whether anything else is refused; otherwise the user is asked.
    says
        What is wrong and what to do.
    """

    kind: str
    says: str
    list_name: str = ""
    words: tuple[str, ...] = ()
    at_least: float | None = None
    above: float | None = None
    at_most: float | None = None
    strict: bool = True


@dataclass(frozen=True, slots=True)
class EntryColumn:
    """One column of an input sheet, ready to be filled in."""

    heading: str
    note: str
    width: float
    required: bool = False
    number_format: str = "General"
    right: bool = False
    check: Check | None = None


@dataclass(frozen=True, slots=True)
class EntrySheet:
    """One input sheet: its headings, rows that are filled in beforehand, and blank ones.

    Attributes
    ----------
    checks
        For each row filled in beforehand, the check of the cell in the column ``checked_column``.
    emphasised
        For each row filled in beforehand, whether its first cell must not stay without a value beside it.
    """

    name: str
    title: str
    purpose: str
    table: str
    columns: Sequence[EntryColumn]
    keys: int
    blank_rows: int = 0
    rows: Sequence[Sequence[Any]] = ()
    checks: Sequence[Check | None] = ()
    checked_column: int = 0
    emphasised: Sequence[bool] = ()
    optional: bool = False


@dataclass(frozen=True, slots=True)
class GuideRow:
    """One row of the guide: a label, a text, and the state whose look the label takes, if any."""

    label: str
    text: str
    state: str = ""
    sheet: str = ""
    """Sheet that the label leads to."""


@dataclass(frozen=True, slots=True)
class GuideSection:
    """A heading of the guide and the rows under it."""

    heading: str
    rows: Sequence[GuideRow]


@dataclass(frozen=True, slots=True)
class ColumnList:
    """A named list of the filled cells under a heading of an input sheet."""

    name: str
    sheet: str
    column: int


@dataclass(frozen=True, slots=True)
class TemplateContent:
    """An empty book: guide, input sheets, word lists, and named lists of names."""

    title: str
    guide: Sequence[GuideSection]
    sheets: Sequence[EntrySheet]
    paper: str
    words: dict[str, tuple[str, ...]] = field(default_factory=dict)
    """Named lists of words, kept on the sheet ``Lists``."""
    lists: Sequence[ColumnList] = ()
