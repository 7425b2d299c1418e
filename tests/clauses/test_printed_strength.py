"""Strength with age: printed tables and a library, forwards and read backwards."""

from __future__ import annotations

import numpy as np
import pytest
from structuralcodes.codes import ec2_2004
from structuralcodes.codes import mc2010 as model_code
from support import case

from sheetengine.clauses import (
    aci209_strength,
    astm_c1074,
    en206_specimens,
    en1992_1_1_strength,
    hyperbolic_strength,
    mc2010_strength,
)


def like(column: np.ndarray, value: float) -> np.ndarray:
    return np.full(column.shape, float(value))


def test_table_of_strength_ratios_in_per_cent() -> None:
    printed = case("S-A209-PERCENT")
    age = printed.column("t")
    for row, name in enumerate(("type_I", "type_III")):
        strength = aci209_strength.strength_at_age(
            strength_28=like(age, 100.0),
            age_days=age,
            constant_a=like(age, printed.given("a")[row]),
            constant_b=like(age, printed.given("b")[row]),
        )
        printed.check(name, strength)
    # second way: as the ratios are held in the cases of the factor
    for name, identifier in (("type_I", "S-ACI209-I"), ("type_III", "S-ACI209-III")):
        ratio = dict(zip(case(identifier).given("t"), case(identifier).printed("ratio"), strict=True))
        np.testing.assert_allclose(printed.printed(name), [100.0 * ratio[t] for t in printed.given("t")])


def test_table_of_strength_ratios_read_backwards() -> None:
    printed = case("S-A209-AGE")
    a, b, ratio = (printed.column(name) for name in ("a", "b", "ratio"))
    age = aci209_strength.age_at_strength(
        required_strength=30.0 * ratio, strength_28=like(a, 30.0), constant_a=a, constant_b=b
    )
    printed.check("t", age)
    # second way: the hyperbolic relation with the constants of the same curve
    hyperbola = hyperbolic_strength.age_at_strength(
        required_strength=30.0 * ratio, limiting_strength=30.0 / b, rate_per_day=b / a, dormant_days=0.0 * a
    )
    printed.check("t", hyperbola)


def test_mean_and_characteristic_strength_of_the_classes() -> None:
    printed = case("S-EC2-T31")
    fck, fcm = printed.column("fck"), np.array(printed.printed("fcm"), dtype=float)
    printed.check("fcm", en1992_1_1_strength.mean_strength(characteristic_strength=fck))
    back = en1992_1_1_strength.characteristic_strength(mean_strength_28=fcm)
    np.testing.assert_allclose(back, fck, rtol=printed.rel_tol)
    # second way: a library of the code
    np.testing.assert_allclose([ec2_2004.fcm(float(f)) for f in fck], fcm, rtol=1e-9)


def test_cubes_and_cylinders_of_the_class_names() -> None:
    printed = case("S-EC2-NAMES")
    cylinder, cube = printed.column("cylinder"), np.array(printed.printed("cube"), dtype=float)
    printed.check("cube", en206_specimens.cube_from_cylinder(cylinder_strength=cylinder))
    back = en206_specimens.cylinder_from_cube(cube_strength=cube)
    np.testing.assert_allclose(back, cylinder, rtol=printed.rel_tol)
    # second way: the same classes stand in the table of f_ck and f_cm
    np.testing.assert_array_equal(cylinder, case("S-EC2-T31").column("fck"))


@pytest.mark.parametrize("row", [0, 1, 2])
def test_mean_strength_at_age_against_a_library(row: int) -> None:
    held = case("S-EC2-FCMT")
    word, fcm = held.given("classes")[row], float(held.given("fcm")[row])
    age = np.array(held.printed("t"), dtype=float)
    s = en1992_1_1_strength.cement_coefficient(strength_class=np.full(age.shape, word))
    mix = {"mean_strength_28": like(age, fcm), "cement_coefficient": s}
    held.check(f"fcm_{word}", en1992_1_1_strength.mean_strength_at_age(age_days=age, **mix))
    strength = np.array(held.printed(f"fcm_{word}"))
    back = en1992_1_1_strength.age_at_mean_strength(required_strength=strength, **mix)
    np.testing.assert_allclose(back, age, rtol=0.001)
    again = ec2_2004.fcm_time(fcm, ec2_2004.beta_cc(age, ec2_2004.s_time_development(word)))
    np.testing.assert_allclose(again, strength, atol=0.0006)


def test_characteristic_strength_read_backwards() -> None:
    back, forward = case("S-EC2-fck7-back"), case("S-EC2-fck7")
    assert back.given("fck_t") == forward.printed("fck_t")
    assert back.printed("t") == forward.given("t")
    age = en1992_1_1_strength.age_at_characteristic_strength(
        required_strength=back.column("fck_t"),
        characteristic_strength_28=back.column("fck"),
        cement_coefficient=back.column("s"),
    )
    back.check("t", age)


@pytest.mark.parametrize("row", [0, 1, 2, 3])
def test_mean_strength_of_the_model_code_against_a_library(row: int) -> None:
    held = case("S-MC10-FCMT")
    word, fcm = held.given("classes")[row], float(held.given("fcm")[row])
    age, strength = (np.array(held.printed(name), dtype=float) for name in ("t", f"row_{row + 1}"))
    s = mc2010_strength.cement_coefficient(
        cement_strength_class=np.full(age.shape, word), mean_strength_28=like(age, fcm)
    )
    mix = {"mean_strength_28": like(age, fcm), "cement_coefficient": s}
    held.check(f"row_{row + 1}", mc2010_strength.mean_strength_at_age(age_days=age, **mix))
    back = mc2010_strength.age_at_mean_strength(required_strength=strength, **mix)
    np.testing.assert_allclose(back, age, rtol=0.002)
    again = fcm * model_code.beta_cc(age, fcm, f"{word[:4]} {word[4:]}")
    np.testing.assert_allclose(again, strength, atol=0.0006)


def test_maturity_of_a_textbook_by_rates() -> None:
    printed = case("S-NS-SHETTY")
    temperature, hours = printed.column("T"), printed.column("hours")
    rate = astm_c1074.nurse_saul_rate(
        concrete_temperature=temperature,
        datum_temperature=like(temperature, printed.given("T0")),
        reference_temperature=like(temperature, printed.given("Tr")),
    )
    above_datum = printed.given("Tr") - printed.given("T0")
    equivalent = float(np.sum(rate * hours))
    printed.check("maturity", equivalent * above_datum)
    # second way: as a share of 28 days at the reference temperature, both maturities as printed
    share = printed.printed("maturity") / printed.printed("maturity_28_d")
    np.testing.assert_allclose(equivalent / (28.0 * 24.0), share, rtol=1e-9)
