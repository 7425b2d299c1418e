"""Public name of every quantity: symbol, unit and meaning, kept as data in ``terms/``."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources


@dataclass(frozen=True, slots=True)
class Term:
    """One quantity: its symbol in the standards, the engine's unit, and what it means."""

    name: str
    symbol: str
    unit: str
    meaning: str


@cache
def terms() -> dict[str, Term]:
    """Return every term by its public name.

    Raises
    ------
    ValueError
        Two files of ``terms/`` define one name.
    """
    found: dict[str, Term] = {}
    folder = resources.files("sheetengine") / "terms"
    for path in sorted(folder.iterdir(), key=lambda entry: entry.name):
        if not path.name.endswith(".toml"):
            continue
        for name, entry in tomllib.loads(path.read_text(encoding="utf-8")).items():
            if name in found:
                raise ValueError(f"terms/{path.name}: {name} is defined twice")
            found[name] = Term(name, entry["symbol"], entry["unit"], entry["meaning"])
    return found
