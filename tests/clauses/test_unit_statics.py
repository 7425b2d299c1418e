"""Statics of a form unit against a general-purpose frame library, equilibrium, and a calculation by hand."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from Pynite import FEModel3D

from sheetengine.clauses.unit_statics import (
    anchor_tension,
    bearing_force,
    equilibrium_residual,
    foot_force,
    row_shear,
    row_tension,
)

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


def reactions(
    *, F_x: float, F_y: float, M: float, a: float, b: float, x_F: float, y_F: float, f: float
) -> tuple[float, float, float, float]:
    """Return tension, shear down the face, foot force and the residual of equilibrium on faces of any inclination."""
    load = {"outward_force": np.array([F_x]), "upward_force": np.array([F_y])}
    place = {
        "anchor_depth": np.array([a]), "foot_out": np.array([x_F]), "foot_level": np.array([y_F]),
        "carrier_inclination": np.array([b]), "foot_inclination": np.array([f]),
    }  # fmt: skip
    foot = bearing_force(**load, tipping_moment=np.array([M]), **place)
    faces = {key: place[key] for key in ("carrier_inclination", "foot_inclination")}
    tension = row_tension(**load, foot_bearing=foot, **faces)
    shear = row_shear(**load, foot_bearing=foot, **faces)
    left = equilibrium_residual(
        **load,
        tipping_moment=np.array([M]),
        tension_force=tension,
        face_shear=shear,
        foot_bearing=foot,
        **place,
    )
    return float(tension[0]), float(shear[0]), float(foot[0]), float(left[0])


def leaning_frame(
    *,
    a: float,
    b: float,
    foot: tuple[float, float],
    f: float,
    forces: list[tuple[float, float, float, float]],
) -> tuple[float, float, float]:
    """Return tension, shear and foot force of a plane frame held by links that lie in the faces' directions.

    The post stands from the foot past the anchor to the joint; each force (outward, upward, out, level) acts at
    the tip of a bracket of its own from there. The anchor is held in its place, and a link square to the face
    bears the foot; the reaction at the anchor is resolved along and square to its face.
    """
    model = FEModel3D()
    model.add_material("steel", 210e6, 81e6, 0.3, 0.0)
    model.add_section("stiff", 0.01, 1e-3, 1e-3, 1e-4)
    model.add_section("link", 1.0, 1e-6, 1e-6, 1e-6)
    tb, tf = np.radians(b), np.radians(f)
    points = {
        "foot": foot, "anchor": (-a * np.sin(tb), -a * np.cos(tb)), "joint": (0.0, 0.0),
        "bearing": (foot[0] - np.cos(tf), foot[1] + np.sin(tf)),
    }  # fmt: skip
    for name, (x, y) in points.items():
        model.add_node(name, x, y, 0.0)
    model.add_member("low", "foot", "anchor", "steel", "stiff")
    model.add_member("high", "anchor", "joint", "steel", "stiff")
    for place, (outward, upward, x, y) in enumerate(forces):
        tip = f"T{place}"
        model.add_node(tip, x, y, 0.0)
        model.add_member(f"B{place}", "joint", tip, "steel", "stiff")
        model.add_node_load(tip, "FX", outward)
        model.add_node_load(tip, "FY", upward)
    model.add_member("link", "bearing", "foot", "steel", "link")
    model.def_releases("link", Rzi=True, Rzj=True)
    for name in model.nodes:
        model.def_support(name, False, False, True, True, True, False)
    model.def_support("anchor", True, True, True, True, True, False)
    model.def_support("bearing", True, True, True, True, True, True)
    model.analyze_linear()

    def held(name: str, *direction: float) -> float:
        node = model.nodes[name]
        return float(node.RxnFX["Combo 1"]) * direction[0] + float(node.RxnFY["Combo 1"]) * direction[1]

    return (
        -held("anchor", np.cos(tb), -np.sin(tb)),
        held("anchor", np.sin(tb), np.cos(tb)),
        held("bearing", np.cos(tf), -np.sin(tf)),
    )


@pytest.mark.parametrize("seed", range(GEOMETRIES))
def test_a_plane_frame_on_kinked_faces_gives_the_same_forces(seed: int) -> None:
    rng = np.random.default_rng(1000 + seed)
    a, apart = rng.uniform(0.15, 1.2), rng.uniform(0.8, 3.5)
    b, f = rng.uniform(-45.0, 45.0, 2)
    if seed % 3 == 0:
        f = b
    tb, tf = np.radians(b), np.radians(f)
    part = (
        rng.uniform(0.2, 1.0) if f != b else 1.0
    )  # of the way down the first face, the rest down the second
    first, second = a + part * apart, (1.0 - part) * apart
    foot = (
        -first * np.sin(tb) - second * np.sin(tf),
        -first * np.cos(tb) - second * np.cos(tf),
    )
    forces = [
        (rng.uniform(-10.0, 150.0), rng.uniform(-60.0, 60.0), rng.uniform(-1.5, 2.0), rng.uniform(0.2, 4.0))
        for _ in range(3)
    ]
    expected = leaning_frame(a=a, b=b, foot=foot, f=f, forces=forces)
    T, V, C, left = reactions(
        F_x=sum(force[0] for force in forces), F_y=sum(force[1] for force in forces),
        M=sum(force[0] * force[3] - force[1] * force[2] for force in forces), a=a, b=b, x_F=foot[0], y_F=foot[1], f=f,
    )  # fmt: skip
    scale = max(abs(T), abs(V), abs(C), 1.0)
    for found, frame_force in zip((T, V, C), expected, strict=True):
        assert abs(found - frame_force) < 1e-6 * scale
    assert left < 1e-9 * scale


@given(
    a=size, apart=size, P=st.floats(0.0, 300.0), z_P=st.floats(0.0, 5.0), moment=st.floats(-30.0, 60.0),
    W=st.floats(-20.0, 20.0), z_W=st.floats(0.0, 6.0),
)  # fmt: skip
def test_on_a_vertical_face_the_general_equations_are_the_special_ones(
    a: float, apart: float, P: float, z_P: float, moment: float, W: float, z_W: float
) -> None:
    T, C = both(
        anchor_depth=a, foot_depth=a + apart, pressure_force=P, pressure_force_height=z_P, weight_moment=moment,
        wind_force=W, wind_force_height=z_W,
    )  # fmt: skip
    pull, shear, foot, left = reactions(
        F_x=P + W, F_y=-7.0, M=P * z_P + moment + W * z_W, a=a, b=0.0, x_F=0.0, y_F=-(a + apart), f=0.0
    )
    scale = abs(T) + abs(C) + 1.0
    assert abs(pull - T) < 1e-9 * scale
    assert abs(foot - C) < 1e-9 * scale
    assert shear == 7.0
    assert left < 1e-9 * scale


turn = st.floats(-45.0, 45.0)
force = st.floats(-200.0, 200.0)


@given(a=size, apart=size, b=turn, turned=st.floats(-20.0, 20.0), F_x=force, F_y=force, M=force)
def test_turning_frame_and_loads_together_changes_nothing(
    a: float, apart: float, b: float, turned: float, F_x: float, F_y: float, M: float
) -> None:
    b = b * 25.0 / 45.0
    c, angle = a + apart, np.radians(turned)

    def on(lean: float, x: float, y: float) -> tuple[float, float, float, float]:
        t = np.radians(lean)
        return reactions(F_x=x, F_y=y, M=M, a=a, b=lean, x_F=-c * np.sin(t), y_F=-c * np.cos(t), f=lean)

    # leaning out by `turned` more turns the unit clockwise
    before = on(b, F_x, F_y)
    after = on(
        b + turned,
        F_x * np.cos(angle) + F_y * np.sin(angle), -F_x * np.sin(angle) + F_y * np.cos(angle),
    )  # fmt: skip
    scale = max(*(abs(value) for value in before), 1.0)
    for one, other in zip(before[:3], after[:3], strict=True):
        assert abs(one - other) < 1e-8 * scale
