"""Brings readings of logger files into the sheet ``Probe log`` of a book."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from sheetengine.books.added_rows import NewColumn, NewRows, Values, add_rows
from sheetengine.books.reading import read_grids
from sheetengine.columns import Column, Flags, Rows, Table, Texts
from sheetengine.exceptions import BookUnwritable, InputFaults
from sheetengine.findings import Finding, Level
from sheetengine.logger_files import FileFaults, Logged, Wishes, read_loggers
from sheetengine.sheets.declarations import Heading, Kind
from sheetengine.sheets.inputs import LIFTS
from sheetengine.sheets.optional_inputs import PROBE_LOG
from sheetengine.sheets.reading import read_table
from sheetengine.units import from_base

MOST_ROWS = 1_048_576
"""Rows of a sheet."""
_SAME_TIME = 1.0 / 3600.0
"""Two times closer than this, in h, are one."""


@dataclass(frozen=True, slots=True)
class Pulled:
    """What was done with the files.

    Attributes
    ----------
    added, known, thinned, blank
        Readings added, those that stood in the log already, those left out for a colder one close by, and lines without a
        reading.
    differing
        Readings whose place and time stand in the log with another temperature; they were added.
    lifts
        Names of the lifts they belong to.
    """

    added: int
    known: int
    thinned: int
    blank: int
    differing: int
    lifts: Sequence[str]


def pull_in(
    book: Path, files: Sequence[Path], wishes: Wishes, out: Path | None = None, *, every: float = 0.0
) -> Pulled:
    """Write the readings of logger files below those of ``Probe log``; all else of the book stays as it is.

    Parameters
    ----------
    book, files, out
        The book, the logger files, and the file to write; the book itself if none is named.
    wishes
        What is said of the files.
    every
        Length of the intervals of which only the coldest reading of each probe is kept; 0: all are. [h]

    Raises
    ------
    BookUnreadable, BookUnwritable
        A file could not be read or written; the book is as it was.
    InputFaults
        The sheets ``Lifts`` or ``Probe log`` cannot be used.
    FileFaults
        The logger files cannot be used; every fault is told by file and line.
    """
    lifts, log = _sheets(book)
    logged = read_loggers(files, wishes)
    lift, faults = _lifts_of(lifts, logged)
    missing = [heading for heading in _headings_used(logged) if heading.key not in log.at_columns]
    faults += [
        f"{book}: the sheet {log.sheet} has no column {heading.name}, which these readings fill. Add the heading "
        f"{heading.title(us=False)} in row {log.head_row}."
        for heading in missing
    ]
    if faults:
        raise FileFaults(faults)
    keep = _coldest(logged, lift, every)
    known, differing = _known(lifts, log, logged, lift)
    added = keep & ~known
    last = int(log.rows.max()) if len(log) else log.head_row
    if last + int(added.sum()) > MOST_ROWS:
        raise BookUnwritable(
            f"{book}: {int(added.sum()):,} readings would pass the last row of a sheet. Keep the coldest of each interval, as in "
            "--every 15."
        )
    if added.any():
        add_rows(book, out or book, _new_rows(log, logged, np.flatnonzero(added), last))
    elif out is not None:
        raise BookUnwritable(f"{out}: nothing is new in these files, so nothing was written.")
    names = sorted(
        {
            f"{lifts.label('block')[item]}/{lifts.label('lift')[item]}"
            for item in np.unique(lift[added]).tolist()
        }
    )
    return Pulled(
        int(added.sum()),
        int((known & keep).sum()),
        int((~keep).sum()),
        logged.blank,
        int((differing & added).sum()),
        names,
    )


def as_table(logged: Logged) -> Table:
    """Return the readings as the table that the sheet ``Probe log`` would give."""
    rows = np.arange(2, len(logged) + 2, dtype=np.int64)
    numbers = {"time": logged.time, "temperature": logged.temperature, "depth_from_face": logged.face,
               "depth_from_joint": logged.joint, "clock_ahead": np.zeros(len(logged))}  # fmt: skip
    labels = {"block": logged.block, "lift": logged.lift, "probe": logged.probe}
    return Table(PROBE_LOG.name, numbers=numbers, labels=labels, rows=rows, head_row=1)


def _sheets(book: Path) -> tuple[Table, Table]:
    """Return ``Lifts`` and ``Probe log``."""
    grids = read_grids(book, [LIFTS.name, PROBE_LOG.name])
    faults: list[Finding] = []
    for sheet in (LIFTS, PROBE_LOG):
        if sheet.name not in grids:
            raise BookUnwritable(
                f"{book}: it has no sheet {sheet.name}. Add one with the headings "
                f"{', '.join(heading.title(us=False) for heading in sheet.headings if heading.required)}."
            )
    read = [read_table(sheet, grids[sheet.name], faults.append, [], []) for sheet in (LIFTS, PROBE_LOG)]
    # a log that is still empty is no fault here
    faults = [fault for fault in faults if fault.level is Level.FAULT]
    if faults:
        raise InputFaults(faults)
    return read[0], read[1]


def _lifts_of(lifts: Table, logged: Logged) -> tuple[Rows, list[str]]:
    """Return the row in ``Lifts`` of every reading, and the names that are not there."""
    known = {
        (str(block).casefold(), str(lift).casefold()): item
        for item, (block, lift) in enumerate(zip(lifts.label("block"), lifts.label("lift"), strict=True))
    }
    pair = (
        np.char.add(np.char.add(logged.block.astype(str), "\t"), logged.lift.astype(str))
        if len(logged)
        else np.zeros(0, dtype=str)
    )
    names, first, which = np.unique(pair, return_index=True, return_inverse=True)
    rows = np.full(names.size, -1, dtype=np.int64)
    faults = []
    for place, name in enumerate(names.tolist()):
        block, lift = (part.strip() for part in name.split("\t"))
        rows[place] = known.get((block.casefold(), _plain_number(lift).casefold()), -1)
        if rows[place] < 0:
            at = int(first[place])
            faults.append(
                f"{logged.file[at]}, line {logged.line[at]}: there is no lift {block}/{lift} in Lifts. Correct the name, or name the "
                "lift with --set Block=… --set Lift=… or in --channel."
            )
    return rows[which.reshape(-1)], faults


def _plain_number(text: str) -> str:
    """Return ``7`` for ``7.0`` as some loggers write it.

    >>> _plain_number("7.0"), _plain_number("7a")
    ('7', '7a')
    """
    try:
        number = float(text)
    except ValueError:
        return text
    return str(int(number)) if number.is_integer() else text


def _headings_used(logged: Logged) -> list[Heading]:
    used = {"block": True, "lift": True, "time": True, "temperature": True,
            "depth_from_face": bool((~np.isnan(logged.face)).any()), "depth_from_joint": bool((~np.isnan(logged.joint)).any()),
            "probe": bool((logged.probe != "").any())}  # fmt: skip
    return [heading for heading in PROBE_LOG.headings if used.get(heading.key, False)]


def _probe_keys(lift: Rows, probe: Sequence[str], face: Column, joint: Column) -> Column:
    """Return what tells probes apart, a column for each part."""
    named = np.asarray(probe, dtype=str) if len(probe) else np.zeros(0, dtype=str)
    return np.column_stack([lift, np.unique(named, return_inverse=True)[1].reshape(-1),
                            np.nan_to_num(face, nan=-1.0).round(4), np.nan_to_num(joint, nan=-1.0).round(4)])  # fmt: skip


def _coldest(logged: Logged, lift: Rows, every: float) -> Flags:
    """Return the coldest reading of each probe in each interval; all, where the interval is 0."""
    keep = np.ones(len(logged), dtype=bool)
    if every <= 0.0 or not len(logged):
        return keep
    keys = np.column_stack(
        [_probe_keys(lift, logged.probe.tolist(), logged.face, logged.joint), np.floor(logged.time / every)]
    )
    order = np.lexsort([logged.temperature, *keys.T[::-1]])
    first = np.ones(order.size, dtype=bool)
    first[1:] = (keys[order[1:]] != keys[order[:-1]]).any(axis=1)
    keep[:] = False
    keep[order[first]] = True
    return keep


def _known(lifts: Table, log: Table, logged: Logged, lift: Rows) -> tuple[Flags, Flags]:
    """Return readings that stand in the log already, and those that stand there with another temperature."""
    count = len(log)
    none = np.zeros(len(logged), dtype=bool)
    if not count or not len(logged):
        return none, none.copy()
    rows = {
        (str(b).casefold(), str(n).casefold()): i
        for i, (b, n) in enumerate(zip(lifts.label("block"), lifts.label("lift"), strict=True))
    }
    held = np.array([rows.get((str(b).casefold(), str(n).casefold()), -1)
                     for b, n in zip(log.label("block"), log.label("lift"), strict=True)])  # fmt: skip
    keys = _probe_keys(
        np.concatenate([held, lift]), [*map(str, log.label("probe")), *map(str, logged.probe)],
        np.concatenate([log.number("depth_from_face"), logged.face]), np.concatenate([log.number("depth_from_joint"), logged.joint]),
    )  # fmt: skip
    time = np.concatenate([log.number("time") - log.number("clock_ahead"), logged.time])
    place = np.column_stack([keys, np.round(time / _SAME_TIME)])
    which = np.unique(place, axis=0, return_inverse=True)[1].reshape(-1)
    temperature = np.concatenate([log.number("temperature"), logged.temperature])
    there = np.isin(which[count:], which[:count])
    alike = np.column_stack([which, np.round(temperature, 3)])
    twin = np.unique(alike, axis=0, return_inverse=True)[1].reshape(-1)
    same = np.isin(twin[count:], twin[:count])
    return same, there & ~same


def _new_rows(log: Table, logged: Logged, items: Rows, last: int) -> NewRows:
    """Return the readings as rows of the sheet, in the units of its headings."""
    order = items[
        np.lexsort(
            (
                logged.time[items],
                logged.probe[items].astype(str),
                logged.lift[items].astype(str),
                logged.block[items].astype(str),
            )
        )
    ]
    numbers = {
        "temperature": logged.temperature,
        "depth_from_face": logged.face,
        "depth_from_joint": logged.joint,
    }
    columns = []
    for heading in PROBE_LOG.headings:
        column = log.at_columns.get(heading.key)
        if column is None or heading.key == "clock_ahead":
            continue
        if heading.key == "time":
            # to the second, as a cell shows it
            columns.append(NewColumn(column, np.round(logged.time[order] * 3600.0) / 3600.0, moments=True))
        elif heading.kind is Kind.NUMBER:
            shown = from_base(numbers[heading.key][order], log.units[heading.key], heading.measure)
            columns.append(NewColumn(column, np.round(shown, 6)))
        else:
            names = getattr(logged, heading.key)[order]
            columns.append(NewColumn(column, _as_cells(names, numbered=heading.key == "lift")))
    return NewRows(log.sheet, last, last if len(log) else last + 1, order.size, columns)


def _as_cells(names: Texts, *, numbered: bool) -> Values:
    """Return lifts' numbers as numbers, as the other sheets hold them, where all are; any other name as text."""
    known = {name: _plain_number(name) for name in set(names.tolist())}
    plain = [known[name] for name in names.tolist()]
    if numbered and all(name.isdigit() and str(int(name)) == name for name in known.values()):
        return np.array([float(name) for name in plain])
    return plain
