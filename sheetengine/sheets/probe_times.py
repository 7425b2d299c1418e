"""Times of the probe log: with or without an offset from UTC, brought into the time of the plan."""

from __future__ import annotations

import datetime as dt
import math
import re
from collections.abc import Sequence

import numpy as np

from sheetengine.cells import CellRef
from sheetengine.columns import Column, hours_of
from sheetengine.findings import Code
from sheetengine.job import Job
from sheetengine.sheets.cell_values import Report, fault, is_blank, moment_hours
from sheetengine.sheets.declarations import Heading

OFFSET_OF_TIME = "time_offset"
"""Key of the column of offsets that the times of the log state themselves."""
PLAN_ZONE, LOG_ZONE = "Time zone of the plan", "Time zone of the logs"

_OFFSET = re.compile(r"(?:UTC|GMT)?\s*(?:([+\u2212-])\s*(\d{1,2})(?::?(\d{2}))?)?", re.IGNORECASE)


def offset_hours(text: str) -> float:
    """Return an offset from UTC in hours, ``nan`` where the text is none.

    >>> offset_hours("+02:00"), offset_hours("UTC"), offset_hours("UTC-3"), offset_hours("+0530"), offset_hours("summer")
    (2.0, 0.0, -3.0, 5.5, nan)
    """
    text = text.strip()
    if text.upper() == "Z":
        return 0.0
    found = _OFFSET.fullmatch(text)
    if not text or found is None:
        return math.nan
    if found[1] is None:
        return 0.0
    hours = int(found[2]) + int(found[3] or 0) / 60.0
    if hours > 14.0 or int(found[3] or 0) > 59:
        return math.nan
    return hours if found[1] == "+" else -hours


def zoned_moment(text: str) -> tuple[float, float] | None:
    """Return hours and offset of a date and time that carries its offset from UTC, ``None`` for any other text."""
    try:
        moment = dt.datetime.fromisoformat(text.strip())
    except ValueError:
        return None
    offset = moment.utcoffset()
    return None if offset is None else (hours_of(moment), offset / dt.timedelta(hours=1))


def zoned_hours(
    heading: Heading, values: Sequence[object], places: Sequence[CellRef], report: Report
) -> tuple[Column, Column]:
    """Return times as they are written, in hours, and the offsets that they carry, ``nan`` where they carry none."""
    hours, offsets = np.full(len(values), math.nan), np.full(len(values), math.nan)
    for item, (value, at) in enumerate(zip(values, places, strict=True)):
        if is_blank(value):
            continue
        zoned = zoned_moment(value) if isinstance(value, str) else None
        if zoned is not None:
            hours[item], offsets[item] = zoned
        else:
            hours[item] = moment_hours(heading, value, at, report)
    return hours, offsets


def to_time_of_plan(job: Job, report: Report) -> None:
    """Bring the times of the probe log into the time of the plan, in place; report zones that are missing or none.

    The offset that a time carries counts before that of the logs, and that before that of the plan. ``Clock offset`` is
    taken off.
    """
    log = job.table("Probe log")
    zones = {}
    for name in (PLAN_ZONE, LOG_ZONE):
        text = job.text(name)
        zones[name] = offset_hours(text)
        if text and math.isnan(zones[name]):
            report(
                fault(
                    Code.NOT_ON_LIST, job.items[name].at, f"{name} “{text}” is no offset from UTC.",
                    "Write it as +01:00, -05:00 or UTC; a name of a place does not say whether it is summer.", text, name,
                )
            )  # fmt: skip
    if not len(log):
        return
    plan, logs = zones[PLAN_ZONE], zones[LOG_ZONE]
    stated = log.numbers.get(OFFSET_OF_TIME, np.full(len(log), math.nan))
    told = np.flatnonzero(~np.isnan(stated))
    if not job.text(PLAN_ZONE) and (told.size or job.text(LOG_ZONE)):
        at = log.at(int(told[0]), "time") if told.size else job.items[LOG_ZONE].at
        what = (
            f"{told.size} time{'s' if told.size > 1 else ''} of {log.sheet} carry an offset from UTC"
            if told.size
            else f"{LOG_ZONE} is given"
        )
        report(
            fault(
                Code.MISSING_VALUE, at, f"{what}, and Job does not say in which time the plan is.",
                f"Fill in {PLAN_ZONE} in Job, for example +01:00.", heading=PLAN_ZONE,
            )
        )  # fmt: skip
        return
    own = np.where(np.isnan(stated), plan if math.isnan(logs) else logs, stated)
    moved = 0.0 if math.isnan(plan) else plan - own
    log.numbers["time"] = np.asarray(log.number("time") + moved - log.number("clock_offset"))
