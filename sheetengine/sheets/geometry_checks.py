"""Units that cannot stand as they are described; each fault says in words what was understood."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sheetengine.columns import Table, taken
from sheetengine.findings import Code, Finding
from sheetengine.job import Job
from sheetengine.sheets.cell_values import fault


def sketch(units: Table, item: int) -> str:
    """Return a unit in words: what it has at which level, from the top down. Levels count from the joint."""
    levels = [
        ("top of the panel", float(units.number("panel_height")[item])),
        ("brace", float(units.number("brace_height")[item])),
        ("hinge", float(units.number("hinge_height")[item])),
        ("joint", 0.0),
        ("anchors", -float(units.number("anchor_depth")[item])),
        ("foot bearing", -float(units.number("foot_depth")[item])),
    ]
    if units.given["brace_foot_height"][item]:
        levels.append(("foot of the brace", float(units.number("brace_foot_height")[item])))
    known = sorted((entry for entry in levels if not np.isnan(entry[1])), key=lambda entry: -entry[1])
    told = ", ".join(f"{name} {level:+.3g} m" if level else f"{name} 0" for name, level in known)
    return f"Understood, from the top down: {told}."


def geometry_faults(job: Job) -> list[Finding]:
    """Return the faults in which the parts of a unit, or unit and lift, cannot be where they are said to be."""
    return [
        *_unit_faults(job.table("Form units")),
        *_seat_faults(job),
        *_spacing_faults(job),
        *_jut_faults(job),
    ]


def _unit_faults(units: Table) -> Iterator[Finding]:
    anchor, foot, hinge, brace, panel, stand = (
        units.number(f"{part}_{end}")
        for part, end in (
            ("anchor", "depth"), ("foot", "depth"), ("hinge", "height"), ("brace", "height"),
            ("panel", "height"), ("brace_foot", "height"),
        )
    )  # fmt: skip
    wrong = (
        (foot <= anchor, "foot_depth", "Foot depth",
         "Foot depth is not below Anchor depth, so the frame cannot resist tipping.",
         "Give the depth of the foot bearing below the same joint."),
        (hinge >= brace, "hinge_height", "Hinge height",
         "Hinge height is not below Brace height, so the strongback has no span.",
         "Give the lower support under Hinge height and the upper one under Brace height."),
        (brace > panel, "brace_height", "Brace height", "Brace height is above the top of the panel.",
         "Correct Brace height or Panel height; both count from the joint."),
        (stand >= brace, "brace_foot_height", "Brace foot height", "The foot of the brace is not below its upper end.",
         "Give the level at which the brace stands on the bracket frame, negative below the joint."),
    )  # fmt: skip
    for rows, key, heading, text, clears in wrong:
        for item in np.flatnonzero(rows).tolist():
            yield fault(
                Code.IMPOSSIBLE_VALUE,
                units.at(item, key),
                f"{text} {sketch(units, item)}",
                clears,
                heading=heading,
            )


def _seat_faults(job: Job) -> Iterator[Finding]:
    """Yield the anchors that lie deeper than the lift which is to hold them, or not above the foot."""
    lifts, units, places = job.table("Lifts"), job.table("Form units"), job.table("Anchor positions")
    lean = np.cos(np.radians(lifts.number("face_inclination")))
    slope = lifts.number("height") / np.where(lean > 0.0, lean, np.nan)
    slope = np.where(slope > 0.0, slope, np.nan)  # a fault of its own
    unit = units.spread("unit", lifts.label("unit"))
    below = lifts.before("block").tolist()
    listed = [(item, place) for place, item in enumerate(job.lift_of("Anchor positions").tolist())]
    has_list = {item for item, place in listed if places.given["depth"][place]}
    for item, under in enumerate(below):
        kind = int(unit[item])
        if kind < 0 or under < 0 or item in has_list:
            continue
        depth = float(units.number("anchor_depth")[kind])
        if depth >= slope[under]:
            yield fault(
                Code.IMPOSSIBLE_VALUE,
                lifts.at(item, "unit"),
                f"The anchors of unit {units.label('unit')[kind]} lie {depth:.3g} m below the joint, but the lift below "
                f"(row {int(lifts.rows[under])}) is only {slope[under]:.3g} m high, so they would not be in it. "
                + sketch(units, kind),
                "Correct Anchor depth or the height of the lift below, or take another unit.",
                f"{depth:.3g} m",
                "Unit",
            )
    for item, place in listed:
        if item < 0 or not places.given["depth"][place] or unit[item] < 0:
            continue
        depth, kind, under = float(places.number("depth")[place]), int(unit[item]), below[item]
        foot = float(units.number("foot_depth")[kind])
        deep = under >= 0 and depth >= slope[under]
        if deep or depth >= foot:
            why = (
                f"the lift below (row {int(lifts.rows[under])}) is only {slope[under]:.3g} m high"
                if deep
                else f"the foot bears {foot:.3g} m below it"
            )
            yield fault(
                Code.IMPOSSIBLE_VALUE,
                places.at(place, "depth"),
                f"This anchor lies {depth:.3g} m below the joint, but {why}. " + sketch(units, kind),
                "Give the depth of the anchor below the joint on which the lift stands.",
                f"{depth:.3g} m",
                "Depth",
            )


def _spacing_faults(job: Job) -> Iterator[Finding]:
    lifts, units, places = job.table("Lifts"), job.table("Form units"), job.table("Anchor positions")
    unit = units.spread("unit", lifts.label("unit"))
    listed = {
        (str(b).casefold(), str(v).casefold())
        for b, v in zip(places.label("block"), places.label("lift"), strict=True)
    }
    spacing, width = lifts.number("anchor_spacing"), taken(units.number("width"), unit)
    for item in np.flatnonzero(spacing > width * (1.0 + 1e-9)).tolist():
        if (str(lifts.label("block")[item]).casefold(), str(lifts.label("lift")[item]).casefold()) in listed:
            continue
        kind = int(unit[item])
        yield fault(
            Code.IMPOSSIBLE_VALUE,
            lifts.at(item, "anchor_spacing"),
            f"Anchors every {spacing[item]:.3g} m leave units of {width[item]:.3g} m without one. Understood: along the face, "
            f"units {units.label('unit')[kind]} side by side, {width[item]:.3g} m each with "
            f"{units.number('anchors_per_unit')[kind]:.0f} anchors, so one for every "
            f"{width[item] / units.number('anchors_per_unit')[kind]:.3g} m.",
            "Correct Anchor spacing or the unit's Width, or list the anchors in Anchor positions.",
            f"{spacing[item]:.3g} m",
            "Anchor spacing",
        )


def _jut_faults(job: Job) -> Iterator[Finding]:
    """Yield projections without a thickness, and a thickness without a projection."""
    lifts = job.table("Lifts")
    reach, root, tip = (
        lifts.given[key] for key in ("projection_reach", "projection_thickness", "projection_tip_thickness")
    )
    for item in np.flatnonzero(reach & ~root).tolist():
        yield fault(
            Code.MISSING_VALUE,
            lifts.at(item, "projection_thickness"),
            "Projection reach is given without Projection thickness. Understood: a projection that leaves the face by "
            f"{lifts.number('projection_reach')[item]:.3g} m, of a thickness that is not known.",
            "Give its thickness at the face, and at the tip where that differs.",
            heading="Projection thickness",
        )
    for item in np.flatnonzero((root | tip) & ~reach).tolist():
        yield fault(
            Code.MISSING_VALUE,
            lifts.at(item, "projection_reach"),
            "A thickness of a projection is given without Projection reach, so its weight is not known.",
            "Give the reach out from the face, or clear the thickness.",
            heading="Projection reach",
        )
