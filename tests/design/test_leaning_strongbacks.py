"""Strongbacks of leaning faces: against plane frames, dense levels, and the vertical case."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from builders import computed, pile
from Pynite import FEModel3D

from sheetengine.clauses.strongback import brace_reaction, deflection, hinge_reaction, moment, shear
from sheetengine.design.calculate import Calculation
from sheetengine.design.flags import all_flags
from sheetengine.design.leaning_strongbacks import brace_of, under_head
from sheetengine.design.strongback_columns import envelope_of
from sheetengine.run import calculate

UNIT: dict[str, Any] = {
    "Panel height": 4.6, "Hinge height": 0.2, "Brace height": 2.2, "Brace foot offset": 1.6, "Brace foot height": 0.0,
    "Strongback EI": 4000.0, "Strongback moment": 60.0, "Strongback shear": 200.0, "Brace capacity": 160.0,
}  # fmt: skip
CALM: dict[str, Any] = {
    "Working wind": (0.0, "kPa"),
    "Storm wind": (0.0, "kPa"),
    "Pressure method": "ACI 347R-14 SI",
}


def leaning(angle: float, below: float | None = None, **changes: Any) -> Calculation:
    lifts = pile(2, Face_inclination=angle, Rise_rate=1.0)
    lifts[0]["Face inclination"] = angle if below is None else below
    return computed(
        job=CALM | changes.pop("job", {}), units=[UNIT | changes.pop("unit", {})], lifts=lifts, **changes
    )


def stress(c: Calculation, depth: np.ndarray, angle: float) -> np.ndarray:
    """Return the stress normal to the face at a vertical depth, by the transformation of stress; a batter keeps the lateral one."""
    lateral = np.minimum(25.0 * depth, c.pressure.maximum[1])
    over = np.sin(np.radians(max(angle, 0.0))) ** 2
    return np.where(depth > 0.0, lateral * (1.0 - over) + 25.0 * depth * over, 0.0)


def frame(c: Calculation, angle: float, level: float, unit: dict[str, float]) -> FEModel3D:
    """Return the strongback as an inclined member under loads normal to it, linear between many places; one metre of face."""
    model = FEModel3D()
    model.add_material("steel", 1.0, 1.0, 0.3, 0.0)
    model.add_section("s", 1e6, 1.0, 1.0, 1.0)
    lean = np.radians(angle)
    long = unit["Panel height"]
    top = level / np.cos(lean)
    bend = top - c.pressure.maximum[1] / (25.0 * np.cos(lean))
    places = sorted(
        {0.0, long, unit["Hinge height"], unit["Brace height"], *(x for x in (top, bend) if 0.0 < x < long)}
    )
    for number, place in enumerate(places):
        model.add_node(f"n{number}", place * np.sin(lean), place * np.cos(lean), 0.0)
        model.def_support(f"n{number}", False, False, True, True, True, False)
    last = len(places) - 1
    for number in range(last):
        model.add_member(f"m{number}", f"n{number}", f"n{number + 1}", "steel", "s")
        low, high = places[number], places[number + 1]
        # normal to the face and away from the concrete, in its parts along the global axes
        ends = [
            float(stress(c, np.array([level - at * np.cos(lean)]), angle)[0])
            for at in (low + 1e-12, high - 1e-12)
        ]
        model.add_member_dist_load(f"m{number}", "FX", *(end * np.cos(lean) for end in ends))
        model.add_member_dist_load(f"m{number}", "FY", *(-end * np.sin(lean) for end in ends))
    # a hinge at the lower support, and a prop normal to the member at the upper one, as a very stiff bar
    hinge, brace = places.index(unit["Hinge height"]), places.index(unit["Brace height"])
    model.def_support(f"n{hinge}", True, True, True, True, True, False)
    x, y = places[brace] * np.sin(lean), places[brace] * np.cos(lean)
    model.add_node("far", x + np.cos(lean), y - np.sin(lean), 0.0)
    model.def_support("far", True, True, True, True, True, True)
    model.add_section("prop", 1e9, 1.0, 1.0, 1.0)
    model.add_member("prop", f"n{brace}", "far", "steel", "prop")
    model.def_releases("prop", False, False, False, False, True, True, False, False, False, False, True, True)
    model.analyze_linear()
    return model


def loads(
    c: Calculation, level: float, angle: float
) -> tuple[dict[str, np.ndarray], dict[str, np.ndarray], float]:
    beams = c.strongbacks.beams.taken(np.array([1]))
    along = np.array([level / np.cos(np.radians(angle))])
    none = np.zeros(1)
    return beams.load(along, none), under_head(beams).load(along, none), float(c.strongbacks.leans.head[1])


@pytest.mark.parametrize("seed", range(60))
def test_reactions_and_moments_against_a_frame_library(seed: int) -> None:
    draw = np.random.default_rng(seed)
    angle = float(draw.uniform(-45.0, 45.0))
    unit = {
        "Panel height": 4.6,
        "Hinge height": float(draw.uniform(0.05, 0.8)),
        "Brace height": float(draw.uniform(1.2, 3.0)),
    }
    c = leaning(angle, unit=unit | {"Mass": 1e-6})
    level = float(draw.uniform(0.4, 3.0))
    model = frame(c, angle, level, unit)
    method, head, part = loads(c, level, angle)

    def ours(formula: Any, **more: Any) -> float:
        found = (1.0 - part) * formula(**method, **more)
        return float((found + part * formula(**head, **more) if part > 0.0 else found)[0])

    lean = np.radians(angle)
    far = model.nodes["far"]
    prop = far.RxnFX["Combo 1"] * np.cos(lean) - far.RxnFY["Combo 1"] * np.sin(lean)
    assert -prop == pytest.approx(ours(brace_reaction), rel=1e-6, abs=1e-6)
    hinge = next(node for node in model.nodes.values() if node.support_DX and node.name != "far")
    held = hinge.RxnFX["Combo 1"] * np.cos(lean) - hinge.RxnFY["Combo 1"] * np.sin(lean)
    assert -held == pytest.approx(ours(hinge_reaction), rel=1e-6, abs=1e-6)
    for number, member in enumerate(name for name in model.members if name.startswith("m")):
        node = model.nodes[f"n{number}"]
        place = np.array([np.hypot(node.X, node.Y)])
        at = model.members[member].moment("Mz", 0.0)
        assert abs(at) == pytest.approx(abs(ours(moment, height=place)), rel=1e-6, abs=2e-5)


@pytest.mark.parametrize("angle", [-40.0, -15.0, 5.0, 15.0, 30.0, 45.0])
def test_no_level_of_the_concrete_is_worse_than_what_is_told(angle: float) -> None:
    c = leaning(angle)
    s = c.strongbacks
    levels = np.linspace(0.0, 3.0, 301)
    row = np.full(levels.size, 1)
    beams = s.beams.taken(row)
    none = np.zeros(levels.size)
    along = levels / np.cos(np.radians(angle))
    part = float(s.leans.head[1])
    dead = np.abs(s.leans.weight[1])

    def peak(formula: Any, **more: Any) -> float:
        found = (1.0 - part) * formula(**beams.load(along, none), **more)
        if part > 0.0:
            found = found + part * formula(**under_head(beams).load(along, none), **more)
        wind = formula(**beams.load(none, np.ones(levels.size)), **more)
        return float(np.max(np.abs(found) + dead * np.abs(wind)) * s.share[1])

    told = {
        "brace": (peak(brace_reaction), abs(s.brace.value[1])),
        "hinge": (peak(hinge_reaction), abs(s.hinge.value[1])),
        "moment": (
            max(peak(moment, height=np.full(levels.size, y)) for y in np.linspace(0.05, 4.55, 91)), abs(s.moment.value[1]),
        ),
        "shear": (max(peak(shear, height=np.full(levels.size, y)) for y in np.linspace(0.05, 4.55, 91)), abs(s.shear.value[1])),
        "top": (
            peak(deflection, height=np.full(levels.size, 4.6), bending_stiffness=np.ones(levels.size)) / 4000.0 * 1000.0,
            abs(s.top.value[1]),
        ),
    }  # fmt: skip
    for name, (sampled, ours) in told.items():
        assert sampled <= ours * (1.0 + 1e-9), name
        # for batters the peak is exact; for overhangs a bound, some percent above
        assert sampled >= ours * (0.985 if angle < 0.0 else 0.9), name


def test_upright_faces_are_as_before() -> None:
    upright, slight = leaning(0.0), leaning(1e-7)
    for name in ("hinge", "brace", "moment", "shear", "top", "span"):
        one, other = (getattr(c.strongbacks, name).value for c in (upright, slight))
        assert other == pytest.approx(one, rel=1e-5), name
    assert slight.strongbacks.axial == pytest.approx(upright.strongbacks.axial, rel=1e-6)
    assert np.isnan(slight.strongbacks.tension_level).all()


@pytest.mark.parametrize("turn", [-20.0, -5.0, 0.0, 10.0, 25.0])
def test_a_brace_turned_with_the_face_by_the_equilibrium_of_its_upper_pin(turn: float) -> None:
    # hinge at 0.2 m, brace end 2.0 m further along, foot 1.6 m out at the joint; the pin is held by a slide along the strongback
    angle = np.radians(turn)
    along, normal = np.array([np.sin(angle), np.cos(angle)]), np.array([np.cos(angle), -np.sin(angle)])
    head = np.array([0.0, 0.2]) + 2.0 * along
    bar = head - np.array([1.6, 0.0])
    push = 30.0 * np.linalg.norm(bar) / -(bar @ normal)
    force, lift = brace_of(
        np.array([30.0]), hinge=np.array([0.2]), brace=np.array([2.2]), foot_height=np.zeros(1), reach=np.array([1.6]),
        turned=np.array([angle]),
    )  # fmt: skip
    assert force[0] == pytest.approx(push)
    assert lift[0] == pytest.approx(push * (bar @ along) / np.linalg.norm(bar))


def test_a_kink_turns_the_brace_and_not_the_load() -> None:
    straight, kinked = leaning(20.0), leaning(20.0, below=0.0)
    assert kinked.strongbacks.moment.value[1] == pytest.approx(straight.strongbacks.moment.value[1])
    # leaning out over the foot, the brace stands more nearly normal to the panel
    assert kinked.strongbacks.axial[1] < straight.strongbacks.axial[1] * 0.95


def test_a_brace_whose_foot_lies_behind_the_panel_is_not_computed() -> None:
    c = leaning(45.0, below=-40.0, unit={"Brace foot offset": 0.1, "Brace foot height": 0.3})
    assert np.isnan(c.strongbacks.axial[1])
    assert c.strongbacks.verdict[1] in ("Not computed", "Exceeds")


def test_the_weight_of_the_unit_bends_a_leaning_panel() -> None:
    light, heavy = (leaning(-30.0, unit={"Mass": mass}) for mass in (1e-6, 6000.0))
    assert abs(heavy.strongbacks.moment.value[1]) > abs(light.strongbacks.moment.value[1])
    # 6000 kg x 9.80665 N/kg x sin 30 / (3.0 x 4.6) m2 = 2.132 kPa, towards the concrete
    assert heavy.strongbacks.leans.weight[1] == pytest.approx(-2.132, abs=0.001)


def test_sheet_chart_and_flags_speak_of_leaning_faces() -> None:
    c = leaning(20.0, unit={"Strongback moment": 15.0})
    results = calculate(c.job)
    rows = results.frames["Strongbacks"]
    assert rows["Greatest moment [kN*m]"].notna().all()
    assert set(rows["Verdict"]) == {"Exceeds"}
    assert any(flag.at.sheet == "Form units" or "moment" in flag.message for flag in all_flags(c))
    name, curves = envelope_of(c) or ("", {})
    assert name
    peak = max(
        np.abs(curves["Moment, outward bow [kN*m]"]).max(), np.abs(curves["Moment, inward bow [kN*m]"]).max()
    )
    assert peak <= abs(c.strongbacks.moment.value).max() * (1.0 + 1e-9)
    assert peak >= abs(c.strongbacks.moment.value).max() * 0.95
