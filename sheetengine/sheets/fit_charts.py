"""The chart of ``Strength fits``: tests of one mix, the curve fitted to them, and its lower bound."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from sheetengine.content import ChartContent, ColumnLook, Curve, Look, TableContent
from sheetengine.job import Results
from sheetengine.units import MEASURES, from_base

if TYPE_CHECKING:
    import pandas as pd


def _table(name: str, frame: pd.DataFrame, us: bool) -> TableContent:
    """Return a table of numbers, strengths in the units of the result sheets."""
    strength = MEASURES["strength"]
    heads, columns = [], []
    for heading in frame.columns:
        title, values = str(heading), frame[heading].to_numpy(dtype=np.float64)
        if us and title.endswith(f"[{strength.metric}]"):
            title = title.replace(strength.metric, strength.us)
            values = from_base(values, strength.us, strength)
        heads.append(ColumnLook(title, Look.NUMBER, 11.0, 2))
        columns.append(values.tolist())
    return TableContent(name, heads, [list(row) for row in zip(*columns, strict=True)])


def fit_charts(results: Results, us: bool) -> dict[str, tuple[list[TableContent], list[ChartContent]]]:
    """Return tables and chart of ``Strength fits``; nothing where no mix was fitted."""
    if "fit, tests" not in results.series:
        return {}
    mix, form = (str(results.series["fit, tests"].attrs[key]) for key in ("mix", "form"))
    tests = _table("Fit_tests_data", results.series["fit, tests"], us)
    curves = _table("Fit_curve_data", results.series["fit, curves"], us)
    age, tested = (look.heading for look in tests.columns)
    x, fitted, bound = (look.heading for look in curves.columns)
    unit = tested.split("[")[1].rstrip("]")
    chart = ChartContent(
        f"Specimens of mix {mix} and the {form} curve fitted to them",
        age,
        f"Cylinder strength [{unit}]",
        [
            Curve("Tests", tests.name, age, tested, "markers"),
            Curve("Fitted curve", curves.name, x, fitted),
            Curve("Lower bound, used for design", curves.name, x, bound),
        ],
        alt_text=f"Tested strength of mix {mix} against equivalent age, with the fitted curve ({form}) and its lower "
        "prediction bound from the youngest to the oldest test.",
    )
    return {"Strength fits": ([tests, curves], [chart])}
