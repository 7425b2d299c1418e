"""Temperature of the concrete at the anchors, hour by hour, for all lifts at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sheetengine.columns import Column
from sheetengine.design.layout import Index, Layout
from sheetengine.design.probe_history import fading_time, with_probes
from sheetengine.design.probe_logs import probe_series
from sheetengine.findings import Finding
from sheetengine.job import Job

Matrix = NDArray[np.float64]

WARMEST_HOUR = 15.0
"""Hour of the day at which the air is warmest; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Temperatures:
    """Temperatures at hourly nodes from the hour at which the concrete reaches the anchor level.

    Attributes
    ----------
    start
        Hour of the first node of each lift. [h]
    nodes
        Lifts by hours. [degC]
    source
        0 constant, 1 daily air swing, 2 probe log; one entry a lift.
    switch
        Hour of the last reading that enters, from which the model goes on; ``nan`` where no probe speaks. [h]
    offset
        What the measurements add to the model at that hour; ``nan`` where no probe speaks. [K]
    """

    start: Column
    nodes: Matrix
    source: Index
    switch: Column
    offset: Column


def modelled(*, start: Column, hours: Column, concrete: Column, air: Column, swing: Column) -> Matrix:
    """Return the temperature without a probe: the colder of placing and mean air temperature, with the day's swing.

    Parameters
    ----------
    start
        Hour of the first node, since midnight of some day. [h]
    hours
        Hours from the first node on. [h]
    concrete, air
        Placing temperature and daily mean of the air; ``nan`` air means that it is not known. [degC]
    swing
        Difference between the day's highest and lowest. [K]

    Notes
    -----
    The heat of hydration is left out, which errs on the cold side in all but hot weather; and in hot
    weather the placing temperature is kept.
    """
    level = np.where(np.isnan(air), concrete, np.minimum(concrete, air))
    hour_of_day = np.mod(start[:, None] + hours[None, :], 24.0)
    wave = np.cos((hour_of_day - WARMEST_HOUR) * (2.0 * np.pi / 24.0))
    return np.asarray(level[:, None] + (swing / 2.0)[:, None] * wave)


def without_probe(job: Job, start: Column, ticks: Column) -> tuple[Matrix, Index]:
    """Return the temperature at the anchors of every lift where no probe speaks, and what it rests on.

    Parameters
    ----------
    start, ticks
        Hour of the first node of each lift, and the hours from there on. [h]

    Returns
    -------
    tuple
        Lifts by hours [degC], and for each lift 0 (constant) or 1 (daily air swing).
    """
    lifts = job.table("Lifts")
    air, swing = lifts.number("air_temperature"), lifts.number("air_swing")
    nodes = modelled(
        start=start, hours=ticks, concrete=lifts.number("concrete_temperature"), air=air, swing=swing
    )
    return nodes, np.where(np.isnan(air) & (swing == 0.0), 0, 1).astype(np.int64)


def temperatures(job: Job, layout: Layout, hours: int) -> tuple[Temperatures, list[Finding]]:
    """Return the temperature at the anchors of every lift for ``hours`` hours, and findings of the log.

    Where a probe log speaks for a lift it is used between its first and last reading, the coldest probe
    at each hour; before it the model, and after it the model shifted to the measurements.
    """
    start = layout.anchor_hour
    nodes, source = without_probe(job, start, np.arange(hours + 1, dtype=np.float64))
    log, findings = probe_series(job, layout)
    told = with_probes(log, start=start, model=nodes, fading=fading_time(job, layout))
    source = np.where(np.isnan(told.switch), source, 2)
    return Temperatures(start, told.nodes, source, told.switch, told.offset), findings
