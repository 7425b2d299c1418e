"""ACI 318-19 and 318M-19 chapter 17 for cast-in headed anchors, against published numbers."""

import numpy as np
import pytest
from support import case

from sheetengine.clauses import aci318_17 as inch
from sheetengine.clauses import aci318_17_factors as shared
from sheetengine.clauses import aci318_17_shear_factors as shear
from sheetengine.clauses import aci318m_17 as si
from sheetengine.clauses import en1992_4_edge, en1992_4_head, en1992_4_tension
from sheetengine.clauses.record import outside
from sheetengine.clauses.rows import factors

ONE = np.array([1.0])
FAR = np.array([1e6])
HELD = factors("aci318_19")
KIP = 1000.0
LBF_IN_KN = 4.4482216152605e-3


def column(*values):
    return np.array(values, dtype=float)


def inch_breakout(strength, depth):
    return inch.basic_breakout(
        breakout_factor=column(HELD["inch_pound"]["breakout_factor"]),
        deep_breakout_factor=column(HELD["inch_pound"]["deep_breakout_factor"]),
        lightweight_factor=ONE,
        cylinder_strength=strength,
        embedment_depth=depth,
    )


def tension_share(depth, up, left=FAR, right=FAR):
    return shared.tension_breakout_share(
        projected_area=shared.row_cone_area(
            embedment_depth=depth, distance_up=up, distance_down=FAR, distance_left=left, distance_right=right
        ),
        reference_area=shared.reference_cone_area(embedment_depth=depth),
        edge_influence=shared.cone_edge_influence(edge_distance=up, embedment_depth=depth),
        eccentricity_influence=ONE,
        cracking_influence=ONE,
    )


def edge_breakout(published):
    """Edge breakout of ACI 349: the first expression alone, stud welded to its plate."""
    c1, c2, thickness = published.column("ca1"), published.column("ca2"), published.column("ha")
    basic = inch.basic_edge_breakout(
        bearing_edge_factor=column(HELD["inch_pound"]["bearing_edge_factor_welded"]),
        plain_edge_factor=column(np.inf),
        load_bearing_length=shear.shear_bearing_length(
            embedment_depth=published.column("hef"), shank_diameter=published.column("d")
        ),
        shank_diameter=published.column("d"),
        lightweight_factor=ONE,
        cylinder_strength=published.column("fc"),
        edge_distance=c1,
    )
    share = shear.edge_breakout_share(
        projected_area=shear.row_edge_area(
            edge_distance=c1, distance_left=c2, distance_right=FAR, member_thickness=thickness
        ),
        reference_area=shear.reference_edge_area(edge_distance=c1),
        edge_influence=shear.edge_corner_influence(edge_distance=c1, second_edge_distance=c2),
        eccentricity_influence=ONE,
        cracking_influence=ONE,
        thickness_influence=shear.edge_thickness_influence(edge_distance=c1, member_thickness=thickness),
        direction_factor=ONE,
    )
    return inch.breakout_strength(basic_resistance=basic, breakout_share=share)


def stud_area(published):
    return np.pi / 4.0 * published.column("d") ** 2


def test_one_stud_in_tension():
    published = case("A-349-A1")
    steel = inch.steel_tension_strength(
        stressed_area=stud_area(published),
        tensile_strength=published.column("fut") * KIP,
        yield_strength=column(51_000.0),
    )
    published.check("Nsa", steel / KIP)
    depth = published.column("hef")
    breakout = inch.breakout_strength(
        basic_resistance=inch_breakout(published.column("fc"), depth),
        breakout_share=tension_share(depth, published.column("ca_min")),
    )
    published.check("Ncb", breakout / KIP)
    published.check("ductility_085", 0.85 * breakout / KIP)
    pull_out = inch.pull_out_strength(
        cracking_influence=ONE,
        bearing_area=published.column("Abrg"),
        cylinder_strength=published.column("fc"),
    )
    published.check("Npn", pull_out / KIP)
    published.check("phiN", 0.80 * steel / KIP)


def test_one_stud_in_shear():
    published = case("A-349-A2")
    published.check("Vcb", edge_breakout(published) / KIP)
    steel = inch.steel_tension_strength(
        stressed_area=stud_area(published),
        tensile_strength=published.column("fut") * KIP,
        yield_strength=column(51_000.0),
    )
    published.check("Vsa", steel / KIP)
    depth = published.column("hef")
    pry_out = inch.pry_out_strength(
        pry_out_multiple=inch.pry_out_factor(embedment_depth=depth),
        tension_breakout=inch.breakout_strength(
            basic_resistance=inch_breakout(published.column("fc"), depth),
            breakout_share=tension_share(depth, published.column("ca1")),
        ),
    )
    published.check("Vcp", pry_out / KIP)


def test_one_stud_in_tension_and_shear():
    published = case("A-349-A3")
    depth = published.column("hef")
    steel = inch.steel_tension_strength(
        stressed_area=stud_area(published),
        tensile_strength=published.column("fut") * KIP,
        yield_strength=column(51_000.0),
    )
    breakout = inch.breakout_strength(
        basic_resistance=inch_breakout(published.column("fc"), depth),
        breakout_share=tension_share(depth, published.column("ca1")),
    )
    pull_out = inch.pull_out_strength(
        cracking_influence=ONE,
        bearing_area=published.column("Abrg"),
        cylinder_strength=published.column("fc"),
    )
    pry_out = inch.pry_out_strength(
        pry_out_multiple=inch.pry_out_factor(embedment_depth=depth), tension_breakout=breakout
    )
    edge = edge_breakout(published)
    for name, value in (
        ("Nsa", steel),
        ("Ncb", breakout),
        ("Npn", pull_out),
        ("Vcb", edge),
        ("Vcp", pry_out),
    ):
        published.check(name, value / KIP)
    tension = 0.80 * np.minimum(np.minimum(steel, breakout), pull_out)
    sheared = 0.75 * np.minimum(np.minimum(steel, edge), pry_out)
    published.check("phiN", tension / KIP)
    published.check("phiV", sheared / KIP)
    measure = shear.trilinear_interaction(
        tension_ratio=published.column("Nua") * KIP / tension,
        shear_ratio=published.column("Vua") * KIP / sheared,
    )
    published.check("interaction_sum", 1.2 * measure)


def test_one_anchor_near_one_edge_and_a_pair():
    published = case("A-318-01")
    depth, edge = published.column("hef"), published.column("ca1")
    basic = inch_breakout(published.column("fc"), depth)
    published.check("Nb", basic)
    reference = shared.reference_cone_area(embedment_depth=depth)
    published.check("ANco", reference)
    published.check("psi_ed", shared.cone_edge_influence(edge_distance=edge, embedment_depth=depth))
    share = tension_share(depth, edge)
    published.check("ANc", share / 0.85 * reference)
    published.check("Ncb", inch.breakout_strength(basic_resistance=basic, breakout_share=share))

    pair = case("A-318-02")
    half = pair.column("s") / 2.0
    shares = tension_share(depth, edge, right=half) + tension_share(depth, edge, left=half)
    pair.check("ANc", shares / 0.85 * reference)
    pair.check("Ncbg", inch.breakout_strength(basic_resistance=basic, breakout_share=shares))


def test_side_face_blow_out():
    published = case("A-318-03")
    published.check(
        "Nsb",
        inch.basic_blow_out(
            blow_out_factor=column(HELD["inch_pound"]["blow_out_factor"]),
            edge_distance=published.column("ca1"),
            bearing_area=published.column("Abrg"),
            lightweight_factor=ONE,
            cylinder_strength=published.column("fc"),
        ),
    )
    assert shared.blow_out_governs(
        edge_distance=published.column("ca1"), embedment_depth=published.column("hef")
    ).all()


def test_constants_of_the_si_edition():
    published = case("A-318M-01")
    given, held = published.column, HELD["si"]
    common = {"lightweight_factor": given("lambda_a"), "cylinder_strength": given("fc")}
    for name, depth in (("Nb", "hef"), ("Nb_deep_5_3", "hef_deep")):
        published.check(
            name,
            si.basic_breakout(
                breakout_factor=column(held["breakout_factor"]),
                deep_breakout_factor=column(held["deep_breakout_factor"]),
                embedment_depth=given(depth),
                **common,
            ),
        )
    published.check(
        "Np_cracked",
        si.pull_out_strength(
            cracking_influence=ONE, bearing_area=given("Abrg"), cylinder_strength=given("fc")
        ),
    )
    published.check(
        "Nsb",
        si.basic_blow_out(
            blow_out_factor=column(held["blow_out_factor"]),
            edge_distance=given("ca1_blowout"),
            bearing_area=given("Abrg"),
            **common,
        ),
    )
    pair = (("Vb_a", held["bearing_edge_factor"], np.inf), ("Vb_b", np.inf, held["plain_edge_factor"]))
    for name, bearing, plain in pair:
        published.check(
            name,
            si.basic_edge_breakout(
                bearing_edge_factor=column(bearing),
                plain_edge_factor=column(plain),
                load_bearing_length=given("le"),
                shank_diameter=given("da"),
                edge_distance=given("ca1_shear"),
                **common,
            ),
        )


def test_limits_and_factors():
    published = case("A-318M-02")
    held, reduction = HELD["si"], HELD["strength_reduction"]
    takes = si.basic_edge_breakout.clause.takes
    published.check("fc_min", takes["cylinder_strength"].at_least)
    published.check("fc_max_cast_in", takes["cylinder_strength"].at_most)
    published.check("fc_max_post_installed", held["greatest_strength_post_installed"])
    published.check("da_max", takes["shank_diameter"].at_most)
    published.check("hef_range_5_3", si.DEEP_FORM)
    published.check("kcp_switch_hef", si.PRY_OUT_STEP)
    published.check("lambda_a_over_lambda", list(HELD["lightweight_over_lambda"].values()))
    published.check(
        "phi_concrete_breakout_blowout",
        [reduction["breakout_supplementary"], reduction["breakout_plain"]],
    )
    published.check("phi_pullout", reduction["pull_out"])
    published.check("phi_pryout", reduction["pry_out"])
    published.check(
        "phi_steel_ductile", [reduction["steel_ductile_tension"], reduction["steel_ductile_shear"]]
    )
    published.check(
        "phi_steel_brittle", [reduction["steel_brittle_tension"], reduction["steel_brittle_shear"]]
    )
    published.check("phi_anchor_reinforcement", reduction["anchor_reinforcement"])
    published.check("interaction_neglect", HELD["interaction"]["neglect_up_to"])
    published.check("interaction_sum", HELD["interaction"]["greatest_sum"])


@pytest.mark.parametrize(("module", "edition"), [(inch, "inch_pound"), (si, "si")])
def test_the_data_file_and_the_records_say_the_same(module, edition):
    held = HELD[edition]
    takes = module.basic_edge_breakout.clause.takes
    assert takes["cylinder_strength"].at_least == held["least_strength"]
    assert takes["cylinder_strength"].at_most == held["greatest_strength"]
    assert takes["shank_diameter"].at_most == held["greatest_diameter"]
    assert (held["deep_from"], held["deep_to"]) == module.DEEP_FORM
    assert held["pry_out_step"] == module.PRY_OUT_STEP


def in_both(depth_in, strength_psi):
    metric = si.basic_breakout(
        breakout_factor=column(HELD["si"]["breakout_factor"]),
        deep_breakout_factor=column(HELD["si"]["deep_breakout_factor"]),
        lightweight_factor=ONE,
        cylinder_strength=column(strength_psi * 0.0068947573),
        embedment_depth=column(depth_in * 25.4),
    )
    return inch_breakout(column(strength_psi), column(depth_in)) * LBF_IN_KN, metric


def test_the_editions_differ_by_rounding_only():
    """The two editions answer the same question; note of A-318M-01: 424.0 against 423.4 kN at 400 mm."""
    inches, metric = in_both(400.0 / 25.4, 25.0 / 0.0068947573)
    np.testing.assert_allclose(inches, 424.0, rtol=2e-4)
    np.testing.assert_allclose(metric, 423.4, rtol=2e-4)
    inches, metric = in_both(8.0, 3000.0)
    np.testing.assert_allclose(inches, metric, rtol=0.01)


def test_deep_form_only_inside_its_range():
    """17.6.2.2.3: 11 to 25 in, 280 to 635 mm; by hand with sqrt(f'c) = 50 psi and 5 MPa."""
    np.testing.assert_allclose(
        inch_breakout(column(2500.0), column(10.9, 11.0, 25.0, 25.1)),
        [
            24 * 50 * 10.9**1.5,
            16 * 50 * 11.0 ** (5 / 3),
            16 * 50 * 25.0 ** (5 / 3),
            24 * 50 * 25.1**1.5,
        ],
    )
    metric = si.basic_breakout(
        breakout_factor=column(10.0),
        deep_breakout_factor=column(3.9),
        lightweight_factor=ONE,
        cylinder_strength=column(25.0),
        embedment_depth=column(279.0, 280.0, 635.0, 636.0),
    )
    by_hand = [
        0.05 * 279.0**1.5,
        0.0195 * 280.0 ** (5 / 3),
        0.0195 * 635.0 ** (5 / 3),
        0.05 * 636.0**1.5,
    ]
    np.testing.assert_allclose(metric, by_hand)


def test_shear_parallel_to_an_edge_is_twice():
    """17.7.2.1(c)."""
    plain = {
        "projected_area": ONE,
        "reference_area": ONE,
        "edge_influence": ONE,
        "eccentricity_influence": ONE,
        "cracking_influence": ONE,
        "thickness_influence": ONE,
    }
    square = shear.edge_breakout_share(
        direction_factor=column(HELD["direction_factor"]["square_to_edge"]), **plain
    )
    along = shear.edge_breakout_share(
        direction_factor=column(HELD["direction_factor"]["along_edge"]), **plain
    )
    np.testing.assert_allclose(along, 2.0 * square)


def test_share_of_a_long_row_in_blow_out():
    """property: below each anchor's part of any finite row, and its limit as the row grows."""
    spacing, edge = column(200.0), column(100.0)
    share = shared.blow_out_row_share(anchor_spacing=spacing, edge_distance=edge)
    for count in (2, 5, 50, 5000):
        group = shared.blow_out_group_factor(outer_spacing=(count - 1) * spacing, edge_distance=edge)
        assert share <= group / count
    np.testing.assert_allclose(share, group / count, rtol=1e-3)


def test_blow_out_corner_factor_at_its_bounds():
    """17.6.4.1.1: c_a2/c_a1 from 1 to 3; (1 + 1)/4 and (1 + 3)/4."""
    factor = shared.blow_out_corner_factor(
        edge_distance=column(100.0, 100.0, 100.0, 100.0),
        second_edge_distance=column(80.0, 100.0, 200.0, 400.0),
    )
    np.testing.assert_allclose(factor, [0.5, 0.5, 0.75, 1.0])
    np.testing.assert_array_equal(
        shared.blow_out_governs(
            edge_distance=column(100.0, 99.0, np.nan), embedment_depth=column(250.0, 250.0, 250.0)
        ),
        [False, True, True],
    )


def test_steel_strength_is_capped_as_the_clause_says():
    """17.6.1.2: f_uta not above 1.9 f_ya nor 860 MPa (125 000 psi)."""
    metric = si.steel_tension_strength(
        stressed_area=column(100.0, 100.0, 100.0),
        tensile_strength=column(500.0, 900.0, 1000.0),
        yield_strength=column(400.0, 400.0, 900.0),
    )
    np.testing.assert_allclose(metric, [50.0, 76.0, 86.0])
    inches = inch.steel_tension_strength(
        stressed_area=column(1.0), tensile_strength=column(150_000.0), yield_strength=column(130_000.0)
    )
    np.testing.assert_allclose(inches, 125_000.0)


@pytest.mark.parametrize("module", [inch, si])
def test_steel_in_shear_is_six_tenths_and_less_on_grout(module):
    """17.7.1.2(b) and 17.7.1.2.1."""
    steel = {
        "stressed_area": column(1.0, 1.0),
        "tensile_strength": column(500.0, 500.0),
        "yield_strength": column(400.0, 400.0),
    }
    tension = module.steel_tension_strength(**steel)
    sheared = module.steel_shear_strength(grout_factor=column(1.0, 0.8), **steel)
    np.testing.assert_allclose(sheared / tension, [0.6, 0.48])


def grid():
    n, v = np.meshgrid(np.linspace(0.0, 1.4, 71), np.linspace(0.0, 1.4, 71))
    return n.ravel(), v.ravel()


def test_interaction_decides_as_the_clause_does():
    """property: at most 1 exactly where 17.8.1 to 17.8.3, read word for word, let the anchor pass."""
    n, v = grid()
    measure = shear.trilinear_interaction(tension_ratio=n, shear_ratio=v)
    alone = ((v <= 0.2) & (n <= 1.0)) | ((n <= 0.2) & (v <= 1.0))
    together = (n > 0.2) & (v > 0.2) & (n <= 1.0) & (v <= 1.0) & (n + v <= 1.2)
    clear = np.abs(measure - 1.0) > 1e-9
    np.testing.assert_array_equal((measure <= 1.0)[clear], (alone | together)[clear])


@pytest.mark.parametrize("measure", [shear.trilinear_interaction, shear.power_interaction])
def test_interaction_grows_in_proportion_to_the_load(measure):
    """property"""
    n, v = grid()
    np.testing.assert_allclose(
        measure(tension_ratio=3.0 * n, shear_ratio=3.0 * v), 3.0 * measure(tension_ratio=n, shear_ratio=v)
    )


def test_the_curve_lies_near_the_lines():
    """property: least at n = v, 2^0.6 x 0.6 = 0.909 of the lines; greatest at a knee, 1.04 of them."""
    n, v = grid()
    lines = shear.trilinear_interaction(tension_ratio=n, shear_ratio=v)
    curve = shear.power_interaction(tension_ratio=n, shear_ratio=v)
    some = lines > 0.0
    ratio = curve[some] / lines[some]
    np.testing.assert_allclose(ratio.min(), 2.0**0.6 * 0.6, rtol=1e-3)
    np.testing.assert_allclose(ratio.max(), (1.0 + 0.2 ** (5 / 3)) ** 0.6, rtol=1e-3)


def test_both_codes_give_one_area_and_one_edge_factor():
    """Two documents, one geometry: EN 1992-4 7.2.1.4 and 7.2.2.5, ACI 318 17.6.2 and 17.7.2."""
    place = {
        "embedment_depth": column(200.0, 250.0),
        "distance_up": column(150.0, 500.0),
        "distance_down": column(900.0, 900.0),
        "distance_left": column(120.0, 400.0),
        "distance_right": column(240.0, 200.0),
    }
    np.testing.assert_allclose(shared.row_cone_area(**place), en1992_4_tension.row_cone_area(**place))
    edge = {"edge_distance": column(150.0, 400.0), "embedment_depth": column(200.0, 200.0)}
    np.testing.assert_allclose(
        shared.cone_edge_influence(**edge), en1992_4_tension.cone_edge_influence(**edge)
    )
    corner = {"edge_distance": column(200.0), "second_edge_distance": column(150.0)}
    np.testing.assert_allclose(
        shear.edge_corner_influence(**corner), en1992_4_edge.edge_corner_influence(**corner)
    )


def test_the_codes_agree_on_cracked_breakout():
    """8.9 (5 % fractile, cylinder) against 10 in SI: the known distance of 11 %."""
    metric = si.basic_breakout(
        breakout_factor=column(10.0),
        deep_breakout_factor=column(3.9),
        lightweight_factor=ONE,
        cylinder_strength=column(25.0),
        embedment_depth=column(200.0),
    )
    european = en1992_4_tension.basic_cone_resistance(
        cone_factor=column(8.9), cylinder_strength=column(25.0), embedment_depth=column(200.0)
    )
    np.testing.assert_allclose(european / metric, 0.89)


@pytest.mark.parametrize(("module", "low", "high"), [(inch, 2500.0, 10_000.0), (si, 17.0, 70.0)])
def test_concrete_outside_the_scope(module, low, high):
    """Table 19.2.1.1 and 17.3.1."""
    strength = column(0.3 * low, low, high, 1.01 * high, np.nan)
    for formula in (
        module.basic_breakout,
        module.pull_out_strength,
        module.basic_blow_out,
        module.basic_edge_breakout,
    ):
        np.testing.assert_array_equal(
            outside(formula, cylinder_strength=strength)["cylinder_strength"],
            [True, False, False, True, False],
        )


def test_reduced_depth_as_the_european_clause():
    """17.6.2.1.2 and CEN/TS 1992-4-2 Figure 6 share the rule: the figure's own numbers."""
    published = case("A-TS-01")
    published.check(
        "hef_reduced",
        shared.reduced_embedment_depth(
            embedment_depth=published.column("hef"),
            close_edges=column(4.0),
            greatest_edge_distance=published.column("c3"),
            greatest_spacing=published.column("s"),
        ),
    )


def test_eccentricity_by_hand():
    """17.6.2.3.1: 1/(1 + 2 x 50/600) = 0.857; 17.7.2.3.1: 1/(1 + 2 x 60/600) = 0.833; none: 1."""
    np.testing.assert_allclose(
        shared.cone_eccentricity_influence(
            load_eccentricity=column(50.0, 0.0), embedment_depth=column(200.0, 200.0)
        ),
        [6.0 / 7.0, 1.0],
    )
    np.testing.assert_allclose(
        shear.edge_eccentricity_influence(
            load_eccentricity=column(60.0, 0.0), edge_distance=column(200.0, 200.0)
        ),
        [5.0 / 6.0, 1.0],
    )


def test_eccentricity_thickness_and_head_as_the_european_clause():
    """Two documents, one expression each: EN 1992-4 Eq. (7.6), (7.46), (7.47) and the head's ring."""
    tension = {"load_eccentricity": column(20.0, 90.0), "embedment_depth": column(150.0, 300.0)}
    np.testing.assert_allclose(
        shared.cone_eccentricity_influence(**tension), en1992_4_tension.cone_eccentricity_influence(**tension)
    )
    sheared = {"load_eccentricity": column(20.0, 90.0), "edge_distance": column(150.0, 300.0)}
    np.testing.assert_allclose(
        shear.edge_eccentricity_influence(**sheared), en1992_4_edge.edge_eccentricity_influence(**sheared)
    )
    thin = {"edge_distance": column(200.0, 200.0), "member_thickness": column(150.0, 900.0)}
    np.testing.assert_allclose(
        shear.edge_thickness_influence(**thin), en1992_4_edge.edge_thickness_influence(**thin)
    )
    ring = {"head_diameter": column(60.0), "shank_diameter": column(25.0)}
    published = case("A-TS-03")
    published.check("Ah", shared.head_bearing_area(**ring))
    published.check("Ah", en1992_4_head.head_bearing_area(**ring))


def test_steel_and_pry_out_of_the_editions_are_one():
    """No rounded constant in these: 500 MPa and 400 MPa on 1 in^2, and twice a breakout of 50 kN."""
    psi = 1.0 / 0.00689475729
    steel_inch = {
        "stressed_area": column(1.0),
        "tensile_strength": column(500.0 * psi),
        "yield_strength": column(400.0 * psi),
    }
    steel_si = {
        "stressed_area": column(645.16),
        "tensile_strength": column(500.0),
        "yield_strength": column(400.0),
    }
    np.testing.assert_allclose(
        inch.steel_tension_strength(**steel_inch) * LBF_IN_KN,
        si.steel_tension_strength(**steel_si),
        rtol=1e-7,
    )
    np.testing.assert_allclose(
        inch.steel_shear_strength(grout_factor=ONE, **steel_inch) * LBF_IN_KN,
        si.steel_shear_strength(grout_factor=ONE, **steel_si),
        rtol=1e-7,
    )
    breakout = column(50.0)
    share = column(0.6375)
    for module, unit in ((inch, LBF_IN_KN), (si, 1.0)):
        reached = module.breakout_strength(basic_resistance=breakout / unit, breakout_share=share)
        np.testing.assert_allclose(reached * unit, 31.875)
        sheared = module.pry_out_strength(pry_out_multiple=column(2.0), tension_breakout=reached)
        np.testing.assert_allclose(sheared * unit, 63.75)


@pytest.mark.parametrize(("module", "step"), [(inch, 2.5), (si, 65.0)])
def test_pry_out_step(module, step):
    """17.7.3.1."""
    np.testing.assert_array_equal(
        module.pry_out_factor(embedment_depth=column(0.99 * step, step, np.nan)), [1.0, 2.0, np.nan]
    )
