"""Small tools of the clauses: tables from data files, a value for each label, rows with a blank."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib import resources
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sheetengine.clauses.record import Column, Flags

Labels = NDArray[Any]
"""One word a row, empty where the row has none."""


@cache
def factors(name: str) -> dict[str, Any]:
    """Return the data file ``factors/<name>.toml``: document, edition, place, how known, values."""
    path = resources.files("sheetengine") / "clauses" / "factors" / f"{name}.toml"
    return tomllib.loads(path.read_text(encoding="utf-8"))


def by_label(table: Mapping[str, float], labels: Labels) -> Column:
    """Return the value of each row's label; ``nan`` for a blank or a label not in the table.

    >>> by_label({"N": 0.25, "R": 0.20}, np.array(["R", "", "N"]))
    array([0.2 ,  nan, 0.25])
    """
    words = np.asarray(labels)
    found = np.full(words.shape, np.nan)
    for label, value in table.items():
        found = np.where(words == label, value, found)
    return found


def known(result: Column | float, *inputs: Column) -> Column:
    """Return ``result`` where every input is a number, and ``nan`` elsewhere.

    Comparisons lose a ``nan``; this puts it back.

    >>> known(np.array([1.0, 2.0]), np.array([0.0, np.nan]))
    array([ 1., nan])
    """
    blank: Flags = np.zeros(np.broadcast_shapes(*(np.shape(values) for values in inputs)), dtype=np.bool_)
    for values in inputs:
        blank = blank | np.isnan(values)
    return np.asarray(np.where(blank, np.nan, result), dtype=np.float64)
