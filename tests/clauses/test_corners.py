"""Formulas at their corners: where a case ends, a bound begins, or nothing is left; by hand from the text of each clause."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from sheetengine.clauses import (
    aci209_strength,
    aci318_17_factors,
    aci318_17_shear_factors,
    aci347r_factors,
    aci347r_loads,
    aci347r_si,
    asce37,
    astm_c1074,
    bs8666,
    en1992_1_1_bond,
    en1992_1_1_strength,
    en1992_4_edge,
    en1992_4_head,
    en1992_4_interaction,
    en1992_4_steel,
    en1992_4_tension,
    exponential_strength,
    filling,
    gb50666,
    heat_closed_forms,
    heat_data,
    hyperbolic_strength,
    inclined_faces,
    interval_rules,
    jgj162,
    strongback_levels,
)
from sheetengine.clauses.rows import factors


def one(formula: Any, **values: float) -> float:
    """Return what a formula gives for one row."""
    return float(formula(**{name: np.array([value]) for name, value in values.items()})[0])


def test_aci_209_reaches_a_strength_just_below_the_last_one() -> None:
    # ACI 209R-92 Eq. (2-1) solved for the age, a r/(1 - b r); with b = 0.85 the last strength is 28-d/0.85, and at
    # r = 0.995/0.85 the denominator is 0.005: the age is 4 x 1.170588/0.005 = 936.47 d
    age = one(
        aci209_strength.age_at_strength,
        required_strength=30.0 * 0.995 / 0.85,
        strength_28=30.0,
        constant_a=4.0,
        constant_b=0.85,
    )
    assert age == pytest.approx(936.470588, rel=1e-6)


def test_en_1992_reaches_a_strength_just_below_the_last_one() -> None:
    # EN 1992-1-1:2004 Eq. (3.2): beta = exp(s (1 - root(28/t))); with root(28/t) = 0.005 and s = 0.25,
    # beta = exp(0.24875) = 1.282421 and t = 28/0.005^2 = 1 120 000 d
    age = one(
        en1992_1_1_strength.age_at_mean_strength, required_strength=40.0 * np.exp(0.25 * 0.995), mean_strength_28=40.0,
        cement_coefficient=0.25,
    )  # fmt: skip
    assert age == pytest.approx(1_120_000.0, rel=1e-6)


def test_en_1992_asks_some_time_for_the_least_strength() -> None:
    # the same for 0.005 MPa of 40: beta = 0.000125, 1 - ln(beta)/0.25 = 36.94879, t = 28/36.94879^2 = 0.0205098 d
    age = one(
        en1992_1_1_strength.age_at_mean_strength,
        required_strength=0.005,
        mean_strength_28=40.0,
        cement_coefficient=0.25,
    )
    assert age == pytest.approx(28.0 / (1.0 - np.log(0.000125) / 0.25) ** 2, rel=1e-9)
    assert age == pytest.approx(0.0205098, rel=1e-5)


def test_aci_318_depth_between_three_edges() -> None:
    # ACI 318-19 17.6.2.1.2: the greater of c_a,max/1.5 and s/3; here s/3 = 600/3 = 200 rules over 240/1.5 = 160
    depth = one(
        aci318_17_factors.reduced_embedment_depth, embedment_depth=400.0, close_edges=3.0, greatest_edge_distance=240.0,
        greatest_spacing=600.0,
    )  # fmt: skip
    assert depth == pytest.approx(200.0)


def test_aci_318_blow_out_is_asked_above_two_and_a_half_edges() -> None:
    # ACI 318-19 17.6.4.1: h_ef > 2.5 c_a1
    depths = np.array([249.9, 250.0, 250.1, 252.0])
    found = aci318_17_factors.blow_out_governs(edge_distance=np.full(4, 100.0), embedment_depth=depths)
    assert found.tolist() == [False, False, True, True]


@pytest.mark.parametrize(
    ("formula", "size"),
    [
        (aci318_17_factors.cone_eccentricity_influence, "embedment_depth"),
        (aci318_17_shear_factors.edge_eccentricity_influence, "edge_distance"),
        (en1992_4_edge.edge_eccentricity_influence, "edge_distance"),
        (en1992_4_tension.cone_eccentricity_influence, "embedment_depth"),
        (en1992_4_head.blow_out_eccentricity_influence, "edge_distance"),
    ],
)
def test_eccentricity_never_helps(formula: Any, size: str) -> None:
    # EN 1992-4 Eq. (7.6) and its kin, ACI 318-19 17.6.2.3.1 and 17.7.2.3.1: the factor is not above 1.0, whatever sign is put in
    assert one(formula, load_eccentricity=0.0, **{size: 200.0}) == 1.0
    assert one(formula, load_eccentricity=-20.0, **{size: 200.0}) == 1.0


def test_aci_347_names_its_equations_by_their_printed_numbers() -> None:
    # ACI 347-04 2.2.2: (2.1) full head, (2.2) columns, (2.3) walls below 7 ft/h and up to 14 ft, (2.4) other walls
    form = aci347r_factors.INCH_POUND
    given = {
        "rate": np.array([5.0, 5.0, 10.0, 5.0, 20.0]), "height": np.array([10.0, 10.0, 10.0, 20.0, 10.0]),
        "is_column": np.array([1.0, 0.0, 0.0, 0.0, 0.0]), "slump": np.full(5, 4.0), "vibration_depth": np.full(5, 3.0),
    }  # fmt: skip
    assert aci347r_factors.equation(form, **given).tolist() == [2.2, 2.3, 2.4, 2.4, 2.1]


@pytest.mark.parametrize(
    ("form", "density", "factor"),
    [
        # ACI 347-04 Table 2.1: 0.5 (1 + w/145) below 140 lb/ft3, not below 0.80; SI 0.5 (1 + w/2320) below 2240 kg/m3
        ("INCH_POUND", 116.0, 0.9),
        ("INCH_POUND", 130.5, 0.95),
        ("INCH_POUND", 80.0, 0.8),
        ("SI", 1856.0, 0.9),
        ("SI", 1160.0, 0.8),
    ],
)
def test_aci_347_light_concrete(form: str, density: float, factor: float) -> None:
    shared: Any = aci347r_factors
    assert shared.weight_factor(getattr(shared, form), np.array([density]))[0] == pytest.approx(factor)


def test_aci_347_rate_of_a_column_is_by_its_own_equation() -> None:
    # ACI 347-04 Eq. (2.2), SI: 7.2 + 785 R/(T + 17.8) = 60 kPa at 15 degC gives R = 52.8 x 32.8/785 = 2.206166 m/h
    rate = one(
        aci347r_si.greatest_rate_of_rise, permissible_pressure=60.0, concrete_temperature=15.0, placement_height=9.0,
        weight_density=24.0, weight_factor=1.0, chemistry_factor=1.0, is_column=1.0, slump=100.0, vibration_depth=1.2,
    )  # fmt: skip
    assert rate == pytest.approx(52.8 * 32.8 / 785.0, rel=1e-9)


def test_aci_347_least_lateral_load_by_wind() -> None:
    # ACI 347-04 2.2.3: wind at 15 lb/ft2 on a form 24 ft high, half of it at the top: 15 x 24/2 = 180 lb/ft over 100 lb/ft
    assert one(
        aci347r_loads.least_lateral_load, form_height=24.0, line_load=100.0, wind_pressure=15.0
    ) == pytest.approx(180.0)


def test_nurse_saul_gains_nothing_below_its_datum() -> None:
    assert one(astm_c1074.temperature_time_rate, concrete_temperature=-12.0, datum_temperature=-10.0) == 0.0


def test_bs_8666_helix_is_flat_up_to_a_pitch_of_a_fifth() -> None:
    # BS 8666:2020 shape 77: C pi (A - d) where B <= A/5, else by the pitch as well; 6 turns of 500, bar 10, pitch 100 and 101
    values = {
        "A": np.array([500.0, 500.0]),
        "B": np.array([100.0, 101.0]),
        "C": np.array([6.0, 6.0]),
        "d": np.array([10.0, 10.0]),
    }
    found = bs8666._helix(values)
    turn = np.pi * 490.0
    np.testing.assert_allclose(found, [6.0 * turn, 6.0 * np.hypot(turn, 101.0)], rtol=1e-12)


def test_bs_8666_expressions_in_words() -> None:
    # BS 8666:2005 Table 3, shape codes 11 and 51
    assert bs8666.length_expression("BS 8666:2005", "11") == "A + B - 0.5 r - d"
    assert bs8666.length_expression("BS 8666:2005", "51") == "2 A + 2 B + max(16 d, 160)"


def test_bs_8666_least_between_two_bends() -> None:
    # two radii, two bar diameters and four diameters of straight between (common practice of the schedule): bar 20, r = 40
    straight = bs8666._RULES["between_bends_straight"]
    assert (
        one(bs8666.least_between_bends, bar_diameter=20.0, bend_radius=40.0)
        == 2 * 40.0 + 2 * 20.0 + straight * 20.0
    )


def test_bs_8666_radius_is_short_by_more_than_half_a_millimetre() -> None:
    # BS 8666:2020 Table 2: bar 16, least scheduling radius 32
    radii = np.array([31.495, 31.499, 31.501, 32.0])
    found = bs8666.radius_too_small(bar_diameter=np.full(4, 16.0), bend_radius=radii)
    assert found.tolist() == [True, True, False, False]


def test_en_1992_cover_influence() -> None:
    # EN 1992-1-1:2004 Table 8.2: alpha_2 = 1 - 0.15 (c_d - phi)/phi, bar 20, c_d 40: 0.85
    assert one(en1992_1_1_bond.cover_influence, cover_measure=40.0, bar_diameter=20.0) == pytest.approx(0.85)


def test_en_1992_least_lengths() -> None:
    # EN 1992-1-1:2004 Eq. (8.6) and (8.11): 0.3 l_b,rqd and 0.3 alpha_6 l_b,rqd with l_b,rqd = 2000, bar 12, alpha_1 0.2
    common = {
        "basic_length": 2000.0,
        "bar_diameter": 12.0,
        "anchorage_form_factor": 0.2,
        "confinement_factor": 1.0,
    }
    assert one(en1992_1_1_bond.anchorage_length, cover_factor=1.0, **common) == pytest.approx(600.0)
    assert one(en1992_1_1_bond.lap_length, cover_factor=1.0, lap_factor=1.4, **common) == pytest.approx(840.0)
    # Eq. (8.5): alpha_2 alpha_3 alpha_5 >= 0.7; 0.5 counts as 0.7: 0.7 x 1.5 x 2000 = 2100
    whole = common | {"anchorage_form_factor": 1.0}
    assert one(en1992_1_1_bond.lap_length, cover_factor=0.5, lap_factor=1.5, **whole) == pytest.approx(2100.0)


def test_en_1992_lap_influence_has_two_ends() -> None:
    # EN 1992-1-1:2004 8.7.3: alpha_6 = root(rho/25), from 1 to 1.5
    found = [one(en1992_1_1_bond.lap_influence, lapped_share=share) for share in (10.0, 36.0, 100.0)]
    assert found == pytest.approx([1.0, 1.2, 1.5])


def test_en_1992_4_edge_by_sixty_diameters() -> None:
    # EN 1992-4:2018 7.2.2.5: not asked beyond the greater of 10 h_ef and 60 d; h_ef 100, d 20: 1200
    found = en1992_4_edge.edge_check_needed(
        edge_distance=np.array([1195.0, 1205.0]),
        embedment_depth=np.full(2, 100.0),
        shank_diameter=np.full(2, 20.0),
    )
    assert found.tolist() == [True, False]


def test_en_1992_4_length_in_shear_changes_at_24() -> None:
    # EN 1992-4:2018 7.2.2.5: l_f = min(h_ef, 12 d) up to d = 24, min(h_ef, max(8 d, 300)) above
    found = [
        one(en1992_4_edge.effective_shear_length, embedment_depth=500.0, shank_diameter=d)
        for d in (24.0, 24.1)
    ]
    assert found == pytest.approx([288.0, 300.0])


def test_en_1992_4_interaction_of_bars_off_the_curve() -> None:
    # EN 1992-4:2018 Eq. (7.58) as the power of the load: n = v = 0.512, (0.64 + 0.64)^1.5 = 1.28^1.5 = 1.448155
    found = one(en1992_4_interaction.barred_interaction, tension_ratio=0.512, shear_ratio=0.512)
    assert found == pytest.approx(1.28**1.5, rel=1e-12)
    assert found == pytest.approx(1.448155, rel=1e-6)


def test_en_1992_4_spalling_ends_with_bars_of_10() -> None:
    # EN 1992-4:2018 7.2.1.4(5): 1.0 where bars of d <= 10 stand at 100 or more; else 0.5 + h_ef/200
    found = en1992_4_tension.spalling_influence(
        embedment_depth=np.full(3, 80.0),
        bar_spacing=np.array([100.0, 100.0, 99.5]),
        bar_diameter=np.array([10.0, 10.05, 8.0]),
    )
    assert found == pytest.approx([1.0, 0.9, 0.9])


def test_en_1992_4_compression_helps_down_to_nothing() -> None:
    # EN 1992-4:2018 Eq. (7.7): 2 - z/(1.5 h_ef), z = 0.995 x 1.5 h_ef: 1.005
    found = one(
        en1992_4_tension.cone_compression_influence, internal_lever_arm=298.5, embedment_depth=200.0, edge_distance=600.0,
        compression_ratio=0.9,
    )  # fmt: skip
    assert found == pytest.approx(1.005)


def test_en_1992_4_depth_between_three_edges() -> None:
    # EN 1992-4:2018 7.2.1.4(8): the greater of c_max/(1.5) and s_max/3 in terms of h_ef: 600/3 = 200
    depth = one(
        en1992_4_tension.reduced_embedment_depth, embedment_depth=400.0, close_edges=3.0, greatest_edge_distance=240.0,
        greatest_spacing=600.0,
    )  # fmt: skip
    assert depth == pytest.approx(200.0)


def test_en_1992_4_steel_in_shear_at_its_bounds() -> None:
    # EN 1992-4:2018 Table 4.1: f_uk/f_yk, at least 1.25, up to f_uk 800 and f_yk/f_uk 0.8; 1.5 beyond either
    found = en1992_4_steel.steel_partial_factor_shear(
        tensile_strength=np.array([800.0, 804.0, 600.0, 600.0]),
        yield_strength=np.array([640.0, 600.0, 480.0, 483.0]),
    )
    assert found == pytest.approx([1.25, 1.5, 1.25, 1.5])
    # 7.2.2.3.1: k_6 = 0.6 up to f_uk 500, 0.5 above
    assert en1992_4_steel.steel_shear_factor(tensile_strength=np.array([500.0, 502.0])).tolist() == [0.6, 0.5]


def test_exponential_law_asks_some_time_for_the_least_strength() -> None:
    # S = S_u exp(-(tau/t)^alpha) solved: t = tau (-ln(S/S_u))^(-1/alpha); 0.005 of 40 MPa, tau 24 h, alpha 1: 24/8.98720
    age = one(
        exponential_strength.age_at_strength,
        required_strength=0.005,
        limiting_strength=40.0,
        time_constant=24.0,
        curve_shape=1.0,
    )
    assert age == pytest.approx(24.0 / np.log(8000.0), rel=1e-12)
    assert age == pytest.approx(2.67046, rel=1e-5)


def test_filling_in_layers() -> None:
    # layers of 0.5 m at 0.4 m/h: one after 1 h, three after 3 h, the lift of 1.2 m full after that
    given = {"rate_of_rise": np.full(3, 0.4), "layer_depth": np.full(3, 0.5)}
    level = filling.layered_level(
        filling_time=np.array([1.0, 2.0, 3.0]), placement_height=np.full(3, 1.2), **given
    )
    assert level == pytest.approx([0.5, 1.0, 1.2])
    # a lift of one layer is never open to the next one
    single = {"layer_depth": 0.5, "placement_height": 0.5}
    assert one(filling.longest_exposure, rate_of_rise=0.4, **single) == 0.0
    assert one(filling.least_rise_rate, exposure_window=4.0, **single) == 0.0
    assert one(
        filling.least_rise_rate, exposure_window=4.0, layer_depth=0.5, placement_height=2.0
    ) == pytest.approx(0.125)


def test_aci_318_values_of_choices() -> None:
    # ACI 318-19 17.7.2.2.2 welded to a plate, 17.7.2.5.1 edge bar and stirrups, 17.7.1.2.1 grout pad, Table 25.4.2.3 other cases:
    # 3 f_y/(50 root f'c) up to No. 6 (19.5 mm), 3 f_y/(40 root f'c) above; SI f_y/(1.4 root f'c) and f_y/(1.1 root f'c)
    numbers = factors("aci318_19")
    assert (
        numbers["inch_pound"]["bearing_edge_factor_welded"],
        numbers["si"]["bearing_edge_factor_welded"],
    ) == (8.0, 0.66)
    cracking = numbers["cracking"]
    assert [cracking[f"edge_cracked{more}"] for more in ("", "_edge_bar", "_stirrups")] == [1.0, 1.2, 1.4]
    assert (numbers["grout_factor"]["none"], numbers["grout_factor"]["built_up_pad"]) == (1.0, 0.8)
    development = numbers["development"]
    assert development["small_inch"] == pytest.approx(50.0 / 3.0, rel=1e-12)
    assert development["large_inch"] == pytest.approx(40.0 / 3.0, rel=1e-12)
    assert (development["small_up_to"], development["small"], development["large"]) == (19.5, 1.4, 1.1)


GB = {"weight_density": 24.0, "initial_set": 4.0, "slump_factor": 1.0, "slump": 150.0}


def test_gb_50666_has_no_least_pressure() -> None:
    # GB 50666-2011 A.0.4: F = 0.28 gamma t_0 beta root(V); V = 1e-8 m/h gives 0.28 x 24 x 4 x 1e-4 = 0.002688 kPa
    pressure = one(gb50666.design_pressure, rate_of_rise=1e-8, placement_height=3.0, **GB)
    assert pressure == pytest.approx(0.002688, rel=1e-9)
    # solved for V: (0.002688/26.88)^2
    rate = one(gb50666.greatest_rate_of_rise, permissible_pressure=0.002688, placement_height=3.0, **GB)
    assert rate == pytest.approx(1e-8, rel=1e-9)


def test_gb_50666_formula_governs_up_to_the_full_head() -> None:
    # at V = 1 m/h the formula gives 26.88 kPa, a head of 1.12 m; and so it does at the very slowest
    def bound(rate: float, height: float) -> float:
        return one(gb50666.governing_bound, rate_of_rise=rate, placement_height=height, **GB)

    formula = bound(1.0, 3.0)
    assert bound(1.0, 1.121) == bound(1e-8, 3.0) == formula
    assert bound(1.0, 1.119) != formula


def test_a_thick_lift_heats_like_one_closed_to_heat() -> None:
    # in the middle of 20 m nothing is lost in a day: 40 (1 - exp(-0.02 x 24)) = 15.2486 K
    found = one(
        heat_closed_forms.lift_with_hydration, thickness=20.0, distance_from_middle=0.0, diffusivity=0.0035, adiabatic_rise=40.0,
        rise_rate=0.02, elapsed_time=24.0,
    )  # fmt: skip
    assert found == pytest.approx(40.0 * (1.0 - np.exp(-0.48)), rel=2e-4)


def test_film_coefficient_changes_at_10_9_mph() -> None:
    # ETL 1110-2-365 Appendix A, Eq. and: 0.165 + 0.0513 V below, 0.1132 V^0.8 from there on
    found = heat_data.film_coefficient_us(wind_speed_mph=np.array([10.89, 10.91]))
    assert found == pytest.approx([0.165 + 0.0513 * 10.89, 0.1132 * 10.91**0.8], rel=1e-12)
    assert found == pytest.approx([0.72366, 0.76588], rel=2e-4)


def test_pozzolan_counts_less_the_more_there_is() -> None:
    # 0.59 - 0.59 x 0.3 = 0.413
    assert one(heat_data.pozzolan_equivalence, replaced_share=0.3) == pytest.approx(0.413)


def test_hyperbola_reaches_a_strength_just_below_the_last_one() -> None:
    # ASTM C1074 Annex A1: t = t_0 + S/(k (S_u - S)); 39.995 of 40 MPa, k = 0.4/d: 0.5 + 39.995/0.002 = 19998 d
    age = one(
        hyperbolic_strength.age_at_strength,
        required_strength=39.995,
        limiting_strength=40.0,
        rate_per_day=0.4,
        dormant_days=0.5,
    )
    assert age == pytest.approx(19998.0, rel=1e-6)


def test_asce_37_periods_end_with_their_last_day() -> None:
    # ASCE 37-14 6.2.1: 0.75 under six weeks, 0.80 to a year, 0.85 to two, 0.90 to five
    days = np.array([41.9, 42.0, 366.0, 366.5, 731.0, 731.5, 1827.0])
    assert asce37.velocity_factor(exposure_days=days) == pytest.approx(
        [0.75, 0.80, 0.80, 0.85, 0.85, 0.90, 0.90]
    )
    assert not one(asce37.velocity_factor, exposure_days=1828.0) <= 0.9


def test_asce_7_constants_in_feet() -> None:
    # ASCE 7-16 Table 26.11-1: z_g 1200, 900 and 700 ft; Table 26.6-1: K_d 0.85; Table 26.10-1 ends at 500 ft
    numbers = factors("asce7_16")
    assert [numbers["gradient_height"][name] / 0.3048 for name in "BCD"] == pytest.approx(
        [1200.0, 900.0, 700.0]
    )
    assert (numbers["directionality"], numbers["greatest_height"] / 0.3048) == pytest.approx((0.85, 500.0))


def test_inclined_faces_are_computed_up_to_45_degrees() -> None:
    # the limit that the rules for inclined faces state: 45 degrees either way
    assert inclined_faces.STEEPEST == 45.0


JGJ = GB | {"admixture_factor": 1.0}


def test_jgj_162_has_no_least_pressure_and_its_formula_governs_up_to_the_full_head() -> None:
    # JGJ 162-2008 4.1.1: F = 0.22 gamma t_0 beta_1 beta_2 root(V): 21.12 kPa at 1 m/h, a head of 0.88 m; 0.002112 at 1e-8 m/h
    assert one(jgj162.design_pressure, rate_of_rise=1e-8, placement_height=3.0, **JGJ) == pytest.approx(
        0.002112, rel=1e-9
    )
    rate = one(jgj162.greatest_rate_of_rise, permissible_pressure=0.002112, placement_height=3.0, **JGJ)
    assert rate == pytest.approx(1e-8, rel=1e-9)
    codes = [
        one(jgj162.governing_bound, rate_of_rise=rate, placement_height=height, **JGJ)
        for rate, height in ((1.0, 3.0), (1.0, 0.881), (1e-8, 3.0), (1.0, 0.879))
    ]
    assert codes[0] == codes[1] == codes[2] != codes[3]


def test_worst_levels_of_a_strongback_just_within_the_fluid_depth() -> None:
    # influence line of a beam on two supports: the load may reach twice the height of the far support while that is fluid;
    # 50.25 kPa of 25 kN/m3 are fluid over 2.01 m, so a support at 1 m still gives 2 m, and one at 1 mm gives 2 mm
    given = {"maximum_pressure": 50.25, "weight_density": 25.0, "placement_height": 3.0}
    assert one(strongback_levels.hinge_worst_level, brace_height=1.0, **given) == 2.0
    assert one(strongback_levels.hinge_worst_level, brace_height=0.001, **given) == pytest.approx(0.002)
    assert one(strongback_levels.brace_least_level, hinge_height=1.0, **given) == 2.0


def test_the_brace_is_pressed_most_by_the_full_lift_as_soon_as_it_is_pressed_at_all() -> None:
    # 25 kN/m3, 1 m: 12.5 kN/m at 1/3 m; a hinge half a millimetre below that leaves 12.5 x 0.0005/1.5 = 0.004 kN/m to the brace
    given = {"maximum_pressure": 25.0, "weight_density": 25.0, "placement_height": 1.0}
    support = {"brace_height": 1.0 / 3.0 + 1.5}
    below = one(strongback_levels.brace_worst_level, hinge_height=1.0 / 3.0 - 0.0005, **support, **given)
    above = one(strongback_levels.brace_worst_level, hinge_height=1.0 / 3.0 + 0.0005, **support, **given)
    assert (below, above) == (1.0, 0.0)


def test_practice_keeps_its_units_and_thin_layers() -> None:
    # UFGS 03700: slopes in degrees stay so; layers of 5 mm are many, and are not refused
    assert interval_rules.practice_facts("ufgs03700")["jointed_forms_from_slope"].value == 10.0
    assert interval_rules.least_layers(lift_height=np.array([1.0]), layer=0.005).tolist() == [200.0]
