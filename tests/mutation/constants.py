"""The constants of the clause modules, one by one, and the module or data with one of them changed."""

from __future__ import annotations

import ast
import copy
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

CLAUSES = Path(__file__).parents[2] / "sheetengine" / "clauses"
FACTORS = CLAUSES / "factors"
BY = 1.01
"""What a number is multiplied with; nothing becomes a hundredth, a place in an array the next one."""

FORMULA, LIMIT, DATA = "formula", "limit", "data"
"""A number in a formula, a limit of use beside it, a number of a data file."""


@dataclass(frozen=True)
class Constant:
    """One number: module or data file, its place there, its kind and value."""

    module: str
    place: str
    kind: str
    value: float

    @property
    def name(self) -> str:
        """Return the constant in one line."""
        return f"{self.module} {self.place} ({self.kind}) {self.value:g}"


def changed(value: float, *, place: bool = False) -> float:
    """Return another number near by, of the same type where it is a place in an array.

    >>> changed(2), changed(0.0), changed(1, place=True)
    (2.02, 0.01, 2)
    """
    if place:
        return value + 1
    return value * BY if value else 0.01


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


class _Numbers(ast.NodeVisitor):
    """Collects the numbers of a module in the order of the text, each with its kind and whether it is a place."""

    def __init__(self) -> None:
        self.found: list[tuple[ast.Constant, str, bool]] = []
        self._kind, self._place = FORMULA, False

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        """Take what is in a decorator for limits."""
        before, self._kind = self._kind, LIMIT
        for decorator in node.decorator_list:
            self.visit(decorator)
        self._kind = before
        for part in node.body:
            self.visit(part)

    def visit_Subscript(self, node: ast.Subscript) -> None:
        """Take what is between brackets for places."""
        self.visit(node.value)
        before, self._place = self._place, True
        self.visit(node.slice)
        self._place = before

    def visit_Call(self, node: ast.Call) -> None:
        """Take a limit given outside a decorator for one, and whole numbers that count rows for places."""
        named = node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")
        before = self._kind, self._place
        if named in {"Quantity", "Source"}:
            self._kind = LIMIT
        if named in {"range", "zeros", "ones", "reshape", "stack", "expand_dims", "leggauss"}:
            self._place = True
        for argument in node.args:
            self.visit(argument)
        for keyword in node.keywords:
            self._place = before[1] or keyword.arg in {"axis", "maxsplit", "ndigits"}
            self.visit(keyword.value)
        self._kind, self._place = before

    def visit_Constant(self, node: ast.Constant) -> None:
        """Note a number."""
        if _is_number(node.value):
            self.found.append((node, self._kind, self._place))


def _numbers(tree: ast.Module) -> list[tuple[ast.Constant, str, bool]]:
    numbers = _Numbers()
    numbers.visit(tree)
    return numbers.found


def in_module(path: Path) -> Iterator[tuple[Constant, ast.Module]]:
    """Yield every number of a module and the module's tree with that one changed."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for count, (node, kind, _) in enumerate(_numbers(tree)):
        other = copy.deepcopy(tree)
        target, _, place = _numbers(other)[count]
        target.value = changed(node.value, place=place)  # type: ignore[arg-type]
        where = f"line {node.lineno}, column {node.col_offset + 1}"
        yield Constant(path.stem, where, kind, float(node.value)), ast.fix_missing_locations(other)  # type: ignore[arg-type]


def _leaves(data: Any, trail: tuple[Any, ...] = ()) -> Iterator[tuple[tuple[Any, ...], float]]:
    if isinstance(data, dict):
        for key, value in data.items():
            yield from _leaves(value, (*trail, key))
    elif isinstance(data, list):
        for place, value in enumerate(data):
            yield from _leaves(value, (*trail, place))
    elif _is_number(data):
        yield trail, data


def in_data(path: Path) -> Iterator[tuple[Constant, dict[str, Any]]]:
    """Yield every number of a data file and the data with that one changed."""
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    for trail, value in _leaves(data):
        other = copy.deepcopy(data)
        inside: Any = other
        for key in trail[:-1]:
            inside = inside[key]
        inside[trail[-1]] = changed(value)
        yield Constant(path.stem, ".".join(map(str, trail)), DATA, float(value)), other
