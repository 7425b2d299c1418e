"""Temperature at the anchors, equivalent age and strength, against closed forms, quadrature and a library."""

from __future__ import annotations

import datetime as dt
import math
from typing import Any

import numpy as np
import pytest
from builders import START, computed, job, pile
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate
from structuralcodes.codes import ec2_2004, mc2010

from sheetengine.design.calculate import Calculation
from sheetengine.design.flags import all_flags
from sheetengine.design.maturity import Maturity, maturity_of
from sheetengine.design.strength_curves import strength_curves
from sheetengine.findings import Code, Finding, Level

ARRHENIUS = {"Maturity function": "Arrhenius", "Activation temperature": 4500.0}
NURSE_SAUL = {"Maturity function": "Nurse-Saul", "Datum temperature": -5.0, "Reference temperature": 23.0}


def arrhenius(T: float, Q: float = 4500.0, T_s: float = 20.0) -> float:
    """ASTM C1074, equivalent age gained in an hour."""
    return math.exp(-Q * (1.0 / (T + 273.15) - 1.0 / (T_s + 273.15)))


def nurse_saul(T: float, T_0: float = -5.0, T_s: float = 23.0) -> float:
    return max(T - T_0, 0.0) / (T_s - T_0)


RATES = [(ARRHENIUS, arrhenius), (NURSE_SAUL, nurse_saul)]


def ages(c: Calculation, hours: np.ndarray, lift: int = 0) -> np.ndarray:
    """Return the equivalent age of a lift at hours after its start."""
    where = np.full(hours.size, lift, dtype=np.int64)
    return c.history.maturity.age_at(where, c.temperature.start[lift] + hours)


@pytest.mark.parametrize(("mix", "rate"), RATES)
@pytest.mark.parametrize("temperature", [3.0, 11.0, 20.0, 33.0])
def test_at_a_constant_temperature_age_grows_in_proportion(
    mix: dict[str, Any], rate: Any, temperature: float
) -> None:
    c = computed(mixes=[mix], lifts=pile(2, Concrete_temperature=temperature))
    hours = np.array([0.0, 0.25, 1.0, 17.3, 200.0, 1000.5])
    # a clock of a million hours leaves 1e-10 h
    np.testing.assert_allclose(ages(c, hours), hours * rate(temperature), rtol=1e-10)
    np.testing.assert_array_equal(c.temperature.source, 0)


@pytest.mark.parametrize(("mix", "rate"), RATES)
@pytest.mark.parametrize(("mean", "swing"), [(8.0, 10.0), (16.0, 14.0), (12.0, 3.0)])
def test_a_daily_swing_by_quadrature(mix: dict[str, Any], rate: Any, mean: float, swing: float) -> None:
    c = computed(mixes=[mix], lifts=pile(2, Concrete_temperature=18.0, Air_temperature=mean, Air_swing=swing))
    start = float(c.temperature.start[0])

    def at(hours: float) -> float:
        clock = start + hours  # the epoch begins at midnight
        return rate(min(18.0, mean) + swing / 2.0 * math.cos(2.0 * math.pi * (clock - 15.0) / 24.0))

    for hours in (5.0, 24.0, 50.5, 300.0):
        exact = integrate.quad(at, 0.0, hours, limit=400)[0]
        assert ages(c, np.array([hours]))[0] == pytest.approx(exact, rel=1e-4 if hours >= 24.0 else 2e-3)
    np.testing.assert_array_equal(c.temperature.source, 1)


def test_the_age_counts_from_the_hour_the_concrete_reaches_the_anchors() -> None:
    # anchors 0.4 m below the joint of a 3.0 m lift rising 1.0 m/h: 2.6 h after placing; top after 3.0 h
    c = computed(lifts=pile(2))
    placed = c.job.table("Lifts").number("placed")
    np.testing.assert_allclose(c.layout.anchor_hour, placed + 2.6, rtol=0.0, atol=1e-6)
    np.testing.assert_allclose(c.layout.top_hour, placed + 3.0, rtol=0.0, atol=1e-6)
    assert ages(c, np.array([-1.0]))[0] == 0.0


def test_nothing_is_gained_at_or_below_freezing_or_the_datum() -> None:
    for mix in (ARRHENIUS, NURSE_SAUL, {"Maturity function": "Nurse-Saul", "Datum temperature": 5.0}):
        for air in (0.0, -4.0):
            c = computed(mixes=[mix], lifts=pile(2, Concrete_temperature=15.0, Air_temperature=air))
            assert (ages(c, np.array([10.0, 100.0])) == 0.0).all()
    c = computed(
        mixes=[{"Maturity function": "Nurse-Saul", "Datum temperature": 5.0}],
        lifts=pile(2, Concrete_temperature=15.0, Air_temperature=4.0),
    )
    assert (ages(c, np.array([10.0, 100.0])) == 0.0).all()


def test_air_warmer_than_the_concrete_does_not_help() -> None:
    warm = computed(lifts=pile(2, Concrete_temperature=12.0, Air_temperature=30.0))
    kept = computed(lifts=pile(2, Concrete_temperature=12.0))
    hours = np.linspace(0.0, 200.0, 9)
    np.testing.assert_allclose(ages(warm, hours), ages(kept, hours), rtol=1e-12)


def random_maturity(seed: int) -> Maturity:
    rng = np.random.default_rng(seed)
    rate = np.maximum(rng.uniform(-0.3, 1.4, (5, 121)), 0.0)  # frozen hours among them
    return maturity_of(rng.uniform(0.0, 1e6, 5), rate)


@pytest.mark.parametrize("seed", range(4))
def test_the_hour_of_an_age_gives_the_age_back(seed: int) -> None:
    maturity = random_maturity(seed)
    rng = np.random.default_rng(seed + 100)
    lift = rng.integers(0, 5, 400)
    age = rng.uniform(0.0, 1.0, 400) * maturity.total[lift, -1]
    hour = maturity.hour_of(lift, age)
    np.testing.assert_allclose(maturity.age_at(lift, hour), age, rtol=1e-9, atol=1e-8)
    earlier = maturity.age_at(lift, hour - 1e-3)
    assert (earlier <= age + 1e-9).all()


def test_ends_of_the_history_and_missing_entries() -> None:
    maturity = random_maturity(1)
    total = float(maturity.total[0, -1])
    lift = np.array([0, 0, 0, -1, 0])
    hour = maturity.hour_of(lift, np.array([0.0, total, total * 1.01, 1.0, np.nan]))
    assert hour[0] == maturity.start[0]
    assert hour[1] <= maturity.start[0] + 120.0
    assert hour[2] == np.inf
    assert np.isnan(hour[3:]).all()
    age = maturity.age_at(lift, maturity.start[0] + np.array([-5.0, 500.0, 120.0, 5.0, np.nan]))
    assert age[0] == 0.0
    assert age[1] == age[2] == pytest.approx(total)
    assert np.isnan(age[3:]).all()


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(0.0, 3.0), min_size=4, max_size=40), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_age_never_falls_and_hours_never_fall(rates: list[float], low: float, high: float) -> None:
    maturity = maturity_of(np.zeros(1), np.array([rates]))
    span = float(len(rates) - 1)
    first, second = sorted((low, high))
    lift = np.zeros(2, dtype=np.int64)
    age = maturity.age_at(lift, np.array([first * span, second * span]))
    assert age[0] <= age[1] + 1e-12
    hour = maturity.hour_of(lift, age)
    assert hour[0] <= hour[1] + 1e-9


@pytest.mark.parametrize(("word", "s"), [("S", 0.38), ("N", 0.25), ("R", 0.20)])  # EN 1992-1-1 3.1.2(6)
def test_en_curve_against_a_library(word: str, s: float) -> None:
    curves = strength_curves(job(mixes=[{"Strength class": word, "Strength 28 d": 30.0}]).table("Mixes"))
    days = np.array([3.0, 7.0, 14.0, 21.0, 28.0])
    beta = ec2_2004.beta_cc(days, s)
    expected = beta * ec2_2004.fcm(30.0) - 8.0
    found = curves.strength_at(np.zeros(5, dtype=np.int64), days * 24.0)
    np.testing.assert_allclose(found, expected, rtol=1e-9)


@pytest.mark.parametrize("cement", ["32.5N", "42.5N", "42.5R", "52.5R"])
def test_fib_curve_against_a_library(cement: str) -> None:
    read = job(
        mixes=[{"Strength curve": "fib MC 2010", "Cement strength class": cement, "Strength 28 d": 35.0}]
    )
    curves = strength_curves(read.table("Mixes"))
    days = np.array([3.0, 7.0, 28.0, 90.0])
    fcm = mc2010.fcm(35.0)
    beta = mc2010.beta_cc(days, fcm, f"{cement[:4]} {cement[4:]}")
    expected = beta * fcm - 8.0
    found = curves.strength_at(np.zeros(4, dtype=np.int64), days * 24.0)
    np.testing.assert_allclose(found, expected, rtol=1e-9)


def test_hyperbola_and_aci_curve_by_hand_for_cubes_and_means() -> None:
    # S_u 40, k 0.4 1/d, start 6 h: at 4 d 40 x 0.4 x 3.75 / (1 + 1.5) = 24.0 MPa.
    # As cubes C20/25 to C16/20 of EN 206: 16 + 4 x 4/5 = 19.2; as means 24 - 8 = 16; both 19.2 - 8 = 11.2
    kinds = {
        "cylinder, characteristic": 24.0, "cylinder, mean": 16.0, "cube, characteristic": 19.2, "cube, mean": 11.2,
    }  # fmt: skip
    mixes = [
        {"Mix": kind, "Strength kind": kind, "Strength curve": "Hyperbolic", "Ultimate strength": 40.0,
         "Rate constant": 0.4, "Strength starts": 6.0}
        for kind in kinds
    ]  # fmt: skip
    curves = strength_curves(job(mixes=[*mixes, {}]).table("Mixes"))
    mix = np.arange(4)
    found = curves.strength_at(mix, np.full(4, 96.0))
    np.testing.assert_allclose(found, list(kinds.values()), rtol=1e-12)
    np.testing.assert_allclose(curves.age_at(mix, found), 96.0, rtol=1e-9)
    # ACI 209R, Type I moist: t / (4 + 0.85 t) at 7 d is 7 / 9.95 = 0.70352
    aci = strength_curves(job(mixes=[{"Strength curve": "ACI 209R", "Strength 28 d": 30.0}]).table("Mixes"))
    at_seven = aci.strength_at(np.zeros(1, dtype=np.int64), np.array([168.0]))
    np.testing.assert_allclose(at_seven, 30.0 * 7.0 / 9.95, rtol=1e-12)


@pytest.mark.parametrize("curve", ["EN 1992-1-1", "fib MC 2010", "ACI 209R", "Hyperbolic"])
@pytest.mark.parametrize("kind", ["cylinder, characteristic", "cube, mean"])
def test_age_at_a_strength_gives_the_strength_back(curve: str, kind: str) -> None:
    read = job(
        mixes=[{"Strength curve": curve, "Strength kind": kind, "Strength 28 d": 35.0, "Ultimate strength": 40.0,
                "Rate constant": 0.3}]
    )  # fmt: skip
    curves = strength_curves(read.table("Mixes"))
    strengths = np.array([0.5, 3.0, 8.0, 12.0, 15.0])
    mix = np.zeros(5, dtype=np.int64)
    age = curves.age_at(mix, strengths)
    assert (np.diff(age) > 0.0).all()
    np.testing.assert_allclose(curves.strength_at(mix, age), strengths, rtol=1e-9)
    never = curves.age_at(np.zeros(1, dtype=np.int64), np.array([79.0]))
    assert np.isinf(never[0])


def reading(
    hours: float, temperature: Any, *, lift: int = 1, face: Any = 0.2, joint: Any = 0.4, block: str = "B1"
) -> dict[str, Any]:
    return {
        "Block": block, "Lift": lift, "Time": START + dt.timedelta(hours=hours), "Temperature": temperature,
        "Depth from face": face, "Depth from joint": joint,
    }  # fmt: skip


def logged(readings: list[dict[str, Any]], **changes: Any) -> Calculation:
    return computed(lifts=changes.pop("lifts", pile(2)), optional={"Probe log": readings}, **changes)


def probe_flags(c: Calculation) -> list[Finding]:
    return [flag for flag in all_flags(c) if flag.code is Code.PROBE_FAULT]


def test_a_log_takes_the_place_of_the_model_between_its_ends() -> None:
    c = logged([reading(hours, 10.0 + hours / 10.0) for hours in np.arange(0.0, 81.0, 2.0).tolist()])
    assert c.temperature.source.tolist() == [2, 0]
    clock = (
        c.temperature.start[0]
        + np.arange(c.temperature.nodes.shape[1])
        - c.job.table("Lifts").number("placed")[0]
    )
    inside = clock <= 80.0
    np.testing.assert_allclose(c.temperature.nodes[0][inside], 10.0 + clock[inside] / 10.0, atol=1e-6)
    # from the last reading on the model, warmer by the excess of the log, which is less over the last day than at its end
    after = clock[~inside] - clock[inside][-1]
    excess = np.mean(10.0 + clock[inside][-24:] / 10.0) - 15.0
    np.testing.assert_allclose(
        c.temperature.nodes[0][~inside], 15.0 + excess * np.exp(-after / 24.0), atol=1e-9
    )
    assert c.temperature.switch[0] == pytest.approx(c.temperature.start[0] + inside.sum() - 1)
    assert np.isnan(c.temperature.switch[1])
    assert probe_flags(c) == []
    plain = computed(lifts=pile(2))
    np.testing.assert_array_equal(c.temperature.nodes[1], plain.temperature.nodes[1])


def test_the_coldest_probe_counts_at_each_hour() -> None:
    hours = np.arange(0.0, 60.0, 2.0).tolist()
    warm = [reading(hour, 18.0, face=0.1) for hour in hours]
    cold = [reading(hour, 9.0, face=0.2) for hour in hours]
    c = logged(warm + cold)
    assert c.temperature.nodes[0][10] == pytest.approx(9.0)
    swapped = logged(cold + warm)
    np.testing.assert_array_equal(c.temperature.nodes, swapped.temperature.nodes)


def test_a_wide_gap_takes_the_colder_of_its_ends_and_the_model_and_is_flagged() -> None:
    before = [reading(hour, 20.0) for hour in (0.0, 3.0, 6.0, 9.0)]
    after = [reading(hour, 13.0) for hour in (21.0, 24.0, 27.0)]
    c = logged(before + after)
    # start is 2.6 h after placing; at 12 h after placing lies in the gap of 12 h
    assert c.temperature.nodes[0][10] == 13.0
    warmer = logged(before + [reading(hour, 19.0) for hour in (21.0, 24.0)])
    assert warmer.temperature.nodes[0][10] == 15.0  # the model
    flags = probe_flags(c)
    assert len(flags) == 1
    assert "gap" in flags[0].message
    assert flags[0].at.row == 6  # the first reading after the gap
    narrow = logged(before + [reading(hour, 13.0) for hour in (15.0, 21.0)])
    assert probe_flags(narrow) == []


def test_impossible_readings_are_left_out_and_flagged_once_for_a_lift() -> None:
    good = [reading(hour, 12.0 + hour / 1e6) for hour in np.arange(0.0, 40.0, 2.0).tolist()]
    bad = [reading(5.0, 140.0), reading(7.0, -60.0)]
    c = logged(good + bad)
    np.testing.assert_allclose(c.temperature.nodes[0][:30], 12.0, atol=1e-3)
    flags = probe_flags(c)
    assert len(flags) == 1
    assert "2 readings" in flags[0].message
    assert flags[0].level is Level.ACCEPT


def test_repeated_times_keep_the_colder_reading_and_are_flagged() -> None:
    rows = [reading(hour, 12.0 + hour / 100.0) for hour in np.arange(0.0, 40.0, 2.0).tolist()]
    for twins in (
        [*rows, reading(40.0, 9.0), reading(40.0, 30.0)],
        [*rows, reading(40.0, 30.0), reading(40.0, 9.0)],
    ):
        c = logged(twins)
        assert c.temperature.nodes[0].max() < 13.0
    c = logged([*rows, reading(10.0, 11.0)])
    assert any("repeat" in flag.message for flag in probe_flags(c))


def test_time_backward_is_flagged_and_the_readings_are_sorted() -> None:
    rows = [reading(hour, 10.0 + hour / 10.0) for hour in (0.0, 2.0, 6.0, 4.0, 8.0, 10.0, 12.0)]
    c = logged(rows)
    assert any("backward" in flag.message for flag in probe_flags(c))
    straight = logged([rows[place] for place in (0, 1, 3, 2, 4, 5, 6)])
    np.testing.assert_array_equal(c.temperature.nodes, straight.temperature.nodes)
    assert probe_flags(straight) == []


def test_time_backward_is_flagged_in_a_log_that_changes_between_probes() -> None:
    rows: list[dict[str, Any]] = []
    for hour in (0.0, 2.0, 6.0, 4.0, 8.0):
        rows += [reading(hour, 12.0, face=0.1), reading(hour, 12.0, face=0.2)]
    assert any("backward" in flag.message for flag in probe_flags(logged(rows)))


def test_a_probe_in_the_core_is_no_evidence() -> None:
    hours = np.arange(0.0, 60.0, 2.0).tolist()
    for place in ({"face": 0.5}, {"joint": 1.5}):
        c = logged([reading(hour, 40.0, **place) for hour in hours])
        assert c.temperature.source[0] == 0
        np.testing.assert_array_equal(c.temperature.nodes[0], 15.0)
        flags = probe_flags(c)
        assert [flag.level for flag in flags] == [Level.STOP]
        assert "core" in flags[0].message
    beside = logged([reading(hour, 40.0, face=0.39, joint=0.85) for hour in hours])
    assert beside.temperature.source[0] == 2


def test_a_probe_of_no_stated_place_is_used_and_flagged() -> None:
    c = logged(
        [
            reading(hour, 9.0 + hour / 1e3, face=None, joint=None)
            for hour in np.arange(0.0, 60.0, 2.0).tolist()
        ]
    )
    assert c.temperature.source[0] == 2
    assert [flag.level for flag in probe_flags(c)] == [Level.ACCEPT]


def test_a_log_in_another_order_of_rows_gives_the_same() -> None:
    rng = np.random.default_rng(5)
    rows = [
        reading(hour, float(rng.uniform(5.0, 25.0)), lift=lift) for lift in (1, 2) for hour in range(0, 50, 2)
    ]
    shuffled = [rows[place] for place in rng.permutation(len(rows)).tolist()]
    np.testing.assert_array_equal(logged(rows).temperature.nodes, logged(shuffled).temperature.nodes)
