"""Heads, development of bars, tension with shear beside bars: tables of handbooks, each checked a second way."""

from __future__ import annotations

import numpy as np
from support import case

from sheetengine.clauses import aci318_17, aci318_25, en1992_4_interaction


def like(column: np.ndarray, value: float) -> np.ndarray:
    return np.full(column.shape, float(value))


def test_pull_out_of_anchor_rods() -> None:
    printed = case("A-DG1-PULL")
    area = printed.column("Abrg")
    for strength in (3000, 4000, 5000):
        found = aci318_17.pull_out_strength(
            cracking_influence=like(area, 1.0), bearing_area=area, cylinder_strength=like(area, strength)
        )
        printed.check(f"phiNp_{strength}", found * printed.given("phi") / 1000.0)
    across, rod = printed.column("F"), printed.column("d")
    np.testing.assert_allclose(area, np.sqrt(0.75) * across**2 - np.pi / 4.0 * rod**2, rtol=0.04)


def test_development_in_bar_diameters() -> None:
    printed = case("A-318-LD")
    strength = printed.column("fc")
    psi = 4.4482216152605 / 645.16
    for name, factor, factor_si in zip(
        ("small", "large", "small_other", "large_other"),
        printed.given("k"),
        printed.given("k_si"),
        strict=True,
    ):
        inch = aci318_25.development_length(
            bar_yield_strength=like(strength, printed.given("fy")), development_factor=like(strength, factor),
            cylinder_strength=strength, bar_diameter=like(strength, 1.0), least_development=like(strength, 0.0),
        )  # fmt: skip
        np.testing.assert_allclose(inch, printed.printed(name), atol=0.501)
        printed.check(name, inch)
        si = aci318_25.development_length(
            bar_yield_strength=like(strength, 420.0), development_factor=like(strength, factor_si),
            cylinder_strength=strength * psi, bar_diameter=like(strength, 1.0), least_development=like(strength, 0.0),
        )  # fmt: skip
        np.testing.assert_allclose(si, inch, rtol=0.03)


def test_development_in_inches() -> None:
    printed = case("A-CRSI-LD")
    diameter = printed.column("d")
    length = aci318_25.development_length(
        bar_yield_strength=like(diameter, 60000.0), development_factor=printed.column("k"),
        cylinder_strength=like(diameter, 4000.0), bar_diameter=diameter, least_development=like(diameter, 12.0),
    )  # fmt: skip
    printed.check("ld", np.ceil(length))


def test_curve_of_tension_and_shear_beside_bars() -> None:
    printed = case("A-TS-K7")
    tension, shear = printed.column("beta_N"), np.array(printed.printed("beta_V"))
    found = en1992_4_interaction.barred_interaction(tension_ratio=tension, shear_ratio=shear)
    np.testing.assert_allclose(found, 1.0, rtol=1e-6)
    printed.check("beta_V", (1.0 - tension ** (2.0 / 3.0)) ** 1.5)
    # it lies below both other measures of the standard everywhere: less is allowed
    plain = en1992_4_interaction.concrete_interaction(tension_ratio=tension, shear_ratio=shear)
    assert (plain <= found + 1e-6).all()
