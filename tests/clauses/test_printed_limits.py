"""The bounds within which formulas may be used, against what the documents say: tests/published/limits.toml."""

from __future__ import annotations

import importlib
import pkgutil
import tomllib
from collections.abc import Iterator
from pathlib import Path

import numpy as np

import sheetengine.clauses
from sheetengine.clauses.record import Clause

LIMITS = Path(__file__).parents[1] / "published" / "limits.toml"
SIDES = ("at_least", "above", "at_most", "below")
KNOWN = {"read", "from memory", "definition", "common practice"}
Bound = tuple[str, str, float, str]


def records() -> Iterator[tuple[str, Clause]]:
    """Return the record of every formula, with its module."""
    for found in pkgutil.iter_modules(sheetengine.clauses.__path__):
        module = importlib.import_module(f"sheetengine.clauses.{found.name}")
        for formula in vars(module).values():
            record = getattr(formula, "clause", None)
            if isinstance(record, Clause) and formula.__module__ == module.__name__:
                yield found.name, record


def test_every_bound_is_one_that_a_document_states() -> None:
    """One that is neither nothing nor without end; and nothing else stands in the list."""
    stated: set[Bound] = set()
    for module, entry in tomllib.loads(LIMITS.read_text(encoding="utf-8")).items():
        for side, value, unit, place, known in entry["bounds"]:
            assert place and known in KNOWN
            assert (module, side, value, unit) not in stated
            stated.add((module, side, value, unit))
    held: set[Bound] = set()
    for module, record in records():
        for quantity in (*record.takes.values(), record.gives):
            for side in SIDES:
                value = float(getattr(quantity, side))
                if np.isfinite(value) and value != 0.0:
                    held.add((module, side, value, quantity.unit))
    assert held - stated == set()
    assert stated - held == set()
    assert len(held) > 80


def test_no_formula_takes_less_than_nothing_where_it_starts_from_nothing() -> None:
    """Bounds at nothing are told by the unit: of lengths, areas, forces, stresses and times none is below it but by a sign."""
    found = [
        (module, record.name, name)
        for module, record in records()
        for name, quantity in record.takes.items()
        if quantity.unit in {"mm2", "MPa", "psi", "kN/m3", "h", "d"}
        and quantity.at_least < 0.0
        and quantity.above < 0.0
    ]
    assert found == []
