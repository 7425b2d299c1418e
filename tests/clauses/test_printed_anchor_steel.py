"""Steel of anchors and bars, heads of studs: tables of approvals and handbooks, each checked a second way."""

from __future__ import annotations

import numpy as np
from support import case

from sheetengine.clauses import (
    aci318_17,
    aci318_17_factors,
    aci318_17_shear_factors,
    aci318m_17,
    bar_masses,
    en1992_1_1_bond,
    en1992_4_edge,
    en1992_4_head,
    en1992_4_interaction,
    en1992_4_pry_out,
    en1992_4_steel,
    en1992_4_tension,
)

GRADES = ("46", "58", "88", "a470")


def like(column: np.ndarray, value: float) -> np.ndarray:
    return np.full(column.shape, float(value))


def stressed_diameter(area: np.ndarray) -> np.ndarray:
    return np.sqrt(4.0 * area / np.pi)


def test_tension_of_threaded_rods() -> None:
    printed = case("A-ETA-N")
    area = printed.column("As")
    for grade in ("58", "88"):
        strength = like(area, printed.given(f"fuk_{grade}"))
        printed.check(
            f"NRk_s_{grade}",
            en1992_4_steel.steel_tension_resistance(stressed_area=area, tensile_strength=strength),
        )
    # second way: the areas from diameter and pitch, ISO 898-1
    from_thread = np.pi / 4.0 * (printed.column("d") - 0.9382 * printed.column("pitch")) ** 2
    np.testing.assert_allclose(from_thread, area, rtol=0.003)


def test_shear_of_threaded_rods() -> None:
    printed, tension = case("A-ETA-V"), case("A-ETA-N")
    for grade in GRADES:
        area = printed.column("As")[: len(printed.printed(f"VRk_s_{grade}"))]
        strength = like(area, printed.given(f"fuk_{grade}"))
        shear = en1992_4_steel.steel_shear_resistance(
            shear_factor=en1992_4_steel.steel_shear_factor(tensile_strength=strength),
            ductility_factor=np.ones(area.shape),
            stressed_area=area,
            tensile_strength=strength,
        )
        printed.check(f"VRk_s_{grade}", shear)
        np.testing.assert_allclose(shear, printed.printed(f"VRk_s_{grade}"), atol=0.5)
    # second way: the printed shears against the printed tensions
    for grade, share in (("58", 0.6), ("88", 0.5)):
        shear, pull = np.array(printed.printed(f"VRk_s_{grade}")), np.array(tension.printed(f"NRk_s_{grade}"))
        np.testing.assert_allclose(shear, share * pull, atol=0.8)


def test_bending_of_threaded_rods() -> None:
    printed, tension = case("A-ETA-M"), case("A-ETA-N")
    for grade in GRADES:
        area = printed.column("As")[: len(printed.printed(f"M0Rk_s_{grade}"))]
        modulus = en1992_4_steel.round_section_modulus(shank_diameter=stressed_diameter(area))
        moment = en1992_4_steel.basic_bending_resistance(
            section_modulus=modulus, tensile_strength=like(area, printed.given(f"fuk_{grade}"))
        )
        printed.check(f"M0Rk_s_{grade}", 1000.0 * moment)
    # second way: 1.2 W = 1.2 A d / 8, so that the printed moments follow from the printed tensions
    arm = stressed_diameter(printed.column("As"))
    for grade in ("58", "88"):
        pull = np.array(tension.printed(f"NRk_s_{grade}"))
        np.testing.assert_allclose(printed.printed(f"M0Rk_s_{grade}"), 0.15 * pull * arm, rtol=0.01)


def test_section_modulus_of_threaded_rods() -> None:
    printed = case("A-ROD-W")
    diameter = printed.column("d") - 0.9382 * printed.column("pitch")
    printed.check("Wel", en1992_4_steel.round_section_modulus(shank_diameter=diameter))
    # second way: from the areas of the standard, W = A^1.5 / (4 sqrt(pi))
    area = case("A-ETA-N").column("As")
    np.testing.assert_allclose(printed.printed("Wel"), area**1.5 / (4.0 * np.sqrt(np.pi)), rtol=0.002)


def test_partial_factors_of_the_steel() -> None:
    printed = case("A-ETA-GAMMA")
    steel = {"tensile_strength": printed.column("fuk"), "yield_strength": printed.column("fyk")}
    printed.check("gamma_Ms_N", en1992_4_steel.steel_partial_factor_tension(**steel))
    printed.check("gamma_Ms_V", en1992_4_steel.steel_partial_factor_shear(**steel))
    # second way: 1.2 between the printed two
    ratio = np.array(printed.printed("gamma_Ms_N")) / np.array(printed.printed("gamma_Ms_V"))
    np.testing.assert_allclose(ratio, 1.2, atol=0.005)


def test_steel_of_rods_in_inch_pounds() -> None:
    printed = case("A-AC308-B7")
    area = printed.column("Ase")
    steel = {
        "stressed_area": area,
        "tensile_strength": like(area, printed.given("futa")),
        "yield_strength": like(area, printed.given("fya")),
    }
    printed.check("Nsa", aci318_17.steel_tension_strength(**steel))
    printed.check("Vsa", aci318_17.steel_shear_strength(**steel, grout_factor=np.ones(area.shape)))
    # second way: the printed shears against the printed tensions
    np.testing.assert_allclose(printed.printed("Vsa"), 0.6 * np.array(printed.printed("Nsa")), atol=5.0)


def test_steel_of_metric_rods() -> None:
    printed, approvals = case("A-AC308-M"), case("A-ETA-N")
    area = printed.column("Ase")
    for grade in ("58", "88"):
        steel = {
            "stressed_area": area,
            "tensile_strength": like(area, printed.given(f"futa_{grade}")),
            "yield_strength": like(area, printed.given(f"fya_{grade}")),
        }
        printed.check(f"Nsa_{grade}", aci318m_17.steel_tension_strength(**steel))
        shear = aci318m_17.steel_shear_strength(**steel, grout_factor=np.ones(area.shape))
        printed.check(f"Vsa_{grade}", shear)
        # second way: the same rods in the European tables, and shear against tension
        pull = np.array(printed.printed(f"Nsa_{grade}"))
        np.testing.assert_allclose(pull, approvals.printed(f"NRk_s_{grade}"), atol=1.0)
        np.testing.assert_allclose(printed.printed(f"Vsa_{grade}"), 0.6 * pull, atol=0.5)


def test_bearing_area_of_the_heads_of_studs() -> None:
    printed = case("A-PCI-STUD")
    head = {"head_diameter": printed.column("dh"), "shank_diameter": printed.column("d")}
    printed.check("Abrg", aci318_17_factors.head_bearing_area(**head))
    printed.check("Abrg", en1992_4_head.head_bearing_area(**head))
    # second way: two of them are inputs of the examples of ACI 349.2R
    by_shank = dict(zip(printed.given("d"), printed.printed("Abrg"), strict=True))
    for identifier in ("A-349-A1", "A-349-A3"):
        example = case(identifier)
        assert by_shank[example.given("d")] == example.given("Abrg")


def test_depth_and_area_between_three_close_edges() -> None:
    printed = case("A-318-R17")
    given = printed.column
    depth = aci318_17_factors.reduced_embedment_depth(
        embedment_depth=given("hef"),
        close_edges=np.array([3.0]),
        greatest_edge_distance=np.maximum(np.maximum(given("up"), given("down")), given("left")),
        greatest_spacing=given("s"),
    )
    printed.check("hef_reduced", depth)
    rows = {"embedment_depth": depth, "distance_up": given("up"), "distance_down": given("down")}
    half = given("s") / 2.0
    first = aci318_17_factors.row_cone_area(**rows, distance_left=given("left"), distance_right=half)
    second = aci318_17_factors.row_cone_area(**rows, distance_left=half, distance_right=np.array([99.0]))
    printed.check("ANc", first + second)
    # second way: the same rule in CEN/TS 1992-4-2, whose figure was read
    read = case("A-TS-01")
    read.check(
        "hef_reduced",
        aci318_17_factors.reduced_embedment_depth(
            embedment_depth=read.column("hef"),
            close_edges=np.array([4.0]),
            greatest_edge_distance=read.column("c3"),
            greatest_spacing=read.column("s"),
        ),
    )


def test_breakout_and_pry_out_of_the_si_edition() -> None:
    printed = case("A-349-SI")
    depth = printed.column("hef")
    basic = aci318m_17.basic_breakout(
        breakout_factor=like(depth, printed.given("kc")),
        deep_breakout_factor=like(depth, 3.9),
        lightweight_factor=np.ones(2),
        cylinder_strength=like(depth, printed.given("fc")),
        embedment_depth=depth,
    )
    breakout = aci318m_17.breakout_strength(basic_resistance=basic, breakout_share=np.ones(2))
    printed.check("Ncb", breakout)
    pry_out = aci318m_17.pry_out_strength(
        pry_out_multiple=aci318m_17.pry_out_factor(embedment_depth=depth), tension_breakout=breakout
    )
    printed.check("Vcp_a3", pry_out[1])
    # second way: the cases in inch-pounds, 4.4482 kN to the kip
    kip = 4.4482216
    inch_pound = [case(name).printed("Ncb") for name in ("A-349-A1", "A-349-A3")]
    np.testing.assert_allclose(printed.printed("Ncb"), kip * np.array(inch_pound), rtol=1e-5)
    np.testing.assert_allclose(printed.printed("Vcp_a3"), kip * case("A-349-A3").printed("Vcp"), rtol=1e-5)


def test_eccentricities_of_the_method_both_codes_share() -> None:
    printed, coded = case("A-EN-05-CCD"), case("A-EN-05")
    cone = {"load_eccentricity": printed.column("eN"), "embedment_depth": printed.column("hef")}
    edge = {"load_eccentricity": printed.column("eV"), "edge_distance": printed.column("c1")}
    printed.check("psi_ec_N", aci318_17_factors.cone_eccentricity_influence(**cone))
    printed.check("psi_ec_V", aci318_17_shear_factors.edge_eccentricity_influence(**edge))
    for name in ("psi_ec_N", "psi_ec_V"):
        assert printed.printed(name) == coded.printed(name)
    # the European formulas on the same rows
    coded.check("psi_ec_N", en1992_4_tension.cone_eccentricity_influence(**cone))
    coded.check("psi_ec_V", en1992_4_edge.edge_eccentricity_influence(**edge))


def test_factor_of_pry_out() -> None:
    printed = case("A-ETAG-K")
    depth = printed.column("hef")
    printed.check("k", en1992_4_pry_out.pry_out_factor(embedment_depth=depth))
    # second way: ACI 318M steps at 65 mm, and the printed strengths of a deep stud have 2.0
    aci = aci318m_17.pry_out_factor(embedment_depth=np.array([50.0, 65.0, 300.0]))
    np.testing.assert_array_equal(aci, printed.printed("k"))
    stud = case("A-349-A3")
    np.testing.assert_allclose(stud.printed("Vcp") / stud.printed("Ncb"), printed.printed("k")[-1], rtol=1e-5)


def test_areas_of_groups_of_bars() -> None:
    printed = case("R-AREAS")
    count, diameter = printed.column("n"), printed.column("d")
    strength = like(count, printed.given("fyk"))
    force = en1992_4_interaction.supplementary_steel_resistance(
        bar_count=count, bar_diameter=diameter, bar_yield_strength=strength
    )
    printed.check("area", 1000.0 * force / strength)
    # second way: the printed masses of the bars, 7850 kg/m3
    mass = bar_masses.metric_bar_mass(bar_diameter=diameter)
    np.testing.assert_allclose(printed.printed("area"), count * mass / 7850.0 * 1e6, rtol=0.006)


def test_a_bar_on_its_anchorage_length_holds_its_design_stress() -> None:
    printed = case("R-LB-PHI")
    fck = printed.column("fck")
    diameter = like(fck, 12.0)
    bond = en1992_1_1_bond.design_bond_strength(
        position_factor=np.ones(4),
        bar_diameter=diameter,
        design_tension=en1992_1_1_bond.design_tensile_strength(
            cylinder_strength=fck, concrete_partial_factor=like(fck, printed.given("gamma_c"))
        ),
    )
    multiple = printed.column("length_over_diameter")
    force = en1992_4_interaction.supplementary_anchorage_resistance(
        bar_count=np.ones(4),
        bar_diameter=diameter,
        length_in_cone=multiple * diameter,
        bond_strength=bond,
        anchorage_form_factor=np.ones(4),
    )
    printed.check("bar_stress", 1000.0 * force / (np.pi / 4.0 * diameter**2))
    # second way: the length by EN 1992-1-1, to a diameter
    length = en1992_1_1_bond.basic_anchorage_length(
        bar_diameter=diameter, bar_stress=like(fck, printed.printed("bar_stress")), bond_strength=bond
    )
    np.testing.assert_allclose(length / diameter, multiple, atol=0.5)
