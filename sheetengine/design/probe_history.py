"""Measured temperature at the anchors, and the model taken on from it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sheetengine.columns import Column
from sheetengine.design.probe_logs import Readings
from sheetengine.design.probe_rules import probe_rules

Matrix = NDArray[np.float64]
_CHUNK = 256


@dataclass(frozen=True, slots=True)
class Logged:
    """What the logs make of the model; one entry a row of ``Lifts``.

    Attributes
    ----------
    nodes
        Measured where it was, the model taken on from there, the model elsewhere; lifts by hours. [degC]
    until
        Hour of the last node with a measured temperature; ``nan`` where none was. [h]
    offset
        By how much the log is warmer than the model, over the hours before that. [K]
    """

    nodes: Matrix
    until: Column
    offset: Column


def measured(readings: Readings, start: Column, ticks: Column, model: Matrix) -> Matrix:
    """Return the coldest measured temperature at every node, ``nan`` where no probe speaks.

    Between two readings no more than the longest gap apart lies a straight line; in a wider gap the colder of its
    ends and of the model is taken. Readings that are not firm count only where they are colder than the model.

    Parameters
    ----------
    readings
        Readings that count.
    start, ticks
        Hour of the first node of each lift, and hours of the nodes from there on. [h]
    model
        Lifts by hours. [degC]
    """
    found = np.full(model.shape, np.nan)
    if not readings.time.size:
        return found
    time, temperature, firm = readings.time, readings.temperature, readings.firm
    first = np.flatnonzero(np.concatenate([[True], np.diff(readings.series) != 0]))
    last = np.concatenate([first[1:], [time.size]]) - 1
    lift = readings.lift[first]
    begin = float(min(time.min(), start.min()))
    span = float(max(time.max(), start.max() + ticks[-1])) - begin + 1.0
    key = time - begin + readings.series * span
    for low in range(0, first.size, _CHUNK):
        part = np.arange(low, min(low + _CHUNK, first.size))
        row = lift[part]
        clock = start[row, None] + ticks
        inside = (clock >= time[first[part], None]) & (clock <= time[last[part], None])
        after = np.searchsorted(key, (clock - begin + part[:, None] * span).ravel()).reshape(clock.shape)
        after = np.clip(after, first[part, None] + (last > first)[part, None], last[part, None])
        before = np.maximum(after - 1, first[part, None])
        gap = time[after] - time[before]
        share = np.clip((clock - time[before]) / np.where(gap > 0.0, gap, 1.0), 0.0, 1.0)
        straight = temperature[before] + (temperature[after] - temperature[before]) * share
        cold = np.minimum(np.minimum(temperature[before], temperature[after]), model[row])
        value = np.where(gap > probe_rules().longest_gap, cold, straight)
        sure = firm[before] & firm[after]
        value = np.where(sure, value, np.minimum(value, model[row]))
        value = np.where(inside, value, np.nan)
        np.fmin.at(found, row, value)
    return found


def taken_on(model: Matrix, found: Matrix, start: Column) -> Logged:
    """Return measured and modelled temperature in one history.

    After the last measured node the model goes on, shifted by what the log and the model differed by: the lesser of
    the mean over the hours before and of the last node. Where the log was colder the model stays that much colder;
    where it was warmer the excess dies away.

    Parameters
    ----------
    model, found
        Temperature without probes, and the measured one with ``nan`` where there is none; lifts by hours. [degC]
    start
        Hour of the first node. [h]
    """
    rules = probe_rules()
    seen = ~np.isnan(found)
    any_seen = np.asarray(seen.any(axis=1))
    hours = np.arange(model.shape[1])
    last = np.where(any_seen, model.shape[1] - 1 - seen[:, ::-1].argmax(axis=1), -1)
    apart = np.where(seen, found - model, 0.0)
    recent = seen & (hours > last[:, None] - rules.recent) & (hours <= last[:, None])
    mean = apart.sum(axis=1, where=recent) / np.maximum(recent.sum(axis=1), 1)
    at_last = apart[np.arange(last.size), np.maximum(last, 0)]
    offset = np.where(any_seen, np.minimum(mean, at_last), np.nan)
    since = hours - last[:, None]
    kept = np.where(offset[:, None] > 0.0, np.exp(-np.maximum(since, 0) / rules.excess_lasts), 1.0)
    forecast = model + np.where(any_seen[:, None] & (since > 0), offset[:, None] * kept, 0.0)
    until = np.where(any_seen, start + last, np.nan)
    return Logged(np.where(seen, found, forecast), until, offset)
