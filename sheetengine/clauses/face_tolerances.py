"""Tolerances for the offset between neighbouring parts of a formed face, as data with their sources."""

from __future__ import annotations

from dataclasses import dataclass

from sheetengine.clauses.rows import factors
from sheetengine.sources import Known, Source

_MILLIMETRES = {"mm": 1.0, "in": 25.4}


@dataclass(frozen=True, slots=True)
class FaceTolerance:
    """One tolerance as printed, and in millimetres."""

    name: str
    printed: float
    printed_unit: str
    millimetres: float
    source: Source


def face_tolerances() -> list[FaceTolerance]:
    """Return every tolerance on file, to be offered and not to be taken in silence.

    Examples
    --------
    By hand: 1/4 in x 25.4 = 6.35 mm.

    >>> found = {entry.name: entry for entry in face_tolerances()}
    >>> found["class B"].millimetres, str(found["class B"].source)
    (6.35, 'ACI 117-10, 4.8.3, abrupt offset of formed surfaces, by class')
    """
    return [
        FaceTolerance(
            name,
            value,
            entry["unit"],
            value * _MILLIMETRES[entry["unit"]],
            Source(entry["document"], entry["place"], Known(entry["known"])),
        )
        for entry in factors("face_tolerances").values()
        for name, value in entry["offsets"].items()
    ]
