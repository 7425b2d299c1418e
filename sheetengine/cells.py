"""Cell and range references: A1 text to row and column and back."""

from __future__ import annotations

import re
from dataclasses import dataclass

_A1 = re.compile(r"^\$?([A-Za-z]{1,3})\$?([1-9][0-9]*)$")
_PLAIN_SHEET = re.compile(r"^[A-Za-z_][A-Za-z0-9_]*$")


def column_letters(column: int) -> str:
    """Return the letters of a column number that counts from 1.

    >>> column_letters(1), column_letters(27), column_letters(703)
    ('A', 'AA', 'AAA')

    Raises
    ------
    ValueError
        The number is below 1.
    """
    if column < 1:
        raise ValueError(f"column {column} is below 1")
    letters = ""
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def column_number(letters: str) -> int:
    """Return the number, from 1, of a column given by letters.

    >>> column_number("A"), column_number("aa"), column_number("AAA")
    (1, 27, 703)
    """
    number = 0
    for letter in letters.upper():
        number = number * 26 + ord(letter) - ord("A") + 1
    return number


def quoted(sheet: str) -> str:
    """Return a sheet name as a formula writes it.

    >>> quoted("Lifts"), quoted("Form units"), quoted("it's")
    ('Lifts', "'Form units'", "'it''s'")
    """
    looks_like_a_cell = _A1.match(sheet) is not None
    if _PLAIN_SHEET.match(sheet) and not looks_like_a_cell:
        return sheet
    return "'" + sheet.replace("'", "''") + "'"


@dataclass(frozen=True, slots=True, order=True)
class CellRef:
    """One cell, or a whole sheet where row and column are 0."""

    sheet: str
    row: int = 0
    column: int = 0

    def __str__(self) -> str:
        """Return the reference as a user reads it, ``Lifts!F14``."""
        if not self.row:
            return self.sheet
        return f"{self.sheet}!{self.a1}"

    @property
    def a1(self) -> str:
        """The cell in A1 text; a reference to a sheet gives its first cell."""
        return f"{column_letters(max(self.column, 1))}{max(self.row, 1)}"

    @property
    def link(self) -> str:
        """The place as a hyperlink inside the workbook names it."""
        return f"{quoted(self.sheet)}!{self.a1}"


def parse_a1(text: str) -> tuple[int, int]:
    """Return row and column, from 1, of A1 text.

    >>> parse_a1("$F$14")
    (14, 6)

    Raises
    ------
    ValueError
        The text is no A1 reference.
    """
    match = _A1.match(text.strip())
    if match is None:
        raise ValueError(f"{text!r} is no cell reference")
    return int(match[2]), column_number(match[1])


@dataclass(frozen=True, slots=True)
class RangeRef:
    """A rectangle of cells on one sheet; rows and columns count from 1, both ends included."""

    sheet: str
    first_row: int
    first_column: int
    last_row: int
    last_column: int

    @property
    def a1(self) -> str:
        """The range in A1 text without the sheet."""
        first = f"{column_letters(self.first_column)}{self.first_row}"
        last = f"{column_letters(self.last_column)}{self.last_row}"
        return first if first == last else f"{first}:{last}"

    def __str__(self) -> str:
        """Return the range as a user reads it, ``Lifts!A5:F14``."""
        return f"{self.sheet}!{self.a1}"

    def holds(self, row: int, column: int) -> bool:
        """Return whether the cell lies in the range."""
        return self.first_row <= row <= self.last_row and self.first_column <= column <= self.last_column
