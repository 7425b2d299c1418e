"""Listed anchors by their own share and as groups: exact areas, eccentricity, two rows, supplementary bars."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from anchor_equations import INCH_POUND, SI
from builders import computed, pile
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq
from shapely.geometry import box
from shapely.ops import unary_union
from support import case

from sheetengine.clauses import aci318_17, aci318_17_factors, en1992_4_pry_out, en1992_4_tension
from sheetengine.design.anchor_areas import linked, near_pairs, union_areas, union_lengths
from sheetengine.design.anchor_demand import anchor_demand
from sheetengine.design.anchor_groups import Cones, cone_groups, edge_groups
from sheetengine.design.calculate import Calculation
from sheetengine.design.flags import all_flags
from sheetengine.design.stages import HUNG, PLACING
from sheetengine.findings import Code

EN, INCH, METRIC = "EN 1992-4:2018", "ACI 318-19", "ACI 318M-19"
BASES = {EN: "EN partial factors", INCH: "ACI strength", METRIC: "ACI strength"}
CONE, BLOW_OUT, PRY_OUT, EDGE = "Concrete cone", "Side-face blow-out", "Pry-out", "Concrete edge"
FAR = 1e9


def same(x: np.ndarray, value: float) -> np.ndarray:
    return np.full(x.shape, float(value))


def area(x: np.ndarray, y: np.ndarray, reach: float, right: float, low: float, high: float) -> float:
    (found,) = union_areas(
        np.zeros(x.size, dtype=np.int64), x, y, same(x, reach), left=same(x, 0.0), right=same(x, right),
        low=same(x, low), high=same(x, high),
    )  # fmt: skip
    return float(found)


def by_polygons(x: np.ndarray, y: np.ndarray, reach: float, right: float, low: float, high: float) -> float:
    squares = [box(a - reach, b - reach, a + reach, b + reach) for a, b in zip(x, y, strict=True)]
    return float(unary_union(squares).intersection(box(0.0, low, right, high)).area)


def test_areas_of_four_hundred_random_groups_by_a_polygon_library() -> None:
    rng = np.random.default_rng(1)
    for number in range(400):
        count, right, low = (
            int(rng.integers(1, 12)),
            float(rng.uniform(0.5, 6.0)),
            -float(rng.uniform(0.3, 2.0)),
        )
        x, y = rng.uniform(0.0, right, count), rng.uniform(low, 0.0, count)
        if number % 3 == 0:  # sides that fall together
            x, y = np.round(x, 1), np.round(y, 1)
        reach = float(rng.uniform(0.05, 1.2))
        expected = by_polygons(x, y, reach, right, low, 0.0)
        assert area(x, y, reach, right, low, 0.0) == pytest.approx(expected, rel=1e-9)


def test_areas_of_many_groups_at_once_are_those_of_each() -> None:
    rng = np.random.default_rng(2)
    group = np.sort(rng.integers(0, 40, 300))
    _, group = np.unique(group, return_inverse=True)
    x, y, reach = (
        rng.uniform(0.0, 4.0, 300),
        rng.uniform(-1.0, 0.0, 300),
        rng.uniform(0.1, 0.5, group.max() + 1)[group],
    )
    together = union_areas(
        group, x, y, reach, left=same(x, 0.0), right=same(x, 4.0), low=same(x, -9.0), high=same(x, 0.0)
    )
    lengths = union_lengths(group, x, reach, left=same(x, 0.0), right=same(x, 4.0))
    for number in range(together.size):
        own = group == number
        size = float(reach[own][0])
        assert together[number] == pytest.approx(by_polygons(x[own], y[own], size, 4.0, -9.0, 0.0), rel=1e-9)
        flat = by_polygons(x[own], 0.0 * x[own], size, 4.0, -1e-9, 1e-9) / 2e-9
        assert lengths[number] == pytest.approx(flat, rel=1e-6)


places = st.lists(
    st.tuples(st.floats(0.05, 3.95), st.floats(-1.4, -0.05)), min_size=1, max_size=7, unique=True
)  # fmt: skip


@settings(max_examples=150, deadline=None)
@given(places, st.floats(0.05, 0.8))
def test_an_area_is_the_same_mirrored_and_in_any_order_and_grows_with_every_anchor(
    spots: list[tuple[float, float]], reach: float
) -> None:
    x, y = (np.array(column) for column in zip(*spots, strict=True))
    whole = area(x, y, reach, 4.0, -1.5, 0.0)
    assert area(4.0 - x, y, reach, 4.0, -1.5, 0.0) == pytest.approx(whole, rel=1e-12)
    assert area(x, -1.5 - y, reach, 4.0, -1.5, 0.0) == pytest.approx(whole, rel=1e-12)
    assert area(x[::-1], y[::-1], reach, 4.0, -1.5, 0.0) == pytest.approx(whole, rel=1e-12)
    single = [area(x[at : at + 1], y[at : at + 1], reach, 4.0, -1.5, 0.0) for at in range(x.size)]
    assert max(single) * (1 - 1e-12) <= whole <= sum(single) * (1 + 1e-12)
    if x.size > 1:
        assert area(x[1:], y[1:], reach, 4.0, -1.5, 0.0) <= whole * (1 + 1e-12)


@settings(max_examples=100, deadline=None)
@given(places, st.floats(0.05, 0.8))
def test_anchors_are_linked_where_their_squares_overlap(
    spots: list[tuple[float, float]], half: float
) -> None:
    x, y = (np.array(column) for column in zip(*sorted(spots), strict=True))
    first, second = near_pairs(np.zeros(x.size, dtype=np.int64), x, y, same(x, half))
    found = set(zip(first.tolist(), second.tolist(), strict=True))
    brute = {
        (i, j)
        for i in range(x.size)
        for j in range(i + 1, x.size)
        if max(abs(x[i] - x[j]), abs(y[i] - y[j])) < 2.0 * half
    }
    assert found == brute
    group = linked(x.size, first, second)
    assert all(group[i] == group[j] for i, j in brute)
    assert group[0] == 0


def cones(
    x: list[float], depth: list[float], hef: float, length: float, pull: list[float] | None = None
) -> Cones:
    """Return the groups of a row, lengths in mm."""
    at = np.array(x)
    force = np.array(pull) if pull else np.ones(at.size)
    return cone_groups(
        np.zeros(at.size, dtype=np.int64),
        at,
        np.array(depth),
        same(at, length),
        same(at, hef),
        force,
        np.ones(at.size),
    )


def test_published_corner_group_of_four() -> None:
    # Betongelementboka B19: 150 x 220 mm between anchors, 80 and 100 mm from the two edges of a corner
    printed = case("A-B19-01")
    found = cones([80.0, 80.0, 230.0, 230.0], [100.0, 320.0, 100.0, 320.0], printed.given("hef"), FAR)
    assert set(found.count.tolist()) == {4.0}
    printed.check("AcN", found.area[0])
    edge = en1992_4_tension.cone_edge_influence(edge_distance=found.edge[:1], embedment_depth=found.depth[:1])
    printed.check("psi_s", edge)


def test_published_pair_along_an_edge() -> None:
    printed = case("A-318-02")
    ca1, s, hef = (printed.given(name) for name in ("ca1", "s", "hef"))
    found = cones([1000.0, 1000.0 + s], [ca1, ca1], hef, FAR)
    printed.check("ANc", found.area[0])
    one = np.ones(2)
    share = aci318_17_factors.tension_breakout_share(
        projected_area=found.area,
        reference_area=aci318_17_factors.reference_cone_area(embedment_depth=found.depth),
        edge_influence=aci318_17_factors.cone_edge_influence(edge_distance=found.edge, embedment_depth=found.depth),
        eccentricity_influence=one, cracking_influence=one,
    )  # fmt: skip
    basic = aci318_17.basic_breakout(
        breakout_factor=24.0 * one, deep_breakout_factor=16.0 * one, lightweight_factor=one,
        cylinder_strength=printed.given("fc") * one, embedment_depth=found.depth,
    )  # fmt: skip
    printed.check("Ncbg", aci318_17.breakout_strength(basic_resistance=basic, breakout_share=share)[0])
    assert found.pull.tolist() == [0.5, 0.5]


def test_published_pair_between_three_edges() -> None:
    # commentary of ACI 318: depth 5.5 in, edges 6 in on one side, 4 on the other, 5 at the end, 9 in apart. The face has
    # one free joint; its mirror image gives the fourth edge, so the two sides are looked at one at a time
    printed = case("A-318-R17")
    left, s, up, down = (printed.given(name) for name in ("left", "s", "up", "down"))
    reduced = printed.printed("hef_reduced")
    x = np.array([left, left + s], dtype=np.float64)
    found = union_areas(
        np.zeros(2, dtype=np.int64), x, np.zeros(2), same(x, 1.5 * reduced), left=same(x, 0.0), right=same(x, FAR),
        low=same(x, -down), high=same(x, up),
    )  # fmt: skip
    printed.check("ANc", found)


def test_published_group_of_three_a_row_in_pry_out() -> None:
    printed = case("A-EN-03")
    hef, fck, area_m2 = (printed.given(name) for name in ("hef", "fck", "Ac_N"))
    one = np.ones(1)
    cone = en1992_4_tension.cone_resistance(
        basic_resistance=en1992_4_tension.basic_cone_resistance(
            cone_factor=8.9 * one, cylinder_strength=fck * one, embedment_depth=hef * one
        ),
        projected_area=area_m2 * 1e6 * one, reference_area=en1992_4_tension.reference_cone_area(embedment_depth=hef * one),
        edge_influence=one, spalling_factor=one, eccentricity_influence=one, compression_influence=one,
    )  # fmt: skip
    pry = en1992_4_pry_out.pry_out_resistance(
        pry_out_multiple=en1992_4_pry_out.pry_out_factor(embedment_depth=hef * one), tension_breakout=cone
    )
    assert pry / cone == pytest.approx(2.0)


def listed(positions: list[tuple[float, float | None]], method: str = EN, **changes: Any) -> Calculation:
    rows = [{"Block": "B1", "Lift": 2, "Position": x} | ({"Depth": d} if d else {}) for x, d in positions]
    return computed(
        job={"Anchor method": method, "Safety basis": BASES[method]},
        optional={"Anchor positions": rows},
        lifts=pile(2, Thickness=3.0, **changes.pop("lift", {})),
        **changes,
    )


def placing(c: Calculation) -> int:
    return int(np.flatnonzero((c.cases.stage == PLACING) & (c.cases.lift == 1))[0])


UNEVEN = [(2.0, None), (2.3, None), (2.45, None), (6.0, None), (9.0, None), (14.0, None)]


@pytest.mark.parametrize("method", [EN, INCH, METRIC])
def test_an_uneven_group_by_hand(method: str) -> None:
    """Three anchors 300 and 150 mm apart, 400 mm below the joint, carrying 2.15, 0.225 and 1.85 m of face."""
    c = listed(UNEVEN, method)
    at = placing(c)
    f, h = float(c.demand.strength[at]), 300.0
    widths = [2.0 + 0.15, 0.15 + 0.075, 0.075 + 1.775]
    shares = [450.0 + 150.0, 150.0 + 75.0, 75.0 + 450.0]
    x = [0.0, 300.0, 450.0]
    total = sum(widths)
    e = abs(sum(w * p for w, p in zip(widths, x, strict=True)) / total - sum(x) / 3.0)
    psi_ec = max(1.0 / (1.0 + 2.0 * e / (3.0 * h)), total / 3.0 / max(widths))
    psi_s = 0.7 + 0.3 * 400.0 / 450.0
    if method == EN:
        basic = 8.9 * math.sqrt(f) * h**1.5 / 1000.0 / 1.5
    else:
        by = INCH_POUND if method == INCH else SI
        depth = h / by.length
        basic = by.kc * depth**1.5
        if by.deep[0] <= depth <= by.deep[1]:
            basic = by.k_deep * depth ** (5.0 / 3.0)
        basic *= math.sqrt(f / by.stress) * by.force * 0.70

    def resistance(width: float) -> float:
        return basic * width * (400.0 + 450.0) / (9.0 * h**2) * psi_s

    whole = resistance(450.0 + 3.0 * h) * psi_ec
    spots = np.flatnonzero((c.spots.lift == 1) & (c.spots.position < 3.0))
    np.testing.assert_allclose(c.spots.width[spots], widths, rtol=1e-12)
    proof = c.demand.proof
    root = math.sqrt(f)
    governed = []
    for width, share in zip(widths, shares, strict=True):
        own = np.flatnonzero(np.isclose(proof.anchors.shear, width))[0]
        part = whole * width / total
        expected = min(resistance(share), part)
        found = proof.held.concrete[CONE][own] * root / proof.held.divisors[CONE][own]
        assert found == pytest.approx(expected, rel=1e-9)
        pry = proof.held.concrete[PRY_OUT][own] * root / proof.held.divisors[PRY_OUT][own]
        assert pry == pytest.approx(2.0 * expected, rel=1e-9)
        assert proof.held.by_group[CONE][own] == (part < resistance(share))
        governed.append(bool(part < resistance(share)))
    assert governed == [False, True, False]


def groups_by_hand(x: list[float], y: list[float], reach: float) -> list[set[int]]:
    """Return the sets of anchors whose squares hang together, grown one at a time."""
    left, found = set(range(len(x))), []
    while left:
        group, edge = set(), {min(left)}
        while edge:
            group |= edge
            edge = {
                j
                for j in left - group
                if any(max(abs(x[i] - x[j]), abs(y[i] - y[j])) < 2.0 * reach for i in edge)
            }
        left -= group
        found.append(group)
    return found


@pytest.mark.parametrize("seed", range(40))
def test_cones_of_random_layouts_by_plain_numbers_and_polygons(seed: int) -> None:
    """EN 1992-4 7.2.1.4 once more, one anchor and one group at a time, areas by a polygon library."""
    rng = np.random.default_rng(seed)
    hef, length = float(rng.uniform(200.0, 600.0)), 1000.0 * float(rng.uniform(1.0, 12.0))
    count = int(rng.integers(2, 9))
    columns = np.sort(rng.uniform(0.03, 0.97, count)) * length / 1000.0
    positions: list[tuple[float, float | None]] = []
    for place in columns.tolist():
        depths = rng.choice([0.2, 0.4, 0.8, 1.1], int(rng.integers(1, 3)), replace=False)
        positions += [(place, float(depth)) for depth in sorted(depths)]
    c = listed(positions, anchors=[{"Embedment": hef}], lift={"Face_length": length / 1000.0})
    own = np.flatnonzero(c.spots.lift == 1)
    x, y = (c.spots.position[own] * 1000.0).tolist(), (c.spots.depth[own] * 1000.0).tolist()
    pull, width = c.spots.pull[own].tolist(), c.spots.width[own].tolist()
    held = c.demand.proof.held.concrete
    assert np.isclose(np.sum(width), length / 1000.0)
    for group in groups_by_hand(x, y, 1.5 * hef):
        members = sorted(group)
        if len(members) == 1:
            continue
        edges = [min(y[i] for i in members), min(x[i] for i in members), min(length - x[i] for i in members)]
        close = [edge for edge in edges if edge < 1.5 * hef]
        gaps = [b - a for axis in (x, y) for a, b in pairwise(sorted(axis[i] for i in members))]
        depth = min(max(max(close) / 1.5, max(gaps) / 3.0), hef) if len(close) == 3 else hef
        squares = [
            box(x[i] - 1.5 * depth, -y[i] - 1.5 * depth, x[i] + 1.5 * depth, -y[i] + 1.5 * depth)
            for i in members
        ]
        covered = unary_union(squares).intersection(box(0.0, -1e6, length, 0.0)).area
        psi_s = min(0.7 + 0.3 * min(edges) / (1.5 * depth), 1.0)
        base = 8.9 * depth**1.5 / 1000.0 * covered / (9.0 * depth**2) * psi_s
        for mode, force, times in ((CONE, pull, 1.0), (PRY_OUT, width, 2.0)):
            total = sum(force[i] for i in members)
            psi = 1.0
            for axis in (x, y):
                e = sum(force[i] * axis[i] for i in members) / total - sum(axis[i] for i in members) / len(
                    members
                )
                psi /= 1.0 + 2.0 * abs(e) / (3.0 * depth)
            psi = max(psi, total / len(members) / max(force[i] for i in members))
            for i in members:
                part = times * base * psi * force[i] / total
                assert held[mode][i] <= part * (1.0 + 1e-9)
                if c.demand.proof.held.by_group[mode][i]:
                    assert held[mode][i] == pytest.approx(part, rel=1e-9)


def test_the_flag_and_the_sheet_name_the_group() -> None:
    c = listed([(x, None) for x in (0.1, 0.4, 3.0, 5.0, 7.0, 9.0, 11.0, 12.5, 14.0)])
    told = [flag.message for flag in all_flags(c) if "in a group of" in flag.message]
    by_group = ~np.isnan(c.demand.group)
    assert by_group.any()
    assert bool(told) == bool((by_group & (c.demand.ratio > 1.0)).any())


@pytest.mark.parametrize("method", [EN, METRIC])
@pytest.mark.parametrize("spacing", [0.35, 0.6, 0.95, 1.4])
@pytest.mark.parametrize("end", [0.12, 0.3, 0.7])
def test_an_even_row_that_is_listed_is_not_worse_as_a_group(method: str, spacing: float, end: float) -> None:
    """The claim behind leaving evenly spaced rows to their shares: no group of theirs is the worse of the two."""
    count = 9
    length = 2.0 * end + (count - 1) * spacing
    shape = {"Face_length": length, "End_distance": end, "Anchor_spacing": spacing}
    job = {"Anchor method": method, "Safety basis": BASES[method]}
    even = computed(job=job, lifts=pile(2, Thickness=3.0, **shape))
    row = listed([(end + number * spacing, None) for number in range(count)], method, lift=shape)
    at = placing(even)
    for mode in (CONE, BLOW_OUT, PRY_OUT, EDGE, "Head pull-out"):
        assert row.demand.modes[mode][at] <= even.demand.modes[mode][at] * (1.0 + 1e-9), mode
    assert row.demand.ratio[at] <= even.demand.ratio[at] * (1.0 + 1e-9)


def test_two_rows_hold_the_moment_of_one_by_their_levers() -> None:
    # foot 2.4 m, rows 0.3 and 0.9 m below the joint: levers 2.1 and 1.5 m; the unit's own anchor has 2.0 m
    c = listed([(1.0, 0.3), (1.0, 0.9), (7.0, 0.3), (7.0, 0.9), (14.0, None)], anchors=[{"Embedment": 250.0}])
    spots = c.spots
    own = np.flatnonzero((spots.lift == 1) & (spots.position == 7.0))
    width = 3.0 + 3.5
    np.testing.assert_allclose(spots.width[own], width / 2.0)
    np.testing.assert_allclose(
        spots.pull[own], [width * 2.0 * 2.1 / (2.1**2 + 1.5**2), width * 2.0 * 1.5 / (2.1**2 + 1.5**2)]
    )
    assert (spots.pull[own] * [2.1, 1.5]).sum() == pytest.approx(width * 2.0)  # moments about the foot
    assert (spots.foot_pull[own] * 2.0).sum() == pytest.approx(spots.pull[own].sum() * 2.0 - width * 2.0)
    # 0.6 m apart, within 3 x 250 mm: half way each
    assert spots.below[own[0]] == pytest.approx(0.3)
    assert spots.above[own[1]] == pytest.approx(0.3)
    single = np.flatnonzero((spots.lift == 1) & (spots.position == 14.0))
    np.testing.assert_allclose(spots.pull[single], spots.width[single])
    # equilibrium across the face at the worst anchor's bracket: C = T - P - W
    at = placing(c)
    column = np.flatnonzero((spots.lift == 1) & (spots.position == spots.position[c.demand.spot[at]]))
    tension = (c.forces.tension[at] * spots.pull[column]).sum()
    pushed = (c.forces.tension[at] - c.forces.foot[at]) * spots.width[column].sum()
    assert c.demand.foot[at] * column.size == pytest.approx(tension - pushed)


def test_a_deeper_anchor_has_a_shorter_lever() -> None:
    # unit's anchor 0.4 m below the joint, foot 2.4 m: an anchor 0.9 m deep takes 2.0 / 1.5 of the tension
    c = listed([(3.0, 0.9), (11.0, None)])
    deep, usual = np.flatnonzero(c.spots.lift == 1)
    assert c.spots.pull[deep] / c.spots.width[deep] == pytest.approx(2.0 / 1.5)
    assert c.spots.pull[usual] / c.spots.width[usual] == pytest.approx(1.0)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        st.tuples(st.integers(3, 147), st.sampled_from([0.25, 0.4, 0.75])),
        min_size=2,
        max_size=6,
        unique=True,
    ),
    st.sampled_from([EN, METRIC]),
)
def test_mirrored_and_shuffled_layouts_have_the_same_ratios(
    spots: list[tuple[int, float]], method: str
) -> None:
    positions: list[tuple[float, float | None]] = [(x / 10.0, d) for x, d in spots]
    c = listed(positions, method)
    mirrored = listed([(15.0 - x, d) for x, d in positions], method)
    shuffled = listed(positions[::-1], method)
    np.testing.assert_allclose(mirrored.demand.ratio, c.demand.ratio, rtol=1e-9)
    np.testing.assert_allclose(mirrored.demand.required, c.demand.required, rtol=1e-9)
    np.testing.assert_array_equal(shuffled.demand.ratio, c.demand.ratio)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        st.tuples(st.integers(10, 140), st.sampled_from([0.25, 0.4, 0.8])),
        min_size=1,
        max_size=5,
        unique=True,
    ),
    st.tuples(st.integers(10, 140), st.sampled_from([0.3, 0.5])),
)
def test_a_neighbour_never_makes_an_anchors_own_share_larger(
    spots: list[tuple[int, float]], more: tuple[int, float]
) -> None:
    positions: list[tuple[float, float | None]] = [(x / 10.0, d) for x, d in spots]
    before, after = listed(positions), listed([*positions, (more[0] / 10.0, more[1])])

    def share(c: Calculation) -> dict[tuple[float, float], float]:
        s, reach = c.spots, 0.45
        return {
            (s.position[at], s.depth[at]): float(
                (min(s.left[at], reach) + min(s.right[at], reach))
                * (min(s.depth[at], s.above[at], reach) + min(s.below[at], reach))
            )
            for at in np.flatnonzero(s.lift == 1).tolist()
        }

    small, large = share(after), share(before)
    for place, value in large.items():
        assert small[place] <= value * (1.0 + 1e-12)
    in_order = sorted(positions)
    group = cones(
        [x * 1000.0 for x, _ in in_order], [(d or 0.0) * 1000.0 for _, d in in_order], 300.0, 15000.0
    )
    covered = float((group.area / group.count).sum()) / 1e6
    assert sum(large.values()) <= covered * (1.0 + 1e-9), "no piece of concrete is counted for two"


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(0.3, 3.0), min_size=2, max_size=6), st.floats(0.1, 0.6), st.floats(0.15, 0.8))
def test_a_group_never_holds_more_than_its_anchors_alone(gaps: list[float], up: float, hef: float) -> None:
    x = np.cumsum(gaps) * 1000.0
    length = float(x[-1] + 500.0)
    found = cones(x.tolist(), [up * 1000.0] * x.size, hef * 1000.0, length)
    h = hef * 1000.0
    for at in range(x.size):
        one = cones([x[at]], [up * 1000.0], h, length)
        if found.count[at] == 1.0:
            assert found.area[at] == pytest.approx(one.area[0])

    def resistance(group: Cones, at: int) -> float:
        psi = min(0.7 + 0.3 * group.edge[at] / (1.5 * group.depth[at]), 1.0)
        return float(group.depth[at] ** 1.5 * group.area[at] / (9.0 * group.depth[at] ** 2) * psi)

    if (found.depth == h).all() and (found.count == x.size).all():
        alone = sum(resistance(cones([p], [up * 1000.0], h, length), 0) for p in x.tolist())
        assert resistance(found, 0) <= alone * (1.0 + 1e-12)


@pytest.mark.parametrize("method", [EN, INCH, METRIC])
def test_nothing_jumps_where_two_cones_begin_to_overlap(method: str) -> None:
    """At three depths apart, a pair of equal anchors is worth two single ones: EN 1992-4 s_cr,N, ACI 318-19 17.5.1.3."""
    ratios = [
        float(listed([(7.5 - half, None), (7.5 + half, None)], method).demand.modes[mode][0])
        for mode in (CONE, PRY_OUT)
        for half in (0.45 - 1e-9, 0.45 + 1e-9)
    ]
    assert ratios[0] == pytest.approx(ratios[1], rel=1e-6)
    assert ratios[2] == pytest.approx(ratios[3], rel=1e-6)


def test_no_eccentricity_lowers_a_group_below_every_anchor_at_the_greatest_load() -> None:
    # two anchors on one end of a long chain carry three times the others
    x = [1000.0 + 400.0 * number for number in range(20)]
    pull = [3.0, 3.0] + [1.0] * 18
    found = cones(x, [400.0] * 20, 300.0, FAR, pull)
    assert found.pull_mean[0] == pytest.approx(24.0 / 20.0 / 3.0)
    factor = 1.0 / (1.0 + 2.0 * found.pull_along[0] / 900.0)
    assert factor < 1.0
    assert max(factor, found.pull_mean[0]) >= found.pull_mean[0]


def test_blow_out_of_a_group_by_hand() -> None:
    # three heads 100 mm below the joint, 150 and 250 mm apart: linked below 4 c1 = 400 mm
    x = np.array([2000.0, 2150.0, 2400.0])
    found = edge_groups(
        np.zeros(3, dtype=np.int64), x, x, same(x, 100.0), np.array([1.0, 1.0, 2.0]), reach=2.0, start=same(x, 0.0),
        end=same(x, 9000.0),
    )  # fmt: skip
    assert found.count[0] == 3.0
    assert found.length[0] == pytest.approx(400.0 + 400.0)  # 2 c1 beyond each end, no gap within
    assert (found.spacing[0], found.outer[0], found.corner[0]) == (250.0, 400.0, 2000.0)
    # resultant (2000 + 2150 + 2 x 2400)/4 = 2237.5 against the middle 2183.3
    assert found.eccentricity[0] == pytest.approx(2237.5 - 6550.0 / 3.0)
    np.testing.assert_allclose(found.part, [0.25, 0.25, 0.5])
    assert found.mean[0] == pytest.approx(4.0 / 3.0 / 2.0)


@pytest.mark.parametrize("method", [EN, INCH, METRIC])
def test_at_the_required_strength_listed_anchors_are_used_just_fully(method: str) -> None:
    """Put the answer back in: with strong steel the greatest ratio of every stage is then 1."""
    strong = {"Net area": 9000.0, "Tensile strength": 800.0, "Head diameter": 90.0, "Shank diameter": 50.0}
    positions: list[tuple[float, float | None]] = [(0.2, 0.2), (0.5, None), (2.0, None), (2.2, 0.9), (4.0, None), (6.0, 0.3),
        (6.0, 0.8), (9.0, None), (9.2, None), (12.0, None), (14.9, 0.15)]  # fmt: skip
    c = listed(positions, method, anchors=[strong])
    ceiling = {EN: 1e4, INCH: 10e3 * 4.4482216152605 / 645.16, METRIC: 70.0}[method]
    judged = np.flatnonzero(np.isfinite(c.demand.required) & (c.demand.required < ceiling))
    again = anchor_demand(c.job, c.layout, c.cases, c.spots, c.forces, c.demand.required)
    assert judged.size >= 4
    np.testing.assert_allclose(again.ratio[judged], 1.0, rtol=1e-9)


BARS = {
    "Supplementary bars": 4, "Supplementary diameter": 12.0, "Supplementary length": 220.0, "Supplementary yield": 500.0,
    "Net area": 2000.0, "Head diameter": 110.0,
}  # fmt: skip


@pytest.mark.parametrize("method", [EN, INCH, METRIC])
def test_supplementary_bars_hold_the_cone_in_its_place(method: str) -> None:
    job = {"Anchor method": method, "Safety basis": BASES[method]}
    plain = {key: value for key, value in BARS.items() if not key.startswith("Supp")}
    c, without = (computed(job=job, anchors=[cells], lifts=pile(2, Thickness=3.0)) for cells in (BARS, plain))
    at = placing(c)
    pull, f = float(c.demand.tension[at]), float(c.demand.strength[at])
    area_ = 4.0 * math.pi * 144.0 / 4.0
    steel = area_ * 500.0 / 1000.0
    if method == EN:
        # EN 1992-1-1 8.4.2: f_bd = 2.25 x 0.7 x 0.7 x 0.3 f^(2/3) / 1.5
        bond = 2.25 * 0.7 * 0.7 * 0.3 * f ** (2.0 / 3.0) / 1.5
        by_steel, by_bond = steel / 1.15, 4.0 * 220.0 * math.pi * 12.0 * bond / 1000.0
    else:
        # Table 25.4.2.3, other cases: 3/50 f_y / sqrt(f'c), in SI f_y / (1.4 sqrt(f'c)); 0.75 by 17.5.2.1
        psi = 4.4482216152605 / 645.16
        stress = 500.0 / psi if method == INCH else 500.0
        root = math.sqrt(f / psi) if method == INCH else math.sqrt(f)
        length = (3.0 * stress / (50.0 * root) if method == INCH else stress / (1.4 * root)) * 12.0
        by_steel, by_bond = 0.75 * steel, 0.75 * steel * 220.0 / length
    modes = c.demand.modes
    assert modes["Supplementary bars, steel"][at] == pytest.approx(pull / by_steel, rel=1e-12)
    assert modes["Supplementary bars, anchorage"][at] == pytest.approx(pull / by_bond, rel=1e-9)
    assert np.isnan(modes[CONE][at])
    assert "Supplementary bars, steel" not in without.demand.modes
    assert modes[PRY_OUT][at] == pytest.approx(without.demand.modes[PRY_OUT][at])
    if method == EN:
        n = max(
            pull / by_steel,
            pull / by_bond,
            float(modes["Head pull-out"][at]),
            float(np.nan_to_num(modes[BLOW_OUT][at])),
        )
        v = max(float(modes[PRY_OUT][at]), float(np.nan_to_num(modes[EDGE][at])))
        expected = (n ** (2.0 / 3.0) + v ** (2.0 / 3.0)) ** 1.5
        assert modes["Interaction, concrete"][at] == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("method", [EN, METRIC])
def test_the_required_strength_with_bars_is_just_enough(method: str) -> None:
    cells = BARS | {"Supplementary bars": 12, "Supplementary diameter": 16.0, "Supplementary length": 400.0}
    c = computed(
        job={"Anchor method": method, "Safety basis": BASES[method]},
        anchors=[cells],
        lifts=pile(2, Thickness=3.0),
    )
    at = int(np.flatnonzero(c.cases.stage == HUNG)[0])
    modes, f0 = c.demand.modes, float(c.demand.strength[at])
    bond_power = 2.0 / 3.0 if method == EN else 0.5

    def measure(f: float) -> float:
        def grown(mode: str, power: float) -> float:
            return float(np.nan_to_num(modes[mode][at])) * (f0 / f) ** power

        n = max(grown("Supplementary bars, anchorage", bond_power), float(modes["Supplementary bars, steel"][at]),
                grown("Head pull-out", 1.0), grown(BLOW_OUT, 0.5))  # fmt: skip
        v = max(grown(PRY_OUT, 0.5), grown(EDGE, 0.5))
        if method == EN:
            return max(n, v, (n ** (2.0 / 3.0) + v ** (2.0 / 3.0)) ** 1.5)
        n, v = max(n, float(modes["Steel tension"][at])), max(v, float(modes["Steel shear"][at]))
        return max(n, v, (n + v) / 1.2)

    expected = math.exp(brentq(lambda log_f: measure(math.exp(log_f)) - 1.0, math.log(1e-3), math.log(49.0)))
    others = [float(c.demand.required[at])]
    assert others[0] >= expected * (1.0 - 1e-9)  # another anchor of the row may ask for more
    assert others[0] == pytest.approx(expected, rel=1e-6)


def test_bars_outside_the_standard_are_outside_scope() -> None:
    short = computed(anchors=[BARS | {"Supplementary length": 100.0}], lifts=pile(2))
    thick = computed(
        anchors=[BARS | {"Supplementary diameter": 20.0, "Supplementary length": 400.0}], lifts=pile(2)
    )
    assert [text for _, text, _, _ in short.type_limits] == [
        "its supplementary bars reach 100 mm into the cone"
    ]
    assert [limit for _, _, limit, _ in thick.type_limits] == ["at most 16 mm"]
    for c in (short, thick):
        assert not np.isin(c.demand_verdict, ("Within", "Near limit")).any()


def test_pieces_and_types_are_no_matter(monkeypatch: pytest.MonkeyPatch) -> None:
    """A book whose anchors are judged in pieces gives what it gives at once, with and without bars beside them."""
    book: dict[str, Any] = {
        "anchors": [BARS | {"Anchor": "A1"}, {"Anchor": "A2"}],
        "lifts": [*pile(3, block="B1", Anchor="A1"), *pile(3, block="B2", Anchor="A2")],
    }
    whole = computed(**book)
    monkeypatch.setattr("sheetengine.design.anchor_demand.PIECE", 2)
    pieces = computed(**book)
    assert not np.isnan(whole.demand.ratio).any()
    np.testing.assert_array_equal(pieces.demand.ratio, whole.demand.ratio)
    np.testing.assert_array_equal(pieces.demand.required, whole.demand.required)
    alone = computed(lifts=pile(3, block="B2", Anchor="A2"), anchors=[{"Anchor": "A2"}])
    np.testing.assert_array_equal(whole.demand.ratio[whole.cases.lift >= 3], alone.demand.ratio)


def test_an_anchor_that_may_be_written_twice_is_questioned() -> None:
    # shank 26 mm: 4 diameters are 104 mm
    c = listed([(2.0, None), (2.05, None), (5.0, 0.3), (5.0, 0.42), (9.0, None), (13.0, None)])
    told = [flag for flag in all_flags(c) if flag.code is Code.LAYOUT_DIFFERS and "apart" in flag.message]
    assert [flag.at.sheet for flag in told] == ["Anchor positions"]
    assert "2 m and 2.05 m stand 0.05 m apart" in told[0].message
    assert told[0].limit == "at least 0.104 m"
