"""Imports run one way: the base knows nothing of what stands on it, and only the top knows everything."""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import sheetengine

PACKAGE = Path(sheetengine.__file__).parent
STANDARD = frozenset(sys.stdlib_module_names)

INSIDE_LIBREOFFICE = {"uno", "unohelper", "com", "sheetengine_calc_book", "sheetengine_calc_engine"}
"""Modules of LibreOffice, and those of the extension as LibreOffice finds them."""

MAY_IMPORT: dict[str, set[str]] = {
    # the base: plain words and places, from the standard library
    "cells": set(),
    "sources": set(),
    "nomenclature": set(),
    "content": set(),
    "template_content": {"content"},
    "version": set(),
    "findings": {"cells", "sources"},
    "exceptions": {"findings", "cells"},
    "grids": {"cells"},
    # numbers with units at the door, and columns with addresses
    "units": {"numpy", "pint"},
    "columns": {"cells", "numpy", "pandas"},
    "job": {"cells", "columns", "findings", "hand_check", "sources", "pandas"},
    "hand_check": set(),
    # formulas, and chains of them
    "clauses": {"sources", "numpy", "scipy"},
    "design": {"clauses", "columns", "findings", "job", "cells", "sources", "numpy", "scipy"},
    # what sheets look like, and the only place that knows the file format
    "sheets": {
        "cells", "columns", "content", "exceptions", "findings", "grids", "hand_check", "job", "nomenclature",
        "template_content", "units", "numpy", "pandas",
    },
    "books": {
        "calculation_record", "cells", "content", "exceptions", "findings", "grids", "template_content", "numpy", "openpyxl", "python_calamine",
        "xlwings", "pypdf",
    },
    # tools of the top
    "terminal": {"findings", "job", "rich"},
    "demos": {"exceptions"},
    "attach": {"books", "exceptions"},
    "take_off": {"exceptions", "job", "sheets", "pandas"},
    "comparing": {"cells", "columns", "content", "grids", "job", "sheets", "pandas"},
    "explain_command": {"books", "sheets", "terminal"},
    "calculation_record": {
        "columns", "content", "findings", "job", "sheets", "sources", "units", "numpy", "pandas", "matplotlib",
    },
    "logger_files": {"columns", "exceptions", "sheets", "units", "numpy", "pandas"},
    "probe_import": {
        "books", "columns", "exceptions", "findings", "logger_files", "sheets", "units", "numpy",
    },
    "probe_command": {"logger_files", "probe_import", "sheets", "terminal", "units", "numpy"},
    "calc_extension": {"exceptions", "version", "numpy", *INSIDE_LIBREOFFICE},
    "new_book": {"books", "sheets", "template_content"},
    "run_record": {"clauses", "columns", "design", "job", "sheets", "sources", "version", "numpy"},
}  # fmt: skip
"""Package or module of the project, and what it may import beside the standard library and itself."""

TOP = {"run", "card_command", "compare_command", "report_command", "open_workbook", "__main__", "__init__"}
"""May import everything."""

ONLY_IN = {
    "pint": {"units"},
    "openpyxl": {"books"},
    "xlwings": {"books", "open_workbook"},
    "lxml": {"books"},
    "python_calamine": {"books"},
    "rich": {"terminal"},
    "uno": {"calc_extension"},
    "pyarrow": {"take_off"},
    "matplotlib": {"calculation_record"},
    "pypdf": {"books"},
}
"""Libraries that only some parts may know."""

SLOW = {"pandas": {"columns", "job"}, "xlwings": {"books", "open_workbook"}}
"""Libraries that a part may import only where they are used, or for type checking."""


def parts() -> list[Path]:
    return sorted(PACKAGE.rglob("*.py"))


def part_of(path: Path) -> str:
    inside = path.relative_to(PACKAGE)
    return inside.parts[0] if len(inside.parts) > 1 else inside.stem


def imported(path: Path) -> Iterator[tuple[str, int, bool]]:
    """Return what a module imports: part of the project or library, line, and whether on importing the module."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    at_once = {id(node) for node in tree.body}
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}:{node.lineno}: relative import"
            names = [f"{node.module}.{alias.name}" for alias in node.names]
        else:
            continue
        for name in names:
            top, *rest = name.split(".")
            if top == "sheetengine":
                yield (rest[0] if rest else "__init__"), node.lineno, id(node) in at_once
            elif top not in STANDARD:
                yield top, node.lineno, id(node) in at_once


def test_the_table_names_every_part_and_no_other() -> None:
    assert {part_of(path) for path in parts()} == set(MAY_IMPORT) | TOP


def test_the_table_runs_one_way() -> None:
    """The table itself has no circle."""
    placed: list[str] = []
    left = dict(MAY_IMPORT)
    while left:
        free = [name for name, needs in left.items() if not (needs & set(left)) - {name}]
        assert free, f"these import each other in a circle: {sorted(left)}"
        placed += free
        for name in free:
            del left[name]
    assert placed.index("clauses") < placed.index("design") < placed.index("run_record")


@pytest.mark.parametrize("path", parts(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_a_module_imports_only_what_its_part_may(path: Path) -> None:
    part = part_of(path)
    wrong = []
    for name, line, _ in imported(path):
        if (name in ONLY_IN and part not in ONLY_IN[name]) or (
            part not in TOP and name != part and name not in MAY_IMPORT[part]
        ):
            wrong.append(f"line {line}: {name}")
    assert wrong == []


@pytest.mark.parametrize("path", parts(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_nothing_imports_the_top(path: Path) -> None:
    part = part_of(path)
    upper = {name for name, _, _ in imported(path)} & {"run", "open_workbook", "__main__"}
    allowed = {"run"} if part in TOP - {"run"} else set()
    assert upper <= allowed


def test_clauses_take_only_the_special_functions_of_scipy() -> None:
    for path in parts():
        if part_of(path) != "clauses":
            continue
        text = path.read_text(encoding="utf-8")
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("scipy"):
                names = {f"{node.module}.{alias.name}" for alias in node.names}
                assert all(name.startswith("scipy.special") for name in names), path
            if isinstance(node, ast.Import):
                assert not any(alias.name.startswith("scipy") for alias in node.names), path


def test_slow_libraries_are_imported_late() -> None:
    for path in parts():
        part = part_of(path)
        for name, line, at_once in imported(path):
            assert not (at_once and part in SLOW.get(name, ())), f"{path}:{line}"


def test_nothing_prints_or_logs() -> None:
    for path in parts():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
                assert node.func.id not in {"print", "input", "breakpoint"}, f"{path}:{node.lineno}"
        assert "logging" not in path.read_text(encoding="utf-8"), path


def test_only_books_and_the_top_touch_files() -> None:
    """Formulas, chains and declarations open nothing; the factors and terms they read belong to the package."""
    for path in parts():
        if part_of(path) not in {
            "clauses",
            "design",
            "sheets",
            "units",
            "columns",
            "findings",
            "cells",
            "job",
            "grids",
        }:
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
                assert node.func.id != "open", f"{path}:{node.lineno}"


def test_no_module_is_longer_than_500_lines() -> None:
    long = {
        str(path.relative_to(PACKAGE)): count
        for path in parts()
        if (count := len(path.read_text(encoding="utf-8").splitlines())) > 500
    }
    assert long == {}


def test_nan_is_never_swallowed_by_a_lenient_extreme() -> None:
    """``fmin``, ``fmax``, ``nanmin`` and ``nanmax`` pass over nan: only where the line says why, and never in clauses."""
    lenient = {"fmin", "fmax", "nanmin", "nanmax", "nan_to_num"}
    for path in parts():
        if part_of(path) != "clauses":
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Attribute):
                assert node.attr not in lenient, f"{path}:{node.lineno}"
