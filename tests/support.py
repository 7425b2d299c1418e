"""Published cases, as the tests read them."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

PUBLISHED = Path(__file__).parent / "published"
NOT_CASES = {"limits.toml", "without_case.toml"}


@dataclass(frozen=True)
class Case:
    """One published case: what goes in, what is printed, and how that is known."""

    id: str
    file: str
    document: str
    place: str
    known: str
    independent: bool
    clause: tuple[str, ...]
    rel_tol: float
    note: str
    inputs: dict[str, dict[str, Any]]
    expected: dict[str, dict[str, Any]]

    def given(self, name: str) -> Any:
        """Return an input as it is written: a number, a word or a list."""
        return self.inputs[name]["value"]

    def column(self, name: str) -> NDArray[Any]:
        """Return an input as a column of numbers or words."""
        values = np.atleast_1d(np.asarray(self.given(name)))
        return values.astype(np.float64) if values.dtype.kind in "iuf" else values

    def printed(self, name: str) -> Any:
        """Return an expected value as it is written."""
        return self.expected[name]["value"]

    def check(self, name: str, computed: Any) -> None:
        """Compare a computed value with the printed one, within the case's tolerance."""
        np.testing.assert_allclose(
            np.squeeze(computed), np.squeeze(self.printed(name)), rtol=self.rel_tol, atol=0.0
        )

    def values(self) -> int:
        """Return how many expected values the case holds."""
        return sum(np.size(entry["value"]) for entry in self.expected.values())


@cache
def cases() -> dict[str, Case]:
    """Return every published case by its identifier."""
    found: dict[str, Case] = {}
    for path in sorted(PUBLISHED.glob("*.toml")):
        if path.name in NOT_CASES:
            continue
        for entry in tomllib.loads(path.read_text(encoding="utf-8")).get("case", []):
            fields = dict(entry, clause=tuple(entry["clause"]), file=path.name)
            case = Case(**fields)
            if case.id in found:
                raise ValueError(f"{path.name}: case {case.id} is there twice")
            found[case.id] = case
    return found


def case(identifier: str) -> Case:
    """Return one published case."""
    return cases()[identifier]
