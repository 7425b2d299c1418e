"""The stages in which the anchors are loaded: when, in which concrete, by which forces."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sheetengine.clauses.en12811 import uniform_load
from sheetengine.clauses.load_factors import ACI_SERVICE, LoadFactors, load_factors
from sheetengine.clauses.unit_statics import anchor_tension, foot_force
from sheetengine.columns import Column, Flags, taken
from sheetengine.design.layout import Index, Layout
from sheetengine.design.pressure import STANDARD_GRAVITY, Pressures
from sheetengine.design.wind import wind_on_cases
from sheetengine.job import Job

PLACING, STANDING, SET_BACK, HUNG = range(4)
STAGE_NAMES = ("Placing", "Standing closed", "Set back", "Hung on the new lift")
FOUNDATION = -1


@dataclass(frozen=True, slots=True)
class Cases:
    """Every lift and stage that has anchors, sorted by lift, then stage.

    Attributes
    ----------
    lift, stage
        Row of the lift that the result row belongs to, and the stage.
    holder
        Row whose units, anchors and spacing act: the lift itself, or the one above it for the stage Hung.
    carrier
        Row of the lift whose concrete holds the anchors, -1 for the foundation.
    hour
        Hour from which the stage may begin; ``nan`` where no date says so. [h]
    people
        Where people stand on the platform.
    """

    lift: Index
    stage: Index
    holder: Index
    carrier: Index
    hour: Column
    people: Flags


@dataclass(frozen=True, slots=True)
class Forces:
    """Forces of each case on a metre of face. [kN/m].

    ``tension`` and ``shear`` are design values, ``service_tension`` and ``service_shear`` unfactored;
    ``foot`` goes with the tension, ``least_foot`` is the least foot force of the stage, the wind
    towards the face and nothing that helps counted in full.
    """

    tension: Column
    shear: Column
    foot: Column
    least_foot: Column
    service_tension: Column
    service_shear: Column


def hang_hours(job: Job, layout: Layout) -> Column:
    """Return the hour at which units are hung on each lift: Hung, else Stripped, else ``nan``, in hours.

    A unit hangs on a lift before the next lift is placed with it, so an hour after that placing (flagged
    elsewhere) counts as the hour of the placing.
    """
    lifts = job.table("Lifts")
    planned = np.where(np.isnan(lifts.number("hung")), lifts.number("stripped"), lifts.number("hung"))
    next_placed = taken(lifts.number("placed"), layout.above)
    return np.where(planned > next_placed, next_placed, planned)


def cases(job: Job, layout: Layout) -> Cases:
    """Return every lift and stage that has anchors.

    Placing begins at the planned hour of placing. The closed unit may meet the storm as soon as it hangs
    on the lift below. It is set back once the lift is stripped, or, where no hour of stripping is given,
    as early as at placing. First lifts rest on the foundation where its strength is given, and have no
    anchor rows otherwise.
    """
    lifts, units = job.table("Lifts"), job.table("Form units")
    count = len(lifts)
    every = np.arange(count, dtype=np.int64)
    has_foundation = not np.isnan(job.number("Foundation strength"))
    held = (layout.below >= 0) | has_foundation
    placed, stripped, hung = lifts.number("placed"), lifts.number("stripped"), hang_hours(job, layout)
    hung_below = np.where(layout.below >= 0, taken(hung, layout.below), placed)
    after = np.where(np.isnan(stripped), placed, stripped)
    goes_on = (layout.above >= 0) | lifts.given["hung"]
    holder_above = np.where(layout.above >= 0, layout.above, every)
    parts = [
        (every[held], PLACING, every[held], layout.below[held], placed[held]),
        (every[held], STANDING, every[held], layout.below[held], hung_below[held]),
        (every[held], SET_BACK, every[held], layout.below[held], after[held]),
        (every[goes_on], HUNG, holder_above[goes_on], every[goes_on], hung[goes_on]),
    ]
    lift = np.concatenate([part[0] for part in parts])
    stage = np.concatenate([np.full(part[0].size, part[1], dtype=np.int64) for part in parts])
    holder = np.concatenate([part[2] for part in parts])
    carrier = np.concatenate([part[3] for part in parts])
    hour = np.concatenate([part[4] for part in parts])
    order = np.lexsort((stage, lift))
    platform = taken(units.number("platform_width"), layout.unit)[holder]
    people = (platform > 0.0) & (stage != STANDING)
    return Cases(lift[order], stage[order], holder[order], carrier[order], hour[order], people[order])


def platform_offset(job: Job) -> Column:
    """Return the platform's centre out from the face; mass offset plus half its width where blank, in metres."""
    units = job.table("Form units")
    default = units.number("mass_offset") + units.number("platform_width") / 2.0
    return np.where(units.given["platform_offset"], units.number("platform_offset"), default)


def forces(job: Job, layout: Layout, found: Cases, pressure: Pressures, factors: LoadFactors) -> Forces:
    """Return the forces of every case on a vertical face.

    The anchors are proved with the wind away from the face and every action at its full design value.
    The foot is proved with the wind towards the face, before any concrete presses on the panel, without
    people, and with the weight at its least.
    """
    units = job.table("Form units")
    unit = layout.unit[found.holder]

    def of_unit(key: str) -> Column:
        return taken(units.number(key), unit)

    placing, moved = found.stage == PLACING, (found.stage == SET_BACK) | (found.stage == HUNG)
    weight = of_unit("mass") * STANDARD_GRAVITY / 1000.0 / of_unit("width")
    offset = of_unit("mass_offset") + np.where(moved, of_unit("set_back_travel"), 0.0)
    live = uniform_load(platform_class=of_unit("platform_class")) * of_unit("platform_width")
    live = np.where(of_unit("platform_width") > 0.0, live, 0.0) * (found.stage != STANDING)
    live_offset = taken(platform_offset(job), unit)
    panel = of_unit("panel_height")
    wind_pressure = wind_on_cases(
        job, layout, holder=found.holder, standing=found.stage == STANDING, placing=placing
    )
    wind = wind_pressure * panel
    lateral = np.where(placing, pressure.resultant[found.holder], 0.0)
    height = np.where(placing, pressure.resultant_height[found.holder], 0.0)
    geometry = {
        "anchor_depth": of_unit("anchor_depth"),
        "foot_depth": of_unit("foot_depth"),
        "pressure_force_height": height,
        "wind_force_height": panel / 2.0,
    }

    def tension(by: LoadFactors) -> Column:
        pull: Column = anchor_tension(
            pressure_force=by.fresh_concrete * lateral,
            weight_moment=by.permanent_unfavourable * weight * offset + by.variable * live * live_offset,
            wind_force=by.wind * wind,
            **geometry,
        )
        return pull

    def shear(by: LoadFactors) -> Column:
        load: Column = by.permanent_unfavourable * weight + by.variable * live
        return load

    design = tension(factors)
    foot = foot_force(
        tension_force=design, pressure_force=factors.fresh_concrete * lateral, wind_force=factors.wind * wind
    )
    nothing = np.zeros_like(lateral)
    light = anchor_tension(
        pressure_force=nothing,
        weight_moment=factors.permanent_favourable * weight * offset,
        wind_force=-factors.wind * wind,
        **geometry,
    )
    least_foot = foot_force(tension_force=light, pressure_force=nothing, wind_force=-factors.wind * wind)
    service = load_factors(ACI_SERVICE)
    return Forces(
        design, shear(factors), foot, np.minimum(foot, least_foot), tension(service), shear(service)
    )
