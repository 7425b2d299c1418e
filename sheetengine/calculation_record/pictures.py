"""Charts as scalable pictures, for a record that is read without a spreadsheet program."""

from __future__ import annotations

import io
from collections.abc import Mapping
from typing import Any, cast

from sheetengine.calculation_record.parts import COLOURS, DASHES, LIMIT, MARKS
from sheetengine.content import ChartContent, Curve, TableContent

WIDTH, HEIGHT, OF_A_BAR = 6.9, 3.9, 0.17
"""In inches: of a chart, and what one row of lying bars takes."""
_HATCHES = ("", "//", "..", "xx", "--", "||")


def _column(table: TableContent, heading: str) -> list[Any]:
    place = [look.heading for look in table.columns].index(heading)
    return [row[place] for row in table.rows]


def _points(curve: Curve, tables: Mapping[str, TableContent]) -> tuple[list[Any], list[Any]]:
    """Return the points of a curve, those without a number or a time left out."""
    table = tables[curve.table]
    pairs = zip(_column(table, curve.x), _column(table, curve.y), strict=True)
    kept = [(x, y) for x, y in pairs if _counts(x) and _counts(y)]
    return [x for x, _ in kept], [y for _, y in kept]


def _counts(value: Any) -> bool:
    return value is not None and not isinstance(value, str) and value == value  # noqa: PLR0124 - not a number


def _lines(axes: Any, chart: ChartContent, tables: Mapping[str, TableContent]) -> None:
    for place, curve in enumerate(chart.curves):
        xs, ys = _points(curve, tables)
        colour = COLOURS[place % len(COLOURS)]
        if curve.kind == "markers":
            mark = MARKS[place % len(MARKS)]
            edge = {} if mark in "x+" else {"markeredgecolor": "black", "markeredgewidth": 0.6}
            axes.plot(xs, ys, linestyle="", marker=mark, color=colour, label=curve.title, **edge)
        else:
            kind: Any = "steps-post" if curve.kind == "steps" else "default"
            axes.plot(
                xs,
                ys,
                color=colour,
                linestyle=DASHES[place % len(DASHES)],
                linewidth=1.6,
                drawstyle=kind,
                label=curve.title,
            )
    if chart.limit is not None:
        axes.axhline(chart.limit, color=LIMIT, linestyle=(0, (8, 3)), linewidth=2.0, label="Limit")
    if chart.x_reversed:
        axes.invert_xaxis()


def _bars(axes: Any, chart: ChartContent, tables: Mapping[str, TableContent]) -> None:
    lying = chart.kind == "bars"
    first = tables[chart.curves[0].table]
    names = [str(name) for name in _column(first, chart.curves[0].x)]
    width = 0.7 if lying else 0.7 / len(chart.curves)
    for place, curve in enumerate(chart.curves):
        values = [value if _counts(value) else 0.0 for value in _column(tables[curve.table], curve.y)]
        hatch = _HATCHES[place % len(_HATCHES)]
        colour = COLOURS[place % len(COLOURS)]
        look = {
            "color": "white" if hatch else colour,
            "edgecolor": colour,
            "hatch": hatch,
            "linewidth": 0.8,
            "label": curve.title,
        }
        shift = 0.0 if lying else (place - (len(chart.curves) - 1) / 2.0) * width
        places = [number + shift for number in range(len(names))]
        (axes.barh if lying else axes.bar)(places, values, width, **look)
    if lying:
        axes.set_yticks(range(len(names)), names)
        axes.invert_yaxis()
        axes.axvline(0.0, color="black", linewidth=0.8)
    else:
        axes.set_xticks(range(len(names)), names)


def picture(chart: ChartContent, tables: Mapping[str, TableContent]) -> str:
    """Return a chart as SVG, with its alternative text in it.

    Parameters
    ----------
    chart
        What is drawn.
    tables
        What it is drawn from, by name.
    """
    from matplotlib import rc_context  # noqa: PLC0415 - slow, and needed here only
    from matplotlib.figure import Figure  # noqa: PLC0415 - as above

    style: dict[str, Any] = {
        "font.size": 9.0,
        "svg.fonttype": "path",
        "svg.hashsalt": chart.title,
        "hatch.linewidth": 0.7,
    }
    with rc_context(cast(Any, style)):
        figure = Figure(figsize=(WIDTH, max(HEIGHT, 1.4 + chart.rows * OF_A_BAR)), layout="constrained")
        axes = figure.subplots()
        if chart.kind == "scatter":
            _lines(axes, chart, tables)
        else:
            _bars(axes, chart, tables)
        axes.set_title(chart.title, loc="left", fontsize=11.0, fontweight="bold")
        if chart.kind == "bars":
            axes.set_xlabel(chart.y_title)
            axes.set_ylabel(chart.x_title)
        else:
            axes.set_xlabel(chart.x_title)
            axes.set_ylabel(chart.y_title)
        axes.grid(visible=True, linewidth=0.4, color="#D8D2C4")
        axes.set_axisbelow(True)
        if len(chart.curves) + (chart.limit is not None) > 1:
            axes.legend(frameon=False, fontsize=8.0, ncols=2)
        stream = io.StringIO()
        figure.savefig(stream, format="svg", metadata={"Date": None, "Creator": None})
    return stream.getvalue()[stream.getvalue().index("<svg") :]
