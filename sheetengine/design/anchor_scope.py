"""Anchors outside the scope of the anchor method, or outside the concrete that is to hold them."""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.rows import factors
from sheetengine.columns import Flags, Table
from sheetengine.design.anchor_demand import EN_METHOD
from sheetengine.design.faces import head_rise, slope_height
from sheetengine.design.layout import AnchorSpots, Layout
from sheetengine.design.stages import Cases
from sheetengine.job import Job

GREATEST_TENSILE_EN = 1000.0
"""Greatest characteristic tensile strength, in MPa, of steel that EN 1992-4 1.3(3) covers."""


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
