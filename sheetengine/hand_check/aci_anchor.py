"""The anchor of one lift and stage by ACI 318-19 or ACI 318M-19, chapter 17, written from the code's equations."""

from __future__ import annotations

from dataclasses import dataclass

from sheetengine.hand_check import anchor_groups
from sheetengine.hand_check.chains import Chain, Given, Step, symbols
from sheetengine.hand_check.en_anchor import GIVENS as EN_GIVENS
from sheetengine.hand_check.en_anchor import LEFT_OUT, bending, rated
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


@dataclass(frozen=True, slots=True)
class Text:
    """What one of the two texts of the code prints: its units in terms of mm, MPa and kN, and its numbers."""

    name: str
    length: float
    stress: float
    force: float
    units: tuple[str, str, str]
    cone: float
    deep_cone: float
    deep: tuple[float, float]
    blow_out: float
    bearing_edge: float
    plain_edge: float
    pry_step: float
    greatest: float
    steel_ceiling: float
    develops: tuple[float, float]


INCH = Text("ACI 318-19", 25.4, 0.45359237 * 9.80665 / 645.16, 0.45359237 * 9.80665 / 1000.0, ("in", "psi", "lbf"),
            24.0, 16.0, (11.0, 25.0), 160.0, 7.0, 9.0, 2.5, 10000.0, 125000.0, (50.0 / 3.0, 40.0 / 3.0))  # fmt: skip
SI = Text(
    "ACI 318M-19",
    1.0,
    1.0,
    0.001,
    ("mm", "MPa", "N"),
    10.0,
    3.9,
    (280.0, 635.0),
    13.0,
    0.6,
    3.7,
    65.0,
    70.0,
    860.0,
    (1.4, 1.1),
)

GIVENS = (
    *(given for given in EN_GIVENS if given.symbol != "hc"),
    Given("hc", "depth of the cone: the embedment, less where three or more edges are close, 17.6.2.1.2", "mm",
          "Cone depth [mm]"),
    Given("sn", "distance to the next anchor along the face", "mm", "Neighbour spacing [mm]"),
    Given("sv", "distance to the next row", "mm", "Row spacing [mm]"),
    Given("du", "steel is ductile: 1, else 0", "", "Ductile"),
)  # fmt: skip


def _over(factor: float) -> Expression:
    """Return one over a strength reduction factor."""
    return as_expression(1) / factor


def _basic_blow_out(by: Text, edge: Expression) -> Expression:
    """Return the basic side-face blow-out strength for an edge distance in mm. [kN]."""
    Ah, f = symbols("Ah", "f")
    return by.blow_out * edge / by.length * root(Ah / by.length**2) * root(f) * by.force


def _blow_out(
    by: Text, name: str, edge: Expression, corner: Expression, neighbour: Expression, band: str
) -> tuple[Step, ...]:
    """Return the steps of side-face blow-out towards one edge."""
    hef, Nt, pc = symbols("hef", "Nt", "pc")
    basic, near, row, whole = symbols(f"Nsb{name}", f"cb{name}", f"rb{name}", f"NRb{name}")
    place = f"{by.name}, 17.6.4"
    return (
        Step(f"Nsb{name}", f"basic blow-out strength, {band}", "kN",
             _basic_blow_out(by, edge), f"{place}.1",
             f"{band} basic resistance [kN]"),
        Step(f"cb{name}", "near a corner", "",
             when(corner, ">=", 3 * edge, 1, (1 + at_most(at_least(corner / edge, 1), 3)) / 4), f"{place}.1.1",
             f"{band} edge factor"),
        Step(f"rb{name}", "part of a long row, derived", "", at_most(neighbour / (6 * edge), 1), f"{place}.2",
             f"{band} row factor"),
        Step(f"NRb{name}", "blow-out strength", "kN", basic * near * row, place, f"{band} resistance [kN]"),
        Step(f"bb{name}", "ratio, 0 where the embedment is no more than 2.5 times the edge distance", "",
             when(hef, "<=", 2.5 * edge, 0, Nt * pc / whole), f"{place}.1"),
    )  # fmt: skip


def _bars(by: Text) -> tuple[Step, ...]:
    """Return the steps of supplementary bars, which stand in for the breakout."""
    FS, Nt, nb, db, lb, fyb, f, pr, NRr, ld, NRa = symbols(
        "FS", "Nt", "nb", "db", "lb", "fyb", "f", "pr", "NRr", "ld", "NRa"
    )
    factor = when(db, "<=", 19.5, by.develops[0], by.develops[1])
    return (
        Step("pr", "divisor of the bars", "", when(FS, ">", 0, FS, _over(0.75)), f"{by.name}, 17.5.2.1"),
        Step("NRr", "supplementary bars, steel", "kN", nb * PI / 4 * db**2 * fyb / 1000, f"{by.name}, 17.5.2.1",
             "Bars steel resistance [kN]"),
        Step("br", "its ratio, 0 without bars", "", when(nb, ">", 0, Nt * pr / NRr, 0), f"{by.name}, 17.5.2.1",
             "Bars steel ratio"),
        Step("ld", "development length", by.units[0], fyb / by.stress / (factor * root(f)) * db / by.length,
             f"{by.name}, Table 25.4.2.3, other cases"),
        Step("NRa", "supplementary bars, by the part of that length they have", "kN",
             when(nb, ">", 0, NRr * lb / by.length / ld, 0), f"{by.name}, 17.5.2.1", "Bars anchorage resistance [kN]"),
        Step("ba", "its ratio, 0 without bars", "", when(nb, ">", 0, Nt * pr / NRa, 0), f"{by.name}, 17.5.2.1",
             "Bars anchorage ratio"),
    )  # fmt: skip


def _upward(by: Text) -> tuple[Step, ...]:
    """Return the steps of the edge at the joint, under a shear that points to it."""
    V, cj, ce, sl, sr, hm, cr, pc = symbols("V", "cj", "ce", "sl", "sr", "hm", "cr", "pc")
    up, Vbu, AVu, peu, phu, VRu = symbols("up", "Vbu", "AVu", "peu", "phu", "VRu")
    code = by.name
    return (
        Step("up", "shear that points up to the joint", "kN", at_least(0 - V, 0)),
        Step("Vbu", "basic edge breakout strength at the joint", "kN",
             _edge(by, cj),
             f"{code}, 17.7.2.2.1", "Upward edge basic resistance [kN]"),
        Step("AVu", "projected area", "mm2", (at_most(sl, 1.5 * cj) + at_most(sr, 1.5 * cj)) * at_most(hm, 1.5 * cj),
             f"{code}, 17.7.2.1.1", "Upward edge area [mm2]"),
        Step("peu", "influence of the end as a second edge", "", at_most(0.7 + 0.3 * ce / (1.5 * cj), 1),
             f"{code}, 17.7.2.4.1", "Upward edge edge factor"),
        Step("phu", "influence of a thin lift", "", at_least(root(1.5 * cj / hm), 1), f"{code}, 17.7.2.6.1",
             "Upward edge thickness factor"),
        Step("VRu", "edge breakout strength square to the joint", "kN",
             Vbu * AVu / (4.5 * cj**2) * peu * when(cr, "=", 1, 1, 1.4) * phu, f"{code}, 17.7.2.1(a)",
             "Upward edge resistance [kN]"),
        Step("beu", "its ratio, 0 where no shear points up", "", up * pc / VRu, f"{code}, 17.7.2.1"),
    )  # fmt: skip


def _breakout(by: Text, depth: Expression) -> Expression:
    """Return the basic breakout strength for a depth in mm. [kN]."""
    own = depth / by.length
    deep = when(own, ">=", by.deep[0], when(own, "<=", by.deep[1], by.deep_cone * own ** (5 / 3), by.cone * own**1.5),
                by.cone * own**1.5)  # fmt: skip
    return deep * root(Symbol("f")) * by.force


def _edge(by: Text, edge: Expression) -> Expression:
    """Return the basic edge breakout strength for an edge distance in mm. [kN]."""
    d, f, le = symbols("d", "f", "le")
    return (
        at_most(by.bearing_edge * (le / d) ** 0.2 * root(d / by.length), by.plain_edge)
        * root(f) * (edge / by.length) ** 1.5 * by.force
    )  # fmt: skip


def _group_rules(by: Text) -> anchor_groups.Rules:
    """Return what the code prints for a group."""
    hef, cr, k, pc, pp = symbols("hef", "cr", "k", "pc", "pp")

    def needed(edge: Expression, ratio: Term) -> Expression:
        return when(hef, "<=", 2.5 * edge, 0, ratio)

    def factors(band: str) -> tuple[Step, ...]:
        end, place = anchor_groups.LETTERS[band], f"{by.name}, 17.6.4"
        c, corner, outermost, near, row = symbols(*(f"{name}G{end}" for name in "ckoqg"))

        step = anchor_groups.guarded(end)

        return (
            step("q", "near a corner", "", when(corner, ">=", 3 * c, 1, (1 + at_most(at_least(corner / c, 1), 3)) / 4),
                 f"{place}.1.1", f"{band} edge factor"),
            step("g", "several heads in a row", "", 1 + outermost / (6 * c), f"{place}.2", f"{band} row factor"),
            step("f", "both", "", near * row, place),
        )  # fmt: skip

    return anchor_groups.Rules(
        cone=lambda depth: _breakout(by, depth) * when(cr, "=", 1, 1, 1.25),
        blow_out=lambda edge: _basic_blow_out(by, edge),
        blow_out_factors=factors,
        edge=lambda edge: _edge(by, edge),
        along=lambda corner, edge: as_expression(2),
        cracking=when(cr, "=", 1, 1, 1.4), pry=k, divisor=pc, pry_divisor=pp, near_edge=needed,
        near_end=lambda _, ratio: ratio,
        places=(
            f"{by.name}, 17.6.2", f"{by.name}, 17.6.2.3", f"{by.name}, 17.7.3.1", f"{by.name}, 17.6.4",
            f"{by.name}, 17.7.2", f"{by.name}, 17.7.2.3",
        ),
    )  # fmt: skip


def chain(by: Text, *, grouped: bool = False) -> Chain:
    """Return the chain from forces and geometry to the demand ratio, by one of the two texts.

    Parameters
    ----------
    by
        Text of the code.
    grouped
        Whether some anchors of the book form groups, whose steps are then among the others.
    """
    in_groups = anchor_groups.steps(_group_rules(by)) if grouped else ()
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
        cr,
        FS,
        Ns,
        Vs,
        rN,
        rV,
        _e1,
        nb,
        _db,
        _lb,
        _fyb,
        hc,
        sn,
        sv,
        du,
    ) = symbols(*(given.symbol for given in GIVENS))
    f, fut, Nt, ps, pv, pc, bN, bV, NRs, VRs, NRp, bp = symbols(
        "f", "fut", "Nt", "ps", "pv", "pc", "bN", "bV", "NRs", "VRs", "NRp", "bp"
    )
    Nb, Ac, psis, NRc, bc, k, bcp, Vb, AV, psih, VRc, be, bbj, bbe, pp = symbols(
        "Nb", "Ac", "psis", "NRc", "bc", "k", "bcp", "Vb", "AV", "psih", "VRc", "be", "bbj", "bbe", "pp"
    )
    t, s = symbols("t", "s")
    code = by.name
    steps = (
        Step("f", "strength that counts", by.units[1], at_most(fc / by.stress, by.greatest), f"{code}, 17.3.1"),
        Step("fut", "steel strength that counts", by.units[1],
             at_most(fuk / by.stress, 1.9 * fyk / by.stress, by.steel_ceiling), f"{code}, 17.6.1.2"),
        Step("Nt", "tension, none where it presses", "kN", at_least(N, 0)),
        Step("ps", "divisor of the steel in tension", "", when(FS, ">", 0, FS, when(du, "=", 1, _over(0.75), _over(0.65))),
             f"{code}, Table 17.5.3(a)", "Steel tension divisor"),
        Step("pv", "divisor of the steel in shear", "", when(FS, ">", 0, FS, when(du, "=", 1, _over(0.65), _over(0.60))),
             f"{code}, Table 17.5.3(a)", "Steel shear divisor"),
        Step("pc", "divisor of breakout and blow-out", "", when(FS, ">", 0, FS, _over(0.70)),
             f"{code}, Table 17.5.3(b), no supplementary reinforcement", "Cone divisor"),
        Step("pp", "divisor of pull-out and pry-out", "", when(FS, ">", 0, FS, _over(0.70)),
             f"{code}, Table 17.5.3(c)", "Pull-out divisor"),
        Step("NRs", "steel strength in tension", "kN", As / by.length**2 * fut * by.force, f"{code}, 17.6.1.2",
             "Steel tension resistance [kN]"),
        Step("bN", "ratio of the steel in tension", "", Nt * ps / NRs, "", "Steel tension ratio"),
        Step("VRs", "steel strength in shear", "kN", 0.6 * As / by.length**2 * fut * by.force, f"{code}, 17.7.1.2(b)",
             "Steel shear resistance [kN]"),
        Step("bV", "ratio of the steel in shear", "", size_of(V) * pv / VRs, "", "Steel shear ratio"),
        *bending(pv, Nt * ps / NRs, "no rule in the code; EN 1992-4:2018, 7.2.2.3.2"),
        Step("NRp", "pull-out strength", "kN", when(cr, "=", 1, 1, 1.4) * 8 * Ah / by.length**2 * f * by.force,
             f"{code}, 17.6.3", "Pull-out resistance [kN]"),
        Step("bp", "ratio of pull-out", "", Nt * pp / NRp, "", "Pull-out ratio"),
        Step("Nb", "basic breakout strength", "kN", _breakout(by, hc), f"{code}, 17.6.2.2",
             "Cone basic resistance [kN]"),
        Step("Ac", "projected area", "mm2",
             (at_most(su, 1.5 * hc) + at_most(sd, 1.5 * hc)) * (at_most(sl, 1.5 * hc) + at_most(sr, 1.5 * hc)),
             f"{code}, 17.6.2.1.1", "Cone area [mm2]"),
        Step("psis", "influence of the nearest edge", "", at_most(0.7 + 0.3 * at_most(cj, ce) / (1.5 * hc), 1),
             f"{code}, 17.6.2.4.1", "Cone edge factor"),
        Step("NRc", "breakout strength", "kN", Nb * Ac / (9 * hc**2) * psis * when(cr, "=", 1, 1, 1.25),
             f"{code}, 17.6.2.1", "Cone resistance [kN]"),
        Step("bc", "ratio of breakout, 0 where bars stand in for it", "", when(nb, ">", 0, 0, Nt * pc / NRc), "", "Cone ratio"),
        *_bars(by),
        *_blow_out(by, "j", cj, ce, sn, "Joint blow-out"),
        *_blow_out(by, "e", ce, cj, sv, "End blow-out"),
        Step("k", "pry-out over breakout", "", when(hef / by.length, "<", by.pry_step, 1, 2), f"{code}, 17.7.3.1",
             "Pry-out multiple"),
        Step("bcp", "ratio of pry-out", "", size_of(V) * pp / (k * NRc), f"{code}, 17.7.3.1", "Pry-out ratio"),
        Step("le", "length of the bolt that bears", "mm", at_most(hef, 8 * d), f"{code}, 17.7.2.2.1"),
        Step("Vb", "basic edge breakout strength at the end of the block", "kN",
             _edge(by, ce),
             f"{code}, 17.7.2.2.1", "Edge shear basic resistance [kN]"),
        Step("AV", "projected area", "mm2", (at_most(su, 1.5 * ce) + at_most(sd, 1.5 * ce)) * at_most(hm, 1.5 * ce),
             f"{code}, 17.7.2.1.1", "Edge shear area [mm2]"),
        Step("psih", "influence of a thin lift", "", at_least(root(1.5 * ce / hm), 1), f"{code}, 17.7.2.6.1",
             "Edge shear thickness factor"),
        Step("VRc", "edge breakout strength; along the edge twice that towards it, psi_ed = 1", "kN",
             2 * Vb * AV / (4.5 * ce**2) * when(cr, "=", 1, 1, 1.4) * psih, f"{code}, 17.7.2.1(c)",
             "Edge shear resistance [kN]"),
        Step("be", "ratio of edge breakout, 0 without an end", "", when(ce, ">=", 1e9, 0, size_of(V) * pc / VRc),
             f"{code}, 17.7.2.1"),
        *_upward(by),
        *in_groups,
        Step("t", "greatest ratio in tension", "", at_least(bN, bp, bc, bbj, bbe, *symbols("br", "ba"), *with_tension)),
        Step("s", "greatest ratio in shear", "", at_least(bV, bcp, be, *symbols("beu"), *with_shear)),
        Step("i", "tension and shear: the three lines of 17.8, which meet where this is 1", "", at_least(t, s, (t + s) / 1.2),
             f"{code}, 17.8", "Interaction"),
        *rated(Ns, Vs, rN, rV),
        Step("r", "demand ratio", "", at_least(t, s, *symbols("i", "bm", "rt", "rs")), "", "Demand ratio"),
    )  # fmt: skip
    return Chain(
        "anchor", f"The anchor by {by.name}, chapter 17", "stage",
        (*GIVENS, *(anchor_groups.GIVENS if grouped else ())), steps, LEFT_OUT,
        "Anchor covered", "r",
    )  # fmt: skip
