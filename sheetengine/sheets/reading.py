"""From raw grids to a job in base units, with every fault of the whole book at once."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from sheetengine.cells import CellRef
from sheetengine.columns import Table, moment_of, texts
from sheetengine.exceptions import InputFaults
from sheetengine.findings import Code, Finding, Level
from sheetengine.grids import Grid
from sheetengine.job import Default, Job
from sheetengine.sheets.cell_values import (
    Report,
    fault,
    is_blank,
    moment_hours,
    near_miss,
    questionable,
    read_numbers,
    read_texts,
    yes_no_of,
)
from sheetengine.sheets.cross_checks import cross_checks
from sheetengine.sheets.declarations import Heading, Kind, SheetDeclaration, nearest, plain
from sheetengine.sheets.digests import digest_of
from sheetengine.sheets.heading_rows import TOP_ROWS, cell_faults, found_names, heading_row
from sheetengine.sheets.job_items import JOB_SHEET
from sheetengine.sheets.job_reading import read_items
from sheetengine.sheets.optional_inputs import INPUT_SHEETS
from sheetengine.sheets.row_checks import hidden_inputs, thick_anchors, unlike_rows
from sheetengine.units import UnitFault, check

SHEET_NAMES = (JOB_SHEET, *(sheet.name for sheet in INPUT_SHEETS))


def _columns_of(
    grid: Grid, sheet: SheetDeclaration, report: Report, notes: list[Finding]
) -> tuple[int, dict[str, tuple[int, str]]]:
    """Return the heading row, and for every heading found its column and unit."""
    row, complete = heading_row(grid, [heading.name for heading in sheet.bold])
    if not row:
        wanted = ", ".join(heading.name for heading in sheet.bold)
        report(
            fault(
                Code.MISSING_HEADING,
                CellRef(grid.sheet, 1, 1),
                f"No heading row was found in the top {TOP_ROWS} rows.",
                f"Put the headings {wanted} into one row, each with its unit in brackets.",
            )
        )
        return 0, {}
    present = found_names(grid, row)
    known = {plain(heading.name): heading for heading in sheet.headings}
    columns: dict[str, tuple[int, str]] = {}
    strangers: dict[str, int] = {}
    for column, name, unit in present:
        heading = known.get(plain(name))
        at = CellRef(grid.sheet, row, column)
        if heading is None:
            strangers[name] = column
            continue
        if heading.key in columns:
            report(
                fault(
                    Code.DUPLICATE_HEADING,
                    at,
                    f"Heading {heading.name} stands twice, here and at {CellRef(grid.sheet, row, columns[heading.key][0]).a1}.",
                    "Rename or remove one of the two columns.",
                    name,
                )
            )
            continue
        columns[heading.key] = (column, _unit_of(heading, unit, at, report))
    if not complete:
        for heading in sheet.bold:
            if heading.key not in columns:
                near = nearest(heading.name, list(strangers))
                at = CellRef(grid.sheet, row, strangers[near] if near else 1)
                hint = f"Is “{near}” at {at.a1} meant? Rename it to {heading.title(us=False)}." if near else (
                    f"Add a column {heading.title(us=False)}: {heading.meaning}"
                )  # fmt: skip
                report(
                    fault(
                        Code.MISSING_HEADING,
                        at,
                        f"Heading {heading.name} is missing.",
                        hint,
                        heading=heading.name,
                    )
                )
    notes.extend(_near_misses(grid, sheet, row, columns, strangers))
    return row, columns


def _near_misses(
    grid: Grid, sheet: SheetDeclaration, row: int, columns: Mapping[str, object], strangers: Mapping[str, int]
) -> list[Finding]:
    """Return a flag for each column of the office's own whose heading is nearly one that the sheet lacks."""
    flags = []
    for heading in sheet.headings:
        if heading.required or heading.key in columns or heading.kind is Kind.TEXT:
            continue
        near = nearest(heading.name, list(strangers))
        if near is not None:
            flags.append(
                near_miss(near, heading.name, heading.default_text, CellRef(grid.sheet, row, strangers[near]))
            )
    return flags


def _unit_of(heading: Heading, unit: str | None, at: CellRef, report: Report) -> str:
    if heading.kind is not Kind.NUMBER:
        return ""
    measure = heading.measure
    if unit is None and measure.base:
        report(
            fault(
                Code.WRONG_UNIT,
                at,
                f"Heading {heading.name} carries no unit.",
                f"Write it as {heading.name} [{measure.metric}] or {heading.name} [{measure.us}].",
                heading=heading.name,
            )
        )
        return measure.base
    try:
        check(unit or "", measure)
    except UnitFault as wrong:
        report(
            fault(
                Code.WRONG_UNIT,
                at,
                f"Heading {heading.name}: {wrong}.",
                "Correct the unit in the brackets; the numbers below are then read in it.",
                unit,
                heading.name,
            )
        )
        return measure.base
    return unit or ""


def _defaults(sheet: SheetDeclaration, table: Table, count: int, job_defaults: list[Default]) -> None:
    for heading in sheet.headings:
        if heading.required or heading.kind is Kind.TEXT:
            continue
        blanks = int(count - table.given[heading.key].sum())
        if blanks and count:
            text = heading.default_text or "blank: not used"
            job_defaults.append(Default(sheet.name, heading.name, text, blanks))


def read_table(
    sheet: SheetDeclaration, grid: Grid | None, report: Report, notes: list[Finding], defaults: list[Default]
) -> Table:
    """Return one sheet's table in base units; report every fault of its cells."""
    table = Table(sheet.name if grid is None else grid.sheet)
    head, columns = (0, {}) if grid is None else _columns_of(grid, sheet, report, notes)
    items: list[int] = []
    skip: set[tuple[int, int]] = set()
    if grid is not None and head:
        skip = cell_faults(grid, columns, head + 1, report)
        places = [column - 1 for column, _ in columns.values()]
        for row in range(head + 1, len(grid.rows) + 1):
            cells = grid.rows[row - 1]
            if any(place < len(cells) and not is_blank(cells[place]) for place in places) or any(
                (row, place + 1) in skip for place in places
            ):
                items.append(row)
    table.rows = np.array(items, dtype=np.int64)
    table.head_row = head
    if grid is not None and head:
        notes.extend(hidden_inputs(grid, items, columns))
    if sheet.required and grid is not None and head and not items:
        report(
            fault(
                Code.MISSING_VALUE,
                CellRef(grid.sheet, head + 1, 1),
                f"{grid.sheet} has no rows.",
                f"Fill in at least one row. {sheet.purpose}",
            )
        )
    for heading in sheet.headings:
        _read_column(heading, grid, columns.get(heading.key), items, skip, table, report)
    names = _key_texts(sheet, table)
    _duplicates(sheet, table, names, report)
    for heading in sheet.headings:
        if heading.kind is Kind.NUMBER and heading.key in columns:
            at = [table.at(item, heading.key) for item in range(len(items))] if heading.likely else []
            notes.extend(
                questionable(heading, table.numbers[heading.key], at, names, table.units[heading.key])
            )
    flagged = {note.at for note in notes}
    notes.extend(note for note in unlike_rows(sheet, table, names) if note.at not in flagged)
    if sheet.name == "Anchor types":
        notes.extend(thick_anchors(table))
    _defaults(sheet, table, len(items), defaults)
    return table


def _read_column(
    heading: Heading,
    grid: Grid | None,
    column: tuple[int, str] | None,
    items: list[int],
    skip: set[tuple[int, int]],
    table: Table,
    report: Report,
) -> None:
    count = len(items)
    values: list[object] = [None] * count
    places: list[CellRef] = []
    unit = heading.measure.base
    if grid is not None and column is not None:
        number, unit = column
        table.at_columns[heading.key] = number
        places = [CellRef(grid.sheet, row, number) for row in items]
        values = [None if (row, number) in skip else grid.value(row, number) for row in items]
    table.units[heading.key] = unit
    given = np.array([not is_blank(value) for value in values], dtype=bool)
    table.given[heading.key] = given
    if heading.required and places:
        for item in np.flatnonzero(~given).tolist():
            if (places[item].row, places[item].column) not in skip:
                report(
                    fault(
                        Code.MISSING_VALUE,
                        places[item],
                        f"{heading.name} is blank.",
                        f"Fill it in: {heading.meaning}",
                        heading=heading.name,
                    )
                )
    if heading.is_numeric:
        if not places:
            numbers = np.full(count, math.nan)
        elif heading.kind is Kind.NUMBER:
            numbers = read_numbers(heading, values, places, unit, report)
        else:
            read = moment_hours if heading.kind is Kind.MOMENT else yes_no_of
            numbers = np.array(
                [
                    math.nan if is_blank(value) else read(heading, value, at, report)
                    for value, at in zip(values, places, strict=True)
                ],
                dtype=np.float64,
            )
        if heading.default is not None:
            numbers = np.where(given, numbers, float(heading.default))
        table.numbers[heading.key] = numbers
        return
    found = read_texts(heading, values, places, report) if places else [""] * count
    if heading.default is not None:
        found = [text if has else heading.default for text, has in zip(found, given.tolist(), strict=True)]
    table.labels[heading.key] = texts(found)
    if heading.kind is Kind.KEY:
        table.raw[heading.key] = texts(
            int(value) if isinstance(value, float) and value.is_integer() else value for value in values
        )


def _written(kind: Kind, value: float) -> str:
    """Return a number among the keys of a row as a reader writes it; a date to the second."""
    moment = moment_of(value) if kind is Kind.MOMENT else None
    return f"{value:.6g}" if moment is None else f"{moment:%Y-%m-%d %H:%M:%S}"


def _key_texts(sheet: SheetDeclaration, table: Table) -> list[tuple[str, ...]]:
    columns = [
        table.labels[key].tolist()
        if key in table.labels
        else [_written(sheet.heading(key).kind, value) for value in table.numbers[key].tolist()]
        for key in sheet.keys
    ]
    return (
        [tuple(str(part) for part in parts) for parts in zip(*columns, strict=True)]
        if columns
        else [()] * len(table)
    )


def _duplicates(sheet: SheetDeclaration, table: Table, names: list[tuple[str, ...]], report: Report) -> None:
    if sheet.name in ("Probe log", "Specimens"):
        return  # repeated readings are findings of the log; two specimens may have one strength
    first: dict[tuple[str, ...], int] = {}
    for item, name in enumerate(names):
        blank = (
            part in ("", "nan") and sheet.heading(key).required
            for key, part in zip(sheet.keys, name, strict=True)
        )
        if any(blank):
            continue
        folded = tuple(part.casefold() for part in name)
        if folded in first:
            what = " ".join(
                f"{sheet.heading(key).name} {part},"
                for key, part in zip(sheet.keys, name, strict=True)
                if part != "nan"
            ).rstrip(",")
            report(
                fault(
                    Code.DUPLICATE_ROW,
                    table.at(item, sheet.keys[0]),
                    f"{what} stands twice, here and in row {int(table.rows[first[folded]])}.",
                    "Keep one of the two rows, or give the other its own name.",
                )
            )
        else:
            first[folded] = item


LATER_SHEETS = ("Calendar",)
"""Input sheets whose names are set aside for later versions; this one does not read them."""


def _unread_sheets(names: Sequence[str], grids: Mapping[str, Grid | None]) -> list[Finding]:
    """Return a flag for each sheet of the book that is nearly one of ours, or is set aside and not read."""
    missing = [sheet.name for sheet in INPUT_SHEETS if grids.get(sheet.name) is None]
    flags = []
    for name in names:
        if plain(name) in {plain(known) for known in SHEET_NAMES}:
            continue
        if plain(name) in {plain(later) for later in LATER_SHEETS}:
            flags.append(
                Finding(
                    Level.ACCEPT,
                    Code.NOT_COMPUTED,
                    CellRef(name),
                    f"The sheet {name} is not read by this version; nothing in it enters the results.",
                    clears="Judge by other means what it says, and initial this.",
                    keys=("sheet", name),
                    heading="sheet",
                )
            )
        elif (near := nearest(name, missing)) is not None:
            flags.append(near_miss(name, f"the sheet {near}", "nothing", CellRef(name)))
    return flags


def read_job(grids: Mapping[str, Grid | None], names: Sequence[str] = ()) -> Job:
    """Return the job that the grids hold.

    Parameters
    ----------
    grids
        The sheets by the names the engine knows.
    names
        Names of all sheets of the book, so that a misspelt one is told.

    Raises
    ------
    InputFaults
        The inputs cannot be used; every fault of the whole book is listed.
    """
    faults: list[Finding] = []
    notes: list[Finding] = []
    defaults: list[Default] = []
    required = {JOB_SHEET} | {sheet.name for sheet in INPUT_SHEETS if sheet.required}
    for name in SHEET_NAMES:
        if name in required and grids.get(name) is None:
            faults.append(
                fault(
                    Code.MISSING_SHEET,
                    CellRef(name),
                    f"The book has no sheet {name}.",
                    "Add it; sheetengine new makes a book that has every sheet.",
                )
            )
    notes.extend(_unread_sheets(names, grids))
    items = read_items(grids.get(JOB_SHEET), faults.append, notes, defaults)
    tables = {
        sheet.name: read_table(sheet, grids.get(sheet.name), faults.append, notes, defaults)
        for sheet in INPUT_SHEETS
    }
    job = Job(items, tables, notes, defaults)
    faults.extend(cross_checks(job))
    if faults:
        raise InputFaults(faults)
    job.digest = digest_of(grids)
    return job
