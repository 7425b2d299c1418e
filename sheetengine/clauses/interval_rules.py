"""What specifications say about lifts, layers and neighbouring blocks, as data with their sources.

They differ among themselves (the interval between lifts from 3 to 5 days, the height difference of
neighbours from 7.6 to 12 m), so that each is a default to offer and none is applied in silence.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sheetengine.clauses.record import Column
from sheetengine.clauses.rows import factors, known
from sheetengine.sources import Known, Source

_TO_METRIC = {"m": (1.0, "m"), "ft": (0.3048, "m"), "h": (1.0, "h"), "d": (24.0, "h"), "deg": (1.0, "deg")}


@dataclass(frozen=True, slots=True)
class PracticeFact:
    """One figure of practice as printed, and in metres, hours or degrees."""

    name: str
    printed: float
    printed_unit: str
    value: float
    unit: str
    source: Source


def documents() -> tuple[str, ...]:
    """Return the short names of the documents on file.

    >>> documents()
    ('is457', 'ufgs03700', 'hoover', 'usbr')
    """
    return tuple(factors("placing_practice"))


def practice_facts(document: str) -> dict[str, PracticeFact]:
    """Return what one document says, by the name of the fact.

    Examples
    --------
    By hand: 5 d x 24 = 120 h.

    >>> fact = practice_facts("is457")["least_interval"]
    >>> fact.value, fact.unit, str(fact.source)
    (120.0, 'h', 'IS 457:1957, 4.10.7, placing in blocks')
    """
    entry = factors("placing_practice")[document]
    source = Source(entry["document"], entry["place"], Known(entry["known"]))
    facts = {}
    for name, figure in entry.items():
        if isinstance(figure, dict):
            multiple, unit = _TO_METRIC[figure["unit"]]
            value = figure["value"] * multiple
            facts[name] = PracticeFact(name, figure["value"], figure["unit"], value, unit, source)
    return facts


def least_layers(*, lift_height: Column, layer: float | None = None) -> Column:
    """Return the least number of layers in which a lift is placed (UFGS 03700, Concrete Lifts).

    Parameters
    ----------
    lift_height
        Height of the lift. [m]
    layer
        Depth of a layer; the document's own where not given. [m]

    Returns
    -------
    Column
        Whole number of layers.

    Examples
    --------
    By hand: 1.5/0.5 = 3; 2.3/0.5 = 4.6, up to 5.

    >>> least_layers(lift_height=np.array([1.5, 2.3]))
    array([3., 5.])
    """
    depth = practice_facts("ufgs03700")["layer"].value if layer is None else layer
    if not math.isfinite(depth) or depth <= 0.0:
        raise ValueError(f"a layer of {depth} m cannot be placed")
    return known(np.ceil(np.round(lift_height / depth, 8)), lift_height)
