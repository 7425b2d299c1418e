"""The chain of an engineer's calculation, from the job to judged columns."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sheetengine.clauses.load_factors import LoadFactors, load_factors
from sheetengine.clauses.rows import factors
from sheetengine.columns import Column, Flags, Table, Texts, taken, texts
from sheetengine.design.anchor_demand import (
    EN_METHOD,
    AnchorDemand,
    anchor_demand,
    strength_range,
    worst_combinations,
)
from sheetengine.design.combinations import Forces, forces
from sheetengine.design.crane_picks import CranePicks, crane_picks
from sheetengine.design.faces import FaceLoads, face_loads, head_rise, seats, slope_height, too_steep
from sheetengine.design.filling import Filling, filling
from sheetengine.design.layout import AnchorSpots, Index, Layout, anchor_spots, lay_out
from sheetengine.design.limits import Proof
from sheetengine.design.pressure import Pressures, pressures
from sheetengine.design.programme import Programme, height_steps, programme
from sheetengine.design.readiness import HANG, PLACE_NEXT, Gates, StrengthHistory, gates, strength_history
from sheetengine.design.specimens import specimen_fits
from sheetengine.design.stages import (
    FILLED,
    HUNG,
    STANDING,
    Cases,
    anchored_below,
    cases,
    hang_hours,
)
from sheetengine.design.strength_curves import StrengthCurves, strength_curves
from sheetengine.design.strongbacks import Strongbacks, strongbacks
from sheetengine.design.temperatures import Temperatures, temperatures
from sheetengine.design.verdicts import EXCEEDS, OUTSIDE_SCOPE, verdicts
from sheetengine.design.wind import Winds, winds
from sheetengine.findings import Finding
from sheetengine.job import Job

GREATEST_TENSILE_EN = 1000.0
"""Greatest characteristic tensile strength, in MPa, of steel that EN 1992-4 1.3(3) covers."""
LEAST_HISTORY, LONGEST_HISTORY = 60 * 24, 400 * 24
"""Hours of strength history that are followed at least and at most; a lift older than that counts as that old."""


@dataclass(frozen=True, slots=True)
class Calculation:
    """Everything computed, as columns in base units, before it is put onto sheets."""

    job: Job
    layout: Layout
    spots: AnchorSpots
    factors: LoadFactors
    pressure: Pressures
    pressure_verdict: Texts
    face: FaceLoads
    inclined: Flags
    too_steep: Flags
    temperature: Temperatures
    curves: StrengthCurves
    history: StrengthHistory
    cases: Cases
    forces: Forces
    uplift: Column
    demand: AnchorDemand
    demand_verdict: Texts
    withheld: Flags
    anchors_outside: Flags
    lower_row_pulls: Flags
    foot_lifts: Flags
    case_needs_tests: Flags
    case_ready: Column
    gates: Gates
    gate_verdict: Texts
    programme: Programme
    height_step: Column
    height_too_great: Flags
    readings: list[Finding]
    type_limits: list[tuple[int, str, str, str]]
    wind: Winds
    picks: CranePicks
    strongbacks: Strongbacks
    filling: Filling
    proof: Proof


def _history_hours(job: Job, layout: Layout, found: Cases) -> int:
    """Return how many hours of history the planned dates ask for."""
    lifts = job.table("Lifts")
    ends = [lifts.number("stripped"), lifts.number("hung"), taken(lifts.number("placed"), layout.above)]
    span = max((float(np.nanmax(end - layout.anchor_hour, initial=0.0)) for end in ends), default=0.0)
    on_lift = found.carrier >= 0
    late = found.hour[on_lift] - layout.anchor_hour[found.carrier[on_lift]]
    span = max(span, float(np.nanmax(late, initial=0.0)))
    return int(min(max(span + 24.0, LEAST_HISTORY), LONGEST_HISTORY))


def inclined_lifts(job: Job, layout: Layout) -> Flags:
    """Return lifts whose face, or the face of the lift below, is not vertical."""
    lean = job.table("Lifts").number("face_inclination")
    below = np.where(layout.below >= 0, lean[np.maximum(layout.below, 0)], 0.0)
    return np.asarray((lean != 0.0) | (below != 0.0))


def _judge_demand(
    job: Job, demand: AnchorDemand, *, withheld: Flags, foot_lifts: Flags, needs_tests: Flags, beyond: Flags
) -> Texts:
    """Return the verdict of every case.

    A foot that lifts off exceeds whatever the ratio. A strength outside the standard's range, or one that
    must rest on tests, is outside scope whatever the ratio, unless the job names who accepted strengths
    below the range.
    """
    accepted = bool(job.text("Below-range accepted by"))
    outside = demand.above | needs_tests | beyond | (demand.below & (not accepted))
    word = verdicts(
        demand.ratio,
        job.number("Review threshold"),
        outside=outside & ~np.isnan(demand.ratio),
        withheld=withheld,
    )
    word[foot_lifts & ~withheld] = EXCEEDS
    return word


def type_limits(job: Job, layout: Layout, held: Cases) -> list[tuple[int, str, str, str]]:
    """Return the anchor types in use that lie outside the anchor method: row, what, limit, heading."""
    types = job.table("Anchor types")
    found: list[tuple[int, str, str, str]] = []
    en = job.text("Anchor method") == EN_METHOD
    for kind in np.unique(np.concatenate([layout.anchor, held.anchor])).tolist():
        tensile, shank = types.number("tensile_strength")[kind], types.number("shank_diameter")[kind]
        greatest = 60.0 if en else 100.0
        if en and tensile > GREATEST_TENSILE_EN:
            limit = f"at most {GREATEST_TENSILE_EN:g} MPa"
            found.append((kind, f"its tensile strength is {tensile:g} MPa", limit, "tensile_strength"))
        if shank > greatest:
            found.append((kind, f"its shank is {shank:g} mm", f"at most {greatest:g} mm", "shank_diameter"))
        if en and types.number("bars")[kind] > 0.0:
            found += _bar_limits(types, kind)
    return found


def _bar_limits(types: Table, kind: int) -> list[tuple[int, str, str, str]]:
    """Return where the supplementary bars of a type lie outside EN 1992-4 7.2.1.2 and 7.2.1.9."""
    numbers = factors("en1992_4")["supplementary_reinforcement"]
    diameter, length, strength = (
        float(types.number(key)[kind]) for key in ("bar_diameter", "bar_length", "bar_yield")
    )
    least = numbers["least_length_straight"] * diameter
    found = []
    if diameter > numbers["greatest_diameter"]:
        limit = f"at most {numbers['greatest_diameter']:g} mm"
        found.append((kind, f"its supplementary bars are {diameter:g} mm thick", limit, "bar_diameter"))
    if strength > numbers["greatest_yield_strength"]:
        limit = f"at most {numbers['greatest_yield_strength']:g} MPa"
        found.append((kind, f"its supplementary bars yield at {strength:g} MPa", limit, "bar_yield"))
    if length < least:
        text = f"its supplementary bars reach {length:g} mm into the cone"
        found.append((kind, text, f"at least {least:g} mm, 10 diameters", "bar_length"))
    return found


def anchors_outside(job: Job, layout: Layout, found: Cases, spots: AnchorSpots) -> Flags:
    """Return the cases whose anchors do not sit in the concrete that is to hold them.

    Either an anchor lies deeper than the lift is high, or not above the foot, or the concrete behind the
    face is no thicker than the embedment, or the head, which rises into an overhanging lift, stands out of
    the joint.
    """
    lifts, types = job.table("Lifts"), job.table("Anchor types")
    units = job.table("Form units")
    deepest = np.zeros(len(lifts))
    np.maximum.at(deepest, spots.lift, spots.depth)
    deepest = deepest[found.holder]
    carrier = np.maximum(found.carrier, 0)
    on_lift = found.carrier >= 0
    too_deep = on_lift & ~found.lower & (deepest >= slope_height(job)[carrier])
    below_foot = ~found.lower & (deepest >= units.number("foot_depth")[layout.unit[found.holder]])
    behind = lifts.number("thickness")[np.where(on_lift, carrier, found.holder)] * 1000.0
    too_thin = behind <= types.number("embedment")[found.anchor]
    shallow = np.full(len(lifts), np.inf)
    np.minimum.at(shallow, spots.lift, spots.depth)
    mouth = np.where(found.lower, found.joint, shallow[found.holder])
    out_of_joint = mouth <= head_rise(found.lean, types.number("embedment")[found.anchor] / 1000.0)
    return np.asarray(too_deep | below_foot | too_thin | out_of_joint)


def foot_on_nothing(job: Job, layout: Layout) -> Flags:
    """Return lifts whose unit's foot reaches below all lifts under it, with no foundation stated to bear on."""
    lifts, units = job.table("Lifts"), job.table("Form units")
    under, slope = np.zeros(len(lifts)), slope_height(job)
    for item in range(len(lifts)):
        below = int(layout.below[item])
        under[item] = under[below] + slope[below] if below >= 0 else 0.0
    foot = units.number("foot_depth")[layout.unit]
    return np.asarray((layout.below >= 0) & (foot > under) & np.isnan(job.number("Foundation strength")))


def _beyond(limits: list[tuple[int, str, str, str]], found: Cases) -> Flags:
    """Return the cases whose anchor type lies outside the anchor method."""
    return np.isin(found.anchor, [kind for kind, *_ in limits])


def _asked(found: Cases, demand: AnchorDemand, rows: Index) -> tuple[Index, Column, Texts]:
    """Return, for cases that a gate guards, the lift asked, the strength required, and the words for it."""
    words = texts(
        f"Anchors, {stage}: {mode}"
        for stage, mode in zip(found.at(rows).names().tolist(), demand.governing[rows].tolist(), strict=True)
    )
    return found.carrier[rows], demand.required[rows], words


def _awaited(
    found: Cases, demand: AnchorDemand, history: StrengthHistory, least: float, rows: Index
) -> tuple[Index, Column, Texts]:
    """Return, for lower rows in other concrete, the lift on which the unit hangs, the hour they wait for, and the words."""
    lift, required, words = _asked(found, demand, rows)
    return found.seat[rows], history.hour(lift, np.maximum(required, least)), words


def _judge_gates(job: Job, gate: Gates) -> Texts:
    """Return the verdict of every gate.

    A gate planned before it opens exceeds, or is outside scope where only the range of the anchor standard
    keeps it shut. A gate without a planned hour, or whose requirement is not known, is not computed.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        use = gate.by_anchors / gate.predicted
    use = np.where(np.isnan(gate.by_anchors) & ~np.isnan(gate.ready), 0.0, use)  # only an interval is asked
    too_early = gate.margin < 0.0
    only_range = (
        too_early & (use <= 1.0) & (gate.required > gate.by_anchors) & (gate.predicted < gate.required)
    )
    use = np.where(too_early & ~only_range, np.maximum(use, np.nextafter(1.0, 2.0)), use)
    blank = np.isnan(gate.planned) | np.isnan(gate.ready)
    return verdicts(
        np.where(blank, np.nan, use),
        job.number("Review threshold"),
        outside=(gate.needs_tests | only_range) & ~blank,
    )


def calculate_columns(job: Job) -> Calculation:
    """Return everything that the job asks for, on columns for all lifts and stages at once."""
    layout = lay_out(job)
    factors = load_factors(job.text("Safety basis"))
    pressure = pressures(job, layout)
    inclined = inclined_lifts(job, layout)
    found = cases(job, layout)
    curves = strength_curves(job.table("Mixes"), specimen_fits(job))
    temperature, readings = temperatures(job, layout, _history_hours(job, layout, found))
    history = strength_history(job, layout, curves, temperature)
    face = face_loads(job, layout, pressure)
    combined = forces(job, layout, found, pressure, factors)
    strength = history.strength(found.carrier, found.hour)
    needs_tests = history.wants_tests(found.carrier, found.hour)
    spots = anchor_spots(job, layout)
    tried = anchor_demand(
        job, layout, found.at(combined.case), spots, combined.forces, strength[combined.case]
    )
    demand, governs = worst_combinations(tried, combined.case, found.lift.size)
    loads = combined.forces.at(governs)
    beyond_lean = seats(job, layout, found.holder, found.seat).too_steep
    outside = anchors_outside(job, layout, found, spots) & ~beyond_lean
    withheld = outside | beyond_lean
    anchored = anchored_below(job, layout, found.holder)
    lifts_off = ~withheld & (demand.least_foot < 0.0)
    limits = type_limits(job, layout, found)
    off = lifts_off & ~anchored
    word = _judge_demand(
        job,
        demand,
        withheld=withheld,
        foot_lifts=off,
        needs_tests=needs_tests,
        beyond=_beyond(limits, found),
    )
    word[beyond_lean] = OUTSIDE_SCOPE
    ready = history.hour(found.carrier, demand.required)
    required = np.where(withheld, np.nan, demand.required)
    demand_for_gates = replace(
        demand,
        required=np.where(off, np.inf, required),
        governing=texts(np.where(off, "Foot lift-off", demand.governing)),
    )
    on_seat, same = found.seat >= 0, found.carrier == found.seat
    hangs = on_seat & ((found.stage == HUNG) | (found.stage == STANDING))
    places = on_seat & np.isin(found.stage, FILLED)
    low, _ = strength_range(job.text("Anchor method"))
    least = (
        (0.0, "")
        if job.text("Below-range accepted by")
        else (low, f"Least strength of {job.text('Anchor method')}")
    )
    elsewhere = {
        gate: _awaited(found, demand_for_gates, history, least[0], np.flatnonzero(rows & ~same))
        for gate, rows in ((HANG, hangs), (PLACE_NEXT, places))
    }
    gate = gates(
        job,
        layout,
        history,
        hang_hour=hang_hours(job, layout),
        hang=_asked(found, demand_for_gates, np.flatnonzero(hangs & same)),
        place=_asked(found, demand_for_gates, np.flatnonzero(places & same)),
        least_strength=least,
        elsewhere=elsewhere,
    )
    gate_word = _judge_gates(job, gate)
    plan = programme(job, layout, gate, gate_word)
    step, too_great = height_steps(job)
    return Calculation(
        job=job, layout=layout, spots=spots, factors=factors, pressure=pressure,
        pressure_verdict=verdicts(
            pressure.panel_ratio, job.number("Review threshold"), outside=pressure.outside | too_steep(job)
        ),
        face=face, inclined=inclined, too_steep=too_steep(job), temperature=temperature, curves=curves, history=history, cases=found, forces=loads, uplift=combined.uplift,
        demand=demand, demand_verdict=word, withheld=withheld, anchors_outside=outside, lower_row_pulls=lifts_off & anchored,
        foot_lifts=off, case_needs_tests=needs_tests, case_ready=ready, gates=gate,
        gate_verdict=gate_word, programme=plan, height_step=step, height_too_great=too_great, readings=readings, type_limits=limits,
        wind=winds(job, layout), picks=crane_picks(job, layout),
        strongbacks=strongbacks(job, layout, pressure, inclined), filling=filling(job, layout, pressure.by_layer),
        proof=Proof(job, layout, found, strength, factors),
    )  # fmt: skip
