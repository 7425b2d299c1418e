"""Digest of everything that the results depend on."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Mapping

from sheetengine.grids import Grid
from sheetengine.sheets.cell_values import is_blank
from sheetengine.sheets.declarations import plain
from sheetengine.sheets.heading_rows import found_names, heading_row
from sheetengine.sheets.job_items import JOB_HEADINGS, JOB_ITEMS, JOB_SHEET
from sheetengine.sheets.optional_inputs import INPUT_SHEETS
from sheetengine.units import split_heading


def digest_of(grids: Mapping[str, Grid | None]) -> str:
    """Return the SHA-256 of every input cell under a declared heading, with headings and units.

    The same inputs give the same digest on any machine; places, formats and the office's own columns do
    not enter.
    """
    parts: list[object] = []
    job = grids.get(JOB_SHEET)
    if job is not None:
        parts.append([JOB_SHEET, _items(job)])
    for sheet in INPUT_SHEETS:
        grid = grids.get(sheet.name)
        if grid is None:
            continue
        head, _ = heading_row(grid, [heading.name for heading in sheet.bold])
        names = {plain(heading.name) for heading in sheet.headings if heading.key != "note"}
        columns = (
            [
                (column, plain(name), unit)
                for column, name, unit in found_names(grid, head)
                if plain(name) in names
            ]
            if head
            else []
        )
        columns.sort(key=lambda entry: entry[1])
        rows = []
        for row in grid.rows[head:]:
            cells = [_canonical(row[column - 1]) if column <= len(row) else None for column, _, _ in columns]
            if any(cell is not None for cell in cells):
                rows.append(cells)
        parts.append([sheet.name, [[name, unit] for _, name, unit in columns], rows])
    text = json.dumps(parts, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


def _items(job: Grid) -> list[list[object]]:
    """Return name, value and unit of every line of ``Job`` that the engine reads, by name."""
    head, complete = heading_row(job, list(JOB_HEADINGS[:2]))
    if not complete:
        return []
    where = {plain(name): column for column, name, _ in found_names(job, head)}
    known = {plain(item.name) for item in JOB_ITEMS}
    lines = []
    for row in range(head + 1, len(job.rows) + 1):
        name, value = job.value(row, where["item"]), job.value(row, where["value"])
        if isinstance(name, str) and plain(split_heading(name)[0]) in known and not is_blank(value):
            unit = job.value(row, where["unit"]) if "unit" in where else None
            lines.append([plain(split_heading(name)[0]), _canonical(value), _canonical(unit)])
    return sorted(lines, key=str)


def _canonical(value: object) -> object:
    if is_blank(value):
        return None
    if isinstance(value, (bool, str)):
        return value
    if isinstance(value, (int, float)):
        return repr(float(value))
    if isinstance(value, (dt.datetime, dt.date)):
        return value.isoformat()
    return str(value)
