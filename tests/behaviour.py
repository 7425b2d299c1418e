"""What every formula must do, whatever it says: keep a blank a blank, and leave its inputs alone."""

from __future__ import annotations

from types import ModuleType
from typing import Any

import numpy as np

from sheetengine.clauses.record import Clause, Quantity, record_of


def formulas(*modules: ModuleType) -> list[Any]:
    """Return the formulas of modules that carry a clause record and take numbers only."""
    found = [
        thing
        for module in modules
        for thing in vars(module).values()
        if isinstance(getattr(thing, "clause", None), Clause) and thing.__module__ == module.__name__
    ]
    return [f for f in found if all(q.unit != "label" for q in record_of(f).takes.values())]


def inside(quantity: Quantity) -> float:
    """Return a value well inside a range."""
    low, high = max(quantity.at_least, quantity.above), min(quantity.at_most, quantity.below)
    if np.isfinite(low) and np.isfinite(high):
        return float(low + 0.4 * (high - low))
    return float(low + 1.5) if np.isfinite(low) else 1.5


def sample(formula: Any, rows: int = 3) -> dict[str, Any]:
    """Return columns on which a formula gives a number."""
    return {
        name: inside(quantity) * np.linspace(1.0, 1.02, rows)
        for name, quantity in record_of(formula).takes.items()
    }


def check_blanks(formula: Any) -> None:
    """Blank each input in turn: that row alone is blank in the answer."""
    columns = sample(formula)
    assert np.isfinite(formula(**columns)).all(), formula.__name__
    for name in columns:
        holed = {key: values.copy() for key, values in columns.items()}
        holed[name][1] = np.nan
        np.testing.assert_array_equal(
            np.isnan(formula(**holed)), [False, True, False], err_msg=f"{formula.__name__}: {name}"
        )


def check_inputs_kept(formula: Any) -> None:
    """Calling a formula changes none of its inputs, and rows do not know of one another."""
    columns = sample(formula)
    before = {name: values.copy() for name, values in columns.items()}
    together = formula(**columns)
    for name, values in columns.items():
        np.testing.assert_array_equal(values, before[name], err_msg=f"{formula.__name__}: {name}")
    for row in range(3):
        alone = formula(**{name: values[row : row + 1] for name, values in columns.items()})
        np.testing.assert_allclose(alone, together[row : row + 1], rtol=1e-12)
