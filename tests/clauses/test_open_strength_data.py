"""Fits to open data, repeated with the strength and maturity clauses.

The expected results come from a separate least-squares fit of the same data by the procedure that
each test names; another procedure may differ by a fifth. Tolerance: one unit of the last digit.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pandas as pd
import pytest
from scipy.optimize import curve_fit
from support import PUBLISHED

from sheetengine.clauses import astm_c1074, en1992_1_1_strength, hyperbolic_strength

PSI = 0.006894757293168
REFERENCE = 23.0


def data(name: str) -> pd.DataFrame:
    return pd.read_csv(PUBLISHED / "data" / name)


def nbs() -> pd.DataFrame:
    return data("strength_nbs_lew_1976_tensile_3temps.csv")


def maturity(rate: np.ndarray, frame: pd.DataFrame) -> np.ndarray:
    """Sum rate times interval within each curing temperature."""
    step = frame.groupby("set")["age_d_inferred"].diff().fillna(frame["age_d_inferred"])
    return (step * rate).groupby(frame["set"]).cumsum().to_numpy()


def hyperbola(age: np.ndarray, limiting_psi: float, rate: float) -> np.ndarray:
    strength = hyperbolic_strength.strength_at_age(
        age_days=age,
        limiting_strength=np.full(age.shape, limiting_psi * PSI),
        rate_per_day=np.full(age.shape, rate),
        dormant_days=np.zeros(age.shape),
    )
    return strength / PSI


def arrhenius(temperature: np.ndarray, energy: float) -> np.ndarray:
    return astm_c1074.arrhenius_rate(
        concrete_temperature=temperature,
        activation_temperature=astm_c1074.activation_temperature(
            activation_energy=np.full(temperature.shape, energy)
        ),
        reference_temperature=np.full(temperature.shape, REFERENCE),
    )


def nurse_saul(temperature: np.ndarray, datum: float) -> np.ndarray:
    return astm_c1074.nurse_saul_rate(
        concrete_temperature=temperature,
        datum_temperature=np.full(temperature.shape, datum),
        reference_temperature=np.full(temperature.shape, REFERENCE),
    )


def fit_all_temperatures(
    rate: Callable[[np.ndarray, float], np.ndarray], start: float
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Fit one hyperbola with no dormant time to all temperatures, by equivalent age at 23 degC."""
    frame = nbs()
    temperature = frame["interval_mean_T_degC_derived"].to_numpy()
    measured = frame["splitting_tensile_strength_psi"].to_numpy(dtype=np.float64)

    def model(_: np.ndarray, limiting: float, k: float, parameter: float) -> np.ndarray:
        return hyperbola(maturity(rate(temperature, parameter), frame), limiting, k)

    found, covariance = curve_fit(model, temperature, measured, p0=[400.0, 0.5, start])
    return found, np.sqrt(np.diag(covariance)), measured, model(temperature, *found)


def test_one_hyperbola_for_three_temperatures_by_arrhenius() -> None:
    found, error, measured, predicted = fit_all_temperatures(arrhenius, 40.0)
    np.testing.assert_allclose(found[0], 423.2, atol=0.1)  # psi
    np.testing.assert_allclose(found[1], 0.645, atol=0.001)  # 1/d
    np.testing.assert_allclose(found[2], 37.8, atol=0.1)  # kJ/mol
    np.testing.assert_allclose(error / [7.5, 0.056, 4.1], 1.0, atol=0.02)
    np.testing.assert_allclose(np.sqrt(np.mean((measured - predicted) ** 2)), 15.9, atol=0.1)  # psi
    ratio = predicted / measured
    np.testing.assert_allclose(ratio.mean(), 0.998, atol=0.001)
    np.testing.assert_allclose(ratio.std() / ratio.mean(), 0.062, atol=0.001)


def test_one_hyperbola_for_three_temperatures_by_nurse_and_saul() -> None:
    found, error, _, _ = fit_all_temperatures(nurse_saul, -5.0)
    np.testing.assert_allclose(found[2], -7.1, atol=0.1)  # degC
    np.testing.assert_allclose(error[2], 2.3, atol=0.1)


def test_two_steps_give_another_activation_energy() -> None:
    # k for each temperature by age, then ln k against 1/T; T is the mean curing temperature
    k, temperature = [], []
    for _, rows in nbs().groupby("set"):
        age = rows["age_d_inferred"].to_numpy(dtype=np.float64)
        found, _ = curve_fit(hyperbola, age, rows["splitting_tensile_strength_psi"], p0=[400.0, 0.5])
        k.append(found[1])
        temperature.append(rows["mean_cure_T_degC_inferred"].mean())
    slope = np.polyfit(1.0 / (np.array(temperature) + astm_c1074.ZERO_CELSIUS), np.log(k), 1)[0]
    np.testing.assert_allclose(-slope * astm_c1074.GAS_CONSTANT / 1000.0, 30.1, atol=0.1)  # kJ/mol
    line = np.polyfit(temperature, k, 1)
    np.testing.assert_allclose(-line[1] / line[0], -9.5, atol=0.1)  # degC


def fitted_coefficient(age: np.ndarray, strength: np.ndarray) -> float:
    """Fit the coefficient s alone, the strength at 28 days held at the measured mean."""
    at_28 = strength[age == 28.0].mean()

    def model(t: np.ndarray, s: float) -> np.ndarray:
        factor = en1992_1_1_strength.age_factor(age_days=t, cement_coefficient=np.full(t.shape, s))
        return at_28 * factor

    found, _ = curve_fit(model, age, strength, p0=[0.3])
    return float(found[0])


@pytest.mark.parametrize(
    ("slag", "coefficient"), [(0, 0.188), (15, 0.259), (30, 0.331), (50, 0.411), (70, 0.378), (85, 0.409)]
)
def test_slag_slows_the_strength_curve(slag: int, coefficient: float) -> None:
    # procedure: first batch, all ages, s alone
    frame = data("strength_gruyaert_slag_series.csv")
    rows = frame[(frame["slag_percent_of_binder"] == slag) & (frame["cement_slag_batch"] == "I")]
    s = fitted_coefficient(rows["age_d"].to_numpy(np.float64), rows["fcm_MPa"].to_numpy(np.float64))
    np.testing.assert_allclose(s, coefficient, atol=0.001)


@pytest.mark.parametrize(
    ("mix", "coefficient"), [("mix0", 0.119), ("mix0.1", 0.152), ("mix0.5", 0.152), ("mix1", 0.243)]
)
def test_single_specimens(mix: str, coefficient: float) -> None:
    # procedure: single cubes, s alone
    frame = data("strength_kit_mpa_ages.csv")
    rows = frame[(frame["mix"] == mix) & frame["shape_by_id_letter"].str.startswith("cube")]
    s = fitted_coefficient(rows["age_d"].to_numpy(np.float64), rows["fc_MPa"].to_numpy(np.float64))
    np.testing.assert_allclose(s, coefficient, atol=0.001)
