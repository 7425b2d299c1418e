"""Actions on a unit and their combinations: each action in full where it does harm, at its least where it helps."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields

import numpy as np

from sheetengine.clauses import aci347r_loads
from sheetengine.clauses.en12811 import uniform_load
from sheetengine.clauses.load_factors import EN_PARTIAL, LoadFactors
from sheetengine.clauses.unit_statics import bearing_force, equilibrium_residual, row_shear, row_tension
from sheetengine.columns import Column, Flags, Texts, taken, texts
from sheetengine.design.faces import Seats, face_loads, seats
from sheetengine.design.fill_levels import worst_level
from sheetengine.design.layout import Index, Layout
from sheetengine.design.pressure import STANDARD_GRAVITY, Pressures
from sheetengine.design.projections import Projections, order_words, projections, worst_part
from sheetengine.design.stages import (
    FILLED,
    HUNG,
    PLACING,
    PROJECTION,
    SET_BACK,
    STAGE_NAMES,
    STANDING,
    Cases,
    platform_offset,
    wind_pressure,
)
from sheetengine.job import Job

TENSION, SHEAR_DOWN, SHEAR_UP, PULL_AND_DOWN, PULL_AND_UP, LOWER = range(6)
TARGET_NAMES = (
    "greatest tension",
    "greatest shear down the face",
    "greatest shear up the face",
    "tension with shear down the face",
    "tension with shear up the face",
    "greatest pull of the lower row",
)
TARGETS = np.array([(1, 0, 0), (0, 1, 0), (0, -1, 0), (1, 1, 0), (1, -1, 0), (0, 0, -1)], dtype=np.float64)
"""What each combination makes greatest, as weights on tension, shear down the face and foot force."""


@dataclass(frozen=True, slots=True)
class Load:
    """A load on a metre of face: outward, upward, and its moment about the joint. [kN/m], [kN*m/m]."""

    outward: Column
    upward: Column
    moment: Column

    def times(self, factor: Column | float) -> Load:
        """Return the load times a factor."""
        return Load(self.outward * factor, self.upward * factor, self.moment * factor)

    def plus(self, other: Load) -> Load:
        """Return this load and another."""
        return Load(self.outward + other.outward, self.upward + other.upward, self.moment + other.moment)

    def at(self, rows: Index) -> Load:
        """Return the load at some rows."""
        return Load(self.outward[rows], self.upward[rows], self.moment[rows])


def weight_at(weight: Column, distance: Column) -> Load:
    """Return a weight at a distance out from the joint."""
    return Load(np.zeros_like(weight), -weight, weight * distance)


@dataclass(frozen=True, slots=True)
class Forces:
    """Forces of each case on a metre of face. [kN/m].

    ``tension`` and ``shear`` are design values, ``service_tension`` and ``service_shear`` unfactored; shear
    is positive down the face. ``foot`` goes with them, ``least_foot`` is the least foot force of the stage.
    ``combination`` says in words what they are the greatest of, ``residual`` what equilibrium leaves over;
    ``target`` is the row of :data:`TARGETS`, ``level`` how high the lift is filled. [m]
    """

    tension: Column
    shear: Column
    foot: Column
    least_foot: Column
    service_tension: Column
    service_shear: Column
    residual: Column
    combination: Texts
    target: Index
    level: Column

    def at(self, rows: Index) -> Forces:
        """Return the forces at some rows."""
        return Forces(*(getattr(self, field.name)[rows] for field in fields(self)))


@dataclass(frozen=True, slots=True)
class Combined:
    """Forces of every combination tried, and the case that each belongs to; ``uplift`` by case. [kN/m]."""

    forces: Forces
    case: Index
    uplift: Column

    def of(self, cases: Index) -> Combined:
        """Return the combinations of some cases, numbered by their places among these."""
        begin, end = (np.searchsorted(self.case, cases, side=side) for side in ("left", "right"))
        count = end - begin
        case = np.repeat(np.arange(cases.size, dtype=np.int64), count)
        rows = np.arange(case.size) + np.repeat(begin - np.r_[0, np.cumsum(count)[:-1]], count)
        return Combined(self.forces.at(rows), case, self.uplift[cases])


@dataclass(frozen=True, slots=True)
class Actions:
    """Actions of every case at service level.

    ``concrete`` gives the load on some cases filled to a level, ``height`` and ``full_head`` are those of their
    lifts; ``lateral`` are alternatives that may push either way.
    """

    weight: Load
    people: Load
    concrete: Callable[[Index, Column], Load]
    height: Column
    full_head: Column
    lateral: tuple[Load, Load]
    projection: Projections
    juts: Flags


def reactions(seat: Seats, load: Load, rows: Index) -> tuple[Column, Column, Column]:
    """Return tension, shear down the face and foot force under a load on some cases."""
    foot = bearing_force(
        outward_force=load.outward, upward_force=load.upward, tipping_moment=load.moment,
        anchor_depth=seat.anchor_depth[rows], carrier_inclination=seat.carrier_inclination[rows],
        foot_out=seat.foot_out[rows], foot_level=seat.foot_level[rows],
        foot_inclination=seat.foot_inclination[rows],
    )  # fmt: skip
    along = {
        "outward_force": load.outward, "upward_force": load.upward, "foot_bearing": foot,
        "carrier_inclination": seat.carrier_inclination[rows],
        "foot_inclination": seat.foot_inclination[rows],
    }  # fmt: skip
    return row_tension(**along), row_shear(**along), foot


def least_lateral(job: Job) -> bool:
    """Return whether the least lateral load of ACI 347R acts: as the job says, else with the bases of ACI."""
    said = job.text("Least lateral load")
    return said == "ACI 347R" or (said != "none" and job.text("Safety basis") != EN_PARTIAL)


def actions(job: Job, layout: Layout, found: Cases, seat: Seats, pressure: Pressures) -> Actions:
    """Return the actions of every case at service level."""
    units = job.table("Form units")
    unit, stage = layout.unit[found.holder], found.stage

    def of_unit(key: str) -> Column:
        return taken(units.number(key), unit)

    moved = (stage == SET_BACK) | (stage == HUNG)
    travel = np.where(moved, of_unit("set_back_travel"), 0.0)
    weight = of_unit("mass") * STANDARD_GRAVITY / 1000.0 / of_unit("width")
    live = uniform_load(platform_class=of_unit("platform_class")) * of_unit("platform_width")
    live = np.where(of_unit("platform_width") > 0.0, live, 0.0) * (stage != STANDING)
    filled = np.isin(stage, FILLED)

    def concrete(case: Index, level: Column) -> Load:
        face = face_loads(job, layout, pressure, found.holder[case], level)
        acts = filled[case]
        return Load(
            *(np.where(acts, part, 0.0) for part in (face.outward, -face.downward, face.moment)),
        )

    lean, panel = np.radians(seat.inclination), of_unit("panel_height")
    wind = wind_pressure(job, layout, found) * panel
    on_panel = Load(wind * np.cos(lean), -wind * np.sin(lean), wind * (panel / 2.0 + np.sin(lean) * travel))
    top = np.zeros_like(panel)
    if least_lateral(job):
        rule = aci347r_loads.NUMBERS["si"]
        height, one = panel * np.cos(lean), np.ones_like(panel)
        top = aci347r_loads.least_lateral_load(
            form_height=height, line_load=rule["line_load"] * one, wind_pressure=rule["wind_pressure"] * one
        )
        top = np.where(moved, 0.0, top)
    at_top = Load(top, np.zeros_like(top), top * panel * np.cos(lean))
    jutting = projections(job, layout)
    return Actions(
        weight=weight_at(weight, of_unit("mass_offset") + travel),
        people=weight_at(live, taken(platform_offset(job), unit)),
        concrete=concrete,
        height=job.table("Lifts").number("height")[found.holder],
        full_head=(pressure.maximum / taken(job.table("Mixes").number("unit_weight"), layout.mix))[
            found.holder
        ],
        lateral=(on_panel, at_top),
        projection=Projections(*(getattr(jutting, f.name)[found.holder] for f in fields(jutting))),
        juts=stage == PROJECTION,
    )


@dataclass(frozen=True, slots=True)
class _Sum:
    """Load at design and at service level, with the order in which a projection is filled and the level of filling."""

    design: Load
    service: Load
    order: Texts
    level: Column


def _combine(act: Actions, by: LoadFactors, seat: Seats, case: Index, target: Column) -> _Sum:
    """Return the combination that makes the target of each row greatest."""
    one, none = np.ones(case.size), np.zeros(case.size)

    def wanted(load: Load) -> Column:
        found = reactions(seat, load, case)
        return sum((target[:, place] * found[place] for place in range(3)), none)

    by_outward, by_upward = wanted(Load(one, none, none)), wanted(Load(none, one, none))
    by_moment = wanted(Load(none, none, one))

    def effect(load: Load) -> Column:
        return by_outward * load.outward + by_upward * load.upward + by_moment * load.moment

    weight, people = (load.at(case) for load in (act.weight, act.people))
    height, level = act.height[case], act.height[case]
    leaning = np.flatnonzero(seat.leans[case]).astype(np.int64)
    if leaning.size:  # on vertical faces more concrete never does less
        some, by_load = case[leaning], [by[leaning] for by in (by_outward, by_upward, by_moment)]

        def does(filled_to: Column) -> Column:
            load = act.concrete(some, filled_to)
            return by_load[0] * load.outward + by_load[1] * load.upward + by_load[2] * load.moment

        level = level.copy()
        level[leaning] = worst_level(does, height=act.height[some], full_head=act.full_head[some])
    concrete = act.concrete(case, level)
    heavy = np.where(effect(weight) >= 0.0, by.permanent_unfavourable, by.permanent_favourable)
    total, service = weight.times(heavy), weight
    for load, factor in ((people, by.variable), (concrete, by.fresh_concrete)):
        acts = np.where(effect(load) >= 0.0, 1.0, 0.0)
        acts = np.where(np.isnan(effect(load)), np.nan, acts)
        total, service = total.plus(load.times(factor * acts)), service.plus(load.times(acts))
    on_panel, at_top = (load.at(case) for load in act.lateral)
    least = np.abs(effect(at_top)) > np.abs(effect(on_panel))
    lateral = Load(
        *(np.where(least, getattr(at_top, f.name), getattr(on_panel, f.name)) for f in fields(Load))
    )
    lateral = lateral.times(np.where(effect(lateral) < 0.0, -1.0, 1.0))
    total, service = total.plus(lateral.times(by.wind)), service.plus(lateral)
    part = np.where((effect(concrete) > 0.0) & (level < height), level / height, 1.0)
    order = texts("" if share == 1.0 else f"filled to {share:.2f} of the height" for share in part.tolist())
    if act.juts[case].any():
        jutting = Projections(*(getattr(act.projection, f.name)[case] for f in fields(Projections)))
        begin, end = worst_part(reach=jutting.reach, at_face=-by_upward, by_distance=by_moment)
        here = act.juts[case]
        for (force, moment), factor in (
            (jutting.part(begin, end), by.fresh_concrete),
            (jutting.working(begin, end), by.variable),
        ):
            load = Load(none, np.where(here, -force, 0.0), np.where(here, moment, 0.0))
            total, service = total.plus(load.times(factor)), service.plus(load)
        order = texts(
            "; ".join(text for text in (fill, order_words(reach, low, high) if juts else "") if text)
            for fill, reach, low, high, juts in zip(
                order.tolist(),
                jutting.reach.tolist(),
                begin.tolist(),
                end.tolist(),
                here.tolist(),
                strict=True,
            )
        )
    return _Sum(total, service, order, level)


def _trials(found: Cases, seat: Seats) -> tuple[Index, Index]:
    """Return case and target of every combination: one on vertical faces, every target of the row on others."""
    leaning = seat.leans & ~found.lower
    count = np.where(leaning, LOWER, 1)
    case = np.repeat(np.arange(found.lift.size, dtype=np.int64), count)
    within = np.arange(case.size, dtype=np.int64) - np.repeat(np.cumsum(count) - count, count)
    return case, np.where(found.lower[case], LOWER, within)


def forces(job: Job, layout: Layout, found: Cases, pressure: Pressures, factors: LoadFactors) -> Combined:
    """Return the forces of every combination of every case.

    On vertical faces one combination makes tension and shear greatest at once. On inclined faces five are
    tried, since shear may point to the free joint above, and what adds to the one may relieve the other; each
    with the level of filling that does most.
    The foot is proved at its least force, an anchored lower row at its greatest pull.
    """
    seat = seats(job, layout, found.holder, found.seat)
    act = actions(job, layout, found, seat, pressure)
    case, target = _trials(found, seat)
    summed = _combine(act, factors, seat, case, TARGETS[target])
    every = np.arange(found.lift.size, dtype=np.int64)

    def greatest(of: int) -> Column:
        load = _combine(act, factors, seat, every, np.broadcast_to(TARGETS[of], (every.size, 3))).design
        return sum((TARGETS[of][place] * value for place, value in enumerate(reactions(seat, load, every))),
                   np.zeros(every.size))  # fmt: skip

    least_foot = -greatest(LOWER)
    uplift = np.maximum(greatest(SHEAR_UP), 0.0) if seat.leans.any() else np.zeros(every.size)
    tension, shear, foot = reactions(seat, summed.design, case)
    pull, slide, press = reactions(seat, summed.service, case)
    residual = equilibrium_residual(
        outward_force=summed.design.outward, upward_force=summed.design.upward,
        tipping_moment=summed.design.moment, tension_force=tension, face_shear=shear, foot_bearing=foot,
        anchor_depth=seat.anchor_depth[case], carrier_inclination=seat.carrier_inclination[case],
        foot_out=seat.foot_out[case], foot_level=seat.foot_level[case],
        foot_inclination=seat.foot_inclination[case],
    )  # fmt: skip
    lower = found.lower[case]
    words = texts(
        f"{TARGET_NAMES[name]}; {order}" if order else TARGET_NAMES[name]
        for name, order in zip(target.tolist(), summed.order.tolist(), strict=True)
    )
    return Combined(
        Forces(
            tension=np.where(lower, -foot, tension),
            shear=np.where(lower, np.where(np.isnan(foot), np.nan, 0.0), shear),
            foot=np.where(lower, np.maximum(foot, 0.0), foot),
            least_foot=np.minimum(least_foot[case], foot),
            service_tension=np.where(lower, -press, pull),
            service_shear=np.where(lower, 0.0, slide),
            residual=residual,
            combination=words,
            target=target,
            level=summed.level,
        ),
        case,
        np.where(found.lower, 0.0, uplift),
    )


def worst_of(ratio: Column, case: Index, count: int) -> Index:
    """Return, for each case, the combination with the greatest ratio; one that is not known comes first."""
    judged = np.where(np.isnan(ratio), np.inf, ratio)
    order = np.lexsort((np.arange(case.size), -judged, case))
    first: Index = order[np.searchsorted(case[order], np.arange(count))]
    return first


def greatest_by_case(values: Column, case: Index, count: int) -> Column:
    """Return the greatest value of the combinations of each case; ``nan`` stays.

    >>> greatest_by_case(np.array([1.0, 3.0, np.nan, 2.0]), np.array([0, 0, 1, 1]), 2)
    array([ 3., nan])
    """
    found = np.full(count, -np.inf)
    with np.errstate(invalid="ignore"):
        np.maximum.at(found, case, values)
    return found


ActsIn = Mapping[str, Callable[[int], bool]]
ACTS_IN: ActsIn = {
    "self weight": lambda _: True,
    "people": lambda stage: stage != STANDING,
    "fresh concrete": lambda stage: stage in FILLED,
    "projection and work on it": lambda stage: stage == PROJECTION,
    "wind either way": lambda _: True,
}
"""In which stages each action acts."""


def combination_lines(job: Job, found: Cases, by: LoadFactors) -> list[tuple[str, str]]:
    """Return, for the run record, the actions of every stage that occurs with the factors of the safety basis.

    The first factor counts where the action adds to the force that is looked for, the second where it relieves it.
    """
    pairs = {
        "self weight": f"{by.permanent_unfavourable:g} / {by.permanent_favourable:g}",
        "people": f"{by.variable:g} / 0",
        "fresh concrete": f"{by.fresh_concrete:g} / 0",
        "projection and work on it": f"concrete {by.fresh_concrete:g} / 0, work {by.variable:g} / 0",
        "wind either way": f"{by.wind:g}",
    }
    lines = []
    least = least_lateral(job)
    for stage in (PLACING, PROJECTION, STANDING, SET_BACK, HUNG):
        if not (found.stage == stage).any():
            continue
        told = [f"{name} {pairs[name]}" for name, acts in ACTS_IN.items() if acts(stage)]
        if least and stage in (PLACING, PROJECTION, STANDING):
            told.append(
                f"or, where it does more, the least lateral load of ACI 347R-14 at the top of the form {by.wind:g}"
            )
        lines.append((f"Combinations, {STAGE_NAMES[stage]}", "; ".join(told) + "."))
    lines.append(
        ("Combinations", "The first factor counts where an action adds to the force that is looked for, the second where it "
         "relieves it. Looked for are the " + ", ".join(TARGET_NAMES[:5]) + " (the last four on inclined faces), the least foot "
         "force and, where it is anchored, the " + TARGET_NAMES[LOWER] + f". {by.source} ({by.source.known.value})"))  # fmt: skip
    return lines
