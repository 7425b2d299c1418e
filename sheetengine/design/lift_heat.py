"""The heat of every lift: what the sheets give for it, the temperatures computed, and what is held against limits."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sheetengine.clauses.heat_data import covered_film_coefficient
from sheetengine.columns import Column, Flags, Texts, taken
from sheetengine.design.corner_heat import STEP, Corner, corner_heat
from sheetengine.design.layout import lay_out
from sheetengine.design.verdicts import verdicts
from sheetengine.findings import Code, Finding, Level
from sheetengine.job import Job

Matrix = NDArray[np.float64]
LONGEST = 336
"""Hours for which the heat of a lift is computed; after them the cold model is taken."""
GRAVITY = 9.80665
NEEDED = ("adiabatic_rise", "hydration_time", "hydration_shape", "conductivity", "specific_heat")
"""What the mix must give."""
DEEPEST = 2.5
"""Depth from the face, in m, beyond which a thicker block is cut off and closed to heat."""


@dataclass(frozen=True, slots=True)
class LiftHeat:
    """The computed lifts.

    Attributes
    ----------
    lift
        Rows of ``Lifts`` that could be computed.
    start
        Hour of the first node of each. [h]
    anchor, core, face, joint
        Lifts by hours. [degC]
    error
        Estimate of the error of time stepping of these four, in that order, by lifts by hours. [K]
    """

    lift: NDArray[np.int64]
    start: Column
    anchor: Matrix
    core: Matrix
    face: Matrix
    joint: Matrix
    error: Matrix


def asked(job: Job) -> bool:
    """Return whether the heat of hydration is to be computed."""
    return job.text("Heat of hydration") == "compute"


def computable(job: Job) -> Flags:
    """Return the lifts whose mix and air temperature are known well enough to compute their heat."""
    mixes, lifts = job.table("Mixes"), job.table("Lifts")
    known = np.all([~np.isnan(mixes.number(name)) for name in NEEDED], axis=0)
    arrhenius = mixes.label("maturity_function") == "Arrhenius"
    return np.asarray((known & arrhenius)[lay_out(job).mix] & ~np.isnan(lifts.number("air_temperature")))


def lift_heat(
    job: Job, start: Column, hours: int = LONGEST, *, only: int | None = None, wait: float = 0.0
) -> LiftHeat:
    """Return the temperatures of every lift that can be computed.

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
    lifts, mixes, units, anchors = (
        job.table(name) for name in ("Lifts", "Mixes", "Form units", "Anchor types")
    )
    layout = lay_out(job)
    items = np.flatnonzero(computable(job))
    if only is not None:
        items = items[items == only]
    mix, unit, above = layout.mix[items], layout.unit[items], layout.above[items]
    last = above < 0
    later = np.where(last, items, above)
    placed, air = lifts.number("concrete_temperature"), lifts.number("air_temperature")
    rock = job.number("Rock temperature")
    bare = np.full(items.size, job.number("Bare surface coefficient"))
    formed = covered_film_coefficient(
        film_coefficient=bare, form_thickness=np.zeros(items.size), form_conductivity=np.ones(items.size),
        insulation_resistance=taken(units.number("form_insulation"), unit),
    )  # fmt: skip
    density = mixes.number("unit_weight")[mix] * 1000.0 / GRAVITY
    stripped = lifts.number("stripped")[items]
    first = (layout.below[items] < 0) & ~np.isnan(rock)
    corner = Corner(
        start=start[items], height=lifts.number("height")[items], next_height=lifts.number("height")[later],
        depth=np.minimum(lifts.number("thickness")[items] / 2.0, DEEPEST),
        conductivity=mixes.number("conductivity")[mix],
        capacity=density * mixes.number("specific_heat")[mix] / 3.6,
        rise=mixes.number("adiabatic_rise")[mix], hydration_time=mixes.number("hydration_time")[mix],
        shape=mixes.number("hydration_shape")[mix], activation=mixes.number("activation_temperature")[mix],
        reference=mixes.number("reference_temperature")[mix], placed=placed[items], next_placed=placed[later],
        below=np.where(first, rock, np.minimum(air[items], placed[items])), air=air[items],
        swing=lifts.number("air_swing")[items], sun=np.full(items.size, job.number("Sun on the face")),
        formed=formed, bare=bare,
        # a lift without an hour of stripping is taken to be bare from the start, which is the cold side
        stripped=np.where(np.isnan(stripped), -np.inf, stripped),
        next_hour=np.where(last | np.isnan(start[later]), np.inf, start[later] + wait),
        anchor_depth=units.number("anchor_depth")[layout.unit[later]],
        embedment=anchors.number("embedment")[layout.anchor[later]] / 1000.0,
    )  # fmt: skip
    hours = min(hours + hours % 2, LONGEST)
    if not items.size:
        none = np.zeros((0, hours + 1))
        return LiftHeat(items, start[items], none, none, none, none, np.zeros((4, *none.shape)))
    found = corner_heat(corner, hours)
    return LiftHeat(items, start[items], found.anchor, found.core, found.face, found.joint, found.error)


def heat_of(job: Job, start: Column) -> LiftHeat:
    """Return the temperatures where they are asked for, and no lift where not."""
    if asked(job):
        return lift_heat(job, start)
    none = np.zeros((0, LONGEST + 1))
    return LiftHeat(
        np.zeros(0, dtype=np.int64), np.zeros(0), none, none, none, none, np.zeros((4, *none.shape))
    )


def with_heat(job: Job, start: Column, nodes: Matrix, source: NDArray[np.int64]) -> None:
    """Write the computed temperature at the anchors over that of the cold model, and 3 as its source."""
    if not asked(job):
        return
    found = lift_heat(job, start)
    shared = min(found.anchor.shape[1], nodes.shape[1])
    nodes[found.lift, :shared] = (found.anchor - found.error[0])[:, :shared]
    source[found.lift] = 3


@dataclass(frozen=True, slots=True)
class HeatSums:
    """What is held against limits, one entry a row of ``Lifts``; ``nan`` where it was not computed."""

    peak: Column
    peak_hour: Column
    difference: Column
    difference_hour: Column
    joint: Column
    cooling: Column
    error: Column
    verdict: Texts


LIMITS = {
    "peak": "Greatest peak temperature",
    "difference": "Greatest core-to-face difference",
    "joint": "Greatest joint difference",
    "cooling": "Greatest cooling after stripping",
}


def heat_sums(job: Job, found: LiftHeat) -> HeatSums:
    """Return the peaks and differences of every lift, each with the error of time stepping added, and the verdicts.

    Core to face is the warmest of the lift against the surface of the face at half the height; joint the warmest
    against the joint; cooling the fall of the face in the 24 h after stripping.
    """
    count = len(job.table("Lifts"))
    own = {name: np.full(count, np.nan) for name in
           ("peak", "peak_hour", "difference", "difference_hour", "joint", "cooling", "error")}  # fmt: skip
    rows, items = np.arange(found.lift.size), found.lift
    if items.size:
        _, core, face, joint = found.error
        warm, apart = found.core + core, found.core - found.face + core + face
        hottest, widest = warm.argmax(axis=1), apart.argmax(axis=1)
        own["error"][items] = found.error.max(axis=(0, 2))
        own["peak"][items], own["difference"][items] = warm[rows, hottest], apart[rows, widest]
        own["joint"][items] = (found.core - found.joint + core + joint).max(axis=1)
        own["peak_hour"][items], own["difference_hour"][items] = found.start + hottest, found.start + widest
        after = job.table("Lifts").number("stripped")[items] - found.start
        seen = (after >= 0.0) & (after <= found.face.shape[1] - 25.0)
        at = np.where(seen, after, 0.0).astype(np.int64)
        low = (found.face - face)[rows[:, None], at[:, None] + np.arange(25)].min(axis=1)
        own["cooling"][items] = np.where(seen, (found.face + face)[rows, at] - low, np.nan)
    ratio = np.full(count, -np.inf)
    for name, item in LIMITS.items():
        limit = job.number(item)
        if not np.isnan(limit):
            ratio = np.fmax(ratio, own[name] / limit)
    ratio = np.where(np.isnan(own["peak"]), np.nan, np.where(np.isinf(ratio), 0.0, ratio))
    return HeatSums(**own, verdict=verdicts(ratio, job.number("Review threshold")))


def heat_flags(job: Job, found: LiftHeat) -> Iterator[Finding]:
    """Return what is missing for the heat of a lift, and what exceeds its limit."""
    if not asked(job):
        return
    mixes, lifts = job.table("Mixes"), job.table("Lifts")
    mix = lay_out(job).mix
    air = lifts.number("air_temperature")
    for item in np.unique(mix).tolist():
        name = str(mixes.label("mix")[item])
        missing = [key for key in NEEDED if np.isnan(mixes.number(key)[item])]
        wrong = "is blank"
        if str(mixes.label("maturity_function")[item]) != "Arrhenius":
            missing, wrong = [*missing, "maturity_function"], "is not Arrhenius"
        for key in missing:
            yield Finding(
                Level.ACCEPT, Code.NOT_COMPUTED, mixes.at(item, key),
                f"Mix {name}: {key.replace('_', ' ')} {wrong if key == 'maturity_function' else 'is blank'}, so the heat "
                "of its lifts is not computed and their anchors' concrete follows the cold model.",
                clears="Give it from a calorimeter or the mix report, or set Heat of hydration to leave out.",
                keys=(name, key), heading="Heat of the lift",
            )  # fmt: skip
    for item in np.flatnonzero(np.isnan(air)).tolist():
        yield Finding(
            Level.ACCEPT, Code.NOT_COMPUTED, lifts.at(item, "air_temperature"),
            f"Lift {job.lift_name(item)}: air temperature is blank, so its heat is not computed and its anchors' concrete "
            "follows the cold model.",
            clears="Give the daily mean of the air.", keys=(job.lift_name(item), "air"), heading="Heat of the lift",
        )  # fmt: skip
    sums = heat_sums(job, found)
    clears = {
        "peak": "Place the concrete cooler, or take a mix with less heat.",
        "difference": "Insulate the form and strip later, place cooler, or take a mix with less heat.",
        "joint": "Place cooler, or wait less between the lifts.",
        "cooling": "Strip later, or cover the face after stripping.",
    }
    for key, name in LIMITS.items():
        limit, values = job.number(name), getattr(sums, key)
        for item in np.flatnonzero(values > limit).tolist():
            unit = "degC" if key == "peak" else "K"
            yield Finding(
                Level.ACCEPT, Code.EXCEEDS, lifts.at(item, "concrete_temperature"),
                f"Lift {job.lift_name(item)}: {name[9:]} of {values[item]:.1f} {unit} is more than {limit:.3g} {unit}.",
                found=round(float(values[item]), 1), limit=f"{limit:.3g} {unit}", clears=clears[key],
                keys=(job.lift_name(item), key), heading=name,
            )  # fmt: skip


def heat_columns(job: Job, found: LiftHeat) -> dict[str, Column | Texts]:
    """Return the rows of ``Lift heat``: one a lift, none where the heat is left out."""
    lifts, sums = job.table("Lifts"), heat_sums(job, found)
    rows = np.arange(len(lifts) if asked(job) else 0)
    return {
        "Block": lifts.label("block")[rows], "Lift": lifts.label("lift")[rows],
        "Peak temperature [degC]": sums.peak[rows], "Peak at": sums.peak_hour[rows],
        "Core to face [K]": sums.difference[rows], "Core to face at": sums.difference_hour[rows],
        "Core to joint [K]": sums.joint[rows], "Cooling in 24 h [K]": sums.cooling[rows],
        "Error of stepping [K]": sums.error[rows], "Verdict": sums.verdict[rows],
    }  # fmt: skip


def heat_lines(job: Job, found: LiftHeat) -> list[tuple[str, str]]:
    """Return the lines of the run record."""
    if not asked(job):
        return [("Heat of hydration", "left out")]
    worst = float(found.error.max()) if found.error.size else 0.0
    return [
        ("Heat of hydration",
         f"computed for {found.lift.size} of {len(job.table('Lifts'))} lifts, {LONGEST} h each; after that, and for the others, "
         "the cold model. Adiabatic rise by Schindler & Folliard 2005 (from memory), on the equivalent age of ASTM C1074."),
        ("Heat of hydration",
         f"conduction in two directions at the corner of face and joint, split implicit steps of {STEP:g} and {STEP / 2:g} h taken "
         f"on to no step; greatest difference of the two runs {worst:.2g} K. Hour by hour it is taken off the temperature at the anchors, "
         "and added to peaks and differences. The grid is fixed; its own error is not estimated."),
        ("Heat of hydration",
         "the whole lift is placed at the hour of its anchors; what lies below starts at the colder of air and placing temperature "
         "or at Rock temperature, and gives no heat; the form comes off at the step before its hour, the next lift comes at the step after; the joint is free and bare until the "
         "next lift is on it; the later lift has this lift's mix and air; its own stripping is left out. At the anchors the "
         "colder of face and head counts, and the gate Strip rests on it too."),
        ("Caution",
         "The three parameters of hydration can miss the heat of the first day by much where they were fitted to later days; "
         "confirm the temperature by a probe at the anchors before a gate that rests on computed heat is released."),
    ]  # fmt: skip
