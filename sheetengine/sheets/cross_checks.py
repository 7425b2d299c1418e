"""Faults that only show when columns or sheets are held against each other."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sheetengine.columns import Table, moment_of, taken
from sheetengine.findings import Code, Finding
from sheetengine.job import FOUNDATION_NAME, Job
from sheetengine.sheets.cell_values import fault
from sheetengine.sheets.declarations import Kind, nearest
from sheetengine.sheets.geometry_checks import geometry_faults
from sheetengine.sheets.inputs import ANCHOR_TYPES
from sheetengine.sheets.job_items import TERRAIN
from sheetengine.sheets.optional_inputs import INPUT_SHEETS, OPTIONAL_SHEETS
from sheetengine.sheets.shown_lift_checks import shown_lift_faults
from sheetengine.sheets.site_inputs import AS_BUILT
from sheetengine.sheets.specimen_checks import specimen_faults


def _unknown_names(job: Job) -> Iterator[Finding]:
    for sheet in INPUT_SHEETS:
        table = job.table(sheet.name)
        for heading in sheet.headings:
            if (
                heading.kind is not Kind.REFERENCE
                or heading.refers is None
                or heading.key not in table.at_columns
            ):
                continue
            other = job.table(heading.refers[0])
            names = [str(name) for name in other.label(heading.refers[1])]
            known = {name.casefold(): name for name in names}
            column = table.label(heading.key)
            for item, text in enumerate(column.tolist()):
                if not text:
                    continue
                if text.casefold() in known:
                    column[item] = known[text.casefold()]
                    continue
                near = nearest(text, names)
                hint = f"Did you mean {near}? Otherwise add" if near else "Correct the name, or add"
                yield fault(
                    Code.UNKNOWN_NAME,
                    table.at(item, heading.key),
                    f"{heading.name} “{text}” is not in the sheet {other.sheet}.",
                    f"{hint} a row for it in {other.sheet}.",
                    text,
                    heading.name,
                )


def _unknown_lifts(job: Job) -> Iterator[Finding]:
    lifts = job.table("Lifts")
    known = {
        (b.casefold(), v.casefold()) for b, v in zip(lifts.label("block"), lifts.label("lift"), strict=True)
    }
    blocks = {block for block, _ in known}
    for sheet in OPTIONAL_SHEETS:
        if "lift" not in sheet.keys:
            continue
        table = job.table(sheet.name)
        told: set[tuple[str, str]] = set()
        for item, (block, lift) in enumerate(zip(table.label("block"), table.label("lift"), strict=True)):
            if not block or not lift or (block.casefold(), lift.casefold()) in known or (block, lift) in told:
                continue
            if sheet is AS_BUILT and lift.casefold() == FOUNDATION_NAME and block.casefold() in blocks:
                continue
            told.add((block, lift))
            yield fault(
                Code.UNKNOWN_NAME,
                table.at(item, "lift"),
                f"Block {block}, lift {lift} is not in Lifts.",
                "Correct block and lift, or add the lift to Lifts.",
                f"{block}/{lift}",
                "Lift",
            )


def _lift_faults(lifts: Table) -> Iterator[Finding]:
    rise, placing, area = (lifts.number(key) for key in ("rise_rate", "placing_rate", "plan_area"))
    for item in np.flatnonzero(~lifts.given["rise_rate"]).tolist():
        if not lifts.given["placing_rate"][item]:
            yield fault(
                Code.MISSING_VALUE,
                lifts.at(item, "rise_rate"),
                "Neither Rise rate nor Placing rate is given.",
                "Give the rate of rise, or the placing rate together with the plan area.",
                heading="Rise rate",
            )
        elif not lifts.given["plan_area"][item]:
            yield fault(
                Code.MISSING_VALUE,
                lifts.at(item, "plan_area"),
                "Placing rate is given without Plan area, so the rate of rise is not known.",
                "Give the plan area of the lift, or the rate of rise.",
                heading="Plan area",
            )
    both = lifts.given["rise_rate"] & lifts.given["placing_rate"] & lifts.given["plan_area"]
    with np.errstate(divide="ignore", invalid="ignore"):
        apart = np.abs(placing / area - rise) > 0.02 * rise
    for item in np.flatnonzero(both & apart).tolist():
        yield fault(
            Code.IMPOSSIBLE_VALUE,
            lifts.at(item, "rise_rate"),
            f"Rise rate {rise[item]:.3g} m/h and Placing rate over Plan area {placing[item] / area[item]:.3g} m/h contradict each other.",
            "Keep one of the two, or make them agree.",
            heading="Rise rate",
        )
    yield from _order_faults(lifts)


def _order_faults(lifts: Table) -> Iterator[Finding]:
    placed = lifts.number("placed")
    below: dict[str, int] = {}
    for item, block in enumerate(lifts.label("block").tolist()):
        last = below.get(block.casefold())
        if last is not None and placed[item] <= placed[last]:
            yield fault(
                Code.OUT_OF_ORDER,
                lifts.at(item, "placed"),
                f"Placed {moment_of(placed[item]):%Y-%m-%d %H:%M} is not after the lift below it "
                f"(row {int(lifts.rows[last])}, {moment_of(placed[last]):%Y-%m-%d %H:%M}).",
                "Correct the date, or sort the block's rows from the bottom up.",
                heading="Placed",
            )
        below[block.casefold()] = item
    for key, name in (("stripped", "Stripped"), ("hung", "Hung")):
        early = lifts.number(key) <= placed
        for item in np.flatnonzero(early).tolist():
            yield fault(
                Code.OUT_OF_ORDER,
                lifts.at(item, key),
                f"{name} is not after Placed of the same lift ({moment_of(placed[item]):%Y-%m-%d %H:%M}).",
                "Correct one of the two dates.",
                heading=name,
            )


def _mean_faults(mixes: Table) -> Iterator[Finding]:
    given = mixes.number("strength_28")
    for item, kind in enumerate(mixes.label("strength_kind").tolist()):
        least = 10.0 if str(kind).startswith("cube") else 8.0
        if str(kind).endswith("mean") and given[item] <= least:
            yield fault(
                Code.IMPOSSIBLE_VALUE,
                mixes.at(item, "strength_28"),
                f"Strength 28 d is a mean of {given[item]:.3g} MPa; 8 MPa of cylinder strength are taken off a mean, and nothing is left.",
                "Correct the value or its kind, or give the characteristic strength.",
                heading="Strength 28 d",
            )


def _part_faults(job: Job) -> Iterator[Finding]:
    anchors = job.table("Anchor types")
    for item in range(len(anchors)):
        head, area = anchors.number("head_diameter")[item], anchors.number("bearing_area")[item]
        if not (anchors.given["head_diameter"][item] or anchors.given["bearing_area"][item]):
            yield fault(
                Code.MISSING_VALUE,
                anchors.at(item, "head_diameter"),
                "Neither Head diameter nor Bearing area is given.",
                "Give one of the two.",
                heading="Head diameter",
            )
        elif np.isnan(area) and head <= anchors.number("shank_diameter")[item]:
            yield fault(
                Code.IMPOSSIBLE_VALUE,
                anchors.at(item, "head_diameter"),
                "Head diameter is not larger than Shank diameter, so the head bears on nothing.",
                "Correct one of the two, or give Bearing area.",
                heading="Head diameter",
            )
        for key in ("bar_diameter", "bar_length", "bar_yield"):
            if anchors.number("bars")[item] > 0.0 and not anchors.given[key][item]:
                name = ANCHOR_TYPES.heading(key).name
                yield fault(
                    Code.MISSING_VALUE,
                    anchors.at(item, key),
                    f"Supplementary bars are given, and {name} is blank.",
                    "Give diameter, length in the cone and yield strength of the bars, or no bars.",
                    heading=name,
                )
        if anchors.number("yield_strength")[item] > anchors.number("tensile_strength")[item]:
            yield fault(
                Code.IMPOSSIBLE_VALUE,
                anchors.at(item, "yield_strength"),
                "Yield strength is above Tensile strength.",
                "Correct one of the two.",
                heading="Yield strength",
            )
    mixes = job.table("Mixes")
    for item in np.flatnonzero(mixes.label("strength_curve") == "Hyperbolic").tolist():
        for key, name in (("ultimate_strength", "Ultimate strength"), ("rate_constant", "Rate constant")):
            if not mixes.given[key][item]:
                yield fault(
                    Code.MISSING_VALUE,
                    mixes.at(item, key),
                    f"Strength curve is Hyperbolic, and {name} is blank.",
                    "Give the parameters fitted to the mix's specimens, or choose another curve.",
                    heading=name,
                )
    cold = (mixes.label("maturity_function") == "Nurse-Saul") & (
        mixes.number("reference_temperature") <= mixes.number("datum_temperature")
    )
    for item in np.flatnonzero(cold).tolist():
        yield fault(
            Code.IMPOSSIBLE_VALUE,
            mixes.at(item, "datum_temperature"),
            "Datum temperature is not below Reference temperature.",
            "Correct one of the two.",
            heading="Datum temperature",
        )


def _position_faults(job: Job) -> Iterator[Finding]:
    table, lifts = job.table("Anchor positions"), job.table("Lifts")
    lift = job.lift_of("Anchor positions")
    limit = np.where(lift >= 0, taken(lifts.number("face_length"), lift), np.inf)
    for item in np.flatnonzero(table.number("position") >= limit).tolist():
        yield fault(
            Code.IMPOSSIBLE_VALUE,
            table.at(item, "position"),
            f"Position {table.number('position')[item]:.3g} m is not on the face, which is {limit[item]:.3g} m long.",
            "Measure positions from the left end of the face.",
            heading="Position",
        )


def _crane_faults(job: Job) -> Iterator[Finding]:
    cranes, lifts = job.table("Cranes"), job.table("Lifts")
    last: dict[str, int] = {}
    for item, name in enumerate(cranes.label("crane").tolist()):
        before = last.get(name.casefold())
        radius = cranes.number("radius")
        if before is not None and radius[item] < radius[before]:
            yield fault(
                Code.OUT_OF_ORDER,
                cranes.at(item, "radius"),
                f"Crane {name}: the radius of {radius[item]:.4g} m is less than that of its row before, {radius[before]:.4g} m "
                f"(row {int(cranes.rows[before])}).",
                "Sort the crane's rows from the smallest radius outwards, or correct the radius.",
                heading="Radius",
            )
        last[name.casefold()] = item
    named, radius_given = lifts.label("crane") != "", lifts.given["pick_radius"]
    for rows, key, name, other in (
        (named & ~radius_given, "pick_radius", "Pick radius", "Crane"),
        (radius_given & ~named, "crane", "Crane", "Pick radius"),
    ):
        for item in np.flatnonzero(rows).tolist():
            yield fault(
                Code.MISSING_VALUE,
                lifts.at(item, key),
                f"{other} is given without {name}, so the pick cannot be checked.",
                f"Give {name}, or leave both blank.",
                heading=name,
            )


def _wind_faults(job: Job) -> Iterator[Finding]:
    basis, terrain = job.text("Wind basis"), job.text("Terrain category")
    among = TERRAIN.get(basis, ())
    if terrain and among and terrain not in among:
        yield fault(
            Code.NOT_ON_LIST,
            job.items["Terrain category"].at,
            f"Terrain category {terrain} does not belong to {basis}.",
            f"Choose one of: {', '.join(among)}.",
            terrain,
            "Terrain category",
        )
    if job.text("Hoisting class") and not job.items["Hoisting speed"].given:
        yield fault(
            Code.MISSING_VALUE,
            job.items["Hoisting speed"].at,
            "Hoisting class is given without Hoisting speed, so the dynamic factor is not known.",
            "Give Hoisting speed, or Hook dynamic factor alone.",
            heading="Hoisting speed",
        )


def cross_checks(job: Job) -> list[Finding]:
    """Return every fault that shows only between columns or between sheets."""
    return [
        *_unknown_names(job),
        *_unknown_lifts(job),
        *_lift_faults(job.table("Lifts")),
        *_mean_faults(job.table("Mixes")),
        *_part_faults(job),
        *geometry_faults(job),
        *_position_faults(job),
        *_crane_faults(job),
        *_wind_faults(job),
        *shown_lift_faults(job),
        *specimen_faults(job),
    ]
