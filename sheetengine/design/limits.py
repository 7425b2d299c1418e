"""The answers asked next: how fast, how high, how far apart, how deep, how old, for every lift and stage."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from sheetengine.clauses.load_factors import LoadFactors
from sheetengine.columns import Column, taken
from sheetengine.design.anchor_demand import anchor_demand
from sheetengine.design.combinations import Combined, forces
from sheetengine.design.copies import repeated, with_column, with_rows
from sheetengine.design.crossings import crossing
from sheetengine.design.layout import (
    AnchorSpots,
    Index,
    Layout,
    anchor_spots,
    end_distance,
    even_count,
    positions_by_lift,
)
from sheetengine.design.pressure import Pressures, pressures
from sheetengine.design.stages import FILLED, Cases
from sheetengine.job import Job

LEAST_RISE, GREATEST_RISE = 1e-3, 50.0
"""Rates of rise, in m/h, between which the greatest one is looked for."""
LEAST_HEIGHT = 0.01
"""Least height of a lift, in m, that is tried."""
LEAST_SPACING = 0.05
"""Least spacing of anchors, in m, that is tried."""
LEAST_EMBEDMENT, GREATEST_EMBEDMENT = 20.0, 1500.0
"""Embedments, in mm, between which the least one is looked for."""
STEPS_OF_EMBEDMENT = (60.0, 63.4999, 100.0, 160.0, 250.0, 279.4, 400.0, 500.0, 635.0, 800.0, 1100.0)
"""Embedments, in mm, at which the search takes stock; among them the ends of the laws of ACI 318-19 17.6.2.2 and 17.7.3.1."""
BLOW_OUT_REACH = (2.0, 2.5)
"""Embedment over edge distance from which blow-out is checked, EN 1992-4 7.2.1.8(1) and ACI 318-19 17.6.4.1."""


@dataclass(frozen=True)
class Proof:
    """What the anchors are proved with, so that one input can be changed and the proof repeated."""

    job: Job
    layout: Layout
    cases: Cases
    strength: Column
    factors: LoadFactors

    @cached_property
    def loads(self) -> Combined:
        """Return the forces as planned; neither the anchors nor their places change them."""
        return forces(self.job, self.layout, self.cases, pressures(self.job, self.layout), self.factors)

    @cached_property
    def spots(self) -> AnchorSpots:
        """Return the anchors as planned."""
        return anchor_spots(self.job, self.layout)

    def ratio(
        self,
        rows: Index,
        *,
        job: Job | None = None,
        layout: Layout | None = None,
        pressure: Pressures | None = None,
        spots: AnchorSpots | None = None,
        cases: Cases | None = None,
    ) -> Column:
        """Return the greatest ratio of the cases picked, with what is given changed and all else as planned.

        Hours and strengths stay as planned; so do the forces, unless a changed ``pressure`` is given.
        """
        job, layout = job or self.job, layout or self.layout
        some = (cases or self.cases).at(rows)
        loads = forces(job, layout, some, pressure, self.factors) if pressure else self.loads.of(rows)
        demand = anchor_demand(
            job, layout, some, spots or self.spots, loads, self.strength[rows], with_required=False
        )
        return demand.ratio

    def apart(self) -> Proof:
        """Return a proof in which every case has lifts and units of its own."""
        job, layout, copies = repeated(self.job, self.layout, self.cases.holder)
        return Proof(job, layout, replace(self.cases, holder=copies), self.strength, self.factors)

    @cached_property
    def limits(self) -> Limits:
        """Return the limits of every case, found when they are first asked for."""
        return limits(self)


@dataclass(frozen=True, slots=True)
class Limits:
    """One entry a case: the value of one input at which its greatest ratio is just 1, all else as planned.

    Attributes
    ----------
    rise, height
        Greatest rate of rise and greatest height of the lift; ``inf``: any (up to the panel's height), 0:
        none; ``nan`` at stages that the pressure does not load. [m/h], [m]
    spacing
        Greatest anchor spacing; the width of a unit where that is not too far; 0: none; ``nan`` where the
        positions are listed. [m]
    embedment
        Least embedment; ``inf``: none up to the thickness behind the face is enough. [mm]
    spacing_anchors
        Number of anchors that hold the face at that spacing.
    """

    rise: Column
    height: Column
    spacing: Column
    spacing_anchors: Column
    embedment: Column


Trial = Callable[[Column, Index], Column]
"""Returns the ratio of the cases picked, with one value for each row of ``Lifts``."""


class _Search:
    """Repeats the proof of some cases, each with a value of its own."""

    def __init__(self, proof: Proof, rows: Index, trial: Trial) -> None:
        self.rows, self.trial = rows, trial
        self.holder = proof.cases.holder[rows]
        self.count = len(proof.job.table("Lifts"))

    def excess(self, value: Column, picked: Index) -> Column:
        """Return the ratio less 1 of the picked cases at one value for each."""
        by_lift = np.ones(self.count)
        by_lift[self.holder[picked]] = value
        with np.errstate(all="ignore"):
            return np.asarray(self.trial(by_lift, self.rows[picked]) - 1.0)

    def greatest(self, low: Column, high: Column) -> Column:
        """Return the greatest value that keeps the limit: ``inf`` where ``high`` does, 0 where ``low`` does not."""
        every = np.arange(self.rows.size, dtype=np.int64)
        at_low, at_high = self.excess(low, every), self.excess(high, every)
        found = np.where(at_high <= 0.0, np.inf, 0.0)
        found = np.where(np.isnan(at_low) | np.isnan(at_high), np.nan, found)
        between = np.flatnonzero((at_low <= 0.0) & (at_high > 0.0))
        found[between] = crossing(self.excess, low[between], high[between], between)
        return found


def _rise(proof: Proof, rows: Index) -> Column:
    def trial(value: Column, picked: Index) -> Column:
        layout = replace(proof.layout, rise=value)
        return proof.ratio(picked, layout=layout, pressure=pressures(proof.job, layout))

    one = np.ones(rows.size)
    return _Search(proof, rows, trial).greatest(one * LEAST_RISE, one * GREATEST_RISE)


def _height(proof: Proof, rows: Index) -> Column:
    def trial(value: Column, picked: Index) -> Column:
        job = with_column(proof.job, "Lifts", height=value)
        return proof.ratio(picked, job=job, pressure=pressures(job, proof.layout))

    search = _Search(proof, rows, trial)
    panel = taken(proof.job.table("Form units").number("panel_height"), proof.layout.unit)
    return search.greatest(np.full(rows.size, LEAST_HEIGHT), panel[search.holder])


def _spacing(proof: Proof, rows: Index) -> tuple[Column, Column]:
    """Return the greatest spacing, and how many anchors it makes.

    The number of anchors steps down as the spacing grows. At the least spacing of each number the anchors
    stand exactly that far apart; there the ratio grows with the spacing. So the number is found by halving,
    then the spacing within the steps of that number.
    """
    lifts = proof.job.table("Lifts")
    length, fixed = lifts.number("face_length"), lifts.given["end_distance"]
    width = taken(proof.job.table("Form units").number("width"), proof.layout.unit)

    def trial(value: Column, picked: Index) -> Column:
        job = with_column(proof.job, "Lifts", anchor_spacing=value)
        anchors = even_count(face_length=length, spacing=value, end=end_distance(job))
        layout = replace(proof.layout, anchors=anchors)
        return proof.ratio(picked, job=job, layout=layout, spots=anchor_spots(job, layout))

    search = _Search(proof, rows, trial)
    holder = search.holder
    run = np.where(fixed, length - 2.0 * lifts.number("end_distance"), length)[holder]
    less = np.where(fixed[holder], 1.0, 0.0)
    widest: Column = np.minimum(width[holder], length[holder])

    def least_of(number: Column) -> Column:
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.asarray(np.minimum(np.where(number > less, run / (number - less), np.inf), widest))

    def number_at(spacing: Column) -> Column:
        return np.asarray(np.maximum(np.ceil(run / spacing - 1e-6) + less, 1.0))

    every = np.arange(rows.size, dtype=np.int64)
    fewest, most = number_at(widest), number_at(np.full(rows.size, LEAST_SPACING))
    at_widest, at_closest = search.excess(widest, every), search.excess(least_of(most), every)
    known = ~np.isnan(at_widest) & ~np.isnan(at_closest)
    found = np.where(at_widest <= 0.0, widest, 0.0)
    found = np.where(known, found, np.nan)
    open_ = np.flatnonzero(known & (at_widest > 0.0) & (at_closest <= 0.0))
    low, high = fewest.copy(), most.copy()  # high keeps the limit
    while open_.size and bool(np.any(high[open_] > low[open_])):
        middle = np.floor((low + high) / 2.0)
        keeps = np.zeros(rows.size, dtype=bool)
        keeps[open_] = search.excess(least_of(middle)[open_], open_) <= 0.0
        high = np.where(keeps, middle, high)
        low = np.where(keeps, low, np.minimum(middle + 1.0, high))
    if open_.size:
        start = least_of(high)
        with np.errstate(divide="ignore", invalid="ignore"):
            end = np.where(high - 1.0 - less > 0.0, run / (high - 1.0 - less + 2e-6), np.inf)
        end = np.maximum(np.minimum(end, widest), start)
        at_end = search.excess(end[open_], open_)
        found[open_] = np.where(at_end <= 0.0, end[open_], start[open_])
        inside = open_[at_end > 0.0]
        found[inside] = crossing(search.excess, start[inside], end[inside], inside)
    numbers = np.where(found > 0.0, number_at(np.maximum(found, LEAST_SPACING)), np.nan)
    return found, numbers


def _embedment(proof: Proof, rows: Index) -> Column:
    """Return the least embedment.

    The ratio falls with it but for steps up, where blow-out begins to be checked and where a deeper anchor
    has another law. So the span is searched piece by piece from the least embedment on, with ends at the
    steps that are known, at the planned embedment, and at depths between them; the least embedment of the
    first piece that ends within the limit is returned.
    """
    job, layout = proof.job, proof.layout
    lifts, types = job.table("Lifts"), job.table("Anchor types")
    # every case has an anchor type of its own, and every holder, which is a copy, one case
    count = proof.cases.lift.size
    own = replace(job, tables={**job.tables, "Anchor types": with_rows(types, proof.cases.anchor)})
    kind = np.zeros(len(lifts), dtype=np.int64)
    kind[proof.cases.holder] = np.arange(count)
    alone = replace(layout, anchor=kind)
    cases = replace(proof.cases, anchor=np.arange(count, dtype=np.int64))

    def trial(value: Column, picked: Index) -> Column:
        deeper = with_column(own, "Anchor types", embedment=value[cases.holder])
        return proof.ratio(picked, job=deeper, layout=alone, cases=cases)

    search = _Search(proof, rows, trial)
    holder, carrier = search.holder, proof.cases.carrier[rows]
    behind = lifts.number("thickness")[np.where(carrier >= 0, carrier, holder)] * 1000.0
    deepest = np.minimum(np.nextafter(behind, 0.0), GREATEST_EMBEDMENT)
    reach = BLOW_OUT_REACH[0] if job.text("Anchor method").startswith("EN") else BLOW_OUT_REACH[1]
    depth = taken(job.table("Form units").number("anchor_depth"), layout.unit)[holder] * 1000.0
    end = end_distance(job)[holder] * 1000.0
    low = np.minimum(LEAST_EMBEDMENT, deepest)
    planned = types.number("embedment")[proof.cases.anchor[rows]]
    between = [np.full(rows.size, step) for step in STEPS_OF_EMBEDMENT]
    steps = np.sort(np.clip(np.stack([reach * depth, reach * end, planned, *between]), low, deepest), axis=0)
    every = np.arange(rows.size, dtype=np.int64)
    found = np.full(rows.size, np.inf)
    start = low
    at_start = search.excess(start, every)
    found = np.where(np.isnan(at_start), np.nan, np.where(at_start <= 0.0, start, found))
    for stop in (*steps, deepest):
        seek = np.flatnonzero(np.isinf(found) & (stop > start))
        at_stop = np.full(rows.size, np.nan)
        at_stop[seek] = search.excess(stop[seek], seek)
        inside = seek[at_stop[seek] <= 0.0]
        found[inside] = crossing(search.excess, stop[inside], start[inside], inside)
        start = np.maximum(start, np.nextafter(stop, np.inf))
    return found


def limits(proof: Proof) -> Limits:
    """Return, for every case, how far each input may go with every ratio of the case at most 1.

    Hours and strengths stay as planned, and so do all other inputs. Rates beyond the pressure method's scope
    count with the full head.
    """
    count = proof.cases.lift.size
    rise, height, spacing, numbers = (np.full(count, np.nan) for _ in range(4))
    listed = np.zeros(len(proof.job.table("Lifts")), dtype=bool)
    listed[positions_by_lift(proof.job)[0]] = True
    pressed = np.flatnonzero(np.isin(proof.cases.stage, FILLED)).astype(np.int64)
    spaced = np.flatnonzero(~listed[proof.cases.holder]).astype(np.int64)
    apart = proof.apart()
    if pressed.size:
        rise[pressed], height[pressed] = _rise(apart, pressed), _height(apart, pressed)
    if spaced.size:
        spacing[spaced], numbers[spaced] = _spacing(apart, spaced)
    embedment = _embedment(apart, np.arange(count, dtype=np.int64))
    return Limits(rise, height, spacing, numbers, embedment)
