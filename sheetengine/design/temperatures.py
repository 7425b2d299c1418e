"""Temperature of the concrete at the anchors, hour by hour, for all lifts at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sheetengine.columns import Column
from sheetengine.design.layout import Index, Layout
from sheetengine.design.lift_heat import LiftHeat, heat_of, laid_over
from sheetengine.design.probe_history import measured, taken_on
from sheetengine.design.probe_logs import Readings, readings_of
from sheetengine.job import Job

Matrix = NDArray[np.float64]

WARMEST_HOUR = 15.0
"""Hour of the day at which the air is warmest; common practice, no source."""
CONSTANT, SWING, PROBE, HEAT = range(4)
"""What a temperature rests on."""


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
        0 constant, 1 daily air swing, 2 probe log, 3 heat computed; one entry a lift.
    top
        Temperatures at the top of the face of each lift, nowhere warmer than the nodes; lifts by hours. [degC]
    heat
        The computed heat that they rest on; of no lift where it is left out.
    switch, offset
        Hour from which on the model goes on after the log [h], and by how much the log was warmer than the model
        before it [K]; ``nan`` where no probe speaks; one entry a lift.
    readings
        Readings of the probe log that count, and what is wrong with the others.
    """

    start: Column
    nodes: Matrix
    source: Index
    top: Matrix
    heat: LiftHeat
    switch: Column
    offset: Column
    readings: Readings


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


@dataclass(frozen=True, slots=True)
class Unprobed:
    """Temperature where no probe speaks.

    Attributes
    ----------
    nodes, top
        At the anchors, and at the top of the face; lifts by hours. [degC]
    source
        0 constant, 1 daily air swing, 3 heat computed; one entry a lift.
    heat
        The computed heat; of no lift where it is left out.
    """

    nodes: Matrix
    top: Matrix
    source: Index
    heat: LiftHeat


def without_probe(job: Job, start: Column, ticks: Column) -> Unprobed:
    """Return the temperature of every lift where no probe speaks, and what it rests on.

    Parameters
    ----------
    start, ticks
        Hour of the first node of each lift, and the hours from there on. [h]
    """
    lifts = job.table("Lifts")
    air, swing = lifts.number("air_temperature"), lifts.number("air_swing")
    nodes = modelled(
        start=start, hours=ticks, concrete=lifts.number("concrete_temperature"), air=air, swing=swing
    )
    source = np.where(np.isnan(air) & (swing == 0.0), CONSTANT, SWING).astype(np.int64)
    heat = heat_of(job, start)
    top = laid_over(job, heat, nodes, source)
    return Unprobed(nodes, top, source, heat)


def temperatures(job: Job, layout: Layout, hours: int, readings: Readings | None = None) -> Temperatures:
    """Return the temperature at the anchors of every lift for ``hours`` hours.

    Where a probe log speaks for a lift it is used from its first to its last reading, the coldest probe at each hour;
    before it the model, after it the model recalibrated to the log.

    Parameters
    ----------
    job, layout, hours
        The job, its lifts, and how far to go.
    readings
        Readings of the probe log that count, if they are known already.
    """
    start = layout.anchor_hour
    ticks = np.arange(hours + 1, dtype=np.float64)
    unprobed = without_probe(job, start, ticks)
    if readings is None:
        readings = readings_of(job, layout)
    logged = taken_on(unprobed.nodes, measured(readings, start, ticks, unprobed.nodes), start)
    nodes = logged.nodes
    source = np.where(np.isnan(logged.until), unprobed.source, PROBE)
    top, known = nodes.copy(), unprobed.heat.lift
    colder = np.minimum(nodes - unprobed.nodes, 0.0)
    top[known] = np.minimum(nodes[known], (unprobed.top + colder)[known])
    return Temperatures(start, nodes, source, top, unprobed.heat, logged.until, logged.offset, readings)
