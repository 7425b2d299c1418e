"""The looks of the states read without colour: contrast of the letters, steps of lightness, cut and line."""

from __future__ import annotations

from itertools import combinations

import pytest

from sheetengine.books import palette
from sheetengine.findings import Level

LEAST_CONTRAST = 4.5
"""WCAG 2.1, success criterion 1.4.3, for letters of this size."""
LEAST_STEP = 7.0
"""Difference of CIE lightness between any two verdicts; common practice, no source."""


def lightness(colour: str) -> float:
    """CIE 1976 lightness of a colour (ISO/CIE 11664-4)."""
    return 116.0 * palette.luminance(colour) ** (1.0 / 3.0) - 16.0


@pytest.mark.parametrize("word", palette.STATES)
def test_letters_stand_out_from_fill_hatch_and_mark(word: str) -> None:
    look = palette.STATES[word]
    for ground in filter(None, (look.fill, look.hatch_colour)):
        assert palette.contrast(look.text, ground) >= LEAST_CONTRAST
    if look.mark:
        assert palette.contrast(palette.INK, look.mark) >= LEAST_CONTRAST


@pytest.mark.parametrize("words", [palette.VERDICTS, palette.LEVELS])
def test_states_differ_in_grey_print(words: tuple[str, ...]) -> None:
    for one, other in combinations(words, 2):
        step = abs(lightness(palette.STATES[one].fill) - lightness(palette.STATES[other].fill))
        assert step >= LEAST_STEP, (one, other)


@pytest.mark.parametrize("words", [palette.VERDICTS, palette.LEVELS])
def test_states_differ_by_letters_and_line_alone(words: tuple[str, ...]) -> None:
    looks = {(s.bold, s.italic, s.underline, s.line) for s in (palette.STATES[word] for word in words)}
    assert len(looks) == len(words)


def test_no_state_is_red_or_green() -> None:
    for look in palette.STATES.values():
        red, green, blue = (int(look.fill[place : place + 2], 16) for place in (0, 2, 4))
        assert not (red > 1.8 * green and red > 1.8 * blue)
        assert not (green > 1.3 * red and green > 1.3 * blue)


def test_every_level_has_a_look() -> None:
    assert {level.value for level in Level} == set(palette.LEVELS)


def test_black_on_white_is_the_greatest_contrast() -> None:
    # WCAG 2.1, definition of contrast ratio: from 1 to 21
    assert palette.contrast("000000", "FFFFFF") == pytest.approx(21.0)
    # WCAG 2.1 technique G18 names #767676 on white as the lightest grey that passes 4.5:1 (from memory;
    # by hand: (118/255 -> 0.1812), 1.05 / 0.2312 = 4.54)
    assert palette.contrast("767676", "FFFFFF") == pytest.approx(4.54, abs=0.005)
