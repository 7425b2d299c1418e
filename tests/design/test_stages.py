"""The stages: which concrete, which hour, whose units; and their forces by hand."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from builders import computed, days, job, pile

from sheetengine.clauses.load_factors import load_factors
from sheetengine.design.calculate import Calculation
from sheetengine.design.flags import all_flags
from sheetengine.design.layout import anchor_spots, lay_out
from sheetengine.design.result_columns import (
    demand_by_lift,
    demand_columns,
    pressure_columns,
    programme_columns,
    ready_columns,
)
from sheetengine.design.stages import HUNG, PLACING, SET_BACK, STANDING
from sheetengine.findings import Code, Level
from sheetengine.run import calculate


def stage_rows(c: Calculation) -> dict[tuple[int, int], tuple[int, int, float]]:
    """Return holder, carrier and hour by lift and stage."""
    return {
        (lift, stage): (holder, carrier, hour)
        for lift, stage, holder, carrier, hour in zip(
            c.cases.lift.tolist(), c.cases.stage.tolist(), c.cases.holder.tolist(), c.cases.carrier.tolist(),
            c.cases.hour.tolist(), strict=True,
        )
    }  # fmt: skip


def test_concrete_hour_and_units_of_every_stage() -> None:
    # placed on days 0, 7, 14; stripped 3 d and hung 4 d after
    c = computed(lifts=pile(3))
    placed = c.job.table("Lifts").number("placed")
    stripped, hung = placed + 72.0, placed + 96.0
    assert stage_rows(c) == {
        (0, HUNG): (1, 0, hung[0]),
        (1, PLACING): (1, 0, placed[1]),
        (1, STANDING): (1, 0, hung[0]),
        (1, SET_BACK): (1, 0, stripped[1]),
        (1, HUNG): (2, 1, hung[1]),
        (2, PLACING): (2, 1, placed[2]),
        (2, STANDING): (2, 1, hung[1]),
        (2, SET_BACK): (2, 1, stripped[2]),
        (2, HUNG): (2, 2, hung[2]),
    }


def test_a_top_lift_on_which_nothing_is_hung_has_no_such_row() -> None:
    lifts = pile(2)
    lifts[1]["Hung"] = None
    assert (1, HUNG) not in stage_rows(computed(lifts=lifts))


def test_a_foundation_gives_first_lifts_their_rows() -> None:
    without = stage_rows(computed(lifts=pile(2)))
    assert {stage for lift, stage in without if lift == 0} == {HUNG}
    c = computed(job={"Foundation strength": (20.0, "MPa")}, lifts=pile(2))
    rows = stage_rows(c)
    placed = float(c.job.table("Lifts").number("placed")[0])
    assert rows[0, PLACING] == (0, -1, placed)
    assert rows[0, STANDING] == (0, -1, placed)
    assert rows[0, SET_BACK] == (0, -1, placed + 72.0)
    on_rock = (c.cases.lift == 0) & (c.cases.stage != HUNG)
    np.testing.assert_array_equal(c.demand.strength[on_rock], 20.0)


def test_blocks_do_not_mix_however_the_rows_are_mingled() -> None:
    first, second = pile(2), pile(2, block="B2", interval=8.0)
    mingled = [first[0], second[0], second[1], first[1]]
    rows = stage_rows(computed(lifts=mingled))
    assert rows[3, PLACING][:2] == (3, 0)
    assert rows[2, PLACING][:2] == (2, 1)


def test_without_hung_the_units_are_hung_when_stripped_and_without_both_there_is_no_hour() -> None:
    lifts = pile(2)
    lifts[0]["Hung"] = None
    c = computed(lifts=lifts)
    placed = c.job.table("Lifts").number("placed")
    assert stage_rows(c)[0, HUNG][2] == placed[0] + 72.0
    lifts[0]["Stripped"] = None
    assert np.isnan(stage_rows(computed(lifts=lifts))[0, HUNG][2])


def test_strength_is_that_of_the_carriers_concrete_at_the_stages_hour() -> None:
    # hyperbola at 20 degC: age runs from the hour the concrete reaches the anchors, 2.6 h after placing
    hyperbola = {"Strength curve": "Hyperbolic", "Ultimate strength": 40.0, "Rate constant": 0.2}
    lifts = pile(3, Concrete_temperature=20.0)
    lifts[0]["Mix"] = "M2"
    c = computed(mixes=[hyperbola, {"Mix": "M2"} | hyperbola | {"Ultimate strength": 30.0}], lifts=lifts)
    ultimate = {0: 30.0, 1: 40.0, 2: 40.0}
    for place, (_, (_, carrier, hour)) in enumerate(stage_rows(c).items()):
        age = (hour - float(c.job.table("Lifts").number("placed")[carrier]) - 2.6) / 24.0
        expected = ultimate[carrier] * 0.2 * age / (1.0 + 0.2 * age)
        assert c.demand.strength[place] == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("basis", ["EN partial factors", "ACI service load", "ACI strength"])
def test_forces_of_one_unit_in_every_stage_by_hand(basis: str) -> None:
    # Per metre of face: 1500 kg on 3.0 m: 4.903325 kN at 0.8 m; platform of 1.0 m and class 2: 1.5 kN at 1.3 m;
    # full head of 3.0 m: 25 x 9 / 2 = 112.5 kN at 1.0 m; wind on 3.2 m at 1.6 m: 0.64 working, 2.56 storm.
    # Set back by 0.75 m the weight is at 1.55 m. Anchors 0.4 m, foot 2.4 m below the joint: arm 2.0 m.
    by = load_factors(basis)
    c = computed(
        job={"Safety basis": basis, "Pressure method": "Full head", "Least lateral load": "none"},
        lifts=pile(2),
    )
    G, Q, P = 1500.0 * 9.80665 / 3000.0, 1.5, 112.5
    expected = {}
    for stage in (PLACING, STANDING, SET_BACK, HUNG):
        lateral = by.fresh_concrete * P if stage == PLACING else 0.0
        wind = by.wind * (2.56 if stage == STANDING else 0.64)
        out = 0.8 if stage in (PLACING, STANDING) else 1.55
        people = by.variable * Q if stage != STANDING else 0.0
        tension = (lateral * 3.4 + by.permanent_unfavourable * G * out + people * 1.3 + wind * 4.0) / 2.0
        light = (by.permanent_favourable * G * out - wind * 4.0) / 2.0
        expected[stage] = (
            tension, by.permanent_unfavourable * G + people, tension - lateral - wind,
            min(tension - lateral - wind, light + wind),
        )  # fmt: skip
    for place, stage in enumerate(c.cases.stage.tolist()):
        found = [getattr(c.forces, name)[place] for name in ("tension", "shear", "foot", "least_foot")]
        np.testing.assert_allclose(found, expected[stage], rtol=1e-9, err_msg=str(stage))


def test_placing_by_eu_factors_in_numbers() -> None:
    # (1.5 x 112.5 x 3.4 + 1.35 x 4.903325 x 0.8 + 1.5 x 1.5 x 1.3 + 1.5 x 0.64 x 4) / 2
    # = (573.75 + 5.295591 + 2.925 + 3.84) / 2 = 292.905296 kN/m; 1.5 m of face to an inner anchor: 439.357943 kN
    c = computed(job={"Pressure method": "Full head"}, lifts=pile(2))
    placing = int(np.flatnonzero(c.cases.stage == PLACING)[0])
    assert c.forces.tension[placing] == pytest.approx(292.9052955, abs=1e-6)
    assert c.demand.tension[placing] == pytest.approx(439.3579433, abs=1e-5)
    # service: (112.5 x 3.4 + 3.92266 + 1.95 + 2.56) / 2 = 195.46633
    assert c.forces.service_tension[placing] == pytest.approx(195.46633, abs=1e-5)


def test_a_platform_offset_given_replaces_the_usual_one() -> None:
    usual = computed(lifts=pile(2))
    same = computed(units=[{"Platform offset": 1.3}], lifts=pile(2))
    further = computed(units=[{"Platform offset": 1.8}], lifts=pile(2))
    np.testing.assert_allclose(usual.forces.tension, same.forces.tension, rtol=1e-12)
    # 1.5 x 1.5 kN/m x 0.5 m / 2.0 m, where people stand
    more = further.forces.tension - usual.forces.tension
    np.testing.assert_allclose(more, np.where(usual.cases.stage == STANDING, 0.0, 0.5625), atol=1e-9)


def test_the_foot_lifts_off_when_wind_towards_the_face_outweighs_the_weight() -> None:
    # EN: 0.9 x 4.903325 x 0.8 = 3.530394 against 1.5 w 3.2 (1.6 + 0.4): even at w = 0.367749 kPa
    for storm, lifts_off in ((0.3677, False), (0.3678, True)):
        c = computed(job={"Storm wind": (storm, "kPa")}, lifts=pile(2))
        standing = c.cases.stage == STANDING
        assert c.foot_lifts.tolist() == (standing & lifts_off).tolist()
        assert (c.demand_verdict[standing][0] == "Exceeds") is lifts_off
        flags = [flag for flag in all_flags(c) if flag.code is Code.FOOT_LIFTS]
        assert len(flags) == int(lifts_off)
        if lifts_off:
            assert flags[0].at.sheet == "Form units"
            assert flags[0].level is Level.STOP
            assert c.demand.ratio[standing][0] < 0.9


@pytest.mark.parametrize("lean", [-46.0, 45.001, 80.0])
def test_a_face_too_steep_and_all_that_touches_it_is_outside_scope_without_numbers(lean: float) -> None:
    lifts = pile(4)
    lifts[1]["Face inclination"] = lean
    c = computed(lifts=lifts)
    assert c.too_steep.tolist() == [False, True, False, False]
    pressure = pressure_columns(c)
    for heading in (
        "Maximum pressure [kPa]", "Full-head depth [m]", "Resultant [kN/m]", "Resultant height [m]",
        "Greatest rise rate [m/h]", "Panel ratio", "Normal pressure [kPa]", "Uplift [kN/m]",
    ):  # fmt: skip
        assert np.isnan(pressure[heading]).tolist() == c.too_steep.tolist(), heading
    assert (pressure["Verdict"] == "Outside scope").tolist() == c.too_steep.tolist()
    demand = demand_columns(c)
    touched = {
        (lift, stage)
        for (lift, stage), (holder, carrier, _) in stage_rows(c).items()
        if holder == 1 or carrier == 1
    }
    for place, key in enumerate(zip(c.cases.lift.tolist(), c.cases.stage.tolist(), strict=True)):
        beyond = key in touched
        assert (demand["Verdict"][place] == "Outside scope") is beyond, key
        for heading in ("Tension [kN]", "Demand ratio", "Required strength [MPa]"):
            assert bool(np.isnan(demand[heading][place])) is beyond
        assert (demand["Governing mode"][place] == "") is beyond
    assert (0, HUNG) in touched and (1, HUNG) in touched and (2, PLACING) in touched
    (flag,) = (flag for flag in all_flags(c) if flag.code is Code.OUTSIDE_SCOPE)
    assert flag.keys[1] == "2"
    assert flag.limit == "45 deg"
    gates = {
        (lift, gate): word
        for lift, gate, word in zip(c.gates.lift.tolist(), c.gates.gate.tolist(), c.gate_verdict, strict=True)
    }
    assert gates[0, 1] == gates[0, 2] == gates[1, 1] == gates[1, 2] == "Not computed"
    assert gates[2, 2] != "Not computed"
    ready = ready_columns(c)
    asked = {
        (lift, gate): value
        for lift, gate, value in zip(
            c.gates.lift.tolist(),
            c.gates.gate.tolist(),
            ready["Required strength [MPa]"].tolist(),
            strict=True,
        )
    }
    assert all(np.isnan(asked[key]) for key in ((0, 1), (0, 2), (1, 1), (1, 2)))
    chart = demand_by_lift(c)
    assert (
        np.isnan(chart["Placing"][1]) and np.isnan(chart["Placing"][2]) and np.isfinite(chart["Placing"][3])
    )
    words = programme_columns(c)["Verdict"].tolist()
    assert words[0] in ("Not computed", "Exceeds") and words[1] in ("Not computed", "Exceeds")


def test_a_book_in_which_every_face_leans_still_gives_results() -> None:
    results = calculate(job(lifts=pile(3, Face_inclination=-50.0)))
    assert set(results.frames["Anchor demand"]["Verdict"]) == {"Outside scope"}
    assert set(results.frames["Pressures"]["Verdict"]) == {"Outside scope"}


def test_no_storm_wind_means_that_standing_is_not_computed() -> None:
    c = computed(job={"Storm wind": None}, lifts=pile(2))
    standing = c.cases.stage == STANDING
    assert set(c.demand_verdict[standing]) == {"Not computed"}
    assert np.isfinite(c.demand.ratio[~standing]).all()
    assert any(flag.heading == "Storm wind" and flag.level is Level.STOP for flag in all_flags(c))


def test_forces_are_on_the_holders_unit_and_not_the_carriers() -> None:
    heavy: dict[str, Any] = {"Unit": "U2", "Mass": 3000.0, "Anchor depth": 0.6}
    lifts = pile(3)
    lifts[2]["Unit"] = "U2"
    read = job(units=[{}, heavy], lifts=lifts)
    c = computed(units=[{}, heavy], lifts=lifts)
    rows = stage_rows(c)
    hung = list(rows).index((1, HUNG))
    set_back = list(rows).index((1, SET_BACK))
    assert c.forces.shear[hung] - c.forces.shear[set_back] == pytest.approx(1.35 * 4.903325, rel=1e-9)
    layout = lay_out(read)
    spots = anchor_spots(read, layout)
    assert set(spots.depth[spots.lift == 2].tolist()) == {0.6}
    # the anchors in lift 2 belong to the unit above: reached 0.6 m below its joint
    placed = read.table("Lifts").number("placed")
    assert layout.anchor_hour[1] - placed[1] == pytest.approx(2.4, abs=1e-6)


def test_listed_positions_by_hand() -> None:
    # face 15 m; anchors at 0.5, 2.0, 5.0, 14.0: widths 0.5 + 0.75, 0.75 + 1.5, 1.5 + 4.5, 4.5 + 1.0
    read = job(
        lifts=pile(2),
        optional={
            "Anchor positions": [
                {"Block": "B1", "Lift": 2, "Position": place, "Depth": depth}
                for place, depth in ((5.0, None), (0.5, 0.7), (14.0, None), (2.0, None))
            ]
        },
    )
    layout = lay_out(read)
    spots = anchor_spots(read, layout)
    own = spots.lift == 1
    np.testing.assert_allclose(spots.position[own], [0.5, 2.0, 5.0, 14.0])
    np.testing.assert_allclose(spots.width[own], [1.25, 2.25, 6.0, 5.5])
    np.testing.assert_allclose(spots.depth[own], [0.7, 0.4, 0.4, 0.4])
    assert spots.left_is_edge[own].tolist() == [True, False, False, False]
    assert spots.right_is_edge[own].tolist() == [False, False, False, True]
    assert layout.anchors.tolist() == [10.0, 4.0]
    assert spots.width[own].sum() == 15.0


def test_anchors_of_a_short_row_are_proved_at_the_distance_at_which_they_stand() -> None:
    # face 2.1 m, ends 1.0 m, spacing 0.8 m: two anchors 0.1 m apart. Each carries 1.05 m on a cone that has
    # 0.45 m to the end and 0.05 m to the neighbour; at 0.8 m apart it would carry 1.4 m on 0.45 + 0.4 m
    lifts = pile(2, Face_length=2.1, End_distance=1.0, Anchor_spacing=0.8)
    c = computed(lifts=lifts)
    listed = computed(
        lifts=lifts,
        optional={
            "Anchor positions": [{"Block": "B1", "Lift": 2, "Position": place} for place in (1.0, 1.1)]
        },
    )
    placing = int(np.flatnonzero(c.cases.stage == PLACING)[0])
    assert c.layout.anchors[1] == 2.0
    cone = "Concrete cone"
    assert c.demand.modes[cone][placing] >= listed.demand.modes[cone][placing] * (1.0 - 1e-9)


def test_days_of_the_builder_are_what_the_book_holds() -> None:
    assert (days(1.5) - days(0)).total_seconds() == 36 * 3600
