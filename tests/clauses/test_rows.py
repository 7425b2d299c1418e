from __future__ import annotations

import numpy as np
import pytest

from sheetengine.clauses.jgj162 import slump_factor
from sheetengine.clauses.record import record_of
from sheetengine.clauses.rows import by_label, factors, known


def test_an_unknown_or_blank_label_has_no_value() -> None:
    found = by_label({"N": 0.25}, np.array(["N", "n", "", "Q"]))
    np.testing.assert_array_equal(found, [0.25, np.nan, np.nan, np.nan])


def test_a_blank_in_any_input_blanks_the_row() -> None:
    found = known(np.array([1.0, 2.0, 3.0]), np.array([0.0, np.nan, 0.0]), np.array([0.0, 0.0, np.nan]))
    np.testing.assert_array_equal(found, [1.0, np.nan, np.nan])


@pytest.mark.parametrize(
    "name",
    [
        "aci209_strength", "aci347r", "aci347r_loads", "asce37", "asce7_16", "ciria108", "crane_pick", "din18218", "en12811",
        "en1991_1_4", "en1991_1_6", "en1992_1_1_strength", "en206_specimens", "gb50666", "jgj162",
        "mc2010_strength", "working_wind",
    ],
)  # fmt: skip
def test_every_data_file_names_its_document(name: str) -> None:
    entry = factors(name)
    assert entry["document"] and entry["edition"] and entry["place"] and entry["known"]


def test_a_record_says_what_its_formula_gives() -> None:
    """The first line of the docstring, without what follows it."""
    assert (
        record_of(slump_factor).about
        == (slump_factor.__doc__ or "").splitlines()[0]
        == r"Factor for the slump, :math:`\beta_2`."
    )
