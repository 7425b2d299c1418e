"""What computed heat is held against, and what is said of it: peaks and differences, flags, rows, run record."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from sheetengine.columns import Column, Texts
from sheetengine.design.corner_heat import MOST_ERROR, STEP, TOP_DEPTH
from sheetengine.design.layout import Index, lay_out
from sheetengine.design.lift_heat import DEEPEST, GRAVITY, LONGEST, NEEDED, LiftHeat, asked
from sheetengine.design.verdicts import verdicts
from sheetengine.findings import Code, Finding, Level
from sheetengine.job import Job


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

    Core to face is the warmest deep in the block against the surface of the face at half the height; joint the warmest
    against the joint; cooling the fall of the face in the 24 h after stripping.
    """
    count = len(job.table("Lifts"))
    own = {name: np.full(count, np.nan) for name in
           ("peak", "peak_hour", "difference", "difference_hour", "joint", "cooling", "error")}  # fmt: skip
    rows, items = np.arange(found.lift.size), found.lift
    if items.size:
        _, core, face, joint, _ = found.error
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


HEAT_OF_CEMENT = (100.0, 550.0)
"""Heat that a kilogram of cementitious material gives in the end, in kJ; common practice, no source."""


def heat_flags(job: Job, found: LiftHeat, unlogged: Index) -> Iterator[Finding]:
    """Return what is missing or unusual for the heat of a lift, what rests on it, and what exceeds its limit.

    Parameters
    ----------
    unlogged
        Rows of ``Lifts`` whose concrete at the anchors is as warm as computed, since no probe speaks for them.
    """
    if not asked(job):
        return
    mixes, lifts = job.table("Mixes"), job.table("Lifts")
    mix = lay_out(job).mix
    air = lifts.number("air_temperature")
    for item in np.unique(mix).tolist():
        name = str(mixes.label("mix")[item])
        missing = [key for key in NEEDED if np.isnan(mixes.number(key)[item])]
        for key in missing:
            yield Finding(
                Level.ACCEPT, Code.NOT_COMPUTED, mixes.at(item, key),
                f"Mix {name}: {key.replace('_', ' ')} is blank, so the heat of its lifts is not computed and their anchors' "
                "concrete follows the cold model.",
                clears="Give it from a calorimeter or the mix report, or set Heat of hydration to leave out.",
                keys=(name, key), heading="Heat of the lift",
            )  # fmt: skip
        content, density = (float(mixes.number(key)[item]) for key in ("cement_content", "unit_weight"))
        held = float(mixes.number("specific_heat")[item]) * density * 1000.0 / GRAVITY
        given = float(mixes.number("adiabatic_rise")[item]) * held / content
        low, high = HEAT_OF_CEMENT
        if given < low or given > high:
            yield Finding(
                Level.ACCEPT, Code.PLAUSIBILITY, mixes.at(item, "adiabatic_rise"),
                f"Mix {name}: the adiabatic rise with the cement content means {given:.0f} kJ of heat from a kilogram of cement; "
                f"{low:g} to {high:g} kJ are usual.",
                found=round(given), limit=f"{low:g} to {high:g} kJ/kg", clears="Check adiabatic rise, cement content and specific heat against each other.",
                keys=(name, "heat of cement"), heading="Heat of the cement",
            )  # fmt: skip
        resting = [row for row in unlogged.tolist() if mix[row] == item]
        if resting:
            yield Finding(
                Level.ACCEPT, Code.UNCONFIRMED_SOURCE, mixes.at(item, "hydration_time"),
                f"Mix {name}: the gates of {len(resting)} lift{'s' if len(resting) > 1 else ''} rest on computed heat of hydration "
                f"and no probe is logged there ({', '.join(map(job.lift_name, resting[:6]))}{' …' if len(resting) > 6 else ''}).",
                clears="Log a probe beside the anchors of the first of these lifts, and compare it with the computed temperature.",
                keys=(name, "computed"), heading="Computed heat",
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
        unit = "degC" if key == "peak" else "K"
        for item in np.unique(mix).tolist():
            over = np.flatnonzero((values > limit) & (mix == item))
            if not over.size:
                continue
            worst = int(over[values[over].argmax()])
            more = (
                f" More than that also in {over.size - 1} other lift{'s' if over.size > 2 else ''} of the mix."
                if over.size > 1
                else ""
            )
            yield Finding(
                Level.ACCEPT, Code.EXCEEDS, lifts.at(worst, "concrete_temperature"),
                f"Lift {job.lift_name(worst)}: {name[9:]} of {values[worst]:.1f} {unit} is more than {limit:.3g} {unit}.{more}",
                found=round(float(values[worst]), 1), limit=f"{limit:.3g} {unit}", clears=clears[key],
                keys=(str(mixes.label("mix")[item]), key), heading=name,
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


def heat_lines(job: Job, found: LiftHeat, grid_error: float) -> list[tuple[str, str]]:
    """Return the lines of the run record.

    Parameters
    ----------
    grid_error
        How far the temperature at the anchors of the lift shown moves on a grid twice as fine; ``nan``: not asked. [K]
    """
    if not asked(job):
        return [("Heat of hydration", "left out")]
    worst = float(found.error.max()) if found.error.size else 0.0
    left = float(found.imbalance.max()) if found.imbalance.size else 0.0
    return [
        ("Heat of hydration",
         f"computed for {found.lift.size} of {len(job.table('Lifts'))} lifts, {LONGEST} h each; after that, and for the others, "
         "the cold model. Adiabatic rise by Schindler & Folliard 2005 (from memory), on the equivalent age of ASTM C1074 "
         "with the mix's activation temperature, whatever its strength ripens by."),
        ("Heat of hydration",
         f"conduction in two directions at the corner of face and joint, split implicit steps of {STEP:g} and {STEP / 2:g} h taken "
         f"on to no step, halved again for a lift whose two runs differ by more than {MOST_ERROR:g} K; greatest difference of two runs {worst:.2g} K. Hour by hour it is taken off the temperature at the "
         f"anchors and at the top, and added to peaks and differences. Heat given less lost less kept: at most {left:.1g} of what was "
         f"given and exchanged. {'' if np.isnan(grid_error) else f'On a grid twice as fine the anchors of the lift shown change by at most {grid_error:.2f} K.'}"),
        ("Heat of hydration",
         "the whole lift is placed at the hour of its anchors. What lies below is the lift below, as warm and as old as it was when it "
         "was built upon, itself computed on ground without heat; under the first lift of a block, and under lifts that cannot be "
         "computed or are built upon later, it is the colder of air and placing temperature, or Rock temperature, and gives no heat. The "
         f"form comes off up to {STEP:g} h before its hour and the next lift comes up to {STEP:g} h after; the joint is bare until then. The "
         f"block is closed to heat at its middle, or {DEEPEST:g} m from the face. At the anchors the colder of their heads and half their "
         f"embedment counts; the gate Strip rests on the face {TOP_DEPTH:g} m below the top."),
        ("Caution",
         "The three parameters of hydration can miss the heat of the first day by half, which in open calorimeter data was up to 20 J a "
         f"gram of binder; {job.number('Margin on computed temperature'):.3g} K are taken off the computed temperature for it. At 10 degC "
         "they gave up to 16 % more heat in five days than was measured, carried there from 20 degC. Confirm the temperature by a "
         "probe at the anchors before a gate that rests on computed heat is released."),
    ]  # fmt: skip
