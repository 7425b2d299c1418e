"""The anchor of one lift and stage by EN 1992-4:2018, written from the standard's equations."""

from __future__ import annotations

from sheetengine.hand_check import anchor_groups
from sheetengine.hand_check.chains import Chain, Given, Step, symbols
from sheetengine.hand_check.expressions import (
    PI,
    Expression,
    Symbol,
    Term,
    as_expression,
    at_least,
    at_most,
    root,
    size_of,
    when,
)

EN = "EN 1992-4:2018"
LEFT_OUT = (
    "On leaning faces the forces are those that govern; a mode that another combination of forces leads is not held against "
    "the engine's. Which anchors form a group, and the area they share, are taken from the layout. Not re-done here: anchors "
    "out of scope."
)
GIVENS = (
    Given("N", "tension of the anchor, design value", "kN", "Tension [kN]"),
    Given("V", "shear of the anchor, design value", "kN", "Shear [kN]"),
    Given("fc", "cylinder strength of the concrete at that hour", "MPa", "Concrete strength [MPa]"),
    Given("hef", "embedment", "mm", "Embedment [mm]", ("Anchor types", "embedment")),
    Given("d", "shank diameter", "mm", "Shank diameter [mm]", ("Anchor types", "shank_diameter")),
    Given("Ah", "bearing area of the head", "mm2", "Bearing area [mm2]"),
    Given("As", "net area", "mm2", "Net area [mm2]", ("Anchor types", "net_area")),
    Given("fuk", "tensile strength of the steel", "MPa", "Tensile strength [MPa]", ("Anchor types", "tensile_strength")),
    Given("fyk", "yield strength of the steel", "MPa", "Yield strength [MPa]", ("Anchor types", "yield_strength")),
    Given("cj", "distance to the joint above", "mm", "Distance to joint [mm]"),
    Given("ce", "distance to the end of the block", "mm", "Distance to end [mm]"),
    Given("su", "reach of its own concrete upward", "mm", "Share up [mm]"),
    Given("sd", "downward", "mm", "Share down [mm]"),
    Given("sl", "to the left", "mm", "Share left [mm]"),
    Given("sr", "to the right", "mm", "Share right [mm]"),
    Given("hm", "thickness of the lift behind the face", "mm", "Thickness [mm]"),
    Given("hc", "depth of the cone: the embedment, less where three or more edges are close, 7.2.1.4(8)", "mm",
          "Cone depth [mm]"),
    Given("cr", "concrete may be cracked: 1, else 0", "", "Cracked"),
    Given("FS", "safety factor of the job, 0 where partial factors are used", "", "Safety factor"),
    Given("Ns", "tension at service level", "kN", "Service tension [kN]"),
    Given("Vs", "shear at service level", "kN", "Service shear [kN]"),
    Given("rN", "supplier's rated tension, 0 where none is given", "kN", "Rated tension [kN]"),
    Given("rV", "supplier's rated shear, 0 where none is given", "kN", "Rated shear [kN]"),
    Given("e1", "the bolt stands off by, 0 where it does not", "mm", "Stand-off [mm]"),
    Given("nb", "legs of supplementary bars, 0 where there are none", "", "Bars"),
    Given("db", "their diameter", "mm", "Bar diameter [mm]"),
    Given("lb", "length of each leg inside the cone", "mm", "Bar length [mm]"),
    Given("fyb", "their yield strength", "MPa", "Bar yield [MPa]"),
)  # fmt: skip


def _basic_cone(depth: Expression) -> Expression:
    """Return the basic cone resistance for a depth in mm. [kN]."""
    fc, cr = symbols("fc", "cr")
    return when(cr, "=", 1, 8.9, 12.7) * root(at_most(fc, 90)) * depth**1.5 / 1000


def _basic_blow_out(edge: Expression) -> Expression:
    """Return the basic blow-out resistance for an edge distance in mm. [kN]."""
    fc, cr, Ah = symbols("fc", "cr", "Ah")
    return when(cr, "=", 1, 8.7, 12.2) * edge * root(Ah) * root(at_most(fc, 90)) / 1000


def _blow_out(
    name: str, edge: Expression, corner: Expression, left: Expression, right: Expression, band: str
) -> tuple[Step, ...]:
    """Return the steps of blow-out towards one edge."""
    hef, hm, N, gc = symbols("hef", "hm", "N", "gc")
    basic, area, near = symbols(f"N0b{name}", f"Ab{name}", f"psib{name}")
    behind = at_most(at_least(hm - hef, 0), 2 * edge)
    place = f"{EN}, 7.2.1.8"
    return (
        Step(f"N0b{name}", f"basic blow-out resistance, {band}", "kN",
             _basic_blow_out(edge), f"{place}, Eq. (7.26)",
             f"{band} basic resistance [kN]"),
        Step(f"Ab{name}", "projected area", "mm2",
             (at_most(left, 2 * edge) + at_most(right, 2 * edge)) * (at_most(hef, 2 * edge) + behind), place,
             f"{band} area [mm2]"),
        Step(f"psib{name}", "influence of the corner", "", at_most(0.7 + 0.3 * corner / (2 * edge), 1),
             f"{place}, Eq. (7.28)", f"{band} edge factor"),
        Step(f"NRb{name}", "blow-out resistance", "kN", basic * area / (16 * edge**2) * near, f"{place}, Eq. (7.25)",
             f"{band} resistance [kN]"),
        Step(f"bb{name}", "ratio, 0 where the edge is further than half the embedment", "",
             when(edge, ">", 0.5 * hef, 0, N * gc / symbols(f"NRb{name}")[0]), f"{place}(1)"),
    )  # fmt: skip


def bending(shear_divisor: Expression, tension_over: Expression, clause: str) -> tuple[Step, ...]:
    """Return the steps of a bolt that stands off; ``tension_over``: tension over the design resistance of the steel."""
    V, d, As, fuk, e1, MR, VRm = symbols("V", "d", "As", "fuk", "e1", "MR", "VRm")
    across = root(4 * As / PI)
    return (
        Step("MR", "bending resistance beside the tension", "kN*m",
             1.2 * PI * across**3 / 32 * fuk / 1e6 * at_least(1 - tension_over, 0), f"{clause}, Eq. (7.36) and (7.37)"),
        Step("VRm", "shear on the lever arm e1 + d/2, free to turn", "kN", when(e1, ">", 0, MR / ((e1 + d / 2) / 1000), 0),
             f"{clause}, Eq. (7.35)"),
        Step("bm", "ratio of bending, 0 where the bolt does not stand off", "",
             when(e1, ">", 0, when(V, "=", 0, 0, size_of(V) * shear_divisor / VRm), 0), clause),
    )  # fmt: skip


def _upward(corner: Expression) -> tuple[Step, ...]:
    """Return the steps of the edge at the joint, under a shear that points to it."""
    V, fc, cj, sl, sr, hm, cr, gc, dn, lf = symbols("V", "fc", "cj", "sl", "sr", "hm", "cr", "gc", "dn", "lf")
    up, au, bu, V0u, AVu, psu, phu, VRu = symbols("up", "au", "bu", "V0u", "AVu", "psu", "phu", "VRu")
    place = f"{EN}, 7.2.2.5"
    return (
        Step("up", "shear that points up to the joint", "kN", at_least(0 - V, 0)),
        Step("au", "exponent towards the joint", "", 0.1 * root(lf / cj), f"{place}, Eq. (7.42)"),
        Step("bu", "exponent towards the joint", "", 0.1 * (dn / cj) ** 0.2, f"{place}, Eq. (7.43)"),
        Step("V0u", "basic resistance of the edge at the joint", "kN",
             when(cr, "=", 1, 1.7, 2.4) * dn**au * lf**bu * root(at_most(fc, 90)) * cj**1.5 / 1000, f"{place}, Eq. (7.41)",
             "Upward edge basic resistance [kN]"),
        Step("AVu", "projected area", "mm2",
             (at_most(sl, 1.5 * cj) + at_most(sr, 1.5 * cj)) * at_most(hm, 1.5 * cj), f"{place}(7)", "Upward edge area [mm2]"),
        Step("psu", "influence of the end as a second edge", "", at_most(0.7 + 0.3 * corner / (1.5 * cj), 1),
             f"{place}, Eq. (7.45)", "Upward edge edge factor"),
        Step("phu", "influence of a thin lift", "", at_least(root(1.5 * cj / hm), 1), f"{place}, Eq. (7.46)",
             "Upward edge thickness factor"),
        Step("VRu", "edge resistance to a shear square to the joint", "kN", V0u * AVu / (4.5 * cj**2) * psu * phu,
             f"{place}, Eq. (7.40)", "Upward edge resistance [kN]"),
        Step("beu", "its ratio, 0 where no shear points up", "", up * gc / VRu, place),
    )  # fmt: skip


def _bars() -> tuple[Step, ...]:
    """Return the steps of supplementary bars, which stand in for the cone."""
    fc, FS, Nt, nb, db, lb, fyb, gc, NRr, NRa, fbk = symbols(
        "fc", "FS", "Nt", "nb", "db", "lb", "fyb", "gc", "NRr", "NRa", "fbk"
    )
    strength = at_most(fc, 50) ** (2 / 3)
    return (
        Step("NRr", "supplementary bars, steel", "kN", nb * PI / 4 * db**2 * fyb / 1000, f"{EN}, 7.2.1.9, Eq. (7.31)",
             "Bars steel resistance [kN]"),
        Step("br", "its ratio, 0 without bars", "", when(nb, ">", 0, Nt * when(FS, ">", 0, FS, 1.15) / NRr, 0),
             f"{EN}, 7.2.1.9; Table 4.1", "Bars steel ratio"),
        Step("fbk", "bond, conditions not shown to be good", "MPa",
             2.25 * 0.7 * at_most((132 - db) / 100, 1) * 0.7 * 0.30 * strength, "EN 1992-1-1:2004, 8.4.2, Eq. (8.2)"),
        Step("NRa", "supplementary bars, anchorage of straight ends", "kN", nb * lb * PI * db * fbk / 1000,
             f"{EN}, 7.2.1.9, Eq. (7.32)", "Bars anchorage resistance [kN]"),
        Step("ba", "its ratio, 0 without bars", "", when(nb, ">", 0, Nt * gc / NRa, 0), f"{EN}, 7.2.1.9", "Bars anchorage ratio"),
    )  # fmt: skip


def rated(
    tension: Expression, shear: Expression, tension_limit: Expression, shear_limit: Expression
) -> tuple[Step, ...]:
    """Return the steps of the supplier's rated working loads."""
    said = "Supplier's rated working load"
    return (
        Step("rt", "ratio to the rated tension, 0 where none is given", "",
             when(tension_limit, ">", 0, at_least(tension, 0) / tension_limit, 0), said, "Rated tension"),
        Step("rs", "ratio to the rated shear, 0 where none is given", "",
             when(shear_limit, ">", 0, size_of(shear) / shear_limit, 0), said, "Rated shear"),
    )  # fmt: skip


def _group_rules() -> anchor_groups.Rules:
    """Return what the standard prints for a group."""
    fc, hef, d, hm, cr, dn, lf, gc = symbols("fc", "hef", "d", "hm", "cr", "dn", "lf", "gc")

    def needed(edge: Expression, ratio: Term) -> Expression:
        return when(edge, ">", 0.5 * hef, 0, ratio)

    def factors(band: str) -> tuple[Step, ...]:
        end, place = anchor_groups.LETTERS[band], f"{EN}, 7.2.1.8"
        n, c, length, corner, s, x, m = symbols(*(f"{name}G{end}" for name in "nclksxm"))
        area, near, several, uneven = symbols(*(f"{name}G{end}" for name in "Aqgu"))
        step = anchor_groups.guarded(end)

        return (
            step("A", "projected area", "mm2", length * (at_most(hef, 2 * c) + at_most(at_least(hm - hef, 0), 2 * c)), place,
                 f"{band} area [mm2]"),
            step("q", "influence of the corner", "", at_most(0.7 + 0.3 * corner / (2 * c), 1), f"{place}, Eq. (7.28)",
                 f"{band} edge factor"),
            step("g", "influence of several heads in a row", "",
                 at_least(root(n) + (1 - root(n)) * at_most(s, 4 * c) / (4 * c), 1), place, f"{band} row factor"),
            step("u", "influence of uneven tension", "", at_least(at_most(1 / (1 + 2 * x / (4 * c)), 1), m), place,
                 f"{band} eccentricity factor"),
            step("f", "all of them", "", area / (16 * c**2) * near * several * uneven, f"{place}, Eq. (7.25)"),
        )  # fmt: skip

    return anchor_groups.Rules(
        cone=_basic_cone,
        blow_out=_basic_blow_out,
        blow_out_factors=factors,
        edge=lambda edge: (
            when(cr, "=", 1, 1.7, 2.4) * dn ** (0.1 * root(lf / edge)) * lf ** (0.1 * (dn / edge) ** 0.2)
            * root(at_most(fc, 90)) * edge**1.5 / 1000
        ),
        along=lambda corner, edge: 2 * at_most(0.7 + 0.3 * corner / (1.5 * edge), 1),
        cracking=as_expression(1), pry=Symbol("k8"), divisor=gc, pry_divisor=gc, near_edge=needed,
        near_end=lambda edge, ratio: when(edge, ">", at_least(10 * hef, 60 * d), 0, ratio),
        places=(
            f"{EN}, 7.2.1.4, Eq. (7.1) to (7.4)", f"{EN}, 7.2.1.4, Eq. (7.6)", f"{EN}, 7.2.2.4, Eq. (7.39)", f"{EN}, 7.2.1.8",
            f"{EN}, 7.2.2.5, Eq. (7.40) to (7.48)", f"{EN}, 7.2.2.5, Eq. (7.47)",
        ),
    )  # fmt: skip


def chain(*, grouped: bool = False) -> Chain:
    """Return the chain from forces and geometry to the demand ratio.

    Parameters
    ----------
    grouped
        Whether some anchors of the book form groups, whose steps are then among the others.
    """
    in_groups = anchor_groups.steps(_group_rules()) if grouped else ()
    with_tension, with_shear = (anchor_groups.TENSION, anchor_groups.SHEAR) if grouped else ((), ())
    (
        N,
        V,
        fc,
        hef,
        d,
        Ah,
        As,
        fuk,
        fyk,
        cj,
        ce,
        su,
        sd,
        sl,
        sr,
        hm,
        hc,
        cr,
        FS,
        Ns,
        Vs,
        rN,
        rV,
        _e1,
        nb,
        *_bar,
    ) = symbols(*(given.symbol for given in GIVENS))
    gs, gv, gc, Nt, NRs, VRs, bN, bV = symbols("gs", "gv", "gc", "Nt", "NRs", "VRs", "bN", "bV")
    NRp, bp, N0c, Ac, A0c, psis, NRc, bc, k8, bcp = symbols(
        "NRp", "bp", "N0c", "Ac", "A0c", "psis", "NRc", "bc", "k8", "bcp"
    )
    dn, lf, alpha, beta, V0, AV, psisV, psih, psia, VRc, be = symbols(
        "dn", "lf", "alpha", "beta", "V0", "AV", "psisV", "psih", "psia", "VRc", "be"
    )
    bt, bs, i1, i2, bbj, bbe = symbols("bt", "bs", "i1", "i2", "bbj", "bbe")
    partial = f"{EN}, Table 4.1"
    steps = (
        Step("Nt", "tension, none where it presses", "kN", at_least(N, 0)),
        Step("gs", "divisor of the steel in tension", "", when(FS, ">", 0, FS, at_least(1.2 * fuk / fyk, 1.4)), partial,
             "Steel tension divisor"),
        Step("gv", "divisor of the steel in shear", "",
             when(FS, ">", 0, FS, when(fuk, ">", 800, 1.5, when(fyk, ">", 0.8 * fuk, 1.5, at_least(fuk / fyk, 1.25)))),
             partial, "Steel shear divisor"),
        Step("gc", "divisor of the concrete modes", "", when(FS, ">", 0, FS, 1.5), partial, "Cone divisor"),
        Step("NRs", "steel resistance in tension", "kN", As * fuk / 1000, f"{EN}, 7.2.1.3", "Steel tension resistance [kN]"),
        Step("bN", "ratio of the steel in tension", "", Nt * gs / NRs, "", "Steel tension ratio"),
        Step("VRs", "steel resistance in shear", "kN", when(fuk, "<=", 500, 0.6, 0.5) * As * fuk / 1000,
             f"{EN}, 7.2.2.3.1, Eq. (7.34)", "Steel shear resistance [kN]"),
        Step("bV", "ratio of the steel in shear", "", size_of(V) * gv / VRs, "", "Steel shear ratio"),
        *bending(gv, Nt * gs / NRs, f"{EN}, 7.2.2.3.2"),
        Step("NRp", "pull-out resistance", "kN", when(cr, "=", 1, 7.5, 10.5) * Ah * at_most(fc, 90) / 1000,
             f"{EN}, 7.2.1.5, Eq. (7.11)", "Pull-out resistance [kN]"),
        Step("bp", "ratio of pull-out", "", Nt * gc / NRp, "", "Pull-out ratio"),
        Step("N0c", "basic cone resistance", "kN", _basic_cone(hc),
             f"{EN}, 7.2.1.4, Eq. (7.2)", "Cone basic resistance [kN]"),
        Step("Ac", "projected area of the cone", "mm2",
             (at_most(su, 1.5 * hc) + at_most(sd, 1.5 * hc)) * (at_most(sl, 1.5 * hc) + at_most(sr, 1.5 * hc)),
             f"{EN}, 7.2.1.4(3)", "Cone area [mm2]"),
        Step("A0c", "reference area", "mm2", 9 * hc**2, f"{EN}, 7.2.1.4, Eq. (7.3)", "Cone reference area [mm2]"),
        Step("psis", "influence of the nearest edge", "", at_most(0.7 + 0.3 * at_most(cj, ce) / (1.5 * hc), 1),
             f"{EN}, 7.2.1.4, Eq. (7.4)", "Cone edge factor"),
        Step("NRc", "cone resistance", "kN", N0c * Ac / A0c * psis, f"{EN}, 7.2.1.4, Eq. (7.1)", "Cone resistance [kN]"),
        Step("bc", "ratio of the cone, 0 where bars stand in for it", "", when(nb, ">", 0, 0, Nt * gc / NRc), "", "Cone ratio"),
        *_bars(),
        *_blow_out("j", cj, ce, sl, sr, "Joint blow-out"),
        *_blow_out("e", ce, cj, su, sd, "End blow-out"),
        Step("k8", "pry-out over cone", "", when(hef, "<", 60, 1, 2), f"{EN}, 7.2.2.4", "Pry-out multiple"),
        Step("bcp", "ratio of pry-out", "", size_of(V) * gc / (k8 * NRc), f"{EN}, 7.2.2.4, Eq. (7.39)", "Pry-out ratio"),
        Step("dn", "diameter that counts", "mm", at_most(d, 60), f"{EN}, 7.2.2.5(6)"),
        Step("lf", "length of the bolt that bears", "mm",
             at_most(hef, when(dn, "<=", 24, 12 * dn, at_least(8 * dn, 300))), f"{EN}, 7.2.2.5(6)"),
        Step("alpha", "exponent", "", 0.1 * root(lf / ce), f"{EN}, 7.2.2.5, Eq. (7.42)"),
        Step("beta", "exponent", "", 0.1 * (dn / ce) ** 0.2, f"{EN}, 7.2.2.5, Eq. (7.43)"),
        Step("V0", "basic edge resistance at the end of the block", "kN",
             when(cr, "=", 1, 1.7, 2.4) * dn**alpha * lf**beta * root(at_most(fc, 90)) * ce**1.5 / 1000,
             f"{EN}, 7.2.2.5, Eq. (7.41)", "Edge shear basic resistance [kN]"),
        Step("AV", "projected area", "mm2",
             (at_most(su, 1.5 * ce) + at_most(sd, 1.5 * ce)) * at_most(hm, 1.5 * ce), f"{EN}, 7.2.2.5(7)",
             "Edge shear area [mm2]"),
        Step("psisV", "influence of the joint as a second edge", "", at_most(0.7 + 0.3 * cj / (1.5 * ce), 1),
             f"{EN}, 7.2.2.5, Eq. (7.45)", "Edge shear edge factor"),
        Step("psih", "influence of a thin lift", "", at_least(root(1.5 * ce / hm), 1), f"{EN}, 7.2.2.5, Eq. (7.46)",
             "Edge shear thickness factor"),
        Step("psia", "shear along the edge: 1/SQRT(cos2 90 + (0.5 sin 90)2)", "", 2 + 0 * V, f"{EN}, 7.2.2.5, Eq. (7.48)",
             "Edge shear direction factor"),
        Step("VRc", "edge resistance", "kN", V0 * AV / (4.5 * ce**2) * psisV * psih * psia, f"{EN}, 7.2.2.5, Eq. (7.40)",
             "Edge shear resistance [kN]"),
        Step("be", "ratio of the edge, 0 where it is too far to matter", "",
             when(ce, ">", at_least(10 * hef, 60 * d), 0, size_of(V) * gc / VRc), f"{EN}, 7.2.2.5(1)"),
        *_upward(ce),
        *in_groups,
        Step("bt", "greatest ratio of concrete and bars in tension", "", at_least(bc, bp, bbj, bbe, *symbols("br", "ba"), *with_tension)),
        Step("bs", "greatest concrete ratio in shear", "", at_least(bcp, be, *symbols("beu"), *with_shear)),
        Step("i1", "steel in tension and shear", "", root(bN**2 + bV**2), f"{EN}, Table 7.3, Eq. (7.54)",
             "Interaction, steel"),
        Step("i2", "concrete in tension and shear, the milder of both expressions; with bars the one for these", "",
             when(nb, ">", 0, (bt ** (2 / 3) + bs ** (2 / 3)) ** 1.5,
                  at_least(bt, bs, at_most((bt**1.5 + bs**1.5) ** (2 / 3), (bt + bs) / 1.2))),
             f"{EN}, Table 7.3, Eq. (7.55) and (7.56); with bars Eq. (7.57)", "Interaction, concrete"),
        *rated(Ns, Vs, rN, rV),
        Step("r", "demand ratio", "", at_least(bN, bV, bt, bs, i1, i2, *symbols("bm", "rt", "rs")), "", "Demand ratio"),
    )  # fmt: skip
    return Chain(
        "anchor", "The anchor by EN 1992-4:2018", "stage",
        (*GIVENS, *(anchor_groups.GIVENS if grouped else ())), steps, LEFT_OUT,
        "Anchor covered", "r",
    )  # fmt: skip
