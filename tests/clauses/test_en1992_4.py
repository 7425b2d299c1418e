"""EN 1992-4:2018 for cast-in headed anchors, against published numbers."""

import numpy as np
import pytest
from builders import computed
from support import case

from sheetengine.clauses import en1992_4_edge as edge
from sheetengine.clauses import en1992_4_head as head
from sheetengine.clauses import en1992_4_interaction as both
from sheetengine.clauses import en1992_4_pry_out as pry_out
from sheetengine.clauses import en1992_4_steel as steel
from sheetengine.clauses import en1992_4_tension as cone
from sheetengine.clauses.record import outside
from sheetengine.clauses.rows import factors
from sheetengine.design.anchor_demand import EN_METHOD, strength_range

ONE = np.array([1.0])
FAR = np.array([1e6])


def column(*values):
    return np.array(values, dtype=float)


@pytest.mark.parametrize(
    ("identifier", "strength", "k1", "k2", "k5", "k9"),
    [
        ("A-EN-01", "fck", (8.9, 12.7), (7.5, 10.5), 8.7, (1.7, 2.4)),
        ("A-TS-03", "fck_cube", (8.5, 11.9), (6.0, None), 8.0, (1.6, None)),
    ],
)
def test_basic_resistances(identifier, strength, k1, k2, k5, k9):
    published = case(identifier)
    given = published.column
    bearing = head.head_bearing_area(head_diameter=given("dh"), shank_diameter=given("d"))
    for factor, name in zip(k1, ("N0Rk_c_cracked", "N0Rk_c_uncracked"), strict=True):
        published.check(
            name,
            cone.basic_cone_resistance(
                cone_factor=column(factor), cylinder_strength=given(strength), embedment_depth=given("hef")
            ),
        )
    for factor, name in zip(k2, ("NRk_p_cracked", "NRk_p_uncracked"), strict=True):
        if factor is not None:
            published.check(
                name,
                head.pull_out_resistance(
                    bearing_factor=column(factor), bearing_area=bearing, cylinder_strength=given(strength)
                ),
            )
    published.check(
        "N0Rk_cb_cracked",
        head.basic_blow_out_resistance(
            blow_out_factor=column(k5),
            edge_distance=given("c1_blowout"),
            bearing_area=bearing,
            cylinder_strength=given(strength),
        ),
    )
    for factor, name in zip(k9, ("V0Rk_c_cracked", "V0Rk_c_uncracked"), strict=True):
        if factor is not None:
            published.check(
                name,
                edge.basic_edge_resistance(
                    edge_breakout_factor=column(factor),
                    shank_diameter=given("d"),
                    effective_length=given("lf"),
                    cylinder_strength=given(strength),
                    edge_distance=given("c1_shear"),
                ),
            )
    if "Ah" in published.expected:
        published.check("Ah", bearing)


def test_the_factor_file_holds_the_values_of_the_published_cases():
    held = factors("en1992_4")
    assert (held["cone_factor"]["cracked"], held["cone_factor"]["uncracked"]) == (8.9, 12.7)
    assert (held["bearing_factor"]["cracked"], held["bearing_factor"]["uncracked"]) == (7.5, 10.5)
    assert (held["edge_breakout_factor"]["cracked"], held["edge_breakout_factor"]["uncracked"]) == (1.7, 2.4)
    assert held["blow_out_factor"]["cracked"] == 8.7


def test_one_anchor_near_one_edge():
    published = case("A-EN-02")
    given = published.column
    depth = given("hef")
    area = cone.row_cone_area(
        embedment_depth=depth,
        distance_up=given("c1"),
        distance_down=FAR,
        distance_left=FAR,
        distance_right=FAR,
    )
    influence = cone.cone_edge_influence(edge_distance=given("c1"), embedment_depth=depth)
    resistance = cone.cone_resistance(
        basic_resistance=cone.basic_cone_resistance(
            cone_factor=column(8.9), cylinder_strength=given("fck"), embedment_depth=depth
        ),
        projected_area=area,
        reference_area=cone.reference_cone_area(embedment_depth=depth),
        edge_influence=influence,
        spalling_factor=ONE,
        eccentricity_influence=ONE,
        compression_influence=ONE,
    )
    published.check("Ac_N", area)
    published.check("psi_s_N", influence)
    published.check("NRk_c", resistance)
    published.check("NRd_c", resistance / factors("en1992_4")["partial_factor"]["concrete_modes"])


def test_cone_and_pry_out_of_a_program():
    published = case("A-EN-03")
    given = published.column
    basic = cone.basic_cone_resistance(
        cone_factor=given("k1"), cylinder_strength=given("fck"), embedment_depth=given("hef")
    )
    reference = cone.reference_cone_area(embedment_depth=given("hef"))
    plain = {
        "edge_influence": ONE,
        "spalling_factor": ONE,
        "eccentricity_influence": ONE,
        "compression_influence": ONE,
    }
    resistance = cone.cone_resistance(
        basic_resistance=basic, projected_area=given("Ac_N") * 1e6, reference_area=reference, **plain
    )
    alone = cone.cone_resistance(
        basic_resistance=basic, projected_area=reference, reference_area=reference, **plain
    )
    published.check("NRd_c", resistance * 1e3 / given("gamma_Mc"))
    multiple = pry_out.pry_out_factor(embedment_depth=given("hef"))
    sheared = pry_out.pry_out_resistance(pry_out_multiple=multiple, tension_breakout=alone)
    published.check("VRd_cp", sheared * 1e3 / given("gamma_Mc"))


def test_influences():
    published = case("A-EN-05")
    given = published.column
    depth = given("hef")
    published.check("psi_s_N", cone.cone_edge_influence(edge_distance=given("c"), embedment_depth=depth))
    published.check(
        "psi_re_N",
        cone.spalling_influence(
            embedment_depth=given("hef_shallow"), bar_spacing=column(100.0), bar_diameter=column(16.0)
        ),
    )
    published.check(
        "psi_ec_N", cone.cone_eccentricity_influence(load_eccentricity=given("eN"), embedment_depth=depth)
    )
    published.check(
        "psi_M_N",
        cone.cone_compression_influence(
            internal_lever_arm=given("z"),
            embedment_depth=depth,
            edge_distance=column(600.0),
            compression_ratio=ONE,
        ),
    )
    published.check(
        "psi_s_V", edge.edge_corner_influence(edge_distance=given("c1"), second_edge_distance=given("c2"))
    )
    published.check(
        "psi_h_V", edge.edge_thickness_influence(edge_distance=given("c1"), member_thickness=given("h"))
    )
    published.check(
        "psi_ec_V", edge.edge_eccentricity_influence(load_eccentricity=given("eV"), edge_distance=given("c1"))
    )
    published.check("psi_alpha_V", edge.edge_angle_influence(shear_angle=given("alpha")))


def test_two_anchors_between_four_edges():
    published = case("A-TS-01")
    greatest = max(published.given(name) for name in ("c1", "c2", "c3", "c4"))
    published.check(
        "hef_reduced",
        cone.reduced_embedment_depth(
            embedment_depth=published.column("hef"),
            close_edges=column(4.0),
            greatest_edge_distance=column(greatest),
            greatest_spacing=published.column("s"),
        ),
    )


def test_corner_group_anchor_by_anchor_is_the_group():
    published = case("A-B19-01")
    depth = published.column("hef")
    across, along = published.given("edges")
    half_x, half_y = published.given("sx") / 2.0, published.given("sy") / 2.0
    areas = cone.row_cone_area(
        embedment_depth=np.repeat(depth, 4),
        distance_up=column(across, across, half_x, half_x),
        distance_down=column(half_x, half_x, 1e6, 1e6),
        distance_left=column(along, half_y, along, half_y),
        distance_right=column(half_y, 1e6, half_y, 1e6),
    )
    published.check("AcN", areas.sum())
    reference = cone.reference_cone_area(embedment_depth=depth)
    published.check("A0cN", reference)
    influence = cone.cone_edge_influence(edge_distance=column(across), embedment_depth=depth)
    published.check("psi_s", influence)
    shares = cone.cone_resistance(
        basic_resistance=cone.basic_cone_resistance(
            cone_factor=published.column("k"),
            cylinder_strength=published.column("fck_cube"),
            embedment_depth=depth,
        ),
        projected_area=areas,
        reference_area=reference,
        edge_influence=influence,
        spalling_factor=ONE,
        eccentricity_influence=ONE,
        compression_influence=ONE,
    )
    published.check("NRd_c", shares.sum() / published.given("gamma_c"))


def test_spalling_counts_only_under_close_bars():
    """Limits of Eq. (7.5): 1 from 150 mm spacing on, and from 100 mm with bars to 10 mm."""
    factor = cone.spalling_influence(
        embedment_depth=column(80.0, 80.0, 80.0, 80.0, 80.0, 150.0),
        bar_spacing=column(149.0, 150.0, 100.0, 100.0, np.inf, 50.0),
        bar_diameter=column(16.0, 16.0, 10.0, 12.0, 0.0, 20.0),
    )
    np.testing.assert_allclose(factor, [0.9, 1.0, 1.0, 0.9, 1.0, 1.0])


def test_compression_helps_only_inside_its_limits():
    """Limits of Eq. (7.7): c >= 1.5 h_ef, C/N >= 0.8, z < 1.5 h_ef."""
    factor = cone.cone_compression_influence(
        internal_lever_arm=column(150.0, 150.0, 150.0, 300.0),
        embedment_depth=column(200.0, 200.0, 200.0, 200.0),
        edge_distance=column(300.0, 299.0, 300.0, 300.0),
        compression_ratio=column(0.8, 1.0, 0.79, 1.0),
    )
    np.testing.assert_allclose(factor, [1.5, 1.0, 1.0, 1.0])


def test_reduced_depth_needs_three_edges_and_never_grows():
    depth = cone.reduced_embedment_depth(
        embedment_depth=column(200.0, 200.0, 200.0),
        close_edges=column(2.0, 3.0, 3.0),
        greatest_edge_distance=column(120.0, 120.0, 500.0),
        greatest_spacing=column(0.0, 0.0, 0.0),
    )
    np.testing.assert_allclose(depth, [200.0, 80.0, 200.0])


def test_blow_out_of_a_row_adds_up_to_the_group():
    """property: three anchors 100 mm apart, 60 mm below the joint, one end at a corner 80 mm away."""
    reach = 120.0
    shares = head.row_blow_out_area(
        edge_distance=column(60.0, 60.0, 60.0),
        distance_left=column(80.0, 50.0, 50.0),
        distance_right=column(50.0, 50.0, 1e6),
        embedment_depth=column(300.0, 300.0, 300.0),
        depth_behind_head=column(1e6, 1e6, 1e6),
    )
    np.testing.assert_allclose(shares.sum(), (80.0 + 200.0 + reach) * 2.0 * reach)
    single = head.row_blow_out_area(
        edge_distance=column(60.0),
        distance_left=FAR,
        distance_right=FAR,
        embedment_depth=column(300.0),
        depth_behind_head=FAR,
    )
    np.testing.assert_allclose(single, head.reference_blow_out_area(edge_distance=column(60.0)))


def test_blow_out_influences_at_their_bounds():
    """By hand: 1 where the cause is gone; psi_g is sqrt(n) at no spacing; 1/(1 + 60/240) = 0.8."""
    c = column(60.0)
    assert head.blow_out_edge_influence(edge_distance=c, second_edge_distance=column(120.0)) == 1.0
    assert head.blow_out_edge_influence(edge_distance=c, second_edge_distance=column(60.0)) == pytest.approx(
        0.85
    )
    spacing = column(0.0, 240.0, 500.0)
    group = head.blow_out_group_influence(
        anchor_count=column(4.0, 4.0, 4.0), anchor_spacing=spacing, edge_distance=column(60.0, 60.0, 60.0)
    )
    np.testing.assert_allclose(group, [2.0, 1.0, 1.0])
    eccentric = head.blow_out_eccentricity_influence(
        load_eccentricity=column(0.0, 30.0), edge_distance=column(60.0, 60.0)
    )
    np.testing.assert_allclose(eccentric, [1.0, 0.8])
    product = head.blow_out_resistance(
        basic_resistance=column(100.0),
        projected_area=column(0.5),
        reference_area=column(1.0),
        edge_influence=column(0.85),
        group_influence=column(1.2),
        eccentricity_influence=column(0.9),
    )
    np.testing.assert_allclose(product, 100.0 * 0.5 * 0.85 * 1.2 * 0.9)


def test_when_blow_out_and_edge_need_checking():
    """Limits of 7.2.1.8 (c <= 0.5 h_ef) and 7.2.2.5 (c1 <= max(10 h_ef, 60 d)); missing counts as yes."""
    np.testing.assert_array_equal(
        head.blow_out_governs(
            edge_distance=column(100.0, 100.1, np.nan), embedment_depth=column(200.0, 200.0, 200.0)
        ),
        [True, False, True],
    )
    np.testing.assert_array_equal(
        edge.edge_check_needed(
            edge_distance=column(2000.0, 2001.0, 2100.0, 100.0),
            embedment_depth=column(200.0, 200.0, 200.0, np.nan),
            shank_diameter=column(20.0, 20.0, 36.0, 20.0),
        ),
        [True, False, True, True],
    )


def test_effective_length_by_diameter():
    """7.2.2.5: 12 d to 24 mm, the greater of 8 d and 300 mm above, never beyond h_ef."""
    length = edge.effective_shear_length(
        embedment_depth=column(600.0, 600.0, 600.0, 200.0), shank_diameter=column(24.0, 25.0, 40.0, 24.0)
    )
    np.testing.assert_allclose(length, [288.0, 300.0, 320.0, 200.0])


def test_edge_shear_grows_with_the_diameter_as_computed_elsewhere():
    """With one length, 12 d, Eq. (7.41) to (7.43) gives d16 and d20 as 72 517 to 76 659 N: the ratio, areas apart."""
    published = case("A-EN-03")
    depth = np.repeat(published.column("hef"), 2)
    diameter = column(16.0, 20.0)
    c1 = np.repeat(published.column("edge"), 2)
    length = edge.effective_shear_length(embedment_depth=depth, shank_diameter=diameter)
    basic = edge.basic_edge_resistance(
        edge_breakout_factor=column(1.7, 1.7),
        shank_diameter=diameter,
        effective_length=length,
        cylinder_strength=np.repeat(published.column("fck"), 2),
        edge_distance=c1,
    )
    ratio = basic[1] / basic[0]
    assert ratio == pytest.approx(76659.0 / 72517.0, rel=1e-4)


def test_edge_row_shares_and_product():
    """property: a lone anchor has the reference area; shares of a row add up to the group's area."""
    c1 = column(200.0)
    lone = edge.row_edge_area(edge_distance=c1, distance_left=FAR, distance_right=FAR, member_thickness=FAR)
    np.testing.assert_allclose(lone, edge.reference_edge_area(edge_distance=c1))
    pair = edge.row_edge_area(
        edge_distance=column(200.0, 200.0),
        distance_left=column(1e6, 125.0),
        distance_right=column(125.0, 1e6),
        member_thickness=column(250.0, 250.0),
    )
    np.testing.assert_allclose(pair.sum(), (300.0 + 250.0 + 300.0) * 250.0)
    product = edge.edge_resistance(
        basic_resistance=column(40.0),
        projected_area=column(0.5),
        reference_area=column(1.0),
        edge_influence=column(0.9),
        thickness_influence=column(1.1),
        eccentricity_influence=column(0.8),
        angle_influence=column(2.0),
        reinforcement_influence=column(1.4),
    )
    np.testing.assert_allclose(product, 40.0 * 0.5 * 0.9 * 1.1 * 0.8 * 2.0 * 1.4)


def test_steel_by_hand():
    """Hand values; factors as in DD CEN/TS 1992-4-2 (partial factors) and EN 1992-4 7.2.2.3 (k6)."""
    fu, fy = column(500.0, 800.0, 1000.0), column(400.0, 640.0, 900.0)
    np.testing.assert_allclose(
        steel.steel_partial_factor_tension(tensile_strength=fu, yield_strength=fy), [1.5, 1.5, 1.4]
    )
    np.testing.assert_allclose(
        steel.steel_partial_factor_shear(tensile_strength=fu, yield_strength=fy), [1.25, 1.25, 1.5]
    )
    np.testing.assert_allclose(steel.steel_shear_factor(tensile_strength=fu), [0.6, 0.5, 0.5])
    np.testing.assert_allclose(
        steel.steel_tension_resistance(stressed_area=column(245.0), tensile_strength=column(500.0)), 122.5
    )
    np.testing.assert_allclose(
        steel.steel_shear_resistance(
            shear_factor=column(0.6),
            ductility_factor=column(0.8),
            stressed_area=column(245.0),
            tensile_strength=column(500.0),
        ),
        0.6 * 0.8 * 122.5,
    )


def test_shear_on_a_lever_arm_by_hand():
    """d 20, 30 mm clear: l_a = 40; W = 785.4; M0 = 1.2 x 785.4 x 500 = 471.2 kN mm; half left beside tension."""
    arm = steel.shear_lever_arm(stand_off=column(30.0), shank_diameter=column(20.0))
    basic = steel.basic_bending_resistance(
        section_modulus=steel.round_section_modulus(shank_diameter=column(20.0)),
        tensile_strength=column(500.0),
    )
    left = steel.bending_resistance(
        basic_bending=np.repeat(basic, 3),
        anchor_tension=column(0.0, 50.0, 120.0),
        steel_design_resistance=column(100.0, 100.0, 100.0),
    )
    shear = steel.steel_shear_resistance_lever_arm(
        restraint_factor=column(1.0, 2.0, 2.0), bending=left, lever_arm=np.repeat(arm, 3)
    )
    np.testing.assert_allclose(shear, [11.78, 11.78, 0.0], rtol=5e-4)


def test_supplementary_bars_by_hand():
    """Two legs of 12 mm, 100 mm in the cone, f_bd 2.7: steel 113.1 kN; 2 x 100 x 37.70 x 2.7/0.7 = 29.1 kN."""
    np.testing.assert_allclose(
        both.supplementary_steel_resistance(
            bar_count=column(2.0), bar_diameter=column(12.0), bar_yield_strength=column(500.0)
        ),
        113.1,
        rtol=5e-4,
    )
    np.testing.assert_allclose(
        both.supplementary_anchorage_resistance(
            bar_count=column(2.0),
            bar_diameter=column(12.0),
            length_in_cone=column(100.0),
            bond_strength=column(2.7),
            anchorage_form_factor=column(0.7),
        ),
        29.08,
        rtol=5e-4,
    )
    counts = both.supplementary_bars_count(
        distance_from_anchor=column(150.0, 151.0, 50.0, np.nan),
        governing_depth=column(200.0, 200.0, 200.0, 200.0),
        length_in_cone=column(48.0, 48.0, 47.0, 48.0),
        bar_diameter=column(12.0, 12.0, 12.0, 12.0),
        least_length_factor=column(4.0, 4.0, 4.0, 4.0),
    )
    np.testing.assert_array_equal(counts, [True, False, False, False])


def grid():
    n, v = np.meshgrid(np.linspace(0.0, 1.4, 57), np.linspace(0.0, 1.4, 57))
    return n.ravel(), v.ravel()


def test_interaction_decides_as_the_clause_does():
    """property: at most 1 exactly where Eq. (7.54), or either form for concrete, is met."""
    n, v = grid()
    steel_measure = both.steel_interaction(tension_ratio=n, shear_ratio=v)
    sum_of_squares = n**2 + v**2
    clear = np.abs(sum_of_squares - 1.0) > 1e-9
    np.testing.assert_array_equal((steel_measure <= 1.0)[clear], (sum_of_squares <= 1.0)[clear])

    concrete = both.concrete_interaction(tension_ratio=n, shear_ratio=v)
    single = (n <= 1.0) & (v <= 1.0)
    met = single & ((n**1.5 + v**1.5 <= 1.0) | (n + v <= 1.2))
    clear = np.abs(concrete - 1.0) > 1e-9
    np.testing.assert_array_equal((concrete <= 1.0)[clear], met[clear])
    assert np.all(concrete >= np.maximum(n, v))


@pytest.mark.parametrize("measure", [both.steel_interaction, both.concrete_interaction])
def test_interaction_grows_in_proportion_to_the_load(measure):
    """property: twice the load, twice the measure."""
    n, v = grid()
    np.testing.assert_allclose(
        measure(tension_ratio=2.0 * n, shear_ratio=2.0 * v), 2.0 * measure(tension_ratio=n, shear_ratio=v)
    )


def test_young_concrete_is_outside_the_scope_but_still_computed():
    """1.3: C12/15 to C90/105."""
    strength = column(5.0, 11.9, 12.0, 90.0, 90.1, np.nan)
    for formula in (
        cone.basic_cone_resistance,
        head.pull_out_resistance,
        head.basic_blow_out_resistance,
        edge.basic_edge_resistance,
    ):
        np.testing.assert_array_equal(
            outside(formula, cylinder_strength=strength)["cylinder_strength"],
            [True, True, False, False, True, False],
        )
    indication = cone.basic_cone_resistance(
        cone_factor=column(8.9), cylinder_strength=column(5.0), embedment_depth=column(200.0)
    )
    assert np.isfinite(indication).all()


def test_steel_and_supplementary_limits():
    """1.3(3): f_uk to 1000 MPa; 7.2.1.2: f_yk to 600 MPa, bars to 16 mm; 7.2.2.5: d counted to 60 mm."""
    assert outside(steel.steel_tension_resistance, tensile_strength=column(1001.0))["tensile_strength"].all()
    rows = outside(
        both.supplementary_steel_resistance,
        bar_yield_strength=column(600.0, 601.0),
        bar_diameter=column(16.0, 20.0),
    )
    np.testing.assert_array_equal(rows["bar_yield_strength"], [False, True])
    np.testing.assert_array_equal(rows["bar_diameter"], [False, True])
    assert outside(edge.basic_edge_resistance, shank_diameter=column(64.0))["shank_diameter"].all()


def test_pry_out_step():
    """ETAG 001 Annex C: k 1 below 60 mm, 2 from there; a missing depth stays missing."""
    np.testing.assert_array_equal(
        pry_out.pry_out_factor(embedment_depth=column(59.9, 60.0, np.nan)), [1.0, 2.0, np.nan]
    )


def test_how_far_the_standard_goes():
    """From memory. 1.3: C12/15 to C90/105. 7.2.1.2 and 7.2.1.9 for bars: to 16 mm, to 600 MPa, straight ends of 10 diameters."""
    assert strength_range(EN_METHOD) == (12.0, 90.0)
    bars = {
        "Supplementary bars": 4, "Supplementary diameter": 16.0, "Supplementary length": 160.0, "Supplementary yield": 600.0,
    }  # fmt: skip
    assert computed(anchors=[bars]).type_limits == []
    for heading, value, limit in (
        ("Supplementary diameter", 16.1, "at most 16 mm"), ("Supplementary yield", 601.0, "at most 600 MPa"),
        ("Supplementary length", 159.0, "at least 160 mm, 10 diameters"),
    ):  # fmt: skip
        found = computed(
            anchors=[bars | {heading: value, "Supplementary length": 159.0 if "length" in heading else 165.0}]
        )
        assert [told[2] for told in found.type_limits] == [limit]
