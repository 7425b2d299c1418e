"""The probe log as series of readings that may be used, and what was found wrong with the others."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sheetengine.columns import Column, Flags, Texts
from sheetengine.design.layout import Layout
from sheetengine.design.probe_rules import (
    Index,
    clock_faults,
    dead,
    gaps,
    jumps,
    probe_rules,
    spikes,
)
from sheetengine.findings import Code, Finding, Level
from sheetengine.job import Job

MOST_RANGES = 8
"""Ranges of rows that a message lists."""


@dataclass(frozen=True, slots=True)
class ProbeSeries:
    """Readings that may be used, sorted by lift, probe and time: one entry a reading.

    Attributes
    ----------
    lift
        Row of ``Lifts``.
    series
        Number of the probe, rising with the lift.
    time
        Hour of the reading in the time of the plan. [h]
    reading
        Temperature. [degC]
    doubtful
        Readings that may lower the temperature and never raise it.
    """

    lift: Index
    series: Index
    time: Column
    reading: Column
    doubtful: Flags

    def __len__(self) -> int:
        """Return the number of readings."""
        return int(self.time.size)


def no_series() -> ProbeSeries:
    """Return a log without readings."""
    none, hours = np.zeros(0, dtype=np.int64), np.zeros(0)
    return ProbeSeries(none, none, hours, hours, np.zeros(0, dtype=bool))


def row_ranges(rows: Index) -> str:
    """Return sheet rows as a message says them.

    >>> row_ranges(np.array([4, 5, 6, 9]))
    'rows 4 to 6, 9'
    >>> row_ranges(np.array([7]))
    'row 7'
    """
    rows = np.sort(rows)
    pieces = np.split(rows, np.flatnonzero(np.diff(rows) > 1) + 1)
    said = [f"{p[0]}" if p.size == 1 else f"{p[0]} to {p[-1]}" for p in pieces[:MOST_RANGES]]
    return f"row{'s' if rows.size > 1 else ''} {', '.join(said)}{' …' if len(pieces) > MOST_RANGES else ''}"


class _Report:
    """Gathers one finding for each lift and kind of fault, with all rows."""

    def __init__(self, job: Job, lift: Index) -> None:
        self.log, self.lift = job.table("Probe log"), lift
        self.findings: list[Finding] = []

    def __call__(self, items: Index, what: str, clears: str, level: Level = Level.ACCEPT) -> None:
        if not items.size:
            return
        items = np.sort(items)
        items = items[np.argsort(self.lift[items], kind="stable")]
        groups = np.split(items, np.flatnonzero(np.diff(self.lift[items])) + 1)
        for found in sorted(groups, key=lambda group: int(group[0])):
            row, number = int(found[0]), found.size
            told = f"{number} reading{'s' if number > 1 else ''}, {row_ranges(self.log.rows[found])}"
            value = float(self.log.number("temperature")[row])
            self.findings.append(
                Finding(
                    level, Code.PROBE_FAULT, self.log.at(row, "temperature"), f"{what} ({told}).",
                    found=value, clears=clears, heading=what,
                    keys=(str(self.log.label("block")[row]), str(self.log.label("lift")[row])),
                )
            )  # fmt: skip


def _codes(names: Texts) -> Index:
    """Return a number for each text, letter case aside; 0 for an empty one."""
    listed = names.tolist()
    known: dict[str, int] = {"": 0}
    code = {name: known.setdefault(str(name).casefold(), len(known)) for name in dict.fromkeys(listed)}
    return np.array([code[name] for name in listed], dtype=np.int64)


def _grouped(*parts: Index) -> Index:
    """Return a number for each combination of the parts, in their order."""
    number = np.zeros(parts[0].size, dtype=np.int64)
    for part in parts:
        _, place = np.unique(part, return_inverse=True)
        number = number * (int(place.max(initial=0)) + 1) + place.reshape(-1)
        number = np.unique(number, return_inverse=True)[1].reshape(-1).astype(np.int64)
    return number


def _filled(values: Column, group: Index, named: Flags) -> Column:
    """Return a depth with the blanks of a named probe taken from its first row that states it."""
    known = np.flatnonzero(named & ~np.isnan(values))[::-1]
    first = np.full(int(group.max(initial=-1)) + 1, np.nan)
    first[group[known]] = values[known]
    return np.where(named & np.isnan(values), first[group], values)


def _places(job: Job, lift: Index) -> tuple[Index, Index, Column, Column, Flags]:
    """Return group (lift and name), series (also place), depths with blanks filled, and whether it has a name."""
    log = job.table("Probe log")
    name = _codes(log.label("probe"))
    group = _grouped(lift, name)
    face = _filled(log.number("depth_from_face"), group, name > 0)
    joint = _filled(log.number("depth_from_joint"), group, name > 0)
    place = [np.round(np.nan_to_num(depth, nan=-1.0) * 1e6).astype(np.int64) for depth in (face, joint)]
    return group, _grouped(lift, name, *place), face, joint, name > 0


def probe_series(job: Job, layout: Layout) -> tuple[ProbeSeries, list[Finding]]:
    """Return the readings that may be used, and a finding with its rows for every fault of the log.

    Impossible readings, probes in the core or far from the anchors and lone outliers are left out; of readings of one
    probe at one time the coldest stays. Readings of a dead sensor, those too warm since a jump, and those of a probe of
    unknown place may only lower the temperature.
    """
    log, rules = job.table("Probe log"), probe_rules()
    if not len(log):
        return no_series(), []
    lift = job.lift_of("Probe log")
    time, reading = log.number("time"), log.number("temperature")
    report = _Report(job, lift)
    group, series, face, joint, named = _places(job, lift)
    usable = ~np.isnan(reading) & ~np.isnan(time) & (lift >= 0)

    impossible = usable & ((reading < rules.coldest) | (reading > rules.hottest))
    report(np.flatnonzero(impossible),
           f"Readings outside {rules.coldest:g} to {rules.hottest:g} degC were left out",
           "Check probe and cable, and take the readings out of the log.")  # fmt: skip
    usable &= ~impossible
    far, unknown = _misplaced(job, layout, lift, face, joint)
    report(np.flatnonzero(far), "The probe sits in the core or far from the anchors and is no evidence for them",
           "Log a probe beside the anchors, no deeper from the face than their heads.", Level.STOP)  # fmt: skip
    report(np.flatnonzero(unknown & ~far), "The log does not say where the probe sits",
           "Fill in Depth from face and Depth from joint; until then its readings only lower the temperature, never raise it.")  # fmt: skip
    _several_places(report, group, series, named)
    usable &= ~far

    logged = np.flatnonzero(usable)
    logged = logged[np.argsort(series[logged], kind="stable")]
    backward, put_back, put_forward = clock_faults(series[logged], time[logged], reading[logged])
    report(logged[backward], "The time of the log goes backward",
           "Check the logger's clock; the readings were put into the order of their times.")  # fmt: skip
    report(logged[put_back], "The logger's clock was put back by whole hours before this reading",
           "Give the readings from there on a Clock offset, or log in one time all the year; as they stand the hours that "
           "are there twice count once, with their coldest reading.")  # fmt: skip
    report(logged[put_forward], "A reading was missed on a Sunday night, or the logger's clock was put forward by an hour",
           "Give the readings from there on a Clock offset if it was the clock; as they stand an hour is counted that may "
           "not have passed.")  # fmt: skip

    order = np.flatnonzero(usable)
    order = order[np.lexsort((reading[order], time[order], series[order]))]
    again = np.zeros(order.size, dtype=bool)
    again[1:] = (np.diff(time[order]) == 0.0) & (np.diff(series[order]) == 0)
    report(order[again], "Readings of one probe repeat a time; the coldest was kept",
           "Take the repeats out of the log.")  # fmt: skip
    order = order[~again]
    off = spikes(series[order], time[order], reading[order])
    report(order[off], f"A lone reading lies off its neighbours by more than {rules.spike_size:g} K and {rules.spike_rate:g} K/h, and was left out",
           "Check probe and cable, and take the reading out of the log.")  # fmt: skip
    order = order[~off]
    owner, hour, value = series[order], time[order], reading[order]
    jumped, raised = jumps(owner, hour, value)
    report(order[jumped], f"The probe jumps by more than {rules.spike_size:g} K and {rules.spike_rate:g} K/h",
           "Find out whether it was moved or changed; what stands warmer since then only lowers the temperature, never raises it.")  # fmt: skip
    stuck = dead(owner, hour, value, _changes_until(job, layout)[lift[order]])
    report(order[stuck], f"The probe shows the same for {rules.dead_hours:g} h or more while the concrete must change",
           "Check whether the sensor is dead; its readings since then only lower the temperature, never raise it.")  # fmt: skip
    report(order[gaps(owner, hour)], f"The log has a gap of more than {rules.longest_gap:g} h before this reading",
           "Fill the gap from another probe; until then the colder of its ends and of the model is taken.")  # fmt: skip
    doubtful = raised | stuck | unknown[order]
    return ProbeSeries(lift[order], owner, hour, value, doubtful), report.findings


def _changes_until(job: Job, layout: Layout) -> Column:
    """Return the hour up to which the concrete of each lift must change: for its first days, or for ever."""
    rules = probe_rules()
    swings = job.table("Lifts").number("air_swing") >= rules.air_swing
    return np.where(swings, np.inf, layout.anchor_hour + rules.first_days)


def _several_places(report: _Report, group: Index, series: Index, named: Flags) -> None:
    """Report probes of one name that sit in more than one place."""
    pairs = np.unique(np.column_stack([group[named], series[named]]), axis=0)
    owners, count = np.unique(pairs[:, 0], return_counts=True)
    report(np.flatnonzero(named & np.isin(group, owners[count > 1])),
           "One probe is logged at more than one place",
           "Give every probe of a lift a name of its own, with one Depth from face and one Depth from joint; each place was "
           "taken as a probe.")  # fmt: skip


def _misplaced(job: Job, layout: Layout, lift: Index, face: Column, joint: Column) -> tuple[Flags, Flags]:
    """Return readings of probes that do not speak for the concrete at the anchors, and those of unknown place."""
    rules, units, anchors = probe_rules(), job.table("Form units"), job.table("Anchor types")
    holder = np.where(layout.above[lift] >= 0, layout.above[lift], lift)
    level = units.number("anchor_depth")[layout.unit[holder]]
    reach = anchors.number("embedment")[layout.anchor[holder]] / 1000.0
    far = (face > reach + rules.behind_head) | (np.abs(joint - level) > rules.from_anchor)
    return np.asarray(far), np.isnan(face) | np.isnan(joint)
