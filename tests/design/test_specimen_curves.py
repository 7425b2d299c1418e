"""Strength laws fitted to tests: against scipy's curve fit, published fits, simulated tests and tests held out."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import approx_fprime, curve_fit, least_squares, minimize_scalar
from scipy.stats import binom
from support import PUBLISHED, case

from sheetengine.clauses import astm_c1074
from sheetengine.design.ripening import activation_of, datum_of
from sheetengine.design.specimen_curves import (
    BY_NAME,
    EN_FORM,
    EXPONENTIAL,
    FORMS,
    HYPERBOLIC,
    Form,
    FormFit,
    fit_form,
)
from sheetengine.design.specimens import claim

every = pytest.mark.parametrize("form", FORMS, ids=lambda form: form.name)
REFERENCE = 23.0
TRUE = {HYPERBOLIC: [38.0, 0.35, 0.3], EXPONENTIAL: [41.0, 1.8, 0.8], EN_FORM: [33.0, 0.30]}


def data(name: str) -> pd.DataFrame:
    return pd.read_csv(PUBLISHED / "data" / name)


def fitted(form: Form, age: np.ndarray, strength: np.ndarray, count: np.ndarray | None = None) -> FormFit:
    return fit_form(form, age, strength, np.ones_like(age) if count is None else count)


def slag(share: int) -> tuple[np.ndarray, np.ndarray]:
    frame = data("strength_gruyaert_slag_series.csv")
    rows = frame[(frame["slag_percent_of_binder"] == share) & (frame["cement_slag_batch"] == "I")]
    return rows["age_d"].to_numpy(np.float64), rows["fcm_MPa"].to_numpy(np.float64)


def cubes() -> list[tuple[np.ndarray, np.ndarray]]:
    frame = data("strength_kit_mpa_ages.csv")
    rows = frame[frame["shape_by_id_letter"].str.startswith("cube")]
    return [
        (own["age_d"].to_numpy(np.float64), own["fc_MPa"].to_numpy(np.float64))
        for _, own in rows.groupby("mix")
    ]


def nbs() -> pd.DataFrame:
    return data("strength_nbs_lew_1976_tensile_3temps.csv")


def nbs_at(rate: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return equivalent ages, summed over the intervals of each curing temperature, and strengths."""
    frame = nbs()
    step = frame.groupby("set")["age_d_inferred"].diff().fillna(frame["age_d_inferred"])
    age = (step * rate).groupby(frame["set"]).cumsum().to_numpy(np.float64)
    return age, frame["splitting_tensile_strength_psi"].to_numpy(np.float64)


def arrhenius(energy: float) -> np.ndarray:
    temperature = nbs()["interval_mean_T_degC_derived"].to_numpy(np.float64)
    return astm_c1074.arrhenius_rate(
        concrete_temperature=temperature,
        activation_temperature=astm_c1074.activation_temperature(
            activation_energy=np.full(temperature.shape, energy)
        ),
        reference_temperature=np.full(temperature.shape, REFERENCE),
    )


def nurse_saul(datum: float) -> np.ndarray:
    temperature = nbs()["interval_mean_T_degC_derived"].to_numpy(np.float64)
    return astm_c1074.nurse_saul_rate(
        concrete_temperature=temperature,
        datum_temperature=np.full(temperature.shape, datum),
        reference_temperature=np.full(temperature.shape, REFERENCE),
    )


# -- against scipy's curve fit and published fits


@every
@pytest.mark.parametrize("share", [0, 15, 30, 50, 70, 85])
def test_parameters_and_errors_are_those_of_the_reference_fitter(form: Form, share: int) -> None:
    age, strength = slag(share)
    found = fitted(form, age, strength)
    free = ~np.isnan(found.errors)

    def model(t: np.ndarray, *p: float) -> np.ndarray:
        values = found.values.copy()
        values[free] = p
        return form.strength(t, values)

    # the reference goes on until nothing changes any more: where it stops early depends on the processor
    best, covariance = curve_fit(
        model, age, strength, p0=found.values[free] * 1.1, ftol=1e-14, xtol=1e-14, gtol=1e-14, maxfev=20000
    )
    np.testing.assert_allclose(found.values[free], best, rtol=2e-4)
    np.testing.assert_allclose(found.errors[free], np.sqrt(np.diag(covariance)), rtol=2e-3)


def test_a_hyperbola_held_at_time_zero_is_the_least_within_bounds() -> None:
    age, strength = slag(30)
    hyperbola = BY_NAME[HYPERBOLIC]
    found = fitted(hyperbola, age, strength)
    assert found.values[2] == 0.0 and np.isnan(found.errors[2]) and found.free == 2
    bounded, _ = curve_fit(
        lambda t, *p: hyperbola.strength(t, np.array(p)), age, strength, p0=[50.0, 0.3, 0.1],
        bounds=([0.0, 0.0, 0.0], [500.0, 50.0, 0.9]),
    )  # fmt: skip
    np.testing.assert_allclose(found.values[:2], bounded[:2], rtol=1e-3)


@every
def test_slopes_are_derivatives(form: Form) -> None:
    p, age = np.array(TRUE[form.name]), np.array([0.7, 1.9, 6.0, 40.0])
    by_numbers = np.stack(
        [approx_fprime(p, lambda q, at=at: float(form.strength(np.array([at]), q)[0]), 1e-7) for at in age]
    )
    np.testing.assert_allclose(form.slopes(age, p), by_numbers, rtol=1e-4, atol=1e-5)


def test_series_at_three_temperatures_by_arrhenius() -> None:
    published, hyperbola = case("S-NBS-JOINT"), BY_NAME[HYPERBOLIC]

    def misfit(energy: float) -> float:
        return fitted(hyperbola, *nbs_at(arrhenius(energy))).deviation

    energy = minimize_scalar(misfit, bounds=(20.0, 60.0), method="bounded", options={"xatol": 1e-4}).x
    found = fitted(hyperbola, *nbs_at(arrhenius(float(energy))))
    assert found.values[2] == 0.0
    published.check("Ea", energy)
    published.check("Su", found.values[0])
    published.check("k", found.values[1])


def test_series_at_three_temperatures_by_nurse_and_saul() -> None:
    def misfit(datum: float) -> float:
        return fitted(BY_NAME[HYPERBOLIC], *nbs_at(nurse_saul(datum))).deviation

    datum = minimize_scalar(misfit, bounds=(-15.0, 0.0), method="bounded", options={"xatol": 1e-4}).x
    case("S-NBS-DATUM").check("T0", datum)


def test_rate_constants_on_a_line() -> None:
    published, rates, baths = case("S-NBS-ANNEX"), [], []
    for _, rows in nbs().groupby("set"):
        found = fitted(
            BY_NAME[HYPERBOLIC],
            rows["age_d_inferred"].to_numpy(np.float64),
            rows["splitting_tensile_strength_psi"].to_numpy(np.float64),
        )
        rates.append(found.values[1])
        baths.append(rows["mean_cure_T_degC_inferred"].mean())
    activation, error = activation_of(np.array(baths), np.array(rates))
    published.check("Ea", activation * astm_c1074.GAS_CONSTANT / 1000.0)
    published.check("T0", datum_of(np.array(baths), np.array(rates))[0])
    line, covariance = np.polyfit(
        1e3 / (np.array(baths) + astm_c1074.ZERO_CELSIUS), np.log(rates), 1, cov="unscaled"
    )
    left = np.log(rates) - np.polyval(line, 1e3 / (np.array(baths) + astm_c1074.ZERO_CELSIUS))
    np.testing.assert_allclose(error, 1e3 * np.sqrt((left @ left) * covariance[0, 0]), rtol=1e-6)


def test_coefficient_of_slag_mixes_is_near_that_of_another_procedure() -> None:
    published = case("S-SLAG-EN")
    found = [fitted(BY_NAME[EN_FORM], *slag(share)).values[1] for share in published.given("slag")]
    np.testing.assert_allclose(found, published.printed("s"), rtol=0.20)


def test_coefficient_of_slag_mixes_with_the_strength_at_28_days_held() -> None:
    published, form, found = case("S-SLAG-EN"), BY_NAME[EN_FORM], []
    for share in published.given("slag"):
        age, strength = slag(share)
        at_28 = strength[age == 28.0].mean()
        best, _ = curve_fit(
            lambda t, s, at_28=at_28: form.strength(t, np.array([at_28, s])), age, strength, p0=[0.3],
            jac=lambda t, s, at_28=at_28: form.slopes(t, np.array([at_28, float(s)]))[:, 1:],
        )  # fmt: skip
        found.append(best[0])
    published.check("s", found)


def test_constants_behind_a_printed_table() -> None:
    published, a, b, hyperbola = case("S-A209-FIT"), [], [], BY_NAME[HYPERBOLIC]
    for ages, ratios in (("t", "type_I"), ("t_III", "type_III")):
        age, ratio = published.column(ages), published.column(ratios)
        best, _ = curve_fit(
            lambda t, S, k: hyperbola.strength(t, np.array([S, k, 0.0])), age, ratio, p0=[1.0, 0.2],
            jac=lambda t, S, k: hyperbola.slopes(t, np.array([S, k, 0.0]))[:, :2],
        )  # fmt: skip
        if age.size > 5:
            own = fitted(hyperbola, age, ratio)
            np.testing.assert_allclose(own.values[0], best[0], rtol=0.01)
        b.append(1.0 / best[0])
        a.append(1.0 / (best[0] * best[1]))
    published.check("a", a)
    published.check("b", b)


def test_coefficients_behind_printed_age_factors() -> None:
    published = case("S-EC2-FIT")
    found = [
        fitted(BY_NAME[EN_FORM], published.column("t"), published.column(name)).values[1]
        for name in ("R", "N", "S")
    ]
    published.check("s", found)


# -- properties


def simulated(form: Form, rng: np.random.Generator, deviation: float) -> tuple[np.ndarray, np.ndarray]:
    age = np.repeat([0.8, 1.5, 3.0, 7.0, 14.0, 28.0], 3)
    return age, form.strength(age, np.array(TRUE[form.name])) + deviation * rng.standard_normal(age.size)


@every
def test_exact_tests_give_the_parameters_back(form: Form) -> None:
    age = np.array([0.8, 1.5, 3.0, 7.0, 14.0, 28.0, 56.0])
    found = fitted(form, age, form.strength(age, np.array(TRUE[form.name])))
    np.testing.assert_allclose(found.values, TRUE[form.name], rtol=1e-5)
    assert found.deviation < 1e-4


@every
@settings(max_examples=8, deadline=None)
@given(seed=st.integers(0, 10**6), strength_by=st.floats(0.01, 200.0), age_by=st.floats(0.2, 5.0))
def test_units_do_not_matter_nor_the_order_of_rows(
    form: Form, seed: int, strength_by: float, age_by: float
) -> None:
    rng = np.random.default_rng(seed)
    age, strength = simulated(form, rng, 0.8)
    plain = fitted(form, age, strength)
    mixed = rng.permutation(age.size)
    shuffled = fitted(form, age[mixed], strength[mixed])
    np.testing.assert_allclose(shuffled.mean(age), plain.mean(age), rtol=1e-6)
    np.testing.assert_allclose(shuffled.lower(age, 0.95), plain.lower(age, 0.95), rtol=1e-5)
    stronger = fitted(form, age, strength * strength_by)
    np.testing.assert_allclose(stronger.lower(age, 0.95), plain.lower(age, 0.95) * strength_by, rtol=1e-4)
    if form.name != EN_FORM:  # its 28 days are days
        slower = fitted(form, age * age_by, strength)
        np.testing.assert_allclose(slower.lower(age * age_by, 0.95), plain.lower(age, 0.95), rtol=1e-4)


@every
def test_a_row_of_three_counts_as_three_rows(form: Form) -> None:
    age, strength = simulated(form, np.random.default_rng(5), 0.8)
    one = np.unique(age)
    mean = np.array([strength[age == at].mean() for at in one])
    by_rows, by_means = fitted(form, age, strength), fitted(form, one, mean, np.full(one.shape, 3.0))
    np.testing.assert_allclose(by_means.values, by_rows.values, rtol=1e-4)


@every
def test_bounds_rise_with_age_and_keep_to_the_safe_side(form: Form) -> None:
    for seed in range(10):
        age, strength = simulated(form, np.random.default_rng(seed), 2.5)
        found = fitted(form, age, strength)
        if found.refused:
            continue
        claimed = claim(found, age, 0.95)
        assert (np.diff(claimed.lower) >= 0.0).all() and (np.diff(claimed.upper) >= 0.0).all()
        by_formula = found.lower(claimed.age_days, 0.95)
        assert (claimed.lower <= np.maximum(by_formula, 0.0) + 1e-12).all()
        assert (claimed.upper >= found.upper(claimed.age_days, 0.95) - 1e-12).all()
        bolder = claim(found, age, 0.80)
        assert (bolder.lower >= claimed.lower - 1e-9).all()


def test_too_few_tests_and_no_growth_are_refused() -> None:
    few = fitted(BY_NAME[HYPERBOLIC], np.array([1.0, 3.0, 7.0, 28.0]), np.array([9.0, 19.0, 26.0, 33.0]))
    assert "5 needed" in few.refused
    flat = fitted(
        BY_NAME[EN_FORM], np.array([1.0, 3.0, 7.0, 14.0, 28.0]), np.array([30.0, 30.1, 29.9, 30.0, 30.0])
    )
    assert "do not fix" in flat.refused


# -- what the bound covers


def best_of(age: np.ndarray, strength: np.ndarray) -> FormFit:
    fits = [fit for fit in (fitted(form, age, strength) for form in FORMS) if not fit.refused]
    return min(fits, key=lambda fit: fit.criterion)


@pytest.mark.parametrize("confidence", [0.90, 0.95])
def test_bound_covers_what_it_says_of_simulated_tests(confidence: float) -> None:
    """Every series is drawn anew, so hits are independent: within the binomial bounds of 1 in 1000 either way."""
    rng, hits, trials = np.random.default_rng(77), 0, 300
    for _ in range(trials):
        form = FORMS[int(rng.integers(3))]
        age, strength = simulated(form, rng, 1.2)
        at = np.array([rng.uniform(0.9, 27.0)])
        test = form.strength(at, np.array(TRUE[form.name])) + 1.2 * rng.standard_normal(1)
        claimed = claim(best_of(age, strength), age, confidence)
        hits += int(test[0] >= np.interp(at[0], claimed.age_days, claimed.lower))
    low, high = binom.ppf([0.001, 0.999], trials, confidence)
    print(f"confidence {confidence:g}: {hits} of {trials} simulated tests lie above the bound")
    assert low <= hits <= high


def held_out(series: list[tuple[np.ndarray, np.ndarray]], confidence: float, name: str) -> tuple[float, int]:
    """Return the share of tests left out that lie above the bound of the others, over 160 random splits, and the number of tests.

    Seven tenths of a series are fitted. Tests beyond the ages of those are not counted: nothing is claimed of them.
    """
    rng, hits, counted = np.random.default_rng(2031), 0, 0
    for age, strength in series:
        for _ in range(160 // len(series)):
            mixed = rng.permutation(age.size)
            kept = round(0.7 * age.size)
            fit_on, left = mixed[:kept], mixed[kept:]
            claimed = claim(best_of(age[fit_on], strength[fit_on]), age[fit_on], confidence)
            left = left[(age[left] >= claimed.age_days[0]) & (age[left] <= claimed.age_days[-1])]
            hits += int((strength[left] >= np.interp(age[left], claimed.age_days, claimed.lower)).sum())
            counted += left.size
    print(f"{name}, confidence {confidence:g}: {hits} of {counted} tests held out lie above the bound")
    return hits / counted, sum(age.size for age, _ in series)


@pytest.mark.parametrize("confidence", [0.90, 0.95])
@pytest.mark.parametrize("name", ["three temperatures", "single cubes"])
def test_bound_covers_what_it_says_of_tests_held_out(name: str, confidence: float) -> None:
    """Within the sampling error of as many trials as there are tests, since the splits share their tests."""
    series = [nbs_at(arrhenius(37.8))] if name == "three temperatures" else cubes()
    share, tests = held_out(series, confidence, name)
    low, high = binom.ppf([0.025, 0.975], tests, confidence) / tests
    assert low <= share <= high


@pytest.mark.parametrize("confidence", [0.90, 0.95])
def test_bound_covers_no_less_than_it_says_of_short_series_of_means(confidence: float) -> None:
    """Series of 7 or 8 means: where an end is held out it is not counted, and between the ends the laws fit best.

    So the bound covers more than it says, 98 and 100 %, and only the lower end is asserted.
    """
    share, tests = held_out([slag(share) for share in (0, 15, 30, 50, 70, 85)], confidence, "slag series")
    assert share >= binom.ppf(0.025, tests, confidence) / tests


def test_a_search_that_does_not_converge_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        "sheetengine.design.specimen_curves.least_squares",
        lambda *args, **named: least_squares(*args, **named | {"max_nfev": 1}),
    )
    age, strength = simulated(BY_NAME[HYPERBOLIC], np.random.default_rng(1), 0.8)
    assert "did not converge" in fitted(BY_NAME[HYPERBOLIC], age, strength).refused
