"""Forces of one anchor from the loads on its unit, on faces of any lean: each action by what it does to the force looked for."""

from __future__ import annotations

from sheetengine.hand_check.chains import Chain, Given, Step, symbols
from sheetengine.hand_check.expressions import (
    Expression,
    at_least,
    at_most,
    cosine,
    sine,
    size_of,
    tangent,
    when,
)

MECHANICS = "Equilibrium of the unit"
HYDROSTATICS = "Hydrostatics"
GIVENS = (
    Given("on", "fresh concrete presses on the panel at this stage: 1, else 0", "", "Concrete acts"),
    Given("w", "unit weight of the fresh concrete", "kN/m3", "Unit weight [kN/m3]", ("Mixes", "unit_weight")),
    Given("pm", "greatest pressure", "kPa", "Maximum pressure [kPa]"),
    Given("hl", "filled to; on a leaning face the level that does most, as the engine found it", "m", "Filled to [m]"),
    Given("th", "lean of the face, positive overhanging", "deg", "Face lean [deg]"),
    Given("thb", "lean of the face that holds the anchors", "deg", "Carrier lean [deg]"),
    Given("thf", "lean of the face under the foot", "deg", "Foot lean [deg]"),
    Given("m", "mass of a unit", "kg", "Mass [kg]", ("Form units", "mass")),
    Given("B", "width of a unit", "m", "Width [m]", ("Form units", "width")),
    Given("e", "its centre out from the face", "m", "Mass offset [m]", ("Form units", "mass_offset")),
    Given("tr", "travel of set-back; 0 where it is not set back", "m", "Travel [m]"),
    Given("cl", "class of the platform load", "", "Platform class"),
    Given("Bp", "width of the platform; 0 where nobody is on it", "m", "Occupied platform width [m]"),
    Given("ep", "centre of the platform out from the face", "m", "Platform offset [m]"),
    Given("q", "wind pressure of the stage", "kPa", "Wind pressure [kPa]"),
    Given("hp", "height of the panel", "m", "Panel height [m]", ("Form units", "panel_height")),
    Given("H", "least lateral load at the top of the form", "kN/m", "Least lateral load [kN/m]"),
    Given("L", "reach of a projection placed at this stage; 0: none", "m", "Projection reach [m]"),
    Given("t0", "its thickness at the face", "m", "Projection root [m]"),
    Given("t1", "its thickness at the tip", "m", "Projection tip [m]"),
    Given("qw", "people, tools and heaped concrete on it", "kPa", "Projection work [kPa]"),
    Given("za", "anchors below the joint, along the face", "m", "Anchor depth [m]", ("Form units", "anchor_depth")),
    Given("xF", "foot bearing out from the joint", "m", "Foot out [m]"),
    Given("yF", "foot bearing above the joint, so negative", "m", "Foot level [m]"),
    Given("low", "the anchors of the lower row are meant: 1, else 0", "", "Is lower row"),
    Given("aT", "looked for is the greatest sum of: tension times", "", "Weight on tension"),
    Given("aV", "shear down the face times", "", "Weight on shear"),
    Given("aC", "foot force times", "", "Weight on foot force"),
    Given("bn", "width of face whose tension goes to the anchor", "m", "Width in tension [m]"),
    Given("bt", "width of face whose shear goes to it", "m", "Width of one anchor [m]"),
    Given("bf", "foot force for a kilonewton a metre of tension, beyond that of its width", "m", "Width added at the foot [m]"),
    Given("gG", "factor of the weight where it adds", "", "Factor permanent"),
    Given("gGi", "factor of the weight where it relieves", "", "Factor permanent favourable"),
    Given("gQ", "factor of people", "", "Factor variable"),
    Given("gP", "factor of the fresh concrete", "", "Factor fresh concrete"),
    Given("gW", "factor of the wind", "", "Factor wind"),
)  # fmt: skip


def _influence() -> tuple[Step, ...]:
    """Return the steps to what a kilonewton outward, one upward and one of moment add to the force looked for."""
    thb, thf, za, xF, yF, aT, aV, aC = symbols("thb", "thf", "za", "xF", "yF", "aT", "aV", "aC")
    xA, yA, z, kC, ex, ey = symbols("xA", "yA", "z", "kC", "ex", "ey")
    return (
        Step("xA", "anchors out from the joint", "m", 0 - za * sine(thb), MECHANICS),
        Step("yA", "anchors above it, so negative", "m", 0 - za * cosine(thb), MECHANICS),
        Step("z", "lever between anchors and foot", "m", 0 - sine(thf) * (xF - xA) - cosine(thf) * (yF - yA), MECHANICS),
        Step("kC", "what a kilonewton of foot force adds", "", aT * cosine(thf - thb) + aV * sine(thf - thb) + aC, MECHANICS),
        Step("ex", "a kilonewton outward at the joint adds", "", aT * cosine(thb) - aV * sine(thb) - yA * kC / z, MECHANICS),
        Step("ey", "a kilonewton upward at the joint adds", "", xA * kC / z - aT * sine(thb) - aV * cosine(thb), MECHANICS),
        Step("em", "a kilonewton metre of tipping adds", "1/m", kC / z + 0 * (ex + ey), MECHANICS),
    )  # fmt: skip


def _concrete() -> tuple[Step, ...]:
    """Return the steps to force and moment of the fresh concrete on the face."""
    on, w, pm, hl, th, ex, ey, em = symbols("on", "w", "pm", "hl", "th", "ex", "ey", "em")
    hs, P, zP, D, Mc, EP = symbols("hs", "P", "zP", "D", "Mc", "EP")
    lean = tangent(th)
    return (
        Step("hs", "depth of full head when filled so far", "m", at_most(pm / w, hl), HYDROSTATICS),
        Step("P", "outward resultant", "kN/m", on * w * hs * (hl - hs / 2), HYDROSTATICS),
        Step("zP", "its height above the joint", "m",
             (hs * (hl - 2 * hs / 3) + (hl - hs) ** 2) / at_least(2 * hl - hs, 1e-9), HYDROSTATICS),
        Step("D", "downward: on an overhang the concrete above the slope, on a batter less than 0, uplift", "kN/m",
             when(th, ">", 0, on * w * hl**2 / 2, P) * lean, HYDROSTATICS),
        Step("Mc", "moment about the joint", "kN*m/m", P * zP + when(th, ">", 0, on * w * hl**3 / 6, P * zP) * lean**2, HYDROSTATICS),
        Step("EP", "adds to the force looked for", "kN/m", ex * P - ey * D + em * Mc, MECHANICS),
        Step("fP", "so it counts with", "", when(EP, ">=", 0, symbols("gP")[0], 0)),
    )  # fmt: skip


def _projection() -> tuple[Step, ...]:
    """Return the steps to what is placed on the soffit of a projection, in the order that does most."""
    w, L, t0, t1, qw, ey, em, gP, gQ = symbols("w", "L", "t0", "t1", "qw", "ey", "em", "gP", "gQ")
    xt, x1, x2, sl = symbols("xt", "x1", "x2", "sl")
    turn = at_most(at_least(when(em, "=", 0, 0, ey / em), 0), L)
    level = when(ey, "<=", 0, L, 0)
    return (
        Step("xt", "distance from which a weight turns from relieving to adding, or back", "m", turn, MECHANICS),
        Step("x1", "filled from", "m", when(em, ">", 0, xt, 0), MECHANICS),
        Step("x2", "filled to", "m", when(em, ">", 0, L, when(em, "<", 0, xt, level)), MECHANICS),
        Step("sl", "slope of its underside", "", (t1 - t0) / at_least(L, 1e-9)),
        Step("Gp", "weight and work on that part, factored", "kN/m",
             gP * w * (t0 * (x2 - x1) + sl * (x2**2 - x1**2) / 2) + gQ * qw * (x2 - x1), MECHANICS),
        Step("Mp", "their moment about the joint", "kN*m/m",
             gP * w * (t0 * (x2**2 - x1**2) / 2 + sl * (x2**3 - x1**3) / 3) + gQ * qw * (x2**2 - x1**2) / 2, MECHANICS),
    )  # fmt: skip


def chain() -> Chain:
    """Return the chain from loads to tension, shear and foot force."""
    th, thb, thf, m, B, e, tr, cl, Bp, ep, q, hp, H, low, bn, bt, bf, gG, gGi, gQ, gW = symbols(
        "th", "thb", "thf", "m", "B", "e", "tr", "cl", "Bp", "ep", "q", "hp", "H", "low", "bn", "bt", "bf", "gG", "gGi", "gQ", "gW"
    )  # fmt: skip
    xA, yA, z, ex, ey, em, W, Q, EW, EQ, fW, fQ, P, D, Mc, fP, Gp, Mp = symbols(
        "xA", "yA", "z", "ex", "ey", "em", "W", "Q", "EW", "EQ", "fW", "fQ", "P", "D", "Mc", "fP", "Gp", "Mp"
    )
    live, Fw, Mw, Ew, Eh, top, sg, X, Y, M, C, T, V = symbols(
        "live", "Fw", "Mw", "Ew", "Eh", "top", "sg", "X", "Y", "M", "C", "T", "V"
    )
    load: Expression = when(cl, "=", 5, 4.5, 6.0)
    for number, value in ((4, 3.0), (3, 2.0), (2, 1.5), (1, 0.75)):
        load = when(cl, "=", number, value, load)
    side = gW * sg
    steps = (
        *_influence(),
        Step("W", "weight of a metre of unit", "kN/m", m * 9.80665 / 1000 / B, MECHANICS),
        Step("EW", "adds", "kN/m", em * W * (e + tr) - ey * W, MECHANICS),
        Step("fW", "so it counts with", "", when(EW, ">=", 0, gG, gGi)),
        Step("live", "load of the class", "kPa", load, "EN 12811-1:2003, Table 3"),
        Step("Q", "people on a metre of platform", "kN/m", live * Bp),
        Step("EQ", "add", "kN/m", em * Q * ep - ey * Q, MECHANICS),
        Step("fQ", "so they count with", "", when(EQ, ">=", 0, gQ, 0)),
        *_concrete(),
        Step("Fw", "wind on a metre of panel, square to it", "kN/m", q * hp),
        Step("Mw", "its moment about the joint", "kN*m/m", Fw * (hp / 2 + sine(th) * tr), MECHANICS),
        Step("Ew", "wind adds", "kN/m", ex * Fw * cosine(th) - ey * Fw * sine(th) + em * Mw, MECHANICS),
        Step("Eh", "the least lateral load adds", "kN/m", ex * H + em * H * hp * cosine(th), MECHANICS),
        Step("top", "the lateral load does more than the wind, either way: 1, else 0", "", when(size_of(Eh), ">", size_of(Ew), 1, 0)),
        Step("sg", "the one that does more acts so that it adds", "", when(when(top, "=", 1, Eh, Ew), "<", 0, -1, 1)),
        *_projection(),
        Step("X", "outward load, factored", "kN/m", fP * P + side * when(top, "=", 1, H, Fw * cosine(th)), MECHANICS),
        Step("Y", "upward load, factored", "kN/m",
             0 - fW * W - fQ * Q - fP * D - side * when(top, "=", 1, 0, Fw * sine(th)) - Gp, MECHANICS),
        Step("M", "moment about the joint, factored", "kN*m/m",
             fW * W * (e + tr) + fQ * Q * ep + fP * Mc + side * when(top, "=", 1, H * hp * cosine(th), Mw) + Mp, MECHANICS),
        Step("C", "foot force: moments about the anchors", "kN/m", (M - X * yA + Y * xA) / z, MECHANICS),
        Step("T", "pull of a metre of row", "kN/m", X * cosine(thb) - Y * sine(thb) + C * cosine(thf - thb), MECHANICS),
        Step("V", "shear of a metre of row, down the face", "kN/m",
             C * sine(thf - thb) - X * sine(thb) - Y * cosine(thb), MECHANICS),
        Step("N1", "tension of one anchor; of the lower row what the foot pulls", "kN", when(low, "=", 1, 0 - C, T) * bn, "",
             "Tension [kN]"),
        Step("V1", "shear of one anchor", "kN", when(low, "=", 1, 0, V) * bt, "", "Shear [kN]"),
        Step("C1", "foot force on the width of one anchor", "kN",
             when(low, "=", 1, at_least(C, 0), C) * bt + when(low, "=", 1, 0 - C, T) * bf, MECHANICS, "Foot force [kN]"),
    )  # fmt: skip
    return Chain(
        "statics", "Forces of one anchor", "stage", GIVENS, steps,
        "On leaning faces the engine tries several forces to look for, and levels of filling; here the one that governs is worked "
        "out anew, each action weighed by its own effect. Not re-done here: what is out of scope.",
        "Statics covered", "N1",
    )  # fmt: skip
