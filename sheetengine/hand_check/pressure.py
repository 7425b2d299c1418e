"""The pressure of fresh concrete on one lift, by each method, written from its document."""

from __future__ import annotations

from sheetengine.hand_check.chains import Chain, Given, Step, symbols
from sheetengine.hand_check.expressions import Expression, at_least, at_most, one_of, root, when

GRAVITY, FOOT, POUND, PSF = 9.80665, 0.3048, 0.45359237, 0.45359237 * 9.80665 / 0.3048**2 / 1000.0
PCF = POUND * GRAVITY / FOOT**3 / 1000.0
w, h, R, T, col, grp, ret, cls, slump, fset, vib, hp, okset, layer = symbols(
    "w", "h", "R", "T", "col", "grp", "ret", "cls", "slump", "fset", "vib", "hp", "okset", "layer"
)
GIVENS = (
    Given("w", "unit weight of the fresh concrete", "kN/m3", "Unit weight [kN/m3]", ("Mixes", "unit_weight")),
    Given("h", "height of the lift", "m", "Height [m]", ("Lifts", "height")),
    Given("R", "rate of rise", "m/h", "Rise rate [m/h]", ("Lifts", "rise_rate")),
    Given("T", "temperature of the concrete", "degC", "Concrete temperature [degC]", ("Lifts", "concrete_temperature")),
    Given("hp", "height of the panel", "m", "Panel height [m]", ("Form units", "panel_height")),
    Given("col", "a column to the method: 1, a wall: 0", "", "Is column"),
    Given("grp", "group of the cement", "word", "Cement group"),
    Given("ret", "retarder: 1, none: 0", "", "Retarder"),
    Given("cls", "class of consistency", "word", "Consistency class"),
    Given("slump", "slump", "mm", "Slump [mm]"),
    Given("fset", "final set; 0 where none is given", "h", "Final set [h]"),
    Given("vib", "depth of vibration", "m", "Vibration depth [m]"),
    Given("okset", "setting confirmed by test, or not asked: 1, denied: 0", "", "Set confirmed"),
    Given("layer", "depth of a layer placed at once; 0: even rise", "m", "Layer depth [m]"),
)  # fmt: skip


def _aci(*, inch: bool) -> tuple[Step, ...]:
    """Return the steps of ACI 347R-14, of the SI or of the inch-pound form."""
    place = "ACI 347R-14, 4.2.2 (as in ACI 347-04, 2.2.2)"
    limits: tuple[Expression, float, Expression, float, float, float, float]
    Cw, Cc, dens, head = symbols("Cw", "Cc", "dens", "head")
    if inch:
        rate, temperature, height, density = R / FOOT, 1.8 * T + 32, h / FOOT, w / PCF
        limits = (slump / 25.4, 7, vib / FOOT, 4, 15, 7, 14)
        light, heavy, middle, least, unit = 140, 150, 145, 600, PSF
        low = 150 + 9000 * rate / temperature
        fast = 150 + 43400 / temperature + 2800 * rate / temperature
    else:
        rate, temperature, height, density = R, T + 17.8, h, w / GRAVITY * 1000
        limits = (slump, 175, vib, 1.2, 4.5, 2.1, 4.2)
        light, heavy, middle, least, unit = 2240, 2400, 2320, 30, 1.0
        low = 7.2 + 785 * rate / temperature
        fast = 7.2 + 1156 / temperature + 244 * rate / temperature
    slump_, most_slump, vib_, most_vib, most_rate, low_rate, tall = limits
    tiny = 1e-9  # what a conversion of units leaves behind
    walls = when(rate, "<", low_rate - tiny, when(height, "<=", tall + tiny, low, fast), fast)
    formula = when(col, "=", 1, low, walls)
    bounded = at_most(at_least(Cw * Cc * formula * unit, least * Cw * unit), head)
    unsound = when(
        rate,
        ">",
        most_rate + tiny,
        1,
        when(slump_, ">", most_slump + tiny, 1, when(vib_, ">", most_vib + tiny, 1, 0)),
    )
    return (
        Step("dens", "density", "lb/ft3" if inch else "kg/m3", density),
        Step("Cw", "weight coefficient", "",
             when(dens, "<", light, at_least(0.5 * (1 + dens / middle), 0.8), when(dens, ">", heavy, dens / middle, 1)),
             f"{place}, Table 2.1"),
        Step("Cc", "chemistry coefficient", "",
             when(ret, "=", 1, one_of(grp, {"plain": 1.2}, 1.4), one_of(grp, {"plain": 1.0, "blend": 1.2}, 1.4)),
             f"{place}, Table 2.2"),
        Step("out", "outside the scope of the formulas: 1", "", unsound, place),
        Step("p", "pressure by the formula and its bounds", "kPa", when(symbols("out")[0], "=", 1, head, bounded), place),
    )  # fmt: skip


def _din() -> tuple[Step, ...]:
    place = "DIN 18218:2010-01, 4.3"
    head, K1, KT, line, tE = symbols("head", "K1", "KT", "line", "tE")
    slope = one_of(cls, {"F1": 0.03, "F2": 0.053, "F3": 0.077}, 0.14)
    stiff = one_of(cls, {"F1": 5 * R + 21, "F2": 10 * R + 19, "F3": 14 * R + 18}, 17 * R + 17)
    soft = one_of(cls, {"F5": 25 + 30 * R * K1}, 25 + 38 * R * K1)
    flowing = one_of(cls, {"F5": 1, "F6": 1}, 0)
    least = one_of(cls, {"F1": 25, "F2": 25, "F3": 25, "F4": 25}, 30)
    formula = one_of(cls, {"SCC": (1 + 0.26 * R * tE) * w}, line * w / 25)
    return (
        Step("tE", "final set that counts; 5 h where none is given", "h", when(fset, ">", 0, fset, 5), place),
        Step("K1", "setting factor", "", when(flowing, "=", 1, tE / 5, 1 + slope * at_least(tE - 5, 0)), place),
        Step("KT", "temperature factor, 3 % for each kelvin below 15", "", 1 + 0.03 * at_least(15 - T, 0), place),
        Step("line", "line of the class at 25 kN/m3", "kPa", when(flowing, "=", 1, soft, stiff * K1), place),
        Step("p", "pressure by the line and its bounds", "kPa",
             when(R, ">", 7, head, at_most(at_least(formula * KT, least), head)), place),
    )  # fmt: skip


def _ciria() -> tuple[Step, ...]:
    place = "CIRIA Report 108 (1985)"
    head, C1, C2, K, free = symbols("head", "C1", "C2", "K", "free")
    formula = w * (free + C2 * K * root(at_least(hp - free, 0)))
    return (
        Step("C1", "coefficient of shape", "", when(col, "=", 1, 1.5, 1.0), place),
        Step("C2", "coefficient of the mix", "",
             when(ret, "=", 1, one_of(grp, {"plain": 0.45}, 0.6), one_of(grp, {"plain": 0.3, "blend": 0.45}, 0.6)), place),
        Step("K", "temperature coefficient", "", (36 / (T + 16)) ** 2, place),
        Step("free", "head before stiffening", "m", C1 * root(R), place),
        Step("p", "pressure by the expression and its bound", "kPa",
             when(free, "<", hp, at_most(formula, head), head), place),
    )  # fmt: skip


def _chinese(*, jgj: bool) -> tuple[Step, ...]:
    head, t0, beta = symbols("head", "t0", "beta")
    place = "JGJ 162-2008, 4.1.1" if jgj else "GB 50666-2011, A.0.4"
    if jgj:
        formula = 0.22 * w * t0 * when(ret, "=", 1, 1.2, 1.0) * beta * root(R)
        factor = when(slump, "<", 30, 0.85, when(slump, "<=", 90, 1.0, 1.15))
        within: Expression = when(slump, ">", 150, 0, 1)
    else:
        formula = 0.28 * w * t0 * beta * root(R)
        factor = when(slump, "<=", 90, 0.85, when(slump, "<=", 130, 0.9, 1.0))
        within = when(R, ">", 10, 0, when(slump, ">", 180, 0, 1))
    return (
        Step("t0", "setting time, no less than a given final set", "h", at_least(200 / (T + 15), fset), place),
        Step("beta", "slump factor", "", factor, place),
        Step("p", "pressure by the expression and its bound", "kPa", when(within, "=", 1, at_most(formula, head), head), place),
    )  # fmt: skip


def chain(method: str) -> Chain:
    """Return the chain of a method, from mix and rate to the resultant on the face."""
    head, p, pm, hs = symbols("head", "p", "pm", "hs")
    by: dict[str, tuple[Step, ...]] = {
        "ACI 347R-14 SI": _aci(inch=False),
        "ACI 347R-14 inch-pound": _aci(inch=True),
        "DIN 18218:2010": _din(),
        "CIRIA R108": _ciria(),
        "GB 50666-2011": _chinese(jgj=False),
        "JGJ 162-2008": _chinese(jgj=True),
        "Full head": (Step("p", "full head", "kPa", head + 0 * w),),
    }
    steps = (
        Step("head", "full fluid head", "kPa", w * h, "Hydrostatics", "Full head [kPa]"),
        *by[method],
        Step("pm", "greatest pressure; the full head where setting is denied, and that of a layer placed at once", "kPa",
             at_least(when(okset, "=", 0, head, p), at_most(w * layer, head)), method, "Maximum pressure [kPa]"),
        Step("hs", "depth of full head", "m", at_most(pm / w, h), "Hydrostatics", "Full-head depth [m]"),
        Step("P", "resultant on a metre of face", "kN/m", w * hs * (h - hs / 2), "Hydrostatics", "Lateral resultant [kN/m]"),
        Step("zP", "its height above the joint", "m",
             (hs * (h - 2 * hs / 3) + (h - hs) ** 2) / (2 * h - hs), "Hydrostatics", "Lateral resultant height [m]"),
    )  # fmt: skip
    return Chain(
        "pressure", f"Lateral pressure by {method}", "stage", GIVENS, steps,
        "Lateral pressure; on a leaning face the pressure normal to it follows from this. Not re-done here: a lift with an input left blank.",
        "Pressure covered", "pm",
    )  # fmt: skip
