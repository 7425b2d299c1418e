"""The corner of face and joint against a general finite-element library: two directions, hydration, stripping, a later lift.

scikit-fem assembles mass, conduction and film on a fine mesh of its own; time goes in short Crank-Nicolson steps here.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from corners import corner
from scipy.sparse import csc_matrix
from scipy.sparse.linalg import splu
from skfem import Basis, BilinearForm, ElementQuad1, FacetBasis, LinearForm, MeshQuad

from sheetengine.design.corner_heat import Corner, corner_heat

STEP = 0.25
"""Of the reference, in h."""


@BilinearForm
def mass(u: Any, v: Any, w: Any) -> Any:
    return w["capacity"] * u * v


@BilinearForm
def conduction(u: Any, v: Any, w: Any) -> Any:
    return w["conductivity"] * (u.grad[0] * v.grad[0] + u.grad[1] * v.grad[1])


@BilinearForm
def film(u: Any, v: Any, w: Any) -> Any:
    return w["film"] * u * v


@LinearForm
def load(v: Any, w: Any) -> Any:
    return w["film"] * v


def places(length: float, fine: float, *, both: bool = False, backward: bool = False) -> np.ndarray:
    """Nodes that stand closer at one end or at both."""
    even = np.linspace(0.0, 1.0, round(length / fine) // 2 + 1)
    part = even**1.6
    if both:
        half = part / 2.0
        part = np.concatenate([half, 1.0 - half[-2::-1]])
    return length * (1.0 - part[::-1] if backward else part)


class Reference:
    """The same corner as a finite-element model; x from the face inward, y from the bottom of what is below."""

    def __init__(self, c: Corner) -> None:
        self.c = c
        low, own, high = (float(body.height[0]) for body in (c.below, c.own, c.above))
        self.base, self.roof = low, low + own
        x = places(float(c.depth[0]), 0.04)
        y = np.concatenate([
            places(low, 0.05, backward=True), low + places(own, 0.05, both=True)[1:], low + own + places(high, 0.05)[1:],
        ])  # fmt: skip
        self.mesh = MeshQuad.init_tensor(x, y)
        self.point = self.mesh.p
        self.built = False
        self.bared = False
        self.assemble()

    def body_of(self, y: np.ndarray, name: str) -> np.ndarray:
        low, own, high = (float(getattr(body, name)[0]) for body in (self.c.below, self.c.own, self.c.above))
        return np.where(y < self.base, low, np.where(y < self.roof, own, high))

    def assemble(self) -> None:
        c, mesh = self.c, self.mesh
        element = ElementQuad1()
        middle = mesh.p[1][mesh.t].mean(axis=0)
        there = np.flatnonzero(self.built | (middle < self.roof))
        basis = Basis(mesh, element, elements=there, intorder=3)
        y = basis.global_coordinates()[1]
        self.m = mass.assemble(basis, capacity=self.body_of(y, "capacity"))
        a = conduction.assemble(basis, conductivity=self.body_of(y, "conductivity"))
        bare, formed = float(c.bare[0]), float(c.own.formed[0])
        top = self.point[1].max() if self.built else self.roof
        edges = [
            (mesh.facets_satisfying(lambda p: (p[0] < 1e-9) & (p[1] < self.base)), bare),
            (mesh.facets_satisfying(lambda p: (p[0] < 1e-9) & (p[1] > self.base) & (p[1] < self.roof)), bare if self.bared else formed),
            (mesh.facets_satisfying(lambda p: np.abs(p[1] - top) < 1e-9), bare),
        ]  # fmt: skip
        if self.built:
            edges.append(
                (
                    mesh.facets_satisfying(lambda p: (p[0] < 1e-9) & (p[1] > self.roof)),
                    float(c.above.formed[0]),
                )
            )
        self.f = np.zeros(self.point.shape[1])
        for facets, value in edges:
            side = FacetBasis(mesh, element, facets=facets)
            even = np.full(side.global_coordinates()[0].shape, value)
            a = a + film.assemble(side, film=even)
            self.f += load.assemble(side, film=even)
        used = np.unique(mesh.t[:, there])
        self.used = used
        self.m, self.a, self.f = (
            csc_matrix(self.m)[used][:, used],
            csc_matrix(a)[used][:, used],
            self.f[used],
        )
        self.left = splu((self.m / STEP + self.a / 2.0).tocsc())

    def run(self, hours: int, stripped: float, built: float) -> dict[str, np.ndarray]:
        c = self.c
        y = self.point[1]
        # the joint takes the mean of both sides at the start
        t = np.where(y < self.base - 1e-9, float(c.below.temperature[0]), float(c.own.temperature[0]))
        t = np.where(
            np.abs(y - self.base) < 1e-9,
            (float(c.below.temperature[0]) + float(c.own.temperature[0])) / 2.0,
            t,
        )
        t = np.where(y > self.roof + 1e-9, float(c.above.temperature[0]), t)
        age = np.zeros(t.size)
        rise = np.where(
            np.abs(y - self.base) < 1e-9,
            float(c.own.rise[0]) / 2.0,
            np.where(y < self.base, 0.0, float(c.own.rise[0])),
        )
        tau, beta, act = (
            float(getattr(c.own, name)[0]) for name in ("hydration_time", "shape", "activation")
        )

        def grown(old: np.ndarray) -> np.ndarray:
            return rise * np.exp(-((tau / np.maximum(old, 1e-9)) ** beta))

        read: dict[str, list[float]] = {"anchor": [], "core": [], "face": [], "joint": []}
        self.note(t, read)
        for number in range(1, round(hours / STEP) + 1):
            clock = (number - 0.5) * STEP
            if (clock >= stripped) != self.bared or (clock >= built) != self.built:
                self.bared, self.built = clock >= stripped, clock >= built
                self.assemble()
            u = self.used
            air = float(c.air[0]) + float(c.swing[0]) / 2.0 * np.cos(
                (float(c.start[0]) + clock - 15.0) * np.pi / 12.0
            )
            rate = np.exp(act * (1.0 / 293.15 - 1.0 / (t[u] + 273.15)))
            new = age[u] + STEP * rate
            heat = np.zeros(t.size)
            full = age.copy()
            full[u] = new
            heat[u] = (grown(full) - grown(age))[u]
            age = full
            right = self.m @ (t[u] / STEP + heat[u] / STEP) - self.a @ t[u] / 2.0 + self.f * air
            t = t.copy()
            t[u] = self.left.solve(right)
            if clock + STEP / 2.0 == round(clock + STEP / 2.0):
                self.note(t, read)
        return {name: np.array(values) for name, values in read.items()}

    def note(self, t: np.ndarray, read: dict[str, list[float]]) -> None:
        c, x, y = self.c, self.point[0], self.point[1]
        own = (y > self.base - 1e-9) & (y < self.roof + 1e-9)
        inner = own & (x > x.max() - 1e-9)

        def at(place: tuple[float, float]) -> float:
            xs, ys = np.unique(x), np.unique(y)
            order = np.lexsort((x, y))
            grid = t[order].reshape(ys.size, xs.size)
            row = np.array([np.interp(place[0], xs, line) for line in grid])
            return float(np.interp(place[1], ys, row))

        level = self.roof - float(c.anchor_depth[0])
        reach = float(c.embedment[0])
        read["anchor"].append(min(at((reach, level)), at((reach / 2.0, level))))
        read["core"].append(float(t[inner].max()))
        read["face"].append(at((0.0, (self.base + self.roof) / 2.0)))
        read["joint"].append(at((float(x.max()), self.base)))


@pytest.mark.parametrize(
    ("height", "swing", "stripped", "built"), [(2.0, 0.0, 72.0, np.inf), (3.0, 10.0, 48.0, 120.0)]
)
def test_the_corner_follows_the_finite_element_model(
    height: float, swing: float, stripped: float, built: float
) -> None:
    c = corner(
        own={"height": height, "bared": 8.0 + stripped}, below={"temperature": 10.0},
        above={"height": height, "bared": np.inf}, swing=swing, next_hour=8.0 + built,
    )  # fmt: skip
    found = corner_heat(c, 192)
    want = Reference(c).run(192, stripped, built)
    for name, within in (("anchor", 0.2), ("core", 0.2), ("face", 0.35), ("joint", 0.4)):
        off = np.abs(getattr(found, name)[0, 8:] - want[name][8:])
        assert off.max() < within, name
