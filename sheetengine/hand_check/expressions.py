"""Expressions that are written once and read twice: as a formula of a spreadsheet, and as a number."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction

Value = float | str
"""A number, or a word; ``nan`` is what is not known, and stands in a cell as an empty text."""
Where = Mapping[str, str]
"""Address of the cell of each symbol."""


class Expression:
    """A formula over symbols."""

    def __add__(self, other: Term) -> Expression:
        return Operation("+", self, as_expression(other))

    def __radd__(self, other: Term) -> Expression:
        return Operation("+", as_expression(other), self)

    def __sub__(self, other: Term) -> Expression:
        return Operation("-", self, as_expression(other))

    def __rsub__(self, other: Term) -> Expression:
        return Operation("-", as_expression(other), self)

    def __mul__(self, other: Term) -> Expression:
        return Operation("*", self, as_expression(other))

    def __rmul__(self, other: Term) -> Expression:
        return Operation("*", as_expression(other), self)

    def __truediv__(self, other: Term) -> Expression:
        return Operation("/", self, as_expression(other))

    def __rtruediv__(self, other: Term) -> Expression:
        return Operation("/", as_expression(other), self)

    def __pow__(self, other: Term) -> Expression:
        return Operation("^", self, as_expression(other))

    def value(self, known: Mapping[str, Value]) -> Value:
        """Return the number, or the word, for the values of the symbols.

        Raises
        ------
        KeyError
            A symbol has no value.
        """
        raise NotImplementedError

    def formula(self, where: Where) -> str:
        """Return the formula of a spreadsheet, without the sign of equality.

        Raises
        ------
        KeyError
            A symbol has no address.
        """
        raise NotImplementedError

    def symbols(self) -> tuple[str, ...]:
        """Return the symbols in the order of their first use."""
        raise NotImplementedError

    def words(self) -> str:
        """Return the formula over its symbols, for a reader."""
        return self.formula({name: name for name in self.symbols()})


Term = Expression | float | int | str


def as_expression(term: Term) -> Expression:
    """Return a number or a word as an expression; an expression is returned as it is."""
    return term if isinstance(term, Expression) else Constant(term)


_LONGEST_DECIMAL, _LARGEST_DENOMINATOR = 8, 12


@dataclass(frozen=True)
class Constant(Expression):
    """A number or a word of the standard."""

    number: float | int | str

    def value(self, known: Mapping[str, Value]) -> Value:
        """Return the number, or the word."""
        return self.number if isinstance(self.number, str) else float(self.number)

    def formula(self, where: Where) -> str:
        """Return the formula of a spreadsheet."""
        if isinstance(self.number, str):
            return '"' + self.number.replace('"', '""') + '"'
        fraction = Fraction(self.number).limit_denominator(_LARGEST_DENOMINATOR)
        if len(repr(self.number)) > _LONGEST_DECIMAL and float(fraction) == self.number:
            return f"({fraction.numerator}/{fraction.denominator})"  # the same number, and short
        return repr(self.number).upper()

    def symbols(self) -> tuple[str, ...]:
        """Return the symbols."""
        return ()


@dataclass(frozen=True)
class Symbol(Expression):
    """A quantity that stands in a cell of its own."""

    name: str

    def value(self, known: Mapping[str, Value]) -> Value:
        """Return the number, or the word."""
        return known[self.name]

    def formula(self, where: Where) -> str:
        """Return the formula of a spreadsheet."""
        return where[self.name]

    def symbols(self) -> tuple[str, ...]:
        """Return the symbols."""
        return (self.name,)


_RANK = {"+": 1, "-": 1, "*": 2, "/": 2, "^": 3}


@dataclass(frozen=True)
class Operation(Expression):
    """Two expressions and a sign between them."""

    sign: str
    left: Expression
    right: Expression

    def value(self, known: Mapping[str, Value]) -> Value:
        """Return the number, or the word."""
        left, right = _number(self.left.value(known)), _number(self.right.value(known))
        if self.sign == "+":
            return left + right
        if self.sign == "-":
            return left - right
        if self.sign == "*":
            return left * right
        if self.sign == "/":
            return left / right if right != 0.0 else math.nan
        if math.isnan(left) or math.isnan(right):
            return math.nan
        if left == 0.0:
            return 0.0 if right > 0.0 else math.nan
        return left**right if left > 0.0 or right.is_integer() else math.nan

    def formula(self, where: Where) -> str:
        """Return the formula of a spreadsheet."""
        rank = _RANK[self.sign]
        left, right = self.left.formula(where), self.right.formula(where)
        if isinstance(self.left, Operation) and (_RANK[self.left.sign] < rank or self.sign == "^"):
            left = f"({left})"
        if (
            isinstance(self.left, Constant)
            and not isinstance(self.left.number, str)
            and self.left.number < 0.0
        ):
            left = f"({left})"
        if isinstance(self.right, Operation) and (_RANK[self.right.sign] <= rank):
            right = f"({right})"
        if (
            isinstance(self.right, Constant)
            and not isinstance(self.right.number, str)
            and self.right.number < 0.0
        ):
            right = f"({right})"
        return f"{left}{self.sign}{right}"

    def symbols(self) -> tuple[str, ...]:
        """Return the symbols."""
        return _each(self.left, self.right)


@dataclass(frozen=True)
class Function(Expression):
    """A function that both spreadsheet programs know under the same name."""

    name: str
    arguments: tuple[Expression, ...]

    def value(self, known: Mapping[str, Value]) -> Value:
        """Return the number, or the word."""
        values = [argument.value(known) for argument in self.arguments]
        if any(isinstance(value, float) and math.isnan(value) for value in values):
            return math.nan
        return _FUNCTIONS[self.name](*map(_number, values))

    def formula(self, where: Where) -> str:
        """Return the formula of a spreadsheet."""
        return f"{self.name}({','.join(argument.formula(where) for argument in self.arguments)})"

    def symbols(self) -> tuple[str, ...]:
        """Return the symbols."""
        return _each(*self.arguments)


@dataclass(frozen=True)
class Test(Expression):
    """Two expressions held against each other."""

    left: Expression
    sign: str
    right: Expression

    def value(self, known: Mapping[str, Value]) -> Value:
        """Return the number, or the word."""
        left, right = self.left.value(known), self.right.value(known)
        if isinstance(left, str) or isinstance(right, str):
            if self.sign != "=":
                return math.nan
            return 1.0 if str(left).casefold() == str(right).casefold() else 0.0
        if math.isnan(left) or math.isnan(right):
            return math.nan
        return float({"<": left < right, "<=": left <= right, ">": left > right, ">=": left >= right,
                      "=": left == right}[self.sign])  # fmt: skip

    def formula(self, where: Where) -> str:
        """Return the formula of a spreadsheet."""
        return f"{self.left.formula(where)}{self.sign}{self.right.formula(where)}"

    def symbols(self) -> tuple[str, ...]:
        """Return the symbols."""
        return _each(self.left, self.right)


@dataclass(frozen=True)
class Choice(Expression):
    """One of two expressions, by a test."""

    test: Expression
    met: Expression
    unmet: Expression

    def value(self, known: Mapping[str, Value]) -> Value:
        """Return the number, or the word."""
        found = self.test.value(known)
        if isinstance(found, float) and math.isnan(found):
            return math.nan
        return (self.met if found else self.unmet).value(known)

    def formula(self, where: Where) -> str:
        """Return the formula of a spreadsheet."""
        return f"IF({self.test.formula(where)},{self.met.formula(where)},{self.unmet.formula(where)})"

    def symbols(self) -> tuple[str, ...]:
        """Return the symbols."""
        return _each(self.test, self.met, self.unmet)


def _number(value: Value) -> float:
    return math.nan if isinstance(value, str) else value


def _each(*expressions: Expression) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name for expression in expressions for name in expression.symbols()))


_FUNCTIONS: Mapping[str, Callable[..., float]] = {
    "MIN": min,
    "MAX": max,
    "SQRT": lambda value: math.sqrt(value) if value >= 0.0 else math.nan,
    "EXP": math.exp,
    "ABS": abs,
    "SIN": math.sin,
    "COS": math.cos,
    "TAN": math.tan,
    "RADIANS": math.radians,
    "PI": lambda: math.pi,
}


def at_least(*terms: Term) -> Expression:
    """Return the greatest of several terms."""
    return Function("MAX", tuple(map(as_expression, terms)))


def at_most(*terms: Term) -> Expression:
    """Return the least of several terms."""
    return Function("MIN", tuple(map(as_expression, terms)))


def root(term: Term) -> Expression:
    """Return the square root."""
    return Function("SQRT", (as_expression(term),))


def power_of_e(term: Term) -> Expression:
    """Return e to the power of a term."""
    return Function("EXP", (as_expression(term),))


def size_of(term: Term) -> Expression:
    """Return a term without its sign."""
    return Function("ABS", (as_expression(term),))


def _of_degrees(name: str, term: Term) -> Expression:
    return Function(name, (Function("RADIANS", (as_expression(term),)),))


def sine(degrees: Term) -> Expression:
    """Return the sine of an angle in degrees."""
    return _of_degrees("SIN", degrees)


def cosine(degrees: Term) -> Expression:
    """Return the cosine of an angle in degrees."""
    return _of_degrees("COS", degrees)


def tangent(degrees: Term) -> Expression:
    """Return the tangent of an angle in degrees."""
    return _of_degrees("TAN", degrees)


PI = Function("PI", ())


def when(left: Term, sign: str, right: Term, met: Term, unmet: Term) -> Expression:
    """Return one of two terms, by a test of two others."""
    test = Test(as_expression(left), sign, as_expression(right))
    return Choice(test, as_expression(met), as_expression(unmet))


def one_of(word: Term, table: Mapping[str, Term], otherwise: Term) -> Expression:
    """Return the term that goes with a word."""
    found = as_expression(otherwise)
    for name, term in reversed(list(table.items())):
        found = when(word, "=", name, term, found)
    return found
