"""The filling of every lift in time: hours, layers, exposure of their faces, and the profile hour by hour."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sheetengine.clauses.filling import (
    even_level,
    hours_to_fill,
    layer_interval,
    layer_pressure,
    layered_level,
    least_rise_rate,
    longest_exposure,
)
from sheetengine.clauses.fluid_pressure import pressure_at_depth, resultant
from sheetengine.clauses.inclined_faces import downward_force, normal_stress
from sheetengine.columns import Column, Flags, Texts, taken, texts
from sheetengine.design.faces import leans
from sheetengine.design.layout import Layout
from sheetengine.design.verdicts import verdicts
from sheetengine.job import Job

TIMES, HEIGHTS = 10, 11
"""Columns and rows of the profile that is shown, at most and about."""
BY_RISE, BY_LAYER = "even rise", "layer placed at once"


@dataclass(frozen=True, slots=True)
class Filling:
    """How each lift fills; ``nan`` where no layer depth, or no window, is given.

    Attributes
    ----------
    hours
        Time in which the lift is filled. [h]
    layers
        Number of layers.
    interval
        Time from layer to layer. [h]
    exposure, window
        Longest time for which a layer's face stays open, and for which it may. [h]
    least_rise
        Least rate of rise that keeps the window. [m/h]
    step
        Pressure at the foot of a layer placed at once. [kPa]
    by_layer
        Where that is more than the method gives for the even rise; it is taken instead.
    """

    hours: Column
    depth: Column
    layers: Column
    interval: Column
    exposure: Column
    window: Column
    least_rise: Column
    step: Column
    by_layer: Flags
    ratio: Column
    verdict: Texts


def layer_head(job: Job, layout: Layout) -> Column:
    """Return the pressure at the foot of a layer placed at once, in kPa; ``nan`` where the lift rises evenly."""
    lifts = job.table("Lifts")
    return layer_pressure(
        weight_density=taken(job.table("Mixes").number("unit_weight"), layout.mix),
        layer_depth=lifts.number("layer_depth"),
        placement_height=lifts.number("height"),
    )


def filling(job: Job, layout: Layout, by_layer: Flags) -> Filling:
    """Return how every lift fills; ``by_layer`` says where the layer's pressure was taken."""
    lifts = job.table("Lifts")
    height, depth = lifts.number("height"), lifts.number("layer_depth")
    window = taken(job.table("Mixes").number("exposure_window"), layout.mix)
    rise = {"rate_of_rise": layout.rise, "layer_depth": depth}
    exposure = longest_exposure(placement_height=height, **rise)
    ratio = exposure / window
    return Filling(
        hours=hours_to_fill(rate_of_rise=layout.rise, placement_height=height),
        depth=depth,
        layers=np.ceil(np.round(height / depth, 8)),
        interval=layer_interval(**rise),
        exposure=exposure,
        window=window,
        least_rise=least_rise_rate(layer_depth=depth, exposure_window=window, placement_height=height),
        step=layer_head(job, layout),
        by_layer=by_layer,
        ratio=ratio,
        verdict=verdicts(ratio, job.number("Review threshold")),
    )


def shown_lift(job: Job, panel_ratio: Column, withheld: Flags) -> int:
    """Return the lift whose filling is shown: the one that ``Job`` names, else the one whose panel is used most."""
    named = job.lift_called(job.text("Filling shown for"))
    if named >= 0:
        return named
    return int(np.argmax(np.where(withheld | np.isnan(panel_ratio), -np.inf, panel_ratio)))


@dataclass(frozen=True, slots=True)
class Profile:
    """One lift while it fills: levels and pressures by hour, and the pressure by height and hour."""

    by_hour: dict[str, NDArray[Any]]
    by_height: dict[str, NDArray[Any]]


def profile(job: Job, layout: Layout, item: int, maximum: float) -> Profile:
    """Return level and pressure of one lift by hour and height, risen evenly and placed in its layers.

    ``maximum`` is the lateral design maximum of the lift, in kPa, ``nan`` where it is not computed; pressures are
    shown normal to the face. The grid shows the layers where the lift has them.
    """
    lifts = job.table("Lifts")
    height, depth = float(lifts.number("height")[item]), float(lifts.number("layer_depth")[item])
    rate = float(layout.rise[item])
    density = float(taken(job.table("Mixes").number("unit_weight"), layout.mix)[item])
    lean = float(leans(job)[item])
    hours = _hours(height, rate, depth)
    one = np.ones_like(hours)
    even = even_level(filling_time=hours, rate_of_rise=rate * one, placement_height=height * one)
    columns: dict[str, NDArray[Any]] = {"Hour [h]": hours, "Level, even rise [m]": even}
    shown = even
    if np.isfinite(depth):
        shown = layered_level(
            filling_time=hours,
            rate_of_rise=rate * one,
            layer_depth=depth * one,
            placement_height=height * one,
        )
        columns["Level, in layers [m]"] = shown

    def pressing(below: Column) -> Column:
        every = np.ones_like(below)
        lateral = pressure_at_depth(
            maximum_pressure=maximum * every, weight_density=density * every, depth_below_surface=below
        )
        return normal_stress(
            lateral_stress=lateral, vertical_stress=density * below, face_inclination=lean * every
        )

    for name, level in (("even rise", even), ("in layers", shown)):
        if name == "in layers" and not np.isfinite(depth):
            continue
        columns[f"Greatest pressure, {name} [kPa]"] = pressing(level)
        thrust = resultant(
            maximum_pressure=maximum * one, weight_density=density * one, placement_height=level
        )
        down = downward_force(
            pressure_force=thrust,
            weight_density=density * one,
            placement_height=level,
            face_inclination=lean * one,
        )
        columns[f"Resultant, {name} [kN/m]"] = np.hypot(thrust, down)
    full = min(maximum / density, height) if np.isfinite(maximum) else height
    heights = np.unique(np.r_[np.linspace(0.0, height, HEIGHTS), height - full])[::-1]
    below = np.maximum(shown[np.newaxis, :] - heights[:, np.newaxis], 0.0)
    grid = pressing(below)
    by_height: dict[str, NDArray[Any]] = {"Height [m]": heights}
    places = [place for place in _columns(hours) if grid[:, place].any()]
    names = _named(hours[places])
    by_height |= {f"At {name} h [kPa]": grid[:, place] for name, place in zip(names, places, strict=True)}
    by_height["Envelope [kPa]"] = np.max(grid, axis=1)
    return Profile(columns, by_height)


def _hours(height: float, rate: float, depth: float) -> Column:
    """Return the hours that are shown: the beginning of every layer, or even steps, and the full lift."""
    end = height / rate
    if np.isfinite(depth):
        begins = np.arange(np.ceil(np.round(height / depth, 8))) * depth / rate
        return np.append(begins[:: -(-begins.size // 40)], end)
    return np.linspace(0.0, end, TIMES + 1)


def _columns(hours: Column) -> list[int]:
    """Return the hours that have a column in the grid, at most :data:`TIMES`, the last among them."""
    after_start = np.arange(hours.size)
    step = -(-after_start.size // TIMES)
    return [int(place) for place in after_start[::-1][::step][::-1]]


def _named(hours: Column) -> list[str]:
    """Return hours as written, with as few decimals as keep them apart."""
    written: list[str] = []
    for decimals in range(1, 9):
        written = [f"{hour:.{decimals}f}" for hour in hours.tolist()]
        if len(set(written)) == len(written):
            break
    return written


def governed(f: Filling) -> Texts:
    """Return what gives the pressure of each lift: its even rise, or a layer placed at once."""
    return texts(
        "" if np.isnan(depth) else BY_LAYER if step else BY_RISE
        for depth, step in zip(f.depth.tolist(), f.by_layer.tolist(), strict=True)
    )
