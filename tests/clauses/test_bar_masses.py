"""Nominal masses of bars, against the printed tables and the density of steel."""

import numpy as np
from support import case

from sheetengine.clauses import bar_masses


def column(*values):
    return np.array(values, dtype=float)


def test_metric_table():
    published = case("R-EN10080")
    diameter = published.column("d")
    mass = bar_masses.metric_bar_mass(bar_diameter=diameter)
    np.testing.assert_array_equal(mass, published.printed("mass"))
    published.check("mass", np.pi / 4.0 * (diameter / 1000.0) ** 2 * 7850.0)
    assert bar_masses.metric_sizes() == tuple(diameter)


def test_us_table():
    published = case("R-A615")
    number = published.column("bar")
    weight = bar_masses.us_bar_mass(bar_number=number) * bar_masses.M_PER_FOOT / bar_masses.KG_PER_POUND
    published.check("weight", weight)
    np.testing.assert_allclose(weight, published.printed("weight"), rtol=1e-12)
    diameter = bar_masses.us_bar_diameter(bar_number=number)
    np.testing.assert_allclose(diameter, published.column("d") * 25.4)
    published.check("weight", np.pi / 4.0 * (diameter / 304.8) ** 2 * 490.0)
    assert bar_masses.us_numbers() == tuple(number)


def test_the_tables_agree_where_the_sizes_meet():
    """#8 is 25.4 mm: its mass over that of the 25 mm bar is the ratio of the areas, 1.032."""
    ratio = bar_masses.us_bar_mass(bar_number=column(8.0)) / bar_masses.metric_bar_mass(
        bar_diameter=column(25.0)
    )
    np.testing.assert_allclose(ratio, (25.4 / 25.0) ** 2, rtol=2e-3)


def test_sizes_that_are_not_in_the_table_have_no_mass():
    assert np.isnan(bar_masses.metric_bar_mass(bar_diameter=column(15.0, 0.0, np.nan))).all()
    assert np.isnan(bar_masses.us_bar_mass(bar_number=column(2.0, 12.0, np.nan))).all()


def test_labels_of_us_bars():
    numbers = bar_masses.bar_numbers(np.array(["#3", " #18 ", "No. 8", "no 4", "#12", "20", ""]))
    np.testing.assert_array_equal(numbers, [3.0, 18.0, 8.0, 4.0, np.nan, np.nan, np.nan])


def test_inputs_are_kept():
    diameter = column(16.0, np.nan)
    before = diameter.copy()
    bar_masses.metric_bar_mass(bar_diameter=diameter)
    np.testing.assert_array_equal(diameter, before)
