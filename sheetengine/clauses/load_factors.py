"""Factors on actions by safety basis, read from ``factors/load_factors.toml``."""

from __future__ import annotations

from dataclasses import dataclass

from sheetengine.clauses.rows import factors
from sheetengine.sources import Known, Source

EN_PARTIAL = "EN partial factors"
ACI_SERVICE = "ACI service load"
ACI_STRENGTH = "ACI strength"
BASES = (EN_PARTIAL, ACI_SERVICE, ACI_STRENGTH)


@dataclass(frozen=True, slots=True)
class LoadFactors:
    """Factors on actions of one safety basis, and where they come from."""

    basis: str
    source: Source
    permanent_unfavourable: float
    permanent_favourable: float
    variable: float
    wind: float
    fresh_concrete: float


def load_factors(basis: str) -> LoadFactors:
    """Return the factors of a safety basis.

    Raises
    ------
    KeyError
        The basis is not one of :data:`BASES`.

    Examples
    --------
    >>> load_factors("EN partial factors").permanent_unfavourable
    1.35
    """
    entry = factors("load_factors")[basis]
    return LoadFactors(
        basis=basis,
        source=Source(entry["document"], entry["place"], Known(entry["known"])),
        permanent_unfavourable=entry["permanent_unfavourable"],
        permanent_favourable=entry["permanent_favourable"],
        variable=entry["variable"],
        wind=entry["wind"],
        fresh_concrete=entry["fresh_concrete"],
    )
