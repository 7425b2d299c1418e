"""Every mode's intermediate values for the worst anchor of each lift and stage, as columns of ``Anchor detail``.

A part of a mode has one heading here and in :data:`sheetengine.sheets.detail_looks.DETAIL`, where it is explained.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from sheetengine.columns import Column
from sheetengine.design import anchors_aci, anchors_en
from sheetengine.design.anchor_demand import EN_METHOD, resistances_of
from sheetengine.design.anchor_groups import Edges, Groups, of_rows
from sheetengine.design.anchor_judging import (
    BAR_BOND,
    BAR_STEEL,
    BLOW_OUT,
    CONE,
    EDGE,
    EDGE_UP,
    PRY_OUT,
    PULL_OUT,
    STEEL_SHEAR,
    STEEL_TENSION,
    Resistances,
    anchors_at,
    bending_resistance_of,
    grown_strength,
)
from sheetengine.design.anchor_modes import Anchors

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation

BANDS = {
    CONE: "Cone", f"{CONE}, group": "Group cone", f"{BLOW_OUT}, joint": "Joint blow-out",
    f"{BLOW_OUT}, joint, group": "Group joint blow-out", f"{BLOW_OUT}, end": "End blow-out",
    f"{BLOW_OUT}, end, group": "Group end blow-out", PRY_OUT: "Pry-out", f"{PRY_OUT}, group": "Group pry-out",
    EDGE: "Edge shear", f"{EDGE}, group": "Group edge shear",
    EDGE_UP: "Upward edge", f"{EDGE_UP}, group": "Group upward edge",
}  # fmt: skip
"""What the headings of a mode begin with."""
WORDS = {
    "depth": "depth [mm]", "area": "area [mm2]", "reference": "reference area [mm2]", "edge": "edge distance [mm]",
    "c1": "edge distance [mm]", "s": "edge factor", "re": "surface factor", "c": "cracking factor",
    "ec": "eccentricity factor", "n": "row factor", "h": "thickness factor", "alpha": "direction factor",
    "multiple": "multiple", "basic": "basic resistance [kN]", "resistance": "resistance [kN]",
}  # fmt: skip
"""What the headings of a part end with, in the order of the sheet."""


def _reference(c: Calculation) -> float:
    """Return the strength in MPa at which the parts were evaluated."""
    method = c.job.text("Anchor method")
    if method == EN_METHOD:
        return anchors_en.REFERENCE_STRENGTH
    by = anchors_aci.edition(method)
    return by.reference_strength * by.stress


def _group_columns(prefix: str, group: Edges, share: Column) -> dict[str, Column]:
    return {
        f"{prefix} anchors": group.count,
        f"{prefix} eccentricity [mm]": group.eccentricity,
        f"{prefix} least eccentricity factor": group.mean,
        f"{prefix} part": share,
    }


def detail_columns(c: Calculation) -> dict[str, Column]:
    """Return the columns of ``Anchor detail`` beside block, lift and stage, one entry a case, in base units.

    Forces and ratios are left out by the caller where they are withheld.
    """
    d = c.demand
    anchors = anchors_at(d.proof.anchors, d.row)
    groups = None if d.proof.groups is None else of_rows(d.proof.groups, d.row)
    parts: dict[str, dict[str, Column]] = {}
    held = resistances_of(c.job, anchors, groups, parts)
    root = grown_strength(d.strength, 0.5, held.ceiling)
    scale = root / math.sqrt(_reference(c))
    pull = np.maximum(d.tension, 0.0)
    shear, upward = np.abs(d.shear), np.maximum(-d.shear, 0.0)
    divisors = held.divisors
    if not np.isnan(d.safety_factor).all():
        divisors = dict.fromkeys(divisors, d.safety_factor)
    columns = _givens(c, anchors) | _steel(held, shear, pull, divisors)
    columns |= {
        "Pull-out resistance [kN]": held.concrete[PULL_OUT] * grown_strength(d.strength, 1.0, held.ceiling),
        "Pull-out divisor": divisors[PULL_OUT],
    }
    columns["Pull-out ratio"] = _over(pull, columns["Pull-out resistance [kN]"], divisors[PULL_OUT])
    for mode, prefix in BANDS.items():
        base = mode.split(",")[0]
        if mode in parts:
            columns |= _mode(prefix, base, parts[mode], scale)
    _finish(columns, parts, groups, scale, pull, shear, upward, divisors)
    if BAR_STEEL in held.concrete:
        for name in ("Cone ratio", "Group cone ratio"):
            columns[name] = np.where(held.barred, np.nan, columns.get(name, np.nan * pull))
        bond = held.concrete[BAR_BOND] * grown_strength(d.strength, held.growth[BAR_BOND], held.ceiling)
        columns |= {
            "Bars": anchors.bars,
            "Bars steel resistance [kN]": held.concrete[BAR_STEEL],
            "Bars steel divisor": divisors[BAR_STEEL] + 0.0 * pull,
            "Bars steel ratio": _over(pull, held.concrete[BAR_STEEL], divisors[BAR_STEEL]),
            "Bars anchorage resistance [kN]": bond,
            "Bars anchorage divisor": divisors[BAR_BOND] + 0.0 * pull,
            "Bars anchorage ratio": _over(pull, bond, divisors[BAR_BOND]),
        }
    return {name: np.where(np.isfinite(values), values, np.nan) for name, values in columns.items()}


def _over(load: Column, resistance: Column, divisor: Column) -> Column:
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(np.where(load == 0.0, 0.0 * resistance, load / (resistance / divisor)))


def _givens(c: Calculation, anchors: Anchors) -> dict[str, Column]:
    return {
        "Tension [kN]": c.demand.tension,
        "Shear [kN]": c.demand.shear,
        "Concrete strength [MPa]": c.demand.strength,
        "Embedment [mm]": anchors.embedment,
        "Shank diameter [mm]": anchors.shank,
        "Bearing area [mm2]": anchors.bearing_area,
        "Distance to joint [mm]": anchors.up,
        "Share up [mm]": anchors.share_up,
        "Share down [mm]": np.where(np.isinf(anchors.below), np.nan, anchors.below),
        "Share left [mm]": anchors.left,
        "Share right [mm]": anchors.right,
        "Distance to end [mm]": anchors.end,
        "Thickness [mm]": anchors.thickness,
    }


def _steel(held: Resistances, shear: Column, pull: Column, divisors: dict[str, Column]) -> dict[str, Column]:
    stands_off = np.where(held.stand_off > 0.0, 1.0, np.nan)
    design = held.steel[STEEL_TENSION] / divisors[STEEL_TENSION]
    bending = bending_resistance_of(held, pull, design)
    return {
        "Steel tension resistance [kN]": held.steel[STEEL_TENSION],
        "Steel tension divisor": divisors[STEEL_TENSION],
        "Steel tension ratio": pull / design,
        "Steel shear resistance [kN]": held.steel[STEEL_SHEAR],
        "Steel shear divisor": divisors[STEEL_SHEAR],
        "Steel shear ratio": shear / (held.steel[STEEL_SHEAR] / divisors[STEEL_SHEAR]),
        "Bending basic resistance [kN*m]": held.basic_bending * stands_off,
        "Bending lever arm [mm]": held.lever_arm * stands_off,
        "Bending resistance [kN]": bending * stands_off,
    }


def _mode(prefix: str, base: str, own: dict[str, Column], scale: Column) -> dict[str, Column]:
    """Return the parts of one mode; forces at the strength of the hour."""
    columns = {}
    known = own.get("c1", own.get("depth", scale))
    applies = np.where(np.isnan(known), np.nan, 1.0)
    for key, words in WORDS.items():
        if key in own and not (base == PRY_OUT and key == "multiple" and "group" in prefix):
            values = own[key] * scale if key in ("basic", "resistance") else own[key]
            columns[f"{prefix} {words}"] = values * applies
    return columns


def _finish(
    columns: dict[str, Column],
    parts: dict[str, dict[str, Column]],
    groups: Groups | None,
    scale: Column,
    pull: Column,
    shear: Column,
    upward: Column,
    divisors: dict[str, Column],
) -> None:
    """Add resistances, divisors, ratios, and what belongs to groups."""
    multiple = parts[PRY_OUT]["multiple"]

    def product(own: dict[str, Column]) -> Column:
        factors = [own[key] for key in ("s", "re", "c", "ec") if key in own]
        return np.asarray(own["basic"] * own["area"] / own["reference"] * np.prod(factors, axis=0) * scale)

    cone = product(parts[CONE])
    columns["Cone resistance [kN]"] = cone
    columns["Pry-out resistance [kN]"] = multiple * cone
    for mode, prefix, load in (
        (CONE, "Cone", pull), (f"{BLOW_OUT}, joint", "Joint blow-out", pull),
        (f"{BLOW_OUT}, end", "End blow-out", pull), (PRY_OUT, "Pry-out", shear), (EDGE, "Edge shear", shear),
        (EDGE_UP, "Upward edge", upward),
    ):  # fmt: skip
        if mode == EDGE_UP and mode not in parts:
            continue
        divisor = divisors[mode.split(",")[0]]
        columns[f"{prefix} divisor"] = divisor
        columns[f"{prefix} ratio"] = _over(load, columns[f"{prefix} resistance [kN]"], divisor)
    if groups is None:
        return
    cones = groups.cones
    for prefix, part, along, down, least, mode, load in (
        ("Group cone", cones.pull, cones.pull_along, cones.pull_down, cones.pull_mean, CONE, pull),
        ("Group pry-out", cones.shear, cones.shear_along, cones.shear_down, cones.shear_mean, PRY_OUT, shear),
    ):
        whole = product(parts[f"{mode}, group"]) * (multiple if mode == PRY_OUT else 1.0)
        columns |= {
            f"{prefix} anchors": cones.count, f"{prefix} eccentricity [mm]": along,
            f"{prefix} eccentricity down [mm]": down, f"{prefix} least eccentricity factor": least,
            f"{prefix} part": part, f"{prefix} resistance [kN]": whole,
            f"{prefix} ratio": _over(load, part * whole, divisors[mode]),
        }  # fmt: skip
    for prefix, group, mode, load in (
        ("Group joint blow-out", groups.blow_out_up, BLOW_OUT, pull),
        ("Group end blow-out", groups.blow_out_end, BLOW_OUT, pull),
        ("Group edge shear", groups.edge_end, EDGE, shear),
        ("Group upward edge", groups.edge_up, EDGE_UP, upward),
    ):
        if mode == EDGE_UP and mode not in parts:
            continue
        applies = np.where(np.isnan(columns[f"{prefix} edge distance [mm]"]), np.nan, 1.0)
        columns |= {
            name: values * applies for name, values in _group_columns(prefix, group, group.part).items()
        }
        ratio = _over(load, group.part * columns[f"{prefix} resistance [kN]"], divisors[mode])
        columns[f"{prefix} ratio"] = ratio * applies
