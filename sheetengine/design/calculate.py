"""The chain of an engineer's calculation, from the job to judged columns."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from sheetengine.clauses.load_factors import LoadFactors, load_factors
from sheetengine.columns import Column, Flags, Texts, taken
from sheetengine.design.anchor_demand import (
    AnchorDemand,
    anchor_demand,
    worst_combinations,
)
from sheetengine.design.anchor_scope import anchors_outside, type_limits
from sheetengine.design.combinations import Forces, forces
from sheetengine.design.crane_picks import CranePicks, crane_picks
from sheetengine.design.curve_readings import By
from sheetengine.design.earlier_gates import EarlierGates, earlier_gates
from sheetengine.design.faces import FaceLoads, face_loads, seats, slope_height, too_steep
from sheetengine.design.filling import Filling, filling
from sheetengine.design.gate_requirements import guarded_gates
from sheetengine.design.layout import AnchorSpots, Layout, anchor_spots, lay_out
from sheetengine.design.limits import Proof
from sheetengine.design.pressure import Pressures, pressures
from sheetengine.design.programme import Programme, height_steps, programme
from sheetengine.design.readiness import Gates, StrengthHistory, strength_history
from sheetengine.design.specimens import specimen_fits
from sheetengine.design.stages import (
    Cases,
    anchored_below,
    cases,
)
from sheetengine.design.strength_curves import StrengthCurves, strength_curves
from sheetengine.design.strongback_rise import greatest_rise
from sheetengine.design.strongbacks import Strongbacks, strongbacks
from sheetengine.design.temperatures import Temperatures, temperatures
from sheetengine.design.verdicts import EXCEEDS, OUTSIDE_SCOPE, verdicts
from sheetengine.design.wind import Winds, winds
from sheetengine.job import Job

LEAST_HISTORY, LONGEST_HISTORY = 60 * 24, 400 * 24
"""Hours of strength history that are followed at least and at most; a lift older than that counts as that old."""


@dataclass(frozen=True)
class Calculation:
    """Everything computed, as columns in base units, before it is put onto sheets."""

    job: Job
    layout: Layout
    spots: AnchorSpots
    factors: LoadFactors
    pressure: Pressures
    pressure_verdict: Texts
    face: FaceLoads
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
    foot_lifts: Flags
    case_needs_tests: Flags
    case_ready: Column
    gates: Gates
    gate_verdict: Texts
    programme: Programme
    height_step: Column
    height_too_great: Flags
    type_limits: list[tuple[int, str, str, str]]
    wind: Winds
    picks: CranePicks
    strongbacks: Strongbacks
    filling: Filling
    proof: Proof

    def gates_in(self, history: StrengthHistory) -> Gates:
        """Return the gates with another history of the strength, anchors and loads as they are."""
        return guarded_gates(
            self.job, self.layout, self.cases, self.demand, history, withheld=self.withheld,
            lifts_off=self.foot_lifts,
        )  # fmt: skip

    def ready_by(self, by: By) -> Column:
        """Return the hours at which the gates open by the mean or the upper bound of the strength, in hours."""
        return self.gates_in(self.history.read_by(self.curves, by)).ready

    @cached_property
    def strongback_rise(self) -> Column:
        """Return the rate of rise up to which the strongbacks carry, found when it is first asked for, in m/h."""
        return greatest_rise(self.job, self.layout, self.pressure, self.too_steep)

    @cached_property
    def earlier(self) -> EarlierGates:
        """Return what would open each gate earlier, found when it is first asked for."""
        return earlier_gates(self)


def _history_hours(job: Job, layout: Layout, found: Cases) -> int:
    """Return how many hours of history the planned dates ask for."""
    lifts = job.table("Lifts")
    ends = [lifts.number("stripped"), lifts.number("hung"), taken(lifts.number("placed"), layout.above)]
    span = max((float(np.nanmax(end - layout.anchor_hour, initial=0.0)) for end in ends), default=0.0)
    on_lift = found.carrier >= 0
    late = found.hour[on_lift] - layout.anchor_hour[found.carrier[on_lift]]
    span = max(span, float(np.nanmax(late, initial=0.0)))
    return int(min(max(span + 24.0, LEAST_HISTORY), LONGEST_HISTORY))


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
    found = cases(job, layout)
    curves = strength_curves(job.table("Mixes"), specimen_fits(job))
    temperature = temperatures(job, layout, _history_hours(job, layout, found))
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
    gate = guarded_gates(job, layout, found, demand, history, withheld=withheld, lifts_off=off)
    gate_word = _judge_gates(job, gate)
    plan = programme(job, layout, gate, gate_word)
    step, too_great = height_steps(job)
    return Calculation(
        job=job, layout=layout, spots=spots, factors=factors, pressure=pressure,
        pressure_verdict=verdicts(
            pressure.panel_ratio, job.number("Review threshold"), outside=pressure.outside | too_steep(job)
        ),
        face=face, too_steep=too_steep(job), temperature=temperature, curves=curves, history=history, cases=found, forces=loads, uplift=combined.uplift,
        demand=demand, demand_verdict=word, withheld=withheld, anchors_outside=outside,
        foot_lifts=off, case_needs_tests=needs_tests, case_ready=ready, gates=gate,
        gate_verdict=gate_word, programme=plan, height_step=step, height_too_great=too_great, type_limits=limits,
        wind=winds(job, layout), picks=crane_picks(job, layout),
        strongbacks=strongbacks(job, layout, pressure, too_steep(job)), filling=filling(job, layout, pressure.by_layer),
        proof=Proof(job, layout, found, strength, factors),
    )  # fmt: skip
