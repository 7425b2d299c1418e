"""The heat of every lift: what the sheets give for it, the temperatures computed, and what is held against limits."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from sheetengine.clauses.heat_data import covered_film_coefficient
from sheetengine.columns import Column, Flags, taken
from sheetengine.design.corner_heat import (
    CELLS,
    PLACES,
    Body,
    Corner,
    corner_heat,
    when_built_upon,
)
from sheetengine.design.layout import Index, lay_out
from sheetengine.job import Job

Matrix = NDArray[np.float64]
LONGEST = 336
"""Hours for which the heat of a lift is computed; after them the cold model is taken."""
GRAVITY = 9.80665
NEEDED = ("adiabatic_rise", "hydration_time", "hydration_shape", "conductivity", "specific_heat")
"""What the mix must give."""
DEEPEST = 2.5
"""Depth from the face, in m, beyond which a thicker block is cut off and closed to heat."""
ROCK_DEPTH = 3.0
"""Depth of what the first lift stands on, in m, that takes part."""


@dataclass(frozen=True, slots=True)
class LiftHeat:
    """The computed lifts.

    Attributes
    ----------
    lift
        Rows of ``Lifts`` that could be computed.
    start
        Hour of the first node of each. [h]
    anchor, core, face, joint, top
        Lifts by hours. [degC]
    error
        Estimate of the error of time stepping of these five, in that order, by lifts by hours. [K]
    imbalance
        Heat given, less lost, less kept, as a part of that given and exchanged. One entry a lift.
    """

    lift: NDArray[np.int64]
    start: Column
    anchor: Matrix
    core: Matrix
    face: Matrix
    joint: Matrix
    top: Matrix
    error: Matrix
    imbalance: Column


def asked(job: Job) -> bool:
    """Return whether the heat of hydration is to be computed."""
    return job.text("Heat of hydration") == "compute"


def computable(job: Job) -> Flags:
    """Return the lifts whose mix and air temperature are known well enough to compute their heat."""
    mixes, lifts = job.table("Mixes"), job.table("Lifts")
    known = np.all([~np.isnan(mixes.number(name)) for name in NEEDED], axis=0)
    return np.asarray(known[lay_out(job).mix] & ~np.isnan(lifts.number("air_temperature")))


def _none(hours: int) -> LiftHeat:
    none = np.zeros((0, hours + 1))
    return LiftHeat(
        np.zeros(0, dtype=np.int64), np.zeros(0), none, none, none, none, none,
        np.zeros((len(PLACES), *none.shape)), np.zeros(0),
    )  # fmt: skip


def _bodies(job: Job, items: Index, *, formed: Column) -> Body:
    """Return lifts as bodies at their placing."""
    lifts, mixes = job.table("Lifts"), job.table("Mixes")
    mix = lay_out(job).mix[items]
    stripped = lifts.number("stripped")[items]
    density = mixes.number("unit_weight")[mix] * 1000.0 / GRAVITY
    return Body(
        height=lifts.number("height")[items],
        conductivity=mixes.number("conductivity")[mix],
        capacity=density * mixes.number("specific_heat")[mix] / 3.6,
        rise=mixes.number("adiabatic_rise")[mix], hydration_time=mixes.number("hydration_time")[mix],
        shape=mixes.number("hydration_shape")[mix], activation=mixes.number("activation_temperature")[mix],
        reference=mixes.number("reference_temperature")[mix], formed=formed,
        # a lift without an hour of stripping is taken to be bare from the start, which is the cold side
        bared=np.where(np.isnan(stripped), -np.inf, stripped),
        age=np.zeros(items.size), temperature=lifts.number("concrete_temperature")[items],
    )  # fmt: skip


def _corner(job: Job, start: Column, items: Index, wait: float) -> Corner:
    """Return the lifts on ground as cold as air and placing temperature, or as the rock, that gives no heat."""
    lifts, units, anchors = (job.table(name) for name in ("Lifts", "Form units", "Anchor types"))
    layout, good = lay_out(job), computable(job)
    above = layout.above[items]
    last = above < 0
    later = np.where(last, items, above)
    on_top = np.where(good[later], later, items)  # a later lift whose own mix says too little has this lift's
    bare = np.full(items.size, job.number("Bare surface coefficient"))
    formed = {
        name: covered_film_coefficient(
            film_coefficient=bare, form_thickness=np.zeros(items.size), form_conductivity=np.ones(items.size),
            insulation_resistance=taken(units.number("form_insulation"), layout.unit[of]),
        )
        for name, of in (("own", items), ("later", on_top))
    }  # fmt: skip
    own, next_one = (
        _bodies(job, of, formed=formed[name]) for name, of in (("own", items), ("later", on_top))
    )
    next_one = replace(
        next_one, height=lifts.number("height")[later],
        temperature=lifts.number("concrete_temperature")[later], bared=next_one.bared + wait,
    )  # fmt: skip
    air, rock = lifts.number("air_temperature")[items], job.number("Rock temperature")
    on_rock = (layout.below[items] < 0) & ~np.isnan(rock)
    ground = replace(
        own, height=np.full(items.size, ROCK_DEPTH), rise=np.zeros(items.size), bared=np.full(items.size, -np.inf),
        temperature=np.where(on_rock, rock, np.minimum(air, own.temperature)),
    )  # fmt: skip
    later_air = lifts.number("air_temperature")[later]
    return Corner(
        start=start[items], depth=np.fmin(lifts.number("thickness")[items] / 2.0, DEEPEST), air=air,
        later_air=np.where(np.isnan(later_air), air, later_air), swing=lifts.number("air_swing")[items],
        sun=np.full(items.size, job.number("Sun on the surface")), bare=bare,
        next_hour=np.where(last | np.isnan(start[later]), np.inf, start[later] + wait),
        anchor_depth=units.number("anchor_depth")[layout.unit[later]],
        embedment=anchors.number("embedment")[layout.anchor[later]] / 1000.0,
        below=ground, own=own, above=next_one,
    )  # fmt: skip


def _on_older_lifts(job: Job, start: Column, corner: Corner, items: Index, hours: int) -> Corner:
    """Return the lifts on the lifts below them, as warm and as old as those are when built upon."""
    layout, good = lay_out(job), computable(job)
    below = layout.below[items]
    rests = (below >= 0) & good[np.maximum(below, 0)]
    if not rests.any():
        return corner
    older, row = np.unique(below[rests], return_inverse=True)
    age, temperature = when_built_upon(_corner(job, start, older, 0.0), hours)
    found = np.zeros(items.size, dtype=bool)
    found[rests] = ~np.isnan(age[row, 0, 0])
    which = row.reshape(-1)[found[rests]]
    body = _bodies(job, older, formed=np.ones(older.size))
    known: dict[str, Matrix] = {}
    for field in fields(Body):
        given = getattr(corner.below, field.name)
        if field.name in ("age", "temperature"):
            given = np.broadcast_to(given[:, None, None], (items.size, *age.shape[1:])).copy()
            given[found] = (age if field.name == "age" else temperature)[which]
        elif field.name not in ("formed", "bared"):
            given = given.copy()
            given[found] = getattr(body, field.name)[which]
        known[field.name] = given
    return replace(corner, below=Body(**known))


def lift_heat(
    job: Job, start: Column, hours: int = LONGEST, *, only: int | None = None, wait: float = 0.0
) -> LiftHeat:
    """Return the temperatures of every lift that can be computed.

    Every lift is computed twice: first on ground that gives no heat, for the state in which it is built upon; then
    on the lift below it in that state.

    Parameters
    ----------
    start
        Hour from which each lift counts as placed. [h]
    hours
        Hours to compute; made even. [h]
    only
        The one lift to compute; all if none is given.
    wait
        By how much later than planned the next lift comes. [h]
    """
    items = np.flatnonzero(computable(job))
    if only is not None:
        items = items[items == only]
    hours = min(hours + hours % 2, LONGEST)
    if not items.size:
        return _none(hours)
    corner = _on_older_lifts(job, start, _corner(job, start, items, wait), items, hours)
    found = corner_heat(corner, hours)
    return LiftHeat(items, start[items], *(getattr(found, name) for name in (*PLACES, "error", "imbalance")))


def heat_of(job: Job, start: Column) -> LiftHeat:
    """Return the temperatures where they are asked for, and no lift where not."""
    if asked(job):
        return lift_heat(job, start)
    return _none(LONGEST)


def laid_over(job: Job, found: LiftHeat, nodes: Matrix, source: Index) -> Matrix:
    """Write the computed temperature at the anchors over that of the cold model, and 3 as its source.

    The error of time stepping and the margin the job sets are taken off, but not further than down to the colder of
    the computed temperature and of the cold model.

    Returns
    -------
    Matrix
        Temperature at the top of the face of every lift, nowhere warmer than at the anchors; lifts by hours. [degC]
    """
    shared = min(found.anchor.shape[1], nodes.shape[1])
    margin = job.number("Margin on computed temperature")
    cold = nodes[found.lift, :shared]

    def safe(computed: Matrix, error: Matrix) -> Matrix:
        warm = (computed - error)[:, :shared]
        return np.asarray(np.maximum(warm - margin, np.minimum(warm, cold)))

    at_anchors, at_top = safe(found.anchor, found.error[0]), safe(found.top, found.error[4])
    nodes[found.lift, :shared] = at_anchors
    source[found.lift] = 3
    top = nodes.copy()
    top[found.lift, :shared] = np.minimum(at_anchors, at_top)
    return top


def grid_error(job: Job, start: Column, item: int) -> float:
    """Return how far the temperature at the anchors of one lift moves on a grid twice as fine; ``nan`` for lift -1. [K]."""
    if item < 0:
        return float("nan")
    items = np.array([item])
    corner = _corner(job, start, items, 0.0)
    coarse, fine = (corner_heat(corner, LONGEST, cells) for cells in (CELLS, CELLS.doubled()))
    return float(np.abs(coarse.anchor - fine.anchor).max())
