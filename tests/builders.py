"""Jobs without files: grids of a small, sound book that a test changes where it wants to."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from sheetengine.design.calculate import Calculation, calculate_columns
from sheetengine.grids import Grid
from sheetengine.job import Job
from sheetengine.sheets.job_items import JOB_ITEMS
from sheetengine.sheets.optional_inputs import INPUT_SHEETS
from sheetengine.sheets.reading import read_job

Row = Mapping[str, Any]
START = dt.datetime(2031, 4, 7, 6, 0)
DECLARED = {sheet.name: sheet for sheet in INPUT_SHEETS}

JOB: dict[str, Any] = {
    "Project": "Upper basin",
    "Revision": "A",
    "Safety basis": "EN partial factors",
    "Pressure method": "ACI 347R-14 SI",
    "Anchor method": "EN 1992-4:2018",
    "Storm wind": (0.8, "kPa"),
}
MIX: dict[str, Any] = {
    "Mix": "M1",
    "Unit weight": 25.0,
    "Strength 28 d": 30.0,
    "Strength class": "N",
    "Cement group": "plain",
    "Retarder": "no",
    "Slump": 100.0,
    "Set confirmed": "yes",
}
UNIT: dict[str, Any] = {
    "Unit": "U1",
    "Width": 3.0,
    "Panel height": 3.2,
    "Anchors per unit": 2,
    "Anchor depth": 0.4,
    "Foot depth": 2.4,
    "Mass": 1500.0,
    "Mass offset": 0.8,
    "Platform width": 1.0,
    "Platform class": 2,
    "Permissible pressure": 60.0,
}
ANCHOR: dict[str, Any] = {
    "Anchor": "A1",
    "Embedment": 300.0,
    "Shank diameter": 26.0,
    "Head diameter": 70.0,
    "Net area": 450.0,
    "Tensile strength": 800.0,
    "Yield strength": 640.0,
}
LIFT: dict[str, Any] = {
    "Block": "B1",
    "Lift": 1,
    "Height": 3.0,
    "Face length": 15.0,
    "Mix": "M1",
    "Unit": "U1",
    "Anchor": "A1",
    "Anchor spacing": 1.5,
    "Placed": START,
    "Rise rate": 1.0,
    "Concrete temperature": 15.0,
}
BASIC: dict[str, dict[str, Any]] = {
    "Mixes": MIX,
    "Form units": UNIT,
    "Anchor types": ANCHOR,
    "Lifts": LIFT,
}


def days(count: float) -> dt.datetime:
    """Return the moment so many days after the first placing."""
    return START + dt.timedelta(days=count)


def pile(
    count: int,
    *,
    block: Any = "B1",
    interval: float = 7.0,
    strip: float = 3.0,
    hang: float = 4.0,
    **common: Any,
) -> list[dict[str, Any]]:
    """Return ``count`` lifts on each other, placed every ``interval`` days; ``common`` holds further cells.

    Keywords name headings with underscores for spaces.
    """
    cells = {key.replace("_", " "): value for key, value in common.items()}
    return [
        {
            "Block": block,
            "Lift": number + 1,
            "Placed": days(interval * number),
            "Stripped": days(interval * number + strip),
            "Hung": days(interval * number + hang),
        }
        | cells
        for number in range(count)
    ]


def sheet(
    name: str, rows: Sequence[Row], *, units: Mapping[str, str] | None = None, title_rows: int = 0
) -> Grid:
    """Return a grid with the headings that any row names, in the declared order, then any others."""
    declared = {heading.name: heading for heading in DECLARED[name].headings}
    used = [key for key in declared if any(key in row for row in rows)]
    used += [key for row in rows for key in row if key not in declared and key not in used]
    head = []
    for key in used:
        if units and key in units:
            head.append(f"{key} [{units[key]}]" if units[key] else key)
        else:
            head.append(declared[key].title(us=False) if key in declared else key)
    body = [tuple(row.get(key) for key in used) for row in rows]
    return Grid(name, [*[("Title of the sheet",)] * title_rows, tuple(head), *body])


def job_sheet(items: Mapping[str, Any]) -> Grid:
    """Return the ``Job`` grid; an entry is a value, or a pair of value and unit."""
    metric = {item.name: item.unit(us=False) for item in JOB_ITEMS}
    rows: list[tuple[Any, ...]] = [("Item", "Value", "Unit")]
    for name, entry in items.items():
        value, unit = entry if isinstance(entry, tuple) else (entry, metric.get(name, ""))
        rows.append((name, value, unit or None))
    return Grid("Job", rows)


def grids(
    *,
    job: Row | None = None,
    mixes: Sequence[Row] = ({},),
    units: Sequence[Row] = ({},),
    anchors: Sequence[Row] = ({},),
    lifts: Sequence[Row] | None = None,
    optional: Mapping[str, Sequence[Row]] | None = None,
    written_in: Mapping[str, Mapping[str, str]] | None = None,
) -> dict[str, Grid | None]:
    """Return a whole book; every row is laid over the basic row of its sheet.

    Parameters
    ----------
    job
        Items over those of :data:`JOB`.
    mixes, units, anchors, lifts
        Rows by heading name, without units.
    optional
        Rows of the optional sheets, by sheet.
    written_in
        Units of headings, by sheet and heading; the metric ones otherwise.
    """
    given = {"Mixes": mixes, "Form units": units, "Anchor types": anchors, "Lifts": lifts or pile(3)}
    spelled = written_in or {}
    book: dict[str, Grid | None] = {"Job": job_sheet(JOB | dict(job or {}))}
    for name, rows in given.items():
        book[name] = sheet(name, [BASIC[name] | dict(row) for row in rows], units=spelled.get(name))
    for name, rows in (optional or {}).items():
        book[name] = sheet(name, rows, units=spelled.get(name))
    return book


def job(**changes: Any) -> Job:
    """Return the job of :func:`grids`."""
    return read_job(grids(**changes))


def computed(**changes: Any) -> Calculation:
    """Return everything computed for the job of :func:`grids`."""
    return calculate_columns(job(**changes))
