"""Temperature of many lifts at the corner of face and joint: conduction in two directions, heated by hydration.

Three bodies lie on one another: what is below, the lift, and the later lift. Each step goes backward in time, first
across the face, then upward; both are stable at any step, and both keep the energy. The run is made with a step and
with its half, and taken on to no step (Richardson); the two runs' difference is the error estimate.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sheetengine.clauses.astm_c1074 import arrhenius_rate
from sheetengine.clauses.hydration_heat import rise_at_age
from sheetengine.columns import Column
from sheetengine.design.corner_grid import graded, inverses, overlaps, shares, to_air

Matrix = NDArray[np.float64]
STEP = 2.0
"""Longer of the two steps at first, in h."""
MOST_ERROR, HALVINGS = 1.0, 3
"""Error estimate, in K, above which a lift is computed again with half the step, and how often at most."""
CHUNK = 200
WARMEST_HOUR = 15.0
SUN_RISES, SUN_SETS = 6.0, 18.0
"""Hours between which the sun is on the surfaces, a half wave; common practice."""
TOP_DEPTH = 0.1
"""Depth below the joint, in m, of the place that speaks for the top of the face."""
PLACES = ("anchor", "core", "face", "joint", "top")


@dataclass(frozen=True, slots=True)
class Cells:
    """Number of cells from the face inward, in what is below, in the lift and in the later lift, and their growth."""

    across: int = 14
    below: int = 8
    within: int = 18
    above: int = 8
    growth: float = 1.25

    def doubled(self) -> Cells:
        """Return twice as many cells in each direction, graded alike."""
        return Cells(2 * self.across, 2 * self.below, 2 * self.within, 2 * self.above, self.growth**0.5)


CELLS = Cells()


@dataclass(frozen=True, slots=True)
class Body:
    """One of the bodies on one another; one entry a lift, for the last three also a value for every cell.

    Attributes
    ----------
    height
        [m]
    conductivity, capacity
        [W/m/K], [Wh/m3/K]
    rise, hydration_time, shape, activation, reference
        Hydration: final rise [K], [h], [-], [K], [degC].
    formed, bared
        Film coefficient behind the form [W/m2/K], and the hour at which the face is bare; ``-inf``: always.
    age, temperature
        Equivalent age [h] and temperature [degC] at the start; lifts, or lifts by cells up by cells across.
    """

    height: Column
    conductivity: Column
    capacity: Column
    rise: Column
    hydration_time: Column
    shape: Column
    activation: Column
    reference: Column
    formed: Column
    bared: Column
    age: Matrix
    temperature: Matrix

    def rows(self, items: slice | NDArray[np.int64]) -> Body:
        """Return some of the lifts."""
        return Body(*(getattr(self, field.name)[items] for field in fields(self)))


@dataclass(frozen=True, slots=True)
class Corner:
    """What the heat of every lift rests on; one entry a lift.

    Attributes
    ----------
    start
        Hour at which the whole lift is taken as placed. [h]
    depth
        From the face to where the block is closed to heat. [m]
    air, later_air, swing, sun
        Daily mean of the air before and after the later lift is placed [degC], its swing [K], and what the sun at
        noon is worth as warmer air [K].
    bare
        Film coefficient of a bare surface. [W/m2/K]
    next_hour
        Hour of the placing of the later lift; ``inf`` for never. [h]
    anchor_depth, embedment
        Of the anchors below the top of the lift, and of their heads from the face. [m]
    below, own, above
        The bodies.
    """

    start: Column
    depth: Column
    air: Column
    later_air: Column
    swing: Column
    sun: Column
    bare: Column
    next_hour: Column
    anchor_depth: Column
    embedment: Column
    below: Body
    own: Body
    above: Body

    def rows(self, items: slice | NDArray[np.int64]) -> Corner:
        """Return some of the lifts."""
        given = {field.name: getattr(self, field.name) for field in fields(self)}
        cut: dict[str, Any] = {
            name: value.rows(items) if isinstance(value, Body) else value[items]
            for name, value in given.items()
        }
        return Corner(**cut)


@dataclass(frozen=True, slots=True)
class CornerHeat:
    """Lifts by hours from the start on, in degC, and what was given and lost.

    Attributes
    ----------
    anchor
        The colder of head and half the embedment, at the level of the anchors.
    core, face, joint, top
        The warmest deep in the block, the surface of the face at half the height, the joint deep in the block, and the
        surface of the face close below the top of the lift.
    error
        Difference of the runs with the whole and the half step: of these five, in that order, by lifts by hours. [K]
    imbalance
        Heat given, less lost, less kept, as a part of that given and exchanged; the greater of the two runs. One
        entry a lift.
    """

    anchor: Matrix
    core: Matrix
    face: Matrix
    joint: Matrix
    top: Matrix
    error: Matrix
    imbalance: Column


def _at(width: Matrix, place: Column) -> Callable[[Matrix], Matrix]:
    """Return what reads lines of cells (rows by cells by anything) at a place, straight between the middles of cells."""
    middle = np.cumsum(width, axis=1) - width / 2.0
    rows = np.arange(width.shape[0])
    after = np.clip((middle < place[:, None]).sum(axis=1), 1, width.shape[1] - 1)
    near, far = middle[rows, after - 1], middle[rows, after]
    share = np.clip((place - near) / (far - near), 0.0, 1.0)[:, None]
    return lambda lines: np.asarray((1.0 - share) * lines[rows, after - 1] + share * lines[rows, after])


def _field(given: Matrix, up: int, across: int) -> Matrix:
    return given if given.ndim > 1 else np.broadcast_to(given[:, None, None], (given.size, up, across))


class _Run:
    """One run of some lifts with one step; all fields are lifts by cells up by cells across."""

    def __init__(self, c: Corner, step: float, cells: Cells) -> None:
        self.c, self.step = c, step
        count = c.start.size
        self.x = graded(c.depth, cells.across, cells.growth)
        self.bodies = (c.below, c.own, c.above)
        numbers = (cells.below, cells.within, cells.above)
        self.base, self.roof = cells.below, cells.below + cells.within
        self.parts = (slice(0, self.base), slice(self.base, self.roof), slice(self.roof, None))
        self.y = np.concatenate([
            graded(c.below.height, cells.below, cells.growth)[:, ::-1],
            graded(c.own.height, cells.within, cells.growth, both_ends=True),
            graded(c.above.height, cells.above, cells.growth),
        ], axis=1)  # fmt: skip
        self.upward = {
            name: np.concatenate([
                np.broadcast_to(getattr(body, name)[:, None], (count, number))
                for body, number in zip(self.bodies, numbers, strict=True)
            ], axis=1)
            for name in ("conductivity", "capacity", "rise", "hydration_time", "shape", "activation", "reference")
        }  # fmt: skip
        self.hydration = {
            "adiabatic_rise": self.upward["rise"][:, :, None],
            "hydration_time": self.upward["hydration_time"][:, :, None],
            "hydration_shape": self.upward["shape"][:, :, None],
        }
        self.maturing = {
            "activation_temperature": self.upward["activation"][:, :, None],
            "reference_temperature": self.upward["reference"][:, :, None],
        }
        self.cell_capacity = (self.upward["capacity"] * self.y)[:, :, None] * self.x[:, None, :]
        self.to_face = [
            {
                False: to_air(self.x[:, 0], body.conductivity, body.formed),
                True: to_air(self.x[:, 0], body.conductivity, c.bare),
            }
            for body in self.bodies
        ]
        self.across = [
            {
                bare: inverses(
                    self.x, body.conductivity[:, None], body.capacity[:, None], face[bare], np.zeros(count), step
                ).transpose(0, 2, 1)
                for bare in (False, True)
            }
            for body, face in zip(self.bodies, self.to_face, strict=True)
        ]  # fmt: skip
        self.to_top = {
            built: to_air(self.y[:, end], self.upward["conductivity"][:, end], c.bare)
            for built, end in ((False, self.roof - 1), (True, -1))
        }
        there = np.ones(self.y.shape, dtype=bool)
        half_built = there.copy()
        half_built[:, self.parts[2]] = False
        self.up = {
            built: inverses(
                self.y, self.upward["conductivity"], self.upward["capacity"], np.zeros(count), self.to_top[built], step,
                there if built else half_built,
            )
            for built in (False, True)
        }  # fmt: skip
        self.t = np.concatenate(
            [_field(body.temperature, n, cells.across) for body, n in zip(self.bodies, numbers, strict=True)],
            axis=1,
        )
        self.age = np.concatenate(
            [_field(body.age, n, cells.across) for body, n in zip(self.bodies, numbers, strict=True)], axis=1
        )
        self.grown = rise_at_age(**self.hydration, equivalent_age=self.age)
        self.given, self.lost, self.exchanged = np.zeros(count), np.zeros(count), np.zeros(count)
        self.at_first = self.held()
        self.clock = 0.0
        self.built = np.zeros(count, dtype=bool)
        self.bared = np.zeros((3, count), dtype=bool)
        self.air = self.sunned = np.zeros(count)
        self._events(first=True)

    def held(self) -> Column:
        """Return the heat that the cells hold above 0 degC, for a metre of face. [Wh/m]."""
        return np.asarray((self.cell_capacity * self.t).sum(axis=(1, 2)))

    def imbalance(self) -> Column:
        """Return the heat given, less lost, less kept, as a part of what was given and exchanged."""
        left = self.given - self.lost - (self.held() - self.at_first)
        return np.asarray(np.abs(left) / np.maximum(self.given + self.exchanged, 1.0))

    def _events(self, *, first: bool = False) -> None:
        """Take up what the step now begun is under: air, sun, forms, the later lift."""
        c = self.c
        hour = c.start + self.clock
        # a switch takes effect in the step whose middle is past it
        middle = hour - self.step / 2.0
        built = middle >= c.next_hour
        bared = np.stack([middle >= body.bared for body in self.bodies])
        day = np.mod(hour, 24.0)
        wave = np.cos((day - WARMEST_HOUR) * (np.pi / 12.0))
        self.air = np.where(built, c.later_air, c.air) + c.swing / 2.0 * wave
        light = np.sin((day - SUN_RISES) * (np.pi / (SUN_SETS - SUN_RISES)))
        self.sunned = self.air + c.sun * np.where((day > SUN_RISES) & (day < SUN_SETS), light, 0.0)
        if first:
            count, up, across = self.t.shape
            self.face = [np.zeros(count) for _ in self.bodies]
            self.sweeps = [np.zeros((count, across, across)) for _ in self.bodies]
            self.upwards, self.top_gives = np.zeros((count, up, up)), np.zeros(count)
        changed = np.flatnonzero(first | (built != self.built) | (bared != self.bared).any(axis=0))
        self.built, self.bared = built, bared
        if changed.size:
            self._switch(changed)

    def _switch(self, lifts: NDArray[np.int64]) -> None:
        """Take up forms struck and later lifts placed, of some lifts."""
        built, bared = self.built[lifts], self.bared[:, lifts]
        for place, (bare, there) in enumerate(zip(bared, (True, True, built), strict=True)):
            gives, step = self.to_face[place], self.across[place]
            self.face[place][lifts] = np.where(bare, gives[True][lifts], gives[False][lifts]) * there
            self.sweeps[place][lifts] = np.where(bare[:, None, None], step[True][lifts], step[False][lifts])
        self.sweeps[2][lifts[~built]] = np.eye(self.x.shape[1])
        self.upwards[lifts] = np.where(built[:, None, None], self.up[True][lifts], self.up[False][lifts])
        self.top_gives[lifts] = np.where(built, self.to_top[True][lifts], self.to_top[False][lifts])
        self.end = np.where(self.built, self.y.shape[1], self.roof) - 1
        self._set_worked(self.y.shape[1] if self.built.any() else self.roof)

    def _set_worked(self, rows: int) -> None:
        """Take so many rows of cells, from below, into each step: those of a later lift only once one is there."""
        self.worked = rows
        self.hydrating = {name: value[:, :rows] for name, value in self.hydration.items()}
        self.ripening = {name: value[:, :rows] for name, value in self.maturing.items()}
        there = np.ones((self.built.size, rows, 1))
        there[:, self.roof :] = self.built[:, None, None]
        self.counts = there
        self.works = [(part, body, gives, sweep)
                      for part, body, gives, sweep in zip(self.parts, self.bodies, self.face, self.sweeps, strict=True)
                      if part.start < rows]  # fmt: skip

    def advance(self) -> None:
        """Go on by one step."""
        step = self.step
        self.clock += step
        self._events()
        worked = self.worked
        t, age, before = self.t[:, :worked], self.age[:, :worked], self.grown[:, :worked]
        ripened = arrhenius_rate(concrete_temperature=t, **self.ripening)
        ripened *= step * self.counts
        age += ripened
        grown = rise_at_age(**self.hydrating, equivalent_age=age)
        gain = np.subtract(grown, before, out=before)
        t = t + gain
        self.given += np.einsum("ijk,ijk->i", self.cell_capacity[:, :worked], gain)
        before[...] = grown
        for part, body, gives, sweep in self.works:
            t[:, part, 0] += (step * gives * self.sunned / (body.capacity * self.x[:, 0]))[:, None]
            t[:, part] = t[:, part] @ sweep
            self._lose(gives[:, None] * (t[:, part, 0] - self.sunned[:, None]) * self.y[:, part])
        rows = np.arange(t.shape[0])
        push = step * self.top_gives * self.sunned
        t[rows, self.end] += (push / (self.upward["capacity"] * self.y)[rows, self.end])[:, None]
        t = self.upwards[:, :worked, :worked] @ t
        self._lose(self.top_gives[:, None] * (t[rows, self.end] - self.sunned[:, None]) * self.x)
        self.t[:, :worked] = t

    def _lose(self, flow: Matrix) -> None:
        self.lost += self.step * flow.sum(axis=1)
        self.exchanged += self.step * np.abs(flow).sum(axis=1)


class _Readings:
    """What is read from a run at every hour."""

    def __init__(self, run: _Run, hours: int) -> None:
        c, height = run.c, run.c.below.height
        self.run = run
        self.anchor_level = _at(run.y, height + c.own.height - c.anchor_depth)
        self.middle = _at(run.y, height + c.own.height / 2.0)
        self.near_top = _at(run.y, height + c.own.height - TOP_DEPTH)
        self.head, self.half = _at(run.x, c.embedment), _at(run.x, c.embedment / 2.0)
        self.values = np.full((len(PLACES), c.start.size, hours + 1), np.nan)

    def _surface(self, line: Matrix) -> Column:
        """Return the temperature of the face at a line of the lift's cells."""
        run, own = self.run, self.run.c.own
        film = np.where(run.bared[1], run.c.bare, own.formed)
        half = 2.0 * own.conductivity / run.x[:, 0]
        return np.asarray((half * line[:, 0] + film * run.sunned) / (half + film))

    def read(self, place: int) -> None:
        """Read the run at this hour."""
        run = self.run
        t, y, k, base, top = run.t, run.y, run.upward["conductivity"], run.base, run.roof
        there = t.copy()
        there[~run.built, top] = t[~run.built, top - 1]  # what is above the top counts only where it is there
        level = self.anchor_level(there)[:, :, None]
        self.values[0, :, place] = np.minimum(self.head(level), self.half(level))[:, 0]
        self.values[1, :, place] = t[:, base:top, -1].max(axis=1)
        self.values[2, :, place] = self._surface(self.middle(t))
        down, up = k[:, base - 1] / y[:, base - 1], k[:, base] / y[:, base]
        self.values[3, :, place] = (t[:, base - 1, -1] * down + t[:, base, -1] * up) / (down + up)
        self.values[4, :, place] = self._surface(self.near_top(there))


def _run(c: Corner, hours: int, step: float, cells: Cells) -> tuple[Matrix, Column]:
    """Return the readings (places by lifts by hours) of one run, and its imbalance."""
    run = _Run(c, step, cells)
    readings = _Readings(run, hours)
    readings.read(0)
    for number in range(1, round(hours / step) + 1):
        run.advance()
        clock = number * step
        if clock == round(clock):
            readings.read(round(clock))
    return readings.values, run.imbalance()


def _on_steps(c: Corner) -> Corner:
    """Return the same with all switches on the longer step: bare a little early, built upon a little late."""

    def early(body: Body) -> Body:
        return replace(body, bared=c.start + np.floor((body.bared - c.start) / STEP) * STEP)

    return replace(c, own=early(c.own), above=early(c.above), below=early(c.below),
                   next_hour=c.start + np.ceil((c.next_hour - c.start) / STEP) * STEP)  # fmt: skip


def _both(c: Corner, hours: int, cells: Cells, step: float) -> tuple[Matrix, Matrix, Column]:
    """Return the readings taken on to no step, their error estimate, and the imbalance, by a step and its half."""
    c = _on_steps(c)
    (long, first), (half, second) = _run(c, hours, step, cells), _run(c, hours, step / 2.0, cells)
    apart_by = max(round(step), 1)
    shared = np.arange(0, hours + 1, apart_by)
    apart = half[:, :, shared] - long[:, :, shared]
    ticks = np.arange(hours + 1)
    low = np.minimum(ticks // apart_by, shared.size - 1)
    high = np.minimum(low + 1, shared.size - 1)
    share = (ticks % apart_by) / apart_by
    error = np.maximum(np.abs(apart[:, :, low]), np.abs(apart[:, :, high]))
    best = half + apart[:, :, low] * (1.0 - share) + apart[:, :, high] * share
    return best, error, np.maximum(first, second)


def _all(c: Corner, hours: int, cells: Cells, step: float) -> tuple[Matrix, Matrix, Column]:
    order, parts = _parts(c)
    with ThreadPoolExecutor(2) as pool:
        found = list(pool.map(lambda part: _both(c.rows(part), hours, cells, step), parts))
    values, errors, left = zip(*found, strict=True)
    back = np.argsort(order)
    return (
        np.concatenate(values, axis=1)[:, back], np.concatenate(errors, axis=1)[:, back], np.concatenate(left)[back]
    )  # fmt: skip


def _parts(c: Corner) -> tuple[NDArray[np.int64], list[NDArray[np.int64]]]:
    """Return the lifts by the hour at which they are built upon, and the same in parts that are worked on at once."""
    order = np.argsort(c.next_hour - c.start, kind="stable").astype(np.int64)
    return order, [order[first : first + CHUNK] for first in range(0, order.size, CHUNK)]


def corner_heat(c: Corner, hours: int, cells: Cells = CELLS) -> CornerHeat:
    """Return the temperatures of every lift for ``hours`` hours from its start.

    Lifts whose error estimate passes ``MOST_ERROR`` are computed again with half the step, up to ``HALVINGS`` times.

    Parameters
    ----------
    c
        What they rest on.
    hours
        An even number. [h]
    cells
        The grid.
    """
    places, error, left = _all(c, hours, cells, STEP)
    for halving in range(1, HALVINGS + 1):
        over = np.flatnonzero(error.max(axis=(0, 2)) > MOST_ERROR)
        if not over.size:
            break
        places[:, over], error[:, over], left[over] = _all(c.rows(over), hours, cells, STEP / 2.0**halving)
    return CornerHeat(**dict(zip(PLACES, places, strict=True)), error=error, imbalance=left)


def when_built_upon(c: Corner, hours: int) -> tuple[Matrix, Matrix]:
    """Return equivalent age [h] and temperature [degC] of the lifts when the later lift comes, on the grid of ``below``.

    Both are lifts by cells up by cells across; ``nan`` where the later lift comes after ``hours``, or never. They are
    found with the longer step alone.
    """
    to_below = overlaps(
        shares(CELLS.within, CELLS.growth, both_ends=True), shares(CELLS.below, CELLS.growth)[::-1]
    )

    def one(part: NDArray[np.int64]) -> tuple[Matrix, Matrix]:
        cut = _on_steps(c.rows(part))
        run = _Run(cut, STEP, CELLS)
        kept = np.full((2, cut.start.size, CELLS.within, CELLS.across), np.nan)
        own = run.parts[1]
        wait = cut.next_hour - cut.start
        last = np.max(wait, where=wait <= hours, initial=-1.0)
        for number in range(int(last // STEP) + 1):
            if number:
                run.advance()
            now = wait == number * STEP
            kept[0, now], kept[1, now] = run.age[now, own], run.t[now, own]
        return to_below @ kept[0], to_below @ kept[1]

    order, parts = _parts(c)
    back = np.argsort(order)
    with ThreadPoolExecutor(2) as pool:
        found = list(pool.map(one, parts))
    return np.concatenate([age for age, _ in found])[back], np.concatenate([t for _, t in found])[back]
