"""Finding the heading row of a sheet, and the cells below it that cannot be read."""

from __future__ import annotations

from collections.abc import Mapping

from sheetengine.cells import CellRef
from sheetengine.findings import Code
from sheetengine.grids import Grid
from sheetengine.sheets.cell_values import Report, fault
from sheetengine.sheets.declarations import plain
from sheetengine.units import split_heading

TOP_ROWS = 20


def found_names(grid: Grid, row: int) -> list[tuple[int, str, str | None]]:
    """Return column, name and unit of every text in a row."""
    cells = grid.rows[row - 1] if row <= len(grid.rows) else ()
    return [
        (column, *split_heading(value))
        for column, value in enumerate(cells, 1)
        if isinstance(value, str) and value.strip()
    ]


def heading_row(grid: Grid, wanted: list[str]) -> tuple[int, bool]:
    """Return the row that holds the wanted headings, and whether it holds them all.

    Where no row does, the row among the top 20 that holds most of them; 0 where none holds any.
    """
    best, best_count = 0, 0
    needed = {plain(name) for name in wanted}
    for row in range(1, min(TOP_ROWS, len(grid.rows)) + 1):
        count = len(needed & {plain(name) for _, name, _ in found_names(grid, row)})
        if count == len(needed):
            return row, True
        if count > best_count:
            best, best_count = row, count
    return best, False


def cell_faults(
    grid: Grid, columns: Mapping[str, tuple[int, str]], first_row: int, report: Report
) -> set[tuple[int, int]]:
    """Report uncached formulas, error values and merged cells; return the cells that are not to be read."""
    ours = {column for column, _ in columns.values()}
    skip: set[tuple[int, int]] = set()
    for row, column in sorted(grid.uncached):
        if column in ours and row >= first_row:
            report(
                fault(
                    Code.NOT_RECALCULATED,
                    CellRef(grid.sheet, row, column),
                    "The formula in this cell has no stored value.",
                    "Open the book in a spreadsheet program, let it recalculate, save it, and run again.",
                )
            )
            skip.add((row, column))
    for row, column in sorted(grid.errors):
        if column in ours and row >= first_row:
            value = grid.value(row, column)
            report(
                fault(
                    Code.CELL_ERROR,
                    CellRef(grid.sheet, row, column),
                    f"The cell holds the error {value}.",
                    "Mend the formula, or type the value.",
                    value,
                )
            )
            skip.add((row, column))
    for merged in grid.merged:
        touched = [column for column in ours if merged.first_column <= column <= merged.last_column]
        if touched and merged.last_row >= first_row - 1:
            skip |= {
                (row, column)
                for row in range(merged.first_row, merged.last_row + 1)
                for column in range(merged.first_column, merged.last_column + 1)
            }
            report(
                fault(
                    Code.MERGED_CELLS,
                    CellRef(grid.sheet, merged.first_row, merged.first_column),
                    f"Cells {merged.a1} are merged, so it is not clear which rows the value belongs to.",
                    "Unmerge them and write the value into every row it is for.",
                )
            )
    return skip
