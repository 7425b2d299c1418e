"""Demand ratios of form anchors by ACI 318-19 and ACI 318M-19, chapter 17."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from sheetengine.clauses import aci318_17, aci318_17_factors, aci318_17_shear_factors, aci318m_17
from sheetengine.clauses.rows import factors
from sheetengine.columns import Column
from sheetengine.design import customary
from sheetengine.design.anchor_modes import Anchors, Ratios
from sheetengine.design.anchors_en import bending_ratio


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


def _breakout(anchors: Anchors, by: Edition, strength: Column, cracked: bool) -> Column:
    """Return the nominal breakout strength of one anchor of its row, in the edition's unit of force."""
    depth = aci318_17_factors.reduced_embedment_depth(**anchors.close_edges)
    one = np.ones_like(depth)
    cracking = factors("aci318_19")["cracking"][
        "tension_breakout_cracked" if cracked else "tension_breakout_uncracked"
    ]
    share = aci318_17_factors.tension_breakout_share(
        projected_area=aci318_17_factors.row_cone_area(
            embedment_depth=depth, distance_up=anchors.up, distance_down=one * 1e9,
            distance_left=anchors.left, distance_right=anchors.right,
        ),
        reference_area=aci318_17_factors.reference_cone_area(embedment_depth=depth),
        edge_influence=aci318_17_factors.cone_edge_influence(
            edge_distance=np.minimum(anchors.up, anchors.end), embedment_depth=depth
        ),
        eccentricity_influence=one,
        cracking_influence=one * cracking,
    )  # fmt: skip
    basic = by.formulas.basic_breakout(
        breakout_factor=one * by.numbers["breakout_factor"],
        deep_breakout_factor=one * by.numbers["deep_breakout_factor"],
        lightweight_factor=one,
        cylinder_strength=strength,
        embedment_depth=depth / by.length,
    )
    result: Column = by.formulas.breakout_strength(basic_resistance=basic, breakout_share=share)
    return result


def _blow_out(anchors: Anchors, by: Edition, strength: Column) -> Column:
    """Return the lesser side-face blow-out strength towards the joint and the end of the block, ``inf`` where not needed."""
    one = np.ones_like(anchors.embedment)
    end = np.where(np.isfinite(anchors.end), anchors.end, 1e9)
    spacing = np.where(np.isfinite(anchors.spacing), anchors.spacing, 1e9)
    found = one * np.inf
    for edge, corner, neighbour in ((anchors.up, end, spacing), (end, anchors.up, one * 1e9)):
        needed = aci318_17_factors.blow_out_governs(edge_distance=edge, embedment_depth=anchors.embedment)
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
        share = aci318_17_factors.blow_out_row_share(anchor_spacing=neighbour, edge_distance=distance)
        found = np.minimum(found, np.where(needed, basic * near_corner * share, np.inf))
    return found


def _edge(anchors: Anchors, by: Edition, strength: Column, cracked: bool) -> Column:
    """Return the edge breakout strength at the end of the block to a shear along it, ``inf`` where no end is near."""
    one = np.ones_like(anchors.embedment)
    numbers = factors("aci318_19")
    has_end = np.isfinite(anchors.end)
    end = np.where(has_end, anchors.end, anchors.embedment)
    share = aci318_17_shear_factors.edge_breakout_share(
        projected_area=aci318_17_shear_factors.row_edge_area(
            edge_distance=end, distance_left=anchors.up, distance_right=one * 1e9,
            member_thickness=anchors.thickness,
        ),
        reference_area=aci318_17_shear_factors.reference_edge_area(edge_distance=end),
        edge_influence=one,
        eccentricity_influence=one,
        cracking_influence=one * numbers["cracking"]["edge_cracked" if cracked else "edge_uncracked"],
        thickness_influence=aci318_17_shear_factors.edge_thickness_influence(
            edge_distance=end, member_thickness=anchors.thickness
        ),
        direction_factor=one * numbers["direction_factor"]["along_edge"],
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
    return np.where(
        has_end, by.formulas.breakout_strength(basic_resistance=basic, breakout_share=share), np.inf
    )


def _edge_upward(anchors: Anchors, by: Edition, strength: Column, cracked: bool) -> Column:
    """Return the edge breakout strength at the joint above to a shear square to it, ``inf`` where there is none."""
    one = np.ones_like(anchors.embedment)
    if not (anchors.upward > 0.0).any():
        return one * np.inf
    numbers, edge = factors("aci318_19"), anchors.up
    share = aci318_17_shear_factors.edge_breakout_share(
        projected_area=aci318_17_shear_factors.row_edge_area(
            edge_distance=edge, distance_left=anchors.left, distance_right=anchors.right,
            member_thickness=anchors.thickness,
        ),
        reference_area=aci318_17_shear_factors.reference_edge_area(edge_distance=edge),
        edge_influence=aci318_17_shear_factors.edge_corner_influence(
            edge_distance=edge, second_edge_distance=np.minimum(anchors.end, 1e9)
        ),
        eccentricity_influence=one,
        cracking_influence=one * numbers["cracking"]["edge_cracked" if cracked else "edge_uncracked"],
        thickness_influence=aci318_17_shear_factors.edge_thickness_influence(
            edge_distance=edge, member_thickness=anchors.thickness
        ),
        direction_factor=one * numbers["direction_factor"]["square_to_edge"],
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
        edge_distance=edge / by.length,
    )
    strength_up = by.formulas.breakout_strength(basic_resistance=basic, breakout_share=share)
    return np.where(anchors.upward == 0.0, np.inf, strength_up)


def ratios(anchors: Anchors, *, method: str, cracked: bool, safety_factor: Column | None) -> Ratios:
    """Return every mode's ratio at the strength of the stage's hour.

    Parameters
    ----------
    anchors
        Anchors of every case.
    method
        ``ACI 318-19`` or ``ACI 318M-19``: the two published editions, not conversions of each other.
    cracked
        Whether the concrete may be cracked.
    safety_factor
        Divides the nominal strengths where the safety basis says so; ``None``: strength reduction factors.

    Notes
    -----
    Breakout, blow-out, edge and pry-out strengths grow with the root of f'c and pull-out with f'c, so
    each is evaluated once at a strength inside the code's range and scaled. Strengths above the code's
    ceiling count only up to it. Chapter 17 has no rule for a shear force on a lever arm; that of
    EN 1992-4 7.2.2.3.2 is taken where a bolt stands off.
    """
    by = edition(method)
    numbers = factors("aci318_19")
    phi = reductions(anchors, safety_factor)
    one = np.ones_like(anchors.embedment)
    reference = one * by.reference_strength
    reference_mpa = by.reference_strength * by.stress
    tension = np.maximum(anchors.tension, 0.0) / by.force
    shear = anchors.shear / by.force
    steel = {
        "stressed_area": anchors.net_area / by.length**2,
        "tensile_strength": anchors.tensile / by.stress,
        "yield_strength": anchors.yield_ / by.stress,
    }
    steel_tension = by.formulas.steel_tension_strength(**steel) * phi.steel_tension
    steel_shear = by.formulas.steel_shear_strength(
        **steel, grout_factor=one * numbers["grout_factor"]["none"]
    )
    breakout = _breakout(anchors, by, reference, cracked)
    pull_out = by.formulas.pull_out_strength(
        cracking_influence=one * numbers["cracking"]["pull_out_cracked" if cracked else "pull_out_uncracked"],
        bearing_area=anchors.bearing_area / by.length**2,
        cylinder_strength=reference,
    )
    pry_out = by.formulas.pry_out_strength(
        pry_out_multiple=by.formulas.pry_out_factor(embedment_depth=anchors.embedment / by.length),
        tension_breakout=breakout,
    )
    root = np.sqrt(reference_mpa)
    at_1_mpa = {
        "Concrete cone": tension / (breakout * phi.breakout) * root,
        "Head pull-out": tension / (pull_out * phi.pull_out) * reference_mpa,
        "Side-face blow-out": tension / (_blow_out(anchors, by, reference) * phi.breakout) * root,
        "Pry-out": shear / (pry_out * phi.pry_out) * root,
        "Concrete edge": shear / (_edge(anchors, by, reference, cracked) * phi.breakout) * root,
        "Concrete edge, upward": anchors.upward
        / by.force
        / (_edge_upward(anchors, by, reference, cracked) * phi.breakout)
        * root,
    }
    modes: dict[str, Column] = {
        "Steel tension": tension / steel_tension,
        "Steel shear": shear / (steel_shear * phi.steel_shear),
        "Bolt bending": bending_ratio(anchors, steel_tension * by.force, 1.0 / phi.steel_shear),
    }
    counted = np.minimum(anchors.strength, by.numbers["greatest_strength"] * by.stress)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        for name, ratio in at_1_mpa.items():
            grown = counted if name == "Head pull-out" else np.sqrt(counted)
            modes[name] = np.where(ratio == 0.0, np.where(np.isnan(counted), np.nan, 0.0), ratio / grown)
    greatest_tension = np.maximum(
        np.maximum(modes["Steel tension"], modes["Concrete cone"]),
        np.maximum(modes["Head pull-out"], modes["Side-face blow-out"]),
    )
    greatest_shear = np.maximum(
        np.maximum(modes["Steel shear"], modes["Pry-out"]),
        np.maximum(modes["Concrete edge"], modes["Concrete edge, upward"]),
    )
    modes["Interaction"] = aci318_17_shear_factors.trilinear_interaction(
        tension_ratio=greatest_tension, shear_ratio=greatest_shear
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
        three_lines=True,
        ceiling=by.numbers["greatest_strength"] * by.stress,
    )
