"""Temperature of the concrete at the anchors, hour by hour, for all lifts at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sheetengine.columns import Column, Flags
from sheetengine.design.layout import Index, Layout
from sheetengine.design.lift_heat import LiftHeat, heat_of, laid_over
from sheetengine.findings import Code, Finding, Level
from sheetengine.job import Job

Matrix = NDArray[np.float64]

WARMEST_HOUR = 15.0
"""Hour of the day at which the air is warmest; common practice, no source."""
LONGEST_GAP = 6.0
"""Gap between two readings of a probe, in hours, beyond which it is not bridged by a straight line."""
POSSIBLE_READINGS = (-40.0, 95.0)
"""Readings outside this band, in degC, are those of a broken probe or cable; common practice."""
FURTHEST_FROM_ANCHOR = 0.5
"""How far, in m of height, a probe may sit from the anchors whose concrete it speaks for."""


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
    """

    start: Column
    nodes: Matrix
    source: Index
    top: Matrix
    heat: LiftHeat


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


def usable_readings(job: Job, layout: Layout) -> tuple[Flags, list[Finding]]:
    """Return which rows of the probe log may be used, and what was found wrong with the others."""
    log = job.table("Probe log")
    if not len(log):
        return np.zeros(0, dtype=bool), []
    lift = job.lift_of("Probe log")
    time, reading = log.number("time"), log.number("temperature")
    usable = ~np.isnan(reading) & ~np.isnan(time)
    findings: list[Finding] = []

    def flag(items: Index, what: str, clears: str, level: Level = Level.ACCEPT) -> None:
        for row in _one_for_each_lift(items, lift):
            found = items[lift[items] == lift[row]]
            rows = ", ".join(str(int(log.rows[item])) for item in found[:8]) + (
                " …" if found.size > 8 else ""
            )
            findings.append(
                Finding(
                    level, Code.PROBE_FAULT, log.at(int(row), "temperature"),
                    f"{what} ({found.size} reading{'s' if found.size > 1 else ''}, row{'s' if found.size > 1 else ''} {rows}).",
                    found=float(reading[row]), clears=clears,
                    keys=(str(log.label("block")[row]), str(log.label("lift")[row])), heading=what,
                )
            )  # fmt: skip

    low, high = POSSIBLE_READINGS
    impossible = usable & ((reading < low) | (reading > high))
    flag(np.flatnonzero(impossible), f"Readings outside {low:g} to {high:g} degC were left out",
         "Check probe and cable, and take the readings out of the log.")  # fmt: skip
    usable &= ~impossible
    usable &= ~_misplaced(job, layout, lift, flag)
    series = _series(job, lift)
    as_logged = np.argsort(series, kind="stable")
    back = np.zeros(len(log), dtype=bool)
    back[as_logged[1:]] = (np.diff(time[as_logged]) < 0.0) & (np.diff(series[as_logged]) == 0)
    flag(np.flatnonzero(back & usable), "The time of the log goes backward",
         "Check the logger's clock; the readings were put into the order of their times.")  # fmt: skip
    order = np.lexsort((time, series))
    again = np.zeros(len(log), dtype=bool)
    again[order[1:]] = (np.diff(time[order]) == 0.0) & (np.diff(series[order]) == 0)
    flag(np.flatnonzero(again & usable), "Readings of one probe repeat a time; the later rows were left out",
         "Take the repeats out of the log.")  # fmt: skip
    usable &= ~again
    kept = order[usable[order]]
    wide = (np.diff(time[kept], prepend=np.inf) > LONGEST_GAP) & (np.diff(series[kept], prepend=-1) == 0)
    flag(kept[np.flatnonzero(wide)], f"The log has a gap of more than {LONGEST_GAP:g} h before this reading",
         "Fill the gap from another probe; until then the colder of its ends and of the model is taken.")  # fmt: skip
    return usable, findings


def _one_for_each_lift(items: Index, lift: Index) -> Index:
    _, first = np.unique(lift[items], return_index=True)
    return np.asarray(items[np.sort(first)])


def _series(job: Job, lift: Index) -> Index:
    """Return a number for each probe: lift and place of the reading."""
    log = job.table("Probe log")
    place = np.column_stack([lift.astype(float), np.nan_to_num(log.number("depth_from_face"), nan=-1.0),
                             np.nan_to_num(log.number("depth_from_joint"), nan=-1.0)])  # fmt: skip
    return np.asarray(np.unique(place, axis=0, return_inverse=True)[1]).reshape(-1).astype(np.int64)


def _misplaced(job: Job, layout: Layout, lift: Index, flag: object) -> Flags:
    """Return readings of probes that do not speak for the concrete at the anchors."""
    log, units, anchors = job.table("Probe log"), job.table("Form units"), job.table("Anchor types")
    holder = np.where(layout.above[lift] >= 0, layout.above[lift], lift)
    level = units.number("anchor_depth")[layout.unit[holder]]
    reach = anchors.number("embedment")[layout.anchor[holder]] / 1000.0
    face, joint = log.number("depth_from_face"), log.number("depth_from_joint")
    unknown = np.isnan(face) | np.isnan(joint)
    far = (face > reach + 0.1) | (np.abs(joint - level) > FURTHEST_FROM_ANCHOR)
    assert callable(flag)
    flag(np.flatnonzero(far), "The probe sits in the core or far from the anchors and is no evidence for them",
         "Log a probe beside the anchors, no deeper from the face than their heads.", Level.STOP)  # fmt: skip
    flag(np.flatnonzero(unknown & ~far), "The log does not say where the probe sits",
         "Fill in Depth from face and Depth from joint; until then its readings only lower the temperature, never raise it.")  # fmt: skip
    return np.asarray(far)


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
    source = np.where(np.isnan(air) & (swing == 0.0), 0, 1).astype(np.int64)
    heat = heat_of(job, start)
    top = laid_over(heat, nodes, source)
    return Unprobed(nodes, top, source, heat)


def temperatures(job: Job, layout: Layout, hours: int) -> tuple[Temperatures, list[Finding]]:
    """Return the temperature at the anchors of every lift for ``hours`` hours, and findings of the log.

    Where a probe log speaks for a lift it is used between its first and last reading, the coldest probe
    at each hour; before and after it the model.
    """
    start = layout.anchor_hour
    ticks = np.arange(hours + 1, dtype=np.float64)
    unprobed = without_probe(job, start, ticks)
    nodes, source = unprobed.nodes, unprobed.source
    usable, findings = usable_readings(job, layout)
    if usable.any():
        log = job.table("Probe log")
        lift = job.lift_of("Probe log")
        series = _series(job, lift)
        for probe in np.unique(series[usable]).tolist():
            rows = np.flatnonzero(usable & (series == probe))
            rows = rows[np.argsort(log.number("time")[rows], kind="stable")]
            item = int(lift[rows[0]])
            measured = _measured(
                nodes[item], start[item] + ticks, log.number("time")[rows], log.number("temperature")[rows]
            )
            seen = ~np.isnan(measured)
            if not seen.any():
                continue
            if np.isnan(log.number("depth_from_face")[rows[0]]) or np.isnan(
                log.number("depth_from_joint")[rows[0]]
            ):
                nodes[item] = np.where(
                    seen, np.minimum(nodes[item], measured), nodes[item]
                )  # it may only lower
            elif source[item] == 2:
                known = nodes[item]
                nodes[item] = np.where(seen, np.minimum(known, measured), known)
            else:
                nodes[item] = np.where(seen, measured, nodes[item])
            source[item] = 2
    top, known = nodes.copy(), unprobed.heat.lift
    top[known] = np.minimum(nodes[known], unprobed.top[known])
    return Temperatures(start, nodes, source, top, unprobed.heat), findings


def _measured(model: Column, clock: Column, time: Column, reading: Column) -> Column:
    """Return one probe's temperature at the nodes, ``nan`` outside its log; wide gaps take the colder of ends and model."""
    between = np.interp(clock, time, reading, left=np.nan, right=np.nan)
    after = np.clip(np.searchsorted(time, clock, side="left"), 1, max(time.size - 1, 1))
    if time.size < 2:
        return np.asarray(between)
    gap = time[after] - time[after - 1]
    cold = np.minimum(np.minimum(reading[after], reading[after - 1]), model)
    return np.asarray(np.where((gap > LONGEST_GAP) & ~np.isnan(between), cold, between))
