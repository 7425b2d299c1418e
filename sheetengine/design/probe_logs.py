"""Which readings of the probe log count, and what is wrong with the others; all lifts and probes at once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from sheetengine.columns import Column, Flags
from sheetengine.design.layout import Index, Layout
from sheetengine.design.probe_rules import probe_rules
from sheetengine.findings import Code, Finding, Level
from sheetengine.job import Job

Flag = Callable[..., None]
_ROWS_NAMED = 8


@dataclass(frozen=True, slots=True)
class Readings:
    """Readings that count, sorted by series, then time; one entry a reading.

    Attributes
    ----------
    series
        Number of the series, from 0 without a gap: a probe, or the part of its log between two steps back of its clock.
    lift
        Row of ``Lifts``.
    time
        By the plan's clock. [h]
    temperature
        [degC]
    firm
        Whether the reading may also raise the temperature; one that is not firm only lowers it.
    left_out
        Readings of each lift that do not count; one entry a row of ``Lifts``.
    findings
        What is wrong, once for each lift and kind of fault, with its rows.
    """

    series: Index
    lift: Index
    time: Column
    temperature: Column
    firm: Flags
    left_out: Index
    findings: list[Finding]


@dataclass(frozen=True, slots=True)
class _Places:
    """Name, as a number, and depths of the probe of every reading; -1 and ``nan`` where they are not known. [m]."""

    named: Index
    face: Column
    joint: Column


def _places(job: Job, lift: Index) -> _Places:
    """Return where the probe of each reading sits; a place stated once holds for all readings of that name in the lift."""
    log = job.table("Probe log")
    numbers: dict[str, int] = {"": -1}
    named = np.fromiter(
        (numbers.setdefault(name, len(numbers) - 1) for name in log.label("probe").tolist()),
        np.int64,
        len(log),
    )
    group = lift * (len(numbers) + 1) + named + 1

    def stated(key: str) -> Column:
        given = log.number(key)
        least, most = (np.full(int(group.max(initial=0)) + 1, end) for end in (np.inf, -np.inf))
        known = ~np.isnan(given)
        np.minimum.at(least, group[known], given[known])
        np.maximum.at(most, group[known], given[known])
        once = (least == most)[group] & (named >= 0)
        return np.where(~known & once, least[group], given)

    return _Places(named, stated("depth_from_face"), stated("depth_from_joint"))


def _probes(places: _Places, lift: Index) -> Index:
    """Return a number for each probe: by lift, name and place."""
    place = np.column_stack([
        lift.astype(np.float64), places.named.astype(np.float64), np.nan_to_num(places.face, nan=-1.0),
        np.nan_to_num(places.joint, nan=-1.0),
    ])  # fmt: skip
    order = np.lexsort(place.T[::-1])
    new = np.ones(order.size, dtype=bool)
    new[1:] = (place[order[1:]] != place[order[:-1]]).any(axis=1)
    probe = np.empty(order.size, dtype=np.int64)
    probe[order] = np.cumsum(new) - 1
    return probe


def _flagger(job: Job, lift: Index, reading: Column, findings: list[Finding]) -> Flag:
    """Return what makes one finding for each lift of the items given, with their rows."""
    log = job.table("Probe log")

    def flag(items: Index, what: str, clears: str, level: Level = Level.ACCEPT) -> None:
        by_lift = items[np.argsort(lift[items], kind="stable")]
        parts = np.split(by_lift, np.flatnonzero(np.diff(lift[by_lift])) + 1)
        for found in sorted((part for part in parts if part.size), key=lambda part: int(part[0])):
            first = int(found[0])
            rows = ", ".join(map(str, log.rows[found[:_ROWS_NAMED]].tolist()))
            more = " …" if found.size > _ROWS_NAMED else ""
            many = "s" if found.size > 1 else ""
            findings.append(
                Finding(
                    level, Code.PROBE_FAULT, log.at(first, "temperature"),
                    f"{what} ({found.size} reading{many}, row{many} {rows}{more}).", found=float(reading[first]), clears=clears,
                    keys=(str(log.label("block")[first]), str(log.label("lift")[first])), heading=what,
                    about=(f"{found.size} readings",),
                )
            )  # fmt: skip

    return flag


def _misplaced(job: Job, layout: Layout, lift: Index, places: _Places, flag: Flag) -> tuple[Flags, Flags]:
    """Return readings of probes that do not speak for the concrete at the anchors, and of probes of no stated place."""
    rules = probe_rules()
    units, anchors = job.table("Form units"), job.table("Anchor types")
    holder = np.where(layout.above[lift] >= 0, layout.above[lift], lift)
    level = units.number("anchor_depth")[layout.unit[holder]]
    reach = anchors.number("embedment")[layout.anchor[holder]] / 1000.0
    face, joint = places.face, places.joint
    unknown = np.isnan(face) | np.isnan(joint)
    far = (face > reach + rules.behind_heads) | (np.abs(joint - level) > rules.off_anchor_level)
    flag(np.flatnonzero(far), "The probe sits in the core or far from the anchors and is no evidence for them",
         "Log a probe beside the anchors, no deeper from the face than their heads.", Level.STOP)  # fmt: skip
    flag(np.flatnonzero(unknown & ~far), "The log does not say where the probe sits",
         "Fill in Depth from face and Depth from joint; until then its readings only lower the temperature, never raise it.")  # fmt: skip
    return far, unknown


def _clock(probe: Index, time: Column, usable: Flags, flag: Flag) -> Index:
    """Return the series of every reading: the probe, parted where its clock steps back a few times."""
    rules = probe_rules()
    as_logged = np.flatnonzero(usable)
    as_logged = as_logged[np.argsort(probe[as_logged], kind="stable")]
    step = np.diff(time[as_logged])
    same = np.diff(probe[as_logged]) == 0
    back = np.concatenate([[False], (step < 0.0) & same]) if as_logged.size else np.zeros(0, dtype=bool)
    count = np.bincount(probe[as_logged[back]], minlength=int(probe.max(initial=-1)) + 1)
    small = np.concatenate([[False], step >= -rules.longest_step_back])[: as_logged.size]
    few = (count[probe[as_logged]] <= rules.few_steps_back) & small
    told = np.sort(as_logged[back & few])
    flag(told, "The clock of the log goes backward before this reading",
         "Check the logger's clock; the parts before and after count as two probes, the colder at each hour.")  # fmt: skip
    flag(np.sort(as_logged[back & ~few]), "The time of the log goes backward",
         "Sort the log by time; the readings were put into the order of their times.")  # fmt: skip
    part = np.zeros(probe.size, dtype=np.int64)
    part[as_logged] = np.cumsum(back & few)
    forward = np.zeros(as_logged.size, dtype=bool)
    if as_logged.size > 2:
        usual = np.full(count.size, np.nan)
        inside = np.flatnonzero(same & (step > 0.0))
        order = inside[np.lexsort((step[inside], probe[as_logged[inside]]))]
        which, first, number = np.unique(probe[as_logged[order]], return_index=True, return_counts=True)
        usual[which] = step[order][first + number // 2]
        regular = usual[probe[as_logged[1:]]]
        jump = np.abs(step - regular - rules.clock_step) <= rules.clock_tolerance
        forward[1:] = same & jump & (regular <= rules.clock_step / 2.0)
    flag(np.sort(as_logged[forward]), f"The log jumps ahead by {rules.clock_step:g} h before this reading",
         "Readings are missing, or the clock was set to summer time; then correct the times after it, or its part of the log "
         "ripens the concrete too early.")  # fmt: skip
    return np.unique(np.column_stack([probe, part]), axis=0, return_inverse=True)[1].reshape(-1)


def _repeats(order: Index, series: Index, time: Column, reading: Column) -> Flags:
    """Return the readings that repeat a time of their series and are not its coldest; ``order`` by series and time."""
    again = np.zeros(series.size, dtype=bool)
    if order.size:
        coldest = order[np.lexsort((reading[order], time[order], series[order]))]
        twin = (np.diff(time[coldest]) == 0.0) & (np.diff(series[coldest]) == 0)
        again[coldest[1:]] = twin
    return again


def _spikes(order: Index, series: Index, time: Column, reading: Column) -> Flags:
    """Return up to three readings in a row that leap off both neighbours and back; ``order`` by series and time."""
    rules = probe_rules()
    spiky = np.zeros(series.size, dtype=bool)
    value, which, hour = reading[order], series[order], time[order]
    for length in range(1, rules.spike_readings + 1):
        if order.size < length + 2:
            break
        before, after = value[: -length - 1], value[length + 1 :]
        whole = which[: -length - 1] == which[length + 1 :]
        near = hour[length + 1 :] - hour[: -length - 1] <= rules.longest_gap
        off = np.array([value[1 + k : value.size - length + k] for k in range(length)])
        up = (off - np.maximum(before, after)).min(axis=0) > rules.spike
        down = (np.minimum(before, after) - off).min(axis=0) > rules.spike
        found = np.flatnonzero(whole & near & (np.abs(before - after) <= rules.spike) & (up | down))
        for place in range(length):
            spiky[order[found + 1 + place]] = True
    return spiky


def _jumps(
    order: Index, series: Index, time: Column, reading: Column, settled: Column
) -> tuple[Flags, Flags]:
    """Return steps that stay and that concrete does not make, and readings that may stand too warm for one.

    These are the readings since an upward step until as much has been lost again in such steps, and the first reading of
    a series that leaps down to the next. An upward step before ``settled`` is the concrete that reaches the probe;
    ``order`` by series and time.
    """
    rules = probe_rules()
    jumped, warm = np.zeros(series.size, dtype=bool), np.zeros(series.size, dtype=bool)
    if order.size < 2:
        return jumped, warm
    value, which, hour = reading[order], series[order], time[order]
    new = np.concatenate([[True], np.diff(which) != 0])
    step = np.concatenate([[0.0], np.diff(value)])
    apart = np.concatenate([[0.0], np.diff(hour)])
    leap = ~new & (np.abs(step) > np.maximum(rules.jump, rules.jump_rate * apart))
    leap &= (step < 0.0) | (hour > settled[order])
    total = np.cumsum(np.where(leap, step, 0.0))
    since = np.maximum.accumulate(np.where(new, np.arange(order.size), 0))
    # what was lost in earlier leaps is made up by later ones, unless it was the first reading that stood too warm
    falls_at_once = np.concatenate([new[:-1] & leap[1:] & (step[1:] < 0.0), [False]])
    begin = since + falls_at_once[since]
    raised = total - total[begin]
    jumped[order] = leap
    warm[order] = (raised > rules.jump) | falls_at_once
    return jumped, warm


def _stuck(order: Index, series: Index, time: Column, reading: Column) -> Flags:
    """Return readings of runs that do not change for long; ``order`` by series and time."""
    rules = probe_rules()
    stuck = np.zeros(series.size, dtype=bool)
    if not order.size:
        return stuck
    new = np.concatenate([[True], (np.diff(reading[order]) != 0.0) | (np.diff(series[order]) != 0)])
    run = np.cumsum(new) - 1
    first = np.flatnonzero(new)
    last = np.concatenate([first[1:], [order.size]]) - 1
    long = (time[order[last]] - time[order[first]] >= rules.stuck_for) & (
        last - first + 1 >= rules.stuck_readings
    )
    stuck[order] = long[run]
    return stuck


def readings_of(job: Job, layout: Layout) -> Readings:
    """Return the readings of ``Probe log`` that count, and a finding for whatever is wrong with it."""
    rules = probe_rules()
    log = job.table("Probe log")
    count = len(job.table("Lifts"))
    findings: list[Finding] = []
    if not len(log):
        none = np.zeros(0)
        some = none.astype(np.int64)
        return Readings(some, some, none, none, none.astype(bool), np.zeros(count, dtype=np.int64), findings)
    lift = job.lift_of("Probe log")
    time, reading = log.number("time") - log.number("clock_ahead"), log.number("temperature")
    flag = _flagger(job, lift, reading, findings)
    usable = ~np.isnan(reading) & ~np.isnan(time)
    low, high = rules.least_possible, rules.greatest_possible
    impossible = usable & ((reading < low) | (reading > high))
    flag(np.flatnonzero(impossible), f"Readings outside {low:g} to {high:g} degC were left out",
         "Check probe and cable, and take the readings out of the log.")  # fmt: skip
    usable &= ~impossible
    places = _places(job, lift)
    far, unknown = _misplaced(job, layout, lift, places, flag)
    usable &= ~far
    series = _clock(_probes(places, lift), time, usable, flag)

    def ordered() -> Index:
        kept = np.flatnonzero(usable)
        return np.asarray(kept[np.lexsort((time[kept], series[kept]))])

    again = _repeats(ordered(), series, time, reading)
    flag(np.flatnonzero(again), "Readings of one probe repeat a time; the colder of them counts",
         "Take the repeats out of the log.")  # fmt: skip
    usable &= ~again
    spiky = _spikes(ordered(), series, time, reading)
    flag(np.flatnonzero(spiky), f"Readings leap by more than {rules.spike:g} K off their neighbours and back, and were left out",
         "Check probe, cable and plug; take the readings out of the log.")  # fmt: skip
    usable &= ~spiky
    order = ordered()
    stuck = _stuck(order, series, time, reading)
    flag(np.flatnonzero(stuck), f"The reading does not change for {rules.stuck_for:g} h or more",
         "Check whether the probe is alive; until then such readings only lower the temperature, never raise it.")  # fmt: skip
    settled = layout.anchor_hour[lift] + rules.settled_after
    jumped, warm = _jumps(order, series, time, reading, settled)
    flag(np.flatnonzero(jumped), f"The probe jumps by more than {rules.jump:g} K and {rules.jump_rate:g} K/h and does not come back",
         "Find out whether it was moved or changed; what stands warmer for it only lowers the temperature, never raises it.")  # fmt: skip
    wide = np.concatenate(
        [[False], (np.diff(time[order]) > rules.longest_gap) & (np.diff(series[order]) == 0)]
    )
    flag(np.sort(order[wide[: order.size]]), f"The log has a gap of more than {rules.longest_gap:g} h before this reading",
         "Fill the gap from another probe; until then the colder of its ends and of the model is taken.")  # fmt: skip
    left_out = np.bincount(lift[~usable], minlength=count)
    dense = np.unique(series[order], return_inverse=True)[1].reshape(-1)
    return Readings(
        dense, lift[order], time[order], reading[order], ~(unknown | stuck | warm)[order], left_out, findings
    )
