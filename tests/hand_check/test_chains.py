"""The chains of the hand check against the engine, on the demo books and on random ones: to 1e-9 in every line."""

from __future__ import annotations

import ast
import itertools
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from builders import computed, pile
from hand_books import ANCHORS, BASES, PRESSURES, compared, hand_of, random_book

import sheetengine
from sheetengine.demos import DEMOS, demo_file
from sheetengine.design.calculate import calculate_columns
from sheetengine.design.hand_rows import gate_rows
from sheetengine.hand_check import aci_anchor, en_anchor, pressure, statics, strength
from sheetengine.hand_check.chains import Chain
from sheetengine.hand_check.expressions import Constant, Symbol, at_least, at_most, one_of, root, when
from sheetengine.run import read_book
from sheetengine.sheets.hand_sheets import hand_sheets


@pytest.mark.parametrize(("name", "rows"), [("gravity-dam", 130), ("lock-wall", 90), ("power-station", 45)])
def test_the_demo_books(name: str, rows: int) -> None:
    c = calculate_columns(read_book(demo_file(next(demo for demo in DEMOS if demo.name == name))))
    covered = compared(hand_of(c))
    assert covered["anchor"] >= rows
    assert covered["pressure"] >= rows
    assert covered["statics"] >= rows
    assert covered["strength"] >= 40


METHODS = list(itertools.product(PRESSURES, ANCHORS))


@pytest.mark.parametrize("seed", range(len(METHODS)))
def test_random_books_by_every_method(seed: int) -> None:
    by_pressure, by_anchor = METHODS[seed]
    rng = np.random.default_rng(900 + seed)
    covered = compared(hand_of(computed(**random_book(rng, by_pressure, by_anchor, BASES[seed % 3]))))
    assert covered["pressure"] >= 30
    assert covered["statics"] >= 30
    assert covered["anchor"] >= 20
    assert covered["strength"] >= 15


LAWS: list[dict[str, Any]] = [
    {"Strength curve": "fib MC 2010", "Cement strength class": "32.5N", "Strength 28 d": 31.0},
    {"Strength curve": "fib MC 2010", "Cement strength class": "42.5N", "Strength 28 d": 45.0, "Strength kind": "cube, characteristic"},
    {"Strength curve": "fib MC 2010", "Cement strength class": "32.5R", "Strength 28 d": 58.0},
    {"Strength curve": "fib MC 2010", "Cement strength class": "52.5N", "Strength 28 d": 33.0},
    {"Strength curve": "ACI 209R", "Constant a": 2.3, "Constant b": 0.92},
    {"Strength curve": "EN 1992-1-1", "Strength class": "R", "Strength kind": "cube, mean", "Strength 28 d": 41.0},
    *(
        {"Strength curve": "Hyperbolic", "Ultimate strength": ultimate, "Rate constant": 0.35, "Strength starts": 9.0, "Strength kind": kind}
        for ultimate, kind in (
            (44.0, "cube, characteristic"), (31.5, "cube, mean"), (9.0, "cube, characteristic"), (38.0, "cylinder, mean"),
            (112.0, "cube, mean"),
        )
    ),
]  # fmt: skip


@pytest.mark.parametrize(
    "law", LAWS, ids=lambda law: f"{law['Strength curve']}, {law.get('Strength kind', 'cylinder')}"
)
def test_every_strength_law(law: dict[str, Any]) -> None:
    """fib MC 2010 by every class, and strengths of cubes by every piece of the table of classes."""
    mix = {"Mix": "M1"} | law
    for interval in (1.0, 3.0, 9.0, 40.0):
        book = {
            "mixes": [mix],
            "lifts": pile(5, interval=interval, strip=0.4 * interval, hang=0.7 * interval),
        }
        hand = hand_of(computed(**book))
        covered = compared(hand)
        assert covered["strength"] == len(hand.gates["Strength covered"]) > 10


def test_laws_fitted_to_specimens_are_covered() -> None:
    """The dam's mass mix follows its own specimens; every gate of the demo with a planned hour is worked out anew."""
    c = calculate_columns(read_book(demo_file(next(demo for demo in DEMOS if demo.name == "gravity-dam"))))
    gates = gate_rows(c)
    fitted = gates["Strength curve"] == "Fitted to specimens"
    assert fitted.sum() >= 4
    planned = np.isfinite(gates["Equivalent age [h]"])
    assert (gates["Strength covered"][planned] == 1.0).all()
    assert compared(hand_of(c))["strength"] == planned.sum()


def test_a_step_knows_only_what_stands_above_it() -> None:
    chains: list[Chain] = [pressure.chain(method) for method in PRESSURES]
    chains += [
        statics.chain(),
        en_anchor.chain(),
        aci_anchor.chain(aci_anchor.INCH),
        aci_anchor.chain(aci_anchor.SI),
        strength.chain(),
    ]
    for chain in chains:
        known = {given.symbol for given in chain.givens}
        assert len(known) == len(chain.givens)
        for step in chain.steps:
            assert set(step.formula.symbols()) <= known, (chain.name, step.symbol)
            assert step.symbol not in known, (chain.name, step.symbol)
            known.add(step.symbol)
        assert chain.last in known


def test_the_chains_share_nothing_with_the_engines_formulas() -> None:
    folder = Path(sheetengine.__file__).parent / "hand_check"
    for path in folder.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("sheetengine"):
                assert (node.module or "").startswith("sheetengine.hand_check"), path.name


def test_expressions_read_as_a_spreadsheet_reads_them() -> None:
    a, b, c = Symbol("a"), Symbol("b"), Symbol("c")
    cells = {"a": "A1", "b": "B1", "c": "C1"}
    known = {"a": 7.0, "b": 2.0, "c": 3.0}
    for expression, text, value in (
        (a - (b - c), "A1-(B1-C1)", 8.0),
        (a / (b * c), "A1/(B1*C1)", 7.0 / 6.0),
        ((a + b) * c, "(A1+B1)*C1", 27.0),
        ((a**b) ** c, "(A1^B1)^C1", 7.0**6),
        (a ** (b + 1), "A1^(B1+1)", 343.0),
        (at_least(a, b, 9), "MAX(A1,B1,9)", 9.0),
        (at_most(a, b) + root(c + 1), "MIN(A1,B1)+SQRT(C1+1)", 4.0),
        (when(a, ">", b, c, -1), "IF(A1>B1,C1,-1)", 3.0),
        (Constant(-2) ** b, "(-2)^B1", 4.0),
        (a - Constant(-2), "A1-(-2)", 9.0),
        (a ** (2 / 3), "A1^(2/3)", 7.0 ** (2 / 3)),
        (a * 0.0068947573, "A1*0.0068947573", 7.0 * 0.0068947573),
    ):
        assert expression.formula(cells) == text
        assert expression.value(known) == pytest.approx(value)
    word = one_of(Symbol("w"), {'say "x"': 1, "y": 2}, 3)
    assert word.formula({"w": "W1"}) == 'IF(W1="say ""x""",1,IF(W1="y",2,3))'
    assert [word.value({"w": text}) for text in ('say "x"', "Y", "z")] == [1.0, 2.0, 3.0]
    for expression in (a / (b - 2), root(c - 9), a + math.nan, at_least(a, math.nan), (c - 9) ** 0.5):
        assert math.isnan(float(expression.value(known)))


def test_a_book_of_one_lift_and_no_anchors_has_its_sheets() -> None:
    hand = hand_of(computed(lifts=pile(1)))
    sheets = hand_sheets(hand, (), "caution", "foot", "A4")
    assert next(sheet.name for sheet in sheets) == "Hand check"
