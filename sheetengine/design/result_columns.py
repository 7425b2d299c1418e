"""The columns of the result sheets, in base units, by their headings."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from sheetengine.clauses.fluid_pressure import full_head, pressure_at_depth
from sheetengine.clauses.inclined_faces import normal_stress
from sheetengine.columns import Column, Flags, months_of, taken, texts
from sheetengine.design.anchor_detail import detail_columns
from sheetengine.design.bars import BarCounts, bar_counts
from sheetengine.design.calculate import Calculation
from sheetengine.design.curve_readings import By
from sheetengine.design.embeds import EmbedCounts, embed_counts
from sheetengine.design.faces import leans
from sheetengine.design.layout import Index
from sheetengine.design.lower_rows import lower_rows
from sheetengine.design.readiness import GATE_NAMES
from sheetengine.design.stages import PROJECTION, STAGE_NAMES, hang_hours
from sheetengine.design.verdicts import OUTSIDE_SCOPE

Columns = dict[str, NDArray[Any]]


def keys_of(c: Calculation, lift: Index) -> Columns:
    """Return the key columns of rows that belong to lifts, as the cells of ``Lifts`` hold them."""
    table = c.job.table("Lifts")
    return {"Block": table.raw["block"][lift], "Lift": table.raw["lift"][lift]}


def _label(c: Calculation, lift: Index) -> NDArray[Any]:
    return texts(c.job.lift_name(item) for item in lift.tolist())


def pressure_columns(c: Calculation) -> Columns:
    """Return the rows of ``Pressures``: one a lift."""
    p, every = c.pressure, np.arange(len(c.job.table("Lifts")), dtype=np.int64)
    shown = np.where(c.too_steep, np.nan, 1.0)
    lifts = c.job.table("Lifts")
    density = taken(c.job.table("Mixes").number("unit_weight"), c.layout.mix)
    return {
        **keys_of(c, every),
        "Method": texts([p.method] * every.size),
        "Maximum pressure [kPa]": p.maximum * shown,
        "Governed by": np.where(c.too_steep, "", p.governed_by),
        "Full-head depth [m]": p.full_head_depth * shown,
        "Resultant [kN/m]": c.face.force * shown,
        "Resultant height [m]": c.face.height * shown,
        "Greatest rise rate [m/h]": p.greatest_rise * shown,
        "Panel ratio": p.panel_ratio * shown,
        "Verdict": c.pressure_verdict,
        "Rise rate [m/h]": c.layout.rise,
        "Permissible pressure [kPa]": taken(
            c.job.table("Form units").number("permissible_pressure"), c.layout.unit
        ),
        "Full head [kPa]": full_head(weight_density=density, depth_below_surface=lifts.number("height")),
        "Face inclination [deg]": leans(c.job),
        "Normal pressure [kPa]": c.face.normal * shown,
        "Tangential stress [kPa]": c.face.tangential * shown,
        "Horizontal part [kN/m]": c.face.outward * shown,
        "Uplift [kN/m]": (0.0 - c.face.downward) * shown,
        "Resultant direction [deg]": c.face.direction * shown,
    }


def refused(c: Calculation) -> Flags:
    """Return the cases whose ratio the job refuses to show, since the concrete is below the standard's range."""
    refuses = c.job.text("Below-range strength") == "refuse"
    return np.asarray(c.demand.below & refuses & (c.demand_verdict == OUTSIDE_SCOPE))


def _which_anchor(c: Calculation) -> NDArray[Any]:
    """Return the words for the worst anchor of each case."""
    d = c.demand
    listed = zip(d.position.tolist(), d.end.tolist(), d.group.tolist(), strict=True)
    return texts(
        ("end of block" if end else "between")
        if np.isnan(position)
        else f"at {position:.2f} m" + ("" if np.isnan(group) else f", group of {group:.0f}")
        for position, end, group in listed
    )


def detail_rows(c: Calculation) -> Columns:
    """Return the rows of ``Anchor detail``: those of ``Anchor demand``, with every mode's intermediate values."""
    withheld = c.withheld
    shown = np.where(withheld, np.nan, 1.0)
    ratios = np.where(withheld | refused(c), np.nan, 1.0)
    columns: Columns = {
        **keys_of(c, c.cases.lift),
        "Stage": c.cases.names(),
        "Anchor": _which_anchor(c),
    }
    for heading, values in detail_columns(c).items():
        if heading.startswith(("Group", "Bending", "Upward")) and np.isnan(values).all():
            continue  # no group in the book, no bolt that stands off, no shear to the joint
        columns[heading] = values * (ratios if heading.endswith("ratio") else shown)
    return columns


def demand_columns(c: Calculation) -> Columns:
    """Return the rows of ``Anchor demand``: one a lift and stage."""
    d, found = c.demand, c.cases
    withheld = c.withheld
    forces = np.where(withheld, np.nan, 1.0)
    ratios = np.where(withheld | refused(c), np.nan, 1.0)
    accepted = c.job.text("Below-range accepted by")
    carrier = np.maximum(found.carrier, 0)
    age = np.where(found.carrier >= 0, (found.hour - c.layout.anchor_hour[carrier]) / 24.0, np.nan)
    names = _label(c, carrier)
    infinite = np.isinf(d.required)
    columns: Columns = {
        **keys_of(c, found.lift),
        "Stage": found.names(),
        "Tension [kN]": d.tension * forces,
        "Shear [kN]": d.shear * forces,
        "Foot force [kN]": d.foot * forces,
        "Concrete strength [MPa]": d.strength,
        "Governing mode": np.where(
            np.isnan(ratios) | np.isnan(d.ratio),
            "",
            np.where(c.foot_lifts & ~(d.ratio > 1.0), "Foot lift-off", d.governing),
        ),
        "Demand ratio": d.ratio * ratios,
        "Required strength [MPa]": np.where(infinite, np.nan, d.required) * ratios,
        "Verdict": c.demand_verdict,
    }
    for mode, values in d.modes.items():
        columns[f"Ratio: {mode[0].lower()}{mode[1:]}"] = values * ratios
    columns |= {
        "Least foot force [kN]": np.where(d.least_foot < 0.0, np.nan, d.least_foot) * forces,
        "Safety factor": d.safety_factor,
        "Stage begins": found.hour,
        "Concrete of": np.where(found.carrier >= 0, names, "foundation"),
        "Age [d]": age,
        "Strength reached": np.where(np.isinf(c.case_ready), np.nan, c.case_ready) * ratios,
        "Anchor": _which_anchor(c),
        "Width carried [m]": d.width,
        "Combination": c.forces.combination,
        "Equilibrium residual [kN/m]": c.forces.residual * forces,
        "Accepted by": np.where(d.below & (c.demand_verdict != OUTSIDE_SCOPE), accepted, ""),
    }
    return columns


def _reached(hours: Column) -> Column:
    """Return hours with never as a blank."""
    return np.where(np.isinf(hours), np.nan, hours)


def ready_columns(c: Calculation) -> Columns:
    """Return the rows of ``Strength ready``: one a lift and gate."""
    g = c.gates
    earliest = c.ready_by(By.UPPER)
    return {
        **keys_of(c, g.lift),
        "Gate": texts(GATE_NAMES[gate] for gate in g.gate.tolist()),
        "Required strength [MPa]": np.where(np.isinf(g.required), np.nan, g.required),
        "Predicted strength [MPa]": g.predicted,
        "Planned": g.planned,
        "Ready at": _reached(g.ready),
        "Margin [h]": np.where(np.isinf(g.margin), np.nan, g.margin),
        "Governed by": np.where(
            np.isinf(g.ready),
            texts(f"{text} (not reached)" for text in g.governed_by.tolist()),
            g.governed_by,
        ),
        "Verdict": c.gate_verdict,
        "Earliest at": _reached(earliest),
        "Expected at": _reached(c.ready_by(By.MEAN)),
        "Latest at": np.where(np.isnan(earliest), np.nan, _reached(g.ready)),
        "Temperature from": texts(
            ("constant temperature", "daily air swing", "probe log", "heat of hydration")[source]
            for source in c.temperature.source[g.lift].tolist()
        ),
        "Logged until": c.temperature.switch[g.lift],
    }


def programme_columns(c: Calculation) -> Columns:
    """Return the rows of ``Programme``: one a lift."""
    lifts, p = c.job.table("Lifts"), c.programme
    every = np.arange(len(lifts), dtype=np.int64)

    return {
        **keys_of(c, every),
        "Placed": lifts.number("placed"),
        "Earliest placing": _reached(p.earliest),
        "Stripped": lifts.number("stripped"),
        "Strip ready": _reached(p.strip_ready),
        "Hung": hang_hours(c.job, c.layout),
        "Hang ready": _reached(p.hang_ready),
        "Next lift ready": _reached(p.next_ready),
        "Binding gate": p.binding,
        "Slack [h]": np.where(np.isinf(p.slack), np.nan, p.slack),
        "Verdict": p.verdict,
        "Month": months_of(lifts.number("placed")),
        "Height step [m]": c.height_step,
    }


def embeds_of(c: Calculation) -> EmbedCounts:
    """Return the embed counts of the calculation's layout."""
    above = c.layout.above
    every = np.arange(above.size, dtype=np.int64)
    given_hung = c.job.table("Lifts").given["hung"]
    user = np.where(above >= 0, above, np.where(given_hung, every, -1))
    hung = hang_hours(c.job, c.layout)
    cast = np.where(user >= 0, c.layout.anchors[np.maximum(user, 0)], 0.0)
    first = (c.layout.below < 0) & ~np.isnan(c.job.number("Foundation strength"))
    return embed_counts(
        c.job,
        anchors_cast=cast,
        anchor_items=np.where(user >= 0, c.layout.anchor[np.maximum(user, 0)], -1),
        set_by=np.where(cast > 0.0, c.layout.anchor_hour, np.nan),
        released=np.where(above >= 0, taken(hung, above), np.nan),
        foundation_anchors=np.where(first, c.layout.anchors, 0.0),
        foundation_released=np.where(first, hung, np.nan),
        lower_rows=lower_rows(c.job, c.layout),
    )


def bars_of(c: Calculation) -> BarCounts:
    """Return the bar counts of the job."""
    return bar_counts(c.job)


def profile_of(c: Calculation) -> tuple[str, Columns]:
    """Return the name of the lift whose panel is used most, and the pressure normal to its face against height."""
    ratio = np.where(c.too_steep | np.isnan(c.pressure.panel_ratio), -np.inf, c.pressure.panel_ratio)
    item = int(np.argmax(ratio))
    height = float(c.job.table("Lifts").number("height")[item])
    density = taken(c.job.table("Mixes").number("unit_weight"), c.layout.mix)[item]
    depth = np.unique(np.r_[np.linspace(0.0, height, 25), c.pressure.full_head_depth[item]])
    one = np.ones_like(depth)
    limit = taken(c.job.table("Form units").number("permissible_pressure"), c.layout.unit)[item]
    return str(_label(c, np.array([item]))[0]), {
        "Height [m]": height - depth,
        "Design pressure [kPa]": normal_stress(
            lateral_stress=pressure_at_depth(
                maximum_pressure=one * c.pressure.maximum[item],
                weight_density=one * density,
                depth_below_surface=depth,
            ),
            vertical_stress=density * depth,
            face_inclination=one * leans(c.job)[item],
        ),
        "Full head [kPa]": full_head(weight_density=one * density, depth_below_surface=depth),
        "Permissible [kPa]": one * limit,
    }


def growth_of(c: Calculation) -> tuple[str, Columns, Columns]:
    """Return the name of the lift with the least margin, its strength against time, and its gates."""
    lowest = np.where(np.isnan(c.gates.margin), np.inf, c.gates.margin)
    row = int(np.argmin(lowest)) if lowest.size else 0
    item = int(c.gates.lift[row])
    own = c.gates.lift == item
    last = np.nanmax(np.r_[c.gates.planned[own], np.where(np.isinf(c.gates.ready[own]), np.nan, c.gates.ready[own]),
                           c.layout.anchor_hour[item] + 72.0])  # fmt: skip
    ages = np.arange(0.0, min(last - c.layout.anchor_hour[item], 60 * 24.0) + 12.0, 3.0)
    lift = np.full(ages.size, item, dtype=np.int64)
    hours = c.layout.anchor_hour[item] + ages
    age = (c.gates.planned[own] - c.layout.anchor_hour[item]) / 24.0
    required = np.where(np.isinf(c.gates.required[own]), np.nan, c.gates.required[own])
    return (
        str(_label(c, np.array([item]))[0]),
        {
            "Age [d]": ages / 24.0,
            "Strength [MPa]": c.history.strength(lift, hours),
            "Mean [MPa]": c.history.read_by(c.curves, By.MEAN).strength(lift, hours),
            "Upper bound [MPa]": c.history.read_by(c.curves, By.UPPER).strength(lift, hours),
        },
        {
            "Gate": texts(GATE_NAMES[gate] for gate in c.gates.gate[own].tolist()),
            "Planned age [d]": age,
            "Required strength [MPa]": required,
            "Predicted strength [MPa]": c.gates.predicted[own],
        },
    )


def demand_by_lift(c: Calculation) -> Columns:
    """Return the demand ratio of every lift by stage, for the chart."""
    count = len(c.job.table("Lifts"))
    grid = np.full((len(STAGE_NAMES), count), np.nan)
    known = ~(c.withheld | refused(c)) & np.isfinite(c.demand.ratio)
    shown, lower = known & ~c.cases.lower, known & c.cases.lower
    grid[c.cases.stage[shown], c.cases.lift[shown]] = c.demand.ratio[shown]
    every = np.arange(count, dtype=np.int64)
    columns: Columns = {"Lift": _label(c, every), "No.": every + 1.0}
    for stage, name in enumerate(STAGE_NAMES):
        if stage != PROJECTION or (c.cases.stage == PROJECTION).any():
            columns[name] = grid[stage]
    if c.cases.lower.any():
        columns["Lower row"] = np.full(count, -np.inf)
        np.maximum.at(columns["Lower row"], c.cases.lift[lower], c.demand.ratio[lower])
        columns["Lower row"] = np.where(np.isinf(columns["Lower row"]), np.nan, columns["Lower row"])
    return columns
