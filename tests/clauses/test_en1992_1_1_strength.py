from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from structuralcodes.codes import ec2_2004
from support import case

from sheetengine.clauses import en1992_1_1_strength as en
from sheetengine.clauses.record import outside


def like(value: float, column: np.ndarray) -> np.ndarray:
    return np.full(column.shape, value)


@pytest.mark.parametrize("word", ["R", "N", "S"])
def test_age_factor_by_class(word: str) -> None:
    published = case(f"S-EC2-beta-{word}")
    s = en.cement_coefficient(strength_class=np.array([word]))
    assert s[0] == published.given("s")
    age = published.column("t")
    published.check("beta_cc", en.age_factor(age_days=age, cement_coefficient=like(s[0], age)))


@pytest.mark.parametrize("s", [0.20, 0.25, 0.38])
def test_age_factor_and_mean_strength_against_a_library(s: float) -> None:
    age = np.geomspace(0.1, 1000.0, 60)
    np.testing.assert_allclose(
        en.age_factor(age_days=age, cement_coefficient=like(s, age)), ec2_2004.beta_cc(age, s), rtol=1e-12
    )
    f_cm = en.mean_strength(characteristic_strength=np.array([30.0]))
    assert f_cm[0] == ec2_2004.fcm(30.0)
    at_age = en.mean_strength_at_age(
        mean_strength_28=like(f_cm[0], age), age_days=age, cement_coefficient=like(s, age)
    )
    np.testing.assert_allclose(at_age, f_cm * ec2_2004.beta_cc(age, s), rtol=1e-12)


def test_characteristic_strength_at_seven_days() -> None:
    published = case("S-EC2-fck7")
    t, s, f_ck = published.column("t"), published.column("s"), published.column("fck")
    published.check("beta", en.age_factor(age_days=t, cement_coefficient=s))
    published.check(
        "fck_t",
        en.characteristic_strength_at_age(characteristic_strength_28=f_ck, age_days=t, cement_coefficient=s),
    )


def test_maturity_rate() -> None:
    published = case("S-EC2-B10")
    published.check("factor", en.maturity_rate(concrete_temperature=published.column("T")))


def test_maturity_rate_against_a_library() -> None:
    temperature = np.linspace(0.0, 80.0, 33)
    np.testing.assert_allclose(
        en.maturity_rate(concrete_temperature=temperature),
        [ec2_2004.t_T(np.array([value]), np.array([1.0])) for value in temperature],
        rtol=1e-12,
    )


def test_maturity_of_a_history_of_two_steps() -> None:
    published = case("S-EC2-B10-hist")
    rate = en.maturity_rate(concrete_temperature=published.column("T"))
    age = np.sum(rate * published.column("dt"))
    published.check("tT", age)
    published.check(
        "beta_cc", en.age_factor(age_days=np.array([age]), cement_coefficient=published.column("s"))
    )


def test_limits_of_use() -> None:
    # 3.1.2(5): before 3 days strength rests on tests; Annex B.1(3): 0 to 80 degC
    age = np.array([2.9, 3.0, 28.0, 90.0])
    beyond = outside(en.characteristic_strength_at_age, age_days=age)["age_days"]
    assert beyond.tolist() == [True, False, False, False]
    temperature = np.array([-0.1, 0.0, 80.0, 80.1])
    beyond = outside(en.maturity_rate, concrete_temperature=temperature)["concrete_temperature"]
    assert beyond.tolist() == [True, False, False, True]


def test_characteristic_strength_is_never_negative_and_stays_at_28_days() -> None:
    age = np.array([0.0, 0.5, 28.0, 180.0])
    found = en.characteristic_strength_at_age(
        characteristic_strength_28=like(20.0, age), age_days=age, cement_coefficient=like(0.38, age)
    )
    np.testing.assert_array_equal(found, [0.0, 0.0, 20.0, 20.0])
    np.testing.assert_array_equal(
        en.characteristic_strength(mean_strength_28=np.array([28.0, 5.0])), [20.0, 0.0]
    )


classes = st.sampled_from([0.20, 0.25, 0.38])


@given(share=st.floats(0.001, 1.15), f_cm=st.floats(12.0, 90.0), s=classes)
def test_age_of_a_mean_strength_goes_back_to_it(share: float, f_cm: float, s: float) -> None:
    f = np.array([share * f_cm])
    age = en.age_at_mean_strength(
        required_strength=f, mean_strength_28=np.array([f_cm]), cement_coefficient=np.array([s])
    )
    back = en.mean_strength_at_age(
        mean_strength_28=np.array([f_cm]), age_days=age, cement_coefficient=np.array([s])
    )
    np.testing.assert_allclose(back, f, rtol=1e-9)


@given(share=st.floats(0.001, 1.0), f_ck=st.floats(8.0, 80.0), s=classes)
def test_age_of_a_characteristic_strength_goes_back_to_it(share: float, f_ck: float, s: float) -> None:
    f = np.array([share * f_ck])
    mix = {"characteristic_strength_28": np.array([f_ck]), "cement_coefficient": np.array([s])}
    age = en.age_at_characteristic_strength(required_strength=f, **mix)
    np.testing.assert_allclose(en.characteristic_strength_at_age(age_days=age, **mix), f, rtol=1e-8)


def test_strength_that_is_never_reached_and_none_at_all() -> None:
    required = np.array([0.0, 31.0, 30.0, np.nan])
    age = en.age_at_characteristic_strength(
        required_strength=required,
        characteristic_strength_28=like(30.0, required),
        cement_coefficient=like(0.25, required),
    )
    np.testing.assert_allclose(age, [0.0, np.inf, 28.0, np.nan])
    # the mean curve ends at f_cm exp(s) = 38 x 1.284 = 48.8
    mean = en.age_at_mean_strength(
        required_strength=np.array([0.0, 49.0]),
        mean_strength_28=np.full(2, 38.0),
        cement_coefficient=np.full(2, 0.25),
    )
    np.testing.assert_array_equal(mean, [0.0, np.inf])
