"""What fails first in each lift when one thing goes wrong: an anchor lost, a faster rise, cold, weak concrete, full head."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from sheetengine.columns import Column, Texts, texts
from sheetengine.design.anchor_demand import anchor_demand, worst_combinations
from sheetengine.design.anchor_survey import LAYOUT, all_planned
from sheetengine.design.as_built import with_anchors
from sheetengine.design.combinations import forces
from sheetengine.design.copies import repeated, with_column, with_rows
from sheetengine.design.gate_requirements import guarded_gates
from sheetengine.design.layout import Index, Layout, anchor_spots
from sheetengine.design.pressure import Pressures, pressures
from sheetengine.design.readiness import GATE_NAMES, Gates, StrengthHistory, strength_history
from sheetengine.design.strongbacks import strongbacks
from sheetengine.design.temperatures import temperatures
from sheetengine.job import Job

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation

PLANNED, LOST, FASTER, COLDER, WEAKER, FULL = (
    "As planned", "One anchor lost", "Faster rise", "Colder", "Weaker concrete", "Full head",
)  # fmt: skip
SCENARIOS = (PLANNED, LOST, FASTER, COLDER, WEAKER, FULL)
NOTHING = "nothing is known"


@dataclass(frozen=True, slots=True)
class Robustness:
    """Lifts by scenarios, in the order of :data:`SCENARIOS`.

    Attributes
    ----------
    ratio
        Greatest ratio of panel, strongbacks, anchors at every stage, and gates (strength asked over strength at the planned
        hour); ``nan`` where nothing is known. [-]
    first
        What has that ratio: it fails first.
    """

    ratio: NDArray[np.float64]
    first: NDArray[np.object_]


@dataclass(frozen=True, slots=True)
class _Outcome:
    """What counts in a scenario: panel and strongbacks by lift, anchors by case, gates."""

    panel: Column
    strongback: Column
    anchors: Column
    governing: Texts
    gates: Column


def _gate_use(gates: Gates, share: float = 1.0) -> Column:
    """Return the strength asked over that at the planned hour; ``nan`` where no hour is planned."""
    with np.errstate(divide="ignore", invalid="ignore"):
        use = gates.required / (gates.predicted * share)
    return np.where(np.isnan(gates.planned), np.nan, use)


def _otherwise(c: Calculation, job: Job, layout: Layout, history: StrengthHistory) -> _Outcome:
    """Return the outcome of a changed job, layout or history of the strength; the planned hours stay."""
    pressure = pressures(job, layout)
    combined = forces(job, layout, c.cases, pressure, c.factors)
    strength = history.strength(c.cases.carrier, c.cases.hour)
    tried = anchor_demand(
        job, layout, c.cases.at(combined.case), c.spots, combined.forces, strength[combined.case]
    )
    demand = worst_combinations(tried, combined.case, c.cases.lift.size)[0]
    gates = guarded_gates(job, layout, c.cases, demand, history, withheld=c.withheld, lifts_off=c.foot_lifts)
    return _Outcome(
        pressure.panel_ratio, strongbacks(job, layout, pressure, c.too_steep).ratio, demand.ratio, demand.governing,
        _gate_use(gates),
    )  # fmt: skip


def _planned(c: Calculation) -> _Outcome:
    return _Outcome(
        c.pressure.panel_ratio, c.strongbacks.ratio, c.demand.ratio, c.demand.governing, _gate_use(c.gates)
    )


def _faster(c: Calculation) -> _Outcome:
    """Return the outcome of a faster rise; the hours at which concrete reaches the anchors stay."""
    share = 1.0 + c.job.number("Faster rise tried") / 100.0
    return _otherwise(c, c.job, replace(c.layout, rise=c.layout.rise * share), c.history)


def _full(c: Calculation) -> _Outcome:
    """Return the outcome of concrete that does not set while it is placed."""
    denied = np.zeros(len(c.job.table("Mixes")))
    return _otherwise(c, with_column(c.job, "Mixes", set_confirmed=denied), c.layout, c.history)


def _colder(c: Calculation) -> _Outcome:
    """Return the outcome of concrete and air colder alike: pressure and strength both feel it. Logged readings stay."""
    step = c.job.number("Colder tried")
    lifts = c.job.table("Lifts")
    job = with_column(c.job, "Lifts", concrete_temperature=lifts.number("concrete_temperature") - step)
    table = replace(
        job.table("Lifts"),
        numbers={**job.table("Lifts").numbers, "air_temperature": lifts.number("air_temperature") - step},
    )
    job = replace(job, tables={**job.tables, "Lifts": table})
    hours = c.temperature.nodes.shape[1] - 1
    history = strength_history(
        job, c.layout, c.curves, temperatures(job, c.layout, hours, c.temperature.readings)
    )
    return _otherwise(c, job, c.layout, history)


def _weaker(c: Calculation) -> _Outcome:
    """Return the outcome of concrete that has less strength at every hour."""
    share = 1.0 - c.job.number("Weaker concrete tried") / 100.0
    combined = c.proof.loads
    strength = c.proof.strength * share
    tried = anchor_demand(
        c.job, c.layout, c.cases.at(combined.case), c.spots, combined.forces, strength[combined.case], with_required=False
    )  # fmt: skip
    demand = worst_combinations(tried, combined.case, c.cases.lift.size)[0]
    return _Outcome(
        c.pressure.panel_ratio, c.strongbacks.ratio, demand.ratio, demand.governing, _gate_use(c.gates, share)
    )


def _without_one(job: Job, layout: Layout, holders: Index) -> tuple[Job, Layout, Index, Index]:
    """Return a job in which copies of some lifts have each one anchor less, the copies, and the lift of each.

    Left out are, one at a time, the anchor beside the outermost on either end, the outermost one, and the one in the middle.
    """
    lines: list[tuple[int, float, float]] = []
    owners: list[int] = []
    for holder, (position, depth) in all_planned(job, layout, holders.tolist()).items():
        last = position.size - 1
        for out in sorted({0, 1, last // 2, max(last - 1, 0), last}):
            lines += [
                (len(owners), float(position[place]), float(depth[place]))
                for place in range(position.size)
                if place != out
            ]
            owners.append(holder)
    own = np.array(owners, dtype=np.int64)
    unlisted = replace(job, tables={**job.tables, LAYOUT: with_rows(job.table(LAYOUT), own[:0])})
    wide, wider, copies = repeated(unlisted, layout, own)
    copy, position, depth = (np.array(column) for column in zip(*lines, strict=True))
    return with_anchors(wide, own[:0], copies[copy], position, depth), wider, copies, own


def _lost(c: Calculation) -> _Outcome:
    """Return the outcome with one anchor of each row lost: its neighbours carry what it carried."""
    ratio, required = c.demand.ratio.copy(), c.demand.required.copy()
    governing = np.array(c.demand.governing, dtype=object)
    rows = np.flatnonzero(~c.cases.lower & ~c.withheld)
    holders = np.unique(c.cases.holder[rows])
    alone = holders[c.layout.anchors[holders] <= 1.0]
    bare = rows[np.isin(c.cases.holder[rows], alone)]
    ratio[bare], required[bare], governing[bare] = np.inf, np.inf, "no anchor left"
    rows, holders = rows[~np.isin(c.cases.holder[rows], alone)], np.setdiff1d(holders, alone)
    if rows.size:
        job, layout, copies, own = _without_one(c.job, c.layout, holders)
        first = np.searchsorted(own, c.cases.holder[rows])
        many = np.searchsorted(own, c.cases.holder[rows], side="right") - first
        case = np.repeat(rows, many)
        start = np.repeat(first - np.r_[0, np.cumsum(many)[:-1]], many)
        copy = copies[np.arange(case.size) + start]
        combined = forces(
            job,
            layout,
            replace(c.cases.at(case), holder=copy),
            _copied_pressure(c, copies, own, job),
            c.factors,
        )
        cases = replace(c.cases.at(case), holder=copy).at(combined.case)
        tried = anchor_demand(
            job,
            layout,
            cases,
            anchor_spots(job, layout),
            combined.forces,
            c.proof.strength[case][combined.case],
        )
        demand = worst_combinations(tried, combined.case, case.size)[0]
        judged = np.where(np.isnan(demand.ratio), np.inf, demand.ratio)
        order = np.lexsort((-judged, case))
        worst = order[np.searchsorted(case[order], rows)]
        ratio[rows], governing[rows] = demand.ratio[worst], demand.governing[worst]
        with np.errstate(invalid="ignore"):
            np.maximum.at(required, case, demand.required)  # keeps nan
    demand = replace(c.demand, ratio=ratio, required=required, governing=texts(governing))
    gates = guarded_gates(
        c.job, c.layout, c.cases, demand, c.history, withheld=c.withheld, lifts_off=c.foot_lifts
    )
    return _Outcome(c.pressure.panel_ratio, c.strongbacks.ratio, ratio, demand.governing, _gate_use(gates))


def _copied_pressure(c: Calculation, copies: Index, own: Index, job: Job) -> Pressures:
    """Return the pressure as planned, with entries for copies of lifts."""
    count = len(job.table("Lifts"))
    every = np.r_[np.arange(count - copies.size, dtype=np.int64), own]
    p = c.pressure
    names = ("maximum", "governed_by", "full_head_depth", "resultant", "resultant_height", "greatest_rise", "outside",
             "panel_ratio", "by_layer")  # fmt: skip
    return replace(p, **{name: getattr(p, name)[every] for name in names})


def robustness(c: Calculation) -> Robustness:
    """Return, for every lift, what fails first as planned and in every scenario, all else as planned."""
    count = len(c.job.table("Lifts"))
    outcomes = (_planned, _lost, _faster, _colder, _weaker, _full)
    ratio = np.full((count, len(SCENARIOS)), np.nan)
    first = np.full((count, len(SCENARIOS)), NOTHING, dtype=object)
    for place, find in enumerate(outcomes):
        ratio[:, place], first[:, place] = _worst(c, find(c))
    return Robustness(ratio, first)


def _worst(c: Calculation, found: _Outcome) -> tuple[Column, Texts]:
    """Return the greatest ratio of every lift, and what has it."""
    count = len(c.job.table("Lifts"))
    stages = c.cases.names()
    parts: list[tuple[Index, Column, Texts]] = [
        (np.arange(count, dtype=np.int64), found.panel, texts(["Panel"] * count)),
        (np.arange(count, dtype=np.int64), found.strongback, texts(["Strongbacks"] * count)),
        (c.cases.lift, np.where(c.withheld, np.nan, found.anchors),
         texts(f"Anchors, {stage}: {mode}" for stage, mode in zip(stages.tolist(), found.governing.tolist(), strict=True))),
        (c.gates.lift, found.gates, texts(f"Gate {GATE_NAMES[gate]}" for gate in c.gates.gate.tolist())),
    ]  # fmt: skip
    lift = np.concatenate([part[0] for part in parts])
    value = np.concatenate([part[1] for part in parts])
    words = texts([word for part in parts for word in part[2].tolist()])
    known = np.flatnonzero(~np.isnan(value))
    order = known[np.lexsort((-value[known], lift[known]))]
    ratio, said = np.full(count, np.nan), np.full(count, NOTHING, dtype=object)
    at = np.searchsorted(lift[order], np.arange(count))
    has = (
        (at < order.size) & (lift[order][np.minimum(at, max(order.size - 1, 0))] == np.arange(count))
        if order.size
        else np.zeros(count, dtype=bool)
    )
    ratio[has], said[has] = value[order[at[has]]], words[order[at[has]]]
    return ratio, texts(said)
