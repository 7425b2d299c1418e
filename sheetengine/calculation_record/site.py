"""What would fail first if the site departs from the plan, and how far the hold points of every lift have come."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from sheetengine.calculation_record.parts import Part, RecordTable
from sheetengine.content import ColumnLook, Look
from sheetengine.job import Results

RATIO, FIRST = ", ratio", ", first to fail"
FAILS, NEVER = "FAILS: ", "never enough"
"""What stands before the first to fail where it does; what stands for a ratio without end."""
RELEASED, OPEN_AGAIN = "Released", "Open again"


def robustness_table(frame: pd.DataFrame) -> RecordTable:
    """Return one row for each departure from the plan: its worst lift and how many lifts would fail."""
    rows: list[list[Any]] = []
    for name in (
        str(heading).removesuffix(RATIO) for heading in frame.columns if str(heading).endswith(RATIO)
    ):
        ratios = frame[name + RATIO].to_numpy(dtype=np.float64)
        known = np.where(np.isnan(ratios), -np.inf, ratios)
        worst = int(np.argmax(known))
        told = frame.iloc[worst]
        missing = int(np.isnan(ratios).sum())
        rows.append([
            name, int((known > 1.0).sum()), missing, f"{told['Block']}/{told['Lift']}" if missing < len(frame) else "",
            NEVER if ratios[worst] == np.inf else ratios[worst], str(told[name + FIRST]).removeprefix(FAILS),
        ])  # fmt: skip
    columns = [
        ColumnLook("Departure", Look.TEXT, 18.0), ColumnLook("Lifts that fail", Look.COUNT, 8.0),
        ColumnLook("Not known", Look.COUNT, 8.0), ColumnLook("Worst lift", Look.TEXT, 9.0),
        ColumnLook("Its ratio", Look.NUMBER, 12.0, 2), ColumnLook("What fails first there", Look.TEXT, 36.0),
    ]  # fmt: skip
    return RecordTable(
        "Robustness", columns, rows,
        f"Of {len(frame)} lifts, each by itself; the amounts are those of Job. A ratio above 1 fails.",
    )  # fmt: skip


def hold_point_table(frame: pd.DataFrame) -> RecordTable:
    """Return one row for each lift that has releases: how many, the next hold point, and what speaks against it."""
    rows: list[list[Any]] = []
    untouched = 0
    for (block, lift), own in frame.groupby(["Block", "Lift"], sort=False):
        states = own["State"].astype(str)
        done = int((states == RELEASED).sum())
        again = int((states == OPEN_AGAIN).sum())
        if not (states.eq(RELEASED) | own["Released"].notna()).any():
            untouched += 1
            continue
        left = own[states != RELEASED]
        last = own[states == RELEASED]
        by = ""
        if len(last):
            newest = last.iloc[int(np.argmax(last["Released"].fillna(pd.Timestamp.min)))]
            by = f"{newest['Hold point']} by {newest['Released by']}"
        first = None if left.empty else left.iloc[0]
        rows.append([
            block, lift, f"{done} of {len(own)}" + (f"; {again} open again" if again else ""), by,
            "" if first is None else f"{first['Hold point']} {first['Name']}",
            "closed out" if first is None else str(first["State"]), "" if first is None else str(first["Against"]),
        ])  # fmt: skip
    columns = [
        ColumnLook("Block", Look.TEXT, 6.0), ColumnLook("Lift", Look.TEXT, 5.0), ColumnLook("Released", Look.TEXT, 12.0),
        ColumnLook("Last released", Look.TEXT, 13.0), ColumnLook("Next hold point", Look.TEXT, 24.0),
        ColumnLook("Its state", Look.TEXT, 14.0), ColumnLook("Against it", Look.TEXT, 34.0),
    ]  # fmt: skip
    note = f"Nothing is released yet for {untouched} lifts, which have no line here." if untouched else ""
    return RecordTable("Hold points", columns, rows, note)


def site_part(results: Results) -> Part:
    """Return robustness and hold points.

    Parameters
    ----------
    results
        Of the run.
    """
    tables = []
    for sheet, made in (("Robustness", robustness_table), ("Hold points", hold_point_table)):
        frame = results.frames.get(sheet)
        if frame is not None and not frame.empty:
            tables.append(made(frame))
    return Part(
        "Robustness and hold points",
        ["What fails first where the site departs from the plan, and how far every lift has come. The engine releases nothing: "
         "releases are those of the sheet Releases, with who gave them."],
        tables,
    )  # fmt: skip
