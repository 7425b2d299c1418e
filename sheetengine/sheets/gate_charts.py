"""The chart of the sheet ``Readiness board``."""

from __future__ import annotations

import pandas as pd

from sheetengine.content import ChartContent, ColumnLook, Curve, Look, TableContent


def board_chart(data: pd.DataFrame, lifts: int) -> tuple[list[TableContent], list[ChartContent]]:
    """Return the table and the chart of the least margins.

    Parameters
    ----------
    data
        Lift, hours too early (at most 0) and hours in hand (at least 0), a row for each lift that is drawn.
    lifts
        How many lifts the board has.
    """
    lift, short, hand = (str(heading) for heading in data.columns)
    looks = [
        ColumnLook(lift, Look.TEXT, 11.0),
        *(ColumnLook(name, Look.NUMBER, 11.0, 1) for name in (short, hand)),
    ]
    table = TableContent("Board_data", looks, [list(row) for row in data.itertuples(index=False)])
    some = f"the {len(data)} lifts with the least" if len(data) < lifts else "every lift"
    chart = ChartContent(
        f"Least margin of the gates, {some}", "", "Hours of margin; less than 0: planned too early",
        [Curve("too early", "Board_data", lift, short), Curve("in hand", "Board_data", lift, hand)],
        kind="bars", rows=len(data),
        alt_text=f"Lying bars: least margin of the gates in hours, {some}; to the left planned too early, to the right in hand.",
    )  # fmt: skip
    return [table], [chart]
