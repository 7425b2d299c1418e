"""Rows that a reader would stumble over: hidden ones, and numbers unlike those above and below them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from sheetengine.cells import CellRef, column_letters
from sheetengine.columns import Table
from sheetengine.findings import Code, Finding, Level
from sheetengine.grids import Grid
from sheetengine.sheets.declarations import Kind, SheetDeclaration
from sheetengine.units import from_base

LEAST_ROWS = 6
"""Rows from which a column has a middle that a value can be held against."""
TIMES = 5.0
"""A value this many times the middle of its column, or less than that part of it, is questioned; common practice."""
_ROWS_NAMED = 8
_NO_ZERO = ("temperature", "temperature difference")
"""Measures whose values have no ratio that means something."""
_COMPARED = ("Lifts",)
"""Sheets whose rows are alike enough to be held against each other."""


def hidden_inputs(
    grid: Grid, items: Sequence[int], columns: Mapping[str, tuple[int, str]]
) -> Iterator[Finding]:
    """Return a finding for the rows, and one for the columns, that are hidden and count all the same."""
    rows = [row for row in items if row in grid.hidden_rows]
    if rows:
        named = ", ".join(map(str, rows[:_ROWS_NAMED])) + (" …" if len(rows) > _ROWS_NAMED else "")
        yield Finding(
            Level.ACCEPT, Code.HIDDEN_INPUT, CellRef(grid.sheet, rows[0], 1),
            f"{grid.sheet}: row{'s' if len(rows) > 1 else ''} {named} {'are' if len(rows) > 1 else 'is'} hidden, by hand or by a filter, and "
            f"count{'' if len(rows) > 1 else 's'} like any other.",
            found=f"{len(rows)} hidden", limit="none", clears="Show the rows and look at them; take out what should not count.",
            keys=("hidden rows", grid.sheet), heading="rows", about=(f"{len(rows)} rows",),
        )  # fmt: skip
    hidden = sorted(number for number, _ in columns.values() if number in grid.hidden_columns)
    if hidden and items:
        named = ", ".join(column_letters(number) for number in hidden)
        yield Finding(
            Level.ACCEPT, Code.HIDDEN_INPUT, CellRef(grid.sheet, items[0], hidden[0]),
            f"{grid.sheet}: column{'s' if len(hidden) > 1 else ''} {named} {'are' if len(hidden) > 1 else 'is'} hidden and "
            f"count{'' if len(hidden) > 1 else 's'} like any other.",
            found=f"{len(hidden)} hidden", limit="none", clears="Show the columns and look at them.",
            keys=("hidden columns", grid.sheet), heading="columns", about=(f"{len(hidden)} columns",),
        )  # fmt: skip


def thick_anchors(table: Table) -> Iterator[Finding]:
    """Return a finding for each anchor type whose net area is more than its shank has."""
    shank = table.number("shank_diameter")
    area, whole = table.number("net_area"), np.pi / 4.0 * shank**2
    for item in np.flatnonzero(area > 1.1 * whole).tolist():
        name = str(table.label("anchor")[item])
        yield Finding(
            Level.ACCEPT, Code.PLAUSIBILITY, table.at(item, "net_area"),
            f"Anchor {name}: the net area of {area[item]:.4g} mm2 is more than the {whole[item]:.4g} mm2 of a shank of {shank[item]:.4g} mm.",
            found=f"{area[item]:.4g} mm2", limit=f"{whole[item]:.4g} mm2",
            clears="Correct area, diameter or the unit in the heading; or accept it with initials where the thread is upset.",
            keys=(name, "area"), heading="Net area",
        )  # fmt: skip


def unlike_rows(sheet: SheetDeclaration, table: Table, names: Sequence[tuple[str, ...]]) -> Iterator[Finding]:
    """Return a finding for each number that is many times, or a small part of, the middle of its column."""
    if sheet.name not in _COMPARED or len(table) < LEAST_ROWS:
        return
    for heading in sheet.headings:
        if heading.kind is not Kind.NUMBER or heading.key not in table.at_columns:
            continue
        if heading.measure_name in _NO_ZERO:
            continue
        given = table.given[heading.key]
        values = table.numbers[heading.key]
        some = np.abs(values[given & ~np.isnan(values)])
        if some.size < LEAST_ROWS or not np.median(some) > 0.0:
            continue
        middle = float(np.median(some))
        size = np.abs(values)
        odd = given & (size > 0.0) & ((size > TIMES * middle) | (size < middle / TIMES))
        if odd.sum() > max(some.size // 6, 1):
            continue  # a column of two kinds of rows, not a slip
        unit = table.units[heading.key]
        for item in np.flatnonzero(odd).tolist():
            shown = [
                f"{from_base(np.array([v]), unit, heading.measure)[0]:.4g} {unit}".strip()
                for v in (values[item], middle)
            ]
            yield Finding(
                Level.ACCEPT, Code.PLAUSIBILITY, table.at(item, heading.key),
                f"{heading.name} is {shown[0]}, where half of the rows have {shown[1]} or more: a slip of the decimal mark or of the unit looks "
                "like this.",
                found=shown[0], limit=f"within {TIMES:g} times of {shown[1]}",
                clears="Correct the value, or accept it with initials and the reason.", keys=(*names[item], "unlike"), heading=heading.name,
            )  # fmt: skip
