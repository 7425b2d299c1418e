"""Adds the readings of logger files to the probe log of a book."""

from __future__ import annotations

import argparse
import math
import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from sheetengine.books.row_splice import Value, add_rows
from sheetengine.cells import CellRef
from sheetengine.columns import Column, moment_of
from sheetengine.exceptions import BookUnreadable, InputFaults
from sheetengine.findings import Code, Finding, Level
from sheetengine.job import Job
from sheetengine.logger_files import KNOWN, Asked, Readings, read_readings
from sheetengine.sheets.declarations import nearest, plain
from sheetengine.sheets.optional_inputs import PROBE_LOG
from sheetengine.sheets.probe_times import LOG_ZONE, PLAN_ZONE, offset_hours
from sheetengine.units import from_base

MOST_READINGS_TOLD = 20
SAME_READING = 0.051
"""Difference, in K, up to which two readings of one probe at one time are one reading that was rounded."""
HEADING_OF = {
    "block": "Block", "lift": "Lift", "time": "Time", "temperature": "Temperature",
    "depth_from_face": "Depth from face", "depth_from_joint": "Depth from joint", "probe": "Probe",
}  # fmt: skip

Key = tuple[str, str, str, int, int, int]


@dataclass(frozen=True, slots=True)
class Added:
    """How many readings were added and were there already, and the first and last new row (0 where there is none)."""

    added: int
    known: int
    first: int
    last: int


def mapped(text: str) -> tuple[str, str]:
    """Return column and heading of ``COLUMN=NAME``.

    Raises
    ------
    argparse.ArgumentTypeError
        The text is none, or the column is none of ``Probe log``.
    """
    column, is_there, name = text.partition("=")
    known = {plain(what): what for what in KNOWN}
    if not is_there or not name.strip():
        raise argparse.ArgumentTypeError(f'“{text}” is no mapping; write it as "Time=NAME"')
    if plain(column) not in known:
        near = nearest(column, list(KNOWN))
        raise argparse.ArgumentTypeError(
            f"“{column.strip()}” is no column of Probe log; "
            + (f"did you mean {near}?" if near else f"choose from {', '.join(KNOWN)}")
        )
    return known[plain(column)], name.strip()


def add_readings(
    job: Job, book: str | os.PathLike[str], files: Sequence[Path], asked: Asked, out: Path | None = None,
    *, step: Callable[[str], None] = lambda _: None,
) -> Added:  # fmt: skip
    """Add the readings of logger files to the book, or to a copy of it: all of them, or nothing.

    Parameters
    ----------
    job, book
        The job that the book holds, and the book.
    files
        CSV files.
    asked
        How they are to be read.
    out
        File to write; the book itself if none is given.
    step
        Told of each step as it begins.

    Raises
    ------
    InputFaults
        Every fault of the files.
    BookUnreadable, BookUnwritable
        A file could not be read or written; the book is as it was.
    """
    step("Read the logger files")
    faults = _faults_of_the_sheet(job)
    read: list[tuple[str, Readings]] = []
    for file in files:
        try:
            content = file.read_bytes()
        except OSError as error:
            raise BookUnreadable(f"{file}: the logger file could not be read ({error.strerror}).") from error
        readings, found = read_readings(content, file.name, asked)
        faults += found
        read.append((file.name, readings))
    step("Compare with the log")
    rows, known = _new_rows(job, read, faults)
    if faults:
        raise InputFaults(faults)
    if not rows:
        return Added(0, known, 0, 0)
    step("Write the log")
    log = job.table(PROBE_LOG.name)
    keys = [key for key in HEADING_OF if key in log.at_columns]
    columns = [log.at_columns[key] for key in keys]
    dated = [
        int(row) for row in log.rows[np.isnan(log.numbers.get("time_offset", np.zeros(len(log))))].tolist()
    ]
    wanted = [[row[list(HEADING_OF).index(key)] for key in keys] for row in rows]
    first = add_rows(book, out or book, log.sheet, columns, wanted, pattern_row=dated[-1] if dated else 0)
    return Added(len(rows), known, first, first + len(rows) - 1)


def _faults_of_the_sheet(job: Job) -> list[Finding]:
    log = job.table(PROBE_LOG.name)
    if log.head_row:
        return []
    headings = ", ".join(heading.title(us=False) for heading in PROBE_LOG.headings)
    return [
        Finding(Level.FAULT, Code.MISSING_SHEET, CellRef(PROBE_LOG.name), f"The book has no sheet {PROBE_LOG.name}.",
                clears=f"Add it with the headings {headings}; sheetengine new makes a book that has it.")
    ]  # fmt: skip


def _zones(job: Job) -> tuple[float, float]:
    plan, logs = (offset_hours(job.text(name)) for name in (PLAN_ZONE, LOG_ZONE))
    return plan, plan if math.isnan(logs) else logs


def _keys(
    job: Job, block: Sequence[object], lift: Sequence[object], probe: Sequence[object], hour: Column, face: Column, joint: Column
) -> list[Key]:  # fmt: skip
    """Return what makes a reading one and the same: lift, probe by name or else by place, second."""
    seconds = np.round(hour * 3600.0)
    millimetres = [
        np.round(np.nan_to_num(depth, nan=-1.0) * 1000.0).astype(np.int64).tolist() for depth in (face, joint)
    ]
    return [
        (str(b).casefold(), str(v).casefold(), str(p).casefold(), int(s), -1 if p else f, -1 if p else j)
        for b, v, p, s, f, j in zip(block, lift, probe, seconds.tolist(), *millimetres, strict=True)
    ]


def _new_rows(
    job: Job, read: Sequence[tuple[str, Readings]], faults: list[Finding]
) -> tuple[list[list[Value]], int]:
    """Return the rows to add, in order, and how many readings are there already; report what does not fit the book."""
    log = job.table(PROBE_LOG.name)
    there: dict[Key, tuple[float, str]] = {}
    if len(log):
        old = _keys(job, log.label("block").tolist(), log.label("lift").tolist(), log.label("probe").tolist(),
                    np.nan_to_num(log.number("time")), log.number("depth_from_face"), log.number("depth_from_joint"))  # fmt: skip
        for key, value, row in zip(old, log.number("temperature").tolist(), log.rows.tolist(), strict=True):
            there.setdefault(key, (value, f"row {row} of {log.sheet}"))
    lifts = job.table("Lifts")
    names = {
        (str(b).casefold(), str(v).casefold())
        for b, v in zip(lifts.label("block"), lifts.label("lift"), strict=True)
    }
    plan, logs = _zones(job)
    rows: list[list[Value]] = []
    known = told = 0
    lacking: set[str] = set()
    for name, readings in read:
        zoned = ~np.isnan(readings.offset)
        if zoned.any() and math.isnan(plan):
            faults.append(_fault(name, int(readings.line[zoned][0]), "The times carry an offset from UTC, and Job does not say in which time the plan is.",
                                 f"Fill in {PLAN_ZONE} in Job, for example +01:00."))  # fmt: skip
        moved = np.where(
            zoned,
            np.nan_to_num(plan) - np.nan_to_num(readings.offset),
            0.0 if math.isnan(plan) else plan - logs,
        )
        keys = _keys(job, readings.block.tolist(), readings.lift.tolist(), readings.probe.tolist(),
                     np.nan_to_num(readings.time + moved), readings.face, readings.joint)  # fmt: skip
        lacking |= _lacking_columns(job, readings)
        strange: set[tuple[str, str]] = set()
        value = readings.temperature
        shown = from_base(
            value, log.units.get("temperature") or "degC", PROBE_LOG.heading("temperature").measure
        )
        depths = [
            from_base(depth, log.units.get(key) or "m", PROBE_LOG.heading(key).measure)
            for key, depth in (("depth_from_face", readings.face), ("depth_from_joint", readings.joint))
        ]
        for item, key in enumerate(keys):
            line = int(readings.line[item])
            if key[:2] not in names and key[:2] not in strange:
                strange.add((key[0], key[1]))
                faults.append(_fault(name, line, f"Block {readings.block[item]}, lift {readings.lift[item]} is not in Lifts.",
                                     "Correct block and lift, or add the lift to Lifts."))  # fmt: skip
            if np.isnan(readings.time[item]):
                continue
            if key in there:
                before, where = there[key]
                known += 1
                if abs(before - value[item]) > SAME_READING:
                    told += 1
                    if told <= MOST_READINGS_TOLD:
                        faults.append(_fault(name, line, f"The reading is {value[item]:.2f} degC, and {where} has {before:.2f} degC "
                                             "of the same probe at the same time.", "Take one of the two out."))  # fmt: skip
                continue
            there[key] = (float(value[item]), f"line {line} of {name}")
            rows.append(
                [_plain(readings.block[item]), _plain(readings.lift[item]),
                 _moment(readings.time[item], readings.offset[item]), _rounded(shown[item]),
                 *(_rounded(depth[item]) for depth in depths), readings.probe[item] or None]
            )  # fmt: skip
    if told > MOST_READINGS_TOLD:
        faults.append(
            _fault(read[0][0], 1, f"{told - MOST_READINGS_TOLD} more readings differ from those there.", "")
        )
    for heading in sorted(lacking):
        faults.append(
            Finding(Level.FAULT, Code.MISSING_HEADING, CellRef(log.sheet, log.head_row, 1),
                    f"The files tell {heading}, and the sheet has no such column.",
                    clears=f"Add a column {PROBE_LOG.heading(_key_of(heading)).title(us=False)} to {log.sheet}.", heading=heading)
        )  # fmt: skip
    return rows, known


def _key_of(heading: str) -> str:
    return next(key for key, name in HEADING_OF.items() if name == heading)


def _lacking_columns(job: Job, readings: Readings) -> set[str]:
    """Return the headings that the readings need and the sheet lacks."""
    log = job.table(PROBE_LOG.name)
    if not log.head_row:
        return set()
    told = {
        "depth_from_face": not np.isnan(readings.face).all(),
        "depth_from_joint": not np.isnan(readings.joint).all(),
        "probe": bool((readings.probe != "").any()),
    }
    return {
        HEADING_OF[key]
        for key, is_told in told.items()
        if len(readings) and is_told and key not in log.at_columns
    }


def _fault(name: str, line: int, message: str, clears: str) -> Finding:
    return Finding(Level.FAULT, Code.UNKNOWN_NAME, CellRef(name, line, 1), f"Line {line}: {message}", clears=clears,
                   keys=(name, str(line), message))  # fmt: skip


def _plain(name: str) -> Value:
    """Return a name as the sheets write it: digits as a number, so that lookups match."""
    return int(name) if name.isdecimal() and str(int(name)) == name else name


def _rounded(value: float) -> Value:
    return None if math.isnan(value) else round(float(value), 4)


def _moment(hour: float, offset: float) -> Value:
    moment = moment_of(float(hour))
    if moment is None or math.isnan(offset):
        return moment
    minutes = round(abs(offset) * 60.0)
    return f"{moment:%Y-%m-%dT%H:%M:%S}{'-' if offset < 0 else '+'}{minutes // 60:02d}:{minutes % 60:02d}"
