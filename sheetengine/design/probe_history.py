"""Measured and modelled temperature in one history: the coldest probe while it is logged, the model from there on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sheetengine.columns import Column, Flags
from sheetengine.design.layout import Layout
from sheetengine.design.probe_logs import ProbeSeries
from sheetengine.design.probe_rules import Index, probe_rules, starts_of
from sheetengine.job import Job

Matrix = NDArray[np.float64]

AT_ONCE = 1 << 21
"""Nodes of probes that are worked on at once, so that memory stays bounded."""


@dataclass(frozen=True, slots=True)
class LoggedHistory:
    """Temperature of every lift with what its probes say.

    Attributes
    ----------
    nodes
        Lifts by hours. [degC]
    switch
        Hour of the last reading that enters, from which the model goes on; ``nan`` where no probe speaks. [h]
    offset
        What is added to the model at that hour. [K]
    """

    nodes: Matrix
    switch: Column
    offset: Column


def fading_time(job: Job, layout: Layout) -> Column:
    """Return the time in which an excess at the anchors of each lift fades to 1/e, embedment squared over diffusivity, in h."""
    embedment = job.table("Anchor types").number("embedment")[layout.anchor] / 1000.0
    return np.asarray(embedment**2 / probe_rules().diffusivity)


def with_probes(log: ProbeSeries, *, start: Column, model: Matrix, fading: Column) -> LoggedHistory:
    """Return the history of every lift from its log and its model.

    Parameters
    ----------
    log
        Readings that may be used.
    start
        Hour of the first node of each lift. [h]
    model
        Temperature without a probe, lifts by hours. [degC]
    fading
        Time in which a measured excess fades to 1/e. [h]

    Notes
    -----
    Between its first and last reading a probe speaks by a straight line from reading to reading; across a longer gap by
    the colder of its ends and of the model. Of several probes the coldest counts at each hour. After the last reading
    the model goes on, shifted by the least excess of the measured over the modelled over the last day: a lack is kept, an
    excess fades. Doubtful readings then lower what they can, and a lack that they show is kept as well.
    """
    nodes = model.copy()
    switch, offset = np.full(start.size, np.nan), np.zeros(start.size)
    if not len(log):
        return LoggedHistory(nodes, switch, np.full(start.size, np.nan))
    trusted, doubted = _coldest(log, start, model)
    seen = np.isfinite(trusted)
    nodes = np.where(seen, trusted, nodes)
    shift = _carry_on(nodes, model, start, seen, _last(log, ~log.doubtful, seen, start), fading, switch)
    offset = np.where(np.isnan(shift), offset, shift)
    told = np.isfinite(doubted)
    before = nodes.copy()
    nodes = np.minimum(nodes, doubted)
    later = np.full(start.size, np.nan)
    shift = _carry_on(nodes, before, start, told, _last(log, log.doubtful, told, start), fading, later)
    still = np.fmax(later - np.fmin(switch, later), 0.0)
    offset = np.where(offset > 0.0, offset * np.exp(-np.nan_to_num(still) / fading), offset)
    offset = offset + np.fmin(np.nan_to_num(shift), 0.0)
    switch = np.fmax(switch, later)
    return LoggedHistory(nodes, switch, np.where(np.isnan(switch), np.nan, offset))


def _carry_on(
    nodes: Matrix, model: Matrix, start: Column, seen: Flags, last: Column, fading: Column, switch: Column
) -> Column:
    """Shift what comes after the last reading, in place; return the shift there [K], ``nan`` where no probe speaks."""
    lifts = np.flatnonzero(seen.any(axis=1) & ~np.isnan(last))
    shift = np.full(start.size, np.nan)
    if not lifts.size:
        return shift
    switch[lifts] = last[lifts]
    since = start[lifts, None] + np.arange(nodes.shape[1]) - last[lifts, None]
    window = (since <= 0.0) & (since > -probe_rules().window)
    with np.errstate(invalid="ignore"):
        excess = np.where(window, nodes[lifts] - model[lifts], np.inf).min(axis=1)
    excess = np.where(np.isfinite(excess), excess, 0.0)
    kept = np.where(
        excess[:, None] > 0.0,
        excess[:, None] * np.exp(-np.maximum(since, 0.0) / fading[lifts, None]),
        excess[:, None],
    )
    nodes[lifts] = np.where(since > 0.0, nodes[lifts] + kept, nodes[lifts])
    shift[lifts] = excess
    return shift


def _last(log: ProbeSeries, of: Flags, seen: Flags, start: Column) -> Column:
    """Return the hour up to which the readings of a kind speak for each lift, ``nan`` where none do."""
    last = np.full(start.size, -np.inf)
    np.maximum.at(last, log.lift[of], log.time[of])
    node = np.where(seen.any(axis=1), seen.shape[1] - 1 - np.argmax(seen[:, ::-1], axis=1), -1)
    # a stretch that ends in a reading of the other kind speaks only up to its last node
    hour = np.minimum(last, start + node + np.nextafter(1.0, 0.0))
    return np.where((node >= 0) & np.isfinite(hour), hour, np.nan)


def _coldest(log: ProbeSeries, start: Column, model: Matrix) -> tuple[Matrix, Matrix]:
    """Return the coldest that trusted probes say, and that doubtful ones say, lifts by hours; ``inf`` where none does."""
    count = model.shape[1]
    trusted, doubted = np.full(model.shape, np.inf), np.full(model.shape, np.inf)
    first = np.flatnonzero(starts_of(log.series))
    last = np.append(first[1:], len(log)) - 1
    owner = log.lift[first]
    begin = np.maximum(np.ceil(log.time[first] - start[owner]), 0.0)
    stop = np.minimum(np.floor(log.time[last] - start[owner]), count - 1.0)
    covered = np.maximum(stop - begin + 1.0, 0.0).astype(np.int64)
    pieces = np.cumsum(covered) // AT_ONCE
    for piece in np.unique(pieces).tolist():
        probes = np.flatnonzero((pieces == piece) & (covered > 0))
        if probes.size:
            _tell(log, start, model, probes, (first, last, begin.astype(np.int64), covered), trusted, doubted)
    return trusted, doubted


def _tell(
    log: ProbeSeries, start: Column, model: Matrix, probes: Index, bounds: tuple[Index, Index, Index, Index],
    trusted: Matrix, doubted: Matrix,
) -> None:  # fmt: skip
    """Lower both matrices, in place, to what some probes say."""
    first, last, begin, covered = (bound[probes] for bound in bounds)
    place = np.repeat(np.arange(probes.size), covered)
    node = begin[place] + np.arange(place.size) - np.repeat(np.cumsum(covered) - covered, covered)
    lift = log.lift[first][place]
    clock = start[lift] + node
    low = log.time.min()
    span = log.time.max() - low + 2.0
    rank = np.cumsum(starts_of(log.series)) - 1
    key = (log.time - low) + rank * span
    after = np.searchsorted(key, (clock - low) + rank[first][place] * span)
    after = np.clip(after, np.minimum(first + 1, last)[place], last[place])
    before = np.maximum(after - 1, first[place])
    width = log.time[after] - log.time[before]
    share = np.clip(
        np.where(width > 0.0, (clock - log.time[before]) / np.where(width > 0.0, width, 1.0), 0.0), 0.0, 1.0
    )
    ends = np.minimum(log.reading[before], log.reading[after])
    value = log.reading[before] + share * (log.reading[after] - log.reading[before])
    wide = width > probe_rules().longest_gap
    value = np.where(wide, np.minimum(ends, model[lift, node]), value)
    doubtful = log.doubtful[before] | log.doubtful[after]
    # where the clock meets a trusted reading, what comes before or after it does not matter
    doubtful &= ~((clock == log.time[before]) & ~log.doubtful[before])
    flat = lift * model.shape[1] + node
    np.minimum.at(trusted.reshape(-1), flat[~doubtful], value[~doubtful])
    np.minimum.at(doubted.reshape(-1), flat[doubtful], value[doubtful])
