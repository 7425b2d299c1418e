"""Anchors whose concrete overlaps: the share of its group's resistance that one anchor has, by either code.

What the layout says of a group (anchors, areas, lengths, eccentricities and parts) is given; what a code makes of it is
worked out. Every step is 0 where the anchor is by itself.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from sheetengine.hand_check.chains import Given, Step, symbols
from sheetengine.hand_check.expressions import (
    Expression,
    Symbol,
    Term,
    at_least,
    at_most,
    root,
    size_of,
    when,
)

CONE, PRY, JOINT, END, SIDE, UP = "Group cone", "Group pry-out", "Group joint blow-out", "Group end blow-out", \
    "Group edge shear", "Group upward edge"  # fmt: skip
LETTERS = {CONE: "t", PRY: "p", JOINT: "j", END: "e", SIDE: "s", UP: "u"}
"""What the symbols of a group end with."""
COUNT = "{} anchors"
"""Heading of the number of anchors; 0 where there is no group."""


def _of(band: str, *, towards_edge: bool, spacings: bool = False) -> tuple[Given, ...]:
    end, said = LETTERS[band], band.removeprefix("Group ")
    edge = (
        Given(f"cG{end}", "its least distance to the edge", "mm", f"{band} edge distance [mm]"),
        Given(f"lG{end}", "length along the edge that it draws upon", "mm", f"{band} length [mm]"),
        Given(f"kG{end}", "its distance to the next corner", "mm", f"{band} corner [mm]"),
    )
    between = (
        Given(f"sG{end}", "greatest distance between neighbours in it", "mm", f"{band} neighbours [mm]"),
        Given(f"oG{end}", "distance of the outermost in it", "mm", f"{band} outermost [mm]"),
    )
    area = (
        Given(f"hG{end}", "depth of its cones", "mm", f"{band} depth [mm]"),
        Given(f"AG{end}", "projected area of its cones together, as the layout has it", "mm2", f"{band} area [mm2]"),
        Given(f"cG{end}", "its least distance to an edge", "mm", f"{band} edge distance [mm]"),
    )  # fmt: skip
    down = (Given(f"yG{end}", "its eccentricity down the face", "mm", f"{band} eccentricity down [mm]"),)
    return (
        Given(f"nG{end}", f"anchors in the group, {said}; 0: by itself", "", COUNT.format(band)),
        *(edge if towards_edge else area if band == CONE else ()),
        *(between if spacings else ()),
        Given(f"pG{end}", "part of the group's force on this anchor", "", f"{band} part"),
        Given(
            f"xG{end}", "eccentricity of the group's force along the row", "mm", f"{band} eccentricity [mm]"
        ),
        *(() if towards_edge else down),
        Given(f"mG{end}", "mean over greatest force in the group", "", f"{band} least eccentricity factor"),
    )


GIVENS = (
    *_of(CONE, towards_edge=False),
    *_of(PRY, towards_edge=False),
    *_of(JOINT, towards_edge=True, spacings=True),
    *_of(END, towards_edge=True, spacings=True),
    *_of(SIDE, towards_edge=True),
    *_of(UP, towards_edge=True),
)
TENSION = symbols("bGt", "bGj", "bGe")
"""Ratios in tension."""
SHEAR = symbols("bGp", "bGs", "bGu")
"""Ratios in shear."""


@dataclass(frozen=True, slots=True)
class Rules:
    """What one of the codes prints, as formulas; its places stand beside.

    Attributes
    ----------
    cone
        Basic resistance for a depth, times what a code puts on it beside edge and eccentricity. [kN]
    blow_out, blow_out_factors
        Basic resistance for an edge distance [kN], and the steps of what multiplies it: of band, and edge distance.
    edge
        Basic resistance for an edge distance [kN].
    along
        Factor of a shear along the edge, corner influence included: of corner and edge distance.
    cracking
        Factor of the edge in shear that goes with cracks.
    pry
        Pry-out over cone.
    divisor, pry_divisor
        Of cone, blow-out and edge; of pry-out.
    near_edge
        Whether blow-out needs a check at an edge distance: the condition, then what stands for met.
    near_end
        The same of the edge in shear at the end of the block.
    places
        Clauses of cone, eccentricity of the cone, pry-out, blow-out, edge, eccentricity beside an edge.
    """

    cone: Callable[[Expression], Expression]
    blow_out: Callable[[Expression], Expression]
    blow_out_factors: Callable[[str], tuple[Step, ...]]
    edge: Callable[[Expression], Expression]
    along: Callable[[Expression, Expression], Expression]
    cracking: Expression
    pry: Expression
    divisor: Expression
    pry_divisor: Expression
    near_edge: Callable[[Expression, Term], Expression]
    near_end: Callable[[Expression, Expression], Expression]
    places: tuple[str, str, str, str, str, str]


def guarded(end: str) -> Callable[..., Step]:
    """Return how a step of one group is made: 0 where the anchor is by itself."""
    count = Symbol(f"nG{end}")

    def step(
        symbol: str, words: str, unit: str, formula: Expression, clause: str = "", engine: str = ""
    ) -> Step:
        return Step(f"{symbol}G{end}", words, unit, when(count, ">", 1, formula, 0), clause, engine)

    return step


def _eccentric(eccentricity: Expression, reach: Expression) -> Expression:
    """Return the factor of an eccentricity over a reach: 1/(1 + 2 e/reach)."""
    return at_most(1 / (1 + 2 * eccentricity / reach), 1)


def _used(load: Expression, end: str) -> Expression:
    """Return a load over this anchor's part of its group's resistance, 0 where it has no part."""
    part, whole = symbols(f"pG{end}", f"RG{end}")
    return when(part, ">", 0, load / (part * whole), 0)


def _cones(rules: Rules) -> tuple[Step, ...]:
    hG, AG, cG, basic, near = symbols("hGt", "AGt", "cGt", "NGt", "sGt")
    Nt, V, nb = symbols("Nt", "V", "nb")
    cone, unevenly, pry = rules.places[:3]
    t, p = guarded("t"), guarded("p")

    def share(end: str) -> Expression:
        x, y, m = symbols(f"xG{end}", f"yG{end}", f"mG{end}")
        return at_least(_eccentric(x, 3 * hG) * _eccentric(y, 3 * hG), m)

    return (
        t("N", "basic cone resistance of the group", "kN", rules.cone(hG), cone),
        t("s", "influence of its nearest edge", "", at_most(0.7 + 0.3 * cG / (1.5 * hG), 1), cone, f"{CONE} edge factor"),
        t("u", "influence of uneven tension", "", share("t"), unevenly, f"{CONE} eccentricity factor"),
        t("R", "cone resistance of the group", "kN", basic * AG / (9 * hG**2) * near * Symbol("uGt"), cone,
          f"{CONE} resistance [kN]"),
        t("b", "ratio of this anchor to its part of it, 0 where bars stand in", "",
          when(nb, ">", 0, 0, _used(Nt * rules.divisor, "t")), "", f"{CONE} ratio"),
        p("u", "influence of uneven shear", "", share("p"), unevenly, f"{PRY} eccentricity factor"),
        p("R", "pry-out resistance of the group", "kN",
          rules.pry * basic * AG / (9 * hG**2) * near * Symbol("uGp"), pry, f"{PRY} resistance [kN]"),
        p("b", "ratio of this anchor to its part of it", "", _used(size_of(V) * rules.pry_divisor, "p"), pry,
          f"{PRY} ratio"),
    )  # fmt: skip


def _blow_out(rules: Rules, band: str) -> tuple[Step, ...]:
    end = LETTERS[band]
    step, place = guarded(end), rules.places[3]
    edge, basic, share, Nt = symbols(f"cG{end}", f"NG{end}", f"fG{end}", "Nt")
    return (
        step("N", f"basic resistance of the group, {band.removeprefix('Group ')}", "kN", rules.blow_out(edge), place,
             f"{band} basic resistance [kN]"),
        *rules.blow_out_factors(band),
        step("R", "blow-out resistance of the group", "kN", basic * share, place, f"{band} resistance [kN]"),
        step("b", "ratio of this anchor to its part of it, 0 where the edge is too far", "",
             rules.near_edge(edge, _used(Nt * rules.divisor, end)), place, f"{band} ratio"),
    )  # fmt: skip


def _edges(rules: Rules, band: str) -> tuple[Step, ...]:
    end = LETTERS[band]
    step, (place, unevenly) = guarded(end), rules.places[4:]
    c, length, corner, x, m, hm, V = symbols(
        f"cG{end}", f"lG{end}", f"kG{end}", f"xG{end}", f"mG{end}", "hm", "V"
    )
    area, share, thin = symbols(f"AG{end}", f"uG{end}", f"tG{end}")
    square = at_most(0.7 + 0.3 * corner / (1.5 * c), 1)
    load, factor = (size_of(V), rules.along(corner, c)) if band == SIDE else (Symbol("up"), square)
    ratio = _used(load * rules.divisor, end)
    return (
        step("N", f"basic resistance of the group, {band.removeprefix('Group ')}", "kN", rules.edge(c), place,
             f"{band} basic resistance [kN]"),
        step("A", "projected area", "mm2", length * at_most(hm, 1.5 * c), place, f"{band} area [mm2]"),
        step("u", "influence of uneven shear", "", at_least(_eccentric(x, 3 * c), m), unevenly,
             f"{band} eccentricity factor"),
        step("t", "influence of a thin lift", "", at_least(root(1.5 * c / hm), 1), place, f"{band} thickness factor"),
        step("R", "edge resistance of the group, direction and corner counted", "kN",
             Symbol(f"NG{end}") * area / (4.5 * c**2) * factor * rules.cracking * share * thin, place,
             f"{band} resistance [kN]"),
        step("b", "ratio of this anchor to its part of it, 0 where no check is asked", "",
             rules.near_end(c, ratio) if band == SIDE else ratio, place, f"{band} ratio"),
    )  # fmt: skip


def steps(rules: Rules) -> tuple[Step, ...]:
    """Return the steps of an anchor in its groups; they stand below those of the anchor by itself."""
    return (
        *_cones(rules), *_blow_out(rules, JOINT), *_blow_out(rules, END), *_edges(rules, SIDE), *_edges(rules, UP),
    )  # fmt: skip
