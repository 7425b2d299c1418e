from __future__ import annotations

import dataclasses

import pytest

from sheetengine.clauses.load_factors import BASES, load_factors
from sheetengine.sources import Known


def test_partial_factors_of_the_european_basis() -> None:
    # EN 1990 Table A1.2 and DIN 18218, from memory
    en = load_factors("EN partial factors")
    assert (en.permanent_unfavourable, en.permanent_favourable) == (1.35, 0.9)
    assert (en.variable, en.wind, en.fresh_concrete) == (1.5, 1.5, 1.5)
    assert en.source.known is Known.MEMORY


def test_service_basis_factors_nothing() -> None:
    values = dataclasses.asdict(load_factors("ACI service load"))
    assert {value for value in values.values() if isinstance(value, float)} == {1.0}


def test_strength_basis() -> None:
    # ACI 318-19 5.3, from memory: 1.2 D, 0.9 D, 1.6 L, wind at service level 1.6
    aci = load_factors("ACI strength")
    assert (aci.permanent_unfavourable, aci.permanent_favourable) == (1.2, 0.9)
    assert (aci.variable, aci.wind, aci.fresh_concrete) == (1.6, 1.6, 1.6)


def test_every_basis_is_there_and_no_other() -> None:
    assert [load_factors(basis).basis for basis in BASES] == list(BASES)
    with pytest.raises(KeyError):
        load_factors("partial factors")
