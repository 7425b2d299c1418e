"""The hold points of one lift on one page, with a line to sign for each."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from sheetengine.content import ColumnLook, Look, SheetContent, TableContent

if TYPE_CHECKING:
    import pandas as pd

PAGE = "Hold points"
_TEXT, _ENTRY = Look.TEXT, Look.ENTRY
_COLUMNS = (
    ColumnLook("Hold point", _TEXT, 6.5),
    ColumnLook("Name", _TEXT, 19.0),
    ColumnLook("Needs", _TEXT, 23.0),
    ColumnLook("On file", _TEXT, 12.0),
    ColumnLook("What the engine knows", _TEXT, 25.0),
    ColumnLook("Against", _TEXT, 23.0),
    ColumnLook("State", _TEXT, 12.0),
    ColumnLook("Released by", _TEXT, 16.0),
    ColumnLook("Name, date and hour", _ENTRY, 22.0),
)
_SHOWN = tuple(column.heading for column in _COLUMNS[:7])


def hold_point_page(
    frame: pd.DataFrame, lift: str, caution: str, *, facts: Sequence[tuple[str, Any]], footer: str, paper: str
) -> SheetContent:
    """Return the page of one lift.

    Parameters
    ----------
    frame
        The result sheet ``Hold points``.
    lift
        Name of the lift, ``Block/Lift``.
    caution, facts, footer, paper
        As on the other result sheets.
    """
    rows: list[list[Any]] = []
    for row in frame.to_dict("records"):
        if f"{row['Block']}/{row['Lift']}" != lift:
            continue
        when = f"\n{row['Released']:%Y-%m-%d %H:%M}" if row["Released by"] else ""
        rows.append([*(str(row[name]) for name in _SHOWN), row["Released by"] + when, "\n"])
    return SheetContent(
        PAGE, f"{PAGE} {lift}",
        ["In order: none is released while an earlier one is open. What is signed here counts for the workbook once it stands in the sheet "
         "Releases with its evidence. The engine releases nothing.", caution],
        [TableContent("Hold_points_of_the_lift", _COLUMNS, rows)],
        footer=footer, paper=paper, freeze_columns=1, facts=facts, one_page=True,
    )  # fmt: skip
