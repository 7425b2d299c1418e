"""Heat of the lifts through the sheets to gates, findings, record and trials."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from builders import computed, pile

from sheetengine.design.flags import all_flags
from sheetengine.exceptions import InputFaults
from sheetengine.findings import Code, Finding
from sheetengine.run import calculate, result_contents

HEATS = {
    "Adiabatic rise": 35.0,
    "Hydration time": 16.0,
    "Hydration shape": 0.9,
    "Conductivity": 2.3,
    "Specific heat": 1.0,
}
AIR = {"Concrete_temperature": 15.0, "Air_temperature": 5.0, "Air_swing": 8.0}


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
    assert len(told) == 1
    assert "peak temperature" in told[0].message
    assert "2 other lifts" in told[0].message


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
        np.array([row[2:5] for row in next(s for s in sheets if s.name == "Lift heat").tables[1].rows])
        for sheets in (metric, us)
    )
    assert theirs[:, 0] == pytest.approx(mine[:, 0] * 1.8 + 32.0)
    assert theirs[:, 1:] == pytest.approx(mine[:, 1:] * 1.8)


def test_a_name_that_no_lift_bears_is_told() -> None:
    with pytest.raises(InputFaults, match="Heat shown for"):
        computed(**book(**{"Heat shown for": "B9/9"}))


def test_the_gates_that_rest_on_computed_heat_are_told_once_a_mix() -> None:
    told = [f for f in all_flags(computed(**book())) if f.heading == "Computed heat"]
    assert len(told) == 1
    assert "3 lifts" in told[0].message
    assert not [f for f in all_flags(computed(**book() | {"job": {}})) if f.heading == "Computed heat"]


@pytest.mark.parametrize(
    ("heading", "value"), [("Hydration time", 1.6), ("Adiabatic rise", 3.5), ("Hydration shape", 9.0)]
)
def test_a_slip_of_the_decimal_point_is_told(heading: str, value: float) -> None:
    told = [f for f in computed(**book({heading: value})).job.findings if f.code is Code.PLAUSIBILITY]
    assert [f.at.sheet for f in told] == ["Mixes"]


def test_a_rise_that_the_cement_cannot_give_is_told() -> None:
    def told(content: float) -> list[Finding]:
        return [
            f
            for f in all_flags(computed(**book({"Cement content": content})))
            if f.heading == "Heat of the cement"
        ]

    # 35 K x 1.0 kJ/kg/K x 2400 kg/m3 are 84 MJ/m3: 280 kJ from each of 300 kg, 1,680 from each of 50
    assert not told(300.0)
    assert "kilogram of cement" in told(50.0)[0].message


def test_the_strip_gate_rests_on_the_top_of_the_face() -> None:
    c = computed(**book())
    assert (c.temperature.top <= c.temperature.nodes).all()
    assert (c.temperature.top[:, 24] < c.temperature.nodes[:, 24] - 1.0).all()
    every = np.arange(3)
    hour = c.temperature.start + 72.0
    assert (c.history.top.age_at(every, hour) < c.history.maturity.age_at(every, hour) - 5.0).all()


def test_a_lift_on_a_warm_lift_is_warmer_than_on_old_ground() -> None:
    """The second lift starts on the first in the state it is in when built upon; with long waits that state is cold."""
    c = computed(**book())
    heat = c.temperature.heat
    assert heat.joint[1, 0] > heat.joint[0, 0] + 1.0
    assert heat.imbalance.max() < 1e-12


def test_a_later_lift_of_a_mix_without_heat_data_still_lies_on_top() -> None:
    given = book()
    cold = given["mixes"][0] | {"Mix": "X", "Adiabatic rise": None}
    given["mixes"] = [given["mixes"][0], cold]
    given["lifts"][2] = given["lifts"][2] | {"Mix": "X"}
    c = computed(**given)
    assert c.temperature.source.tolist() == [3, 3, 1]


def test_the_record_says_what_was_computed_and_how_exactly() -> None:
    record = [text for what, text in calculate(computed(**book()).job).record if what == "Heat of hydration"]
    assert any("3 of 3 lifts" in text for text in record)
    assert any("grid twice as fine" in text for text in record)
    assert any("Heat given less lost less kept" in text for text in record)


def test_the_margin_is_taken_off_but_not_below_the_cold_model() -> None:
    plain, safe = (
        computed(**book(**{"Margin on computed temperature": (margin, "K")})) for margin in (0.0, 3.0)
    )
    cold = computed(**book() | {"job": {}}).temperature.nodes[:, :337]
    warm, less = plain.temperature.nodes[:, :337], safe.temperature.nodes[:, :337]
    np.testing.assert_allclose(less, np.maximum(warm - 3.0, np.minimum(warm, cold)))
    assert (less < warm).any()
    assert (safe.temperature.top <= plain.temperature.top).all()
    strip = plain.gates.gate == 0
    assert (safe.gates.ready[strip] > plain.gates.ready[strip]).all()
