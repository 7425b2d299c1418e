"""Specimens through the chain: what is fitted, what is refused, and what the gates and anchors take from it."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from builders import computed, job, pile

from sheetengine.clauses import en206_specimens
from sheetengine.clauses.astm_c1074 import arrhenius_rate, nurse_saul_rate
from sheetengine.design.calculate import Calculation
from sheetengine.design.flags import all_flags
from sheetengine.design.specimens import FITTED, MixFit
from sheetengine.findings import Code, Finding, Level
from sheetengine.run import calculate, result_contents

AGES = (0.7, 1.0, 2.0, 3.0, 7.0, 14.0, 28.0)
LOOSE = {"Storm wind": (0.05, "kPa")}
"""A storm that leaves the foot on its bearing, so that the gates hang on strength alone."""


def hyperbola(t: np.ndarray, S: float = 38.0, k: float = 0.5, start: float = 0.25) -> np.ndarray:
    x = k * np.maximum(t - start, 0.0)
    return S * x / (1.0 + x)


def rate(temperature: float, Q: float) -> float:
    return float(np.exp(-Q * (1.0 / (temperature + 273.15) - 1.0 / 293.15)))


def specimens(
    baths: tuple[float, ...] = (20.0,),
    ages: tuple[float, ...] = AGES,
    Q: float = 4600.0,
    scatter: float = 0.5,
    each: int = 2,
    seed: int = 3,
    **more: Any,
) -> list[dict[str, Any]]:
    """Return rows of ``Specimens`` drawn about a hyperbola at 20 degC."""
    rng = np.random.default_rng(seed)
    cells = {key.replace("_", " "): value for key, value in more.items()}
    return [
        {
            "Mix": "M1",
            "Age": age,
            "Curing temperature": bath,
            "Strength": float(
                max(hyperbola(np.array([age * rate(bath, Q)]))[0] + scatter * rng.standard_normal(), 0.3)
            ),
        }
        | cells
        for bath in baths
        for age in ages
        for _ in range(each)
    ]


def run(rows: list[dict[str, Any]], mix: dict[str, Any] | None = None, **changes: Any) -> Calculation:
    changes.setdefault("lifts", pile(3))
    return computed(mixes=[{"Strength curve": FITTED} | (mix or {})], optional={"Specimens": rows}, **changes)


def fit_of(c: Calculation) -> MixFit:
    return c.curves.fits.by_mix[0]


def told(c: Calculation, code: Code, words: str) -> list[Finding]:
    return [flag for flag in all_flags(c) if flag.code is code and words in flag.message]


def at(c: Calculation, hours: list[float]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    age = np.array(hours)
    mix = np.zeros(age.size, dtype=np.int64)
    return c.curves.strength_at(mix, age), c.curves.mean_at(mix, age), c.curves.upper_at(mix, age)


# -- the laws behind the gates


def test_design_strength_is_the_lower_bound_between_the_tests_and_nothing_before_them() -> None:
    c = run(specimens())
    fit = fit_of(c).fit
    lower, mean, upper = at(c, [12.0, 24.0, 72.0, 168.0, 672.0, 5000.0])
    days = np.array([1.0, 3.0, 7.0, 28.0])
    np.testing.assert_allclose(lower[1:5], fit.lower(days, 0.95), rtol=1e-5)
    np.testing.assert_allclose(mean[1:5], fit.mean(days), rtol=1e-9)
    np.testing.assert_allclose(upper[1:5], fit.upper(days, 0.95), rtol=1e-5)
    assert lower[0] == 0.0 and lower[5] == lower[4]
    assert (lower <= mean).all() and (mean <= upper).all()


def test_ages_go_back_to_strengths_and_rise() -> None:
    c = run(specimens())
    mix, age = np.zeros(400, dtype=np.int64), np.linspace(18.0, 660.0, 400)
    for strength_of, age_of in (
        (c.curves.strength_at, c.curves.age_at),
        (c.curves.mean_at, c.curves.age_at_mean),
        (c.curves.upper_at, c.curves.age_at_upper),
    ):
        strength = strength_of(mix, age)
        assert (np.diff(strength) >= 0.0).all()
        np.testing.assert_allclose(strength_of(mix, age_of(mix, strength)), strength, rtol=1e-9)
    wanted = np.linspace(1.0, 25.0, 60)
    mix = mix[:60]
    early, middle, late = (
        law(mix, wanted) for law in (c.curves.age_at_upper, c.curves.age_at_mean, c.curves.age_at)
    )
    assert (early <= middle).all() and (middle <= late).all()
    never = np.array([80.0, 0.0, np.nan])
    np.testing.assert_array_equal(c.curves.age_at(mix[:3], never), [np.inf, 0.0, np.nan])
    assert np.isnan(c.curves.strength_at(np.array([0, -1]), np.array([np.nan, 24.0]))).all()


@pytest.mark.parametrize(
    "mix",
    [
        {"Strength class": "R"},
        {"Strength curve": "fib MC 2010", "Cement strength class": "42.5N"},
        {"Strength curve": "ACI 209R"},
        {"Strength curve": "Hyperbolic", "Ultimate strength": 36.0, "Rate constant": 0.3, "Strength starts": 8.0},
        {"Strength curve": "Hyperbolic", "Ultimate strength": 46.0, "Rate constant": 0.3, "Strength kind": "cube, mean",
         "Strength 28 d": 45.0},
    ],
)  # fmt: skip
def test_curves_without_a_bound_have_a_mean_above_the_design_strength(mix: dict[str, Any]) -> None:
    curves = computed(mixes=[mix]).curves
    age = np.array([30.0, 80.0, 170.0, 500.0])
    rows = np.zeros(4, dtype=np.int64)
    mean, design = curves.mean_at(rows, age), curves.strength_at(rows, age)
    assert (mean > design).all() and (mean < design + 12.0).all()
    np.testing.assert_allclose(curves.age_at_mean(rows, mean), age, rtol=1e-9)
    assert np.isnan(curves.upper_at(rows, age)).all() and np.isnan(curves.age_at_upper(rows, mean)).all()


def test_mean_of_en_at_28_days_is_8_mpa_more() -> None:
    curves = computed(mixes=[{"Strength 28 d": 30.0}]).curves
    np.testing.assert_allclose(curves.mean_at(np.zeros(1, dtype=np.int64), np.array([672.0])), 38.0)


def test_a_higher_confidence_asks_for_later_gates() -> None:
    bold, careful = (run(specimens(), job=LOOSE | {"Strength confidence": share}) for share in (0.8, 0.99))
    finite = np.isfinite(bold.gates.ready) & np.isfinite(careful.gates.ready)
    strip = finite & (bold.gates.gate == 0)
    assert strip.sum() == 3
    assert (careful.gates.ready[strip] >= bold.gates.ready[strip]).all()
    assert careful.gates.predicted[strip].max() < bold.gates.predicted[strip].max()


def test_gates_take_the_lower_bound() -> None:
    c = run(specimens(), job=LOOSE)
    row = int(np.flatnonzero(c.gates.gate == 0)[0])
    age = c.history.maturity.age_at(
        np.array([0]), np.array([c.gates.planned[row]])
    ) - c.history.maturity.age_at(np.array([0]), c.layout.top_hour[:1])
    days = age / 24.0
    np.testing.assert_allclose(c.gates.predicted[row], fit_of(c).fit.lower(days, 0.95), rtol=1e-5)
    assert c.gates.predicted[row] < fit_of(c).fit.mean(days)


def test_early_tests_let_the_law_speak_before_three_days() -> None:
    early = {"lifts": pile(3, strip=1.6, hang=2.2), "job": LOOSE}
    tested, generic = run(specimens(), **early), computed(**early)
    assert generic.gates.needs_tests.any()
    assert not tested.gates.needs_tests.any() and not told(tested, Code.NEEDS_TESTS, "before")


def test_a_gate_before_the_youngest_test_is_outside_scope_and_told() -> None:
    c = run(specimens(ages=(3.0, 7.0, 14.0, 28.0, 56.0)), lifts=pile(3, strip=2.0), job=LOOSE)
    strip = c.gates.gate == 0
    assert c.gates.needs_tests[strip].all()
    assert (c.gates.predicted[strip] == 0.0).all()
    assert not np.isin(c.gate_verdict[strip], ("Within", "Near limit")).any()
    (flag,) = told(c, Code.NEEDS_TESTS, "youngest test")
    assert flag.level is Level.STOP and flag.at.sheet == "Specimens" and "3 d" in flag.message


# -- refusals

REFUSED = {
    "too few ages": (specimens(ages=(1.0, 3.0, 28.0)), "3 different ages"),
    "no early age": (
        specimens(ages=(7.0, 14.0, 28.0, 56.0, 90.0)),
        "no early age is tested, the youngest is at 7 d",
    ),
    "one age": (specimens(ages=(28.0,), each=6), "all tests have one age"),
    "falling": (
        [row | ({"Strength": 12.0} if row["Age"] == 28.0 else {}) for row in specimens()],
        "falls with age",
    ),
    "no growth": (
        [row | {"Strength": 30.0 - 0.01 * place} for place, row in enumerate(specimens())],
        "no form",
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_cannot_be_fitted_is_refused_with_its_rows(name: str) -> None:
    rows, words = REFUSED[name]
    c = run(rows)
    assert fit_of(c).chosen == -1
    (flag,) = told(c, Code.NOT_COMPUTED, "no strength curve was fitted")
    assert flag.level is Level.STOP and flag.at.sheet == "Specimens" and words in flag.message and flag.clears
    assert np.isnan(c.gates.predicted).all()
    assert not np.isin(c.gate_verdict, ("Within", "Near limit")).any()
    assert not np.isin(c.demand_verdict, ("Within", "Near limit")).any()


def test_falling_strength_names_the_two_ages() -> None:
    rows, _ = REFUSED["falling"]
    (flag,) = told(run(rows), Code.NOT_COMPUTED, "falls with age")
    assert "rows 12, 13, 14, 15" in flag.message


def test_wide_scatter_leaves_no_bound_and_is_refused() -> None:
    rows = specimens(ages=(1.0, 2.0, 3.0, 7.0), each=1)
    for row, strength in zip(rows, (2.0, 9.0, 8.0, 9.0), strict=True):
        row["Strength"] = strength
    c = run(rows, {"Fitted form": "EN 1992-1-1"})
    assert fit_of(c).chosen == -1 or fit_of(c).claimed.lower[-1] < 9.0  # type: ignore[union-attr]
    assert not (at(c, [24.0])[0] > 2.0).any()


def test_a_named_form_that_cannot_be_fitted_is_refused() -> None:
    rows = specimens(ages=(1.0, 3.0, 7.0, 28.0), each=1)
    assert fit_of(run(rows)).fit.form.name == "EN 1992-1-1"
    c = run(rows, {"Fitted form": "exponential"})
    (flag,) = told(c, Code.NOT_COMPUTED, "the form exponential")
    assert "4 tests for 3 parameters" in flag.message


# -- kinds


def test_cubes_are_fitted_as_cylinders() -> None:
    cylinders = specimens()
    cubes = [
        row
        | {
            "Strength": float(
                en206_specimens.cube_from_cylinder(cylinder_strength=np.array([row["Strength"]]))[0]
            ),
            "Strength kind": "cube, mean",
        }
        for row in cylinders
    ]
    by_cubes, by_cylinders = run(cubes), run(cylinders)
    np.testing.assert_allclose(at(by_cubes, [72.0, 168.0]), at(by_cylinders, [72.0, 168.0]), rtol=1e-6)
    unsaid = [{k: v for k, v in row.items() if k != "Strength kind"} for row in cubes]
    of_mix = run(unsaid, {"Strength kind": "cube, characteristic", "Strength 28 d": 37.0})
    np.testing.assert_allclose(at(of_mix, [72.0, 168.0])[0], at(by_cylinders, [72.0, 168.0])[0], rtol=1e-6)


def test_characteristic_values_are_no_means() -> None:
    worked_out = run(specimens(Strength_kind="cylinder, characteristic"))
    measured = run(specimens())
    lower, mean, upper = at(worked_out, [168.0, 672.0])
    np.testing.assert_allclose(lower, at(measured, [168.0, 672.0])[0])
    np.testing.assert_allclose(mean[1] - at(measured, [672.0])[1][0], 8.0, rtol=1e-9)
    assert np.isnan(upper).all()


# -- several curing temperatures


def test_three_temperatures_give_the_activation_temperature_and_the_history_uses_it() -> None:
    c = run(specimens((5.0, 20.0, 35.0), Q=5200.0, scatter=0.05))
    fit = fit_of(c)
    assert fit.ripening.from_tests and abs(fit.ripening.value - 5200.0) < 3.0 * fit.ripening.error + 60.0
    assert c.curves.fits.activation[0] == fit.ripening.value
    nodes = c.temperature.nodes[0]
    expected = arrhenius_rate(
        concrete_temperature=nodes,
        activation_temperature=np.full(nodes.shape, fit.ripening.value),
        reference_temperature=np.full(nodes.shape, 20.0),
    )
    np.testing.assert_allclose(c.history.maturity.rate[0], expected)
    (note,) = told(c, Code.PLAUSIBILITY, "activation temperature of")
    assert note.level is Level.NOTE


def test_three_temperatures_give_the_datum_temperature() -> None:
    rows = [
        {"Mix": "M1", "Age": age, "Curing temperature": bath,
         "Strength": float(hyperbola(np.array([age * (bath + 4.0) / 24.0]), start=0.0)[0])}
        for bath in (5.0, 20.0, 35.0) for age in AGES
    ]  # fmt: skip
    c = run(rows, {"Maturity function": "Nurse-Saul"})
    np.testing.assert_allclose(c.curves.fits.datum[0], -4.0, atol=0.01)
    nodes = c.temperature.nodes[0]
    expected = nurse_saul_rate(
        concrete_temperature=nodes,
        datum_temperature=np.full(nodes.shape, c.curves.fits.datum[0]),
        reference_temperature=np.full(nodes.shape, 20.0),
    )
    np.testing.assert_allclose(c.history.maturity.rate[0], expected)


def test_two_temperatures_keep_the_stated_value_and_say_so() -> None:
    c = run(specimens((8.0, 20.0)), {"Activation temperature": 4600.0})
    assert not fit_of(c).ripening.from_tests and c.curves.fits.activation[0] == 4600.0
    (note,) = told(c, Code.DEFAULT_TAKEN, "2 curing temperatures")
    assert note.level is Level.NOTE
    at_20 = specimens((20.0,), scatter=0.0)
    both = specimens((8.0, 20.0), scatter=0.0)
    for rows in (at_20, both):
        np.testing.assert_allclose(
            fit_of(run(rows, {"Activation temperature": 4600.0, "Fitted form": "hyperbolic"})).fit.values,
            [38.0, 0.5, 0.25], rtol=1e-4,
        )  # fmt: skip


def test_rates_that_fall_with_temperature_give_no_value() -> None:
    rows = specimens((5.0, 20.0, 35.0), Q=-2500.0)
    c = run(rows)
    assert not fit_of(c).ripening.from_tests
    (flag,) = told(c, Code.DEFAULT_TAKEN, "no activation temperature")
    assert flag.level is Level.ACCEPT


# -- beside the fit


def test_tests_below_the_curve_that_is_followed_are_told() -> None:
    weak = [row | {"Strength": 0.5 * row["Strength"]} for row in specimens()]
    c = run(weak, {"Strength curve": "EN 1992-1-1", "Strength 28 d": 35.0})
    (flag,) = told(c, Code.PLAUSIBILITY, "tests in Specimens")
    assert flag.level is Level.ACCEPT and "lower bound of the tests" in flag.message
    assert fit_of(c).chosen >= 0 and c.curves.fits.used(0) is None


def test_a_test_far_off_is_told_by_its_cell() -> None:
    rows = specimens(scatter=0.2, each=4)
    rows[17]["Strength"] += 5.0
    flags = told(run(rows), Code.PLAUSIBILITY, "standard deviations away")
    assert [flag.at.row for flag in flags] == [19]


def test_more_than_the_oldest_test_is_not_claimed() -> None:
    c = run(specimens(ages=(0.7, 1.0, 1.5, 2.0)), job=LOOSE | {"Stripping strength": (30.0, "MPa")})
    assert np.isinf(c.gates.ready[c.gates.gate == 0]).all()
    assert told(c, Code.NEEDS_TESTS, "nothing is claimed beyond")


def test_sheet_chart_and_record() -> None:
    read = job(
        mixes=[{"Strength curve": FITTED}, {"Mix": "M2"}],
        optional={"Specimens": specimens() + [row | {"Mix": "M2"} for row in specimens(ages=(1.0, 7.0))]},
    )
    results = calculate(read)
    frame = results.frames["Strength fits"]
    assert len(frame) == 6
    assert frame["Outcome"].tolist().count("used") == 1
    assert set(frame.loc[frame["Mix"] == "M2", "Outcome"]) == {"refused"}
    used = frame[frame["Outcome"] == "used"].iloc[0]
    assert used["AICc"] == frame["AICc"].min()
    c = run(specimens())
    np.testing.assert_allclose(used["Bound at 3 d [MPa]"], at(c, [72.0])[0][0], rtol=1e-6)
    tests = results.frames["Strength fits, tests"]
    assert len(tests) == 18 and tests["Row"].iloc[0] == "Specimens!D2"
    record = dict(results.record)
    for gate in ("Strip", "Hang", "Place next"):
        assert "lower prediction bound of M1" in record[f"Strength in the gate {gate}"]
    assert "Fitted to specimens" in record["Strength of mix M1"]
    sheet = next(sheet for sheet in result_contents(results, None) if sheet.name == "Strength fits")
    assert [table.name for table in sheet.tables] == ["Strength_fits", "Strength_fits_tests"]
    (chart,) = sheet.charts
    assert len(chart.curves) == 3 and "M1" in chart.alt_text


def test_no_specimens_leave_an_empty_sheet() -> None:
    results = calculate(job())
    assert len(results.frames["Strength fits"]) == 0
    sheet = next(sheet for sheet in result_contents(results, None) if sheet.name == "Strength fits")
    assert not sheet.charts and not sheet.tables[0].rows


def test_sheet_and_chart_in_us_units() -> None:
    changes: dict[str, Any] = {"mixes": [{"Strength curve": FITTED}], "optional": {"Specimens": specimens()}}
    metric, us = (
        next(
            sheet
            for sheet in result_contents(calculate(job(job={"Result units": units}, **changes)), None)
            if sheet.name == "Strength fits"
        )
        for units in ("metric", "US")
    )
    (chart,) = us.charts
    assert chart.y_title == "Cylinder strength [psi]"
    heads = [[look.heading for look in sheet.tables[0].columns] for sheet in (metric, us)]
    mpa = metric.tables[0].rows[0][heads[0].index("Bound at 3 d [MPa]")]
    psi = us.tables[0].rows[0][heads[1].index("Bound at 3 d [psi]")]
    np.testing.assert_allclose(psi, mpa * 145.0377377, rtol=1e-6)


def test_a_curing_temperature_below_the_common_curve_is_told() -> None:
    rows = specimens((5.0, 20.0, 35.0), scatter=0.3)
    weak = [
        row
        | (
            {"Strength": 0.85 * row["Strength"]}
            if row["Curing temperature"] == 35.0 and row["Age"] > 6
            else {}
        )
        for row in rows
    ]
    assert not told(run(rows, {"Activation temperature": 4600.0}), Code.PLAUSIBILITY, "tests cured near")
    (flag,) = told(
        run(weak, {"Activation temperature": 4600.0}), Code.PLAUSIBILITY, "tests cured near 35 degC"
    )
    assert flag.level is Level.ACCEPT and flag.at.sheet == "Specimens"


def test_the_sheet_says_where_there_is_no_early_age() -> None:
    rows = specimens(ages=(3.0, 7.0, 14.0, 28.0, 56.0))
    frame = calculate(
        job(mixes=[{"Strength curve": FITTED}], lifts=pile(2, strip=2.0), optional={"Specimens": rows})
    ).frames["Strength fits"]
    (why,) = frame.loc[frame["Outcome"] == "used", "Why"]
    assert why.startswith("no early age: refused for")
    assert frame["Bound at 1 d [MPa]"].isna().all() and frame["Bound at 7 d [MPa]"].notna().any()
