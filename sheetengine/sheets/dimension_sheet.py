"""The sheet of dimension rows, and totals that lead back to them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from sheetengine.content import (
    ColumnLook,
    Formula,
    Link,
    Look,
    SheetContent,
    TableContent,
    cell_of,
    column_of,
)

if TYPE_CHECKING:
    import pandas as pd

DIMENSIONS = "Dimension rows"
_ROWS, _TOTALS = "Dimension_rows", "Dimension_totals"
ALL = "all"


def _plain(value: Any) -> Any:
    return None if isinstance(value, float) and math.isnan(value) else value


def _summed(shown: pd.DataFrame, picked: dict[str, str], heading: str) -> Formula:
    """Return the sum of a column over the rows with some words, as a live formula."""
    rows = shown
    for name, word in picked.items():
        rows = rows[rows[name].map(str) == word]
    tests = "*".join(
        f'({column_of(_ROWS, name)}&""="{word.replace(chr(34), chr(34) * 2)}")'
        for name, word in picked.items()
    )  # SUMIFS would take a name such as "*" or ">5" for a pattern
    return Formula(f"SUMPRODUCT({tests}*1,{column_of(_ROWS, heading)})", float(rows[heading].sum()))


def dimension_sheet(
    table: TableContent,
    shown: pd.DataFrame,
    facts: Sequence[tuple[str, Any]],
    lines: Sequence[str],
    footer: str,
    paper: str,
) -> SheetContent:
    """Return the dimension rows with their totals: for each block and item, and for each item.

    Parameters
    ----------
    table
        The rows, in the units of the result sheets.
    shown
        The same as a frame.
    facts, lines, footer, paper
        As on the other result sheets.
    """
    sums = [str(heading) for heading in shown.columns if str(heading).split(" [")[0] in (
        "Area", "Volume", "Area for payment", "Volume for payment")]  # fmt: skip
    kinds = list(dict.fromkeys(zip(shown["Item"].map(str), shown["Joint"].map(str), strict=True)))
    blocks = list(dict.fromkeys(shown["Block"].map(str)))
    rows: list[list[Any]] = []
    for block in (*blocks, ALL):
        for item, joint in kinds:
            picked = (
                {"Item": item}
                | ({"Joint": joint} if joint else {})
                | ({"Block": block} if block != ALL else {})
            )
            own = shown
            for name, word in picked.items():
                own = own[own[name].map(str) == word]
            if not len(own):
                continue
            first = int(own.index[0])
            link = Link(f"first of {len(own)}", cell_of(_ROWS, first, "Item"))
            rows.append([block, item, joint, link, *(_summed(shown, picked, heading) for heading in sums)])
    looks = [
        ColumnLook("Block", Look.TEXT, 8.0), ColumnLook("Item", Look.TEXT, 14.0), ColumnLook("Joint", Look.TEXT, 18.0),
        ColumnLook("Rows", Look.LINK, 14.0, note="Leads to the first of the rows that are summed; filter Block and Item to see them all."),
        *(ColumnLook(heading, Look.NUMBER, 14.0, 2, "Live: the sum of the rows above.") for heading in sums),
    ]  # fmt: skip
    return SheetContent(
        DIMENSIONS, DIMENSIONS, lines,
        [TableContent(_ROWS, table.columns, table.rows), TableContent(_TOTALS, looks, [[_plain(value) for value in row] for row in rows])],
        footer=footer, landscape=True, paper=paper, freeze_columns=3, facts=facts,
    )  # fmt: skip
