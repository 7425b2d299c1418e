"""Conduction at the corner of face and joint: closed forms, energy kept, an independent integrator, step and grid."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest
from corners import corner
from scipy.integrate import solve_ivp

from sheetengine.clauses.heat_closed_forms import half_space_convection, half_space_step, slab_convection
from sheetengine.clauses.hydration_heat import rise_at_age
from sheetengine.design import corner_heat as heat
from sheetengine.design.corner_grid import graded, inverses, overlaps, shares
from sheetengine.design.corner_heat import CELLS, PLACES, Body, Cells, Corner, corner_heat, when_built_upon

SHUT = 1e-9
FINE = Cells(40, 20, 40, 20, 1.1)
COLD = {"rise": 0.0, "temperature": 15.0}
"""A body without heat."""


def test_a_closed_lift_follows_the_adiabatic_curve() -> None:
    # at an activation temperature next to nothing a clock hour is an equivalent hour; the middle of 8 m feels nothing
    c = corner(
        own={"formed": SHUT, "activation": 1e-9, "height": 8.0, "bared": np.inf},
        below={"temperature": 15.0},
        bare=SHUT,
        anchor_depth=4.0,
        embedment=2.0,
    )
    found = corner_heat(c, 36)
    even = np.ones(36)
    want = rise_at_age(adiabatic_rise=35.0 * even, hydration_time=16.0 * even, hydration_shape=0.9 * even,
                       equivalent_age=np.arange(1.0, 37.0))  # fmt: skip
    assert found.anchor[0, 2::2] - 15.0 == pytest.approx(want[1::2], abs=1e-6)


def test_heat_that_warms_itself_follows_an_independent_integrator() -> None:
    """Adiabatic, with the equivalent age of its own warming; scipy's implicit integrator as the reference."""
    c = corner(own={"formed": SHUT, "height": 8.0, "bared": np.inf}, below={"temperature": 15.0}, bare=SHUT, anchor_depth=4.0, embedment=2.0)  # fmt: skip
    found = corner_heat(c, 96)

    def grow(_: float, age: np.ndarray) -> np.ndarray:
        warm = 288.15 + 35.0 * np.exp(-((16.0 / np.maximum(age, 1e-9)) ** 0.9))
        return np.asarray(np.exp(4000.0 * (1.0 / 293.15 - 1.0 / warm)))

    hours = np.arange(0.0, 97.0, 2.0)
    age = solve_ivp(grow, (0.0, 96.0), [0.0], "Radau", t_eval=hours, rtol=1e-10, atol=1e-10).y[0]
    want = 15.0 + 35.0 * np.exp(-((16.0 / np.maximum(age, 1e-9)) ** 0.9))
    short = np.abs(found.anchor[0, ::2] - want)
    assert short.max() < 0.4
    assert (short <= found.error[0, :, ::2][0] + 1e-9).all()


@pytest.mark.parametrize("hours", [12, 24, 72])
def test_the_face_of_a_lift_without_heat_cools_as_a_half_space(hours: int) -> None:
    # kappa = 2.4/600 = 0.004 m2/h; the corner far away: a high lift, read at its middle
    c = corner(own=COLD | {"height": 12.0, "bared": -np.inf}, below={"temperature": 15.0}, air=5.0, depth=5.0,
               anchor_depth=6.0)  # fmt: skip
    found = corner_heat(c, hours, replace(CELLS, across=20))
    given = {"ambient_step": -10.0, "elapsed_time": float(hours), "diffusivity": 0.004, "film_coefficient": 20.0,
             "conductivity": 2.4}  # fmt: skip
    columns = {name: np.array([value]) for name, value in given.items()}
    for values, depth in ((found.face, 0.0), (found.anchor, 0.15)):
        want = half_space_convection(depth_from_surface=np.array([depth]), **columns)
        assert values[0, hours] - 15.0 == pytest.approx(want[0], abs=0.05)


def test_a_corner_without_heat_cools_as_the_product_of_two_half_spaces() -> None:
    """At a right-angled edge the shares that remain multiply (Carslaw & Jaeger, 2nd ed., 1.15; from memory)."""
    c = corner(own=COLD | {"height": 6.0, "bared": -np.inf}, below={"temperature": 15.0}, air=5.0, depth=5.0)
    found = corner_heat(c, 72, FINE)

    def left(depth: float, hour: int) -> float:
        step = half_space_convection(
            ambient_step=np.array([-1.0]), depth_from_surface=np.array([depth]), elapsed_time=np.array([float(hour)]),
            diffusivity=np.array([0.004]), film_coefficient=np.array([20.0]), conductivity=np.array([2.4]),
        )  # fmt: skip
        return 1.0 + float(step[0])

    for hour in (12, 24, 48, 72):
        anchor = 5.0 + 10.0 * left(0.15, hour) * left(0.4, hour)
        top = 5.0 + 10.0 * left(0.0, hour) * left(heat.TOP_DEPTH, hour)
        assert found.anchor[0, hour] == pytest.approx(anchor, abs=0.03)
        assert found.top[0, hour] == pytest.approx(top, abs=0.05)


def test_a_thin_block_cools_as_a_slab() -> None:
    """A block of 1 m with both faces bare, cut at its middle; Bi = 20 x 0.5/2.4, Fo = 0.004 x 24/0.25."""
    c = corner(own=COLD | {"height": 12.0, "bared": -np.inf}, below={"temperature": 15.0}, air=5.0, depth=0.5,
               anchor_depth=6.0, embedment=0.25)  # fmt: skip
    found = corner_heat(c, 24)
    left = slab_convection(biot_number=np.array([20.0 * 0.5 / 2.4]), fourier_number=np.array([0.004 * 24.0 / 0.25]),
                           relative_position=np.array([1.0]))  # fmt: skip
    assert found.face[0, 24] == pytest.approx(5.0 + 10.0 * left[0], abs=0.03)


@pytest.mark.parametrize("depth", [0.1, 0.2, 0.3])
def test_the_day_dies_away_inward_as_in_a_half_space(depth: float) -> None:
    """A wave of the surface falls as exp(-x sqrt(pi/(kappa P))) and lags (Carslaw & Jaeger, 2nd ed., 2.6; from memory)."""
    # the surface itself is made to follow the air by a film that hardly resists
    c = corner(own=COLD | {"temperature": 8.0, "height": 12.0, "bared": -np.inf}, swing=10.0, bare=1e7, depth=4.0,
               anchor_depth=6.0, embedment=2.0 * depth)  # fmt: skip

    def wave(step: float) -> complex:
        run = heat._Run(c, step, FINE)
        at, level = heat._at(run.x, np.array([depth])), heat._at(run.y, np.array([3.0 + 6.0]))
        hours, values = np.arange(step, 336.0 + step / 2.0, step), []
        for _ in hours:
            run.advance()
            values.append(at(level(run.t)[:, :, None])[0, 0])
        late = hours > 240.0
        phase = (8.0 + hours[late] - heat.WARMEST_HOUR) * (2.0 * np.pi / 24.0)
        parts = np.column_stack([np.cos(phase), np.sin(phase), np.ones(phase.size)])
        a, b, _ = np.linalg.lstsq(parts, np.array(values)[late], rcond=None)[0]
        return complex(a, b)

    found = 2.0 * wave(0.5) - wave(1.0)
    sharp = depth * np.sqrt(np.pi / (0.004 * 24.0))
    assert abs(found) == pytest.approx(5.0 * np.exp(-sharp), rel=0.01)
    assert np.angle(found) == pytest.approx(sharp, abs=0.01)


def test_a_step_at_the_surface_spreads_as_in_a_half_space() -> None:
    width = graded(np.array([3.0]), 60, 1.04)
    k, capacity, step = np.array([[2.4]]), np.array([[600.0]]), 0.05
    first = 2.0 * 2.4 / width[:, 0]
    inverse = inverses(width, k, capacity, first, np.zeros(1), step)[0]
    line = np.zeros(60)
    for _ in range(480):
        line[0] += step * first[0] * 20.0 / (600.0 * width[0, 0])
        line = inverse @ line
    depth = np.cumsum(width[0]) - width[0] / 2.0
    want = half_space_step(surface_step=np.full(60, 20.0), depth_from_surface=depth,
                           elapsed_time=np.full(60, 24.0), diffusivity=np.full(60, 0.004))  # fmt: skip
    assert np.abs(line - want).max() < 0.05


def test_a_bar_with_a_swinging_end_as_in_a_benchmark_of_conduction() -> None:
    """NAFEMS benchmark T3 (from memory): 0.1 m, k 35, c 440.5, rho 7200, ends at 0 and 100 sin(pi t/40); 36.60 degC at 0.08 m, 32 s.

    The value is found a second way here, by the series solution of the same bar in its first 400 terms.
    """
    k, heat_of_it, length = 35.0, 440.5 * 7200.0, 0.1
    kappa = k / heat_of_it
    n = np.arange(1.0, 401.0)
    w, rate = np.pi / 40.0, kappa * (n * np.pi / length) ** 2
    # u = f x/L + sum of b_n(t) sin(n pi x/L), with b_n' + rate b_n = -f' c_n and c_n = 2 (-1)^(n+1)/(n pi)
    c = 2.0 * (-1.0) ** (n + 1) / (n * np.pi)
    t = 32.0
    grown = (rate * np.cos(w * t) + w * np.sin(w * t) - rate * np.exp(-rate * t)) / (rate**2 + w**2)
    series = 100.0 * np.sin(w * t) * 0.8 - (100.0 * w * c * grown * np.sin(n * np.pi * 0.8)).sum()
    assert series == pytest.approx(36.60, abs=0.01)

    def run(step: float) -> float:
        cells = 100
        width = np.full((1, cells), length / cells)
        gives = 2.0 * k / width[:, 0]
        inverse = inverses(
            width, np.array([[k]]), np.array([[heat_of_it / 3600.0]]), gives, gives, step / 3600.0
        )[0]
        line = np.zeros(cells)
        for number in range(1, round(t / step) + 1):
            end = 100.0 * np.sin(w * number * step)
            line[-1] += step * gives[0] * end / (heat_of_it * width[0, 0])
            line = inverse @ line
        middle = (np.arange(cells) + 0.5) / cells * length
        return float(np.interp(0.08, middle, line))

    assert 2.0 * run(0.05) - run(0.1) == pytest.approx(36.60, abs=0.02)


def random_corners(count: int, seed: int) -> Corner:
    draw = np.random.default_rng(seed)
    c = corner(count, swing=9.0, sun=12.0)

    def other(given: Body) -> Body:
        return replace(
            given, height=draw.uniform(1.5, 4.5, count), conductivity=draw.uniform(1.8, 3.2, count),
            capacity=draw.uniform(550.0, 720.0, count), rise=draw.uniform(15.0, 55.0, count),
            temperature=draw.uniform(5.0, 30.0, count), bared=draw.uniform(20.0, 200.0, count),
            formed=draw.uniform(0.5, 15.0, count),
        )  # fmt: skip

    return replace(
        c, start=draw.uniform(0.0, 24.0, count), next_hour=draw.uniform(60.0, 300.0, count),
        air=draw.uniform(-10.0, 25.0, count), depth=draw.uniform(0.5, 2.5, count),
        below=other(c.below), own=other(c.own), above=other(c.above),
    )  # fmt: skip


def test_the_whole_corner_keeps_its_energy() -> None:
    """property: given = lost + kept, with stripping, the later lift, sun and swing, in every lift, by far below 1e-6."""
    found = corner_heat(random_corners(60, 3), 336)
    assert found.imbalance.max() < 1e-12


def test_the_books_of_energy_see_a_loss(monkeypatch: pytest.MonkeyPatch) -> None:
    """The balance is no identity: conduction that loses heat on its way between cells shows."""
    honest = heat.inverses
    monkeypatch.setattr(heat, "inverses", lambda *a, **k: honest(*a, **k) * 0.9999)
    assert corner_heat(random_corners(3, 3), 48).imbalance.min() > 1e-6


def test_a_closed_corner_comes_to_the_mean() -> None:
    # shut, very conductive: all comes to the heat of the lift shared out over the lift and the 3 m below
    c = corner(own={"formed": SHUT, "bared": np.inf, "activation": 1e-9, "hydration_time": 1e-6, "conductivity": 500.0},
               below={"temperature": 15.0, "conductivity": 500.0}, bare=SHUT, depth=0.3)  # fmt: skip
    found = corner_heat(c, 96)
    for values in (found.core, found.joint, found.anchor):
        assert values[0, -1] == pytest.approx(15.0 + 35.0 * 2.0 / 5.0, abs=1e-3)


def test_the_estimate_of_the_error_bounds_the_true_one() -> None:
    c = heat._on_steps(corner(swing=8.0, next_hour=150.0))
    found = corner_heat(c, 240)
    fine, _ = heat._run(c, 240, 0.125, CELLS)
    for place, name in enumerate(PLACES):
        off = np.abs(getattr(found, name) - fine[place])[0]
        assert (off[::2] <= found.error[place, 0].max()).all(), name


def test_halving_the_step_takes_the_error_to_a_third_or_less(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(heat, "HALVINGS", 0)
    c = corner(own={"bared": -np.inf})
    coarse = corner_heat(c, 72).core[0, 24::2]
    small, half = (heat._run(c, 72, step, CELLS)[0][1, 0, 24::2] for step in (0.125, 0.0625))
    fine = 2.0 * half - small
    monkeypatch.setattr(heat, "STEP", 4.0)
    twice = corner_heat(c, 72).core[0, 24::2]
    assert np.abs(coarse - fine)[::2].max() < np.abs(twice - fine)[::2].max() / 3.0


def test_a_lift_with_a_large_error_is_computed_with_smaller_steps(monkeypatch: pytest.MonkeyPatch) -> None:
    hasty = corner(2, own={"rise": 55.0, "hydration_time": 9.0, "shape": 1.6})
    calm = corner(2)
    both = replace(hasty, own=hasty.own.rows(slice(0, 1)))
    mixed = Corner(**{
        field.name: getattr(calm, field.name) for field in fields(Corner) if field.name != "own"
    }, own=Body(**{field.name: np.concatenate([getattr(both.own, field.name), getattr(calm.own, field.name)[:1]]) for field in fields(Body)}))  # fmt: skip
    monkeypatch.setattr(heat, "HALVINGS", 0)
    rough = corner_heat(mixed, 96)
    monkeypatch.setattr(heat, "HALVINGS", 3)
    done = corner_heat(mixed, 96)
    assert rough.error[:, 0].max() > heat.MOST_ERROR
    assert done.error.max() <= heat.MOST_ERROR
    np.testing.assert_array_equal(done.core[1], rough.core[1])
    fine, _ = heat._run(heat._on_steps(mixed), 96, 0.0625, CELLS)
    assert np.abs(done.core[0] - fine[1, 0]).max() < np.abs(rough.core[0] - fine[1, 0]).max()
    assert np.abs(done.core[0] - fine[1, 0]).max() < heat.MOST_ERROR


def test_any_step_is_stable() -> None:
    """property: a step of a week neither oscillates nor leaves the band of air and start."""
    run = heat._Run(corner(own=COLD), 168.0, CELLS)
    for _ in range(20):
        run.advance()
        assert run.t.min() >= 8.0 - 1e-9
        assert run.t.max() <= 15.0 + 1e-9


@pytest.mark.parametrize("height", [1.5, 2.0, 3.0, 4.5])
@pytest.mark.parametrize("next_hour", [150.0, np.inf])
def test_the_grid_is_fine_enough(height: float, next_hour: float) -> None:
    c = corner(own={"height": height}, swing=8.0, next_hour=next_hour)
    asked, finer = corner_heat(c, 240), corner_heat(c, 240, CELLS.doubled().doubled())
    assert np.abs(asked.anchor - finer.anchor).max() < 0.15
    assert np.abs(asked.face - finer.face).max() < 0.3
    assert abs(asked.core.max() - finer.core.max()) < 0.25
    assert abs((asked.core - asked.face).max() - (finer.core - finer.face).max()) < 0.3


def test_cells_taken_to_other_cells_hold_the_same() -> None:
    old, new = shares(18, 1.25, both_ends=True), shares(8, 1.25)[::-1]
    taken = overlaps(old, new)
    assert taken.sum(axis=1) == pytest.approx(1.0)
    values = np.linspace(3.0, 40.0, 18) ** 1.3
    assert (taken @ values * new).sum() == pytest.approx((values * old).sum(), rel=1e-12)


def test_the_state_when_built_upon_is_that_of_the_run() -> None:
    c = corner(next_hour=8.0 + 100.0)
    age, warm = when_built_upon(c, 336)
    run = heat._Run(heat._on_steps(c), heat.STEP, CELLS)
    for _ in range(50):
        run.advance()
    own = run.parts[1]
    old = (run.t[0, own] * run.y[0, own, None]).sum() / 2.0
    assert (warm[0] * shares(CELLS.below, CELLS.growth)[::-1, None]).sum() == pytest.approx(old, rel=1e-12)
    assert age[0].min() > 50.0
    assert np.isnan(when_built_upon(corner(next_hour=np.inf), 48)[0]).all()
    assert np.isnan(when_built_upon(corner(next_hour=8.0 + 100.0), 48)[0]).all()


def test_a_later_lift_warms_the_anchors_only_when_it_is_there() -> None:
    alone, built = corner_heat(corner(), 240), corner_heat(corner(next_hour=8.0 + 120.0), 240)
    assert built.anchor[0, :120] == pytest.approx(alone.anchor[0, :120], abs=1e-9)
    assert (built.anchor[0, 140:] > alone.anchor[0, 140:] + 0.5).all()


def test_the_sun_only_warms_and_only_by_day() -> None:
    dark, sunny = corner_heat(corner(own=COLD), 72), corner_heat(corner(own=COLD, sun=15.0), 72)
    gain = sunny.face - dark.face
    assert gain.min() >= -1e-9
    assert gain[0, 24:].max() > 3.0


def test_many_lifts_are_each_as_one_alone() -> None:
    many = random_corners(heat.CHUNK + 7, 5)
    together = corner_heat(many, 24)
    for item in (0, heat.CHUNK - 1, heat.CHUNK + 3):
        alone = corner_heat(many.rows(slice(item, item + 1)), 24)
        for name in PLACES:
            assert getattr(together, name)[item] == pytest.approx(getattr(alone, name)[0], abs=1e-9)
