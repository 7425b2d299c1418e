"""What every formula carries: source, units and limits of use, as data."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from functools import wraps
from typing import Any, TypeVar, cast

import numpy as np
from numpy.typing import NDArray

from sheetengine.sources import Source

Column = NDArray[np.float64]
"""One value a row; ``nan`` where the row has none."""

Flags = NDArray[np.bool_]
"""One yes or no a row."""

F = TypeVar("F", bound=Callable[..., Any])


@dataclass(frozen=True, slots=True)
class Quantity:
    """Unit of a column and the range over which the clause may be used.

    ``above`` and ``below`` exclude the bound itself, ``at_least`` and ``at_most`` include it.
    """

    unit: str
    at_least: float = -np.inf
    at_most: float = np.inf
    above: float = -np.inf
    below: float = np.inf

    def holds(self, values: Column) -> Flags:
        """Return where ``values`` lie in the range; a row of ``nan`` does not."""
        return np.asarray(
            (values >= self.at_least)
            & (values <= self.at_most)
            & ((values > self.above) | (self.above == -np.inf))
            & ((values < self.below) | (self.below == np.inf))
        )


@dataclass(frozen=True, slots=True)
class Clause:
    """What a formula takes and gives, and where it comes from; ``about`` is the first line of its description."""

    name: str
    source: Source
    takes: Mapping[str, Quantity]
    gives: Quantity
    about: str = ""


_watching: list[dict[tuple[str, str], Clause]] = []


@contextmanager
def clauses_evaluated() -> Iterator[dict[tuple[str, str], Clause]]:
    """Collect, by module and name, the record of every formula that is evaluated while the context is open."""
    seen: dict[tuple[str, str], Clause] = {}
    _watching.append(seen)
    try:
        yield seen
    finally:
        _watching.remove(seen)


def clause(source: Source, *, gives: Quantity, **takes: Quantity) -> Callable[[F], F]:
    """Attach a clause record to a formula, and note its use for whoever watches; its numbers are left as they are."""

    def attach(formula: F) -> F:
        about = (formula.__doc__ or "").strip().partition("\n")[0]
        record = Clause(formula.__name__, source, takes, gives, about)
        place = formula.__module__.rpartition(".")[2], formula.__name__

        @wraps(formula)
        def noted(*arguments: Any, **columns: Any) -> Any:
            for seen in _watching:
                seen[place] = record
            return formula(*arguments, **columns)

        noted.clause = record  # type: ignore[attr-defined]
        return cast(F, noted)

    return attach


def record_of(formula: Callable[..., Any]) -> Clause:
    """Return the record that :func:`clause` attached to ``formula``.

    Raises
    ------
    AttributeError
        The function carries no record.
    """
    return cast(Clause, formula.clause)  # type: ignore[attr-defined]


def outside(formula: Callable[..., Any], **columns: Column) -> dict[str, Flags]:
    """Return, for each column given, the rows that lie outside the clause's range.

    A row of ``nan`` is not counted here: a missing input is a finding of its own.
    """
    takes = record_of(formula).takes
    return {
        name: ~takes[name].holds(np.asarray(values, dtype=np.float64)) & ~np.isnan(values)
        for name, values in columns.items()
    }
