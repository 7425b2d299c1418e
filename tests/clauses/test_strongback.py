"""Strongbacks against handbooks, a general-purpose frame library, integration by quadrature, and what must hold."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from Pynite import FEModel3D
from scipy.integrate import quad
from scipy.optimize import brentq
from support import case

from sheetengine.clauses import strongback, strongback_levels, strongback_section_levels
from sheetengine.clauses.brace import brace_force, hinge_pull
from sheetengine.clauses.face_tolerances import face_tolerances
from sheetengine.clauses.strongback import brace_reaction, deflection, hinge_reaction, moment, shear
from sheetengine.clauses.strongback_levels import zero_shear_height
from sheetengine.clauses.strongback_section_levels import _moment_at, _shear_at
from sheetengine.sheets.job_items import JOB_ITEMS

GEOMETRIES = 64
Load = dict[str, float]


def at(formula: Any, load: Load, **more: float) -> float:
    """Return a formula at one place."""
    columns = {name: np.array([value]) for name, value in (load | more).items()}
    return float(np.asarray(formula(**columns))[0])


def load(
    *,
    p: float = 0.0,
    gamma: float = 25.0,
    level: float = 0.0,
    wind: float = 0.0,
    a: float = 0.0,
    b: float,
    L: float,
) -> Load:
    return {
        "maximum_pressure": p, "weight_density": gamma, "concrete_level": level, "wind_pressure": wind,
        "hinge_height": a, "brace_height": b, "panel_height": L,
    }  # fmt: skip


def drawn(seed: int) -> Load:
    """Draw a strongback with its concrete: hinge above or below the joint, any level, wind either way."""
    rng = np.random.default_rng(seed)
    a = rng.uniform(-0.4, 0.8)
    b = a + rng.uniform(0.7, 2.6)
    L = max(b, 0.1) + rng.uniform(0.05, 1.6)
    gamma = rng.uniform(20.0, 26.0)
    level = rng.uniform(0.05, 1.0) * L
    return load(
        p=gamma * rng.uniform(0.3, 4.0), gamma=gamma, level=level, wind=rng.uniform(-1.0, 1.0), a=a, b=b, L=L
    )


# ---------------------------------------------------------------- handbooks


def test_overhanging_beam_under_uniform_load() -> None:
    printed = case("S-AISC-OVER-UNIFORM")
    span, a, w = (float(printed.given(name)) for name in ("l", "a", "w"))
    beam = load(wind=w, b=span, L=span + a)
    printed.check("R1", at(hinge_reaction, beam))
    printed.check("R2", at(brace_reaction, beam))
    printed.check("V1", at(shear, beam, height=0.0))
    printed.check("V2", at(shear, beam, height=span))
    printed.check("V3", at(shear, beam, height=np.nextafter(span, 0.0)))
    top = at(zero_shear_height, beam)
    printed.check("x1", top)
    printed.check("M1", at(moment, beam, height=top))
    printed.check("M2", at(moment, beam, height=span))
    EI = float(printed.given("EI"))
    printed.check("tip", at(deflection, beam, height=span + a, bending_stiffness=EI))


def test_simple_beam_under_uniform_load() -> None:
    printed = case("S-AISC-UNIFORM")
    span, w, EI = (float(printed.given(name)) for name in ("l", "w", "EI"))
    beam = load(wind=w, b=span, L=span)
    printed.check("R", at(hinge_reaction, beam))
    printed.check("M", at(moment, beam, height=span / 2.0))
    printed.check("u", at(deflection, beam, height=span / 2.0, bending_stiffness=EI))


def greatest_deflection(beam: Load) -> tuple[float, float]:
    places = np.linspace(beam["hinge_height"], beam["brace_height"], 20001)
    columns = {name: np.full(places.size, value) for name, value in beam.items()}
    bent = deflection(height=places, bending_stiffness=np.ones(places.size), **columns)
    return float(bent.max()), float(places[np.argmax(bent)])


def test_simple_beam_under_fluid_to_the_upper_support() -> None:
    # fluid is nothing at the top and greatest at the joint: the light end of the handbook is the brace
    printed = case("S-AISC-TRIANGLE")
    beam = load(p=2.0, gamma=2.0, level=1.0, b=1.0, L=1.0)  # W = 1 on l = 1
    printed.check("light", at(brace_reaction, beam))
    printed.check("heavy", at(hinge_reaction, beam))
    top = at(zero_shear_height, beam)
    printed.check("at", 1.0 - top)
    printed.check("M", at(moment, beam, height=top))
    value, place = greatest_deflection(beam)
    case("S-AISC-TRIANGLE-U").check("u", value)
    assert 1.0 - place == pytest.approx(0.5193, abs=1e-4)


def test_simple_beam_under_fluid_by_a_second_handbook() -> None:
    printed = case("S-ROARK-TRIANGLE")
    beam = load(p=1.0, gamma=1.0, level=1.0, b=1.0, L=1.0)
    top = at(zero_shear_height, beam)
    printed.check("M", at(moment, beam, height=top))
    printed.check("at", 1.0 - top)
    _, place = greatest_deflection(beam)
    printed.check("u_at", 1.0 - place)


def test_cantilevers() -> None:
    printed = case("S-CANTILEVER")
    near, e = 1e-6, {"bending_stiffness": 1.0}
    upper, lower = {"a": 0.0, "b": near, "L": 1.0}, {"a": 1.0 - near, "b": 1.0, "L": 1.0}
    uniform = load(wind=1.0, **upper)
    printed.check("M_uniform", -at(moment, uniform, height=near))
    printed.check("u_uniform", at(deflection, uniform, height=1.0, **e))
    falling = load(p=1.0, gamma=1.0, level=1.0, **upper)
    printed.check("M_falling", -at(moment, falling, height=near))
    printed.check("u_falling", at(deflection, falling, height=1.0, **e))
    growing = load(p=1.0, gamma=1.0, level=1.0, **lower)
    printed.check("M_growing", -at(moment, growing, height=1.0 - near))
    printed.check("u_growing", at(deflection, growing, height=0.0, **e))


def test_offered_tolerances_are_those_on_file_and_those_in_the_help() -> None:
    found = {entry.name: entry for entry in face_tolerances()}
    case("S-EN13670-FACE").check("offset", found["moulded face"].printed)
    case("S-ACI117-OFFSET").check("offset", [found[f"class {name}"].printed for name in "ABCD"])
    text = next(item.meaning for item in JOB_ITEMS if item.name == "Offset tolerance")
    shown = [f"{found['moulded face'].millimetres:g} mm"]
    inches = [f"{found[f'class {name}'].millimetres:.0f}" for name in "ABCD"]
    assert shown[0] in text
    assert f"{', '.join(inches[:3])} or {inches[3]} mm" in text
    assert all(entry.source.known.value.startswith("from memory") for entry in found.values())
    assert "from memory" in text


# ---------------------------------------------------------------- a general-purpose frame library


def load_at(beam: Load, y: float, side: float) -> float:
    """Return the load just above or below a height, written without the formulas under test."""
    near = y + side * 1e-9
    if near < 0.0:
        return 0.0
    head = max(beam["concrete_level"] - near, 0.0) * beam["weight_density"]
    return min(head, beam["maximum_pressure"]) + beam["wind_pressure"]


def frame(beam: Load, EI: float) -> tuple[Any, list[float]]:
    """Return a straight beam along X of one member between any two kinks, and the places of its nodes."""
    a, b, L = (beam[name] for name in ("hinge_height", "brace_height", "panel_height"))
    level = beam["concrete_level"]
    ramp = level - min(beam["maximum_pressure"] / beam["weight_density"], level)
    model = FEModel3D()
    model.add_material("steel", 200e6, 80e6, 0.3, 0.0)
    model.add_section("section", 0.01, 1e-4, EI / 200e6, 1e-4)
    places = sorted({min(a, 0.0), 0.0, a, b, ramp, level, L})
    for number, place in enumerate(places):
        model.add_node(f"N{number}", place, 0.0, 0.0)
    for number, (low, high) in enumerate(pairwise(places)):
        model.add_member(f"M{number}", f"N{number}", f"N{number + 1}", "steel", "section")
        ends = (load_at(beam, low, 1.0), load_at(beam, high, -1.0))
        model.add_member_dist_load(f"M{number}", "FY", *ends, 0.0, high - low)
    model.def_support(f"N{places.index(a)}", True, True, True, True, False, False)
    model.def_support(f"N{places.index(b)}", False, True, True, False, False, False)
    model.analyze_linear()
    return model, places


@pytest.mark.parametrize("seed", range(GEOMETRIES))
def test_a_frame_library_gives_the_same_beam(seed: int) -> None:
    beam, EI = drawn(seed), 5000.0
    model, places = frame(beam, EI)
    A, B = at(hinge_reaction, beam), at(brace_reaction, beam)
    size = abs(A) + abs(B)
    nodes = [model.nodes[f"N{places.index(beam[name])}"] for name in ("hinge_height", "brace_height")]
    assert abs(A + float(nodes[0].RxnFY["Combo 1"])) < 1e-6 * size
    assert abs(B + float(nodes[1].RxnFY["Combo 1"])) < 1e-6 * size
    ours, theirs = [], []
    for number, (low, high) in enumerate(pairwise(places)):
        member = model.members[f"M{number}"]
        for share in (0.17, 0.5, 0.83):
            y, x = low + share * (high - low), share * (high - low)
            theirs.append([member.moment("Mz", x), -member.shear("Fy", x), member.deflection("dy", x)])
            ours.append(
                [at(moment, beam, height=y), at(shear, beam, height=y),
                 at(deflection, beam, height=y, bending_stiffness=EI)]
            )  # fmt: skip
    ends = [(places[0], "N0"), (places[-1], f"N{len(places) - 1}")]
    tips = [at(deflection, beam, height=max(y, -9.0), bending_stiffness=EI) for y, _ in ends]
    moved = [float(model.nodes[name].DY["Combo 1"]) for _, name in ends]
    table, other = np.array(ours), np.array(theirs)
    assert (np.abs(table - other).max(axis=0) < 1e-6 * np.abs(other).max(axis=0)).all()
    assert np.abs(np.array(tips) - moved).max() < 1e-6 * np.abs(other[:, 2]).max()


# ---------------------------------------------------------------- quadrature and what must hold


@pytest.mark.parametrize("seed", range(100, 112))
def test_unit_load_method_gives_the_same_deflection(seed: int) -> None:
    # u(y) is the integral of M times the moment of a unit load at y, by quadrature
    beam = drawn(seed)
    a, b, L = (beam[name] for name in ("hinge_height", "brace_height", "panel_height"))

    def unit(y: float, x: float) -> float:
        B = (y - a) / (b - a)
        return (1.0 - B) * max(x - a, 0.0) + B * max(x - b, 0.0) - max(x - y, 0.0)

    for y in (L, 0.4 * a + 0.6 * b, max(min(a, 0.0), 0.0)):
        kinks = sorted({a, b, y, beam["concrete_level"], beam["concrete_level"] - min(
            beam["maximum_pressure"] / beam["weight_density"], beam["concrete_level"])})  # fmt: skip
        low = min(a, 0.0)
        pieces = [low, *[k for k in kinks if low < k < L], L]
        whole = sum(
            quad(lambda x, y=y: at(moment, beam, height=x) * unit(y, x), start, end)[0]
            for start, end in pairwise(pieces)
        )
        assert at(deflection, beam, height=y, bending_stiffness=1.0) == pytest.approx(
            whole, rel=1e-8, abs=1e-9
        )


fraction = st.floats(0.02, 1.0)


@st.composite
def beams(draw: Any) -> Load:
    a = draw(st.floats(-0.5, 1.0))
    b = max(a, 0.0) + draw(st.floats(0.3, 3.0))
    L = b + draw(st.floats(0.0, 2.0))
    gamma = draw(st.floats(10.0, 30.0))
    return load(
        p=gamma * draw(st.floats(0.05, 4.0)), gamma=gamma, level=L * draw(fraction), wind=draw(st.floats(-2.0, 2.0)),
        a=a, b=b, L=L,
    )  # fmt: skip


@given(beam=beams())
def test_forces_and_moments_balance(beam: Load) -> None:
    level, gamma = beam["concrete_level"], beam["weight_density"]
    head = min(beam["maximum_pressure"] / gamma, level)
    L, w = beam["panel_height"], beam["wind_pressure"]
    force = gamma * head * (level - head / 2.0)
    turning = gamma * head * (level - head) ** 2 / 2.0 + gamma * head**2 / 2.0 * (level - 2.0 * head / 3.0)
    A, B = at(hinge_reaction, beam), at(brace_reaction, beam)
    size = abs(A) + abs(B) + force
    assert abs(A + B - force - w * L) < 1e-9 * size
    balance = A * beam["hinge_height"] + B * beam["brace_height"] - turning - w * L**2 / 2.0
    assert abs(balance) < 1e-9 * size * (L + 1.0)
    assert abs(at(moment, beam, height=L)) < 1e-9 * size * (L + 1.0)
    assert abs(at(shear, beam, height=L)) < 1e-9 * size


@given(beam=beams(), share=st.floats(0.0, 1.0))
def test_concrete_and_wind_add_up_and_wind_scales(beam: Load, share: float) -> None:
    height = share * beam["panel_height"]
    concrete, breeze = beam | {"wind_pressure": 0.0}, beam | {"concrete_level": 0.0, "wind_pressure": 1.0}
    for formula, more in ((moment, {}), (shear, {}), (deflection, {"bending_stiffness": 7.0})):
        together = at(formula, beam, height=height, **more)
        apart = at(formula, concrete, height=height, **more) + beam["wind_pressure"] * at(
            formula, breeze, height=height, **more
        )
        assert together == pytest.approx(apart, rel=1e-9, abs=1e-9 * (1.0 + beam["maximum_pressure"]))


@given(beam=beams(), share=st.floats(0.0, 1.0), longer=st.floats(0.2, 5.0), heavier=st.floats(0.2, 5.0))
def test_laws_of_scale_and_change_of_units(beam: Load, share: float, longer: float, heavier: float) -> None:
    # lengths times k and pressures times f (density f / k): forces f k, moments f k^2, deflections f k^4 / e
    scaled = {name: value * longer for name, value in beam.items()}
    for name in ("maximum_pressure", "wind_pressure"):
        scaled[name] = beam[name] * heavier
    scaled["weight_density"] = beam["weight_density"] * heavier / longer
    y = share * beam["panel_height"]
    size = 1e-8 * (beam["maximum_pressure"] + 2.0) * (beam["panel_height"] + 1.0) ** 4
    A = at(hinge_reaction, beam)
    assert at(hinge_reaction, scaled) == pytest.approx(A * heavier * longer, rel=1e-9, abs=size)
    M = at(moment, beam, height=y)
    assert at(moment, scaled, height=y * longer) == pytest.approx(
        M * heavier * longer**2, rel=1e-8, abs=size * heavier * longer**2
    )
    u = at(deflection, beam, height=y, bending_stiffness=2.0)
    grown = at(deflection, scaled, height=y * longer, bending_stiffness=6.0)
    assert grown == pytest.approx(u * heavier * longer**4 / 3.0, rel=1e-8, abs=size * heavier * longer**4)


@given(beam=beams())
def test_supports_do_not_move_and_the_moment_is_greatest_where_shear_is_nothing(beam: Load) -> None:
    e = {"bending_stiffness": 1.0}
    size = 1e-9 * (beam["maximum_pressure"] + 2.0) * (beam["panel_height"] + 1.0) ** 4
    for support in ("hinge_height", "brace_height"):
        assert abs(at(deflection, beam, height=beam[support], **e)) < size
    calm = beam | {"wind_pressure": abs(beam["wind_pressure"])}
    y = at(zero_shear_height, calm)
    places = np.linspace(calm["hinge_height"], calm["brace_height"], 101)
    sampled = max(at(moment, calm, height=place) for place in places)
    assert at(moment, calm, height=y) >= sampled - size


@given(beam=beams(), part=st.floats(0.0, 1.0), low=st.floats(0.0, 0.1))
def test_the_influence_lines_summed_are_moment_and_shear(beam: Load, part: float, low: float) -> None:
    """The same two effects by the whole beam and by influence lines; a low level, a section above the concrete, a small full-head depth."""
    a, b = beam["hinge_height"], beam["brace_height"]
    y = max(a + (0.001 + 0.998 * part) * (b - a), 0.0)  # nothing presses below the joint
    for calm in (beam | {"wind_pressure": 0.0}, beam | {"wind_pressure": 0.0, "concrete_level": low}):
        gamma = calm["weight_density"]
        places = [
            np.array([value]) for value in (calm["concrete_level"], calm["maximum_pressure"] / gamma, a, b, y)
        ]
        for summed, effect in ((_moment_at, moment), (_shear_at, shear)):
            by_lines = float(summed(*places)[0])
            assert by_lines == pytest.approx(
                at(effect, calm, height=y) / gamma, rel=1e-9, abs=1e-11 * (1.0 + b**3)
            )


@pytest.mark.parametrize(
    ("level", "wind", "p", "b"),
    [
        (0.5, 1.0, 60.0, 3.0),
        (0.05, 0.005, 60.0, 3.0),
        (1.2, 4.0, 18.0, 3.2),
        (0.8, 2.0, 60.0, 2.6),
        (2.4, 0.3, 30.0, 2.8),
    ],
)
def test_where_the_load_from_below_equals_the_reaction(level: float, wind: float, p: float, b: float) -> None:
    """By scipy's quadrature and root finder, in the concrete and in the wind above it."""
    beam = load(p=p, gamma=24.0, level=level, wind=wind, b=b, L=3.5)
    A = at(hinge_reaction, beam)

    def below(y: float) -> float:
        full = lambda at: min(p, max(24.0 * (level - at), 0.0)) + wind  # noqa: E731
        kinks = [place for place in (level, level - p / 24.0) if 0.0 < place < y]
        return float(quad(full, 0.0, y, points=kinks or None, epsabs=1e-13, epsrel=1e-13)[0])

    wanted = brentq(lambda y: below(y) - A, 0.0, b, xtol=1e-13)
    assert at(zero_shear_height, beam) == pytest.approx(wanted, rel=1e-9)
    assert 0.0 < wanted < b


# ---------------------------------------------------------------- the worst level


LEVELS = (
    (strongback_levels.hinge_worst_level, hinge_reaction, 1.0, ("brace_height",)),
    (strongback_levels.brace_least_level, brace_reaction, -1.0, ("hinge_height",)),
    (strongback_levels.brace_worst_level, brace_reaction, 1.0, ("hinge_height", "brace_height")),
    (strongback_section_levels.sagging_level, moment, 1.0, ("hinge_height", "brace_height", "height")),
    (strongback_section_levels.hogging_level, moment, -1.0, ("hinge_height", "brace_height", "height")),
    (strongback_section_levels.greatest_shear_level, shear, 1.0, ("hinge_height", "brace_height", "height")),
    (strongback_section_levels.least_shear_level, shear, -1.0, ("hinge_height", "brace_height", "height")),
)


@pytest.mark.parametrize(("level_of", "effect", "sign", "asked"), LEVELS)
def test_no_sampled_level_is_worse_than_the_one_found(
    level_of: Any, effect: Any, sign: float, asked: tuple[str, ...]
) -> None:
    rng = np.random.default_rng(20)
    rows, fine = 300, 1501
    a = rng.uniform(-0.4, 0.9, rows)
    b = np.maximum(a, 0.0) + rng.uniform(0.3, 2.6, rows)
    L = b + rng.uniform(0.0, 2.0, rows)
    gamma = rng.uniform(20.0, 26.0, rows)
    p = gamma * np.where(
        rng.uniform(size=rows) < 0.5, rng.uniform(0.1, 1.5, rows), rng.uniform(1.0, 8.0, rows)
    )
    H = L * rng.uniform(0.2, 1.0, rows)
    y = rng.uniform(0.0, 1.0, rows) * L
    y[::5] = a[::5]
    y[1::5] = 0.0  # at the joint, below which nothing presses, the hinge below it in one of three
    place = {"hinge_height": a, "brace_height": b, "height": y}
    level = level_of(
        maximum_pressure=p, weight_density=gamma, placement_height=H, **{name: place[name] for name in asked}
    )
    assert (level >= 0.0).all() and (level <= H).all()
    more = {"height": y} if "height" in asked else {}

    def value(levels: np.ndarray, spread: int) -> np.ndarray:
        def wide(column: np.ndarray) -> np.ndarray:
            return np.repeat(column, spread)

        return sign * np.asarray(effect(
            maximum_pressure=wide(p), weight_density=wide(gamma), concrete_level=levels, wind_pressure=wide(0.0 * p),
            hinge_height=wide(a), brace_height=wide(b), panel_height=wide(L),
            **{name: wide(column) for name, column in more.items()},
        )).reshape(rows, spread)  # fmt: skip

    found = value(level, 1)[:, 0]
    sampled = value((H[:, np.newaxis] * np.linspace(0.0, 1.0, fine)).ravel(), fine).max(axis=1)
    size = p * L
    assert (sampled <= found + 1e-12 * size).all()
    assert (found - sampled <= 1e-6 * size).all()
    assert (np.abs(level - H) > 1e-6).any()


def test_below_the_joint_the_moment_is_worst_where_the_hinge_is() -> None:
    """property: between a hinge below the joint and the joint the moment is the reaction of the hinge times its lever."""
    rng = np.random.default_rng(21)
    rows = 60
    a, b = rng.uniform(-0.6, -0.1, rows), rng.uniform(0.6, 2.4, rows)
    common = {
        "maximum_pressure": rng.uniform(10.0, 90.0, rows), "weight_density": np.full(rows, 25.0),
        "placement_height": b + rng.uniform(0.5, 2.0, rows), "hinge_height": a, "brace_height": b,
    }  # fmt: skip
    of_hinge = strongback_levels.hinge_worst_level(
        **{key: value for key, value in common.items() if key != "hinge_height"}
    )
    assert (of_hinge < common["placement_height"]).sum() >= 20
    for part in (0.3, 1.0):
        found = strongback_section_levels.sagging_level(**common, height=a * (1.0 - part))
        np.testing.assert_allclose(found, of_hinge, rtol=1e-9)


def test_brace_and_hinge_pull_balance_at_the_pin() -> None:
    # a brace of 3-4-5: 30 kN across the face, 40 down, 50 along
    one = {
        "brace_reaction_force": np.array([30.0]), "brace_height": np.array([1.7]),
        "brace_foot_height": np.array([-0.3]), "brace_reach": np.array([1.5]),
    }  # fmt: skip
    N, lift = float(brace_force(**one)[0]), float(hinge_pull(**one)[0])
    assert pytest.approx(50.0) == N
    assert lift == pytest.approx(40.0)
    assert np.hypot(30.0, lift) == pytest.approx(N)


def test_integrals_of_the_load_are_each_the_slope_of_the_next() -> None:
    beam = {"maximum_pressure": 30.0, "weight_density": 24.0, "concrete_level": 2.4, "wind_pressure": 0.4}
    columns = {name: np.full(3, value) for name, value in beam.items()}
    y, step = np.array([0.6, 1.6, 2.8]), 1e-5
    for order in (1, 2, 3):
        rise = strongback.load_integral(order + 1, height=y + step, **columns) - strongback.load_integral(
            order + 1, height=y - step, **columns
        )
        np.testing.assert_allclose(
            rise / 2.0 / step, strongback.load_integral(order, height=y, **columns), rtol=1e-8
        )
