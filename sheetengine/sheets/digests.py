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
from sheetengine.sheets.job_items import JOB_SHEET
from sheetengine.sheets.optional_inputs import INPUT_SHEETS


def digest_of(grids: Mapping[str, Grid | None]) -> str:
    """Return the SHA-256 of every input cell under a declared heading, with headings and units.

    The same inputs give the same digest on any machine; places, formats and the office's own columns do
    not enter.
    """
    parts: list[object] = []
    job = grids.get(JOB_SHEET)
    if job is not None:
        parts.append(
            [
                JOB_SHEET,
                [
                    [_canonical(v) for v in row[:3]]
                    for row in job.rows
                    if any(not is_blank(v) for v in row[:3])
                ],
            ]
        )
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
