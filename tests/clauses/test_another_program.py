"""Anchors of ACI 318-19 as another open-source library computes them: eight anchors, every mode."""

import numpy as np
from support import case

from sheetengine.clauses import aci318_17 as inch
from sheetengine.clauses import aci318_17_factors as shared
from sheetengine.clauses import aci318_17_shear_factors as shear
from sheetengine.clauses.rows import factors

HELD = factors("aci318_19")
CRACKS = HELD["cracking"]


def test_anchors_near_an_edge_in_tension() -> None:
    held = case("A-CIV-TENSION")
    depth, edge, strength = held.column("hef"), held.column("ca1"), held.column("fc")
    cracked = held.column("cracked") == 1.0
    one, far = np.ones_like(depth), np.full_like(depth, 1e9)
    held.check(
        "Nsa",
        inch.steel_tension_strength(
            stressed_area=held.column("Ase"),
            tensile_strength=held.column("futa"),
            yield_strength=held.column("fya"),
        ),
    )
    basic = inch.basic_breakout(
        breakout_factor=one * HELD["inch_pound"]["breakout_factor"],
        deep_breakout_factor=one * HELD["inch_pound"]["deep_breakout_factor"],
        lightweight_factor=one,
        cylinder_strength=strength,
        embedment_depth=depth,
    )
    held.check("Nb", basic)
    near = shared.cone_edge_influence(edge_distance=edge, embedment_depth=depth)
    held.check("psi_ed_N", near)
    share = shared.tension_breakout_share(
        projected_area=shared.row_cone_area(
            embedment_depth=depth, distance_up=edge, distance_down=far, distance_left=far, distance_right=far
        ),
        reference_area=shared.reference_cone_area(embedment_depth=depth),
        edge_influence=near,
        eccentricity_influence=one,
        cracking_influence=np.where(
            cracked, CRACKS["tension_breakout_cracked"], CRACKS["tension_breakout_uncracked"]
        ),
    )
    breakout = inch.breakout_strength(basic_resistance=basic, breakout_share=share)
    held.check("Ncb", breakout)
    held.check(
        "Npn",
        inch.pull_out_strength(
            cracking_influence=np.where(cracked, CRACKS["pull_out_cracked"], CRACKS["pull_out_uncracked"]),
            bearing_area=held.column("Abrg"),
            cylinder_strength=strength,
        ),
    )
    multiple = inch.pry_out_factor(embedment_depth=depth)
    held.check("Vcp", inch.pry_out_strength(pry_out_multiple=multiple, tension_breakout=breakout))


def test_deep_anchors_near_a_corner_blow_out() -> None:
    held = case("A-CIV-BLOWOUT")
    edge, second = held.column("ca1"), held.column("ca2")
    one = np.ones_like(edge)
    assert shared.blow_out_governs(edge_distance=edge, embedment_depth=held.column("hef")).all()
    whole = inch.basic_blow_out(
        blow_out_factor=one * HELD["inch_pound"]["blow_out_factor"],
        edge_distance=edge,
        bearing_area=held.column("Abrg"),
        lightweight_factor=one,
        cylinder_strength=held.column("fc"),
    )
    corner = shared.blow_out_corner_factor(edge_distance=edge, second_edge_distance=second)
    held.check("Nsb", corner * whole)


def test_anchors_sheared_to_an_edge() -> None:
    held = case("A-CIV-SHEAR")
    edge, side, thickness = held.column("ca1"), held.column("ca2"), held.column("ha")
    cracked = held.column("cracked") == 1.0
    one = np.ones_like(edge)
    held.check(
        "Vsa",
        inch.steel_shear_strength(
            stressed_area=held.column("Ase"),
            tensile_strength=held.column("futa"),
            yield_strength=held.column("fya"),
            grout_factor=one,
        ),
    )
    basic = inch.basic_edge_breakout(
        bearing_edge_factor=one * HELD["inch_pound"]["bearing_edge_factor"],
        plain_edge_factor=one * HELD["inch_pound"]["plain_edge_factor"],
        load_bearing_length=shear.shear_bearing_length(
            embedment_depth=held.column("hef"), shank_diameter=held.column("da")
        ),
        shank_diameter=held.column("da"),
        lightweight_factor=one,
        cylinder_strength=held.column("fc"),
        edge_distance=edge,
    )
    held.check("Vb", basic)
    corner = shear.edge_corner_influence(edge_distance=edge, second_edge_distance=side)
    held.check("psi_ed_V", corner)
    thin = shear.edge_thickness_influence(edge_distance=edge, member_thickness=thickness)
    held.check("psi_h_V", thin)
    share = shear.edge_breakout_share(
        projected_area=shear.row_edge_area(
            edge_distance=edge, distance_left=side, distance_right=side, member_thickness=thickness
        ),
        reference_area=shear.reference_edge_area(edge_distance=edge),
        edge_influence=corner,
        eccentricity_influence=one,
        cracking_influence=np.where(cracked, CRACKS["edge_cracked"], CRACKS["edge_uncracked"]),
        thickness_influence=thin,
        direction_factor=one,
    )
    held.check("Vcb", inch.breakout_strength(basic_resistance=basic, breakout_share=share))
