"""The strength of a mix at an equivalent age, and the gate that asks for it."""

from __future__ import annotations

from sheetengine.hand_check.chains import Chain, Given, Step, symbols
from sheetengine.hand_check.expressions import at_least, at_most, one_of, power_of_e, root, when


def chain() -> Chain:
    """Return the chain of a gate: strength at the equivalent age of the planned hour against what is required."""
    curve, fck, cem, te, a, b, Su, kr, t0, mean, need, plan, ready = symbols(
        "curve", "fck", "cem", "te", "a", "b", "Su", "kr", "t0", "mean", "need", "plan", "ready"
    )
    t, s, beta, f = symbols("t", "s", "beta", "f")
    givens = (
        Given("curve", "law of the mix", "word", "Strength curve"),
        Given("fck", "characteristic cylinder strength at 28 days", "MPa", "Strength 28 d [MPa]"),
        Given("cem", "strength class of the cement", "word", "Strength class"),
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
        Given("need", "strength that the gate asks for", "MPa", "Required strength [MPa]"),
        Given("plan", "planned, in hours from the first placing of the book", "h", "Planned [h]"),
        Given("ready", "hour at which the gate opens, likewise", "h", "Ready at [h]"),
    )
    en = at_most(at_least(beta * (fck + 8) - 8, 0), fck)
    late = at_least(te - t0, 0)
    hyperbola = at_least(Su * kr * late / (1 + kr * late) - 8 * mean, 0)
    steps = (
        Step("t", "equivalent age", "d", te / 24),
        Step("s", "coefficient of the cement", "", one_of(cem, {"R": 0.20, "N": 0.25}, 0.38), "EN 1992-1-1, 3.1.2(6)"),
        Step("beta", "strength gained; 0 at age 0", "", when(t, ">", 0, power_of_e(s * (1 - root(28 / at_least(t, 1e-12)))), 0),
             "EN 1992-1-1, 3.1.2(6), Eq. (3.2)"),
        Step("f", "strength at the planned hour", "MPa",
             one_of(curve, {"EN 1992-1-1": en, "Hyperbolic": hyperbola}, fck * te / (a + b * te)),
             "EN 1992-1-1, 3.1.2(5) and Eq. (3.1); ACI 209R-92, Eq. (2-1); ASTM C1074, appendix, hyperbola",
             "Predicted strength [MPa]"),
        Step("use", "required over predicted", "", need / f),
        Step("margin", "planned less ready; negative: too early", "h", plan - ready, "", "Margin [h]"),
    )  # fmt: skip
    return Chain(
        "strength", "Strength and gate", "gate", givens, steps,
        "Not re-done here: laws fitted to specimens, fib MC 2010, hyperbolas of cubes, and gates without a planned hour.",
        "Strength covered", "f",
    )  # fmt: skip
