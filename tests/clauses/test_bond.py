"""EN 1992-1-1 bond, anchorage and laps, against published lengths and a second library."""

import numpy as np
import pytest
from structuralcodes.codes import ec2_2004
from support import case

from sheetengine.clauses import en1992_1_1_bond as bond
from sheetengine.clauses.record import outside

ONE = np.array([1.0])


def column(*values):
    return np.array(values, dtype=float)


def basic_length(diameter, position):
    tension = bond.design_tensile_strength(
        cylinder_strength=column(25.0), concrete_partial_factor=column(1.5)
    )
    strength = bond.design_bond_strength(
        position_factor=column(position), bar_diameter=diameter, design_tension=tension
    )
    return bond.basic_anchorage_length(
        bar_diameter=diameter, bar_stress=column(500.0 / 1.15), bond_strength=strength
    )


def cover_of(diameter):
    """Cover 25 mm governs over half the clear spacing, (150 - d)/2."""
    return bond.cover_influence(cover_measure=column(25.0), bar_diameter=diameter)


def test_anchorage_lengths():
    published = case("R-ANCH")
    diameter = published.column("d")
    length = bond.anchorage_length(
        basic_length=basic_length(diameter, 1.0),
        bar_diameter=diameter,
        anchorage_form_factor=ONE,
        cover_factor=cover_of(diameter),
        confinement_factor=ONE,
    )
    published.check("lbd", np.ceil(length / 10.0) * 10.0)


@pytest.mark.parametrize(("name", "position"), [("l0_good", 1.0), ("l0_poor", 0.7)])
def test_lap_lengths(name, position):
    published = case("R-LAP-50")
    diameter = published.column("d")
    length = bond.lap_length(
        basic_length=basic_length(diameter, position),
        bar_diameter=diameter,
        anchorage_form_factor=ONE,
        cover_factor=cover_of(diameter),
        confinement_factor=ONE,
        lap_factor=bond.lap_influence(lapped_share=column(50.0)),
    )
    published.check(name, np.round(length, -1))


@pytest.mark.parametrize("strength", [12.0, 20.0, 30.0, 50.0])
def test_tensile_strength_as_a_second_library_has_it(strength):
    """structuralcodes, EN 1992-1-1:2004 Table 3.1 and Eq. (3.16)."""
    theirs = ec2_2004.fctd(ec2_2004.fctk_5(ec2_2004.fctm(strength)), 1.0, 1.5)
    ours = bond.design_tensile_strength(
        cylinder_strength=column(strength), concrete_partial_factor=column(1.5)
    )
    np.testing.assert_allclose(ours, theirs)


def test_size_factor_only_above_32_mm():
    """Eq. (8.2): (132 - phi)/100 above 32 mm."""
    ratio = bond.design_bond_strength(
        position_factor=column(1.0, 1.0, 1.0),
        bar_diameter=column(16.0, 32.0, 40.0),
        design_tension=column(1.0, 1.0, 1.0),
    )
    np.testing.assert_allclose(ratio, [2.25, 2.25, 2.25 * 0.92])


def test_least_lengths():
    """Eq. (8.6): max(0.3 l, 10 phi, 100); Eq. (8.11): max(0.3 alpha6 l, 15 phi, 200)."""
    plain = {"anchorage_form_factor": ONE, "cover_factor": ONE * 0.7, "confinement_factor": ONE * 0.7}
    anchorage = bond.anchorage_length(
        basic_length=column(50.0, 200.0), bar_diameter=column(8.0, 16.0), **plain
    )
    np.testing.assert_allclose(anchorage, [100.0, 160.0])
    lap = bond.lap_length(
        basic_length=column(50.0, 200.0), bar_diameter=column(8.0, 16.0), lap_factor=ONE, **plain
    )
    np.testing.assert_allclose(lap, [200.0, 240.0])
    long = bond.anchorage_length(basic_length=column(1000.0), bar_diameter=column(16.0), **plain)
    np.testing.assert_allclose(long, 700.0)


def test_cover_and_lap_factors_at_their_bounds():
    """Table 8.2: 0.7 to 1.0; Eq. (8.10): 1.0 to 1.5; Table 8.3 prints 1.15 at 33 % and 1.4 at 50 %."""
    cover = bond.cover_influence(
        cover_measure=column(10.0, 16.0, 48.0, 100.0), bar_diameter=column(*[16.0] * 4)
    )
    np.testing.assert_allclose(cover, [1.0, 1.0, 0.7, 0.7])
    lapped = bond.lap_influence(lapped_share=column(10.0, 25.0, 33.0, 50.0, 100.0))
    np.testing.assert_allclose(lapped, [1.0, 1.0, 1.15, 1.4, 1.5], atol=0.02)


def test_scope():
    """Table 3.1 has another expression above C50/60, and starts at C12/15."""
    rows = outside(bond.design_tensile_strength, cylinder_strength=column(11.0, 12.0, 50.0, 55.0))
    np.testing.assert_array_equal(rows["cylinder_strength"], [True, False, False, True])
