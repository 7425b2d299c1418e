"""Projections on the bracket frame: forces by hand, the worst order of placing, and what is told."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from builders import computed, pile
from hypothesis import given
from hypothesis import strategies as st

from sheetengine.clauses.load_factors import load_factors
from sheetengine.design.calculate import Calculation
from sheetengine.design.combinations import forces
from sheetengine.design.flags import all_flags
from sheetengine.design.projections import worst_part
from sheetengine.design.readiness import PLACE_NEXT
from sheetengine.design.result_columns import demand_by_lift, demand_columns
from sheetengine.design.stages import PLACING, PROJECTION
from sheetengine.findings import Code, Level

SLAB = {"Projection reach": 1.2, "Projection thickness": 0.5, "Projection tip thickness": 0.3}


def jutting(count: int = 3, lean: float = 0.0, below: float = 0.0, **changes: Any) -> Calculation:
    """Return a pile whose top lift carries a projection."""
    lifts = pile(count)
    lifts[-1] |= SLAB | {"Face inclination": lean}
    lifts[-2]["Face inclination"] = below
    job = {"Pressure method": "Full head"} | changes.pop("job", {})
    return computed(job=job, lifts=lifts, **changes)


def at(c: Calculation, stage: int) -> int:
    (found,) = np.flatnonzero((c.cases.stage == stage) & (c.cases.lift == len(c.job.table("Lifts")) - 1))
    return int(found)


def test_forces_of_a_projection_by_hand() -> None:
    # 25 kN/m3, 0.5 m at the face and 0.3 m at the tip, 1.2 m out: 25 x 0.48 = 12 kN/m at 1.2 x 1.1 / (3 x 0.8) = 0.55 m.
    # Work by EN 12812: 0.75 + max(0.1 x 12.5, 0.75) = 2.0 kPa, 2.4 kN/m at 0.6 m. The rest as in placing:
    # T = (1.5 x 112.5 x 3.4 + 1.35 x 3.92266 + 1.5 x 1.95 + 1.5 x 2.56 + 1.5 x 12 x 0.55 + 1.5 x 2.4 x 0.6) / 2
    c = jutting()
    placing, case = at(c, PLACING), at(c, PROJECTION)
    more = 1.5 * (12.0 * 0.55 + 2.4 * 0.6) / 2.0
    assert c.forces.tension[case] - c.forces.tension[placing] == pytest.approx(more, rel=1e-9)
    assert c.forces.shear[case] - c.forces.shear[placing] == pytest.approx(1.5 * 14.4, rel=1e-9)
    assert c.forces.combination[case] == "greatest tension; projection full"
    assert c.demand.ratio[case] > c.demand.ratio[placing]
    assert c.cases.hour[case] == c.cases.hour[placing]
    assert c.cases.carrier[case] == c.cases.carrier[placing]
    # the foot is no safer than with an empty soffit
    assert c.demand.least_foot[case] == pytest.approx(
        c.demand.least_foot[placing] / c.demand.width[placing] * c.demand.width[case]
    )


def test_work_on_the_soffit_by_aci() -> None:
    # ACI 347R-14: at least 2.4 kPa and 4.8 kPa in all; the slab weighs at least 25 x 0.3 = 7.5 kPa: 2.4 x 1.2 = 2.88 kN/m
    c = jutting(job={"Safety basis": "ACI service load", "Anchor method": "ACI 318M-19"})
    more = c.forces.shear[at(c, PROJECTION)] - c.forces.shear[at(c, PLACING)]
    assert more == pytest.approx(12.0 + 2.88, rel=1e-9)
    assert c.demand.safety_factor[at(c, PROJECTION)] == 3.0


def test_people_stand_on_a_soffit_even_without_a_platform() -> None:
    c = jutting(
        job={"Safety basis": "ACI service load", "Anchor method": "ACI 318M-19"},
        units=[{"Platform width": 0.0}],
    )
    assert c.demand.safety_factor[at(c, PROJECTION)] == 3.0
    assert c.demand.safety_factor[at(c, PLACING)] == 2.0


def test_the_stage_stands_behind_placing_and_in_the_chart() -> None:
    c = jutting()
    stages = demand_columns(c)["Stage"][c.cases.lift == 2].tolist()
    assert stages[:2] == ["Placing", "Placing the projection"]
    chart = demand_by_lift(c)["Placing the projection"]
    assert np.isnan(chart[:2]).all() and chart[2] == c.demand.ratio[at(c, PROJECTION)]
    assert "Placing the projection" not in demand_by_lift(computed(lifts=pile(2)))


def test_the_gate_before_placing_asks_for_the_projection() -> None:
    c = jutting()
    gate = (c.gates.lift == 1) & (c.gates.gate == PLACE_NEXT)
    assert c.gates.by_anchors[gate][0] == c.demand.required[at(c, PROJECTION)]
    assert "Placing the projection" in c.gates.governed_by[gate][0]


def tried(c: Calculation) -> set[str]:
    """Return the combinations tried for the stage, in words."""
    combined = forces(c.job, c.layout, c.cases, c.pressure, load_factors("EN partial factors"))
    return set(combined.forces.combination[combined.case == at(c, PROJECTION)].tolist())


slope = st.floats(-3.0, 3.0)


@given(reach=st.floats(0.1, 4.0), root=st.floats(0.0, 2.0), tip=st.floats(0.0, 2.0), near=slope, far=slope)
def test_no_order_of_placing_is_worse(reach: float, root: float, tip: float, near: float, far: float) -> None:
    """From the face outward, from the tip inward, and any slice: none has more effect than the part that is taken."""
    edge = np.linspace(0.0, reach, 81)
    middle = (edge[1:] + edge[:-1]) / 2.0
    slices = (root + (tip - root) * middle / reach) * np.diff(edge) * (near + far * middle)
    summed = np.r_[0.0, np.cumsum(slices)]
    worst = float(np.triu(summed[None, :] - summed[:, None]).max())  # any part between two edges
    begin, end = (
        float(v[0])
        for v in worst_part(reach=np.array([reach]), at_face=np.array([near]), by_distance=np.array([far]))
    )
    assert 0.0 <= begin <= end <= reach or begin == end
    assert begin == 0.0 or end == reach
    fine = np.linspace(begin, end, 4001)
    x = (fine[1:] + fine[:-1]) / 2.0
    taken = float(((root + (tip - root) * x / reach) * np.diff(fine) * (near + far * x)).sum())
    assert taken >= worst - 1e-2 * (1.0 + abs(worst))


def test_on_a_battered_lift_below_it_is_worst_filled_from_the_tip_inward() -> None:
    # the lift below battered by 40 degrees: a weight at the face pulls less than one further out. By hand: on one plane face T
    # changes with a weight at x by (x + c sin theta_b) / (c - a), which is 0 at 2.4 x 0.642788 = 1.5427 m: beyond the reach,
    # so nothing is counted; with a foot at 1.2 m, at 0.7713 m
    assert "greatest tension; projection empty" in tried(jutting(below=-40.0))
    near = jutting(below=-40.0, units=[{"Foot depth": 1.2}])
    assert "greatest tension; projection from the tip inward to 0.77 m" in tried(near)
    assert "greatest tension; projection full" in tried(jutting(below=40.0))


@pytest.mark.parametrize("key", ["Projection reach", "Projection thickness", "Projection tip thickness"])
def test_more_of_a_projection_never_asks_for_less(key: str) -> None:
    found = []
    for more in (1.0, 1.3, 1.6):
        lifts = pile(2)
        lifts[-1] |= SLAB | {key: SLAB[key] * more}
        c = computed(lifts=lifts)
        found.append(float(c.demand.ratio[at(c, PROJECTION)]))
    assert (np.diff(found) > 0.0).all()


def test_a_tip_left_blank_is_a_level_soffit() -> None:
    lifts = [pile(2), pile(2)]
    lifts[0][-1] |= {"Projection reach": 1.0, "Projection thickness": 0.4}
    lifts[1][-1] |= {"Projection reach": 1.0, "Projection thickness": 0.4, "Projection tip thickness": 0.4}
    a, b = (computed(lifts=one) for one in lifts)
    np.testing.assert_array_equal(a.forces.tension, b.forces.tension)


def test_a_projection_wants_initials_and_an_anchor() -> None:
    (flag,) = (flag for flag in all_flags(jutting()) if flag.heading == "Projection reach")
    assert flag.level is Level.ACCEPT
    lifts = pile(2)
    lifts[0] |= SLAB
    flags = [flag for flag in all_flags(computed(lifts=lifts)) if flag.code is Code.NOT_COMPUTED]
    assert [flag.keys for flag in flags if flag.heading == "Projection reach"] == [("B1", "1", "projection")]
