"""A chain: what is given, and one formula after the other, each with symbol, words, unit and clause."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from sheetengine.hand_check.expressions import Expression, Symbol, Value


@dataclass(frozen=True, slots=True)
class Given:
    """A quantity that the chain starts from.

    Attributes
    ----------
    symbol, words, unit
        How it is written.
    heading
        Column of the data that holds it.
    cell
        Sheet and column key of the office's own cell, where it comes straight from one.
    """

    symbol: str
    words: str
    unit: str
    heading: str
    cell: tuple[str, str] | None = None


@dataclass(frozen=True, slots=True)
class Step:
    """A formula of the chain.

    Attributes
    ----------
    symbol, words, unit
        How its result is written.
    formula
        What it is worked out by.
    clause
        Document and place.
    engine
        Column of the data with the engine's own number, where it has one; empty where not.
    """

    symbol: str
    words: str
    unit: str
    formula: Expression
    clause: str = ""
    engine: str = ""


@dataclass(frozen=True, slots=True)
class Chain:
    """Givens and steps in order; ``name`` ends the name of its sheet, ``key`` says what a row of its data is for."""

    name: str
    title: str
    key: str
    givens: tuple[Given, ...]
    steps: tuple[Step, ...]
    covers: str = ""
    """Cases that are left out, in words."""
    applies: str = ""
    """Column of the data that is 1 where the chain covers the row, empty where it covers all."""
    last: str = ""
    """Symbol whose number stands in the summary."""

    def values(self, row: Mapping[str, Value]) -> dict[str, Value]:
        """Return every quantity of the chain for a row of the data, by symbol.

        Parameters
        ----------
        row
            Numbers and words by heading; ``nan`` where the engine has none.
        """
        known: dict[str, Value] = {}
        covered = not self.applies or row[self.applies] == 1.0
        for given in self.givens:
            known[given.symbol] = row[given.heading] if covered else math.nan
        for step in self.steps:
            try:
                known[step.symbol] = step.formula.value(known)
            except OverflowError:
                known[step.symbol] = math.nan
        return known


def symbols(*names: str) -> tuple[Symbol, ...]:
    """Return symbols by name."""
    return tuple(Symbol(name) for name in names)
