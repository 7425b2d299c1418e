"""Reading the ``Job`` sheet: one item a line, with its unit beside it."""

from __future__ import annotations

import math

import numpy as np

from sheetengine.cells import CellRef
from sheetengine.findings import Code, Finding
from sheetengine.grids import Grid
from sheetengine.job import Default, Item
from sheetengine.sheets.cell_values import (
    Report,
    bound_fault,
    choice_of,
    fault,
    is_blank,
    name_text,
    near_miss,
    number_of,
    shown,
    yes_no_of,
)
from sheetengine.sheets.declarations import ItemDeclaration, Kind, nearest, plain
from sheetengine.sheets.heading_rows import cell_faults, found_names, heading_row
from sheetengine.sheets.job_items import JOB_HEADINGS, JOB_ITEMS, JOB_SHEET
from sheetengine.units import UnitFault, check, split_heading, to_base

NOBODY = {
    "none",
    "no",
    "nobody",
    "n/a",
    "na",
    "nil",
    "not",
    "not yet",
    "-",
    "–",
    "open",
    "tbd",
    "tba",
    "pending",
    "?",
    "0",
    "false",
}
"""What people write where nobody has accepted anything."""


def read_items(
    grid: Grid | None, report: Report, notes: list[Finding], defaults: list[Default]
) -> dict[str, Item]:
    """Return the lines of the ``Job`` sheet; report every fault in them, and note names that are nearly ours."""
    sheet = JOB_SHEET if grid is None else grid.sheet
    rows: dict[str, int] = {}
    where = {"item": 1, "value": 2}
    skip: set[tuple[int, int]] = set()
    if grid is not None:
        head, complete = heading_row(grid, list(JOB_HEADINGS[:2]))
        if not complete:
            report(
                fault(
                    Code.MISSING_HEADING,
                    CellRef(sheet, head or 1, 1),
                    "The headings Item and Value were not found in one row.",
                    "Put Item, Value and Unit into the heading row of the sheet.",
                )
            )
        else:
            where |= {plain(name): column for column, name, _ in found_names(grid, head)}
            skip = cell_faults(
                grid,
                {key: (column, "") for key, column in where.items() if key in ("item", "value", "unit")},
                head + 1,
                report,
            )
            rows = _item_rows(grid, head, where["item"], report, notes)
    items: dict[str, Item] = {}
    for declared in JOB_ITEMS:
        row = rows.get(plain(declared.name), 0)
        at = CellRef(sheet, row, where["value"]) if row else CellRef(sheet)
        value = (
            None
            if grid is None or not row or (row, where["value"]) in skip
            else grid.value(row, where["value"])
        )
        unit_column = where.get("unit", 0)
        unit = None if grid is None or not row or not unit_column else grid.value(row, unit_column)
        renamed = plain(declared.name) in rows and not row  # a near miss that is told already
        skipped = renamed or (bool(row) and (row, where["value"]) in skip)
        items[declared.name] = _item(
            declared,
            value,
            unit,
            at,
            CellRef(sheet, row, unit_column or where["value"]),
            grid is not None and not skipped,
            report,
        )
        if not items[declared.name].given and not declared.required:
            defaults.append(Default(sheet, declared.name, declared.default_text or "blank", 1))
    return items


def _item_rows(grid: Grid, head: int, column: int, report: Report, notes: list[Finding]) -> dict[str, int]:
    rows: dict[str, int] = {}
    known = {plain(item.name): item.name for item in JOB_ITEMS}
    for row in range(head + 1, len(grid.rows) + 1):
        value = grid.value(row, column)
        if not isinstance(value, str) or is_blank(value):
            continue
        name = plain(split_heading(value)[0])
        if name in rows:
            report(
                fault(
                    Code.DUPLICATE_ROW,
                    CellRef(grid.sheet, row, column),
                    f"Item {value} stands twice, here and in row {rows[name]}.",
                    "Keep one of the two lines.",
                )
            )
        elif name in known:
            rows[name] = row
        elif (near := nearest(value, list(known.values()))) and plain(near) not in rows:
            rows.setdefault(f"near:{plain(near)}", row)
    for declared in JOB_ITEMS:
        name = plain(declared.name)
        if name in rows or f"near:{name}" not in rows:
            continue
        at = CellRef(grid.sheet, rows[f"near:{name}"], column)
        if not declared.required:
            found = str(grid.value(at.row, column)).strip()
            notes.append(near_miss(found, declared.name, declared.default_text, at))
        else:
            report(
                fault(
                    Code.MISSING_VALUE,
                    at,
                    f"Item {shown(grid.value(at.row, column))} is not known; {declared.name} is missing.",
                    f"Rename it to {declared.name}.",
                )
            )
            rows[name] = 0
    return rows


def _item(
    declared: ItemDeclaration,
    value: object,
    unit: object,
    at: CellRef,
    unit_at: CellRef,
    present: bool,
    report: Report,
) -> Item:
    if is_blank(value):
        if declared.required and present:
            report(
                fault(
                    Code.MISSING_VALUE,
                    at,
                    f"{declared.name} is blank or missing.",
                    f"Fill it in: {declared.meaning}",
                    heading=declared.name,
                )
            )
        default = declared.default
        return Item(
            declared.name,
            default if isinstance(default, str) else "",
            float(default) if isinstance(default, float) else math.nan,
            at,
            given=False,
        )
    if declared.kind is Kind.CHOICE:
        return Item(declared.name, choice_of(declared, value, at, report), math.nan, at, given=True)
    if declared.kind is Kind.YES_NO:
        return Item(declared.name, "", yes_no_of(declared, value, at, report), at, given=True)
    if declared.kind is Kind.TEXT:
        denied = declared.name == "Below-range accepted by" and plain(name_text(value)).strip(". ") in NOBODY
        return Item(declared.name, "" if denied else name_text(value), math.nan, at, given=not denied)
    raw = number_of(declared, value, at, report)
    text = "" if is_blank(unit) else str(unit).strip().strip("[]")
    try:
        if declared.measure.base and not text:
            raise UnitFault(
                f"no unit is given; write one such as {declared.measure.metric} or {declared.measure.us}"
            )
        check(text, declared.measure)
    except UnitFault as wrong:
        report(
            fault(
                Code.WRONG_UNIT,
                unit_at,
                f"{declared.name}: {wrong}.",
                "Correct the unit beside the value.",
                unit,
                declared.name,
            )
        )
        return Item(declared.name, "", math.nan, at, given=True)
    number = float(to_base(np.array([raw]), text, declared.measure)[0])
    if (found := bound_fault(declared, number, f"{raw:g} {text}".strip(), at, text)) is not None:
        report(found)
    return Item(declared.name, "", number, at, given=True)
