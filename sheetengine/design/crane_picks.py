"""Crane picks: load on the hook against the crane at its radius, lifting points, and the wind to stop at."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from sheetengine.clauses.crane_pick import (
    DYNAMIC_FACTOR,
    DYNAMIC_SOURCE,
    PLATE_COEFFICIENT,
    greatest_pick_wind,
    hoisting_factor,
    hook_load,
)
from sheetengine.clauses.record import record_of
from sheetengine.clauses.working_wind import velocity_pressure
from sheetengine.columns import Column, Flags, Texts, taken, texts
from sheetengine.design.layout import Index, Layout
from sheetengine.design.verdicts import EXCEEDS, verdicts
from sheetengine.job import Job

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation

STAGE = "Crane pick"
BY_CRANE, BY_POINTS = "Crane", "Lifting points"


@dataclass(frozen=True, slots=True)
class CranePicks:
    """One entry a lift whose units are checked on the hook.

    Attributes
    ----------
    lift
        Row of the lift.
    has_crane, has_points
        Whether a crane is named, and whether the unit states a lifting capacity.
    mass, load
        Mass [kg] and load [kN] on the hook, dynamic factor in the load.
    capacity
        Of the crane at the radius; ``nan`` without a crane or outside its table. [kN]
    point_load
        Of one unit on its lifting points, with the dynamic factor. [kN]
    crane_ratio, point_ratio, ratio
        Load over capacity, of crane, of lifting points, and the greater of those that are checked. [-]
    outside
        Rows whose radius lies outside the crane's table.
    area
        Area that the units turn to the wind. [m2]
    wind, wind_pressure
        Greatest wind of the pick, as speed [m/s] and as velocity pressure [kPa].
    governing, verdict
        What gives the ratio, and how it is judged.
    """

    lift: Index
    has_crane: Flags
    has_points: Flags
    mass: Column
    load: Column
    capacity: Column
    point_load: Column
    crane_ratio: Column
    point_ratio: Column
    ratio: Column
    outside: Flags
    area: Column
    wind: Column
    wind_pressure: Column
    governing: Texts
    verdict: Texts


def dynamic_factor(job: Job) -> tuple[float, str]:
    """Return the factor on the weight and where it comes from: given, by the crane's class, or the usual one."""
    if job.items["Hook dynamic factor"].given:
        return job.number("Hook dynamic factor"), "given"
    name = job.text("Hoisting class")
    if name:
        speed = job.number("Hoisting speed")
        found = hoisting_factor(hoisting_class=np.array([name]), hoisting_speed=np.array([speed]))
        return float(found[0]), f"{name} at {speed:.3g} m/s, {record_of(hoisting_factor).source}"
    return DYNAMIC_FACTOR, f"{DYNAMIC_SOURCE} ({DYNAMIC_SOURCE.known.value})"


def crane_names(job: Job) -> list[str]:
    """Return the names of the cranes, letter case folded, in the order in which they first appear."""
    return list(dict.fromkeys(str(name).casefold() for name in job.table("Cranes").label("crane")))


def chart_of(job: Job, name: str) -> tuple[Column, Column]:
    """Return radii [m] and capacities [kg] of a crane, from the smallest radius outwards."""
    cranes = job.table("Cranes")
    own = np.array([str(each).casefold() == name for each in cranes.label("crane")], dtype=bool)
    order = np.argsort(cranes.number("radius")[own], kind="stable")
    return cranes.number("radius")[own][order], cranes.number("capacity")[own][order]


def capacity_at(job: Job, crane: Texts, radius: Column) -> Column:
    """Return the capacity of each pick's crane, straight between two radii, ``nan`` outside them, in kg."""
    capacity = np.full(radius.shape, np.nan)
    folded = np.array([str(name).casefold() for name in crane], dtype=object)
    for name in crane_names(job):
        radii, capacities = chart_of(job, name)
        found = np.interp(radius, radii, capacities, left=np.nan, right=np.nan)
        capacity = np.where(folded == name, found, capacity)
    return capacity


def crane_picks(job: Job, layout: Layout) -> CranePicks:
    """Return the picks of every lift that names a crane or whose unit states a lifting capacity.

    The lifting points of each unit carry its own weight; the hook carries all units of the pick and the
    rigging. The dynamic factor is on both, and none is taken off for what a crane's chart may allow already.
    The wind counts the mass of the units alone, and their full area.
    """
    lifts, units = job.table("Lifts"), job.table("Form units")
    named = np.asarray(lifts.label("crane") != "", dtype=bool)
    rated = ~np.isnan(taken(units.number("lifting_capacity"), layout.unit))
    lift = np.flatnonzero(named | rated).astype(np.int64)
    unit = layout.unit[lift]
    has_crane, has_points = named[lift], rated[lift]
    count = lifts.number("units_per_pick")[lift]
    factor = np.full(lift.shape, dynamic_factor(job)[0])
    own = taken(units.number("mass"), unit)
    mass = count * own + job.number("Rigging mass")
    load = hook_load(lifted_mass=mass, dynamic_factor=factor)
    point_load = hook_load(lifted_mass=own, dynamic_factor=factor)
    chart = capacity_at(job, lifts.label("crane")[lift], lifts.number("pick_radius")[lift])
    capacity = hook_load(lifted_mass=chart, dynamic_factor=np.ones(lift.shape))
    crane_ratio = load / capacity
    point_ratio = point_load / taken(units.number("lifting_capacity"), unit)
    by_crane = np.where(has_crane, crane_ratio, -np.inf)
    by_points = np.where(has_points, point_ratio, -np.inf)
    ratio = np.maximum(by_crane, by_points)
    outside = has_crane & np.isnan(capacity)
    verdict = verdicts(ratio, job.number("Review threshold"), outside=outside)
    verdict[by_points > 1.0] = EXCEEDS
    area = count * taken(units.number("width"), unit) * taken(units.number("panel_height"), unit)
    with np.errstate(divide="ignore", invalid="ignore"):
        wind = greatest_pick_wind(
            crane_wind_speed=np.full(lift.shape, job.number("Crane wind limit")),
            lifted_mass=count * own,
            wind_area=area,
            force_coefficient=np.full(lift.shape, pick_coefficient(job)),
        )
    return CranePicks(
        lift=lift, has_crane=has_crane, has_points=has_points, mass=mass, load=load, capacity=capacity, point_load=point_load,
        crane_ratio=np.where(has_crane, crane_ratio, np.nan), point_ratio=point_ratio, ratio=ratio, outside=outside, area=area,
        wind=wind,
        wind_pressure=velocity_pressure(wind_speed=wind, air_density=np.full(lift.shape, job.number("Air density"))),
        governing=texts(np.where(outside & ~(by_points > 1.0), "", np.where(by_crane >= by_points, BY_CRANE, BY_POINTS))),
        verdict=verdict,
    )  # fmt: skip


def pick_coefficient(job: Job) -> float:
    """Return the force coefficient of a hanging panel."""
    item = job.items["Pick wind coefficient"]
    return item.number if item.given else PLATE_COEFFICIENT


def pick_columns(c: Calculation) -> dict[str, NDArray[Any]]:
    """Return the rows of ``Crane picks``: one a lift that is checked."""
    p, lifts, units = c.picks, c.job.table("Lifts"), c.job.table("Form units")
    return {
        "Block": lifts.raw["block"][p.lift],
        "Lift": lifts.raw["lift"][p.lift],
        "Stage": texts([STAGE] * p.lift.size),
        "Hook load [kN]": p.load,
        "Capacity at radius [kN]": p.capacity,
        "Lifting-point ratio": p.point_ratio,
        "Crane ratio": p.crane_ratio,
        "Greatest wind [m/s]": p.wind,
        "Governing": p.governing,
        "Verdict": p.verdict,
        "Greatest wind pressure [kPa]": p.wind_pressure,
        "Crane": lifts.label("crane")[p.lift],
        "Pick radius [m]": lifts.number("pick_radius")[p.lift],
        "Units per pick": lifts.number("units_per_pick")[p.lift],
        "Mass on the hook [kg]": p.mass,
        "Lifting-point load [kN]": p.point_load,
        "Lifting capacity [kN]": taken(units.number("lifting_capacity"), c.layout.unit[p.lift]),
        "Dynamic factor": np.full(p.lift.shape, dynamic_factor(c.job)[0]),
        "Wind area [m2]": p.area,
    }
