"""What every formula with a clause record must keep, whichever document it comes from."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
import subprocess
import sys
import tomllib
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from support import PUBLISHED, case, cases

import sheetengine.clauses
from sheetengine.clauses.record import Clause, Quantity
from sheetengine.nomenclature import terms

Formula = Callable[..., Any]
ROWS = 6

LABELS = {
    "aggregate": ["quartzite", "granite"],
    "cement_group": ["plain", "blend", "high blend"],
    "cement_strength_class": ["32.5N", "42.5R"],
    "consistency_class": ["F1", "F4", "F5", "SCC"],
    "curing_and_cement": ["moist I", "steam III"],
    "strength_class": ["R", "N", "S"],
    "exposure_category": ["B", "C", "D"],
    "hoisting_class": ["HC1", "HC3", "HC4"],
    "terrain_category": ["0", "II", "IV"],
    "wall_zone": ["A", "B", "D"],
}
"""Words to draw from where a column holds words."""

FLAGS = {"is_column", "retarder", "return_corners", "carries_people"}
"""Columns that hold 1 or 0: drawn from the two, not from between them."""

NO_DRAW: dict[str, str] = {
    "en12811.uniform_load": "the class is a whole number from 1 to 6; the whole table is tested",
    "en12811.concentrated_load_500": "the class is a whole number from 1 to 6; the whole table is tested",
    "en12811.concentrated_load_200": "the class is a whole number from 1 to 6; the whole table is tested",
    "en12811.partial_area_load": "the class is a whole number from 1 to 6; the whole table is tested",
    "en12811.partial_area_share": "the class is a whole number from 1 to 6; the whole table is tested",
    "bar_masses.metric_bar_mass": "takes the sizes of a standard, not a range",
    "bar_masses.us_bar_diameter": "takes the sizes of a standard, not a range",
    "bar_masses.us_bar_mass": "takes the sizes of a standard, not a range",
}
"""Formulas whose rows cannot be drawn from a range, and why."""


NARROWED = {
    "shape_parameter": (0.05, 0.3),  # national values of K; a large one has no real root
}
"""Ranges to draw from where the clause sets no upper limit and not every value makes sense."""


def formulas() -> dict[str, Formula]:
    """Return every formula with a record, by ``module.function``."""
    found: dict[str, Formula] = {}
    for entry in pkgutil.walk_packages(sheetengine.clauses.__path__, "sheetengine.clauses."):
        module = importlib.import_module(entry.name)
        for name, member in inspect.getmembers(module, inspect.isfunction):
            if member.__module__ == module.__name__ and hasattr(member, "clause"):
                found[f"{entry.name.removeprefix('sheetengine.clauses.')}.{name}"] = member
    return found


FORMULAS = formulas()
every = pytest.mark.parametrize("name", FORMULAS)
drawn = pytest.mark.parametrize("name", [name for name in FORMULAS if name not in NO_DRAW])


def record(name: str) -> Clause:
    return FORMULAS[name].clause  # type: ignore[attr-defined,no-any-return]


def units_in_docstring(formula: Formula) -> tuple[dict[str, str], str]:
    """Return the bracketed unit at the end of each parameter's description, and of the result's."""
    text = inspect.getdoc(formula) or ""
    sections = dict(re.findall(r"^(\w+)\n-{3,}\n(.*?)(?=^\w+\n-{3,}\n|\Z)", text, re.M | re.S))
    blocks = re.findall(r"^(\w+)(?: *:[^\n]*)?\n((?:[ \t]+[^\n]*\n?|\n)+)", sections["Parameters"], re.M)

    def last_unit(block: str) -> str:
        found = re.search(r"\[([^\[\]]+)\]\s*$", block)
        return found[1] if found else "no unit"

    return {name: last_unit(block) for name, block in blocks}, last_unit(sections["Returns"])


def draw(rng: np.random.Generator, name: str, quantity: Quantity) -> np.ndarray:
    """Draw rows inside the clause's limits."""
    if quantity.unit == "label":
        return rng.choice(LABELS[name], ROWS)
    if name in FLAGS:
        return rng.integers(0, 2, ROWS).astype(np.float64)
    low, high = NARROWED.get(
        name, (max(quantity.at_least, quantity.above), min(quantity.at_most, quantity.below))
    )
    if not np.isfinite(low):
        low = min(1.0, high - 10.0) if np.isfinite(high) else 1.0
    if not np.isfinite(high):
        high = low + 10.0
    share = rng.uniform(0.05, 0.95, ROWS)
    return np.asarray(low + share * (high - low))


def columns(name: str, seed: int = 7) -> dict[str, np.ndarray]:
    rng = np.random.default_rng(seed)
    return {key: draw(rng, key, quantity) for key, quantity in record(name).takes.items()}


@every
def test_record_takes_what_the_signature_takes(name: str) -> None:
    parameters = inspect.signature(FORMULAS[name]).parameters.values()
    assert {p.kind for p in parameters} == {inspect.Parameter.KEYWORD_ONLY}
    assert [p.name for p in parameters if p.default is not inspect.Parameter.empty] == []
    assert {p.name for p in parameters} == set(record(name).takes)


@every
def test_units_of_the_docstring_are_those_of_the_record(name: str) -> None:
    parameters, result = units_in_docstring(FORMULAS[name])
    assert parameters == {key: quantity.unit for key, quantity in record(name).takes.items()}
    assert result == record(name).gives.unit


@every
def test_source_names_document_and_place_and_the_docstring_shows_an_example(name: str) -> None:
    source = record(name).source
    assert source.document and source.place
    assert ">>> " in (FORMULAS[name].__doc__ or "")


@every
def test_every_parameter_is_a_term(name: str) -> None:
    assert [key for key in record(name).takes if key not in terms()] == []


@drawn
def test_a_column_gives_what_its_rows_give_and_is_left_as_it_was(name: str) -> None:
    rows = columns(name)
    kept = {key: values.copy() for key, values in rows.items()}
    together = np.asarray(FORMULAS[name](**rows))
    assert together.shape == (ROWS,)
    for key, values in rows.items():
        np.testing.assert_array_equal(values, kept[key])
    apart = [
        FORMULAS[name](**{key: values[row : row + 1] for key, values in rows.items()})[0]
        for row in range(ROWS)
    ]
    np.testing.assert_allclose(together, apart, rtol=1e-13)
    assert not np.isnan(together).all()


@drawn
def test_a_blank_in_any_column_blanks_that_row_alone(name: str) -> None:
    whole = columns(name)
    before = np.asarray(FORMULAS[name](**whole), dtype=np.float64)
    for key, quantity in record(name).takes.items():
        rows = {other: values.copy() for other, values in whole.items()}
        if quantity.unit == "label":
            rows[key] = rows[key].astype(object)
            rows[key][2] = ""
        else:
            rows[key][2] = np.nan
        after = np.asarray(FORMULAS[name](**rows), dtype=np.float64)
        assert np.isnan(after[2]), f"a blank {key} gives {after[2]}"
        others = np.arange(ROWS) != 2
        np.testing.assert_allclose(after[others], before[others], rtol=1e-13)


def without_case() -> dict[str, str]:
    return tomllib.loads((PUBLISHED / "without_case.toml").read_text(encoding="utf-8"))


@every
def test_every_formula_has_a_published_case_or_a_reason_for_none(name: str) -> None:
    has_case = any(name in published.clause for published in cases().values())
    reason = without_case().get(name, "")
    assert has_case != bool(reason), "needs a case or a reason, and not both"


def test_lists_of_exceptions_name_formulas_that_exist() -> None:
    assert [name for name in (*without_case(), *NO_DRAW) if name not in FORMULAS] == []


def test_every_case_names_functions_that_exist() -> None:
    missing = []
    for published in cases().values():
        assert published.clause, published.id
        for name in published.clause:
            module, _, function = name.partition(".")
            if not hasattr(importlib.import_module(f"sheetengine.clauses.{module}"), function):
                missing.append((published.id, name))
    assert missing == []


def test_every_case_says_how_it_is_known_and_within_what() -> None:
    for published in cases().values():
        assert published.known in {"read", "another program", "recomputed", "from memory"}, published.id
        assert 0.0 < published.rel_tol <= 0.05, published.id
        assert published.document and published.place and published.expected, published.id
        for entry in (*published.inputs.values(), *published.expected.values()):
            assert set(entry) == {"value", "unit"}, published.id


def test_every_case_is_used_by_a_test() -> None:
    sources = "".join(
        path.read_text(encoding="utf-8")
        for path in PUBLISHED.parent.rglob("*.py")
        if path.name != "test_register.py"
    )
    families = tuple(re.findall(r'startswith\(\(?"([A-Z]-[^"]+)"', sources))
    families += tuple(re.findall(r'f"([A-Z]-[^"{]+)\{', sources))
    unused = [
        identifier
        for identifier in cases()
        if f'"{identifier}"' not in sources and not identifier.startswith(families)
    ]
    assert unused == []


def test_at_least_120_values_come_from_outside_and_were_read() -> None:
    read = sum(published.values() for published in cases().values() if published.known == "read")
    assert read >= 120
    assert case("P-CC-01").values() == 2


def test_register_is_up_to_date() -> None:
    made = subprocess.run(
        [sys.executable, str(PUBLISHED / "make_register.py"), "--print"],
        capture_output=True,
        check=True,
    )
    kept = (PUBLISHED / "REGISTER.md").read_text(encoding="utf-8")
    assert made.stdout.decode("utf-8") == kept, "run tests/published/make_register.py"
