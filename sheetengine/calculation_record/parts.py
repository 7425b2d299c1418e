"""What a calculation record is made of, said without any file format."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sheetengine.content import ChartContent, ColumnLook, Link, Look, TableContent

NUMBERS = (Look.NUMBER, Look.COUNT)
COLOURS = ("#2B2C66", "#A87412", "#74416F", "#4F7C8A", "#8A5A3C", "#46525E")
DASHES = ("solid", "dashed", "dotted", "dashdot", (0, (8, 3)), (0, (8, 2, 2, 2, 2, 2)))
MARKS = ("o", "D", "s", "^", "x", "+")
LIMIT = "#8C2F5B"
"""Of the curves of a chart, in order: told apart by dash and mark as well, so that they read in grey print."""


@dataclass(frozen=True, slots=True)
class RecordTable:
    """A table of the record; the widths of its columns count against each other only."""

    title: str
    columns: Sequence[ColumnLook]
    rows: Sequence[Sequence[Any]]
    note: str = ""


@dataclass(frozen=True, slots=True)
class Part:
    """One part of the record: heading, paragraphs, tables, charts, in this order."""

    title: str
    lines: Sequence[str] = ()
    tables: Sequence[RecordTable] = ()
    charts: Sequence[ChartContent] = ()


@dataclass(frozen=True, slots=True)
class CalculationRecord:
    """A whole record.

    Attributes
    ----------
    title, facts
        What stands on the front page: heading, and pairs of name and text.
    head
        Left, middle and right of the header of every page.
    parts
        In the order of the pages.
    chart_data
        Tables that the charts are drawn from, by name.
    paper
        ``A4`` or ``Letter``.
    warning
        What stands across the front page and in every header, such as that the results are stale; mostly empty.
    """

    title: str
    facts: Sequence[tuple[str, str]]
    signatures: Sequence[str]
    cautions: Sequence[str]
    head: tuple[str, str, str]
    parts: Sequence[Part]
    chart_data: Mapping[str, TableContent]
    paper: str
    warning: str = ""


def shown(value: Any, look: ColumnLook) -> str:
    """Return a value as the record prints it; blanks are empty.

    >>> shown(2.345, ColumnLook("", Look.NUMBER, decimals=1)), shown(float("nan"), ColumnLook("", Look.NUMBER))
    ('2.3', '')
    >>> shown(1234567.0, ColumnLook("", Look.NUMBER, decimals=0)), shown(0.0000123, ColumnLook("", Look.NUMBER))
    ('1234567', '1.23e-05')
    """
    if isinstance(value, Link):
        return value.text
    if isinstance(value, bool):
        return "yes" if value else "no"
    if hasattr(value, "item") and not isinstance(value, (int, float, str)):
        value = value.item()
    if value is None or value != value:  # noqa: PLR0124 - not a number, or no time
        return ""
    if isinstance(value, dt.datetime):
        return f"{value:%Y-%m-%d %H:%M}"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        if math.isinf(value):
            return "no resistance" if value > 0.0 and "ratio" in look.heading else f"{value:+}"
        return _number(value, 0 if look.look is Look.COUNT else look.decimals)
    return str(value).strip()


def _number(value: float, decimals: int) -> str:
    text = f"{value:.{decimals}f}"
    if value and abs(value) < 0.5 * 10.0**-decimals:
        return f"{value:.3g}"
    return text if float(text) else text.lstrip("-")


def plain_number(value: float) -> str:
    """Return an input as it was most likely typed: no trailing zeros, no last digits of a conversion.

    >>> plain_number(2.5), plain_number(22.799999999999997), plain_number(3.9e-14), plain_number(33000.0)
    ('2.5', '22.8', '0', '33000')
    """
    rounded = round(value, 9)
    return f"{rounded:.7g}" if abs(rounded) < 1e7 else f"{rounded:.0f}"
