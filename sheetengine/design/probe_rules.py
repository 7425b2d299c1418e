"""What is wrong in the readings of a probe: rules on sorted readings, all probes of all lifts at once."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from sheetengine.clauses.rows import factors
from sheetengine.columns import Column, Flags

Index = NDArray[np.int64]

SUNDAY_NIGHT = (0.5, 4.5)
"""Hours of a Sunday in which clocks are put forward for daylight saving; common practice, no source."""


@dataclass(frozen=True, slots=True)
class ProbeRules:
    """Limits of the rules, from ``factors/probe_rules.toml``. Hours, degC, K and m."""

    coldest: float
    hottest: float
    longest_gap: float
    spike_rate: float
    spike_size: float
    dead_hours: float
    dead_readings: int
    first_days: float
    air_swing: float
    clock_step: float
    clock_within: float
    clock_steps: int
    from_anchor: float
    behind_head: float
    window: float
    diffusivity: float


@cache
def probe_rules() -> ProbeRules:
    """Return the limits of the rules."""
    held = factors("probe_rules")

    def of(section: str, name: str) -> float:
        return float(held[section][name]["value"])

    return ProbeRules(
        coldest=of("possible_readings", "at_least"), hottest=of("possible_readings", "at_most"),
        longest_gap=of("gap", "longest"), spike_rate=of("spike", "rate"), spike_size=of("spike", "size"),
        dead_hours=of("dead_sensor", "shortest"), dead_readings=int(of("dead_sensor", "readings")),
        first_days=of("dead_sensor", "first_days"), air_swing=of("dead_sensor", "air_swing"),
        clock_step=of("clock_shift", "step"), clock_within=of("clock_shift", "within"),
        clock_steps=int(of("clock_shift", "most_steps")), from_anchor=of("place", "from_anchor"),
        behind_head=of("place", "behind_head"), window=of("recalibration", "window"),
        diffusivity=of("diffusivity", "value"),
    )  # fmt: skip


def starts_of(series: Index) -> Flags:
    """Return where a new series begins in readings sorted by series."""
    new = np.ones(series.size, dtype=bool)
    new[1:] = series[1:] != series[:-1]
    return new


def _steps(values: Column, new: Flags) -> Column:
    """Return the change from the reading before, ``nan`` at the first of each series."""
    change = np.full(values.size, np.nan)
    change[1:] = np.diff(values)
    change[new] = np.nan
    return change


def clock_faults(series: Index, time: Column, reading: Column) -> tuple[Flags, Flags, Flags]:
    """Return where the clock of a logger goes backward, was put back, and was perhaps put forward.

    Parameters
    ----------
    series, time, reading
        Readings in the order in which they were logged, sorted by series. [-], [h], [degC]

    Returns
    -------
    tuple
        For each reading: time out of order; back by whole hours against the usual interval; forward by one step in
        the night of a Sunday, which may as well be a missed reading.
    """
    rules = probe_rules()
    new = starts_of(series)
    step = _steps(time, new)
    usual = _usual_interval(series, step)
    with np.errstate(invalid="ignore"):
        shift = (step - usual) / rules.clock_step
        whole = np.round(shift)
        is_whole = np.abs(shift - whole) * rules.clock_step <= rules.clock_within
        backward = step < 0.0
        again = (step == 0.0) & (_steps(reading, new) != 0.0)
        back = (backward | again) & is_whole & (whole <= -1.0) & (whole >= -rules.clock_steps)
        sunday = np.mod(np.floor(time / 24.0), 7.0) == 1.0  # hours are counted from a Saturday
        night = (np.mod(time, 24.0) >= SUNDAY_NIGHT[0]) & (np.mod(time, 24.0) <= SUNDAY_NIGHT[1])
        forward = is_whole & (whole == 1.0) & (usual <= rules.clock_step) & sunday & night
    return np.asarray(backward & ~back), np.asarray(back), np.asarray(forward)


def _usual_interval(series: Index, step: Column) -> Column:
    """Return the median of the forward steps of each reading's series, ``nan`` where there is none, in h."""
    usual = np.full(step.size, np.nan)
    ahead = np.flatnonzero(step > 0.0)
    if ahead.size:
        order = ahead[np.lexsort((step[ahead], series[ahead]))]
        owners, first, count = np.unique(series[order], return_index=True, return_counts=True)
        place = np.clip(np.searchsorted(owners, series), 0, owners.size - 1)
        middle = step[order[first + (count - 1) // 2]]
        usual = np.where(owners[place] == series, middle[place], np.nan)
    return usual


def _impossible(change: Column, apart: Column) -> Flags:
    rules = probe_rules()
    with np.errstate(invalid="ignore"):
        return np.asarray(np.abs(change) > np.maximum(rules.spike_size, rules.spike_rate * apart))


def spikes(series: Index, time: Column, reading: Column) -> Flags:
    """Return lone outliers: off from both neighbours the same way, faster than concrete can change.

    The first and last reading of a series have one neighbour, and are outliers where they are off from it.

    Parameters
    ----------
    series, time, reading
        Sorted by series and time. [-], [h], [degC]
    """
    new = starts_of(series)
    change, apart = _steps(reading, new), _steps(time, new)
    before = _impossible(change, apart)
    after = np.append(before[1:], False)
    next_change = np.append(change[1:], np.nan)
    last = np.append(new[1:], True)
    lone = before & after & (np.sign(change) == -np.sign(next_change))
    owners, count = np.unique(series, return_counts=True)
    many = (count >= 3)[np.searchsorted(owners, series)] if series.size else np.zeros(0, dtype=bool)
    first_off = new & after & ~np.append(after[1:], False)
    last_off = last & before & ~np.concatenate([[False], before[:-1]])
    return np.asarray(lone | (many & (first_off | last_off)))


def jumps(series: Index, time: Column, reading: Column) -> tuple[Flags, Flags]:
    """Return steps that concrete cannot make and that stay, and the readings that stand too warm since one.

    Parameters
    ----------
    series, time, reading
        Sorted by series and time, without lone outliers. [-], [h], [degC]
    """
    new = starts_of(series)
    change = _steps(reading, new)
    jumped = _impossible(change, _steps(time, new))
    total = np.cumsum(np.where(jumped, change, 0.0))
    first = np.maximum.accumulate(np.where(new, np.arange(series.size), 0))
    raised = total - total[first] if series.size else total
    return jumped, np.asarray(raised > probe_rules().spike_size)


def dead(series: Index, time: Column, reading: Column, should_change_until: Column) -> Flags:
    """Return the readings of dead sensors: the same value over many hours in which the concrete must change.

    Parameters
    ----------
    series, time, reading
        Sorted by series and time. [-], [h], [degC]
    should_change_until
        Hour up to which the concrete at the probe must change, for each reading. [h]

    Returns
    -------
    Flags
        True for every reading of such a run but the first, which may still have been true.
    """
    rules = probe_rules()
    new = starts_of(series)
    starts = new | (_steps(reading, new) != 0.0)
    first = np.flatnonzero(starts)
    if not first.size:
        return np.zeros(0, dtype=bool)
    last = np.append(first[1:], series.size) - 1
    within = np.minimum(time[last], should_change_until[first]) - time[first]
    stuck = (within >= rules.dead_hours) & (last - first + 1 >= rules.dead_readings)
    return np.asarray(stuck[np.cumsum(starts) - 1] & ~starts)


def gaps(series: Index, time: Column) -> Flags:
    """Return the readings before which a series has a gap too long for a straight line."""
    with np.errstate(invalid="ignore"):
        return np.asarray(_steps(time, starts_of(series)) > probe_rules().longest_gap)
