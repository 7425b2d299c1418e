"""Heat of the lifts: against closed forms, energy kept, and through the sheets to the gates."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from builders import computed, pile

from sheetengine.clauses.heat_closed_forms import half_space_convection, half_space_step
from sheetengine.clauses.hydration_heat import rise_at_age
from sheetengine.design import corner_heat as heat
from sheetengine.design.corner_grid import graded, inverses
from sheetengine.design.corner_heat import Corner, corner_heat
from sheetengine.design.flags import all_flags
from sheetengine.exceptions import InputFaults
from sheetengine.run import calculate, result_contents

SHUT = 1e-9
HEATS = {
    "Adiabatic rise": 35.0,
    "Hydration time": 16.0,
    "Hydration shape": 0.9,
    "Conductivity": 2.3,
    "Specific heat": 1.0,
}
AIR = {"Concrete_temperature": 15.0, "Air_temperature": 5.0, "Air_swing": 8.0}


def corner(**changes: float) -> Corner:
    given: dict[str, float] = {
        "start": 8.0, "height": 2.0, "next_height": 2.0, "depth": 2.5, "conductivity": 2.4, "capacity": 600.0,
        "rise": 35.0, "hydration_time": 16.0, "shape": 0.9, "activation": 4000.0, "reference": 20.0, "placed": 15.0,
        "next_placed": 15.0, "below": 8.0, "air": 8.0, "swing": 0.0, "sun": 0.0, "formed": 7.0, "bare": 20.0,
        "stripped": 80.0, "next_hour": np.inf, "anchor_depth": 0.4, "embedment": 0.3,
    } | changes  # fmt: skip
    return Corner(**{name: np.array([float(value)]) for name, value in given.items()})


def test_a_closed_lift_follows_the_adiabatic_curve() -> None:
    # at an activation temperature next to nothing a clock hour is an equivalent hour
    found = corner_heat(corner(formed=SHUT, bare=SHUT, activation=1e-9, below=15.0, depth=2.0), 48)
    hours = np.arange(1.0, 49.0)
    want = rise_at_age(adiabatic_rise=np.full(48, 35.0), hydration_time=np.full(48, 16.0),
                       hydration_shape=np.full(48, 0.9), equivalent_age=hours)  # fmt: skip
    # the middle of a lift of 2 m still feels nothing of the cold below in the first half day
    assert found.core[0, 2:13:2] - 15.0 == pytest.approx(want[1:12:2], abs=0.05)


def test_the_face_of_a_lift_without_heat_cools_as_a_half_space() -> None:
    # 24 h with kappa = 2.4/600 = 0.004 m2/h; the corner far away: a high lift, anchors at its middle
    c = corner(rise=0.0, below=15.0, height=8.0, anchor_depth=4.0, formed=20.0, air=5.0, embedment=0.0)
    found = corner_heat(c, 24)
    want = half_space_convection(
        ambient_step=np.array([-10.0]), depth_from_surface=np.array([0.0]), elapsed_time=np.array([24.0]),
        diffusivity=np.array([0.004]), film_coefficient=np.array([20.0]), conductivity=np.array([2.4]),
    )  # fmt: skip
    assert found.face[0, 24] - 15.0 == pytest.approx(want[0], abs=0.1)


def test_the_estimate_of_the_error_bounds_the_true_one(monkeypatch: pytest.MonkeyPatch) -> None:
    c = corner(swing=8.0)
    found = corner_heat(c, 96)
    even = np.arange(0, 97, 2)
    monkeypatch.setattr(heat, "STEP", 0.25)
    fine = heat._run(c, 96, 0.125)
    for row, values, error in zip(
        fine, (found.anchor, found.core, found.face, found.joint), found.error, strict=True
    ):
        assert (np.abs(values - row)[0, even] <= error[0, even].max()).all()


def test_steps_along_a_line_keep_the_energy() -> None:
    width = graded(np.array([2.5]), 12, 1.3)
    none = np.zeros(1)
    step = inverses(width, np.array([2.4]), np.array([600.0]), none, none, 2.0)
    start = np.linspace(5.0, 40.0, 12)
    after = start
    for _ in range(100):
        after = step[0] @ after
    assert (after * width).sum() == pytest.approx((start * width).sum(), rel=1e-12)
    assert np.ptp(after) < 0.9 * np.ptp(start)


def test_a_step_at_the_surface_spreads_as_in_a_half_space() -> None:
    width = graded(np.array([3.0]), 60, 1.04)
    k, capacity, step = np.array([2.4]), np.array([600.0]), 0.05
    first = 2.0 * k / width[:, 0]
    inverse = inverses(width, k, capacity, first, np.zeros(1), step)[0]
    line = np.zeros(60)
    for _ in range(480):
        line[0] += step * first[0] * 20.0 / (capacity[0] * width[0, 0])
        line = inverse @ line
    depth = np.cumsum(width[0]) - width[0] / 2.0
    want = half_space_step(surface_step=np.full(60, 20.0), depth_from_surface=depth,
                           elapsed_time=np.full(60, 24.0), diffusivity=np.full(60, 0.004))  # fmt: skip
    assert np.abs(line - want).max() < 0.05


def test_what_a_line_loses_goes_through_its_surfaces() -> None:
    width = graded(np.array([2.0]), 12, 1.3, both_ends=True)
    first, last, step = np.array([6.0]), np.array([15.0]), 2.0
    inverse = inverses(width, np.array([2.4]), np.array([600.0]), first, last, step)[0]
    line = np.linspace(10.0, 45.0, 12)
    held, lost = (line * width[0]).sum() * 600.0, 0.0
    for _ in range(168):
        line = inverse @ line
        lost += step * (first[0] * line[0] + last[0] * line[-1])
    assert held == pytest.approx(lost + (line * width[0]).sum() * 600.0, rel=1e-9)
    assert lost > 0.5 * held


def test_a_closed_corner_keeps_the_heat_that_hydration_gives() -> None:
    # shut, long: the whole domain comes to rise times the share of it that heats itself, (2 of 4 m), above 15 degC
    c = corner(
        formed=SHUT,
        bare=SHUT,
        below=15.0,
        depth=0.3,
        activation=1e-9,
        hydration_time=1e-6,
        conductivity=500.0,
    )
    found = corner_heat(c, 96)
    assert found.core[0, -1] == pytest.approx(15.0 + 35.0 * 2.0 / 4.0, abs=1e-4)
    assert found.joint[0, -1] == pytest.approx(found.core[0, -1], abs=1e-4)


def test_halving_the_step_takes_the_error_to_a_third_or_less(monkeypatch: pytest.MonkeyPatch) -> None:
    c = corner(stripped=-np.inf)
    monkeypatch.setattr(heat, "STEP", 2.0)
    coarse = corner_heat(c, 72).core[0, 24::2]
    fine = heat._run(c, 72, 0.0625)[1, 0, 24::2] * 2.0 - heat._run(c, 72, 0.125)[1, 0, 24::2]
    monkeypatch.setattr(heat, "STEP", 4.0)
    twice = corner_heat(c, 72).core[0, 24::2]
    assert np.abs(coarse - fine)[::2].max() < np.abs(twice - fine)[::2].max() / 3.0


def test_the_grid_is_fine_enough(monkeypatch: pytest.MonkeyPatch) -> None:
    c = corner(swing=8.0, below=5.0)
    asked = corner_heat(c, 96)
    for name, cells in (("ACROSS", 24), ("BELOW", 12), ("WITHIN", 24), ("ABOVE", 16)):
        monkeypatch.setattr(heat, name, cells)
    monkeypatch.setattr(heat, "GROWTH", 1.3**0.5)
    finer = corner_heat(c, 96)
    for name, most in (("anchor", 0.5), ("core", 0.5), ("face", 0.5)):
        assert np.abs(getattr(asked, name) - getattr(finer, name))[:, 6:].max() < most, name


def test_many_lifts_are_each_as_one_alone() -> None:
    one = corner()
    many = Corner(*(np.repeat(getattr(one, name), 60) for name in Corner.__slots__))
    many = replace(many, placed=np.linspace(5.0, 25.0, 60))
    last = corner_heat(many, 24)
    alone = corner_heat(corner(placed=25.0), 24)
    assert last.core[-1] == pytest.approx(alone.core[0], abs=1e-9)


def book(mix: dict[str, Any] | None = None, **items: Any) -> dict[str, Any]:
    return {
        "job": {"Heat of hydration": "compute"} | items,
        "mixes": [HEATS | (mix or {})],
        "lifts": pile(3, **AIR),
    }


def test_the_heat_opens_the_gates_earlier() -> None:
    warm, cold = computed(**book()), computed(**book() | {"job": {}})
    assert warm.temperature.source.tolist() == [3, 3, 3]
    assert cold.temperature.source.tolist() == [1, 1, 1]
    strip = warm.gates.gate == 0
    assert (warm.gates.ready[strip] < cold.gates.ready[strip]).all()
    frame = calculate(warm.job).frames["Lift heat"]
    assert (frame["Peak temperature [degC]"] > 30.0).all()
    assert len(calculate(cold.job).frames["Lift heat"]) == 0


def test_what_is_missing_is_told_and_the_cold_model_taken() -> None:
    c = computed(**book({"Adiabatic rise": None}))
    assert c.temperature.source.tolist() == [1, 1, 1]
    (told,) = [f for f in all_flags(c) if f.heading == "Heat of the lift"]
    assert told.at.sheet == "Mixes"
    assert "cold model" in told.message
    assert set(calculate(c.job).frames["Lift heat"]["Verdict"]) == {"Not computed"}


def test_a_limit_that_is_passed_is_told() -> None:
    c = computed(**book(**{"Greatest peak temperature": (30.0, "degC")}))
    told = [f for f in all_flags(c) if f.heading == "Greatest peak temperature"]
    assert len(told) == 3
    assert "peak temperature" in told[0].message


def test_the_lift_that_is_drawn_and_what_changes_it() -> None:
    given = book(**{"Heat shown for": "B1/2"})
    results = calculate(computed(**given).job)
    trials = results.series["heat trials"]
    assert trials.attrs["lift"] == "B1/2"
    peak = dict(zip(trials["Change"], trials["Peak [degC]"], strict=True))
    assert (
        peak["placed 10 K colder"]
        < peak["placed 5 K colder"]
        < peak["as planned"]
        < peak["placed 5 K warmer"]
    )
    assert peak["as planned"] == pytest.approx(results.frames["Lift heat"]["Peak temperature [degC]"][1])
    (sheet,) = [sheet for sheet in result_contents(results, None) if sheet.name == "Lift heat"]
    assert [table.name for table in sheet.tables] == ["Lift_heat", "Heat_trials"]
    assert sheet.charts[0].alt_text


def test_nothing_is_drawn_where_the_heat_is_left_out() -> None:
    results = calculate(computed().job)
    assert "heat" not in results.series
    (sheet,) = [sheet for sheet in result_contents(results, None) if sheet.name == "Lift heat"]
    assert not sheet.charts


def test_an_insulated_form_opens_the_strip_gate_earlier() -> None:
    warm, cold = computed(**book()), computed(**book() | {"job": {}})
    strip = warm.gates.gate == 0
    assert (warm.earlier.gains["Insulated form"][strip] > 1.0).all()
    assert np.isnan(cold.earlier.gains["Insulated form"]).all()


def test_customary_units_show_the_same_temperatures() -> None:
    metric = result_contents(calculate(computed(**book()).job), None)
    given = book(**{"Result units": "US"})
    us = result_contents(calculate(computed(**given).job), None)
    mine, theirs = (
        np.array([row[1:4] for row in next(s for s in sheets if s.name == "Lift heat").tables[1].rows])
        for sheets in (metric, us)
    )
    assert theirs[:, 0] == pytest.approx(mine[:, 0] * 1.8 + 32.0)
    assert theirs[:, 1:] == pytest.approx(mine[:, 1:] * 1.8)


def test_a_name_that_no_lift_bears_is_told() -> None:
    with pytest.raises(InputFaults, match="Heat shown for"):
        computed(**book(**{"Heat shown for": "B9/9"}))
