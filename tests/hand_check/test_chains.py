"""The chains of the hand check against the engine, on the demo books and on random ones: to 1e-9 in every line."""

from __future__ import annotations

import ast
import itertools
import math
from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from builders import computed, pile

import sheetengine
from sheetengine.demos import DEMOS, demo_file
from sheetengine.design.calculate import calculate_columns
from sheetengine.design.hand_rows import first_shown, gate_rows, hand_rows
from sheetengine.hand_check import aci_anchor, en_anchor, pressure, statics, strength
from sheetengine.hand_check.chains import Chain
from sheetengine.hand_check.data import HandCheck
from sheetengine.hand_check.expressions import Constant, Symbol, at_least, at_most, one_of, root, when
from sheetengine.run import read_book
from sheetengine.sheets.hand_sheets import hand_sheets

CLOSE = 1e-9
PRESSURES = (
    "ACI 347R-14 SI", "ACI 347R-14 inch-pound", "DIN 18218:2010", "CIRIA R108", "GB 50666-2011", "JGJ 162-2008", "Full head",
)  # fmt: skip
ANCHORS = ("EN 1992-4:2018", "ACI 318-19", "ACI 318M-19")
BASES = ("EN partial factors", "ACI service load", "ACI strength")


def hand_of(c: Any) -> HandCheck:
    return HandCheck(
        hand_rows(c),
        gate_rows(c),
        {},
        first_shown(c),
        c.job.text("Pressure method"),
        c.job.text("Anchor method"),
    )


def compared(hand: HandCheck) -> Counter[str]:
    """Hold every line of every covered row against the engine; return how many rows each chain covers."""
    covered: Counter[str] = Counter()
    for chain in hand.chains:
        data = hand.gates if chain.key == "gate" else hand.rows
        for item in np.flatnonzero(data[chain.applies] == 1.0).tolist():
            row = {
                name: str(values[item]) if values.dtype.kind in "OU" else float(values[item])
                for name, values in data.items()
            }
            known = chain.values(row)
            for step in chain.steps:
                if not step.engine or step.engine not in row:
                    continue
                engine, value = row[step.engine], known[step.symbol]
                assert isinstance(engine, float) and isinstance(value, float)
                if not math.isnan(engine):
                    assert value == pytest.approx(engine, rel=CLOSE, abs=1e-12), (
                        row["Row of the check"],
                        chain.name,
                        step.symbol,
                    )
            covered[chain.name] += 1
    return covered


@pytest.mark.parametrize(("name", "rows"), [("gravity-dam", 130), ("lock-wall", 90), ("power-station", 45)])
def test_the_demo_books(name: str, rows: int) -> None:
    c = calculate_columns(read_book(demo_file(next(demo for demo in DEMOS if demo.name == name))))
    covered = compared(hand_of(c))
    assert covered["anchor"] >= rows
    assert covered["pressure"] >= rows
    assert covered["statics"] >= rows
    assert covered["strength"] >= 40


def random_book(rng: np.random.Generator, pressures: str, anchors: str, basis: str) -> dict[str, Any]:
    """Return sheets of a book with three blocks of random lifts."""

    def pick(*words: Any) -> Any:
        return words[int(rng.integers(len(words)))]

    lifts = []
    for block in ("B1", "B2", "B3"):
        for lift in pile(4, block=block, interval=float(rng.uniform(4.0, 9.0)), strip=1.5, hang=2.0):
            lifts.append(
                lift
                | {
                    "Height": float(rng.uniform(1.5, 3.1)),
                    "Face length": float(pick(1.8, 9.0, 16.0)),
                    "Thickness": float(pick(1.6, 6.0)),
                    "Rise rate": float(rng.uniform(0.2, 6.0)),
                    "Concrete temperature": float(rng.uniform(6.0, 30.0)),
                    "Anchor spacing": float(rng.uniform(0.7, 1.6)),
                    "End distance": float(rng.uniform(0.12, 0.9)),
                    "Layer depth": pick(None, 0.5),
                    "Mix": pick("M1", "M2", "M3"),
                    "Unit": pick("U1", "U2"),
                    "Anchor": pick("A1", "A2", "A3"),
                }
            )
    mixes = [
        {
            "Mix": f"M{number}",
            "Unit weight": float(rng.uniform(21.0, 25.5)),
            "Cement group": pick("plain", "blend", "high blend"),
            "Retarder": pick("yes", "no"),
            "Slump": float(rng.uniform(20.0, 170.0)),
            "Consistency class": pick("F1", "F2", "F3", "F4", "F5", "F6", "SCC"),
            "Final set": pick(6.0, 9.5),
            "Strength class": pick("S", "N", "R"),
            "Strength 28 d": float(rng.uniform(20.0, 40.0)),
            "Set confirmed": pick("yes", "yes", "no"),
        }
        for number in (1, 2, 3)
    ]
    units = [
        {
            "Unit": f"U{number}",
            "Mass": float(rng.uniform(600.0, 3000.0)),
            "Mass offset": float(rng.uniform(0.0, 1.2)),
            "Anchor depth": float(rng.uniform(0.15, 0.6)),
            "Foot depth": float(rng.uniform(1.2, 2.6)),
            "Platform class": int(rng.integers(1, 7)),
            "Platform width": float(pick(0.0, 0.8, 1.4)),
            "Set-back travel": float(pick(0.0, 0.7)),
        }
        for number in (1, 2)
    ]
    types = [
        {
            "Anchor": f"A{number}",
            "Embedment": float(rng.uniform(50.0, 700.0)),
            "Shank diameter": diameter,
            "Head diameter": diameter * float(rng.uniform(1.8, 3.2)),
            "Net area": 0.75 * diameter**2,
            "Tensile strength": float(pick(450.0, 800.0, 1000.0)),
            "Yield strength": float(pick(300.0, 440.0)),
            "Rated tension": pick(None, 120.0),
            "Rated shear": pick(None, 60.0),
        }
        for number, diameter in enumerate((16.0, 26.0, 36.0), start=1)
    ]
    settings = {
        "Pressure method": pressures, "Anchor method": anchors, "Safety basis": basis, "Concrete cracked": pick("yes", "no"),
        "Foundation strength": (25.0, "MPa"), "Working wind": (float(rng.uniform(0.0, 0.5)), "kPa"),
    }  # fmt: skip
    return {"job": settings, "lifts": lifts, "mixes": mixes, "units": units, "anchors": types}


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
