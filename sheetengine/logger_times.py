"""Dates and times as loggers spell them: ISO, day-first, month-first, with or without an offset from UTC."""

from __future__ import annotations

import datetime as dt
import math
import re
from collections.abc import Mapping, Sequence
from typing import Protocol

import numpy as np

from sheetengine.columns import Column, hours_of
from sheetengine.findings import Code

DATES = ("iso", "day-first", "month-first")

_DAY_MONTH = re.compile(r"(\d{1,2})([./-])(\d{1,2})\2(\d{4})(?:[T ,]+(.+))?")
_CLOCK = re.compile(r"(\d{1,2}):(\d{2})(?::(\d{2})(?:[.,]\d+)?)?\s*([AaPp][Mm])?")


class Report(Protocol):
    """Takes a fault of a line."""

    def __call__(
        self, code: Code, line: int, message: str, clears: str, found: object = None, kind: str = ""
    ) -> None:
        """Tell of a fault."""


def times_of(cells: Sequence[str], at: Sequence[int], dates: str, faults: Report) -> tuple[Column, Column]:
    """Return hours as written and offsets from UTC; each spelling is read once.

    Parameters
    ----------
    cells
        Times as they are spelled.
    at
        Their lines.
    dates
        One of :data:`DATES`, or nothing where the dates have to show their order themselves.
    faults
        Told of every spelling that is none, at its first line.
    """
    known: dict[str, int] = {}
    code = np.array([known.setdefault(cell, len(known)) for cell in cells], dtype=np.int64)
    spelled = list(known)
    _, place = np.unique(code, return_index=True)
    first = {number: at[item] for number, item in enumerate(place.tolist())}
    hours, offsets = np.full(len(spelled), np.nan), np.full(len(spelled), np.nan)
    parted = {}
    for number, cell in enumerate(spelled):
        text = re.sub(r"^(\d{4})/(\d{1,2})/(\d{1,2})", r"\1-\2-\3", cell.strip())
        found = _DAY_MONTH.fullmatch(text)
        if found is not None:
            parted[number] = found
            continue
        moment = _iso(text)
        if moment is None:
            faults(Code.NOT_A_DATE, first[number], f"“{cell.strip()}” is no date and time that is known.",
                   "Write it as 2031-04-07 06:00, or by day, month and year with --dates.", cell, "no date and time")  # fmt: skip
            continue
        shift = moment.utcoffset()
        hours[number] = hours_of(moment)
        offsets[number] = math.nan if shift is None else shift / dt.timedelta(hours=1)
    order = _order_of_dates(parted, first, dates, faults)
    for number, found in parted.items() if order else ():
        day, month = (
            (int(found[1]), int(found[3])) if order == "day-first" else (int(found[3]), int(found[1]))
        )
        moment = _parted(int(found[4]), month, day, found[5] or "")
        if moment is None:
            faults(Code.NOT_A_DATE, first[number], f"“{spelled[number]}” is no date and time, {order}.",
                   "Correct it, or say another order with --dates.", spelled[number], "no date and time")  # fmt: skip
        else:
            hours[number] = hours_of(moment)
    return hours[code], offsets[code]


def _iso(text: str) -> dt.datetime | None:
    if len(text) < 14:
        return None
    try:
        return dt.datetime.fromisoformat(text)
    except ValueError:
        return None


def _order_of_dates(
    parted: Mapping[int, re.Match[str]], first: Mapping[int, int], dates: str, faults: Report
) -> str:
    """Return the order of day and month, empty where it is not known; what was said counts before what the dates show."""
    if not parted:
        return ""
    if dates in ("day-first", "month-first"):
        return dates
    days = [number for number, found in parted.items() if int(found[1]) > 12]
    months = [number for number, found in parted.items() if int(found[3]) > 12]
    if days and not months:
        return "day-first"
    if months and not days:
        return "month-first"
    number = (months or list(parted))[0]
    why = (
        "some dates read only day-first and some only month-first"
        if days
        else "it can be read day-first and month-first"
    )
    faults(Code.NOT_A_DATE, first[number], f"“{parted[number][0]}”: {why}.", "Say --dates day-first or --dates month-first.",
           parted[number][0])  # fmt: skip
    return ""


def _parted(year: int, month: int, day: int, clock: str) -> dt.datetime | None:
    found = _CLOCK.fullmatch(clock.strip())
    if found is None:
        return None
    hour, half = int(found[1]), (found[4] or "").lower()
    if half and not 1 <= hour <= 12:
        return None
    hour = hour % 12 + (12 if half == "pm" else 0) if half else hour
    try:
        return dt.datetime(year, month, day, hour, int(found[2]), int(found[3] or 0))
    except ValueError:
        return None
