"""Bars as a schedule writes them: sizes, shape codes, legs, and which leg is what in each shape."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sheetengine.clauses import bar_masses, bs8666
from sheetengine.clauses.record import outside
from sheetengine.columns import Column, Flags, Texts, texts

LEGS = "ABCDE"
STRAIGHT = "00"

# Legs at the free ends, and legs between two bends of 90 degrees, by shape. Known from the drawings of the
# shapes, from memory; a shape that is not listed is not checked in this respect.
END_LEGS = {
    "11": "AB", "12": "AB", "13": "AC", "14": "AC", "15": "AC", "21": "AC", "22": "AD", "23": "AC",
    "24": "AC", "25": "AB", "26": "AC", "27": "AC", "28": "AC", "29": "AC", "31": "AD", "32": "AD",
    "34": "AE", "35": "AE", "36": "AD", "41": "AE", "44": "AE", "46": "AE", "51": "C", "63": "C",
}  # fmt: skip
LEGS_BETWEEN_BENDS = {
    "21": "B", "23": "B", "31": "BC", "32": "BC", "41": "BCD", "44": "BCD", "51": "AB", "63": "AB",
}  # fmt: skip
LINKS = ("51", "63")
HALF_CIRCLES = {"13": "B", "22": "C", "33": "B"}


_SIZE = re.compile(r"^[THBthbøØ]?\s*([0-9]+(?:\.[0-9]+)?)\s*(?:mm)?$")
_CODE = re.compile(r"^([0-9]{1,2})(?:\.0+)?$")


@dataclass(frozen=True, slots=True)
class Schedule:
    """What a bar schedule says of each bar; lengths in mm.

    Attributes
    ----------
    edition
        Edition of the shape codes.
    size, code
        Size and shape code as the results show them; ``code`` is empty where it cannot be read.
    diameter, mass_per_metre
        ``nan`` where the size is not in the tables. [mm], [kg/m]
    us
        Whether the size is a US bar number.
    legs
        Dimensions A to E, one row a bar.
    radius
        Radius that the length is computed with: given, or the least of the standard. [mm]
    given_radius
        Radius as given. [mm]
    computed
        What the legs come to, even where that is no length. [mm]
    length
        Exact length, ``nan`` where there is none or it may not be computed. [mm]
    """

    edition: str
    size: Texts
    diameter: Column
    mass_per_metre: Column
    us: Flags
    code: NDArray[np.str_]
    legs: NDArray[np.float64]
    radius: Column
    given_radius: Column
    computed: Column
    length: Column


def computed_codes(edition: str) -> tuple[str, ...]:
    """Return the shape codes whose length can be computed from the dimensions that the sheet holds.

    64 needs a dimension F, and C of 77 is a number of turns, not a length.

    >>> "41" in computed_codes("BS 8666:2020"), "64" in computed_codes("BS 8666:2020")
    (True, False)
    """
    return tuple(
        code
        for code in bs8666.shape_codes(edition)
        if code != bs8666.HELIX and set(bs8666.dimensions_needed(edition, code)) <= set(LEGS)
    )


def sizes_of(labels: Texts) -> tuple[Texts, Column, Column]:
    """Return the sizes as shown, the nominal diameters in mm and the US bar numbers.

    Examples
    --------
    By hand: #5 is 0.625 x 25.4 = 15.875 mm.

    >>> sizes_of(texts(["H16", "16.0", "No. 5", "17"]))[:2]
    (array(['16', '16', '#5', '17'], dtype=object), array([16.   , 16.   , 15.875,    nan]))
    """
    number = np.array(bar_masses.bar_numbers(labels), dtype=np.float64)
    matches = [_SIZE.match(str(label).strip()) for label in labels]
    metric = np.array([float(match[1]) if match else np.nan for match in matches], dtype=np.float64)
    metric = np.where(np.isin(metric, bar_masses.metric_sizes()), metric, np.nan)
    us = ~np.isnan(number)
    diameter = np.where(us, bar_masses.us_bar_diameter(bar_number=number), metric)
    shown = texts(
        label if math.isnan(either) else f"{mark}{either:g}"
        for either, mark, label in zip(
            np.where(us, number, metric).tolist(), np.where(us, "#", "").tolist(), labels, strict=True
        )
    )
    return shown, diameter, number


def shape_codes_of(labels: Texts) -> NDArray[np.str_]:
    """Return the shape codes in two digits, empty where a label is none.

    >>> shape_codes_of(texts(["0", "11.0", "51", "ring"]))
    array(['00', '11', '51', ''], dtype='<U2')
    """
    matches = [_CODE.match(str(label).strip()) for label in labels]
    return np.array([f"{int(match[1]):02d}" if match else "" for match in matches], dtype="U2")


def marked(codes: NDArray[np.str_], letters: Mapping[str, str]) -> NDArray[np.bool_]:
    """Return which of the legs A to E of each bar ``letters`` names for its shape."""
    flags = np.zeros((codes.size, len(LEGS)), dtype=np.bool_)
    for code, named in letters.items():
        flags |= (codes == code)[:, None] & np.array([leg in named for leg in LEGS])
    return flags


def needed_legs(edition: str, codes: NDArray[np.str_]) -> NDArray[np.bool_]:
    """Return which of the legs A to E enter the length of each bar's shape; none of shape 99."""
    return marked(
        codes, {code: "".join(bs8666.dimensions_needed(edition, code)) for code in computed_codes(edition)}
    )


def bent_beyond(codes: NDArray[np.str_], diameter: Column) -> Flags:
    """Return the bent bars whose diameter is outside the rules for bends."""
    beyond = outside(bs8666.minimum_scheduling_radius, bar_diameter=diameter)["bar_diameter"]
    return np.asarray(beyond & (codes != STRAIGHT))


def missing_legs_of(edition: str, codes: NDArray[np.str_], legs: NDArray[np.float64]) -> Flags:
    """Return the bars that lack a leg of their shape."""
    needed = needed_legs(edition, codes)
    return np.asarray((needed & ~(legs > 0.0)).any(axis=1))
