"""Gates and programme: when strength is reached, what governs, and what is not judged."""

from __future__ import annotations

import datetime as dt
import math
import warnings
from typing import Any

import numpy as np
import pytest
from builders import START, computed, days, job, pile
from hypothesis import given, settings
from hypothesis import strategies as st

from sheetengine.design.calculate import Calculation
from sheetengine.design.flags import all_flags
from sheetengine.design.programme import height_steps
from sheetengine.design.readiness import AFTER_STRIPPING_ABOVE, HANG, PLACE_NEXT, SETTING_BACK, STRIP
from sheetengine.design.result_columns import demand_columns, ready_columns
from sheetengine.design.stages import HUNG, PLACING, SET_BACK, STANDING
from sheetengine.findings import Code
from sheetengine.run import calculate

HYPERBOLA = {"Strength curve": "Hyperbolic", "Ultimate strength": 40.0, "Rate constant": 0.2}
STRONG = {"Net area": 2000.0, "Head diameter": 120.0, "Embedment": 500.0, "Shank diameter": 45.0}
CALM = {"Storm wind": (0.2, "kPa")}


def at(c: Calculation, lift: int, gate: int) -> int:
    """Return the row of a gate."""
    return int(np.flatnonzero((c.gates.lift == lift) & (c.gates.gate == gate))[0])


def has(c: Calculation, lift: int, gate: int) -> bool:
    return bool(((c.gates.lift == lift) & (c.gates.gate == gate)).any())


def age_of(strength: float, *, ultimate: float = 40.0, k: float = 0.2) -> float:
    """Hours at 20 degC after which a hyperbola has a strength: t = S / (k (S_u - S))."""
    return strength / (k * (ultimate - strength)) * 24.0


def sound(**changes: Any) -> Calculation:
    """Return a book in which nothing exceeds, at a constant 20 degC."""
    lifts = changes.pop("lifts", None) or pile(3, Concrete_temperature=20.0)
    lifts = [{"Height": 2.0, "Anchor spacing": 1.0} | lift for lift in lifts]
    mix = HYPERBOLA | changes.pop("mix", {})
    return computed(
        job=CALM | changes.pop("job", {}), mixes=[mix], anchors=[STRONG | changes.pop("anchor", {})],
        lifts=lifts, **changes,
    )  # fmt: skip


def test_the_strip_gate_by_hand() -> None:
    # 2 MPa at 20 degC: 2 / (0.2 x 38) d = 6.3158 h after the concrete reached the top, 2.0 h after placing
    c = sound()
    row = at(c, 0, STRIP)
    placed = float(c.job.table("Lifts").number("placed")[0])
    assert c.gates.required[row] == 2.0
    assert c.gates.ready[row] == pytest.approx(placed + 2.0 + 24.0 * 2.0 / 7.6, abs=1e-6)
    assert c.gates.planned[row] == placed + 72.0
    assert c.gates.margin[row] == pytest.approx(72.0 - 2.0 - 24.0 * 2.0 / 7.6, abs=1e-6)
    # predicted at 72 - 2 h, 35/12 d: k t = 7/12, so 40 x 7/19
    assert c.gates.predicted[row] == pytest.approx(40.0 * 7.0 / 19.0, rel=1e-9)
    assert c.gates.governed_by[row] == "Stripping strength"
    assert c.gate_verdict[row] == "Within"


def test_hang_and_place_next_ask_for_what_their_anchors_need() -> None:
    c = sound(job={"Below-range accepted by": "Report 7"})
    placed = float(c.job.table("Lifts").number("placed")[0])

    def required(lift: int, stage: int) -> float:
        return float(c.demand.required[(c.cases.lift == lift) & (c.cases.stage == stage)][0])

    row = at(c, 0, HANG)
    needed = max(required(0, HUNG), required(1, STANDING))
    assert c.gates.required[row] == needed
    stripped = c.gates.ready[at(c, 0, STRIP)]  # nothing hangs on a lift before it is stripped
    assert placed + 1.6 + age_of(needed) < stripped
    assert c.gates.ready[row] == stripped
    assert c.gates.governed_by[row] == "Stripping of this lift"
    early = sound(job={"Below-range accepted by": "Report 7", "Stripping strength": (0.1, "MPa")})
    row = at(early, 0, HANG)
    assert early.gates.ready[row] == pytest.approx(
        max(placed + 1.6 + age_of(needed), placed + 2.0 + age_of(0.1))
    )
    row = at(c, 0, PLACE_NEXT)
    needed = required(1, PLACING)
    assert c.gates.required[row] == needed
    assert c.gates.ready[row] == pytest.approx(placed + 1.6 + age_of(needed), abs=1e-6)
    assert c.gates.planned[row] == placed + 7.0 * 24.0
    assert c.gates.governed_by[row].startswith("Anchors, Placing: ")
    predicted = 40.0 * 0.2 * (168.0 - 1.6) / 24.0
    assert c.gates.predicted[row] == pytest.approx(predicted / (1.0 + predicted / 40.0), rel=1e-9)
    assert not np.isin(c.gate_verdict, ("Exceeds", "Not computed")).any()


def test_a_gate_opens_at_the_hour_at_which_the_anchor_ratio_is_one() -> None:
    c = sound()
    row = at(c, 1, PLACE_NEXT)
    ready = START + dt.timedelta(hours=float(c.gates.ready[row] - c.job.table("Lifts").number("placed")[0]))
    lifts = pile(3, Concrete_temperature=20.0)
    for early, verdict in ((2.0, "Exceeds"), (-2.0, "Near limit")):
        lifts[2]["Placed"] = ready - dt.timedelta(minutes=early)
        moved = sound(lifts=lifts)
        assert moved.gate_verdict[at(moved, 1, PLACE_NEXT)] == verdict
        placing = (moved.cases.lift == 2) & (moved.cases.stage == PLACING)
        concrete = max(
            float(moved.demand.modes[mode][placing][0])
            for mode in ("Concrete cone", "Head pull-out", "Interaction, concrete")
        )
        assert (concrete > 1.0) is (verdict == "Exceeds")
        assert concrete == pytest.approx(1.0, abs=2e-3)


def test_the_least_interval_governs_where_it_is_longer() -> None:
    c = sound(job={"Least interval between lifts": (6.0, "d")})
    row = at(c, 0, PLACE_NEXT)
    assert c.gates.ready[row] == c.job.table("Lifts").number("placed")[0] + 144.0
    assert c.gates.governed_by[row] == "Least interval between lifts"
    assert c.gates.margin[row] == 24.0
    late = sound(job={"Least interval between lifts": (8.0, "d")})
    assert late.gate_verdict[at(late, 0, PLACE_NEXT)] == "Exceeds"
    assert late.gates.margin[at(late, 0, PLACE_NEXT)] == -24.0
    flags = [flag for flag in all_flags(late) if flag.code is Code.GATE_NOT_MET]
    assert len(flags) == 2
    assert "Least interval" in flags[0].message
    assert {str(flag.at)[:6] for flag in flags} == {"Lifts!"}


def test_set_back_asks_the_lift_that_carries_the_people_and_waits_for_the_stripping_above() -> None:
    c = sound(job={"Below-range accepted by": "Report 7"})
    placed = c.job.table("Lifts").number("placed")
    row = at(c, 0, SETTING_BACK)
    case = (c.cases.lift == 1) & (c.cases.stage == SET_BACK)
    assert c.cases.people[case].all()
    needed = float(c.demand.required[case][0])
    assert c.gates.required[row] == needed
    # the unit of lift 2 is set back once lift 2 is stripped, long after the anchors of lift 1 would do
    assert c.gates.ready[row] == c.gates.ready[at(c, 1, STRIP)] > placed[0] + 1.6 + age_of(needed)
    assert c.gates.governed_by[row] == AFTER_STRIPPING_ABOVE
    assert c.gates.planned[row] == c.job.table("Lifts").number("stripped")[1]
    assert not has(c, 2, SETTING_BACK)  # nothing stands on the last lift


def test_set_back_is_governed_by_weak_anchors_of_the_lift_below() -> None:
    lifts = pile(2, Concrete_temperature=20.0)
    lifts[1]["Placed"] = START + dt.timedelta(hours=12)
    lifts[1]["Stripped"] = START + dt.timedelta(hours=26)
    c = sound(lifts=lifts, job={"Below-range accepted by": "Report 7", "Safety basis": "ACI service load"},
              anchor={"Embedment": 120.0}, units=[{"Mass": 3000.0}])  # fmt: skip
    row = at(c, 0, SETTING_BACK)
    assert c.gates.governed_by[row].startswith("Anchors, Set back: ")
    needed = float(c.demand.required[(c.cases.lift == 1) & (c.cases.stage == SET_BACK)][0])
    start = float(c.job.table("Lifts").number("placed")[0])
    assert c.gates.ready[row] == pytest.approx(start + 1.6 + age_of(needed), abs=1e-6)
    assert c.gates.margin[row] == pytest.approx(26.0 - 1.6 - age_of(needed), abs=1e-6)


def test_a_blank_hour_of_stripping_leaves_set_back_unjudged_and_is_told_once() -> None:
    lifts = [{k: v for k, v in lift.items() if k != "Stripped"} for lift in pile(3)]
    c = sound(lifts=lifts)
    assert c.gate_verdict[at(c, 0, SETTING_BACK)] == "Not computed"
    keys = [flag.keys for flag in all_flags(c) if flag.code is Code.NOT_COMPUTED]
    assert ("all", "Strip") in keys and ("all", "Set back") not in keys


def test_a_blank_plan_is_not_judged_and_is_flagged_once_for_a_gate() -> None:
    lifts = [{k: v for k, v in lift.items() if k not in ("Stripped", "Hung")} for lift in pile(3)]
    c = sound(lifts=lifts)
    for row in np.flatnonzero(np.isin(c.gates.gate, (STRIP, HANG))).tolist():
        assert c.gate_verdict[row] == "Not computed"
        assert np.isnan(c.gates.margin[row])
        assert np.isfinite(c.gates.ready[row])
    keys = [flag.keys for flag in all_flags(c) if flag.code is Code.NOT_COMPUTED]
    assert ("all", "Strip") in keys and ("all", "Hang") in keys
    assert len(keys) == len(set(keys))


def test_the_last_lift_has_no_next_and_no_hanging_unless_it_is_planned() -> None:
    lifts = pile(2)
    c = sound(lifts=lifts)
    assert has(c, 1, HANG) and not has(c, 1, PLACE_NEXT)
    lifts[1]["Hung"] = None
    bare = sound(lifts=lifts)
    assert not has(bare, 1, HANG) and not has(bare, 1, PLACE_NEXT) and has(bare, 1, STRIP)


def test_a_first_lift_without_foundation_strength_has_gates_and_no_anchor_rows() -> None:
    c = sound(lifts=pile(2))
    assert not ((c.cases.lift == 0) & (c.cases.stage != HUNG)).any()
    assert has(c, 0, STRIP) and has(c, 0, HANG) and has(c, 0, PLACE_NEXT)
    assert math.isnan(c.programme.earliest[0])


def test_a_foundation_too_weak_exceeds_whatever_the_hour() -> None:
    weak = sound(job={"Foundation strength": (12.0, "MPa")}, lifts=pile(2), anchor={"Embedment": 200.0})
    row = (weak.cases.lift == 0) & (weak.cases.stage == PLACING)
    assert weak.demand_verdict[row][0] == "Exceeds"
    assert np.isinf(weak.case_ready[row][0])
    strong = sound(job={"Foundation strength": (60.0, "MPa")}, lifts=pile(2))
    assert strong.demand_verdict[row][0] in ("Within", "Near limit")
    assert np.isneginf(strong.case_ready[row][0])
    assert np.isnan(demand_columns(strong)["Strength reached"][row][0])


def test_a_strength_that_is_never_reached_is_said() -> None:
    c = sound(job={"Stripping strength": (45.0, "MPa")})
    row = at(c, 0, STRIP)
    assert np.isinf(c.gates.ready[row])
    assert c.gate_verdict[row] == "Exceeds"
    assert "not reached" in ready_columns(c)["Governed by"][row]
    assert any("never comes" in flag.message for flag in all_flags(c))


@pytest.mark.parametrize("curve", ["EN 1992-1-1", "fib MC 2010"])
def test_before_three_days_generic_curves_want_tests(curve: str) -> None:
    # EN 1992-1-1 3.1.2(5), (6): before 3 days strength rests on tests
    def verdicts(strip: float, hang: float, mix: dict[str, Any]) -> Calculation:
        return sound(mix=mix, lifts=pile(2, strip=strip, hang=hang, Concrete_temperature=20.0))

    early = verdicts(2.0, 2.5, {"Strength curve": curve})
    assert early.gate_verdict[at(early, 0, STRIP)] == "Outside scope"
    assert early.gate_verdict[at(early, 0, HANG)] == "Outside scope"
    hung = (early.cases.lift == 0) & (early.cases.stage == HUNG)
    assert early.demand_verdict[hung][0] == "Outside scope"
    flags = [flag for flag in all_flags(early) if flag.code is Code.NEEDS_TESTS]
    assert len(flags) == 1
    assert flags[0].at.sheet == "Mixes"
    late = verdicts(4.0, 4.5, {"Strength curve": curve})
    assert not np.isin(late.gate_verdict, ("Outside scope",)).any()
    tested = verdicts(2.0, 2.5, {})
    assert not any(flag.code is Code.NEEDS_TESTS for flag in all_flags(tested))


def demand_words(strength: float, **items: Any) -> tuple[Calculation, str, float]:
    """Return the verdict and shown ratio of hanging on a lift whose concrete has about that strength."""
    k = strength / (40.0 - strength) / (96.0 - 1.6) * 24.0
    c = sound(mix={"Rate constant": k}, job=items, lifts=pile(2, Concrete_temperature=20.0))
    place = int(np.flatnonzero((c.cases.lift == 0) & (c.cases.stage == HUNG))[0])
    assert c.demand.strength[place] == pytest.approx(strength, rel=1e-9)
    return c, str(c.demand_verdict[place]), float(demand_columns(c)["Demand ratio"][place])


@pytest.mark.parametrize("method", ["EN 1992-4:2018", "ACI 318M-19"])
def test_below_the_range_of_the_anchor_standard(method: str) -> None:
    least = 12.0 if method.startswith("EN") else 17.0  # EN 1992-4 1.3; ACI 318M-19 Table 19.2.1.1
    basis = {} if method.startswith("EN") else {"Safety basis": "ACI strength"}
    items = {"Anchor method": method} | basis
    c, word, ratio = demand_words(least - 0.01, **items)
    assert word == "Outside scope"
    assert 0.0 < ratio < 0.9
    assert any(flag.code is Code.BELOW_RANGE for flag in all_flags(c))
    c, word, ratio = demand_words(least + 0.01, **items)
    assert word == "Within"
    assert not any(flag.code is Code.BELOW_RANGE and "Hung" in flag.message for flag in all_flags(c))
    c, word, ratio = demand_words(least - 0.01, **items, **{"Below-range strength": "refuse"})
    assert word == "Outside scope"
    assert math.isnan(ratio)
    c, word, ratio = demand_words(least - 0.01, **items, **{"Below-range accepted by": "Report 7"})
    assert word == "Within"
    assert ratio > 0.0
    told = [flag for flag in all_flags(c) if flag.code is Code.BELOW_RANGE]
    assert len(told) == 1
    assert "Report 7" in told[0].message
    place = int(np.flatnonzero((c.cases.lift == 0) & (c.cases.stage == HUNG))[0])
    assert demand_columns(c)["Accepted by"][place] == "Report 7"


def test_refused_and_accepted_say_one_thing() -> None:
    c, _, ratio = demand_words(
        8.0, **{"Below-range strength": "refuse", "Below-range accepted by": "Report 7"}
    )
    withheld = any("withheld" in flag.message for flag in all_flags(c) if flag.code is Code.BELOW_RANGE)
    assert withheld is math.isnan(ratio)


@pytest.mark.parametrize("said", ["indicate", "refuse"])
def test_gates_stay_shut_below_the_range_unless_it_is_accepted(said: str) -> None:
    # 12 MPa, EN 1992-4 1.3
    c, word, _ = demand_words(8.0, **{"Below-range strength": said})
    row = at(c, 0, HANG)
    assert word == c.gate_verdict[row] == "Outside scope"
    assert c.gates.required[row] == ready_columns(c)["Required strength [MPa]"][row] == 12.0
    assert c.gates.governed_by[row] == "Least strength of EN 1992-4:2018"
    k = 8.0 / 32.0 / (96.0 - 1.6) * 24.0
    placed = float(c.job.table("Lifts").number("placed")[0])
    assert c.gates.ready[row] == pytest.approx(placed + 1.6 + age_of(12.0, k=k), abs=1e-6)
    assert c.gates.margin[row] < 0.0
    c, _, _ = demand_words(8.0, **{"Below-range strength": said, "Below-range accepted by": "Report 7"})
    row = at(c, 0, HANG)
    assert c.gates.required[row] < 8.0
    assert c.gate_verdict[row] == "Within"


@settings(max_examples=25, deadline=None)
@given(
    warm=st.floats(1.0, 30.0), colder=st.floats(0.0, 12.0), swing=st.floats(0.0, 12.0),
    function=st.sampled_from(["Arrhenius", "Nurse-Saul"]),
    curve=st.sampled_from(["EN 1992-1-1", "fib MC 2010", "ACI 209R", "Hyperbolic"]),
)  # fmt: skip
def test_colder_concrete_is_never_ready_earlier(
    warm: float, colder: float, swing: float, function: str, curve: str
) -> None:
    first, second = (
        sound(
            mix={"Maturity function": function, "Strength curve": curve},
            lifts=pile(3, Concrete_temperature=temperature, Air_temperature=temperature, Air_swing=swing),
        )
        for temperature in (warm, max(warm - colder, -4.0))
    )
    for row in range(first.gates.ready.size):
        assert second.gates.ready[row] >= first.gates.ready[row] - 1e-6
        assert second.gates.predicted[row] <= first.gates.predicted[row] + 1e-9
    assert (second.demand.strength <= first.demand.strength + 1e-9).all()


def test_a_colder_probe_log_makes_every_gate_later() -> None:
    def with_log(temperature: float) -> Calculation:
        readings = [
            {"Block": "B1", "Lift": 1, "Time": START + dt.timedelta(hours=hour), "Temperature": temperature,
             "Depth from face": 0.2, "Depth from joint": 0.4}
            for hour in range(0, 200, 4)
        ]  # fmt: skip
        return sound(optional={"Probe log": readings})

    warm, cold = with_log(18.0), with_log(7.0)
    own = (warm.gates.lift == 0) & (warm.gates.governed_by != AFTER_STRIPPING_ABOVE)
    assert own.sum() == 3
    assert (cold.gates.ready[own] > warm.gates.ready[own]).all()
    np.testing.assert_array_equal(cold.gates.ready[~own], warm.gates.ready[~own])


def test_programme_shows_earliest_hours_slack_and_what_binds() -> None:
    c = sound(job={"Least interval between lifts": (6.5, "d")})
    p = c.programme
    for lift in range(3):
        rows = [at(c, lift, STRIP), at(c, lift, HANG)] + (
            [at(c, lift - 1, PLACE_NEXT), at(c, lift - 1, SETTING_BACK)] if lift else []
        )
        assert p.strip_ready[lift] == c.gates.ready[rows[0]]
        assert p.slack[lift] == np.min(c.gates.margin[rows])
    assert p.earliest[1] == p.next_ready[0] == c.gates.ready[at(c, 0, PLACE_NEXT)]
    assert p.slack[1] == 12.0
    assert p.binding[1] == "Placing, after the lift below: Least interval between lifts"
    assert p.binding[0].startswith(("Strip", "Hang"))


def test_the_row_of_a_lift_placed_too_early_says_so() -> None:
    c = sound(job={"Least interval between lifts": (8.0, "d")}, lifts=pile(2, Concrete_temperature=20.0))
    assert c.programme.earliest[1] > c.job.table("Lifts").number("placed")[1]
    assert c.programme.slack[1] == -24.0
    assert c.programme.verdict.tolist() == ["Within", "Exceeds"]


def test_height_steps_by_hand() -> None:
    # lifts of 3 m; B1 placed days 0, 7, 14; B2 days 3, 20; B3 day 10. Levels from 100 m.
    def lift(block: str, number: int, day: float, bottom: float) -> dict[str, Any]:
        return {"Block": block, "Lift": number, "Placed": days(day), "Bottom level": bottom}

    rows = [
        lift("B1", 1, 0, 100.0), lift("B1", 2, 7, 103.0), lift("B1", 3, 14, 106.0),
        lift("B2", 1, 3, 100.0), lift("B2", 2, 20, 103.0), lift("B3", 1, 10, 100.0),
    ]  # fmt: skip
    read = job(job={"Greatest height difference": (5.0, "m")}, lifts=rows)
    step, too_great = height_steps(read)
    # B1/1 to 103, B2 at its bottom 100: 3; B1/2 to 106, B2 at 103: 3; B1/3 to 109, B2 at 103: 6;
    # B2/1 to 103: B1 at 103, B3 at 100: 3; B2/2 to 106: B1 at 109, B3 at 103: 3; B3/1 to 103: B2 at 103: 0
    np.testing.assert_allclose(step, [3.0, 3.0, 6.0, 3.0, 3.0, 0.0])
    assert too_great.tolist() == [False, False, True, False, False, False]
    unlimited = job(lifts=rows)
    assert not height_steps(unlimited)[1].any()
    alone = job(lifts=[lift("B1", 1, 0, 100.0)])
    assert np.isnan(height_steps(alone)[0]).all()


def test_height_step_is_flagged_at_the_placing_that_makes_it() -> None:
    rows = [
        {"Block": "B1", "Lift": number + 1, "Placed": days(7.0 * number), "Bottom level": 3.0 * number}
        for number in range(3)
    ] + [{"Block": "B2", "Lift": 1, "Placed": days(1), "Bottom level": 0.0}]
    c = computed(job={"Greatest height difference": (5.5, "m")}, lifts=rows)
    flags = [flag for flag in all_flags(c) if flag.code is Code.HEIGHT_STEP]
    assert [flag.keys[:2] for flag in flags] == [("B1", "3")]
    assert flags[0].at.row == 4
    assert flags[0].heading == "Placed"


def test_set_back_begins_when_the_lift_is_stripped() -> None:
    c = sound()
    row = (c.cases.lift == 1) & (c.cases.stage == SET_BACK)
    assert c.cases.hour[row][0] == c.job.table("Lifts").number("stripped")[1]


@pytest.mark.parametrize(
    "changes", [{"job": {"Storm wind": None}}, {"lifts": pile(3, Face_inclination=-50.0)}]
)
def test_what_is_not_computed_is_no_warning_of_the_number_library(changes: dict[str, Any]) -> None:
    read = job(**changes)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        calculate(read)
