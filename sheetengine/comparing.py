"""What differs between two books, and between a book's result sheets and its inputs: by key, never by row."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from sheetengine.cells import CellRef
from sheetengine.content import Formula, Link, Look, SheetContent, TableContent
from sheetengine.grids import Grid
from sheetengine.job import Job, Results
from sheetengine.sheets.inputs_as_run import AS_RUN_HEADINGS, input_lines, input_rows, numbered, shown_text
from sheetengine.sheets.optional_inputs import INPUT_SHEETS
from sheetengine.sheets.results import KEY_COLUMNS
from sheetengine.sheets.signing import named

VERDICT, FLAG, QUANTITY, INPUT, RESULT = "Verdict", "Flag", "Quantity", "Input", "Result"
KINDS = (VERDICT, FLAG, QUANTITY, INPUT, RESULT)
"""What a difference is of, gravest first."""
CHANGED, ADDED, REMOVED = "changed", "added", "removed"
CLOSE = 1e-9
"""Relative difference up to which two numbers are the same."""
QUANTITIES = ("Embed counts", "Bar counts")
NOT_COMPARED = ("Flags", "Flag history", "Run record", "Chart data", "Inputs as run", "Anchor detail")


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that differs: where it stands, under which heading, and both values as texts."""

    kind: str
    sheet: str
    key: str
    heading: str
    what: str
    old: str
    new: str

    def __str__(self) -> str:
        """Return the difference in one line."""
        place = f"{self.sheet}, {self.key}" if self.key else self.sheet
        if self.what == CHANGED:
            return f"{place}: {self.heading} {self.old or 'blank'} → {self.new or 'blank'}"
        said = self.new if self.what == ADDED else self.old
        return f"{place}: {self.what}{f', {said}' if said else ''}"


def same(old: Any, new: Any) -> bool:
    """Return whether two values are the same: numbers within :data:`CLOSE`, blanks of any sort, else equal texts."""
    numbers = all(isinstance(value, (int, float)) and not isinstance(value, bool) for value in (old, new))
    if numbers and math.isfinite(old) and math.isfinite(new):
        return math.isclose(old, new, rel_tol=CLOSE, abs_tol=1e-12)
    return shown_text(old) == shown_text(new)


def _rows_of(
    kind: str, sheet: str, old: Mapping[str, Mapping[str, Any]], new: Mapping[str, Mapping[str, Any]]
) -> Iterator[Difference]:
    """Yield the differences of rows by key."""
    for key in [*old, *(key for key in new if key not in old)]:
        if key not in new:
            yield Difference(kind, sheet, key, "", REMOVED, "", "")
        elif key not in old:
            yield Difference(kind, sheet, key, "", ADDED, "", "")
        else:
            for heading in dict.fromkeys([*old[key], *new[key]]):
                was, now = old[key].get(heading), new[key].get(heading)
                if not same(was, now):
                    of = VERDICT if heading == "Verdict" else kind
                    yield Difference(of, sheet, key, heading, CHANGED, shown_text(was), shown_text(now))


def changed_inputs(job: Job, as_run: Grid | None) -> list[Difference]:
    """Return the inputs that have changed since a run, by what it kept of them; none where it kept nothing."""
    rows = as_run.rows if as_run is not None else ()
    head = next((place for place, row in enumerate(rows) if tuple(row[:4]) == AS_RUN_HEADINGS), None)
    if head is None:
        return []
    old = {
        (str(row[0]), shown_text(row[1]), str(row[2])): shown_text(row[3])
        for row in rows[head + 1 :]
        if len(row) > 3 and row[0] and row[2]
    }
    new = input_lines(job)
    found = []
    gone = {place[:2] for place in old} - {place[:2] for place in new}
    come = {place[:2] for place in new} - {place[:2] for place in old}
    for where, what in ((gone, REMOVED), (come, ADDED)):
        found += [Difference(INPUT, sheet, key, "", what, "", "") for sheet, key in sorted(where)]
    for place in dict.fromkeys([*old, *new]):
        if place[:2] not in gone | come and old.get(place, "") != new.get(place, ""):
            found.append(Difference(INPUT, *place, CHANGED, old.get(place, ""), new.get(place, "")))
    return found


def input_cell(job: Job, difference: Difference) -> str:
    """Return the cell of a changed input, empty where it has none."""
    if difference.sheet == "Job":
        item = job.items.get(difference.heading)
        return str(item.at) if item is not None else ""
    keys = list(input_rows(job, difference.sheet))
    sheet = next(sheet for sheet in INPUT_SHEETS if sheet.name == difference.sheet)
    name = difference.heading.split(" [")[0]
    key = next((heading.key for heading in sheet.headings if heading.name == name), "")
    if difference.key not in keys or not key:
        return ""
    return str(job.table(difference.sheet).at(keys.index(difference.key), key))


def input_differences(old: Job, new: Job) -> Iterator[Difference]:
    """Yield what differs between the inputs of two jobs; the same quantity in another unit does not."""
    for name, item in new.items.items():
        was = old.items[name]
        if not same(was.number, item.number) or was.text.casefold() != item.text.casefold():
            values = [entry.text or shown_text(entry.number) for entry in (was, item)]
            yield Difference(INPUT, "Job", "", name, CHANGED, values[0], values[1])
    for sheet in INPUT_SHEETS:
        yield from _rows_of(INPUT, sheet.name, input_rows(old, sheet.name), input_rows(new, sheet.name))


def _frame_rows(name: str, frame: pd.DataFrame) -> dict[str, dict[str, Any]]:
    lead = [str(column) for column in frame.columns[: KEY_COLUMNS.get(name, 2)]]
    keys = [
        " · ".join(filter(None, map(shown_text, row)))
        for row in frame[lead].itertuples(index=False, name=None)
    ]
    rest = [str(column) for column in frame.columns if str(column) not in lead]
    return {
        key: dict(zip(rest, row, strict=True))
        for key, row in zip(numbered(keys), frame[rest].itertuples(index=False, name=None), strict=True)
    }


def result_differences(old: Results, new: Results) -> Iterator[Difference]:
    """Yield what differs between two sets of results: verdicts, flags, quantities, other results."""
    for name in dict.fromkeys([*old.frames, *new.frames]):
        if name in NOT_COMPARED or ", " in name:
            continue
        empty = pd.DataFrame(columns=[*(new if name in new.frames else old).frames[name].columns])
        pair = [_frame_rows(name, results.frames.get(name, empty)) for results in (old, new)]
        yield from _rows_of(QUANTITY if name in QUANTITIES else RESULT, name, pair[0], pair[1])
    before, after = (dict(named(results.findings)) for results in (old, new))
    for name in [*before, *(name for name in after if name not in before)]:
        was, now = before.get(name), after.get(name)
        if was is None or now is None:
            finding, what = (now, ADDED) if was is None else (was, REMOVED)
            assert finding is not None
            said = f"{finding.level.value}: {finding.message}"
            yield Difference(
                FLAG, "Flags", name, "", what, said if now is None else "", said if was is None else ""
            )
        elif was.level is not now.level or not same(was.found, now.found):
            texts = [f"{entry.level.value}, {shown_text(entry.found)}" for entry in (was, now)]
            yield Difference(FLAG, "Flags", name, "Value", CHANGED, texts[0], texts[1])


def differences(old: tuple[Job, Results], new: tuple[Job, Results]) -> list[Difference]:
    """Return everything that differs between two books, gravest first."""
    found = [*result_differences(old[1], new[1]), *input_differences(old[0], new[0])]
    return sorted(found, key=lambda difference: KINDS.index(difference.kind))


# a book against its own result sheets


@dataclass(frozen=True, slots=True)
class CellDifference:
    """A cell of a result sheet that does not hold what the engine computes for it."""

    at: CellRef
    key: str
    heading: str
    stands: str
    computed: str

    def __str__(self) -> str:
        """Return the difference in one line."""
        return f"{self.at} ({self.key}, {self.heading}): {self.stands or 'blank'} stands there, {self.computed or 'blank'} is computed"


def _plain(value: Any) -> Any:
    if isinstance(value, Link):
        return value.text
    if isinstance(value, float) and math.isinf(value):
        return "any" if value > 0.0 else "none"
    if hasattr(value, "item") and not isinstance(value, (dt.datetime, pd.Timestamp)):
        return value.item()
    return value


def _table_differences(sheet: str, grid: Grid, table: TableContent, keys: int) -> Iterator[CellDifference]:
    headings = [look.heading for look in table.columns]
    head = next(
        (place for place, row in enumerate(grid.rows) if [str(cell) for cell in row[:3]] == headings[:3]),
        None,
    )
    if head is None:
        return
    for offset, row in enumerate(table.rows, start=1):
        stands = grid.rows[head + offset] if head + offset < len(grid.rows) else ()
        key = " · ".join(filter(None, (shown_text(_plain(value)) for value in row[:keys])))
        for column, (look, value) in enumerate(zip(table.columns, row, strict=True)):
            if look.look is Look.ENTRY or isinstance(value, Formula):
                continue
            here = stands[column] if column < len(stands) else None
            wanted = _plain(value)
            if isinstance(wanted, (dt.datetime, pd.Timestamp)) and isinstance(here, dt.datetime):
                if abs((here - wanted.replace(microsecond=0)).total_seconds()) <= 1.0:
                    continue
            elif same(here, wanted):
                continue
            yield CellDifference(
                CellRef(sheet, head + offset + 1, column + 1),
                key,
                look.heading,
                shown_text(here),
                shown_text(wanted),
            )
    below = grid.rows[head + len(table.rows) + 1] if head + len(table.rows) + 1 < len(grid.rows) else ()
    if table.rows and any(cell not in (None, "") for cell in below[: len(headings)]):
        at = CellRef(sheet, head + len(table.rows) + 2, 1)
        yield CellDifference(at, "", "", "a row more", "no row")


def sheet_differences(
    contents: Sequence[SheetContent], grids: Mapping[str, Grid | None]
) -> list[CellDifference]:
    """Return the cells of result sheets that do not hold what was computed.

    Parameters
    ----------
    contents
        What the sheets are to hold.
    grids
        What they hold. The sheets of flags, the run record and live formulas are not looked at.
    """
    found: list[CellDifference] = []
    for content in contents:
        grid = grids.get(content.name)
        if grid is None or content.name in (*NOT_COMPARED[:5], "Filling profile") or not content.tables:
            continue
        found += _table_differences(content.name, grid, content.tables[0], KEY_COLUMNS.get(content.name, 2))
    return found
