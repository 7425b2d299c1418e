"""Demand ratios of form anchors by EN 1992-4:2018."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sheetengine.clauses import (
    en1992_4_edge,
    en1992_4_head,
    en1992_4_interaction,
    en1992_4_pry_out,
    en1992_4_steel,
    en1992_4_tension,
)
from sheetengine.clauses.rows import factors
from sheetengine.columns import Column
from sheetengine.design.anchor_modes import Anchors, Ratios

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


def _cone(anchors: Anchors, strength: Column, cracked: str) -> Column:
    """Return the characteristic cone resistance of one anchor of its row. [kN]."""
    numbers = factors("en1992_4")
    depth = en1992_4_tension.reduced_embedment_depth(**anchors.close_edges)
    one = np.ones_like(depth)
    far = np.full_like(depth, 1e9)
    return en1992_4_tension.cone_resistance(
        basic_resistance=en1992_4_tension.basic_cone_resistance(
            cone_factor=one * numbers["cone_factor"][cracked], cylinder_strength=strength, embedment_depth=depth
        ),
        projected_area=en1992_4_tension.row_cone_area(
            embedment_depth=depth, distance_up=anchors.up, distance_down=far, distance_left=anchors.left,
            distance_right=anchors.right,
        ),
        reference_area=en1992_4_tension.reference_cone_area(embedment_depth=depth),
        edge_influence=en1992_4_tension.cone_edge_influence(
            edge_distance=np.minimum(anchors.up, anchors.end), embedment_depth=depth
        ),
        spalling_factor=en1992_4_tension.spalling_influence(
            embedment_depth=anchors.embedment, bar_spacing=far, bar_diameter=one
        ),
        eccentricity_influence=one,
        compression_influence=one,
    )  # fmt: skip


def _blow_out_towards(
    anchors: Anchors,
    strength: Column,
    edge: Column,
    left: Column,
    right: Column,
    corner: Column,
    cracked: str,
) -> Column:
    """Return the blow-out resistance towards one edge, ``inf`` where it need not be checked. [kN]."""
    factor = factors("en1992_4")["blow_out_factor"][cracked]
    one = np.ones_like(anchors.embedment)
    needed = en1992_4_head.blow_out_governs(edge_distance=edge, embedment_depth=anchors.embedment)
    distance = np.where(needed, edge, anchors.embedment)
    resistance = en1992_4_head.blow_out_resistance(
        basic_resistance=en1992_4_head.basic_blow_out_resistance(
            blow_out_factor=one * factor, edge_distance=distance, bearing_area=anchors.bearing_area,
            cylinder_strength=strength,
        ),
        projected_area=en1992_4_head.row_blow_out_area(
            edge_distance=distance, distance_left=left, distance_right=right,
            embedment_depth=anchors.embedment,
            depth_behind_head=np.maximum(anchors.thickness - anchors.embedment, 0.0),
        ),
        reference_area=en1992_4_head.reference_blow_out_area(edge_distance=distance),
        edge_influence=en1992_4_head.blow_out_edge_influence(
            edge_distance=distance, second_edge_distance=np.minimum(corner, 1e9)
        ),
        group_influence=one,
        eccentricity_influence=one,
    )  # fmt: skip
    return np.where(needed, resistance, np.inf)


def _edge(anchors: Anchors, strength: Column, cracked: str) -> Column:
    """Return the edge resistance at the end of the block to a shear along it, ``inf`` where not needed. [kN]."""
    one = np.ones_like(anchors.embedment)
    end = np.where(np.isfinite(anchors.end), anchors.end, 1e9)
    needed = en1992_4_edge.edge_check_needed(
        edge_distance=end, embedment_depth=anchors.embedment, shank_diameter=anchors.shank
    )
    distance = np.where(needed, end, anchors.embedment)
    shank = np.minimum(anchors.shank, 60.0)
    resistance = en1992_4_edge.edge_resistance(
        basic_resistance=en1992_4_edge.basic_edge_resistance(
            edge_breakout_factor=one * factors("en1992_4")["edge_breakout_factor"][cracked],
            shank_diameter=shank,
            effective_length=en1992_4_edge.effective_shear_length(
                embedment_depth=anchors.embedment, shank_diameter=shank
            ),
            cylinder_strength=strength, edge_distance=distance,
        ),
        projected_area=en1992_4_edge.row_edge_area(
            edge_distance=distance, distance_left=anchors.up, distance_right=one * 1e9,
            member_thickness=anchors.thickness,
        ),
        reference_area=en1992_4_edge.reference_edge_area(edge_distance=distance),
        edge_influence=en1992_4_edge.edge_corner_influence(
            edge_distance=distance, second_edge_distance=anchors.up
        ),
        thickness_influence=en1992_4_edge.edge_thickness_influence(
            edge_distance=distance, member_thickness=anchors.thickness
        ),
        eccentricity_influence=one,
        angle_influence=en1992_4_edge.edge_angle_influence(shear_angle=one * ALONG_EDGE),
        reinforcement_influence=one,
    )  # fmt: skip
    return np.where(needed, resistance, np.inf)


def _edge_upward(anchors: Anchors, strength: Column, cracked: str) -> Column:
    """Return the edge resistance at the joint above to a shear square to it, ``inf`` where there is none. [kN]."""
    one = np.ones_like(anchors.embedment)
    if not (anchors.upward > 0.0).any():
        return one * np.inf
    shank, edge = np.minimum(anchors.shank, 60.0), anchors.up
    resistance = en1992_4_edge.edge_resistance(
        basic_resistance=en1992_4_edge.basic_edge_resistance(
            edge_breakout_factor=one * factors("en1992_4")["edge_breakout_factor"][cracked],
            shank_diameter=shank,
            effective_length=en1992_4_edge.effective_shear_length(
                embedment_depth=anchors.embedment, shank_diameter=shank
            ),
            cylinder_strength=strength, edge_distance=edge,
        ),
        projected_area=en1992_4_edge.row_edge_area(
            edge_distance=edge, distance_left=anchors.left, distance_right=anchors.right,
            member_thickness=anchors.thickness,
        ),
        reference_area=en1992_4_edge.reference_edge_area(edge_distance=edge),
        edge_influence=en1992_4_edge.edge_corner_influence(
            edge_distance=edge, second_edge_distance=np.minimum(anchors.end, 1e9)
        ),
        thickness_influence=en1992_4_edge.edge_thickness_influence(
            edge_distance=edge, member_thickness=anchors.thickness
        ),
        eccentricity_influence=one,
        angle_influence=en1992_4_edge.edge_angle_influence(shear_angle=one * SQUARE_TO_EDGE),
        reinforcement_influence=one,
    )  # fmt: skip
    return np.where(anchors.upward == 0.0, np.inf, resistance)


def steel_ratios(anchors: Anchors, by: Divisors) -> dict[str, Column]:
    """Return the steel modes: tension, shear, and bending where the bolt stands off."""
    numbers = factors("en1992_4")
    one = np.ones_like(anchors.tension)
    tension = np.maximum(anchors.tension, 0.0)
    design_tension = (
        en1992_4_steel.steel_tension_resistance(
            stressed_area=anchors.net_area, tensile_strength=anchors.tensile
        )
        / by.steel_tension
    )
    shear = en1992_4_steel.steel_shear_resistance(
        shear_factor=en1992_4_steel.steel_shear_factor(tensile_strength=anchors.tensile),
        ductility_factor=one * numbers["ductility_factor"]["plain"],
        stressed_area=anchors.net_area,
        tensile_strength=anchors.tensile,
    )
    return {
        "Steel tension": tension / design_tension,
        "Steel shear": anchors.shear / (shear / by.steel_shear),
        "Bolt bending": bending_ratio(anchors, design_tension, by.steel_shear),
    }


def bending_ratio(anchors: Anchors, design_tension: Column, divisor: Column) -> Column:
    """Return the ratio of shear on a lever arm, 0 where the bolt does not stand off."""
    numbers = factors("en1992_4")
    stress_diameter = np.sqrt(4.0 * anchors.net_area / np.pi)
    bending = en1992_4_steel.bending_resistance(
        basic_bending=en1992_4_steel.basic_bending_resistance(
            section_modulus=en1992_4_steel.round_section_modulus(shank_diameter=stress_diameter),
            tensile_strength=anchors.tensile,
        ),
        anchor_tension=np.maximum(anchors.tension, 0.0),
        steel_design_resistance=design_tension,
    )
    resistance = en1992_4_steel.steel_shear_resistance_lever_arm(
        restraint_factor=np.ones_like(bending) * numbers["restraint_factor"]["free_to_turn"],
        bending=bending,
        lever_arm=en1992_4_steel.shear_lever_arm(stand_off=anchors.stand_off, shank_diameter=anchors.shank),
    )
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = anchors.shear / (resistance / divisor)
    ratio = np.where(np.isnan(ratio) & (anchors.shear == 0.0), 0.0, ratio)
    return np.where(anchors.stand_off > 0.0, ratio, np.where(np.isnan(anchors.shear), np.nan, 0.0))


def ratios(anchors: Anchors, *, cracked: bool, safety_factor: Column | None) -> Ratios:
    """Return every mode's ratio at the strength of the stage's hour.

    Parameters
    ----------
    anchors
        Anchors of every case.
    cracked
        Whether the concrete may be cracked.
    safety_factor
        Divides the characteristic resistances where the safety basis says so; ``None``: partial factors.

    Notes
    -----
    Cone, blow-out, edge and pry-out resistances grow with the root of the cylinder strength and pull-out
    with the strength, so each is evaluated once at 25 MPa and scaled to the strength of the hour.
    """
    state = "cracked" if cracked else "uncracked"
    by = divisors(anchors, safety_factor)
    reference = np.full_like(anchors.embedment, REFERENCE_STRENGTH)
    tension = np.maximum(anchors.tension, 0.0)
    far = np.full_like(reference, 1e9)
    cone = _cone(anchors, reference, state)
    pull_out = en1992_4_head.pull_out_resistance(
        bearing_factor=far * 0.0 + factors("en1992_4")["bearing_factor"][state],
        bearing_area=anchors.bearing_area,
        cylinder_strength=reference,
    )
    end = np.where(np.isfinite(anchors.end), anchors.end, 1e9)
    blow_out = np.minimum(
        _blow_out_towards(anchors, reference, anchors.up, anchors.left, anchors.right, anchors.end, state),
        _blow_out_towards(anchors, reference, end, anchors.up, far, anchors.up, state),
    )
    pry_out = en1992_4_pry_out.pry_out_resistance(
        pry_out_multiple=en1992_4_pry_out.pry_out_factor(embedment_depth=anchors.embedment),
        tension_breakout=cone,
    )
    root, direct = np.sqrt(REFERENCE_STRENGTH), REFERENCE_STRENGTH
    at_1_mpa = {
        "Concrete cone": tension / (cone / by.concrete) * root,
        "Head pull-out": tension / (pull_out / by.concrete) * direct,
        "Side-face blow-out": tension / (blow_out / by.concrete) * root,
        "Pry-out": anchors.shear / (pry_out / by.concrete) * root,
        "Concrete edge": anchors.shear / (_edge(anchors, reference, state) / by.concrete) * root,
        "Concrete edge, upward": anchors.upward
        / (_edge_upward(anchors, reference, state) / by.concrete)
        * root,
    }
    modes = steel_ratios(anchors, by)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        for name, ratio in at_1_mpa.items():
            grown = anchors.strength if name == "Head pull-out" else np.sqrt(anchors.strength)
            modes[name] = np.where(
                ratio == 0.0, np.where(np.isnan(anchors.strength), np.nan, 0.0), ratio / grown
            )
    concrete_tension = np.maximum(
        np.maximum(modes["Concrete cone"], modes["Head pull-out"]), modes["Side-face blow-out"]
    )
    concrete_shear = np.maximum(
        np.maximum(modes["Pry-out"], modes["Concrete edge"]), modes["Concrete edge, upward"]
    )
    modes["Interaction, steel"] = en1992_4_interaction.steel_interaction(
        tension_ratio=modes["Steel tension"], shear_ratio=modes["Steel shear"]
    )
    modes["Interaction, concrete"] = en1992_4_interaction.concrete_interaction(
        tension_ratio=concrete_tension, shear_ratio=concrete_shear
    )
    return Ratios(
        modes,
        modes["Steel tension"],
        modes["Steel shear"],
        np.maximum(at_1_mpa["Concrete cone"], at_1_mpa["Side-face blow-out"]),
        at_1_mpa["Head pull-out"],
        np.maximum(
            np.maximum(at_1_mpa["Pry-out"], at_1_mpa["Concrete edge"]), at_1_mpa["Concrete edge, upward"]
        ),
        three_lines=False,
    )
