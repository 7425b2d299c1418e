"""Listed anchors, groups and the detail sheet where faces lean and lower rows are anchored."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from builders import computed, pile

from sheetengine.clauses.load_factors import load_factors
from sheetengine.design.anchor_demand import anchor_demand, seated
from sheetengine.design.anchor_detail import detail_columns
from sheetengine.design.anchor_judging import EDGE_UP
from sheetengine.design.calculate import Calculation
from sheetengine.design.combinations import forces
from sheetengine.design.stages import PLACING, STANDING

EN, INCH, METRIC = "EN 1992-4:2018", "ACI 318-19", "ACI 318M-19"
BASES = {EN: "EN partial factors", INCH: "ACI strength", METRIC: "ACI strength"}


def listed(
    leans: tuple[float, ...], positions: list[tuple[float, float | None]], method: str = EN, **changes: Any
) -> Calculation:
    """Return a pile that leans, from the bottom up, with the anchors of its last lift listed."""
    lifts = pile(len(leans), Thickness=6.0)
    for lift, lean in zip(lifts, leans, strict=True):
        lift["Face inclination"] = lean
    job = {"Anchor method": method, "Safety basis": BASES[method], "Least lateral load": "none"}
    rows = [
        {"Block": "B1", "Lift": len(leans), "Position": x} | ({"Depth": d} if d else {}) for x, d in positions
    ]
    return computed(
        job=job | changes.pop("job", {}), lifts=lifts, optional={"Anchor positions": rows}, **changes
    )


def at(c: Calculation, lift: int, stage: int, *, lower: bool = False) -> int:
    (found,) = np.flatnonzero((c.cases.lift == lift) & (c.cases.stage == stage) & (c.cases.lower == lower))
    return int(found)


@pytest.mark.parametrize("leans", [(20.0, -10.0, 15.0), (-25.0, 10.0, 0.0), (12.0, 12.0, -5.0)])
def test_two_anchors_on_a_bracket_hold_what_one_at_their_resultant_holds(leans: tuple[float, ...]) -> None:
    """Property: tensions by the lever about the line of the foot's force add up to that of one anchor at their resultant."""
    unit = {"Foot depth": 3.5, "Anchor depth": 0.4}
    pair = listed(leans, [(3.0, 0.3), (3.0, 0.9), (11.0, None)], units=[unit])
    case = at(pair, 2, PLACING)
    places = seated(pair.job, pair.layout, pair.cases, pair.spots, pair.forces.shear)
    rows = np.flatnonzero((places.spots.lift == places.seat[case]) & (places.spots.position == 3.0))
    assert rows.size == 2
    pull = places.spots.pull[rows]
    middle = float((pull * [0.3, 0.9]).sum() / pull.sum())
    single = listed(leans, [(3.0, None), (11.0, None)], units=[unit | {"Anchor depth": middle}])

    def service(c: Calculation) -> tuple[float, float]:
        # the same actions on both: factors of 1, nothing that helps or harms by choice
        tried = forces(c.job, c.layout, c.cases, c.pressure, load_factors("ACI service load"))
        first = int(np.flatnonzero(tried.case == case)[0])
        return float(tried.forces.tension[first]), float(tried.forces.foot[first])

    (one, foot), (other, other_foot) = service(pair), service(single)
    width = 7.0  # half of 15 m less 1 m, either side of the middle between 3 m and 11 m
    assert places.spots.width[rows].sum() == pytest.approx(width)
    assert (one * pull).sum() == pytest.approx(other * width, rel=1e-9)
    extra = places.spots.foot_pull[rows].sum() * one
    assert foot * width + extra == pytest.approx(other_foot * width, rel=1e-9)


@pytest.mark.parametrize("method", [EN, METRIC, INCH])
def test_upward_edge_of_a_listed_pair_is_that_of_its_group(method: str) -> None:
    # 0.9 m apart: cones of 3 x 250 mm are apart, edges of 3 x 400 mm are not
    strong = [{"Embedment": 250.0}]
    near = listed((0.0, -30.0), [(6.0, None), (6.9, None)], method, anchors=strong)
    far = listed((0.0, -30.0), [(6.0, None), (9.0, None)], method, anchors=strong)
    case = at(near, 1, PLACING)
    assert near.forces.shear[case] < 0.0
    c1, reach = 400.0, 600.0
    covered = [(2.0 * reach + 900.0) / 2.0, 2.0 * reach]  # of one anchor: half of the pair, or all by itself
    upward = [float(c.uplift[case]) for c in (near, far)]
    # widths: up to the middle between the two, 6.45 and 8.55 m of 15 m; 7.5 m each
    groups = near.demand.proof.groups
    assert groups is not None
    row = near.demand.row[case]
    assert groups.edge_up.count[row] == 2.0
    assert groups.edge_up.length[row] == pytest.approx(2.0 * covered[0])
    assert groups.edge_up.distance[row] == pytest.approx(c1)
    widths = np.array([6.45, 8.55])
    eccentric = abs((widths * [6000.0, 6900.0]).sum() / 15.0 - 6450.0)
    factor = max(1.0 / (1.0 + 2.0 * eccentric / (3.0 * c1)), 7.5 / 8.55)
    ratios = [float(c.demand.modes[EDGE_UP][case]) for c in (near, far)]
    # share of the pair's resistance goes with the load, so that each anchor has the ratio of the pair
    expected = (upward[0] * 15.0 / (2.0 * covered[0] * factor)) / (upward[1] * 7.5 / covered[1])
    assert ratios[0] / ratios[1] == pytest.approx(expected, rel=1e-9)


def test_overhang_brings_the_heads_of_a_group_nearer_to_the_joint() -> None:
    c = listed((20.0, 20.0), [(6.0, None), (6.4, None)], anchors=[{"Embedment": 250.0}])
    case = at(c, 1, PLACING)
    up = 400.0 - 250.0 * math.tan(math.radians(20.0))
    groups, row = c.demand.proof.groups, c.demand.row[case]
    assert groups is not None
    assert c.demand.proof.anchors.up[row] == pytest.approx(up)
    assert groups.cones.edge[row] == pytest.approx(up)
    covered = (2.0 * 375.0 + 400.0) * (375.0 + up)
    assert groups.cones.area[row] == pytest.approx(covered, rel=1e-9)


def test_a_lower_row_has_one_anchor_a_bracket_and_groups_of_its_own() -> None:
    c = listed(
        (0.0, 0.0, 0.0), [(3.0, 0.3), (3.0, 0.9), (3.5, None), (11.0, None)],
        units=[{"Lower row": "anchored", "Foot depth": 3.5}],
        anchors=[{}, {"Anchor": "A2", "Embedment": 150.0}],
        job={"Foundation strength": (25.0, "MPa"), "Storm wind": (3.0, "kPa")},
    )  # fmt: skip
    case = at(c, 2, STANDING, lower=True)
    places = seated(c.job, c.layout, c.cases, c.spots, c.forces.shear)
    rows = np.flatnonzero(places.spots.lift == places.seat[case])
    np.testing.assert_allclose(places.spots.position[rows], [3.0, 3.5, 11.0])
    np.testing.assert_allclose(places.spots.width[rows].sum(), 15.0)
    np.testing.assert_array_equal(places.spots.pull[rows], places.spots.width[rows])
    np.testing.assert_allclose(places.spots.depth[rows], 0.5)  # 3.5 m down lifts of 3 m
    assert c.cases.carrier[case] == 0
    groups = c.demand.proof.groups
    assert groups is not None
    assert groups.cones.count[rows].tolist()[:2] == [2.0, 2.0]
    assert np.isnan(groups.cones.count[rows][2])
    worst = c.demand.row[case]
    assert c.demand.tension[case] == pytest.approx(c.forces.tension[case] * c.demand.width[case])
    assert worst in rows


@pytest.mark.parametrize("method", [EN, METRIC, INCH])
def test_detail_of_the_upward_edge_gives_its_ratio(method: str) -> None:
    c = listed((0.0, -30.0), [(0.5, None), (6.0, None), (6.5, None), (12.0, None)], method)
    columns = detail_columns(c)
    assert {name for name in columns if name.startswith("Upward edge")} >= {"Upward edge ratio"}
    case = at(c, 1, PLACING)
    shear = columns["Shear [kN]"][case]
    assert shear < 0.0
    assert columns["Upward edge edge distance [mm]"][case] == pytest.approx(400.0)
    factors = ["edge", "thickness", "eccentricity", "direction"] + ([] if method == EN else ["cracking"])
    own = []
    for prefix, part in (
        ("Upward edge", 1.0),
        ("Group upward edge", columns["Group upward edge part"][case]),
    ):
        if np.isnan(columns[f"{prefix} area [mm2]"][case]):
            continue
        whole = columns[f"{prefix} basic resistance [kN]"][case] * columns[f"{prefix} area [mm2]"][case]
        whole /= 4.5 * columns[f"{prefix} edge distance [mm]"][case] ** 2
        for factor in factors:
            whole *= columns[f"{prefix} {factor} factor"][case]
        assert columns[f"{prefix} resistance [kN]"][case] == pytest.approx(whole, rel=1e-9)
        own.append(-shear * columns["Upward edge divisor"][case] / (whole * part))
        assert columns[f"{prefix} ratio"][case] == pytest.approx(own[-1], rel=1e-9)
    # the mode's ratio is the greatest of the combinations, the sheet shows the governing one
    assert 0.0 < max(own) <= c.demand.modes[EDGE_UP][case] * (1.0 + 1e-9)


def test_demand_takes_combinations_and_subsets_of_cases() -> None:
    c = listed((10.0, -20.0), [(0.5, None), (6.0, None), (6.5, None), (12.0, None)])
    tried = forces(c.job, c.layout, c.cases, c.pressure, c.factors)
    whole = anchor_demand(c.job, c.layout, c.cases, c.spots, tried, c.demand.strength)
    np.testing.assert_array_equal(whole.ratio, c.demand.ratio)
    rows = np.array([at(c, 1, PLACING), at(c, 1, STANDING)])
    some = c.cases.at(rows)
    loads = forces(c.job, c.layout, some, c.pressure, c.factors)
    part = anchor_demand(c.job, c.layout, some, c.spots, loads, c.demand.strength[rows], with_required=False)
    np.testing.assert_allclose(part.ratio, c.demand.ratio[rows], rtol=1e-12)
