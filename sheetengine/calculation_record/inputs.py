"""The inputs of a run as tables of the record, in the units of the results."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from sheetengine.calculation_record.parts import Part, RecordTable, plain_number
from sheetengine.columns import Table, moment_of
from sheetengine.content import ColumnLook, Look
from sheetengine.job import Item, Job
from sheetengine.sheets.declarations import Heading, ItemDeclaration, Kind, SheetDeclaration
from sheetengine.sheets.inputs_as_run import shown_text
from sheetengine.sheets.job_items import JOB_ITEMS
from sheetengine.sheets.optional_inputs import INPUT_SHEETS
from sheetengine.units import Measure, from_base

WIDEST = 96.0
"""Widths of columns that a page takes."""
MOST_ROWS = 400
"""Rows of a sheet up to which every row is printed; of longer ones their number for each lift."""
TURNED = 6
"""Rows of a sheet up to which a row of the sheet is a column of the record."""


def _in(value: float, measure: Measure, us: bool) -> str:
    if math.isnan(value):
        return ""
    if not measure.base:
        return plain_number(value)
    unit = measure.us if us else measure.metric
    return plain_number(float(from_base(np.array([value]), unit, measure)[0]))


def _item(declared: ItemDeclaration, item: Item, us: bool) -> tuple[str, str]:
    """Return value and unit of a line of ``Job``."""
    if declared.kind is Kind.NUMBER:
        return _in(item.number, declared.measure, us), declared.unit(us)
    if declared.kind is Kind.YES_NO:
        return "" if math.isnan(item.number) else ("yes" if item.number else "no"), ""
    if declared.kind is Kind.MOMENT:
        return shown_text(moment_of(item.number)), ""
    return item.text, ""


def job_table(job: Job, us: bool) -> RecordTable:
    """Return the lines of ``Job`` that were filled in."""
    rows = []
    for declared in JOB_ITEMS:
        item = job.items.get(declared.name)
        if item is not None and item.given:
            value, unit = _item(declared, item, us)
            rows.append([declared.name, value, unit, declared.meaning])
    columns = [ColumnLook("Line", Look.TEXT, 20.0), ColumnLook("Given", Look.TEXT, 24.0), ColumnLook("Unit", Look.TEXT, 8.0),
               ColumnLook("What it is", Look.TEXT, 44.0)]  # fmt: skip
    return RecordTable(
        "Job", columns, rows, "Blank lines stand with their defaults; these are listed under Methods."
    )


def _values(heading: Heading, table: Table, us: bool) -> list[str]:
    if heading.key in table.labels:
        return [str(text) for text in table.labels[heading.key].tolist()]
    values: list[float] = table.numbers[heading.key].tolist()
    if heading.kind is Kind.MOMENT:
        return [shown_text(moment_of(value)) for value in values]
    if heading.kind is Kind.YES_NO:
        return ["" if math.isnan(value) else ("yes" if value else "no") for value in values]
    return [_in(value, heading.measure, us) for value in values]


def _columns(sheet: SheetDeclaration, table: Table, us: bool) -> dict[str, tuple[Heading, list[str]]]:
    """Return the columns of a sheet that hold anything, by heading, with every value as text."""
    found = {}
    for heading in sheet.headings:
        if heading.key in table.labels or heading.key in table.numbers:
            values = _values(heading, table, us)
            if any(values):
                found[heading.title(us)] = heading, values
    return found


def _width(title: str, values: Sequence[str]) -> float:
    longest = max(map(len, values), default=0)
    word = max(map(len, title.split()), default=0)
    return float(min(max(longest, word, len(title) / 2.5, 4), 34) + 2)


def _turned(name: str, columns: dict[str, tuple[Heading, list[str]]], keys: Sequence[str]) -> RecordTable:
    """Return a table with a line for each heading and a column for each row of the sheet."""
    named = [title for title, (heading, _) in columns.items() if heading.key in keys]
    count = len(next(iter(columns.values()))[1])
    heads = ["/".join(filter(None, (columns[title][1][row] for title in named))) for row in range(count)]
    rows = [[title, *values] for title, (_, values) in columns.items() if title not in named]
    looks = [
        ColumnLook("Heading", Look.TEXT, 30.0),
        *(ColumnLook(head, Look.TEXT, (WIDEST - 30.0) / count) for head in heads),
    ]
    return RecordTable(name, looks, rows)


def _split(
    name: str, columns: dict[str, tuple[Heading, list[str]]], keys: Sequence[str]
) -> list[RecordTable]:
    """Return a table with the rows of the sheet, in as many pieces as its columns need, the keys in each."""
    named = [title for title, (heading, _) in columns.items() if heading.key in keys]
    looks = {
        title: ColumnLook(title, Look.NUMBER if heading.kind is Kind.NUMBER else Look.TEXT, _width(title, values))
        for title, (heading, values) in columns.items()
    }  # fmt: skip
    taken = sum(looks[title].width for title in named)
    pieces: list[list[str]] = [[]]
    room = WIDEST - taken
    for title in columns:
        if title in named:
            continue
        if looks[title].width > room and pieces[-1]:
            pieces.append([])
            room = WIDEST - taken
        pieces[-1].append(title)
        room -= looks[title].width
    tables = []
    for number, piece in enumerate(pieces, start=1):
        told = f"{name}, columns {number} of {len(pieces)}" if len(pieces) > 1 else name
        titles = [*named, *piece]
        rows = [list(row) for row in zip(*(columns[title][1] for title in titles), strict=True)]
        spare = WIDEST - sum(looks[title].width for title in titles)
        shown = [looks[title] for title in titles]
        if 0.0 < spare < WIDEST / 3.0:
            share = spare / len(shown)
            shown = [replace(look, width=look.width + share) for look in shown]
        elif spare > 0.0:
            shown.append(ColumnLook("", Look.TEXT, spare))
            rows = [[*row, ""] for row in rows]
        tables.append(RecordTable(told, shown, rows))
    return tables


def _counted(name: str, job: Job) -> RecordTable:
    """Return how many rows of a long sheet belong to each lift."""
    table = job.table(name)
    if "block" in table.labels and "lift" in table.labels:
        pairs = zip(table.label("block").tolist(), table.label("lift").tolist(), strict=True)
        tally = Counter(f"{block}/{lift}" for block, lift in pairs)
    else:
        tally = Counter({"all": len(table)})
    looks = [
        ColumnLook("Block/lift", Look.TEXT, 24.0),
        ColumnLook("Rows", Look.COUNT, 12.0),
        ColumnLook("", Look.TEXT, 60.0),
    ]
    return RecordTable(
        name, looks, [[lift, rows, ""] for lift, rows in tally.items()],
        f"{len(table)} rows, too many to print. They stand in the workbook; the digest on every page covers them.",
    )  # fmt: skip


def inputs_part(job: Job, us: bool) -> Part:
    """Return every input that the run used.

    Parameters
    ----------
    job
        As it was read.
    us
        Whether numbers are shown in US units.
    """
    tables = [job_table(job, us)]
    for sheet in INPUT_SHEETS:
        table = job.table(sheet.name)
        if not len(table):
            continue
        if len(table) > MOST_ROWS:
            tables.append(_counted(sheet.name, job))
            continue
        columns = _columns(sheet, table, us)
        if len(table) <= TURNED:
            tables.append(_turned(sheet.name, columns, sheet.keys))
        else:
            tables += _split(sheet.name, columns, sheet.keys)
    absent = [sheet.name for sheet in INPUT_SHEETS if not len(job.table(sheet.name))]
    lines = [
        "As the engine read the sheets; columns without any value are left out. A column that stands with a default is listed "
        "under Methods, with the number of its blanks."
    ]
    if absent:
        lines.append("Not used in this book: " + ", ".join(absent) + ".")
    return Part("Inputs", lines, tables)
