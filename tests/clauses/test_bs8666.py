"""BS 8666 in both editions, against published lengths and tables."""

import numpy as np
import pytest
from support import case, cases

from sheetengine.clauses import bs8666

LETTERS = "ABCDEF"
OF_2005 = sorted(
    i for i in cases() if i.startswith("R-8666-") and "shape" in cases()[i].inputs and "-20-" not in i
)
OF_2020 = sorted(i for i in cases() if i.startswith("R-8666-20-") and "shape" in cases()[i].inputs)


def column(*values):
    return np.array(values, dtype=float)


def length(edition, codes, diameter, radius, **dimensions):
    rows = len(codes)
    blank = np.full(rows, np.nan)
    return bs8666.cutting_length(
        edition=edition,
        shape_code=np.array(codes),
        bar_diameter=np.full(rows, float(diameter)),
        bend_radius=np.full(rows, float(radius)),
        **{
            f"dimension_{letter.lower()}": np.full(rows, float(dimensions[letter]))
            if letter in dimensions
            else blank
            for letter in LETTERS
        },
    )


def length_of(published, edition):
    dimensions = {letter: published.given(letter) for letter in LETTERS if letter in published.inputs}
    return length(
        edition, [published.given("shape")], published.given("d"), published.given("r"), **dimensions
    )


@pytest.mark.parametrize("identifier", OF_2005)
def test_length_of_2005(identifier):
    published = case(identifier)
    computed = length_of(published, "BS 8666:2005")
    published.check("L", computed)
    published.check("L_sched", bs8666.scheduled_length(cut_length=computed))


@pytest.mark.parametrize("identifier", OF_2020)
def test_length_of_2020(identifier):
    published = case(identifier)
    published.check("L", length_of(published, "BS 8666:2020"))


def test_there_are_published_lengths():
    assert (len(OF_2005), len(OF_2020)) == (5, 28)


HAND = {"A": 500.0, "B": 400.0, "C": 300.0, "D": 200.0, "E": 150.0, "F": 120.0}


@pytest.mark.parametrize(
    ("code", "by_hand"),
    [
        # d = 16, r = 32; expressions of the shape-code sheet dated May 2006 and, for 12 and 22, of the 2020 coding
        ("00", 500.0),
        ("11", 500 + 400 - 16 - 16),
        ("12", 500 + 400 - 0.43 * 32 - 1.2 * 16),
        ("13", 500 + 0.57 * 400 + 300 - 1.6 * 16),
        ("15", 500 + 300),
        ("21", 500 + 400 + 300 - 32 - 32),
        ("22", 500 + 400 + 0.57 * 300 + 200 - 16 - 2.6 * 16),
        ("31", 500 + 400 + 300 + 200 - 48 - 48),
        ("33", 1000 + 1.7 * 400 + 600 - 64),
        ("36", 500 + 400 + 300 + 200 - 32 - 32),
        ("41", 500 + 400 + 300 + 200 + 150 - 64 - 64),
        ("44", 500 + 400 + 300 + 200 + 150 - 64 - 64),
        ("46", 500 + 800 + 300 + 150),
        ("98", 500 + 800 + 300 + 200 - 64 - 64),
    ],
)
def test_codes_alike_in_both_editions(code, by_hand):
    for edition in bs8666.EDITIONS:
        np.testing.assert_allclose(length(edition, [code], 16, 32, **HAND), by_hand)


@pytest.mark.parametrize(
    ("code", "old", "new"),
    [
        ("14", 500 + 300 - 64, 500 + 300),
        ("29", 500 + 400 + 300 - 32 - 32, 500 + 400 + 300),
        ("47", 1000 + 400 + 336, 1000 + 400 + 600 + 230 - 96 - 96),
        ("48", np.nan, 1000 + 400 + 600 - 32 - 32),
        ("51", 1000 + 800 + 256, 1000 + 800 + 600 - 80 - 80),
        ("52", np.nan, 1000 + 800 + 600 - 48 - 48),
        ("56", 500 + 400 + 300 + 200 + 300 - 80 - 80, 500 + 400 + 300 + 200 + 300 - 48 - 48),
        ("63", 1000 + 1200 + 224, 1000 + 1200 + 600 - 96 - 96),
        ("75", 3.14 * 484 + 400, np.pi * 484 + 425),
    ],
)
def test_codes_that_differ_by_edition(code, old, new):
    """By hand from the expressions of the two editions, d = 16, r = 32, hook q = 48 + 64 -> 115."""
    np.testing.assert_allclose(length("BS 8666:2005", [code], 16, 32, **HAND), old)
    np.testing.assert_allclose(length("BS 8666:2020", [code], 16, 32, **HAND), new)


def test_minimised_ends_have_a_floor():
    """2005, 8 mm: max(16 d, 160) for 51, max(21 d, 240) for 47, max(14 d, 150) for 63: the floor counts in each."""
    sides = {"A": 300.0, "B": 200.0}
    for code, by_hand in (("51", 600 + 400 + 160), ("47", 600 + 200 + 240), ("63", 600 + 600 + 150)):
        np.testing.assert_allclose(length("BS 8666:2005", [code], 8, 16, **sides), by_hand)


def test_flat_helix_leaves_the_pitch_out():
    """Code 77 by hand: pitch 80 <= 500/5: 3 pi 484; pitch 120: 3 sqrt((pi 484)^2 + 120^2)."""
    flat = length("BS 8666:2020", ["77"], 16, 32, A=500.0, B=80.0, C=3.0)
    steep = length("BS 8666:2020", ["77"], 16, 32, A=500.0, B=120.0, C=3.0)
    np.testing.assert_allclose(flat, 4561.6, atol=0.1)
    np.testing.assert_allclose(steep, 4575.8, atol=0.1)


def test_a_needed_dimension_left_out_leaves_no_length():
    computed = length("BS 8666:2020", ["11", "99", "xx", ""], 16, 32, A=500.0)
    assert np.isnan(computed).all()
    assert np.isnan(length("BS 8666:2020", ["47"], 16, np.nan, A=500.0, B=300.0, C=200.0)).all()


def test_unused_dimensions_do_not_matter():
    np.testing.assert_allclose(length("BS 8666:2020", ["00", "11"], 16, 32, A=500.0, B=400.0), [500.0, 868.0])


def test_rows_of_several_codes_come_out_row_by_row():
    codes = list(bs8666.shape_codes("BS 8666:2020"))
    together = length("BS 8666:2020", codes, 16, 32, **HAND)
    assert np.isfinite(together).all()
    alone = [length("BS 8666:2020", [code], 16, 32, **HAND)[0] for code in codes]
    np.testing.assert_array_equal(together, alone)


def test_needed_dimensions_are_those_the_length_reacts_to():
    """property: blanking a dimension blanks the length exactly where the shape needs it."""
    for edition in bs8666.EDITIONS:
        for code in bs8666.shape_codes(edition):
            for letter in LETTERS:
                some = {key: value for key, value in HAND.items() if key != letter}
                blank = np.isnan(length(edition, [code], 16, 32, **some))[0]
                assert blank == (letter in bs8666.dimensions_needed(edition, code)), (edition, code, letter)


def test_every_code_has_a_written_expression():
    for edition in bs8666.EDITIONS:
        for code in bs8666.shape_codes(edition):
            written = bs8666.length_expression(edition, code)
            assert all(letter in written for letter in bs8666.dimensions_needed(edition, code))
    assert bs8666.length_expression("BS 8666:2020", "47") == "2 A + B + 2 C + 2 q - 3 r - 6 d"
    assert bs8666.length_expression("BS 8666:2020", "99") == ""


def test_an_unknown_edition_is_refused():
    with pytest.raises(ValueError, match="BS 8666:1999"):
        length("BS 8666:1999", ["00"], 16, 32, A=500.0)


def test_radii_projections_and_hooks():
    published = case("R-8666-20-P")
    diameter = published.column("d")
    radius = bs8666.minimum_scheduling_radius(bar_diameter=diameter)
    published.check("r_min", radius)
    general = bs8666.end_projection(bar_diameter=diameter, bend_radius=radius)
    links = bs8666.link_end_projection(bar_diameter=diameter, bend_radius=radius)
    published.check("P_general_ge150deg", general)
    published.check("P_links_lt150deg", links)
    assert (
        np.abs(general - published.printed("P_general_ge150deg")) < 2.5
    ).all()  # printed to the nearest 5 mm
    np.testing.assert_allclose(general[1], 90.0 + 8.0 + 16.0)  # by hand, before rounding
    np.testing.assert_allclose(links, published.printed("P_links_lt150deg"), atol=4.0)
    hook = bs8666.hook_size(bar_diameter=diameter, bend_radius=radius)
    np.testing.assert_array_equal(hook, published.printed("q_hook"))


def test_least_dimension_between_bends():
    published = case("R-8666-x")
    diameter = published.column("d")
    radius = bs8666.minimum_scheduling_radius(bar_diameter=diameter)
    published.check("x", bs8666.least_between_bends(bar_diameter=diameter, bend_radius=radius))


def test_scheduled_length_rounds_up_to_25_only():
    np.testing.assert_array_equal(
        bs8666.scheduled_length(
            cut_length=column(1000.0, 1000.1, 1024.9, 1025.0000000001, 0.1 * 250, np.nan)
        ),
        [1000.0, 1025.0, 1025.0, 1025.0, 25.0, np.nan],
    )


def test_tight_bends_are_found():
    """87 mm is printed for 25 mm bars, where the rule gives 87.5: neither is too small."""
    np.testing.assert_array_equal(
        bs8666.radius_too_small(
            bar_diameter=column(16.0, 16.0, 25.0, 20.0, np.nan),
            bend_radius=column(32.0, 31.0, 87.0, 40.0, 20.0),
        ),
        [False, True, False, True, False],
    )
