"""Demand ratios of form anchors by ACI 318-19 and ACI 318M-19, chapter 17."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from sheetengine.clauses import (
    aci318_17,
    aci318_17_factors,
    aci318_17_shear_factors,
    aci318_25,
    aci318m_17,
)
from sheetengine.clauses.rows import factors
from sheetengine.columns import Column, Flags
from sheetengine.design import customary
from sheetengine.design.anchor_groups import Cones, Edges, Groups
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
    bending_of,
    judged,
    loads_of,
)
from sheetengine.design.anchor_modes import Anchors, Ratios
from sheetengine.design.anchors_en import Parts, eccentricity_of

GROWTH = {CONE: 0.5, PULL_OUT: 1.0, BLOW_OUT: 0.5, PRY_OUT: 0.5, EDGE: 0.5, EDGE_UP: 0.5, BAR_STEEL: 0.0,
          BAR_BOND: 0.5}  # fmt: skip
"""Power of the cylinder strength by which each strength grows."""


@dataclass(frozen=True, slots=True)
class Edition:
    """One published edition: its formulas, its factors, and how the engine's units become its own.

    ``length``, ``stress`` and ``force`` turn mm, MPa and kN into the edition's units by division.
    """

    formulas: Any
    numbers: dict[str, float]
    length: float
    stress: float
    force: float
    reference_strength: float


def edition(method: str) -> Edition:
    """Return the edition that the job's anchor method names."""
    numbers = factors("aci318_19")
    if method == "ACI 318-19":
        return Edition(
            aci318_17,
            numbers["inch_pound"],
            customary.INCH_MM,
            customary.PSI_MPA,
            customary.POUND_FORCE,
            4000.0,
        )
    return Edition(aci318m_17, numbers["si"], 1.0, 1.0, 1.0, 25.0)


@dataclass(frozen=True, slots=True)
class Reductions:
    """What the nominal strengths are multiplied by: strength reduction factors, or one over the safety factor."""

    steel_tension: Column
    steel_shear: Column
    breakout: Column
    pull_out: Column
    pry_out: Column


def reductions(anchors: Anchors, safety_factor: Column | None) -> Reductions:
    """Return the factors of Tables 17.5.3 for concrete without supplementary reinforcement, or 1 over the safety factor."""
    if safety_factor is not None:
        over = 1.0 / safety_factor
        return Reductions(over, over, over, over, over)
    phi = factors("aci318_19")["strength_reduction"]
    one = np.ones_like(anchors.tension)
    return Reductions(
        np.where(anchors.ductile, phi["steel_ductile_tension"], phi["steel_brittle_tension"]),
        np.where(anchors.ductile, phi["steel_ductile_shear"], phi["steel_brittle_shear"]),
        one * phi["breakout_plain"],
        one * phi["pull_out"],
        one * phi["pry_out"],
    )


def _breakout(anchors: Anchors, by: Edition, strength: Column, cracked: bool, parts: Parts) -> Column:
    """Return the nominal breakout strength of one anchor of its row, in the edition's unit of force."""
    depth = aci318_17_factors.reduced_embedment_depth(**anchors.close_edges)
    area = aci318_17_factors.row_cone_area(
        embedment_depth=depth, distance_up=anchors.share_up, distance_down=anchors.share_down,
        distance_left=anchors.left, distance_right=anchors.right,
    )  # fmt: skip
    parts |= {
        "depth": depth,
        "area": area,
        "edge": np.minimum(anchors.up, anchors.end),
        "ec": np.ones_like(depth),
    }
    return _breakout_of(by, strength, cracked, parts)


def _breakout_of(by: Edition, strength: Column, cracked: bool, parts: Parts) -> Column:
    """Return the nominal breakout strength for a depth, area, edge distance and eccentricity factor."""
    depth, one = parts["depth"], np.ones_like(parts["depth"])
    cracking = factors("aci318_19")["cracking"][
        "tension_breakout_cracked" if cracked else "tension_breakout_uncracked"
    ]
    parts["reference"] = aci318_17_factors.reference_cone_area(embedment_depth=depth)
    parts["s"] = aci318_17_factors.cone_edge_influence(edge_distance=parts["edge"], embedment_depth=depth)
    parts["c"] = one * cracking
    share = aci318_17_factors.tension_breakout_share(
        projected_area=parts["area"], reference_area=parts["reference"], edge_influence=parts["s"],
        eccentricity_influence=parts["ec"], cracking_influence=parts["c"],
    )  # fmt: skip
    basic = by.formulas.basic_breakout(
        breakout_factor=one * by.numbers["breakout_factor"],
        deep_breakout_factor=one * by.numbers["deep_breakout_factor"],
        lightweight_factor=one,
        cylinder_strength=strength,
        embedment_depth=depth / by.length,
    )
    parts["basic"] = basic * by.force
    result: Column = by.formulas.breakout_strength(basic_resistance=basic, breakout_share=share)
    return result


def _breakout_of_group(
    group: Cones, by: Edition, strength: Column, cracked: bool, parts: Parts, *, pry: bool
) -> Column:
    """Return the part of its group's breakout strength that goes with an anchor, ``inf`` where it is by itself."""
    parts |= {"depth": group.depth, "area": group.area, "edge": group.edge}
    if pry:
        parts["ec"] = eccentricity_of(group.depth, group.shear_along, group.shear_down, group.shear_mean)
    else:
        parts["ec"] = eccentricity_of(group.depth, group.pull_along, group.pull_down, group.pull_mean)
    whole = _breakout_of(by, strength, cracked, parts)
    return np.where(group.count > 1.0, whole * (group.shear if pry else group.pull), np.inf)


def _blow_out_towards(
    anchors: Anchors, by: Edition, strength: Column, edge: Column, corner: Column, neighbour: Column, parts: Parts,
    group: Edges | None = None,
) -> Column:  # fmt: skip
    """Return the side-face blow-out strength towards one edge, ``inf`` where not needed.

    With a group, that part of the group's strength that goes with the anchor.
    """
    one = np.ones_like(anchors.embedment)
    needed = aci318_17_factors.blow_out_governs(edge_distance=edge, embedment_depth=anchors.embedment)
    needed = needed & ((group.count > 1.0) if group else True)
    distance = np.where(needed, edge, anchors.embedment)
    basic = by.formulas.basic_blow_out(
        blow_out_factor=one * by.numbers["blow_out_factor"],
        edge_distance=distance / by.length,
        bearing_area=anchors.bearing_area / by.length**2,
        lightweight_factor=one,
        cylinder_strength=strength,
    )
    near_corner = aci318_17_factors.blow_out_corner_factor(
        edge_distance=distance, second_edge_distance=corner
    )
    if group:
        share = aci318_17_factors.blow_out_group_factor(outer_spacing=group.outer, edge_distance=distance)
    else:
        share = aci318_17_factors.blow_out_row_share(anchor_spacing=neighbour, edge_distance=distance)
    resistance = basic * near_corner * share
    parts |= {"c1": np.where(needed, edge, np.nan), "basic": basic * by.force, "s": near_corner, "n": share,
              "resistance": resistance * by.force}  # fmt: skip
    return np.where(needed, resistance * (group.part if group else 1.0), np.inf)


def _edge(
    anchors: Anchors, by: Edition, strength: Column, cracked: bool, parts: Parts, group: Edges | None = None
) -> Column:
    """Return the edge breakout strength at the end of the block to a shear along it, ``inf`` where no end is near.

    With a group, that part of the group's strength that goes with the anchor.
    """
    one = np.ones_like(anchors.embedment)
    along = factors("aci318_19")["direction_factor"]["along_edge"]
    has_end = np.isfinite(anchors.end) if group is None else group.count > 1.0
    edge = anchors.end if group is None else group.distance
    return _edge_towards(anchors, by, strength, cracked, parts, has_end, edge, one, anchors.share_up, anchors.share_down,
                         along, group)  # fmt: skip


def _edge_upward(
    anchors: Anchors, by: Edition, strength: Column, cracked: bool, parts: Parts, group: Edges | None = None
) -> Column:
    """Return the edge breakout strength at the joint above to a shear square to it, ``inf`` where none points to it.

    With a group, that part of the group's strength that goes with the anchor.
    """
    square = factors("aci318_19")["direction_factor"]["square_to_edge"]
    needed = np.broadcast_to(anchors.upward > 0.0, anchors.embedment.shape)
    edge, corner = anchors.up, np.minimum(anchors.end, 1e9)
    if group:
        needed = needed & (group.count > 1.0)
        edge, corner = group.distance, np.where(needed, group.corner, 1e9)
    near_corner = aci318_17_shear_factors.edge_corner_influence(
        edge_distance=np.where(needed, edge, anchors.embedment), second_edge_distance=corner
    )
    return _edge_towards(anchors, by, strength, cracked, parts, needed, edge, near_corner, anchors.left, anchors.right,
                         square, group)  # fmt: skip


def _edge_towards(
    anchors: Anchors,
    by: Edition,
    strength: Column,
    cracked: bool,
    parts: Parts,
    needed: Flags,
    edge: Column,
    near_corner: Column,
    left: Column,
    right: Column,
    direction: float,
    group: Edges | None,
) -> Column:
    """Return the edge breakout strength towards one edge, ``inf`` where not needed."""
    one = np.ones_like(anchors.embedment)
    numbers = factors("aci318_19")
    end = np.where(needed, edge, anchors.embedment)
    parts["s"] = near_corner
    parts["area"] = aci318_17_shear_factors.row_edge_area(
        edge_distance=end, distance_left=left, distance_right=right,
        member_thickness=anchors.thickness,
    )  # fmt: skip
    parts["ec"] = one
    if group:
        parts["area"] = group.length * np.minimum(anchors.thickness, 1.5 * end)
        parts["ec"] = np.maximum(
            aci318_17_shear_factors.edge_eccentricity_influence(
                load_eccentricity=group.eccentricity, edge_distance=end
            ),
            group.mean,
        )
    parts["reference"] = aci318_17_shear_factors.reference_edge_area(edge_distance=end)
    parts["c"] = one * numbers["cracking"]["edge_cracked" if cracked else "edge_uncracked"]
    parts["h"] = aci318_17_shear_factors.edge_thickness_influence(
        edge_distance=end, member_thickness=anchors.thickness
    )
    parts["alpha"] = one * direction
    share = aci318_17_shear_factors.edge_breakout_share(
        projected_area=parts["area"], reference_area=parts["reference"], edge_influence=parts["s"],
        eccentricity_influence=parts["ec"], cracking_influence=parts["c"], thickness_influence=parts["h"],
        direction_factor=parts["alpha"],
    )  # fmt: skip
    basic = by.formulas.basic_edge_breakout(
        bearing_edge_factor=one * by.numbers["bearing_edge_factor"],
        plain_edge_factor=one * by.numbers["plain_edge_factor"],
        load_bearing_length=aci318_17_shear_factors.shear_bearing_length(
            embedment_depth=anchors.embedment, shank_diameter=anchors.shank
        )
        / by.length,
        shank_diameter=anchors.shank / by.length,
        lightweight_factor=one,
        cylinder_strength=strength,
        edge_distance=end / by.length,
    )
    resistance = by.formulas.breakout_strength(basic_resistance=basic, breakout_share=share)
    parts |= {
        "c1": np.where(needed, end, np.nan),
        "basic": basic * by.force,
        "resistance": resistance * by.force,
    }
    return np.where(needed, resistance * (group.part if group else 1.0), np.inf)


def _supplementary(anchors: Anchors, by: Edition) -> tuple[Column, Column]:
    """Return the nominal strength of the supplementary bars, in kN: steel, and anchorage at 1 MPa; ``nan`` without.

    Bars that are shorter than their development length count in proportion to their length.
    """
    numbers = factors("aci318_19")
    one = np.ones_like(anchors.embedment)
    diameter = np.where(anchors.bars > 0.0, anchors.bar_diameter, np.nan) * one
    steel = anchors.bars * np.pi / 4.0 * diameter**2 * anchors.bar_yield / 1000.0
    size = "small" if by.length == 1.0 else "small_inch"
    large = "large" if by.length == 1.0 else "large_inch"
    development = aci318_25.development_length(
        bar_yield_strength=anchors.bar_yield / by.stress * one,
        development_factor=np.where(
            diameter <= numbers["development"]["small_up_to"],
            numbers["development"][size],
            numbers["development"][large],
        ),
        cylinder_strength=one / by.stress,
        bar_diameter=diameter / by.length,
        least_development=0.0 * one,
    )
    return steel, steel * anchors.bar_length / (development * by.length)


def resistances(
    anchors: Anchors,
    *,
    method: str,
    cracked: bool,
    groups: Groups | None = None,
    parts: dict[str, Parts] | None = None,
) -> Resistances:
    """Return the nominal strengths of every anchor in kN, concrete modes at 1 MPa.

    Parameters
    ----------
    anchors
        Anchors; their forces are not looked at.
    method
        ``ACI 318-19`` or ``ACI 318M-19``: the two published editions, not conversions of each other.
    cracked
        Whether the concrete may be cracked.
    groups
        The group of each anchor; ``None``: every anchor by its own share alone.
    parts
        Takes the intermediate values of every mode, by mode.

    Notes
    -----
    Breakout, blow-out, edge and pry-out strengths grow with the root of f'c and pull-out with f'c, so
    each is evaluated once at a strength inside the code's range and scaled. Strengths above the code's
    ceiling count only up to it. Chapter 17 has no rule for a shear force on a lever arm; that of
    EN 1992-4 7.2.2.3.2 is taken where a bolt stands off.
    """
    by = edition(method)
    numbers = factors("aci318_19")
    kept: dict[str, Parts] = {} if parts is None else parts
    one = np.ones_like(anchors.embedment)
    far = one * 1e9
    reference = one * by.reference_strength
    reference_mpa = by.reference_strength * by.stress

    def note(name: str) -> Parts:
        return kept.setdefault(name, {})

    steel = {
        "stressed_area": anchors.net_area / by.length**2,
        "tensile_strength": anchors.tensile / by.stress,
        "yield_strength": anchors.yield_ / by.stress,
    }
    breakout = _breakout(anchors, by, reference, cracked, note(CONE))
    pull_out = by.formulas.pull_out_strength(
        cracking_influence=one * numbers["cracking"]["pull_out_cracked" if cracked else "pull_out_uncracked"],
        bearing_area=anchors.bearing_area / by.length**2,
        cylinder_strength=reference,
    )
    multiple = by.formulas.pry_out_factor(embedment_depth=anchors.embedment / by.length)
    note(PRY_OUT)["multiple"] = multiple
    end = np.where(np.isfinite(anchors.end), anchors.end, 1e9)
    spacing = np.where(np.isfinite(anchors.spacing), anchors.spacing, 1e9)
    down = np.where(np.isfinite(anchors.row_spacing), anchors.row_spacing, 1e9)
    own = {
        CONE: breakout,
        PULL_OUT: pull_out,
        BLOW_OUT: np.minimum(
            _blow_out_towards(anchors, by, reference, anchors.up, end, spacing, note(f"{BLOW_OUT}, joint")),
            _blow_out_towards(anchors, by, reference, end, anchors.up, down, note(f"{BLOW_OUT}, end")),
        ),
        PRY_OUT: by.formulas.pry_out_strength(pry_out_multiple=multiple, tension_breakout=breakout),
        EDGE: _edge(anchors, by, reference, cracked, note(EDGE)),
    }
    upward = bool((anchors.upward > 0.0).any())
    if upward:
        own[EDGE_UP] = _edge_upward(anchors, by, reference, cracked, note(EDGE_UP))
    together = dict(own)
    if groups is not None:
        up, at_end = groups.blow_out_up, groups.blow_out_end
        together |= {
            CONE: _breakout_of_group(groups.cones, by, reference, cracked, note(f"{CONE}, group"), pry=False),
            BLOW_OUT: np.minimum(
                _blow_out_towards(anchors, by, reference, np.where(up.count > 1.0, up.distance, 1e9),
                                  np.where(up.count > 1.0, up.corner, 1e9), far, note(f"{BLOW_OUT}, joint, group"), up),
                _blow_out_towards(anchors, by, reference, np.where(at_end.count > 1.0, at_end.distance, 1e9),
                                  np.where(at_end.count > 1.0, at_end.corner, 1e9), far,
                                  note(f"{BLOW_OUT}, end, group"), at_end),
            ),
            PRY_OUT: by.formulas.pry_out_strength(
                pry_out_multiple=multiple,
                tension_breakout=_breakout_of_group(
                    groups.cones, by, reference, cracked, note(f"{PRY_OUT}, group"), pry=True
                ),
            ),
            EDGE: _edge(anchors, by, reference, cracked, note(f"{EDGE}, group"), groups.edge_end),
        }  # fmt: skip
        if upward:
            together[EDGE_UP] = _edge_upward(
                anchors, by, reference, cracked, note(f"{EDGE_UP}, group"), groups.edge_up
            )
    root = np.sqrt(reference_mpa)
    with_group = {
        name: np.where(np.isnan(own[name]), np.nan, np.minimum(own[name], together[name])) for name in own
    }
    concrete = {
        name: value * by.force / (reference_mpa if name == PULL_OUT else root)
        for name, value in with_group.items()
    }
    bar_steel, bar_bond = _supplementary(anchors, by)
    barred = np.broadcast_to(anchors.bars > 0.0, one.shape)
    if barred.any():
        concrete |= {BAR_STEEL: bar_steel, BAR_BOND: bar_bond}
    phi = reductions(anchors, None)
    over_bars = one / numbers["strength_reduction"]["anchor_reinforcement"]
    bending, arm = bending_of(anchors)
    return Resistances(
        steel={
            STEEL_TENSION: by.formulas.steel_tension_strength(**steel) * by.force,
            STEEL_SHEAR: by.formulas.steel_shear_strength(
                **steel, grout_factor=one * numbers["grout_factor"]["none"]
            )
            * by.force,
        },
        concrete=concrete,
        divisors={
            STEEL_TENSION: 1.0 / phi.steel_tension, STEEL_SHEAR: 1.0 / phi.steel_shear, CONE: 1.0 / phi.breakout,
            PULL_OUT: 1.0 / phi.pull_out, BLOW_OUT: 1.0 / phi.breakout, PRY_OUT: 1.0 / phi.pry_out,
            EDGE: 1.0 / phi.breakout, EDGE_UP: 1.0 / phi.breakout, BAR_STEEL: over_bars, BAR_BOND: over_bars,
        },
        basic_bending=bending, lever_arm=arm, stand_off=anchors.stand_off,
        growth={name: GROWTH[name] for name in concrete}, barred=barred, three_lines=True,
        ceiling=by.numbers["greatest_strength"] * by.stress,
        by_group={name: together[name] < own[name] for name in own},
    )  # fmt: skip


def ratios(anchors: Anchors, *, method: str, cracked: bool, safety_factor: Column | None) -> Ratios:
    """Return every mode's ratio at the strength of the stage's hour, each anchor by its own share.

    Parameters
    ----------
    anchors
        Anchors of every case.
    method
        ``ACI 318-19`` or ``ACI 318M-19``.
    cracked
        Whether the concrete may be cracked.
    safety_factor
        Divides the nominal strengths where the safety basis says so; ``None``: strength reduction factors.
    """
    return judged(resistances(anchors, method=method, cracked=cracked), loads_of(anchors, safety_factor))
