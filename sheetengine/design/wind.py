"""Wind on the closed unit: the pressure of every lift, given or from a speed, and the gust a crew can measure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from sheetengine.clauses import asce7, asce37, en1991_1_4, en1991_1_6
from sheetengine.clauses.rows import factors
from sheetengine.clauses.working_wind import wind_speed
from sheetengine.columns import Column, Flags, Texts, taken, texts
from sheetengine.design.layout import Index, Layout
from sheetengine.job import Job

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation

GIVEN, EUROPEAN, AMERICAN = "given pressure", "EN 1991-1-4", "ASCE 7-16"
GREATEST_HEIGHT = {EUROPEAN: 200.0, AMERICAN: asce7.GREATEST_HEIGHT}
"""Height, in m, up to which each document goes."""
MOST_EXPOSED = {EUROPEAN: "0", AMERICAN: "D"}
FORECAST_DAYS = 3.0
"""Longest stage, in days, whose short return period rests on a weather forecast (EN 1991-1-6 Table 3.1)."""


@dataclass(frozen=True, slots=True)
class Reduction:
    """How the basic wind speed became the one of the stage.

    Attributes
    ----------
    terrain
        Terrain or exposure category taken.
    return_years
        Return period; ``nan`` by ASCE 37, which gives a factor. [yr]
    factor
        Probability factor, or the factor of ASCE 37. [-]
    speed
        Basic speed of the stage. [m/s]
    raised
        Whether the least basic speed of EN 1991-1-6 3.1(5) governs.
    """

    terrain: str
    return_years: float
    factor: float
    speed: float
    raised: bool


@dataclass(frozen=True, slots=True)
class Winds:
    """Wind on the units of each row of ``Lifts``.

    Attributes
    ----------
    route
        ``given pressure``, the document by which a speed was turned, or empty where there is no storm wind.
    reduction
        How the speed was reduced; ``None`` where no speed is used.
    height
        Top of the panel above the ground; ``nan`` where not known. [m]
    outside
        Rows higher than the document goes.
    mean, turbulence
        Mean velocity [m/s] and turbulence intensity [-] at that height.
    peak
        Peak velocity pressure there. [kPa]
    coefficient
        Net pressure coefficient. [-]
    storm, working
        Net pressure of storm and of working wind. [kPa]
    storm_gust, working_gust
        Speed of the gust that presses so, at the panel. [m/s]
    """

    route: str
    reduction: Reduction | None
    height: Column
    outside: Flags
    mean: Column
    turbulence: Column
    peak: Column
    coefficient: Column
    storm: Column
    working: Column
    storm_gust: Column
    working_gust: Column


def route_of(job: Job) -> str:
    """Return how the storm wind comes about: a pressure given goes before a speed; empty where there is neither."""
    if job.items["Storm wind"].given:
        return GIVEN
    basis = job.text("Wind basis")
    return basis if basis != GIVEN and job.items["Basic wind speed"].given else ""


def _filled(values: Column, first: Index) -> Column:
    """Return ``values`` with each gap filled from the last value before it, not across ``first`` of a group."""
    place = np.arange(values.size)
    last = np.maximum.accumulate(np.where(np.isnan(values), -1, place))
    return np.where(last >= first, values[np.maximum(last, 0)], np.nan)


def joint_heights(job: Job) -> Column:
    """Return the height of the joint below each lift above the ground; ``nan`` where not known, in metres.

    By ``Bottom level`` less ``Ground level``, a blank level following from the lifts of the block that have
    one; else by ``Height above ground`` of the block's lowest joint and the lifts piled on it.
    """
    lifts = job.table("Lifts")
    if not len(lifts):
        return np.zeros(0)
    names = np.array([str(block).casefold() for block in lifts.label("block")])
    _, block = np.unique(names, return_inverse=True)
    order = np.lexsort((np.arange(block.size), block))
    starts = np.r_[True, np.diff(block[order]) != 0]
    first = np.maximum.accumulate(np.where(starts, np.arange(block.size), 0))
    height = lifts.number("height")[order]
    piled = np.cumsum(height) - height
    piled = piled - piled[first]
    datum = lifts.number("bottom_level")[order] - piled
    from_below = _filled(datum, first)
    last = np.maximum.accumulate(np.where(np.r_[starts[1:], True][::-1], np.arange(block.size), 0))
    from_above = _filled(datum[::-1], last)[::-1]
    level = np.where(np.isnan(from_below), from_above, from_below) + piled
    above = level - job.number("Ground level")
    above = np.where(np.isnan(above), job.number("Height above ground") + piled, above)
    joints = np.empty_like(above)
    joints[order] = above
    return joints


def _reduction(job: Job, route: str) -> Reduction:
    """Return the basic speed of the stage, as one number for the job."""
    days = np.array([job.number("Wind exposure time") / 24.0])
    speed = np.array([job.number("Basic wind speed")])
    terrain = job.text("Terrain category") or MOST_EXPOSED[route]
    if route == AMERICAN:
        known = days <= asce37.NUMBERS["five_years"][0]
        factor = np.where(known, asce37.velocity_factor(exposure_days=days), 1.0)
        return Reduction(terrain, np.nan, float(factor[0]), float((speed * factor)[0]), raised=False)
    numbers = factors("en1991_1_4")
    asked = ~np.isnan(days)
    years = np.where(asked, en1991_1_6.return_period(exposure_days=days), en1991_1_6.NUMBERS["longer"])
    factor = en1991_1_4.probability_factor(
        annual_probability=en1991_1_6.annual_probability(return_period=years),
        shape_parameter=np.array([numbers["shape_parameter"]]),
        probability_exponent=np.array([numbers["exponent"]]),
    )
    basic = en1991_1_4.basic_velocity(
        fundamental_velocity=speed,
        wind_direction_factor=np.array([job.number("Wind direction factor")]),
        season_factor=np.array([job.number("Wind season factor")]),
        probability_factor=factor,
    )
    stage = np.where(asked, en1991_1_6.execution_velocity(exposure_days=days, basic_velocity=basic), basic)
    return Reduction(
        terrain, float(years[0]), float(factor[0]), float(stage[0]), raised=bool(stage[0] > basic[0])
    )


def _european(job: Job, found: Reduction, height: Column) -> tuple[Column, Column, Column]:
    """Return mean velocity, turbulence intensity and peak velocity pressure at each height."""
    category = np.full(height.shape, found.terrain, dtype=object)
    orography = np.full(height.shape, job.number("Orography factor"))
    ground = {
        "height_above_ground": height,
        "roughness_length": en1991_1_4.roughness_length(terrain_category=category),
        "minimum_height": en1991_1_4.minimum_height(terrain_category=category),
    }
    mean = en1991_1_4.mean_velocity(
        basic_velocity=np.full(height.shape, found.speed),
        roughness_factor=en1991_1_4.roughness_factor(**ground),
        orography_factor=orography,
    )
    turbulence = en1991_1_4.turbulence_intensity(
        orography_factor=orography,
        turbulence_factor=np.full(height.shape, factors("en1991_1_4")["turbulence_factor"]),
        **ground,
    )
    peak = en1991_1_4.peak_velocity_pressure(
        mean_velocity=mean,
        turbulence_intensity=turbulence,
        air_density=np.full(height.shape, job.number("Air density")),
    )
    return mean, turbulence, peak


def _american(job: Job, found: Reduction, height: Column) -> Column:
    """Return the velocity pressure at each height."""
    one = np.ones(height.shape)
    return asce7.gust_velocity_pressure(
        wind_speed=one * found.speed,
        exposure_coefficient=asce7.exposure_coefficient(
            height_above_ground=height,
            exposure_category=np.full(height.shape, found.terrain, dtype=object),
        ),
        topographic_factor=one * job.number("Orography factor"),
        directionality_factor=one * asce7.DIRECTIONALITY,
        elevation_factor=one,
    )


def net_coefficients(job: Job, layout: Layout, route: str) -> Column:
    """Return the net coefficient of each row: given, else by EN 1991-1-4 Table 7.9; none by ASCE 7-16."""
    lifts, panel = job.table("Lifts"), taken(job.table("Form units").number("panel_height"), layout.unit)
    if job.items["Net wind coefficient"].given:
        return np.full(panel.shape, job.number("Net wind coefficient"))
    if route == AMERICAN:
        return np.full(panel.shape, np.nan)
    return en1991_1_4.free_standing_wall_coefficient(
        wall_zone=np.full(panel.shape, job.text("Wind zone"), dtype=object),
        length_over_height=lifts.number("face_length") / panel,
        return_corners=np.full(panel.shape, job.number("Wind return corners")),
    )


def winds(job: Job, layout: Layout) -> Winds:
    """Return the wind on the units of every lift.

    A panel on a finished lift is a wall on a raised base: the velocity pressure is taken at its top. Below the
    least height of a terrain the wind is constant; above the greatest height of the document there is none.
    """
    panel = taken(job.table("Form units").number("panel_height"), layout.unit)
    height = joint_heights(job) + panel
    route = route_of(job)
    blank = np.full(panel.shape, np.nan)
    coefficient = net_coefficients(job, layout, route)
    density = np.full(panel.shape, job.number("Air density"))
    working = np.full(panel.shape, job.number("Working wind"))
    per_velocity = np.where(np.isnan(coefficient), 1.0, coefficient)
    working_gust = wind_speed(wind_pressure=working / per_velocity, air_density=density)
    outside = np.zeros(panel.shape, dtype=bool)
    mean = turbulence = peak = blank
    reduction = None
    if route in GREATEST_HEIGHT:
        outside = np.asarray(height > GREATEST_HEIGHT[route])
        inside = np.where(outside, np.nan, height)
        reduction = _reduction(job, route)
        if route == EUROPEAN:
            mean, turbulence, peak = _european(job, reduction, inside)
        else:
            peak = _american(job, reduction, inside)
        storm = en1991_1_4.net_wind_pressure(peak_pressure=peak, net_coefficient=coefficient)
    else:
        storm = np.full(panel.shape, job.number("Storm wind"))
    gust = wind_speed(wind_pressure=storm / per_velocity, air_density=density)
    return Winds(
        route=route, reduction=reduction, height=height, outside=outside, mean=mean, turbulence=turbulence, peak=peak,
        coefficient=coefficient, storm=storm, working=working, storm_gust=gust,
        working_gust=working_gust,
    )  # fmt: skip


def wind_on_cases(job: Job, layout: Layout, *, holder: Index, standing: Flags) -> Column:
    """Return the net wind pressure of each case, in kPa.

    The storm where the unit stands closed, the working wind in every other stage.
    """
    found = winds(job, layout)
    return np.where(standing, found.storm[holder], found.working[holder])


def route_words(found: Winds) -> Texts:
    """Return, for each row, where its storm wind comes from."""
    word = {GIVEN: "given pressure", "": "not computed"}.get(found.route, found.route)
    return texts(
        "outside scope" if out else "not computed" if np.isnan(storm) else word
        for out, storm in zip(found.outside.tolist(), found.storm.tolist(), strict=True)
    )


def wind_columns(c: Calculation) -> dict[str, NDArray[Any]]:
    """Return the rows of ``Wind``: one a lift."""
    w, lifts = c.wind, c.job.table("Lifts")
    return {
        "Block": lifts.raw["block"],
        "Lift": lifts.raw["lift"],
        "Storm wind from": route_words(w),
        "Storm wind [kPa]": w.storm,
        "Storm gust [m/s]": w.storm_gust,
        "Working wind [kPa]": w.working,
        "Working gust [m/s]": w.working_gust,
        "Height above ground [m]": w.height,
        "Mean velocity [m/s]": w.mean,
        "Turbulence intensity": w.turbulence,
        "Peak velocity pressure [kPa]": w.peak,
        "Net coefficient": w.coefficient,
    }
