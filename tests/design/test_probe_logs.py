"""Temperature logs: which readings count, which probe governs, and how the model goes on from the last reading."""

from __future__ import annotations

import datetime as dt
import math
from typing import Any

import numpy as np
import pytest
from builders import START, computed, pile
from hypothesis import given, settings
from hypothesis import strategies as st

from sheetengine.design.calculate import Calculation
from sheetengine.design.flags import all_flags
from sheetengine.design.probe_rules import probe_rules
from sheetengine.findings import Code, Finding, Level
from sheetengine.run import calculate

HOURS = np.arange(0.0, 72.0, 1.0).tolist()


def wave(hour: float) -> float:
    """A reading that is never the same twice in a row."""
    return 12.0 + 3.0 * math.sin(hour / 5.0) + hour / 1e4


def reading(hour: float, temperature: float, **place: Any) -> dict[str, Any]:
    return {
        "Block": "B1", "Lift": 1, "Time": START + dt.timedelta(hours=hour), "Temperature": temperature,
        "Depth from face": 0.2, "Depth from joint": 0.4,
    } | {name.replace("_", " "): value for name, value in place.items()}  # fmt: skip


def logged(rows: list[dict[str, Any]], **changes: Any) -> Calculation:
    return computed(
        lifts=pile(2, Air_temperature=10.0), optional={"Probe log": rows} if rows else None, **changes
    )


def faults(c: Calculation) -> list[Finding]:
    return [flag for flag in all_flags(c) if flag.code is Code.PROBE_FAULT]


def strength(c: Calculation, hour: float) -> float:
    return float(c.history.strength(np.array([0]), np.array([c.temperature.start[0] + hour]))[0])


def test_a_clean_log_is_not_flagged() -> None:
    assert faults(logged([reading(hour, wave(hour)) for hour in HOURS])) == []


def test_probes_are_told_apart_by_name_where_their_place_is_the_same() -> None:
    warm = [reading(hour, 20.0 + wave(hour), Probe="P1") for hour in HOURS]
    cold = [reading(hour, wave(hour), Probe="P2") for hour in HOURS]
    both = logged([row for pair in zip(warm, cold, strict=True) for row in pair])
    alone = logged(cold)
    assert faults(both) == []
    np.testing.assert_array_equal(both.temperature.nodes, alone.temperature.nodes)


def test_a_place_stated_once_holds_for_the_readings_of_that_name() -> None:
    everywhere = [reading(hour, wave(hour), Probe="P1") for hour in HOURS]
    nowhere = {"Depth_from_face": None, "Depth_from_joint": None}
    once = [everywhere[0], *(reading(hour, wave(hour), Probe="P1", **nowhere) for hour in HOURS[1:])]
    assert faults(logged(once)) == []
    np.testing.assert_array_equal(logged(once).temperature.nodes, logged(everywhere).temperature.nodes)
    # without a name, or with two places of one name, the rows that state none are of unknown place
    nameless = [reading(0.0, wave(0.0)), *(reading(hour, wave(hour), **nowhere) for hour in HOURS[1:])]
    doubtful = [*once, reading(80.0, wave(80.0), Probe="P1", Depth_from_face=0.1)]
    for rows in (nameless, doubtful):
        assert any("does not say where" in flag.message for flag in faults(logged(rows)))
    # another lift's probe of that name is another probe
    other = [everywhere[0], *(reading(hour, wave(hour), Probe="P1", Lift=2, **nowhere) for hour in HOURS[1:])]
    assert any("does not say where" in flag.message for flag in faults(logged(other)))


@pytest.mark.parametrize("length", [1, 2, 3])
@pytest.mark.parametrize("leap", [9.0, -9.0])
def test_a_leap_off_both_neighbours_is_left_out(length: int, leap: float) -> None:
    rows = [reading(hour, wave(hour) + (leap if 30 <= hour < 30 + length else 0.0)) for hour in HOURS]
    c = logged(rows)
    (told,) = faults(c)
    assert "leap" in told.message
    assert f"{length} reading" in told.message
    gap = logged([row for row, hour in zip(rows, HOURS, strict=True) if not 30 <= hour < 30 + length])
    np.testing.assert_allclose(c.temperature.nodes[0], gap.temperature.nodes[0])


def test_a_rise_that_stays_is_no_leap() -> None:
    # the concrete reaches the probe: 10 degC of air, then 18 of concrete
    assert faults(logged([reading(hour, wave(hour) + (8.0 if hour >= 5 else 0.0)) for hour in HOURS])) == []


def jumping(rows: list[dict[str, Any]], kelvin: float, begin: int, end: int = 1000) -> list[dict[str, Any]]:
    return [
        row | {"Temperature": row["Temperature"] + (kelvin if begin <= place < end else 0.0)}
        for place, row in enumerate(rows)
    ]


@pytest.mark.parametrize("begin", [20, 40, 70, 71])
def test_a_rise_that_concrete_cannot_make_adds_nothing(begin: int) -> None:
    # a probe that was moved into the core, or its logger changed; also where the log ends in it
    rows = [reading(hour, wave(hour)) for hour in HOURS]
    c, cut = logged(jumping(rows, 20.0, begin)), logged(rows[:begin])
    (told,) = faults(c)
    assert "jumps" in told.message
    assert told.at.row == begin + 2
    model = logged([]).temperature.nodes[0]
    before = int(START_HOURS + begin - 1 - c.temperature.start[0]) + 1
    np.testing.assert_array_equal(c.temperature.nodes[0, :before], cut.temperature.nodes[0, :before])
    assert (c.temperature.nodes[0, before:] <= model[before:] + 1e-9).all()


def test_a_jump_down_is_told_and_taken_and_the_way_back_up_is_no_doubt() -> None:
    rows = [reading(hour, wave(hour)) for hour in HOURS]
    down = logged(jumping(rows, -9.0, 30, 50))
    assert [
        ("jumps" in told.message, "2 readings, rows 32, 52" in told.message) for told in faults(down)
    ] == [(True, True)]
    plain = logged(rows)
    clock = down.temperature.start[0] - START_HOURS + np.arange(down.temperature.nodes.shape[1])
    inside = (clock > 50.0) & (clock < 70.0)
    np.testing.assert_array_equal(down.temperature.nodes[0, inside], plain.temperature.nodes[0, inside])
    colder = (clock > 30.0) & (clock < 49.0)
    np.testing.assert_allclose(
        down.temperature.nodes[0, colder], plain.temperature.nodes[0, colder] - 9.0, atol=1e-6
    )


def test_a_first_reading_that_stands_too_warm_adds_nothing() -> None:
    rows = [reading(hour, wave(hour)) for hour in HOURS if hour >= 10.0]
    c = logged(jumping(rows, 30.0, 0, 1))
    assert [("jumps" in told.message, told.at.row) for told in faults(c)] == [(True, 3)]
    assert (c.temperature.nodes[0] <= logged(rows).temperature.nodes[0] + 1e-9).all()
    moved = logged(jumping(jumping(rows, 30.0, 0, 1), 20.0, 30))  # and moved later on
    assert [told.message.count("rows 3, 32") for told in faults(moved)] == [1]
    assert (moved.temperature.nodes[0] <= np.maximum(logged(rows).temperature.nodes[0], 10.0) + 1e-9).all()


def test_a_stuck_reading_only_lowers_the_temperature() -> None:
    def stuck_at(value: float) -> Calculation:
        return logged([reading(hour, wave(hour) if hour < 20 else value) for hour in HOURS])

    warm, cold = stuck_at(14.0), stuck_at(4.0)
    (told,) = faults(warm)
    assert "does not change" in told.message
    start = int(20 - (warm.temperature.start[0] - START_HOURS) + 2)
    assert (
        warm.temperature.nodes[0, start : start + 40].max() <= 10.0 + 1e-9
    )  # the model: the colder of placing and air
    assert cold.temperature.nodes[0, start : start + 40] == pytest.approx(4.0)


START_HOURS = (START - dt.datetime(1899, 12, 30)) / dt.timedelta(hours=1)


def test_a_clock_set_back_gives_the_colder_of_both_parts() -> None:
    rows = [
        reading(hour - (1.0 if hour > 30.5 else 0.0), 10.0 + hour / 10.0)
        for hour in np.arange(0.0, 60.0, 0.5).tolist()
    ]
    c = logged(rows)
    (told,) = faults(c)
    assert "clock" in told.message
    assert "1 reading, row 64" in told.message  # below the heading, the reading of 31.0 h is the 63rd
    # by the first part 30.25 h are 13.025 degC; by the second 13.125
    clock = c.temperature.start[0] - START_HOURS + np.arange(c.temperature.nodes.shape[1])
    inside = (clock > 29.6) & (clock < 30.4)
    np.testing.assert_allclose(c.temperature.nodes[0, inside], 10.0 + clock[inside] / 10.0)


def test_a_clock_set_ahead_is_told() -> None:
    rows = [
        reading(hour + (1.0 if hour > 30.2 else 0.0), wave(hour))
        for hour in np.arange(0.0, 60.0, 0.25).tolist()
    ]
    (told,) = faults(logged(rows))
    assert "jumps ahead by 1 h" in told.message


def test_a_log_in_another_time_zone_is_brought_to_the_clock_of_the_plan() -> None:
    here = logged([reading(hour, wave(hour)) for hour in HOURS])
    there = logged([reading(hour + 2.0, wave(hour), Clock_ahead=2.0) for hour in HOURS])
    np.testing.assert_allclose(here.temperature.nodes, there.temperature.nodes)
    behind = logged([reading(hour - 3.5, wave(hour), Clock_ahead=-3.5) for hour in HOURS])
    np.testing.assert_allclose(here.temperature.nodes, behind.temperature.nodes)


def test_every_fault_is_told_at_once_with_its_rows() -> None:
    rows = [reading(hour, wave(hour)) for hour in HOURS if not 40 <= hour < 50]
    rows[10]["Temperature"] = 400.0
    rows[20]["Temperature"] = 29.0
    core = [reading(hour, 45.0 + wave(hour), Depth_from_face=2.0) for hour in HOURS]
    lost = [reading(hour, 2.0 + wave(hour), Depth_from_face=None) for hour in HOURS]
    told = {
        fault.message.split(" (")[0].split(" ")[0] + " " + fault.message.split(" ")[1]
        for fault in faults(logged(rows + core + lost))
    }
    assert told == {"Readings outside", "Readings leap", "The probe", "The log"}
    assert len(faults(logged(rows + core + lost))) == 5  # the log: a gap, and no place
    assert any(fault.level is Level.STOP for fault in faults(logged(rows + core + lost)))


def test_the_forecast_goes_on_from_the_log() -> None:
    """Warmer than the model: the excess dies away. Colder: it stays."""
    model = 10.0
    for apart in (6.0, -4.0):
        c = logged([reading(hour, model + apart + hour / 1e6) for hour in HOURS])
        last = round(c.temperature.switch[0] - c.temperature.start[0])
        after = c.temperature.nodes[0, last + 1 : last + 100] - model
        since = np.arange(1, after.size + 1)
        want = (
            apart * np.exp(-since / probe_rules().excess_lasts) if apart > 0.0 else np.full(since.size, apart)
        )
        np.testing.assert_allclose(after, want, atol=1e-3)
        assert c.temperature.offset[0] == pytest.approx(apart, abs=1e-3)


def test_the_least_of_mean_and_last_difference_is_carried_on() -> None:
    # 4 K warmer on the mean, but 1 K colder at the end: the model goes on 1 K colder
    c = logged([reading(hour, 10.0 + (9.0 if hour < 60 else -1.0) + hour / 1e6) for hour in HOURS])
    assert c.temperature.offset[0] == pytest.approx(-1.0, abs=0.01)


def test_a_heat_forecast_is_shifted_with_its_top() -> None:
    heat = {
        "Adiabatic rise": 35.0,
        "Hydration time": 16.0,
        "Hydration shape": 0.9,
        "Conductivity": 2.3,
        "Specific heat": 1.0,
    }

    def run(rows: list[dict[str, Any]]) -> Calculation:
        return logged(rows, job={"Heat of hydration": "compute"}, mixes=[heat])

    plain = run([])
    rows = [
        reading(
            hour,
            float(
                np.interp(
                    hour,
                    np.arange(337) + plain.temperature.start[0] - START_HOURS,
                    plain.temperature.nodes[0, :337],
                )
            )
            - 5.0,
        )
        for hour in HOURS
    ]
    cold = run(rows)
    last = round(cold.temperature.switch[0] - cold.temperature.start[0])
    np.testing.assert_allclose(
        cold.temperature.nodes[0, last + 1 : 300], plain.temperature.nodes[0, last + 1 : 300] - 5.0, atol=0.2
    )
    assert (cold.temperature.top <= cold.temperature.nodes + 1e-12).all()
    assert (cold.temperature.top[0, 5:300] < plain.temperature.top[0, 5:300]).all()
    assert cold.temperature.source.tolist() == [2, 3]


def test_the_record_says_where_it_goes_over_to_the_model() -> None:
    results = calculate(logged([reading(hour, 16.0 + hour / 1e6) for hour in HOURS]).job)
    (line,) = [text for what, text in results.record if what == "Probe log, B1/1"]
    assert "72 readings count, 0 do not" in line
    assert "measured until 2031-04-10" in line
    assert "6.0 K colder than the log" in line
    ready = results.frames["Strength ready"]
    assert ready["Logged until"].notna().tolist() == (ready["Lift"].astype(str) == "1").tolist()


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.floats(-5.0, 40.0), min_size=20, max_size=20),
    st.lists(st.floats(0.0, 20.0), min_size=20, max_size=20),
)
def test_a_further_probe_never_raises_the_temperature(base: list[float], more: list[float]) -> None:
    """property: a warmer twin changes nothing, a colder one never adds strength."""
    hours = np.arange(0.0, 60.0, 3.0).tolist()
    first = [reading(hour, value, Probe="a") for hour, value in zip(hours, base, strict=True)]
    warmer = [
        reading(hour, value + extra, Probe="b") for hour, value, extra in zip(hours, base, more, strict=True)
    ]
    colder = [
        reading(hour, value - extra, Probe="b") for hour, value, extra in zip(hours, base, more, strict=True)
    ]
    alone, twin, cold = logged(first), logged(first + warmer), logged(first + colder)
    if not any(
        fault.heading.startswith(("Readings leap", "Readings outside", "The probe jumps"))
        for c in (alone, twin, cold)
        for fault in faults(c)
    ):
        np.testing.assert_allclose(twin.temperature.nodes, alone.temperature.nodes, atol=1e-9)
        assert strength(cold, 50.0) <= strength(alone, 50.0) + 1e-9


@settings(max_examples=25, deadline=None)
@given(st.integers(5, 30), st.integers(8, 30), st.floats(-3.0, 15.0))
def test_a_gap_never_adds_strength_to_a_log_that_falls_or_stays_warm(
    begin: int, length: int, level: float
) -> None:
    """property: with readings taken out of a log above the model, the strength is no greater than with them."""
    rows = [reading(hour, 10.0 + abs(level) + hour / 1e6) for hour in HOURS]
    holed = [row for row, hour in zip(rows, HOURS, strict=True) if not begin <= hour < begin + length]
    assert strength(logged(holed), 70.0) <= strength(logged(rows), 70.0) + 1e-9


def test_no_log_changes_nothing() -> None:
    empty, without = logged([]), computed(lifts=pile(2, Air_temperature=10.0))
    np.testing.assert_array_equal(empty.temperature.nodes, without.temperature.nodes)
    assert np.isnan(empty.temperature.switch).all()
    assert not any(what.startswith("Probe log") for what, _ in calculate(empty.job).record)
