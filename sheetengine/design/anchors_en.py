"""Demand ratios of form anchors by EN 1992-4:2018."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sheetengine.clauses import (
    en1992_1_1_bond,
    en1992_4_edge,
    en1992_4_head,
    en1992_4_interaction,
    en1992_4_pry_out,
    en1992_4_steel,
    en1992_4_tension,
)
from sheetengine.clauses.rows import factors
from sheetengine.columns import Column, Flags
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

Parts = dict[str, Column]
"""Intermediate values of one mode."""
GROWTH = {
    CONE: 0.5,
    PULL_OUT: 1.0,
    BLOW_OUT: 0.5,
    PRY_OUT: 0.5,
    EDGE: 0.5,
    EDGE_UP: 0.5,
    BAR_STEEL: 0.0,
    BAR_BOND: 2.0 / 3.0,
}
"""Power of the cylinder strength by which each resistance grows."""
REFERENCE_STRENGTH = 25.0
"""Strength, in MPa and within the standard's range, at which the resistances are evaluated."""
ALONG_EDGE = 90.0
"""Angle in degrees of a shear force that runs along the end of the block."""
SQUARE_TO_EDGE = 0.0
"""Angle in degrees of a shear force that points to the joint."""


@dataclass(frozen=True, slots=True)
class Divisors:
    """What the characteristic resistances are divided by: partial factors, or one safety factor."""

    concrete: Column
    steel_tension: Column
    steel_shear: Column


def divisors(anchors: Anchors, safety_factor: Column | None) -> Divisors:
    """Return the partial factors of EN 1992-4, or the safety factor where strengths are divided by one."""
    if safety_factor is not None:
        return Divisors(safety_factor, safety_factor, safety_factor)
    steel = {"tensile_strength": anchors.tensile, "yield_strength": anchors.yield_}
    concrete = float(factors("en1992_4")["partial_factor"]["concrete_modes"])
    return Divisors(
        np.full(anchors.tension.shape, concrete),
        en1992_4_steel.steel_partial_factor_tension(**steel),
        en1992_4_steel.steel_partial_factor_shear(**steel),
    )


def _cone(anchors: Anchors, strength: Column, cracked: str, parts: Parts) -> Column:
    """Return the characteristic cone resistance of one anchor of its row. [kN]."""
    depth = en1992_4_tension.reduced_embedment_depth(**anchors.close_edges)
    far = np.full_like(depth, 1e9)
    area = en1992_4_tension.row_cone_area(
        embedment_depth=depth, distance_up=anchors.share_up, distance_down=anchors.share_down,
        distance_left=anchors.left, distance_right=anchors.right,
    )  # fmt: skip
    parts |= {"depth": depth, "area": area, "edge": np.minimum(anchors.up, anchors.end)}
    parts["re"] = en1992_4_tension.spalling_influence(
        embedment_depth=anchors.embedment, bar_spacing=far, bar_diameter=np.ones_like(depth)
    )
    parts["ec"] = np.ones_like(depth)
    return _cone_of(strength, cracked, parts)


def _cone_of(strength: Column, cracked: str, parts: Parts) -> Column:
    """Return the characteristic cone resistance for a depth, area, edge distance and eccentricity factor. [kN]."""
    depth, one = parts["depth"], np.ones_like(parts["depth"])
    parts["basic"] = en1992_4_tension.basic_cone_resistance(
        cone_factor=one * factors("en1992_4")["cone_factor"][cracked],
        cylinder_strength=strength,
        embedment_depth=depth,
    )
    parts["reference"] = en1992_4_tension.reference_cone_area(embedment_depth=depth)
    parts["s"] = en1992_4_tension.cone_edge_influence(edge_distance=parts["edge"], embedment_depth=depth)
    return en1992_4_tension.cone_resistance(
        basic_resistance=parts["basic"], projected_area=parts["area"], reference_area=parts["reference"],
        edge_influence=parts["s"], spalling_factor=parts["re"], eccentricity_influence=parts["ec"],
        compression_influence=one,
    )  # fmt: skip


def eccentricity_of(depth: Column, along: Column, down: Column, mean: Column) -> Column:
    """Return the eccentricity factor in both directions, never below mean over greatest force of the group."""
    factor = en1992_4_tension.cone_eccentricity_influence(
        load_eccentricity=along, embedment_depth=depth
    ) * en1992_4_tension.cone_eccentricity_influence(load_eccentricity=down, embedment_depth=depth)
    return np.maximum(factor, mean)


def _cone_of_group(
    anchors: Anchors, group: Cones, strength: Column, cracked: str, parts: Parts, *, pry: bool
) -> Column:
    """Return the part of its group's cone resistance that goes with an anchor, ``inf`` where it is by itself. [kN]."""
    parts |= {"depth": group.depth, "area": group.area, "edge": group.edge}
    parts["re"] = en1992_4_tension.spalling_influence(
        embedment_depth=anchors.embedment,
        bar_spacing=np.full_like(group.depth, 1e9),
        bar_diameter=np.ones_like(group.depth),
    )
    if pry:
        parts["ec"] = eccentricity_of(group.depth, group.shear_along, group.shear_down, group.shear_mean)
    else:
        parts["ec"] = eccentricity_of(group.depth, group.pull_along, group.pull_down, group.pull_mean)
    whole = _cone_of(strength, cracked, parts)
    return np.where(group.count > 1.0, whole * (group.shear if pry else group.pull), np.inf)


def _blow_out_towards(
    anchors: Anchors,
    strength: Column,
    edge: Column,
    left: Column,
    right: Column,
    corner: Column,
    cracked: str,
    parts: Parts,
    group: Edges | None = None,
) -> Column:
    """Return the blow-out resistance towards one edge, ``inf`` where it need not be checked. [kN].

    With a group, that part of the group's resistance that goes with the anchor.
    """
    factor = factors("en1992_4")["blow_out_factor"][cracked]
    one = np.ones_like(anchors.embedment)
    needed = en1992_4_head.blow_out_governs(edge_distance=edge, embedment_depth=anchors.embedment)
    needed = needed & ((group.count > 1.0) if group else True)
    distance = np.where(needed, edge, anchors.embedment)
    parts["c1"], parts["n"], parts["ec"] = np.where(needed, edge, np.nan), one, one
    if group:
        parts["n"] = en1992_4_head.blow_out_group_influence(
            anchor_count=group.count, anchor_spacing=group.spacing, edge_distance=distance
        )
        parts["ec"] = np.maximum(
            en1992_4_head.blow_out_eccentricity_influence(
                load_eccentricity=group.eccentricity, edge_distance=distance
            ),
            group.mean,
        )
    parts["basic"] = en1992_4_head.basic_blow_out_resistance(
        blow_out_factor=one * factor, edge_distance=distance, bearing_area=anchors.bearing_area,
        cylinder_strength=strength,
    )  # fmt: skip
    parts["area"] = en1992_4_head.row_blow_out_area(
        edge_distance=distance, distance_left=left, distance_right=right,
        embedment_depth=anchors.embedment,
        depth_behind_head=np.maximum(anchors.thickness - anchors.embedment, 0.0),
    )  # fmt: skip
    if group:  # the length that the group covers in place of that of one anchor
        one_length = np.minimum(left, 2.0 * distance) + np.minimum(right, 2.0 * distance)
        parts["area"] = parts["area"] / one_length * group.length
    parts["reference"] = en1992_4_head.reference_blow_out_area(edge_distance=distance)
    parts["s"] = en1992_4_head.blow_out_edge_influence(
        edge_distance=distance, second_edge_distance=np.minimum(corner, 1e9)
    )
    resistance = en1992_4_head.blow_out_resistance(
        basic_resistance=parts["basic"], projected_area=parts["area"], reference_area=parts["reference"],
        edge_influence=parts["s"], group_influence=parts["n"], eccentricity_influence=parts["ec"],
    )  # fmt: skip
    parts["resistance"] = resistance
    return np.where(needed, resistance * (group.part if group else 1.0), np.inf)


def _edge(
    anchors: Anchors, strength: Column, cracked: str, parts: Parts, group: Edges | None = None
) -> Column:
    """Return the edge resistance at the end of the block to a shear along it, ``inf`` where not needed. [kN].

    With a group, that part of the group's resistance that goes with the anchor.
    """
    end = np.where(np.isfinite(anchors.end), anchors.end, 1e9)
    corner = anchors.up
    if group:
        end, corner = (
            np.where(group.count > 1.0, group.distance, 1e9),
            np.where(group.count > 1.0, group.corner, 1e9),
        )
    needed = en1992_4_edge.edge_check_needed(
        edge_distance=end, embedment_depth=anchors.embedment, shank_diameter=anchors.shank
    )
    return _edge_towards(anchors, strength, cracked, parts, needed, end, corner, anchors.share_up, anchors.share_down,
                         ALONG_EDGE, group)  # fmt: skip


def _edge_upward(
    anchors: Anchors, strength: Column, cracked: str, parts: Parts, group: Edges | None = None
) -> Column:
    """Return the edge resistance at the joint above to a shear square to it, ``inf`` where none points to it. [kN].

    With a group, that part of the group's resistance that goes with the anchor.
    """
    needed = np.broadcast_to(anchors.upward > 0.0, anchors.embedment.shape)
    edge, corner = anchors.up, np.minimum(anchors.end, 1e9)
    if group:
        needed = needed & (group.count > 1.0)
        edge, corner = group.distance, np.where(needed, group.corner, 1e9)
    return _edge_towards(anchors, strength, cracked, parts, needed, edge, corner, anchors.left, anchors.right,
                         SQUARE_TO_EDGE, group)  # fmt: skip


def _edge_towards(
    anchors: Anchors,
    strength: Column,
    cracked: str,
    parts: Parts,
    needed: Flags,
    edge: Column,
    corner: Column,
    left: Column,
    right: Column,
    angle: float,
    group: Edges | None,
) -> Column:
    """Return the resistance of one edge to a shear at an angle to its normal, ``inf`` where not needed. [kN]."""
    one = np.ones_like(anchors.embedment)
    distance = np.where(needed, edge, anchors.embedment)
    shank = np.minimum(anchors.shank, 60.0)
    parts["c1"], parts["ec"] = np.where(needed, edge, np.nan), one
    parts["basic"] = en1992_4_edge.basic_edge_resistance(
        edge_breakout_factor=one * factors("en1992_4")["edge_breakout_factor"][cracked],
        shank_diameter=shank,
        effective_length=en1992_4_edge.effective_shear_length(
            embedment_depth=anchors.embedment, shank_diameter=shank
        ),
        cylinder_strength=strength, edge_distance=distance,
    )  # fmt: skip
    parts["area"] = en1992_4_edge.row_edge_area(
        edge_distance=distance, distance_left=left, distance_right=right,
        member_thickness=anchors.thickness,
    )  # fmt: skip
    if group:
        parts["area"] = group.length * np.minimum(anchors.thickness, 1.5 * distance)
        parts["ec"] = np.maximum(
            en1992_4_edge.edge_eccentricity_influence(
                load_eccentricity=group.eccentricity, edge_distance=distance
            ),
            group.mean,
        )
    parts["reference"] = en1992_4_edge.reference_edge_area(edge_distance=distance)
    parts["s"] = en1992_4_edge.edge_corner_influence(edge_distance=distance, second_edge_distance=corner)
    parts["h"] = en1992_4_edge.edge_thickness_influence(
        edge_distance=distance, member_thickness=anchors.thickness
    )
    parts["alpha"] = en1992_4_edge.edge_angle_influence(shear_angle=one * angle)
    resistance = en1992_4_edge.edge_resistance(
        basic_resistance=parts["basic"], projected_area=parts["area"], reference_area=parts["reference"],
        edge_influence=parts["s"], thickness_influence=parts["h"], eccentricity_influence=parts["ec"],
        angle_influence=parts["alpha"], reinforcement_influence=one,
    )  # fmt: skip
    parts["resistance"] = resistance
    return np.where(needed, resistance * (group.part if group else 1.0), np.inf)


def _supplementary(anchors: Anchors) -> tuple[Column, Column]:
    """Return the characteristic resistance of the supplementary bars, steel and anchorage at 1 MPa; ``nan`` without. [kN].

    The bond is that of EN 1992-1-1 8.4.2 with the partial factor of the concrete left for later, and of bars
    whose bond conditions are not shown to be good.
    """
    numbers = factors("en1992_4")["supplementary_reinforcement"]
    one = np.ones_like(anchors.embedment)
    has = anchors.bars > 0.0
    bars = {"bar_count": anchors.bars * one, "bar_diameter": np.where(has, anchors.bar_diameter, np.nan)}
    steel = en1992_4_interaction.supplementary_steel_resistance(**bars, bar_yield_strength=anchors.bar_yield)
    bond = en1992_1_1_bond.design_bond_strength(
        position_factor=one * numbers["position_factor"],
        bar_diameter=bars["bar_diameter"],
        design_tension=en1992_1_1_bond.design_tensile_strength(
            cylinder_strength=one, concrete_partial_factor=one
        ),
    )
    anchorage = en1992_4_interaction.supplementary_anchorage_resistance(
        **bars, length_in_cone=anchors.bar_length, bond_strength=bond,
        anchorage_form_factor=one * numbers["form_factor_straight"],
    )  # fmt: skip
    return steel, anchorage


def resistances(
    anchors: Anchors, *, cracked: bool, groups: Groups | None = None, parts: dict[str, Parts] | None = None
) -> Resistances:
    """Return the characteristic resistances of every anchor, concrete modes at 1 MPa.

    Parameters
    ----------
    anchors
        Anchors; their forces are not looked at.
    cracked
        Whether the concrete may be cracked.
    groups
        The group of each anchor; ``None``: every anchor by its own share alone.
    parts
        Takes the intermediate values of every mode, by mode.

    Notes
    -----
    Cone, blow-out, edge and pry-out resistances grow with the root of the cylinder strength and pull-out
    with the strength, so each is evaluated once at 25 MPa and scaled.
    """
    state = "cracked" if cracked else "uncracked"
    kept: dict[str, Parts] = {} if parts is None else parts
    reference = np.full_like(anchors.embedment, REFERENCE_STRENGTH)
    far = np.full_like(reference, 1e9)

    def note(name: str) -> Parts:
        return kept.setdefault(name, {})

    cone = _cone(anchors, reference, state, note(CONE))
    pull_out = en1992_4_head.pull_out_resistance(
        bearing_factor=far * 0.0 + factors("en1992_4")["bearing_factor"][state],
        bearing_area=anchors.bearing_area,
        cylinder_strength=reference,
    )
    end = np.where(np.isfinite(anchors.end), anchors.end, 1e9)
    multiple = en1992_4_pry_out.pry_out_factor(embedment_depth=anchors.embedment)
    note(PRY_OUT)["multiple"] = multiple
    own = {
        CONE: cone,
        PULL_OUT: pull_out,
        BLOW_OUT: np.minimum(
            _blow_out_towards(anchors, reference, anchors.up, anchors.left, anchors.right, anchors.end, state,
                              note(f"{BLOW_OUT}, joint")),
            _blow_out_towards(anchors, reference, end, anchors.share_up, anchors.share_down, anchors.up, state,
                              note(f"{BLOW_OUT}, end")),
        ),
        PRY_OUT: en1992_4_pry_out.pry_out_resistance(pry_out_multiple=multiple, tension_breakout=cone),
        EDGE: _edge(anchors, reference, state, note(EDGE)),
    }  # fmt: skip
    upward = bool((anchors.upward > 0.0).any())
    if upward:
        own[EDGE_UP] = _edge_upward(anchors, reference, state, note(EDGE_UP))
    together = dict(own)
    if groups is not None:
        up, at_end = groups.blow_out_up, groups.blow_out_end
        together |= {
            CONE: _cone_of_group(anchors, groups.cones, reference, state, note(f"{CONE}, group"), pry=False),
            BLOW_OUT: np.minimum(
                _blow_out_towards(anchors, reference, np.where(up.count > 1.0, up.distance, 1e9), far, far, up.corner,
                                  state, note(f"{BLOW_OUT}, joint, group"), up),
                _blow_out_towards(anchors, reference, np.where(at_end.count > 1.0, at_end.distance, 1e9), far, far,
                                  at_end.corner, state, note(f"{BLOW_OUT}, end, group"), at_end),
            ),
            PRY_OUT: en1992_4_pry_out.pry_out_resistance(
                pry_out_multiple=multiple,
                tension_breakout=_cone_of_group(
                    anchors, groups.cones, reference, state, note(f"{PRY_OUT}, group"), pry=True
                ),
            ),
            EDGE: _edge(anchors, reference, state, note(f"{EDGE}, group"), groups.edge_end),
        }  # fmt: skip
        if upward:
            together[EDGE_UP] = _edge_upward(
                anchors, reference, state, note(f"{EDGE_UP}, group"), groups.edge_up
            )
    root, direct = np.sqrt(REFERENCE_STRENGTH), REFERENCE_STRENGTH
    with_group = {
        name: np.where(np.isnan(own[name]), np.nan, np.minimum(own[name], together[name])) for name in own
    }
    concrete = {name: value / (direct if name == PULL_OUT else root) for name, value in with_group.items()}
    bar_steel, bar_bond = _supplementary(anchors)
    barred = np.broadcast_to(anchors.bars > 0.0, reference.shape)
    if barred.any():
        concrete |= {BAR_STEEL: bar_steel, BAR_BOND: bar_bond}
    by = divisors(anchors, None)
    bending, arm = bending_of(anchors)
    numbers = factors("en1992_4")
    return Resistances(
        steel={
            STEEL_TENSION: en1992_4_steel.steel_tension_resistance(
                stressed_area=anchors.net_area, tensile_strength=anchors.tensile
            ),
            STEEL_SHEAR: en1992_4_steel.steel_shear_resistance(
                shear_factor=en1992_4_steel.steel_shear_factor(tensile_strength=anchors.tensile),
                ductility_factor=np.ones_like(reference) * numbers["ductility_factor"]["plain"],
                stressed_area=anchors.net_area, tensile_strength=anchors.tensile,
            ),
        },
        concrete=concrete,
        divisors={
            STEEL_TENSION: by.steel_tension, STEEL_SHEAR: by.steel_shear,
            **dict.fromkeys(concrete, by.concrete),
            BAR_STEEL: by.concrete * 0.0 + numbers["partial_factor"]["supplementary_steel"],
        },
        basic_bending=bending, lever_arm=arm, stand_off=anchors.stand_off,
        growth={name: GROWTH[name] for name in concrete}, barred=barred,
        by_group={name: together[name] < own[name] for name in own},
    )  # fmt: skip


def ratios(anchors: Anchors, *, cracked: bool, safety_factor: Column | None) -> Ratios:
    """Return every mode's ratio at the strength of the stage's hour, each anchor by its own share.

    Parameters
    ----------
    anchors
        Anchors of every case.
    cracked
        Whether the concrete may be cracked.
    safety_factor
        Divides the characteristic resistances where the safety basis says so; ``None``: partial factors.
    """
    return judged(resistances(anchors, cracked=cracked), loads_of(anchors, safety_factor))
