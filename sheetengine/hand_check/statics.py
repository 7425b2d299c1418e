"""Forces of one anchor from the loads on its unit: moments about the foot of a bracket frame on vertical faces."""

from __future__ import annotations

from sheetengine.hand_check.chains import Chain, Given, Step, symbols
from sheetengine.hand_check.expressions import at_least, when

MECHANICS = "Equilibrium of the unit"
GIVENS = (
    Given("P", "resultant of the fresh concrete on a metre of face; 0 at stages without", "kN/m", "Concrete resultant [kN/m]"),
    Given("zP", "its height above the joint", "m", "Lateral resultant height [m]"),
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
    Given("za", "anchors below the joint", "m", "Anchor depth [m]", ("Form units", "anchor_depth")),
    Given("zf", "foot bearing below the joint", "m", "Foot depth [m]", ("Form units", "foot_depth")),
    Given("bt", "width of face that hangs on one anchor", "m", "Width of one anchor [m]"),
    Given("gG", "factor of the weight where it adds", "", "Factor permanent"),
    Given("gGi", "factor of the weight where it relieves", "", "Factor permanent favourable"),
    Given("gQ", "factor of people", "", "Factor variable"),
    Given("gP", "factor of the fresh concrete", "", "Factor fresh concrete"),
    Given("gW", "factor of the wind", "", "Factor wind"),
)  # fmt: skip


def chain() -> Chain:
    """Return the chain from loads to tension, shear and foot force."""
    P, zP, m, B, e, tr, cl, Bp, ep, q, hp, H, za, zf, bt, gG, gGi, gQ, gP, gW = symbols(
        *(given.symbol for given in GIVENS)
    )
    z, W, tW, Q, tQ, tP, Fw, tw, tH, lat, latF, T, V, gw, live = symbols(
        "z", "W", "tW", "Q", "tQ", "tP", "Fw", "tw", "tH", "lat", "latF", "T", "V", "gw", "live"
    )
    load = when(
        cl,
        "=",
        1,
        0.75,
        when(cl, "=", 2, 1.5, when(cl, "=", 3, 2.0, when(cl, "=", 4, 3.0, when(cl, "=", 5, 4.5, 6.0)))),
    )
    steps = (
        Step("z", "lever between anchors and foot", "m", zf - za, MECHANICS),
        Step("W", "weight of a metre of unit", "kN/m", m * 9.80665 / 1000 / B, MECHANICS),
        Step("tW", "tension by the weight", "kN/m", W * (e + tr) / z, MECHANICS),
        Step("gw", "its factor", "", when(tW, ">=", 0, gG, gGi)),
        Step("live", "load of the class", "kPa", load, "EN 12811-1:2003, Table 3"),
        Step("Q", "people on a metre of platform", "kN/m", live * Bp),
        Step("tQ", "tension by people", "kN/m", Q * ep / z, MECHANICS),
        Step("tP", "tension by the concrete: P + (P zP + P za) / z", "kN/m", P + (P * zP + P * za) / z, MECHANICS),
        Step("Fw", "wind on a metre of panel", "kN/m", q * hp),
        Step("tw", "tension by the wind", "kN/m", Fw + (Fw * hp / 2 + Fw * za) / z, MECHANICS),
        Step("tH", "tension by the least lateral load", "kN/m", H + (H * hp + H * za) / z, MECHANICS),
        Step("lat", "the greater of both, either way", "kN/m", at_least(tw, tH)),
        Step("latF", "force of that one", "kN/m", when(tH, ">", tw, H, Fw)),
        Step("T", "tension of a metre of row", "kN/m",
             gP * at_least(tP, 0) + gw * tW + gQ * at_least(tQ, 0) + gW * lat, MECHANICS),
        Step("V", "shear of a metre of row, down the face", "kN/m", gw * W + when(tQ, ">=", 0, gQ * Q, 0), MECHANICS),
        Step("N1", "tension of one anchor", "kN", T * bt, "", "Tension [kN]"),
        Step("V1", "shear of one anchor", "kN", V * bt, "", "Shear [kN]"),
        Step("C1", "foot force on the width of one anchor", "kN", (T - gP * P - gW * latF) * bt, MECHANICS, "Foot force [kN]"),
    )  # fmt: skip
    return Chain(
        "statics", "Forces of one anchor", "stage", GIVENS, steps,
        "Not re-done here: leaning faces, projections, and lower rows. One combination serves on vertical faces: what adds to the tension in full.",
        "Statics covered", "N1",
    )  # fmt: skip
