"""Temperature of many lifts at the corner of face and joint: conduction in two directions, heated by hydration.

Each step goes backward in time, first across the face, then upward; both are stable at any step. The run is made
with a step and with its half, and taken on to no step (Richardson); the two runs' difference is the error estimate.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from sheetengine.clauses.astm_c1074 import arrhenius_rate
from sheetengine.clauses.hydration_heat import rise_at_age
from sheetengine.columns import Column
from sheetengine.design.corner_grid import graded, inverses, to_air

Matrix = NDArray[np.float64]
ACROSS, BELOW, WITHIN, ABOVE = 12, 6, 12, 8
"""Cells from the face inward, in the lift below, in the lift, and in the later lift on top."""
GROWTH = 1.3
DEPTH_BELOW = 2.0
"""Depth of old concrete or rock that takes part, in m."""
STEP = 2.0
"""Longer of the two steps, in h."""
CHUNK = 50
WARMEST_HOUR = 15.0


@dataclass(frozen=True, slots=True)
class Corner:
    """What the heat of every lift rests on; one entry a lift.

    Attributes
    ----------
    start
        Hour at which the whole lift is taken as placed. [h]
    height, next_height, depth
        Of the lift and of the later lift, and from the face to the middle of the block. [m]
    conductivity, capacity
        [W/m/K], [Wh/m3/K]
    rise, hydration_time, shape, activation, reference
        Hydration: final rise [K], [h], [-], [K], [degC].
    placed, next_placed, below
        Temperature of the lift, the later lift and of what lies below, at the start of each. [degC]
    air, swing, sun
        Daily mean [degC], swing [K], and what the sun on the face is worth [K].
    formed, bare
        Film coefficient behind the form and of the bare surface. [W/m2/K]
    stripped, next_hour
        Hours of stripping and of the placing on top; ``inf`` for never. [h]
    anchor_depth, embedment
        Of the anchors below the top of the lift, and of their heads from the face. [m]
    """

    start: Column
    height: Column
    next_height: Column
    depth: Column
    conductivity: Column
    capacity: Column
    rise: Column
    hydration_time: Column
    shape: Column
    activation: Column
    reference: Column
    placed: Column
    next_placed: Column
    below: Column
    air: Column
    swing: Column
    sun: Column
    formed: Column
    bare: Column
    stripped: Column
    next_hour: Column
    anchor_depth: Column
    embedment: Column

    def rows(self, items: slice) -> Corner:
        """Return some of the lifts."""
        return Corner(*(getattr(self, field.name)[items] for field in fields(self)))


@dataclass(frozen=True, slots=True)
class CornerHeat:
    """Lifts by hours from the start on. [degC].

    Attributes
    ----------
    anchor
        The colder of face and head at the level of the anchors.
    core, face, joint
        The warmest of the lift, the surface of the face at half the height, and the joint deep in the block.
    error
        Difference of the runs with the whole and the half step: of these four, in that order, by lifts by hours. [K]
    """

    anchor: Matrix
    core: Matrix
    face: Matrix
    joint: Matrix
    error: Matrix


def _at(width: Matrix, place: Column) -> Callable[[Matrix], Matrix]:
    """Return what reads lines of cells (rows by cells by anything) at a place, straight between the middles of cells."""
    middle = np.cumsum(width, axis=1) - width / 2.0
    rows = np.arange(width.shape[0])
    after = np.clip((middle < place[:, None]).sum(axis=1), 1, width.shape[1] - 1)
    near, far = middle[rows, after - 1], middle[rows, after]
    share = np.clip((place - near) / (far - near), 0.0, 1.0)[:, None]
    return lambda lines: np.asarray((1.0 - share) * lines[rows, after - 1] + share * lines[rows, after])


def _run(c: Corner, hours: int, step: float) -> Matrix:
    """Return anchor, core, face and joint (4 by lifts by hours) by one run; all cells are (lifts, up, across)."""
    lifts = c.start.size
    x = graded(c.depth, ACROSS, GROWTH)
    old = graded(np.full(lifts, DEPTH_BELOW), BELOW, GROWTH)[:, ::-1]
    own, later = (
        graded(c.height, WITHIN, GROWTH, both_ends=True),
        graded(c.next_height, ABOVE, GROWTH, both_ends=True),
    )
    y = np.concatenate([old, own, later], axis=1)
    top = BELOW + WITHIN
    k, cap, none = c.conductivity, c.capacity, np.zeros(lifts)
    gives = {"formed": to_air(x[:, 0], k, c.formed), "bare": to_air(x[:, 0], k, c.bare)}
    across = {name: inverses(x, k, cap, g, none, step).transpose(0, 2, 1).copy() for name, g in gives.items()}
    on_top, on_later = to_air(y[:, top - 1], k, c.bare), to_air(y[:, -1], k, c.bare)
    alone, loaded = (
        inverses(y, k, cap, none, on_top, step, cut=top),
        inverses(y, k, cap, none, on_later, step),
    )
    t = np.empty((lifts, y.shape[1], ACROSS))
    t[:, :BELOW], t[:, BELOW:top], t[:, top:] = (v[:, None, None] for v in (c.below, c.placed, c.next_placed))
    age = np.zeros((lifts, WITHIN + ABOVE, ACROSS))
    grown = np.zeros_like(age)
    wide = {name: getattr(c, name)[:, None, None] for name in
            ("rise", "hydration_time", "shape", "activation", "reference")}  # fmt: skip
    to_anchor, to_middle = (
        _at(y, DEPTH_BELOW + c.height - c.anchor_depth),
        _at(y, DEPTH_BELOW + c.height / 2.0),
    )
    inward = _at(x, c.embedment)
    every = round(1.0 / step) if step <= 1.0 else 1
    out = np.full((4, lifts, hours + 1), np.nan)

    def surface(line: Matrix, air: Column, stripped: NDArray[np.bool_]) -> Column:
        film = np.where(stripped, c.bare, c.formed)
        half = 2.0 * k / x[:, 0]
        return np.asarray((half * line[:, 0] + film * air) / (half + film))

    for number in range(round(hours / step) + 1):
        clock = number * step
        hour = c.start + clock
        air = c.air + c.swing / 2.0 * np.cos((hour - WARMEST_HOUR) * (np.pi / 12.0))
        # a switch takes effect in the step whose middle is past it
        stripped, built = hour - step / 2.0 >= c.stripped, hour - step / 2.0 >= c.next_hour
        if number:
            form = np.where(stripped[:, None, None], across["bare"], across["formed"])
            face = c.sun + air
            push = step * face / (cap * x[:, 0])
            heat = np.where(stripped, gives["bare"], gives["formed"]) * push
            active = np.ones((lifts, WITHIN + ABOVE, 1))
            active[:, WITHIN:] = built[:, None, None]
            rate = arrhenius_rate(
                concrete_temperature=t[:, BELOW:], activation_temperature=wide["activation"],
                reference_temperature=wide["reference"],
            )  # fmt: skip
            age += step * rate * active
            now = rise_at_age(adiabatic_rise=wide["rise"], hydration_time=wide["hydration_time"],
                              hydration_shape=wide["shape"], equivalent_age=age)  # fmt: skip
            t[:, BELOW:] += now - grown
            grown = now
            t[:, :BELOW, 0] += (gives["bare"] * push)[:, None]
            t[:, BELOW:top, 0] += heat[:, None]
            t[:, top:, 0] += (gives["formed"] * push)[:, None] * built[:, None]
            t[:, :BELOW] = t[:, :BELOW] @ across["bare"]
            t[:, BELOW:top] = t[:, BELOW:top] @ form
            t[:, top:] = np.where(built[:, None, None], t[:, top:] @ across["formed"], t[:, top:])
            t[:, top - 1] += np.where(built, 0.0, step * air * on_top / (cap * y[:, top - 1]))[:, None]
            t[:, -1] += np.where(built, step * air * on_later / (cap * y[:, -1]), 0.0)[:, None]
            t = np.where(built[:, None, None], loaded, alone) @ t
        if number % every == 0 and (place := round(clock)) <= hours:
            level = _level(t, built, to_anchor)
            out[0, :, place] = np.minimum(
                surface(level, c.sun + air, stripped), inward(level[:, :, None])[:, 0]
            )
            out[1, :, place] = t[:, BELOW:top].max(axis=(1, 2))
            out[2, :, place] = surface(to_middle(t), c.sun + air, stripped)
            out[3, :, place] = (t[:, BELOW - 1, -1] * y[:, BELOW] + t[:, BELOW, -1] * y[:, BELOW - 1]) / (
                y[:, BELOW] + y[:, BELOW - 1]
            )
    return out


def _level(t: Matrix, built: NDArray[np.bool_], read: Callable[[Matrix], Matrix]) -> Matrix:
    """Return the line at the anchors; what is above the top counts only where it is there."""
    seen = t.copy()
    seen[~built, BELOW + WITHIN] = t[~built, BELOW + WITHIN - 1]
    return read(seen)


def _both(c: Corner, hours: int) -> tuple[Matrix, Matrix]:
    # both runs switch at the same hours, on the longer step: bare a little early, built upon a little late
    c = replace(c, stripped=c.start + np.floor((c.stripped - c.start) / STEP) * STEP,
                next_hour=c.start + np.ceil((c.next_hour - c.start) / STEP) * STEP)  # fmt: skip
    long, half = _run(c, hours, STEP), _run(c, hours, STEP / 2.0)
    even = np.arange(0, hours + 1, round(STEP))
    apart = half[:, :, even] - long[:, :, even]
    ticks = np.arange(hours + 1)
    low = np.minimum(ticks // round(STEP), even.size - 1)
    high = np.minimum(low + 1, even.size - 1)
    share = (ticks % round(STEP)) / STEP
    error = np.maximum(np.abs(apart[:, :, low]), np.abs(apart[:, :, high]))
    return half + apart[:, :, low] * (1.0 - share) + apart[:, :, high] * share, error


def corner_heat(c: Corner, hours: int) -> CornerHeat:
    """Return the temperatures of every lift for ``hours`` hours from its start.

    Parameters
    ----------
    c
        What they rest on.
    hours
        An even number. [h]
    """
    parts = [slice(first, first + CHUNK) for first in range(0, c.start.size, CHUNK)]
    with ThreadPoolExecutor(2) as pool:
        found = list(pool.map(lambda part: _both(c.rows(part), hours), parts))
    anchor, core, face, joint = np.concatenate([values for values, _ in found], axis=1)
    return CornerHeat(anchor, core, face, joint, np.concatenate([error for _, error in found], axis=1))
