"""What the hand check of a book rests on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from sheetengine.hand_check import aci_anchor, anchor_groups, en_anchor, pressure, statics, strength
from sheetengine.hand_check.chains import Chain

KEY = "Row of the check"
"""Column of the data that names a row."""


@dataclass(frozen=True, slots=True)
class Place:
    """A column of an input sheet: sheet, letter, its last row, and how its numbers go to the engine's unit."""

    sheet: str
    letter: str
    last_row: int
    factor: float
    offset: float


@dataclass(frozen=True, slots=True)
class HandCheck:
    """One entry a book.

    Attributes
    ----------
    rows, gates
        Columns by heading: a row for each lift and stage, and for each gate, in base units.
    places
        Columns of the office's input sheets, by sheet and key.
    shown
        Row and gate that are shown first.
    pressure_method, anchor_method
        Methods of the job.
    """

    rows: Mapping[str, Any]
    gates: Mapping[str, Any]
    places: Mapping[tuple[str, str], Place]
    shown: tuple[str, str]
    pressure_method: str
    anchor_method: str

    def showing(self, chosen: tuple[str, str]) -> HandCheck:
        """Return the same with the row and the gate shown that somebody chose, where there still are such."""
        kept = (
            name if name in set(found[KEY]) else own
            for name, own, found in zip(chosen, self.shown, (self.rows, self.gates), strict=True)
        )
        return replace(self, shown=(next(kept), next(kept)))

    @property
    def chains(self) -> tuple[Chain, ...]:
        """Return the chains of the methods that the job uses."""
        texts = {text.name: text for text in (aci_anchor.INCH, aci_anchor.SI)}
        by = texts.get(self.anchor_method)
        grouped = anchor_groups.COUNT.format(anchor_groups.CONE) in self.rows
        anchor = en_anchor.chain(grouped=grouped) if by is None else aci_anchor.chain(by, grouped=grouped)
        return (pressure.chain(self.pressure_method), statics.chain(), anchor, strength.chain())
