"""The strength of a mix at an equivalent age, and the gate that asks for it."""

from __future__ import annotations

from itertools import pairwise

from sheetengine.hand_check.chains import Chain, Given, Step, symbols
from sheetengine.hand_check.expressions import (
    Expression,
    as_expression,
    at_least,
    at_most,
    one_of,
    power_of_e,
    root,
    when,
)

CLASSES = ((0, 0), (10, 8), (15, 12), (20, 16), (25, 20), (30, 25), (37, 30), (45, 35), (50, 40), (55, 45), (60, 50), (67, 55),
           (75, 60), (85, 70), (95, 80), (105, 90), (115, 100))  # fmt: skip
"""Strength of cube and cylinder of the classes, after nothing; EN 206:2013, Table 12."""


def _cylinder(cube: Expression) -> Expression:
    """Return the cylinder strength of a cube strength, straight between the classes."""
    total: Expression | None = None
    for (low, below), (high, above) in pairwise(CLASSES):
        part = (at_most(at_least(cube, low), high) - low) * ((above - below) / (high - low))
        total = part if total is None else total + part
    return as_expression(0 if total is None else total)


def chain() -> Chain:
    """Return the chain of a gate: strength at the equivalent age of the planned hour against what is required."""
    curve, fck, cem, cem2, te, a, b, Su, kr, t0, mean, cube, need, plan, ready = symbols(
        "curve",
        "fck",
        "cem",
        "cem2",
        "te",
        "a",
        "b",
        "Su",
        "kr",
        "t0",
        "mean",
        "cube",
        "need",
        "plan",
        "ready",
    )
    t1, f1, t2, f2, t, s, beta, hyp, cyl, f0, f = symbols(
        "t1", "f1", "t2", "f2", "t", "s", "beta", "hyp", "cyl", "f0", "f"
    )
    givens = (
        Given("curve", "law of the mix", "word", "Strength curve"),
        Given("fck", "characteristic cylinder strength at 28 days", "MPa", "Strength 28 d [MPa]"),
        Given("cem", "class of strength development, EN 1992-1-1", "word", "Strength class"),
        Given("cem2", "strength class of the cement, fib MC 2010", "word", "Cement strength class"),
        Given(
            "te",
            "equivalent age at the planned hour, from the temperature history",
            "h",
            "Equivalent age [h]",
        ),
        Given("a", "constant a of the ACI 209R curve", "h", "ACI a [h]"),
        Given("b", "constant b", "", "ACI b"),
        Given("Su", "limiting strength of the hyperbola", "MPa", "Limiting strength [MPa]"),
        Given("kr", "its rate", "1/h", "Rate constant [1/h]"),
        Given("t0", "age at which it begins", "h", "Strength start [h]"),
        Given("mean", "strengths of the mix are means: 1, else 0", "", "Is mean"),
        Given("cube", "its strengths are those of cubes: 1, else 0", "", "Is cube"),
        Given("t1", "fitted to specimens: point of the lower bound before", "h", "Point before [h]"),
        Given("f1", "its strength", "MPa", "Bound before [MPa]"),
        Given("t2", "point of the lower bound after", "h", "Point after [h]"),
        Given("f2", "its strength", "MPa", "Bound after [MPa]"),
        Given("need", "strength that the gate asks for", "MPa", "Required strength [MPa]"),
        Given("plan", "planned, in hours from the first placing of the book", "h", "Planned [h]"),
        Given("ready", "hour at which the gate opens, likewise", "h", "Ready at [h]"),
    )
    en = at_most(at_least(beta * (fck + 8) - 8, 0), fck)
    late = at_least(te - t0, 0)
    fib = at_least(beta * (fck + 8) - 8, 0)
    slow = one_of(cem2, {"32.5N": 0.38, "32.5R": 0.25, "42.5N": 0.25}, 0.20)
    coefficient = when(
        curve,
        "=",
        "fib MC 2010",
        when(fck + 8, ">", 60, 0.20, slow),
        one_of(cem, {"R": 0.20, "N": 0.25}, 0.38),
    )
    bound = f1 + (f2 - f1) * (te - t1) / at_least(t2 - t1, 1e-9)
    laws = {
        "EN 1992-1-1": en, "fib MC 2010": fib, "Hyperbolic": at_least(cyl - 8 * mean, 0), "Fitted to specimens": bound,
    }  # fmt: skip
    steps = (
        Step("t", "equivalent age", "d", te / 24),
        Step("s", "coefficient of the cement", "", coefficient, "EN 1992-1-1, 3.1.2(6); fib MC 2010, Table 5.1-9"),
        Step("beta", "strength gained; 0 at age 0", "", when(t, ">", 0, power_of_e(s * (1 - root(28 / at_least(t, 1e-12)))), 0),
             "EN 1992-1-1, 3.1.2(6), Eq. (3.2)"),
        Step("hyp", "the hyperbola", "MPa", Su * kr * late / (1 + kr * late), "ASTM C1074, appendix, hyperbola"),
        Step("cyl", "as that of cylinders", "MPa", when(cube, "=", 1, _cylinder(hyp), hyp), "EN 206, Table 12, linear between"),
        Step("f0", "strength by the law of the mix", "MPa", one_of(curve, laws, fck * te / (a + b * te)),
             "EN 1992-1-1, 3.1.2(5) and Eq. (3.1); fib MC 2010, Eq. (5.1-51); ACI 209R-92, Eq. (2-1); lower bound of the specimens"),
        Step("f", "strength at the planned hour; none below a newton on a square metre", "MPa", when(f0, "<", 1e-6, 0, f0), "",
             "Predicted strength [MPa]"),
        Step("use", "required over predicted", "", need / f),
        Step("margin", "planned less ready; negative: too early", "h", plan - ready, "", "Margin [h]"),
    )  # fmt: skip
    return Chain(
        "strength", "Strength and gate", "gate", givens, steps,
        "Of a law fitted to specimens the lower bound is read between two of its points; the bound itself is in Strength fits. "
        "Not re-done here: gates without a planned hour.",
        "Strength covered", "f",
    )  # fmt: skip
