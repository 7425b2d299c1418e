"""What the hand check starts from, and the engine's own numbers beside: a row for each lift and stage, and for each gate."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from sheetengine.clauses import aci347r_loads
from sheetengine.clauses.en206_specimens import CUBE
from sheetengine.clauses.fluid_pressure import full_head
from sheetengine.columns import Column, Flags, taken, taken_texts, texts
from sheetengine.design.anchor_demand import RATED_MODES
from sheetengine.design.anchor_detail import detail_columns
from sheetengine.design.anchor_groups import of_rows
from sheetengine.design.anchor_judging import anchors_at
from sheetengine.design.combinations import TARGETS, least_lateral
from sheetengine.design.faces import seats
from sheetengine.design.fitted_laws import points_of_lower
from sheetengine.design.pressure import face_of
from sheetengine.design.projections import projections
from sheetengine.design.readiness import GATE_NAMES, STRIP
from sheetengine.design.specimens import FITTED
from sheetengine.design.stages import (
    FILLED,
    HUNG,
    PLACING,
    PROJECTION,
    SET_BACK,
    STANDING,
    platform_offset,
    wind_pressure,
)
from sheetengine.design.strength_curves import ACI_CURVE, EN_CURVE, FIB_CURVE, HYPERBOLA

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation

FAR = 1e9
"""Stands for a distance without end, in mm."""
Rows = dict[str, NDArray[Any]]
POINTS = ("Point before [h]", "Bound before [MPa]", "Point after [h]", "Bound after [MPa]")
"""Points of the lower prediction bound on both sides of an age."""


UPWARD_PARTS = ("basic resistance [kN]", "area [mm2]", "edge factor", "eccentricity factor", "thickness factor",
                "resistance [kN]", "ratio")  # fmt: skip
WHERE_THERE_IS_ONE = (
    *(f"{edge} {part}" for edge in ("Upward edge", "Group upward edge") for part in UPWARD_PARTS),
    "Bars steel resistance [kN]", "Bars anchorage resistance [kN]", "Bars steel ratio", "Bars anchorage ratio", "Rated tension", "Rated shear",
)  # fmt: skip
"""Numbers of the engine that a book has only where something asks for them."""


def _known(rows: Rows, *, but: tuple[str, ...] = ()) -> Flags:
    """Return where every number is known."""
    numbers = [values for name, values in rows.items() if values.dtype.kind == "f" and name not in but]
    return np.asarray(np.all([np.isfinite(values) for values in numbers], axis=0))


def _pressure_rows(c: Calculation) -> tuple[Rows, Rows]:
    """Return givens and results of the pressure on every lift."""
    face, p = face_of(c.job, c.layout), c.pressure
    lifts, mixes = c.job.table("Lifts"), c.job.table("Mixes")
    confirmed = taken(mixes.number("set_confirmed"), c.layout.mix)
    layer = lifts.number("layer_depth")
    given: Rows = {
        "Unit weight [kN/m3]": face.weight_density,
        "Height [m]": face.height,
        "Rise rate [m/h]": face.rise,
        "Concrete temperature [degC]": face.temperature,
        "Panel height [m]": face.panel_height,
        "Is column": face.is_column,
        "Cement group": face.cement_group,
        "Retarder": face.retarder,
        "Consistency class": face.consistency,
        "Slump [mm]": face.slump,
        "Final set [h]": np.where(np.isnan(face.final_set), 0.0, face.final_set),
        "Vibration depth [m]": face.vibration_depth,
        "Set confirmed": np.where(confirmed == 0.0, 0.0, 1.0),
        "Layer depth [m]": np.where(np.isnan(layer), 0.0, layer),
    }
    din = c.job.text("Pressure method") == "DIN 18218:2010"
    unset = (face.retarder == 1.0) & np.isnan(face.final_set)
    covered = _known(given) & ~((unset | (face.consistency == "")) & din)
    given["Pressure covered"] = covered.astype(np.float64)
    found: Rows = {
        "Full head [kPa]": full_head(weight_density=face.weight_density, depth_below_surface=face.height),
        "Maximum pressure [kPa]": p.maximum,
        "Full-head depth [m]": p.full_head_depth,
        "Lateral resultant [kN/m]": p.resultant,
        "Lateral resultant height [m]": p.resultant_height,
    }
    return given, found


def _statics_rows(c: Calculation) -> Rows:
    """Return what the forces of every case start from, and the foot force."""
    found, units = c.cases, c.job.table("Form units")
    holder, stage = found.holder, found.stage
    unit = c.layout.unit[holder]
    one = np.ones(stage.size)

    def of_unit(key: str) -> Column:
        return taken(units.number(key), unit)

    moved = (stage == SET_BACK) | (stage == HUNG)
    top = np.zeros(stage.size)
    if least_lateral(c.job):
        rule = aci347r_loads.NUMBERS["si"]
        upright = np.cos(np.radians(seats(c.job, c.layout, holder, found.seat).inclination))
        top = aci347r_loads.least_lateral_load(
            form_height=of_unit("panel_height") * upright, line_load=rule["line_load"] * one,
            wind_pressure=rule["wind_pressure"] * one,
        )  # fmt: skip
        top = np.where(moved, 0.0, top)
    by = c.factors
    seat = seats(c.job, c.layout, holder, found.seat)
    jutting = projections(c.job, c.layout)
    juts = stage == PROJECTION
    aims = np.asarray(TARGETS[c.forces.target])

    def jut(values: Column) -> Column:
        return np.where(juts, values[holder], 0.0)

    rows: Rows = {
        "Concrete acts": np.isin(stage, FILLED).astype(np.float64),
        "Filled to [m]": c.forces.level,
        "Face lean [deg]": seat.inclination,
        "Carrier lean [deg]": seat.carrier_inclination,
        "Foot lean [deg]": seat.foot_inclination,
        "Mass [kg]": of_unit("mass"),
        "Width [m]": of_unit("width"),
        "Mass offset [m]": of_unit("mass_offset"),
        "Travel [m]": np.where(moved, of_unit("set_back_travel"), 0.0),
        "Platform class": of_unit("platform_class"),
        "Occupied platform width [m]": np.where(stage == STANDING, 0.0, of_unit("platform_width")),
        "Platform offset [m]": taken(platform_offset(c.job), unit),
        "Wind pressure [kPa]": wind_pressure(c.job, c.layout, found),
        "Least lateral load [kN/m]": top,
        "Projection reach [m]": jut(jutting.reach),
        "Projection root [m]": jut(jutting.root),
        "Projection tip [m]": jut(jutting.tip),
        "Projection work [kPa]": jut(jutting.work),
        "Anchor depth [m]": seat.anchor_depth,
        "Foot out [m]": seat.foot_out,
        "Foot level [m]": seat.foot_level,
        "Is lower row": found.lower.astype(np.float64),
        "Weight on tension": aims[:, 0],
        "Weight on shear": aims[:, 1],
        "Weight on foot force": aims[:, 2],
        "Width in tension [m]": c.demand.pull,
        "Width of one anchor [m]": c.demand.width,
        "Width added at the foot [m]": c.demand.foot_pull,
        "Factor permanent": one * by.permanent_unfavourable,
        "Factor permanent favourable": one * by.permanent_favourable,
        "Factor variable": one * by.variable,
        "Factor fresh concrete": one * by.fresh_concrete,
        "Factor wind": one * by.wind,
    }
    covered = _known(rows) & np.isfinite(c.pressure.maximum[holder]) & ~c.withheld
    return rows | {"Statics covered": covered.astype(np.float64), "Foot force [kN]": c.demand.foot}


def _group_rows(c: Calculation) -> Rows:
    """Return what the layout says of the groups of every case's anchor, 0 where it is by itself; empty without groups."""
    if c.demand.proof.groups is None:
        return {}
    found = of_rows(c.demand.proof.groups, c.demand.row)
    cones = found.cones
    rows: Rows = {
        "Group cone anchors": cones.count, "Group cone depth [mm]": cones.depth, "Group cone area [mm2]": cones.area,
        "Group cone edge distance [mm]": cones.edge, "Group pry-out anchors": cones.count,
    }  # fmt: skip
    for prefix, part, along, down, least in (
        ("Group cone", cones.pull, cones.pull_along, cones.pull_down, cones.pull_mean),
        ("Group pry-out", cones.shear, cones.shear_along, cones.shear_down, cones.shear_mean),
    ):
        rows |= {
            f"{prefix} part": part, f"{prefix} eccentricity [mm]": along, f"{prefix} eccentricity down [mm]": down,
            f"{prefix} least eccentricity factor": least,
        }  # fmt: skip
    for prefix, group in (
        ("Group joint blow-out", found.blow_out_up), ("Group end blow-out", found.blow_out_end),
        ("Group edge shear", found.edge_end), ("Group upward edge", found.edge_up),
    ):  # fmt: skip
        rows |= {
            f"{prefix} anchors": group.count, f"{prefix} edge distance [mm]": group.distance,
            f"{prefix} length [mm]": group.length, f"{prefix} corner [mm]": np.minimum(group.corner, FAR),
            f"{prefix} neighbours [mm]": group.spacing, f"{prefix} outermost [mm]": group.outer,
            f"{prefix} part": group.part, f"{prefix} eccentricity [mm]": group.eccentricity,
            f"{prefix} least eccentricity factor": group.mean,
        }  # fmt: skip
    return {name: np.nan_to_num(values) for name, values in rows.items()}


def _anchor_rows(c: Calculation) -> Rows:
    """Return what the ratios of every case start from, and every intermediate value of the engine."""
    d = c.demand
    anchors = anchors_at(d.proof.anchors, d.row)
    detail = detail_columns(c)
    legs = np.nan_to_num(np.broadcast_to(anchors.bars, d.tension.shape))

    def near(values: Column) -> Column:
        return np.where(np.isfinite(values), np.minimum(values, FAR), FAR)

    given: Rows = {
        "Tension [kN]": d.tension,
        "Shear [kN]": d.shear,
        "Concrete strength [MPa]": d.strength,
        "Embedment [mm]": anchors.embedment,
        "Shank diameter [mm]": anchors.shank,
        "Bearing area [mm2]": anchors.bearing_area,
        "Net area [mm2]": anchors.net_area,
        "Tensile strength [MPa]": anchors.tensile,
        "Yield strength [MPa]": anchors.yield_,
        "Distance to joint [mm]": near(anchors.up),
        "Distance to end [mm]": near(anchors.end),
        "Share up [mm]": near(anchors.share_up),
        "Share down [mm]": near(anchors.share_down),
        "Share left [mm]": near(anchors.left),
        "Share right [mm]": near(anchors.right),
        "Thickness [mm]": near(anchors.thickness),
        "Cone depth [mm]": detail["Cone depth [mm]"],
        "Neighbour spacing [mm]": near(anchors.spacing),
        "Row spacing [mm]": near(anchors.row_spacing),
        "Cracked": np.full(d.tension.size, 1.0 if c.job.yes("Concrete cracked") else 0.0),
        "Ductile": np.broadcast_to(anchors.ductile, d.tension.shape).astype(np.float64),
        "Safety factor": np.where(np.isnan(d.safety_factor), 0.0, d.safety_factor),
        "Service tension [kN]": c.forces.service_tension * d.pull,
        "Service shear [kN]": c.forces.service_shear * d.width,
        "Rated tension [kN]": np.nan_to_num(
            taken(c.job.table("Anchor types").number("rated_tension"), c.cases.anchor)
        ),
        "Rated shear [kN]": np.nan_to_num(
            taken(c.job.table("Anchor types").number("rated_shear"), c.cases.anchor)
        ),
        "Stand-off [mm]": np.nan_to_num(anchors.stand_off),
        "Bars": legs,
        "Bar diameter [mm]": np.where(legs > 0.0, anchors.bar_diameter, 0.0),
        "Bar length [mm]": np.where(legs > 0.0, anchors.bar_length, 0.0),
        "Bar yield [MPa]": np.where(legs > 0.0, anchors.bar_yield, 0.0),
    }
    given |= _group_rows(c)
    covered = _known(given) & np.isfinite(d.ratio) & (d.strength > 0.0) & ~c.withheld
    given["Anchor covered"] = covered.astype(np.float64)
    modes = {name: values for name, values in d.modes.items() if name.startswith("Interaction")}
    modes |= {name: np.maximum(d.modes[name], 0.0) for name in RATED_MODES if name in d.modes}
    leaning = seats(c.job, c.layout, c.cases.holder, c.cases.seat).leans
    # there every mode has its greatest ratio of several combinations, and may not be that of the forces shown
    modes = {name: np.where(leaning, np.nan, values) for name, values in modes.items()}
    absent = dict.fromkeys(WHERE_THERE_IS_ONE, np.full(d.ratio.shape, np.nan))
    return absent | (
        {name: values for name, values in detail.items() if name not in given}
        | given
        | modes
        | {"Demand ratio": d.ratio}
    )


def hand_rows(c: Calculation) -> Rows:
    """Return a row for each lift and stage: keys, what the chains start from, and the engine's numbers, in base units."""
    found = c.cases
    lifts = c.job.table("Lifts")
    given, results = _pressure_rows(c)
    rows: Rows = {
        "Row of the check": texts(
            f"{c.job.lift_name(lift)} · {name}"
            for lift, name in zip(found.lift.tolist(), found.names().tolist(), strict=True)
        ),
        "Lifts row": lifts.rows[found.holder].astype(np.float64),
        "Mixes row": taken(c.job.table("Mixes").rows.astype(np.float64), c.layout.mix[found.holder]),
        "Form units row": taken(
            c.job.table("Form units").rows.astype(np.float64), c.layout.unit[found.holder]
        ),
        "Anchor types row": taken(c.job.table("Anchor types").rows.astype(np.float64), found.anchor),
    }
    for name, values in (given | results).items():
        rows[name] = values[found.holder]
    rows |= _anchor_rows(c)
    rows |= _statics_rows(c)
    return rows


def gate_rows(c: Calculation) -> Rows:
    """Return a row for each gate: keys, what the chain starts from, and the engine's numbers."""
    g, history = c.gates, c.history
    mix = c.layout.mix[g.lift]
    mixes = c.job.table("Mixes")
    top_age = history.top.age_at(g.lift, c.layout.top_hour[g.lift])
    strip_age = np.maximum(history.top.age_at(g.lift, g.planned) - top_age, 0.0)
    age = np.where(g.gate == STRIP, strip_age, history.maturity.age_at(g.lift, g.planned))
    start = float(np.nanmin(c.job.table("Lifts").number("placed")))
    curve = taken_texts(c.curves.curve, mix)
    constants = {
        name: taken(mixes.number(key), mix)
        for name, key in (
            ("ACI a [h]", "aci_a"), ("ACI b", "aci_b"), ("Limiting strength [MPa]", "ultimate_strength"),
            ("Rate constant [1/h]", "rate_constant"), ("Strength start [h]", "strength_start"),
        )
    }  # fmt: skip
    cube = taken(c.curves.is_cube.astype(np.float64), mix)
    above_table = (curve == HYPERBOLA) & (cube == 1.0) & (constants["Limiting strength [MPa]"] > CUBE[-1])
    points = points_of_lower(c.curves.fits, mix, age)
    fitted = (curve == FITTED) & np.all([np.isfinite(values) for values in points], axis=0)
    rows: Rows = {
        "Strength 28 d [MPa]": taken(c.curves.characteristic, mix),
        "Equivalent age [h]": age,
        "Required strength [MPa]": np.where(np.isfinite(g.required), g.required, np.nan),
        "Planned [h]": g.planned - start,
        "Ready at [h]": np.where(np.isfinite(g.ready), g.ready - start, np.nan),
    }
    by_law = np.isin(curve, (EN_CURVE, FIB_CURVE, ACI_CURVE, HYPERBOLA)) & ~above_table
    covered = np.isfinite(rows["Equivalent age [h]"]) & (by_law | fitted)
    return {
        "Row of the check": texts(
            f"{c.job.lift_name(lift)} · {GATE_NAMES[gate]}"
            for lift, gate in zip(g.lift.tolist(), g.gate.tolist(), strict=True)
        ),
        **rows,
        "Strength curve": curve,
        "Strength class": taken_texts(mixes.label("strength_class"), mix),
        "Cement strength class": taken_texts(mixes.label("cement_strength_class"), mix),
        **{name: np.where(np.isnan(values), 0.0, values) for name, values in constants.items()},
        **{
            name: np.where(np.isnan(values), 0.0, values) for name, values in zip(POINTS, points, strict=True)
        },
        "Is cube": cube,
        "Is mean": taken(c.curves.is_mean.astype(np.float64), mix),
        "Strength covered": covered.astype(np.float64),
        "Predicted strength [MPa]": g.predicted,
        "Margin [h]": np.where(np.isfinite(g.margin), g.margin, np.nan),
    }


def first_shown(c: Calculation) -> tuple[str, str]:
    """Return the row with the greatest ratio, and the gate with the least margin, which the check shows first."""
    rows, gates = hand_rows(c), gate_rows(c)
    covered = rows["Anchor covered"] == 1.0
    ratio = np.where(np.isnan(c.demand.ratio) | (c.cases.stage != PLACING) | ~covered, -1.0, c.demand.ratio)
    covered = gates["Strength covered"] == 1.0
    margin = np.where(np.isnan(c.gates.margin), np.inf, c.gates.margin) + np.where(covered, 0.0, 1e6)
    return (
        str(rows["Row of the check"][int(np.argmax(ratio))]) if ratio.size else "",
        str(gates["Row of the check"][int(np.argmin(margin))]) if margin.size else "",
    )
