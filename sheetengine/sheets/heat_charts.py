"""The chart and the small table of the sheet ``Lift heat``."""

from __future__ import annotations

import pandas as pd

from sheetengine.content import ChartContent, ColumnLook, Curve, Look, TableContent
from sheetengine.units import MEASURES, from_base


def _table(name: str, frame: pd.DataFrame, us: bool) -> TableContent:
    looks, columns = [], []
    for given in map(str, frame.columns):
        heading, values = given, frame[given].to_numpy()
        label, _, unit = heading.rstrip("]").partition(" [")
        kind = {"degC": "temperature", "K": "temperature difference"}.get(unit, "")
        if us and kind:
            measure = MEASURES[kind]
            heading, values = f"{label} [{measure.us}]", from_base(values, measure.us, measure)
        looks.append(
            ColumnLook(
                heading,
                Look.NUMBER if unit else Look.TEXT,
                13.0 if unit or label == "Lift" else 26.0,
                2 if unit == "d" else 1,
            )
        )
        columns.append(values.tolist())
    return TableContent(name, looks, [list(row) for row in zip(*columns, strict=True)])


def trial_table(frame: pd.DataFrame, us: bool) -> TableContent:
    """Return the table of what each change does to the lift."""
    return _table("Heat_trials", frame, us)


def heat_chart(frame: pd.DataFrame, us: bool) -> tuple[list[TableContent], list[ChartContent]]:
    """Return the table and the chart of the temperatures of one lift."""
    table = _table("Heat_data", frame, us)
    age, *rest = (look.heading for look in table.columns)
    lift = frame.attrs["lift"]
    chart = ChartContent(
        f"Temperatures of lift {lift}", age, f"Temperature [{'degF' if us else 'degC'}]",
        [Curve(name.partition(" [")[0], "Heat_data", age, name) for name in rest],
        alt_text=f"Temperature of lift {lift} against its age: at the anchors, in the core, at the face, at the joint and at the top, as computed, and the temperature counted for the strength at the anchors.",
    )  # fmt: skip
    return [table], [chart]
