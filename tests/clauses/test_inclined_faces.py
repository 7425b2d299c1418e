"""Fresh concrete on inclined faces and projections: textbook cases, integration of the traction, properties."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from support import case

from sheetengine.clauses import fluid_pressure, inclined_faces, projection_loads, unit_statics
from sheetengine.columns import Column

FOOT, LB = 0.3048, 4.4482216152605e-3
"""m and kN of one: NIST SP 811."""


def loads(maximum: float, gamma: float, height: float, lean: float) -> dict[str, float]:
    """Return resultant parts, moment, height and direction on one face."""
    profile = {
        "maximum_pressure": np.array([maximum]), "weight_density": np.array([gamma]),
        "placement_height": np.array([height]),
    }  # fmt: skip
    outward = fluid_pressure.resultant(**profile)
    face = {
        "weight_density": np.array([gamma]), "placement_height": np.array([height]),
        "face_inclination": np.array([lean]),
    }  # fmt: skip
    down = inclined_faces.downward_force(pressure_force=outward, **face)
    moment = inclined_faces.face_moment(
        pressure_force=outward, pressure_force_height=fluid_pressure.resultant_height(**profile), **face
    )
    level = inclined_faces.action_height(
        pressure_force=outward, vertical_force=down, tipping_moment=moment, face_inclination=np.array([lean])
    )
    turned = inclined_faces.force_direction(pressure_force=outward, vertical_force=down)
    names = ("outward", "down", "moment", "height", "direction")
    return dict(zip(names, (float(v[0]) for v in (outward, down, moment, level, turned)), strict=True))


def test_stress_on_a_plane_as_a_textbook_has_it() -> None:
    printed = case("F-DAS-STRESS")
    stresses = {
        "lateral_stress": printed.column("major"), "vertical_stress": printed.column("minor"),
        "face_inclination": printed.column("angle"),
    }  # fmt: skip
    printed.check("normal", inclined_faces.normal_stress(**stresses))
    printed.check("shear", np.abs(inclined_faces.tangential_stress(**stresses)))


@pytest.mark.parametrize("way", [1.0, -1.0])
def test_a_fluid_on_an_inclined_plane_as_a_textbook_has_it(way: float) -> None:
    printed = case("F-HYD-PLANE")
    gamma, slope, lean = (printed.column(name) for name in ("gamma", "slope", "lean"))
    found = [
        loads(1e9, g, s * np.cos(np.radians(t)), way * t) for g, s, t in zip(gamma, slope, lean, strict=True)
    ]
    printed.check("F", [np.hypot(one["outward"], one["down"]) for one in found])
    printed.check(
        "from_foot", [one["height"] / np.cos(np.radians(t)) for one, t in zip(found, lean, strict=True)]
    )
    # square to the plane
    np.testing.assert_allclose([one["direction"] for one in found], way * lean, rtol=1e-12)


def test_water_on_a_sloping_dam_weighs_its_prism() -> None:
    printed = case("F-USACE-PRISM")
    gamma, height = printed.column("gamma") * LB / FOOT**3, printed.column("height") * FOOT
    down = inclined_faces.downward_force(
        pressure_force=gamma * height**2 / 2.0, weight_density=gamma, placement_height=height,
        face_inclination=np.degrees(np.arctan(printed.column("slope"))),
    )  # fmt: skip
    printed.check("weight", down / LB * FOOT)


def integrated(maximum: float, gamma: float, height: float, lean: float) -> tuple[float, float, float]:
    """Return outward and downward force and moment from the traction in thin slices of the face.

    On an overhang the stress tensor times the normal of the face, on a batter the pressure along the normal.
    """
    count = 200_000
    y = (np.arange(count) + 0.5) * height / count
    depth = height - y
    theta = np.radians(lean)
    normal = np.array([np.cos(theta), -np.sin(theta)])
    area = height / count / np.cos(theta)
    lateral, vertical = np.minimum(gamma * depth, maximum), gamma * depth
    if lean <= 0.0:
        vertical = lateral
    push = lateral * normal[0] * area, vertical * normal[1] * area
    moment = push[0] * y - push[1] * y * np.tan(theta)
    return float(push[0].sum()), float(-push[1].sum()), float(moment.sum())


@pytest.mark.parametrize("seed", range(12))
def test_the_closed_forms_are_the_traction_summed_over_the_face(seed: int) -> None:
    rng = np.random.default_rng(seed)
    gamma, height, lean = rng.uniform(18.0, 27.0), rng.uniform(0.5, 6.0), rng.uniform(-45.0, 45.0)
    maximum = rng.uniform(0.2, 1.2) * gamma * height
    found = loads(maximum, gamma, height, lean)
    outward, down, moment = integrated(maximum, gamma, height, lean)
    assert found["outward"] == pytest.approx(outward, rel=1e-8)
    assert found["down"] == pytest.approx(down, rel=1e-8)
    assert found["moment"] == pytest.approx(moment, rel=1e-8)


lean = st.floats(-45.0, 45.0)
overhang = st.floats(0.0, 45.0)
tall = st.floats(0.3, 8.0)
part_of_head = st.floats(0.05, 1.3)


@given(share=part_of_head, height=tall, angle=lean)
def test_the_line_of_the_resultant_meets_the_face_within_its_height(
    share: float, height: float, angle: float
) -> None:
    found = loads(share * 25.0 * height, 25.0, height, angle)
    assert height / 3.0 - 1e-9 <= found["height"] <= height / 2.0 + 1e-9
    assert -45.0 - 1e-9 <= found["direction"] < 90.0
    # moments about that point of the face vanish
    x, y = found["height"] * np.tan(np.radians(angle)), found["height"]
    assert found["moment"] == pytest.approx(found["outward"] * y + found["down"] * x, rel=1e-9)


@given(height=tall, angle=st.floats(0.0, 45.0))
def test_under_the_full_head_overhang_and_batter_mirror_each_other(height: float, angle: float) -> None:
    over, under = (loads(1e9, 25.0, height, way * angle) for way in (1.0, -1.0))
    assert over["down"] == pytest.approx(-under["down"], rel=1e-12, abs=1e-12)
    assert over["moment"] == pytest.approx(under["moment"], rel=1e-12)
    assert over["height"] == pytest.approx(under["height"], rel=1e-12)


@given(share=part_of_head, height=tall, angle=st.floats(-1e-6, 1e-6))
def test_a_face_that_hardly_leans_is_a_vertical_one(share: float, height: float, angle: float) -> None:
    plumb, leaning = (loads(share * 25.0 * height, 25.0, height, turn) for turn in (0.0, angle))
    for name in ("outward", "moment", "height"):
        assert leaning[name] == pytest.approx(plumb[name], rel=1e-6)
    assert abs(leaning["down"]) < 1e-4
    assert plumb["down"] == 0.0


@given(share=part_of_head, height=tall, low=overhang, high=overhang)
def test_more_overhang_weighs_more_and_tips_more(
    share: float, height: float, low: float, high: float
) -> None:
    low, high = sorted((low, high))
    less, more = (loads(share * 25.0 * height, 25.0, height, turn) for turn in (low, high))
    assert more["down"] >= less["down"]
    assert more["moment"] >= less["moment"] * (1.0 - 1e-12)


@given(share=part_of_head, more=st.floats(1.0, 2.0), height=tall, angle=lean)
def test_more_pressure_never_presses_less(share: float, more: float, height: float, angle: float) -> None:
    low, high = (loads(share * by * 25.0 * height, 25.0, height, angle) for by in (1.0, more))
    assert high["outward"] >= low["outward"] * (1.0 - 1e-12)
    assert high["moment"] >= low["moment"] * (1.0 - 1e-12)
    assert abs(high["down"]) >= abs(low["down"]) * (1.0 - 1e-12)


@given(share=st.floats(0.0, 1.0), vertical=st.floats(0.0, 300.0), angle=overhang)
def test_stress_keeps_its_invariants(share: float, vertical: float, angle: float) -> None:
    """Normal stresses on two planes at right angles add up to the principal ones; Mohr's circle holds both parts."""
    lateral = share * vertical
    one = {"lateral_stress": np.array([lateral]), "vertical_stress": np.array([vertical])}
    turned = {"lateral_stress": np.array([vertical]), "vertical_stress": np.array([lateral])}
    here = inclined_faces.normal_stress(**one, face_inclination=np.array([angle]))[0]
    there = inclined_faces.normal_stress(**turned, face_inclination=np.array([angle]))[0]
    along = inclined_faces.tangential_stress(**one, face_inclination=np.array([angle]))[0]
    assert here + there == pytest.approx(lateral + vertical, abs=1e-9)
    middle, radius = (lateral + vertical) / 2.0, (vertical - lateral) / 2.0
    assert np.hypot(here - middle, along) == pytest.approx(radius, abs=1e-9)
    assert lateral - 1e-9 <= here <= vertical + 1e-9
    assert along >= 0.0


def test_a_projection_is_a_trapezoid() -> None:
    printed = case("F-TRAPEZOID")
    root, tip, reach = (printed.column(name) for name in ("root", "tip", "reach"))
    whole: dict[str, Column] = {
        "weight_density": np.full(2, 25.0), "root_thickness": root, "tip_thickness": tip,
        "projection_reach": reach, "part_from": np.zeros(2), "part_to": reach,
    }  # fmt: skip
    weight, moment = projection_loads.part_weight(**whole), projection_loads.part_moment(**whole)
    printed.check("area", weight / 25.0)
    printed.check("centroid", moment / weight)


def test_parts_of_a_projection_add_up() -> None:
    rng = np.random.default_rng(4)
    reach = rng.uniform(0.3, 3.0, 50)
    cut = rng.uniform(0.0, 1.0, 50) * reach
    body = {
        "weight_density": rng.uniform(20.0, 26.0, 50), "root_thickness": rng.uniform(0.1, 2.0, 50),
        "tip_thickness": rng.uniform(0.0, 2.0, 50), "projection_reach": reach,
    }  # fmt: skip
    none = np.zeros(50)
    for formula in (projection_loads.part_weight, projection_loads.part_moment):
        whole = formula(**body, part_from=none, part_to=reach)
        inner, outer = (
            formula(**body, part_from=none, part_to=cut),
            formula(**body, part_from=cut, part_to=reach),
        )
        np.testing.assert_allclose(inner + outer, whole, rtol=1e-12)


def test_work_on_a_soffit_as_the_documents_have_it() -> None:
    aci, en = case("F-ACI-SLAB"), case("F-EN12812-WORK")
    aci.check("live", projection_loads.working_load_aci347r(slab_weight=aci.column("slab")))
    en.check("load", projection_loads.working_load_en12812(slab_weight=en.column("slab")))


def test_a_leaning_unit_is_a_beam_overhanging_one_support() -> None:
    printed = case("F-AISC-TILTED")
    force, span, over, depth, turn = (printed.column(k) for k in ("P", "l", "a", "anchor_depth", "lean"))
    theta = np.radians(turn)
    along = over - depth  # of the load above the joint, along the face
    load = {
        "outward_force": force * np.cos(theta), "upward_force": -force * np.sin(theta),
    }  # fmt: skip
    place = {
        "anchor_depth": depth, "carrier_inclination": turn, "foot_inclination": turn,
        "foot_out": -(depth + span) * np.sin(theta), "foot_level": -(depth + span) * np.cos(theta),
    }  # fmt: skip
    foot = unit_statics.bearing_force(**load, tipping_moment=force * along, **place)
    printed.check("R1", foot)
    faces = {"foot_bearing": foot, "carrier_inclination": turn, "foot_inclination": turn}
    tension, shear = unit_statics.row_tension(**load, **faces), unit_statics.row_shear(**load, **faces)
    printed.check("R2", tension)
    np.testing.assert_allclose(shear, 0.0, atol=1e-12)
    left = unit_statics.equilibrium_residual(
        **load,
        tipping_moment=force * along,
        tension_force=tension,
        face_shear=shear,
        foot_bearing=foot,
        **place,
    )
    assert (left < 1e-9).all()
