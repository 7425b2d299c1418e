"""Formulas whose numbers are not known to be printed: the expression's number by hand, and a second way beside it."""

from __future__ import annotations

import numpy as np
from support import case

from sheetengine.clauses import (
    aci318_17_factors,
    aci318_17_shear_factors,
    din18218,
    en1992_4_edge,
    en1992_4_head,
    en1992_4_interaction,
    en1992_4_steel,
    heat_data,
)

FAR = np.array([1e9])
ONE = np.ones(1)


def test_blow_out_of_aci() -> None:
    w = case("W-ACI-BLOW")
    ca1, ca2, s = w.column("ca1"), w.column("ca2"), w.column("s")
    w.check("corner", aci318_17_factors.blow_out_corner_factor(edge_distance=ca1, second_edge_distance=ca2))
    w.check("group", aci318_17_factors.blow_out_group_factor(outer_spacing=s, edge_distance=ca1))
    share = aci318_17_factors.blow_out_row_share(anchor_spacing=s, edge_distance=ca1)
    w.check("share", share)
    # second way: a row of a million anchors, group strength over their number
    n = 1e6
    np.testing.assert_allclose(share, (1.0 + (n - 1.0) * s / (6.0 * ca1)) / n, rtol=1e-5)


def test_power_interaction_of_aci() -> None:
    w = case("W-ACI-53")
    ratio = w.column("ratio")
    measure = aci318_17_shear_factors.power_interaction(tension_ratio=ratio, shear_ratio=ratio)
    w.check("measure", measure)
    # second way: loads grown by 1 over the measure lie on the curve n^(5/3) + v^(5/3) = 1
    np.testing.assert_allclose(2.0 * (ratio / measure) ** (5.0 / 3.0), 1.0, rtol=1e-12)


def test_edge_of_en() -> None:
    w, factors, basic = case("W-EN-EDGE"), case("A-EN-05"), case("A-EN-01")
    assert w.given("V0") == basic.printed("V0Rk_c_cracked")
    w.check(
        "lf",
        en1992_4_edge.effective_shear_length(embedment_depth=w.column("hef"), shank_diameter=w.column("d")),
    )
    c1 = w.column("c1")
    area = en1992_4_edge.row_edge_area(
        edge_distance=c1, distance_left=FAR, distance_right=FAR, member_thickness=FAR
    )
    w.check("A", area)
    w.check("A0", en1992_4_edge.reference_edge_area(edge_distance=c1))
    w.check(
        "V",
        en1992_4_edge.edge_resistance(
            basic_resistance=w.column("V0"), projected_area=ONE, reference_area=ONE,
            edge_influence=ONE * factors.printed("psi_s_V"), thickness_influence=ONE * factors.printed("psi_h_V"),
            eccentricity_influence=ONE * factors.printed("psi_ec_V"),
            angle_influence=ONE * factors.printed("psi_alpha_V")[-1], reinforcement_influence=ONE,
        ),
    )  # fmt: skip
    # second way: the break-out body of ACI 318 over the same edge has the same area
    np.testing.assert_allclose(
        area,
        aci318_17_shear_factors.row_edge_area(
            edge_distance=c1, distance_left=FAR, distance_right=FAR, member_thickness=FAR
        ),
    )


def test_blow_out_of_en() -> None:
    w = case("W-EN-BLOW")
    c1, c2 = w.column("c1"), w.column("c2")
    assert w.given("N0") == case("A-EN-01").printed("N0Rk_cb_cracked")
    edge = en1992_4_head.blow_out_edge_influence(edge_distance=c1, second_edge_distance=c2)
    group = en1992_4_head.blow_out_group_influence(
        anchor_count=w.column("n"), anchor_spacing=w.column("s"), edge_distance=c1
    )
    whole = en1992_4_head.reference_blow_out_area(edge_distance=c1)
    w.check("A0", whole)
    w.check(
        "A",
        en1992_4_head.row_blow_out_area(
            edge_distance=c1, distance_left=FAR, distance_right=FAR, embedment_depth=FAR, depth_behind_head=FAR
        ),
    )  # fmt: skip
    w.check("edge", edge)
    w.check("group", group)
    w.check(
        "eccentric",
        en1992_4_head.blow_out_eccentricity_influence(load_eccentricity=w.column("e"), edge_distance=c1),
    )
    w.check(
        "N",
        en1992_4_head.blow_out_resistance(
            basic_resistance=w.column("N0"), projected_area=whole / 2.0, reference_area=whole,
            edge_influence=edge, group_influence=ONE, eccentricity_influence=ONE,
        ),
    )  # fmt: skip
    # second way: anchors 4 c1 apart do not help each other
    far = en1992_4_head.blow_out_group_influence(
        anchor_count=w.column("n"), anchor_spacing=4.0 * c1, edge_distance=c1
    )
    np.testing.assert_allclose(far, 1.0)


def test_interaction_of_en() -> None:
    w = case("W-EN-INT")
    both = w.column("both")
    w.check(
        "steel",
        en1992_4_interaction.steel_interaction(
            tension_ratio=w.column("steel_n"), shear_ratio=w.column("steel_v")
        ),
    )
    measure = en1992_4_interaction.concrete_interaction(tension_ratio=both, shear_ratio=both)
    w.check("concrete", measure)
    # second way: loads grown by 1 over the measure lie on the curve n^1.5 + v^1.5 = 1
    np.testing.assert_allclose(2.0 * (both / measure) ** 1.5, 1.0, rtol=1e-12)


def test_lever_arm_of_en() -> None:
    w = case("W-EN-ARM")
    arm = en1992_4_steel.shear_lever_arm(stand_off=w.column("e"), shank_diameter=w.column("d"))
    bending = en1992_4_steel.bending_resistance(
        basic_bending=w.column("M0"), anchor_tension=w.column("use"), steel_design_resistance=ONE
    )
    shear = en1992_4_steel.steel_shear_resistance_lever_arm(
        restraint_factor=2.0 * ONE, bending=bending, lever_arm=arm
    )
    w.check("arm", arm)
    w.check("M", bending)
    w.check("V", shear)
    # second way: statics of a bar held at both ends, whose end moments are V l / 2
    np.testing.assert_allclose(shear * arm / 1000.0 / 2.0, bending)


def test_temperature_of_din() -> None:
    w = case("W-DIN-T")
    w.check("factor", din18218.temperature_factor(concrete_temperature=w.column("T")))


def test_covered_film_coefficient() -> None:
    w = case("W-ETL-FORM")
    covered = heat_data.covered_film_coefficient(
        film_coefficient=w.column("h"), form_thickness=w.column("b"), form_conductivity=w.column("k"),
        insulation_resistance=w.column("R"),
    )  # fmt: skip
    w.check("U", covered)
    # second way: the temperature falls over film, form and insulation add up to the whole
    falls = covered * (1.0 / w.column("h") + w.column("b") / w.column("k") + w.column("R"))
    np.testing.assert_allclose(falls, 1.0)
