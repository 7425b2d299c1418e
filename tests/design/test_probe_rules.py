"""The rules of the probe log: every kind of fault with its rows, and what becomes of the readings."""

from __future__ import annotations

import datetime as dt
import tomllib
from importlib import resources
from typing import Any

import numpy as np
import pytest
from builders import START, computed, days, grids, pile
from hypothesis import given, settings
from hypothesis import strategies as st

from sheetengine.design.calculate import Calculation
from sheetengine.design.flags import all_flags
from sheetengine.design.probe_rules import probe_rules
from sheetengine.exceptions import InputFaults
from sheetengine.findings import Code, Finding, Level
from sheetengine.sheets.reading import read_job

SUNDAY = dt.datetime(2031, 4, 6)


def reading(
    hours: float, temperature: float, *, lift: int = 1, face: Any = 0.2, joint: Any = 0.4, **more: Any
) -> dict[str, Any]:
    return {
        "Block": "B1", "Lift": lift, "Time": START + dt.timedelta(hours=hours), "Temperature": temperature,
        "Depth from face": face, "Depth from joint": joint,
    } | more  # fmt: skip


def logged(readings: list[dict[str, Any]], **changes: Any) -> Calculation:
    return computed(lifts=changes.pop("lifts", pile(2)), optional={"Probe log": readings}, **changes)


def flags(c: Calculation, *words: str) -> list[Finding]:
    return [
        flag
        for flag in all_flags(c)
        if flag.code is Code.PROBE_FAULT and all(word in flag.message for word in words)
    ]


def falling(until: float = 100.0, step: float = 1.0, top: float = 25.0, **place: Any) -> list[dict[str, Any]]:
    """Return readings that fall by 0.1 K/h."""
    return [reading(hour, top - hour / 10.0, **place) for hour in np.arange(0.0, until, step).tolist()]


def test_the_numbers_of_the_rules_say_where_they_are_from() -> None:
    path = resources.files("sheetengine") / "clauses" / "factors" / "probe_rules.toml"
    for section in tomllib.loads(path.read_text(encoding="utf-8")).values():
        assert section["known"]
        assert section["meaning"]
    rules = probe_rules()
    assert (rules.longest_gap, rules.coldest, rules.hottest, rules.from_anchor) == (6.0, -40.0, 95.0, 0.5)


@pytest.mark.parametrize("off", [9.0, -9.0, 40.0])
@pytest.mark.parametrize("place", [0, 30, 99])
def test_a_lone_outlier_is_left_out(off: float, place: int) -> None:
    rows = falling()
    plain = logged([row for number, row in enumerate(rows) if number != place])
    rows[place] = rows[place] | {"Temperature": rows[place]["Temperature"] + off}
    c = logged(rows)
    np.testing.assert_allclose(c.temperature.nodes, plain.temperature.nodes, rtol=1e-9)
    (flag,) = flags(c)
    assert "lone reading" in flag.message
    assert f"row {place + 2}" in flag.message
    assert flag.at.row == place + 2


def test_a_change_that_concrete_can_make_is_no_outlier() -> None:
    rows = falling()
    rows[30] = rows[30] | {"Temperature": rows[30]["Temperature"] + 4.9}
    assert flags(logged(rows)) == []


def test_a_jump_up_only_lowers_from_there_on_and_a_jump_down_is_taken() -> None:
    rows = falling()
    up = [row | {"Temperature": row["Temperature"] + 20.0 * (place >= 50)} for place, row in enumerate(rows)]
    c, plain = logged(up), logged(rows)
    (flag,) = flags(c, "jumps")
    assert flag.at.row == 52
    assert (c.temperature.nodes <= logged(rows[:50]).temperature.nodes + 1e-9).all()
    np.testing.assert_allclose(c.temperature.nodes[0][:40], plain.temperature.nodes[0][:40])
    down = [
        row | {"Temperature": row["Temperature"] - 12.0 * (place >= 50)} for place, row in enumerate(rows)
    ]
    cold = logged(down)
    assert len(flags(cold, "jumps")) == 1
    assert (cold.temperature.nodes[0][50:90] < plain.temperature.nodes[0][50:90] - 11.9).all()
    back = [
        row | {"Temperature": row["Temperature"] + 20.0 * (50 <= place < 53)}
        for place, row in enumerate(rows)
    ]
    np.testing.assert_allclose(
        logged(back).temperature.nodes[0][60:], plain.temperature.nodes[0][60:], rtol=1e-9
    )


def test_a_dead_sensor_is_told_with_its_rows_and_never_raises() -> None:
    rows = falling()
    stuck = rows[:40] + [row | {"Temperature": 21.0} for row in rows[40:]]
    c = logged(stuck)
    (flag,) = flags(c)
    assert "shows the same" in flag.message
    assert "rows 43 to 101" in flag.message
    assert (c.temperature.nodes[0][50:] <= np.maximum(15.0 + 6.0, 15.0)).all()
    assert c.temperature.nodes[0][95] < 20.0  # not held at 21: the model, and what is left of the excess
    short = rows[:40] + [row | {"Temperature": 21.0} for row in rows[40:60]] + rows[60:]
    assert flags(logged(short), "shows the same") == []


def test_a_steady_reading_in_old_concrete_is_no_dead_sensor_but_under_a_daily_swing() -> None:
    late = [reading(hour, 12.0) for hour in np.arange(200.0, 300.0, 1.0).tolist()]
    assert flags(logged(late)) == []
    swings = logged(late, lifts=pile(2, Air_temperature=12.0, Air_swing=8.0))
    assert len(flags(swings, "shows the same")) == 1


def test_a_clock_that_is_put_back_is_told_apart_from_rows_out_of_order() -> None:
    half_hourly = falling(60.0, 0.5)
    back = [
        row | {"Time": row["Time"] - dt.timedelta(hours=1.0 * (place >= 60))}
        for place, row in enumerate(half_hourly)
    ]
    (flag,) = flags(logged(back), "put back")
    assert flag.at.row == 62
    assert "row 62" in flag.message
    assert flags(logged(back), "goes backward") == []
    told = [row | {"Clock offset": -1.0 if place >= 60 else 0.0} for place, row in enumerate(back)]
    c = logged(told)
    assert flags(c) == []
    np.testing.assert_allclose(c.temperature.nodes, logged(half_hourly).temperature.nodes, rtol=1e-9)


def test_an_hour_that_is_missing_on_a_sunday_night_is_told() -> None:
    def hourly(night: dt.datetime) -> list[dict[str, Any]]:
        start = START - dt.timedelta(days=3)
        rows = [
            reading(0.0, 20.0 - hour / 20.0) | {"Time": start + dt.timedelta(hours=hour)}
            for hour in range(120)
        ]
        return [
            row | {"Time": row["Time"] + dt.timedelta(hours=1.0 * (row["Time"] >= night))} for row in rows
        ]

    assert len(flags(logged(hourly(SUNDAY + dt.timedelta(hours=2))), "put forward")) == 1
    assert flags(logged(hourly(SUNDAY + dt.timedelta(days=1, hours=2))), "put forward") == []
    assert SUNDAY.weekday() == 6


def test_probes_are_told_apart_by_name_and_a_place_is_said_once() -> None:
    rows = [
        row
        for hour in np.arange(0.0, 60.0, 2.0).tolist()
        for row in (
            reading(hour, 18.0 - hour / 50.0, Probe="P1", face=0.2 if not hour else None, joint=0.4 if not hour else None),
            reading(hour, 9.0 + hour / 50.0, Probe="p2", face=0.2 if not hour else None, joint=0.4 if not hour else None),
        )
    ]  # fmt: skip
    c = logged(rows)
    assert flags(c) == []
    clock = c.temperature.start[0] + 10 - c.job.table("Lifts").number("placed")[0]
    assert c.temperature.nodes[0][10] == pytest.approx(9.0 + clock / 50.0)
    moved = [row | {"Depth from face": 0.25} if place > 30 else row for place, row in enumerate(rows)]
    assert flags(logged(moved), "more than one place")


def test_all_faults_are_told_at_once_each_with_its_rows() -> None:
    rows = falling(100.0)
    rows[10] = rows[10] | {"Temperature": 300.0}
    rows[20] = rows[20] | {"Temperature": -8.0}
    rows += [reading(hour, 30.0, face=0.9) for hour in (0.0, 1.0)]
    rows += [reading(hour, 15.0 + hour / 10, lift=2, face=None) for hour in (170.0, 180.0)]
    del rows[40:50]
    c = logged(rows)
    told = {flag.message.split("(")[0].strip(): flag for flag in flags(c)}
    for words in ("outside -40", "lone reading", "core", "does not say where", "gap of more"):
        assert any(words in message for message in told), words
    assert len({flag.identifier for flag in flags(c)}) == len(flags(c))
    assert {flag.level for flag in flags(c, "core")} == {Level.STOP}


TEMPERATURES = st.lists(st.integers(-30, 30), min_size=40, max_size=40)


def walk(steps: list[int], top: float = 20.0) -> list[float]:
    """Return readings that change by less than 2 K from one to the next."""
    return (top + np.cumsum(np.array(steps) / 20.0)).tolist()


def strengths(c: Calculation) -> np.ndarray:
    return c.demand.strength


@settings(max_examples=25, deadline=None)
@given(TEMPERATURES, TEMPERATURES)
def test_a_probe_more_never_makes_the_concrete_warmer_or_stronger(one: list[int], other: list[int]) -> None:
    rows = [reading(2.0 * place, value) for place, value in enumerate(walk(one))]
    more = [reading(2.0 * place, value, face=0.25) for place, value in enumerate(walk(other))]
    alone, both = logged(rows), logged(rows + more)
    assert (both.temperature.nodes <= alone.temperature.nodes + 1e-6).all()
    assert (strengths(both) <= strengths(alone) + 1e-6).all()


@settings(max_examples=15, deadline=None)
@given(TEMPERATURES, st.floats(0.0, 10.0))
def test_a_warmer_probe_changes_nothing(steps: list[int], warmer: float) -> None:
    values = walk(steps)
    rows = [reading(2.0 * place, value) for place, value in enumerate(values)]
    more = [reading(2.0 * place, value + warmer, face=0.25) for place, value in enumerate(values)]
    np.testing.assert_array_equal(logged(rows + more).temperature.nodes, logged(rows).temperature.nodes)


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.integers(0, 30), min_size=40, max_size=40),
    st.integers(2, 20),
    st.integers(5, 18),
    st.booleans(),
)
def test_a_gap_in_a_rising_or_falling_log_never_makes_it_warmer(
    steps: list[int], begin: int, wide: int, rising: bool
) -> None:
    values = walk(steps if rising else [-step for step in steps])
    rows = [reading(2.0 * place, value) for place, value in enumerate(values)]
    holed = rows[:begin] + rows[begin + wide :]
    full, gap = logged(rows), logged(holed)
    assert (gap.temperature.nodes <= full.temperature.nodes + 1e-6).all()
    assert (strengths(gap) <= strengths(full) + 1e-6).all()
    assert len(flags(gap, "gap")) == 1


def test_after_the_log_the_model_goes_on_from_what_was_measured() -> None:
    cold = logged([reading(hour, 9.0 + hour / 100.0) for hour in np.arange(0.0, 61.0, 1.0).tolist()])
    after = (
        cold.temperature.start[0] + np.arange(cold.temperature.nodes.shape[1]) > cold.temperature.switch[0]
    )
    lack = cold.temperature.offset[0]
    assert lack == pytest.approx(9.0 + 0.366 - 15.0, abs=0.01)  # the coldest hour of the last day
    np.testing.assert_allclose(cold.temperature.nodes[0][after], 15.0 + lack)
    assert cold.temperature.switch[0] == pytest.approx(cold.job.table("Lifts").number("placed")[0] + 60.0)
    assert np.isnan(cold.temperature.switch[1])
    warm = logged([reading(hour, 30.0 - hour / 100.0) for hour in np.arange(0.0, 61.0, 1.0).tolist()])
    tail = warm.temperature.nodes[0][after]
    assert tail[0] <= 30.0 - 0.60 + 1e-9
    assert (np.diff(tail[:200]) < 0.0).all()
    assert (tail >= 15.0).all()
    assert tail[-1] == pytest.approx(15.0, abs=1e-9)


def test_a_short_log_that_is_warm_leaves_the_forecast_to_the_model() -> None:
    c = logged([reading(hour, 30.0 - hour / 100.0) for hour in np.arange(40.0, 52.0, 1.0).tolist()])
    after = c.temperature.start[0] + np.arange(c.temperature.nodes.shape[1]) > c.temperature.switch[0]
    np.testing.assert_array_equal(c.temperature.nodes[0][after], 15.0)
    assert c.temperature.offset[0] == 0.0


def test_the_record_says_where_the_model_takes_over() -> None:
    from sheetengine.run_record import record_lines

    c = logged([reading(hour, 9.0 + hour / 100.0) for hour in np.arange(0.0, 61.0, 1.0).tolist()])
    lines = dict(record_lines(c))
    assert "2031-04-09 18:00" in lines["Temperature of B1/1"]
    assert "-5.63 K, which is kept" in lines["Temperature of B1/1"]
    assert "Temperature of B1/2" not in lines


def test_times_may_carry_their_offset_and_go_into_the_time_of_the_plan() -> None:
    plain = falling(60.0)
    spelled = [row | {"Time": (row["Time"] - dt.timedelta(hours=1)).isoformat() + "+00:00"} for row in plain]
    c = logged(spelled, job={"Time zone of the plan": "+01:00"})
    np.testing.assert_allclose(c.temperature.nodes, logged(plain).temperature.nodes, rtol=1e-9)
    utc = [row | {"Time": row["Time"] - dt.timedelta(hours=1)} for row in plain]
    zones = {"Time zone of the plan": "UTC+1", "Time zone of the logs": "UTC"}
    np.testing.assert_array_equal(logged(utc, job=zones).temperature.nodes, logged(plain).temperature.nodes)


@pytest.mark.parametrize(
    ("items", "text", "word"),
    [
        ({}, "2031-04-07T06:00+02:00", "does not say in which time the plan is"),
        ({"Time zone of the logs": "UTC"}, "", "does not say in which time the plan is"),
        ({"Time zone of the plan": "Summer time"}, "", "no offset from UTC"),
        ({"Time zone of the plan": "+01:00"}, "2031-04-07T06:00", "is no date"),
    ],
)
def test_zones_that_are_missing_or_none_are_faults(items: dict[str, str], text: str, word: str) -> None:
    rows = [reading(0.0, 20.0)]
    if text:
        rows[0]["Time"] = text
    with pytest.raises(InputFaults, match=word):
        read_job(grids(job=items, lifts=pile(2), optional={"Probe log": rows}))


def test_a_log_before_the_concrete_comes_changes_nothing() -> None:
    early = [reading(hour, 3.0) for hour in (-20.0, -10.0, -1.0)]
    c = logged(early)
    np.testing.assert_array_equal(c.temperature.nodes, computed(lifts=pile(2)).temperature.nodes)
    assert np.isnan(c.temperature.switch).all()
    assert days(0) == START
