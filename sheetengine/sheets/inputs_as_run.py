"""The inputs of a run, kept with its results, so that a later look can name what has changed since."""

from __future__ import annotations

import datetime as dt
import hashlib
import math
from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

import pandas as pd

from sheetengine.columns import Table, moment_of
from sheetengine.content import ColumnLook, Look, SheetContent, TableContent
from sheetengine.job import Job
from sheetengine.sheets.declarations import Kind
from sheetengine.sheets.optional_inputs import INPUT_SHEETS


def shown_text(value: Any) -> str:
    """Return a value as a reader sees it; blanks of any sort are empty."""
    if value is None or value is pd.NaT or (isinstance(value, float) and math.isnan(value)):
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (dt.datetime, pd.Timestamp)):
        return f"{value:%Y-%m-%d %H:%M}"
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return f"{float(value):.6g}"
    return str(value)


def numbered(keys: Sequence[str]) -> list[str]:
    """Return keys with a number behind those that stand there before, in the order of the rows."""
    seen: Counter[str] = Counter()
    out = []
    for key in keys:
        seen[key] += 1
        out.append(key if seen[key] == 1 else f"{key} ({seen[key]})")
    return out


def input_rows(job: Job, name: str) -> dict[str, dict[str, Any]]:
    """Return the rows of an input sheet by key, with the numbers in the engine's units."""
    sheet = next(sheet for sheet in INPUT_SHEETS if sheet.name == name)
    table: Table = job.table(name)
    headings = {heading.key: heading for heading in sheet.headings}
    columns: dict[str, Sequence[Any]] = {}
    for key, heading in headings.items():
        unit = f" [{heading.measure.base}]" if heading.measure.base else ""
        if key in table.numbers:
            values = table.numbers[key].tolist()
            moments = heading.kind is Kind.MOMENT
            columns[f"{heading.name}{'' if moments else unit}"] = (
                [None if math.isnan(value) else moment_of(value) for value in values] if moments else values
            )
        elif key in table.labels:
            columns[heading.name] = table.labels[key].tolist()
    parts = [
        columns.get(
            f"{headings[key].name} [{headings[key].measure.base}]", columns.get(headings[key].name, ())
        )
        for key in sheet.keys
    ]
    keys = (
        ["/".join(filter(None, map(shown_text, row))) for row in zip(*parts, strict=True)]
        if all(parts)
        else []
    )
    return {
        key: {heading: values[item] for heading, values in columns.items()}
        for item, key in enumerate(numbered(keys))
    }


MOST_ROWS = 2000
"""Rows of a sheet up to which every input cell is kept with the results; of longer ones a digest for each lift."""
INPUTS_AS_RUN = "Inputs as run"
NOT_PRINTED = "The rows below do not go to paper with the book; the command report prints inputs and charts."
AS_RUN_HEADINGS = ("Sheet", "Key", "Heading", "Value")


def input_lines(job: Job) -> dict[tuple[str, str, str], str]:
    """Return every input that a run used, by sheet, key and heading, as text; the numbers in the engine's units."""
    lines: dict[tuple[str, str, str], str] = {}
    for name, item in job.items.items():
        lines["Job", "", name] = item.text or _exact(item.number)
    for sheet in INPUT_SHEETS:
        rows = input_rows(job, sheet.name)
        if len(rows) <= MOST_ROWS:
            for key, row in rows.items():
                lines |= {(sheet.name, key, heading): _exact(value) for heading, value in row.items()}
            continue
        table = job.table(sheet.name)
        parts: dict[str, list[str]] = {}
        names = [
            f"{block}/{lift}" for block, lift in zip(table.label("block"), table.label("lift"), strict=True)
        ]
        for name, row in zip(names, rows.values(), strict=True):
            parts.setdefault(name, []).append("\x1f".join(map(_exact, row.values())))
        for name, texts_ in parts.items():
            digest = hashlib.sha256("\x1e".join(texts_).encode()).hexdigest()[:16]
            lines[sheet.name, name, f"digest of {len(texts_)} rows"] = digest
    return {place: text for place, text in lines.items() if text}


def _exact(value: Any) -> str:
    """Return a value as text from which a change of the last digit but three can be told."""
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return "" if math.isnan(value) else f"{float(value):.12g}"
    return shown_text(value)


def as_run_sheet(inputs: Mapping[tuple[str, str, str], str], **common: Any) -> SheetContent:
    """Return the result sheet that keeps the inputs of a run."""
    rows = [[*place, text] for place, text in inputs.items()]
    looks = [
        ColumnLook(name, Look.TEXT, width)
        for name, width in zip(AS_RUN_HEADINGS, (18.0, 34.0, 34.0, 30.0), strict=True)
    ]
    return SheetContent(
        INPUTS_AS_RUN, INPUTS_AS_RUN,
        ["What the results rest on, as the engine read it, in its units; blank cells stand with the default that was taken. "
         "The command verify holds the book against this list.", NOT_PRINTED],
        [TableContent("Inputs_as_run", looks, rows)], freeze_columns=2, prints=False, **common,
    )  # fmt: skip
