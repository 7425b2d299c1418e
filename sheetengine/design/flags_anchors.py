"""Findings of the anchor checks."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from sheetengine.cells import CellRef
from sheetengine.columns import Flags
from sheetengine.design.anchor_areas import near_pairs
from sheetengine.design.anchor_demand import source_of, strength_range
from sheetengine.design.combinations import least_lateral
from sheetengine.design.layout import positions_by_lift
from sheetengine.design.stages import HUNG, PLACING, PROJECTION, SET_BACK, STAGE_NAMES, STANDING
from sheetengine.design.verdicts import EXCEEDS, NEAR_LIMIT, OUTSIDE_SCOPE
from sheetengine.design.ways import way_out
from sheetengine.findings import Code, Finding, Level
from sheetengine.sources import Known, Source

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation
    from sheetengine.design.flags import Places
    from sheetengine.design.wording import Wording

BY_TESTS = Source("EN 1992-1-1:2004", "3.1.2(5) and (6)", Known.SECOND_SOURCE)


def hour_cell(c: Calculation, case: int) -> CellRef:
    """Return the cell of ``Lifts`` whose date sets the hour of a case."""
    lifts = c.job.table("Lifts")
    item, stage, carrier = int(c.cases.lift[case]), int(c.cases.stage[case]), int(c.cases.seat[case])
    if stage == HUNG:
        return lifts.at(item, "hung")
    if stage == STANDING and carrier >= 0:
        return lifts.at(carrier, "hung")
    return lifts.at(item, "stripped" if stage == SET_BACK else "placed")


def anchor_flags(c: Calculation, say: Wording, places: Places) -> Iterator[Finding]:
    """Return the findings of every anchor case."""
    yield from _ratio_flags(c, say, places)
    yield from _range_flags(c, say, places)
    yield from _hour_flags(c, places)
    yield from _foot_flags(c, say)
    yield from _type_flags(c)
    yield from _close_flags(c, say, places)


def _ratio_words(say: Wording, ratio: float) -> str:
    return "no resistance" if np.isinf(ratio) else f"a demand ratio of {say.ratio(ratio)}"


def _ratio_flags(c: Calculation, say: Wording, places: Places) -> Iterator[Finding]:
    method = c.job.text("Anchor method")
    flagged = np.isin(c.demand_verdict, (EXCEEDS, NEAR_LIMIT)) & ~(c.foot_lifts & ~(c.demand.ratio > 1.0))
    overloaded = (c.demand_verdict == OUTSIDE_SCOPE) & (c.demand.ratio > 1.0)
    refuse = c.job.text("Below-range strength") == "refuse"
    names = c.cases.names()
    for case in np.flatnonzero(flagged | (overloaded & ~(refuse & c.demand.below))).tolist():
        item, stage = int(c.cases.lift[case]), str(names[case])
        over = bool(c.demand.ratio[case] > 1.0)
        mode = str(c.demand.governing[case])
        at = hour_cell(c, case)
        factor = float(c.demand.safety_factor[case])
        by = "" if np.isnan(factor) else f", strength over {factor:g}"
        where = "the anchor at the end of the block" if c.demand.end[case] else "an anchor"
        if not np.isnan(c.demand.group[case]):
            where += f", in a group of {c.demand.group[case]:.0f},"
        yield Finding(
            Level.STOP if over else Level.ACCEPT, Code.EXCEEDS if over else Code.NEAR_LIMIT, at,
            f"Lift {places.name(item)}, {stage}: {mode.lower()} of {where} has "
            f"{_ratio_words(say, float(c.demand.ratio[case]))} ({say.force(float(c.demand.tension[case]))} tension, "
            f"{say.force(abs(float(c.demand.shear[case])))} shear{' up the face' if c.demand.shear[case] < 0.0 else ''}, concrete {say.strength(float(c.demand.strength[case]))}{by}).",
            found=say.ratio(float(c.demand.ratio[case])),
            limit="1.00" if over else f"{c.job.number('Review threshold'):.2f}",
            source=source_of(method, mode),
            clears=way_out(c, say, case) if over else "Accept it with initials, or leave more in hand.",
            keys=places.keys(item, stage), heading="Demand ratio",
        )  # fmt: skip


def _range_flags(c: Calculation, say: Wording, places: Places) -> Iterator[Finding]:
    method = c.job.text("Anchor method")
    low, high = strength_range(method)
    accepted = c.job.text("Below-range accepted by")
    refuse = c.job.text("Below-range strength") == "refuse"
    seen = ~c.withheld & ~np.isnan(c.demand.ratio)
    below = c.demand.below & seen & ~c.case_needs_tests
    mixes = c.job.table("Mixes")
    mix_of = np.where(c.cases.carrier >= 0, c.layout.mix[np.maximum(c.cases.carrier, 0)], -1)
    for mix in np.unique(mix_of[below]).tolist():
        rows = np.flatnonzero(below & (mix_of == mix))
        items = np.unique(c.cases.lift[rows])
        name = "the foundation" if mix < 0 else f"mix {mixes.label('mix')[mix]}"
        least = say.strength(float(np.min(c.demand.strength[rows])))
        at = c.job.items["Foundation strength"].at if mix < 0 else mixes.at(mix, "strength_28")
        if accepted:
            yield Finding(
                Level.ACCEPT, Code.BELOW_RANGE, at,
                f"Anchors in {name} are loaded at strengths from {least} on, below the {say.strength(low)} where "
                f"{method} begins ({rows.size} row{'s' if rows.size > 1 else ''}, lifts {places.some(items)}); accepted by: {accepted}.",
                found=least, limit=say.strength(low), source=source_of(method, ""),
                clears="Keep the evidence on file, and prove the anchors by pull-out tests below the range.",
                about=places.names(items), keys=(name, "accepted"), heading="Concrete strength",
            )  # fmt: skip
            continue
        shown = "the ratios are withheld" if refuse else "the ratios are an indication only"
        for carrier in np.unique(c.cases.carrier[rows]).tolist():
            own = rows[c.cases.carrier[rows] == carrier]
            stages = ", ".join(
                f"{places.name(item)} {stage}"
                for item, stage in zip(
                    c.cases.lift[own].tolist(), c.cases.at(own).names().tolist(), strict=True
                )
            )
            weakest = int(own[np.argmin(c.demand.strength[own])])
            strength = say.strength(float(c.demand.strength[weakest]))
            ready = c.history.hour(c.cases.carrier[weakest : weakest + 1], np.array([low]))
            yield Finding(
                Level.STOP, Code.BELOW_RANGE, hour_cell(c, weakest),
                f"Anchors in {'the foundation' if carrier < 0 else f'lift {places.name(carrier)}'} are loaded ({stages}) when "
                f"the concrete has {strength}, below the {say.strength(low)} where {method} begins; {shown}. So early they "
                "can also fail as a plug, which no standard covers.",
                found=strength, limit=say.strength(low), source=source_of(method, ""),
                clears=f"Prove the anchors by pull-out tests and name the report in Below-range accepted by; or not before "
                f"{say.hour(float(ready[0]))}.",
                keys=places.keys(carrier, "range") if carrier >= 0 else ("foundation", "range"), heading="Concrete strength",
            )  # fmt: skip
    for case in np.flatnonzero(c.demand.above & seen).tolist():
        item = int(c.cases.lift[case])
        yield Finding(
            Level.STOP, Code.OUTSIDE_SCOPE, places.lifts.at(item, "mix"),
            f"Lift {places.name(item)}: {say.strength(float(c.demand.strength[case]))} is above the {say.strength(high)} "
            f"that {method} covers.",
            limit=say.strength(high), source=source_of(method, ""), clears="Correct the strength of the mix.",
            keys=places.keys(item, "above"), heading="Concrete strength",
        )  # fmt: skip
    yield from _test_flags(c, places, mix_of, c.case_needs_tests & seen)


def _test_flags(c: Calculation, places: Places, mix_of: np.ndarray, early: Flags) -> Iterator[Finding]:
    mixes = c.job.table("Mixes")
    gate_mix = c.layout.mix[c.gates.lift]
    gates = c.gates.needs_tests
    for mix in np.unique(np.concatenate([mix_of[early], gate_mix[gates]])).tolist():
        lifts = np.unique(
            np.concatenate([c.cases.lift[early & (mix_of == mix)], c.gates.lift[gates & (gate_mix == mix)]])
        )
        fit = c.curves.fits.used(mix)
        if fit is not None:
            table, young = c.job.table("Specimens"), int(np.argmin(fit.age_days))
            yield Finding(
                Level.STOP, Code.NEEDS_TESTS, table.at(int(fit.rows[young]), "age"),
                f"Mix {mixes.label('mix')[mix]}: in lifts {places.some(lifts)} anchors or gates rest on its strength before its "
                f"youngest test, at an equivalent age of {fit.age_days[young]:.3g} d. No strength is claimed before that.",
                found=f"{fit.age_days[young]:.3g} d", limit="the age at the first gate",
                clears="Test specimens as young as the first gate, or plan later.",
                about=places.names(lifts), keys=(str(mixes.label("mix")[mix]), "early"), heading="Age",
            )  # fmt: skip
            continue
        yield Finding(
            Level.STOP, Code.NEEDS_TESTS, mixes.at(mix, "strength_curve"),
            f"Mix {mixes.label('mix')[mix]}: in lifts {places.some(lifts)} anchors or gates rest on its strength before an "
            f"equivalent age of 3 days, where {mixes.label('strength_curve')[mix]} wants tests and not a curve.",
            found=mixes.label("strength_curve")[mix], limit="3 d", source=BY_TESTS,
            clears="Test specimens at these ages, enter them in Specimens and choose Fitted to specimens, or plan later.",
            about=places.names(lifts), keys=(str(mixes.label("mix")[mix]), "early"), heading="Strength curve",
        )  # fmt: skip


def _hour_flags(c: Calculation, places: Places) -> Iterator[Finding]:
    blank = np.isnan(c.cases.hour) & ~c.withheld & (c.cases.carrier >= 0)
    items = np.unique(c.cases.carrier[blank])
    if items.size:
        lifts = places.lifts
        yield Finding(
            Level.STOP, Code.NOT_COMPUTED, lifts.at(int(items[0]), "hung"),
            f"Lifts {places.some(items)} state neither Hung nor Stripped, so the stages Hung on the new lift and Standing "
            "closed of the next lift have no hour and are not computed.",
            clears="Give the planned hour of hanging units on these lifts.", about=places.names(items), keys=("all", "hung"), heading="Hung",
        )  # fmt: skip


def _foot_flags(c: Calculation, say: Wording) -> Iterator[Finding]:
    units = c.job.table("Form units")
    unit = c.layout.unit[c.cases.holder]
    for kind in np.unique(unit[c.foot_lifts]).tolist():
        for stage in np.unique(c.cases.stage[c.foot_lifts & (unit == kind)]).tolist():
            rows = np.flatnonzero(c.foot_lifts & (unit == kind) & (c.cases.stage == stage))
            name = str(units.label("unit")[kind])
            wind = "storm wind" if stage == STANDING else "working wind"
            if least_lateral(c.job) and stage in (PLACING, PROJECTION, STANDING):
                wind = f"{wind} or the least lateral load"
            yield Finding(
                Level.STOP, Code.FOOT_LIFTS, units.at(kind, "mass_offset"),
                f"Unit {name}, {STAGE_NAMES[stage]}: {wind} towards the face takes the foot off its bearing "
                f"({rows.size} lift{'s' if rows.size > 1 else ''}; up to {say.force(float(-np.min(c.demand.least_foot[rows])))} for one anchor are missing).",
                limit="foot force of at least 0",
                source=Source("Equilibrium of a rigid body in its plane", "moments about the anchors", Known.MECHANICS),
                clears="Tie the unit against wind towards the face, anchor its lower row, lower the wind at which it may stand, or "
                "take a unit with its weight further out.",
                keys=(name, STAGE_NAMES[stage]), heading="Foot force",
            )  # fmt: skip


def _type_flags(c: Calculation) -> Iterator[Finding]:
    types = c.job.table("Anchor types")
    method = c.job.text("Anchor method")
    for kind, text, limit, key in c.type_limits:
        yield Finding(
            Level.STOP, Code.OUTSIDE_SCOPE, types.at(kind, key),
            f"Anchor {types.label('anchor')[kind]}: {text}, which {method} does not cover.",
            limit=limit, source=source_of(method, "Steel tension"),
            clears="Take another anchor, or prove this one by the supplier's approval.",
            keys=(str(types.label("anchor")[kind]), key), heading=key,
        )  # fmt: skip
    if method != "EN 1992-4:2018":
        for kind in np.unique(c.cases.anchor).tolist():
            if types.number("stand_off")[kind] > 0.0:
                yield Finding(
                    Level.ACCEPT, Code.UNCONFIRMED_SOURCE, types.at(kind, "stand_off"),
                    f"Anchor {types.label('anchor')[kind]} stands off; {method} has no rule for a shear force on a lever arm, so "
                    "that of EN 1992-4 is taken.",
                    source=Source("EN 1992-4:2018", "7.2.2.3.2", Known.MEMORY),
                    clears="Accept it with initials, or let the frame bear on the concrete.",
                    keys=(str(types.label("anchor")[kind]), "stand-off"), heading="Stand-off",
                )  # fmt: skip


LEAST_SPACING = 4.0
"""Least distance between anchors, in shank diameters, by ACI 318-19 17.9.2(a); EN 1992-4 leaves it to the product."""


def _close_flags(c: Calculation, say: Wording, places: Places) -> Iterator[Finding]:
    """Return the listed anchors that stand closer together than anchors may."""
    table = c.job.table("Anchor positions")
    lift, row = positions_by_lift(c.job)
    if not row.size:
        return
    shank = c.job.table("Anchor types").number("shank_diameter")[c.layout.anchor[lift]] / 1000.0
    listed = np.flatnonzero(~np.isnan(c.spots.position))  # sorted as the positions are
    x, y = c.spots.position[listed], c.spots.depth[listed]
    one, two = near_pairs(lift, x, y, LEAST_SPACING / 2.0 * shank)
    apart = np.hypot(x[two] - x[one], y[two] - y[one])
    for place in np.flatnonzero(apart < LEAST_SPACING * shank[one]).tolist():
        first, second = int(one[place]), int(two[place])
        yield Finding(
            Level.ACCEPT, Code.LAYOUT_DIFFERS, table.at(int(row[second]), "position"),
            f"Lift {places.name(int(lift[second]))}: the anchors at {say.length(float(x[first]))} and {say.length(float(x[second]))} "
            f"stand {say.length(float(apart[place]))} apart, closer than 4 shank diameters. One of the two may be written twice.",
            found=say.length(float(apart[place])), limit=f"at least {say.length(LEAST_SPACING * float(shank[first]))}",
            source=Source("ACI 318-19", "17.9.2(a)", Known.MEMORY),
            clears="Correct the position or the depth, or accept it with initials.",
            keys=places.keys(int(lift[second]), f"{x[first]:.4f} {y[first]:.4f} {x[second]:.4f} {y[second]:.4f}"),
            heading="Position",
        )  # fmt: skip
