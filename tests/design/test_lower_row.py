"""Units whose lower row is anchored as well: which concrete, which edges, which forces, and the gates."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from anchor_equations import One, en_1992_4
from builders import computed, days, pile

from sheetengine.design.anchor_demand import build_anchors, seated
from sheetengine.design.anchor_judging import anchors_at
from sheetengine.design.calculate import Calculation
from sheetengine.design.flags import all_flags
from sheetengine.design.layout import anchor_spots
from sheetengine.design.readiness import HANG, PLACE_NEXT
from sheetengine.design.result_columns import demand_by_lift, demand_columns
from sheetengine.design.stages import HUNG, PLACING, SET_BACK, STANDING
from sheetengine.findings import Code, Level
from sheetengine.run import calculate

ANCHORED = {"Lower row": "anchored"}


def lower(c: Calculation, lift: int, stage: int) -> int:
    (found,) = np.flatnonzero((c.cases.lift == lift) & (c.cases.stage == stage) & c.cases.lower)
    return int(found)


def test_pull_of_the_lower_row_by_hand() -> None:
    # EN, storm towards the face: 1.5 x 0.8 x 3.2 = 3.84 kN/m at 1.6 m; weight 0.9 x 4.903325 x 0.8 = 3.530394 kNm/m:
    # lower row (3.84 x 2.0 - 3.530394) / 2.0 = 2.074803 kN/m, 3.112205 kN on 1.5 m
    c = computed(units=[ANCHORED], lifts=pile(3))
    case = lower(c, 1, STANDING)
    assert c.forces.tension[case] == pytest.approx(2.074803, rel=1e-6)
    assert c.forces.shear[case] == 0.0
    assert c.demand.tension[case] == pytest.approx(3.112205, rel=1e-6)
    assert not c.foot_lifts.any()
    assert c.demand_verdict[case] == "Within"
    # working wind does not take the foot off: the row is there and carries nothing
    calm = lower(c, 1, SET_BACK)
    assert c.forces.tension[calm] < 0.0
    assert c.demand.ratio[calm] == 0.0
    assert c.demand_verdict[calm] == "Within"


def test_the_lower_row_has_rows_of_its_own_behind_those_of_the_upper() -> None:
    c = computed(units=[ANCHORED], lifts=pile(3))
    stages = demand_columns(c)["Stage"][c.cases.lift == 1].tolist()
    assert stages == [
        "Placing", "Placing, lower row", "Standing closed", "Standing closed, lower row", "Set back",
        "Set back, lower row", "Hung on the new lift", "Hung on the new lift, lower row",
    ]  # fmt: skip
    assert np.isfinite(demand_by_lift(c)["Lower row"][1])
    keys = [flag.keys for flag in all_flags(c)]
    assert ("U1", "lower row") in keys
    assert "Lower row" not in demand_by_lift(computed(lifts=pile(3)))


@pytest.mark.parametrize(
    ("foot", "carrier", "joint"), [(2.4, 1, 2.4), (3.0, 1, 3.0), (3.5, 0, 0.5), (5.9, 0, 2.9), (6.5, -1, 0.5)]
)
def test_the_lower_row_sits_in_the_lift_its_depth_reaches(foot: float, carrier: int, joint: float) -> None:
    # lifts of 3 m; unit of the third lift
    c = computed(
        job={"Foundation strength": (25.0, "MPa")}, units=[ANCHORED | {"Foot depth": foot}], lifts=pile(3)
    )
    case = lower(c, 2, STANDING)
    assert c.cases.carrier[case] == carrier
    assert c.cases.seat[case] == 1
    assert c.cases.joint[case] == pytest.approx(joint)
    hour = c.cases.hour[case : case + 1]
    expected = 25.0 if carrier < 0 else c.history.strength(np.array([carrier]), hour)[0]
    assert c.demand.strength[case] == expected
    upper = int(np.flatnonzero((c.cases.lift == 2) & (c.cases.stage == STANDING) & ~c.cases.lower)[0])
    assert c.demand.strength[case] >= c.demand.strength[upper] or carrier < 0


def test_no_strength_below_the_last_lift_means_that_the_row_is_not_computed() -> None:
    c = computed(units=[ANCHORED | {"Foot depth": 3.5}], lifts=pile(2))
    case = lower(c, 1, STANDING)
    assert c.cases.carrier[case] == -1
    assert c.demand_verdict[case] == "Not computed"
    assert np.isnan(c.demand.ratio[case])
    hang = (c.gates.lift == 0) & (c.gates.gate == HANG)
    assert c.gate_verdict[hang][0] != "Within"


@pytest.mark.parametrize("foot", [2.4, 3.2])
def test_the_lower_row_against_the_equations_with_its_own_edge(foot: float) -> None:
    c = computed(
        job={"Storm wind": (3.0, "kPa"), "Foundation strength": (25.0, "MPa")},
        units=[ANCHORED | {"Foot depth": foot}], lifts=pile(3),
    )  # fmt: skip
    case = lower(c, 2, STANDING)
    joint = foot if foot < 3.0 else foot - 3.0
    spots = anchor_spots(c.job, c.layout)
    places = seated(c.job, c.layout, c.cases, spots, c.forces.shear)
    place = np.flatnonzero(places.spots.lift == places.seat[case])
    assert place.size == 2
    both = anchors_at(build_anchors(c.job, places), place)
    np.testing.assert_allclose(both.up, joint * 1000.0)
    worst = 0.0
    for which in range(2):
        one = One(
            N=float(both.tension[which] * c.forces.tension[case]), V=0.0, hef=300.0, d=26.0, Ah=np.pi / 4.0 * (70.0**2 - 26.0**2), As=450.0,
            fuk=800.0, fyk=640.0, up=float(both.up[which]), left=float(both.left[which]),
            right=float(both.right[which]), left_end=bool(both.left_is_edge[which]),
            right_end=bool(both.right_is_edge[which]), thickness=1e6,
        )  # fmt: skip
        worst = max(
            worst, *en_1992_4(one, float(c.demand.strength[case]), cracked=True, safety=None).values()
        )
    assert c.demand.ratio[case] == pytest.approx(worst, rel=1e-9)
    assert worst > 0.05


def test_an_anchor_near_below_its_joint_is_weaker_than_one_far_below() -> None:
    near, far = (
        computed(
            job={"Foundation strength": (25.0, "MPa")}, units=[ANCHORED | {"Foot depth": foot}], lifts=pile(3)
        )
        for foot in (3.2, 5.0)
    )
    a, b = (c.demand.modes["Concrete cone"][lower(c, 2, STANDING)] for c in (near, far))
    pulls = [c.forces.tension[lower(c, 2, STANDING)] for c in (near, far)]
    assert a / pulls[0] > b / pulls[1]


def test_a_type_for_the_lower_row_replaces_that_of_the_upper() -> None:
    types = [{}, {"Anchor": "A2", "Embedment": 150.0}]
    same = computed(anchors=types, units=[ANCHORED], lifts=pile(3))
    other = computed(anchors=types, units=[ANCHORED], lifts=pile(3, Lower_anchor="A2"))
    case = lower(same, 1, STANDING)
    assert other.demand.modes["Concrete cone"][case] > same.demand.modes["Concrete cone"][case]
    upper = ~same.cases.lower
    np.testing.assert_array_equal(same.demand.ratio[upper], other.demand.ratio[upper])


def weak(foot: float, **changes: Any) -> Calculation:
    """Return a book in which the lower row asks for more than the upper one: a gale, and a small lower anchor."""
    return computed(
        job={"Storm wind": (6.0, "kPa"), "Foundation strength": (40.0, "MPa")},
        anchors=[{}, {"Anchor": "A2", "Embedment": 90.0, "Head diameter": 40.0}],
        units=[ANCHORED | {"Foot depth": foot}],
        lifts=pile(4, Lower_anchor="A2"), **changes,
    )  # fmt: skip


def test_the_gate_asks_the_lower_row_in_the_same_lift() -> None:
    c = weak(2.4)
    case = lower(c, 2, STANDING)
    upper = int(np.flatnonzero((c.cases.lift == 2) & (c.cases.stage == STANDING) & ~c.cases.lower)[0])
    assert c.demand.required[case] > c.demand.required[upper]
    gate = int(np.flatnonzero((c.gates.lift == 1) & (c.gates.gate == HANG))[0])
    assert c.gates.by_anchors[gate] == pytest.approx(c.demand.required[case])
    assert "lower row" in c.gates.governed_by[gate]


def test_the_gate_waits_for_the_lower_row_in_the_lift_below() -> None:
    c = weak(3.2)
    case = lower(c, 2, STANDING)
    assert c.cases.carrier[case] == 0
    gate = int(np.flatnonzero((c.gates.lift == 1) & (c.gates.gate == HANG))[0])
    hour = c.history.hour(np.array([0]), c.demand.required[case : case + 1])[0]
    if np.isinf(hour):
        assert np.isinf(c.gates.ready[gate])
    else:
        assert c.gates.ready[gate] >= hour
    assert c.gate_verdict[gate] == "Exceeds"
    assert "lower row" in c.gates.governed_by[gate]
    # the lift in which the row sits is not asked at the earlier hour of its own hanging for this
    own = int(np.flatnonzero((c.gates.lift == 0) & (c.gates.gate == HANG))[0])
    assert "lower row" not in c.gates.governed_by[own] or c.gates.lift[own] == 0


def test_placing_waits_for_the_lower_row_too() -> None:
    def book(strength: float) -> Calculation:
        lifts = pile(4, Height=2.0, Anchor_spacing=0.6, Rise_rate=0.5)
        lifts[0]["Mix"] = "M2"
        return computed(
            job={"Foundation strength": (40.0, "MPa")}, mixes=[{}, {"Mix": "M2", "Strength 28 d": strength}],
            units=[ANCHORED], lifts=lifts,
        )  # fmt: skip

    # the lower row of the third lift's unit sits in the first lift: concrete that never comes to the 12 MPa at which
    # EN 1992-4 begins keeps the gate of the second lift shut
    sound, poor = book(30.0), book(11.0)
    case = lower(poor, 2, PLACING)
    assert poor.cases.carrier[case] == 0
    rows = [int(np.flatnonzero((c.gates.lift == 1) & (c.gates.gate == PLACE_NEXT))[0]) for c in (sound, poor)]
    assert "lower row" not in sound.gates.governed_by[rows[0]]
    assert "Placing, lower row" in poor.gates.governed_by[rows[1]]
    assert np.isfinite(sound.gates.ready[rows[0]])
    assert np.isinf(poor.gates.ready[rows[1]])
    assert poor.gate_verdict[rows[1]] in ("Exceeds", "Outside scope")


def test_hanging_later_makes_the_lower_row_no_weaker() -> None:
    early, late = pile(3), pile(3)
    for lift in late:
        lift["Hung"] = days(7.0 * (lift["Lift"] - 1) + 6.0)
    a, b = (computed(units=[ANCHORED], lifts=lifts) for lifts in (early, late))
    case = lower(a, 1, STANDING)
    assert b.demand.ratio[case] <= a.demand.ratio[case]


def test_more_wind_pulls_more() -> None:
    pulls = []
    for storm in (0.3, 0.6, 1.2, 2.4):
        c = computed(job={"Storm wind": (storm, "kPa")}, units=[ANCHORED], lifts=pile(2))
        pulls.append(float(c.forces.tension[lower(c, 1, STANDING)]))
    assert (np.diff(pulls) > 0.0).all()


def test_the_lower_row_is_told_to_be_missing_from_the_embeds() -> None:
    (flag,) = (
        flag
        for flag in all_flags(computed(units=[ANCHORED], lifts=pile(2)))
        if flag.keys == ("U1", "lower row")
    )
    assert flag.level is Level.ACCEPT
    assert "embed" in flag.message
    assert not [f for f in all_flags(computed(lifts=pile(2))) if "lower row" in f.message]


def test_concrete_thinner_than_the_lower_anchor_is_not_computed() -> None:
    c = computed(
        anchors=[{}, {"Anchor": "A2", "Embedment": 600.0}], units=[ANCHORED],
        lifts=pile(2, Lower_anchor="A2", Thickness=0.5),
    )  # fmt: skip
    assert c.demand_verdict[lower(c, 1, PLACING)] == "Not computed"
    assert [flag for flag in all_flags(c) if flag.code is Code.LAYOUT_DIFFERS]


def test_cases_can_be_picked_without_losing_a_field() -> None:
    c = computed(units=[ANCHORED], lifts=pile(3))
    some = c.cases.at(np.array([0, 1]))
    assert some.names().tolist() == c.cases.names()[:2].tolist()
    assert replace(some).lower.tolist() == c.cases.lower[:2].tolist()
    assert (c.cases.stage == HUNG).any()


PARTS = {"Lost parts": "cast-in head; tie rod", "Recovered parts": "anchor bolt"}


def counted(foot: float, **changes: Any) -> dict[str, float]:
    """Return the counts by item of four lifts of 15 m with ten anchors in a row, from a foundation."""
    c = computed(
        units=[ANCHORED | {"Foot depth": foot}], anchors=[PARTS | changes.pop("anchor", {})],
        lifts=changes.pop("lifts", pile(4)), job={"Foundation strength": (25.0, "MPa")}, **changes,
    )  # fmt: skip
    frame = calculate(c.job).frames["Embed counts, by item"]
    return dict(zip(frame["Item"], frame["To order"], strict=True))


def test_a_lower_row_of_its_own_is_cast_in_and_counted() -> None:
    # upper rows: the foundation and lifts 1 to 3 (lift 4 ends the block), 10 anchors each, and lift 4 for the units that go on:
    # the same 5 rows; lower rows, 2.4 m below the joints: the foundation and lifts 1 to 3, so 4 rows: 90 in all
    assert counted(2.4)["A1, cast-in head"] == 90.0
    assert computed(units=[ANCHORED], lifts=pile(4)).job  # the same unit without the parts
    bearing = computed(
        units=[{"Foot depth": 2.4}],
        anchors=[PARTS],
        lifts=pile(4),
        job={"Foundation strength": (25.0, "MPa")},
    )
    frame = calculate(bearing.job).frames["Embed counts, by item"]
    assert frame.loc[frame["Item"] == "A1, cast-in head", "To order"].item() == 50.0


def test_a_lower_row_at_the_anchors_of_an_earlier_lift_uses_them() -> None:
    # 3.4 m below the joint of a lift on one of 3 m: 0.4 m below the joint below, where the units of that lift hung.
    # Only the lower row of the first lift, 3.4 m down in the foundation, has none there: 50 + 10
    counts = counted(3.4)
    assert counts["A1, cast-in head"] == counts["A1, tie rod"] == 60.0
    # 5 cm further is the same place, 6 cm is not
    assert counted(3.45)["A1, cast-in head"] == 60.0
    assert counted(3.46)["A1, cast-in head"] == 90.0


def test_other_anchors_or_spacings_are_no_row_that_is_there() -> None:
    wider = pile(4)
    wider[2] = wider[2] | {"Anchor spacing": 1.2}
    # lift 3 has 13 anchors; its lower row, and that of lift 4 on its upper row, find no like row: 13 + 10 more
    assert counted(3.4, lifts=wider)["A1, cast-in head"] == 60.0 + 3.0 + 13.0 + 10.0


def test_recovered_parts_of_lower_rows_are_in_use_while_the_units_hang_there() -> None:
    """Of ten bolts a row: a unit on two rows needs twenty, wherever the lower row sits."""
    once, twice = counted(2.4), counted(3.4)
    assert once["A1, anchor bolt"] >= 20.0
    assert twice["A1, anchor bolt"] >= 20.0


def test_where_the_lower_row_pulls_the_limits_are_told() -> None:
    c = computed(units=[ANCHORED], lifts=pile(3))
    frame = calculate(c.job).frames["Working limits"]
    rows = frame[frame["Stage"].isin(["Standing closed", "Standing closed, lower row"])]
    assert rows["Least embedment [mm]"].notna().all()
    assert rows["Greatest anchor spacing [m]"].notna().all()
