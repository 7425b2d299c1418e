"""Statics of a form unit against a general-purpose frame library, equilibrium, and a calculation by hand."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from Pynite import FEModel3D

from sheetengine.clauses.unit_statics import anchor_tension, foot_force

GEOMETRIES = 60


def both(**values: float) -> tuple[float, float]:
    """Return anchor tension and foot force of one unit."""
    columns = {key: np.array([value]) for key, value in values.items()}
    tension = anchor_tension(**columns)
    foot = foot_force(
        tension_force=tension, pressure_force=columns["pressure_force"], wind_force=columns["wind_force"]
    )
    return float(tension[0]), float(foot[0])


def frame(
    *, a: float, c: float, P: float, z_P: float, loads: list[tuple[float, float]], W: float, z_W: float
) -> tuple[float, float, float]:
    """Return tension and shear of the anchor and the foot force from a plane frame with brackets.

    The post stands on the line x = 0 from the foot at -c past the anchor at -a to above the highest load.
    Each vertical load hangs at the tip of a bracket of its own, at the joint.
    """
    model = FEModel3D()
    model.add_material("steel", 210e6, 81e6, 0.3, 0.0)
    model.add_section("stiff", 0.01, 1e-3, 1e-3, 1e-4)
    heights = sorted({-c, -a, 0.0, z_P, z_W})
    names = {height: f"N{place}" for place, height in enumerate(heights)}
    for height, name in names.items():
        model.add_node(name, 0.0, height, 0.0)
    for place, (low, high) in enumerate(pairwise(heights)):
        model.add_member(f"M{place}", names[low], names[high], "steel", "stiff")
    for place, (weight, out) in enumerate(loads):
        tip = f"T{place}"
        model.add_node(tip, out, 0.0, 0.0)
        model.add_member(f"B{place}", names[0.0], tip, "steel", "stiff")
        model.add_node_load(tip, "FY", -weight)
    for name in model.nodes:
        model.def_support(name, False, False, True, True, True, False)
    model.def_support(names[-a], True, True, True, True, True, False)
    model.def_support(names[-c], True, False, True, True, True, False)
    model.add_node_load(names[z_P], "FX", P)
    model.add_node_load(names[z_W], "FX", W)
    model.analyze_linear()
    anchor, foot = model.nodes[names[-a]], model.nodes[names[-c]]
    return (
        -float(anchor.RxnFX["Combo 1"]),
        float(anchor.RxnFY["Combo 1"]),
        float(foot.RxnFX["Combo 1"]),
    )


@pytest.mark.parametrize("seed", range(GEOMETRIES))
def test_a_plane_frame_gives_the_same_forces(seed: int) -> None:
    rng = np.random.default_rng(seed)
    a = rng.uniform(0.15, 1.2)
    c = a + rng.uniform(0.8, 3.5)
    P, z_P = rng.uniform(0.0, 150.0), rng.uniform(0.3, 2.5)
    W, z_W = rng.uniform(-8.0, 8.0), rng.uniform(2.6, 3.5)
    loads = [(rng.uniform(1.0, 12.0), rng.uniform(0.2, 1.8)) for _ in range(3)]
    tension, shear, foot = frame(a=a, c=c, P=P, z_P=z_P, loads=loads, W=W, z_W=z_W)
    T, C = both(
        anchor_depth=a, foot_depth=c, pressure_force=P, pressure_force_height=z_P,
        weight_moment=sum(weight * out for weight, out in loads), wind_force=W, wind_force_height=z_W,
    )  # fmt: skip
    scale = max(abs(T), abs(C), 1.0)
    assert abs(T - tension) < 1e-6 * scale
    assert abs(C - foot) < 1e-6 * scale
    assert shear == pytest.approx(sum(weight for weight, _ in loads), rel=1e-6)


size = st.floats(0.1, 5.0)


@given(
    a=size, apart=size, P=st.floats(0.0, 300.0), z_P=st.floats(0.0, 5.0), moment=st.floats(-30.0, 60.0),
    W=st.floats(-20.0, 20.0), z_W=st.floats(0.0, 6.0),
)  # fmt: skip
def test_forces_and_moments_balance_about_any_point(
    a: float, apart: float, P: float, z_P: float, moment: float, W: float, z_W: float
) -> None:
    c = a + apart
    T, C = both(
        anchor_depth=a, foot_depth=c, pressure_force=P, pressure_force_height=z_P, weight_moment=moment,
        wind_force=W, wind_force_height=z_W,
    )  # fmt: skip
    size_of_forces = abs(T) + abs(C) + P + abs(W) + 1.0
    assert abs(P + W + C - T) < 1e-9 * size_of_forces
    for about in (0.0, -a, -c, 3.0):
        turning = P * (z_P - about) + W * (z_W - about) + moment + C * (-c - about) - T * (-a - about)
        assert abs(turning) < 1e-9 * size_of_forces * 12.0


def test_one_unit_by_hand() -> None:
    # 40 kN/m at 0.9 m; 5 kN/m at 0.8 m and 1.5 kN/m at 1.3 m; wind 0.6 kN/m at 1.6 m; a 0.4, c 2.4 m:
    # moment about the foot 40 x 3.3 + 4.0 + 1.95 + 0.6 x 4.0 = 140.35 kNm/m; over 2.0 m 70.175 kN/m;
    # foot 70.175 - 40 - 0.6 = 29.575 kN/m, which is (40 x 1.3 + 5.95 + 0.6 x 2.0) / 2.0
    T, C = both(
        anchor_depth=0.4, foot_depth=2.4, pressure_force=40.0, pressure_force_height=0.9, weight_moment=5.95,
        wind_force=0.6, wind_force_height=1.6,
    )  # fmt: skip
    assert pytest.approx(70.175, abs=1e-12) == T
    assert pytest.approx(29.575, abs=1e-12) == C


def test_wind_towards_the_face_lifts_the_foot_when_it_outweighs_the_weight() -> None:
    # weight 4.0 kNm/m; wind -2.5 kN/m at 1.6 m about the anchors at 0.4 m: 2.5 x 2.0 = 5.0; foot (4 - 5) / 2
    _, C = both(
        anchor_depth=0.4, foot_depth=2.4, pressure_force=0.0, pressure_force_height=0.0, weight_moment=4.0,
        wind_force=-2.5, wind_force_height=1.6,
    )  # fmt: skip
    assert pytest.approx(-0.5, abs=1e-12) == C


def test_a_missing_load_is_not_taken_as_none() -> None:
    T, C = both(
        anchor_depth=0.4, foot_depth=2.4, pressure_force=40.0, pressure_force_height=0.9, weight_moment=5.0,
        wind_force=float("nan"), wind_force_height=1.6,
    )  # fmt: skip
    assert np.isnan(T)
    assert np.isnan(C)
