"""The columns of ``Anchor detail``: what every intermediate value is, its symbol, its unit and its clause."""

from __future__ import annotations

from sheetengine.content import Look
from sheetengine.sheets.result_column import ResultColumn

_N = Look.NUMBER
_MEASURES = {
    "[mm]": "short length",
    "[mm2]": "small area",
    "[kN]": "force",
    "[MPa]": "strength",
    "[kN*m]": "moment",
}
_DECIMALS = {"short length": 1, "small area": 0, "force": 2, "strength": 2, "moment": 3, "number": 3}

_FIRST = (
    ("Tension [kN]", "N: design tension of the anchor; negative counts as none."),
    ("Shear [kN]", "V: design shear of the anchor, down the face; less than 0: up the face."),
    ("Concrete strength [MPa]", "f_ck, f'c: cylinder strength at the stage's hour."),
    ("Embedment [mm]", "h_ef."),
    ("Shank diameter [mm]", "d, d_nom, d_a."),
    ("Bearing area [mm2]", "A_h, A_brg: net bearing area of the head."),
    ("Distance to joint [mm]", "c_u: from the anchor up to the free joint."),
    ("Share up [mm]", "Up to the joint, or half way to an anchor above."),
    ("Share down [mm]", "Half way to an anchor below. Blank: none in reach."),
    ("Share left [mm]", "To the end of the block or half way to the neighbour. Blank: neither in reach."),
    ("Share right [mm]", "To the end of the block or half way to the neighbour. Blank: neither in reach."),
    ("Distance to end [mm]", "c: to the nearer end of the block. Blank: no end beside the anchor."),
    ("Thickness [mm]", "h, h_a: of the concrete behind the face."),
)
_STEEL = (
    (
        "Steel tension resistance [kN]",
        "N_Rk,s = A_s f_uk, EN 1992-4 7.2.1.3; N_sa = A_se f_uta, ACI 318-19 17.6.1.",
    ),
    (
        "Steel tension divisor",
        "gamma_Ms of EN 1992-4 Table 4.1; 1/phi of ACI 318-19 Table 17.5.3; or the safety factor.",
    ),
    ("Steel tension ratio", "Tension over resistance over divisor."),
    (
        "Steel shear resistance [kN]",
        "V_Rk,s = k_6 A_s f_uk, EN 1992-4 7.2.2.3.1; V_sa = 0.6 A_se f_uta, ACI 318-19 17.7.1.",
    ),
    ("Steel shear divisor", "As for tension."),
    ("Steel shear ratio", "Shear over resistance over divisor."),
    (
        "Bending basic resistance [kN*m]",
        "M0_Rk,s = 1.2 W_el f_uk, EN 1992-4 7.2.2.3.2. Blank: the bolt does not stand off.",
    ),
    ("Bending lever arm [mm]", "l_a = a_3 + e_1, EN 1992-4 6.2.2.3."),
    (
        "Bending resistance [kN]",
        "V_Rk,s,M = alpha_M M_Rk,s / l_a, with M_Rk,s = M0_Rk,s (1 - N/N_Rd,s), EN 1992-4 7.2.2.3.2.",
    ),
    (
        "Pull-out resistance [kN]",
        "N_Rk,p = k_2 A_h f_ck, EN 1992-4 Eq. (7.11); N_pn = psi_c,P 8 A_brg f'c, ACI 318-19 17.6.3.",
    ),
    ("Pull-out divisor", "gamma_Mp; 1/phi; or the safety factor."),
    ("Pull-out ratio", "Tension over resistance over divisor."),
)
_CONE = (
    (
        "depth [mm]",
        "h_ef, or h'_ef between three or more close edges: EN 1992-4 7.2.1.4(8), ACI 318-19 17.6.2.1.2.",
    ),
    ("area [mm2]", "A_c,N; A_Nc: projected area, exact."),
    ("reference area [mm2]", "A0_c,N, EN 1992-4 Eq. (7.3); A_Nco, ACI 318-19 17.6.2.1.4: 9 h_ef^2."),
    ("edge distance [mm]", "c; c_a,min: least edge distance."),
    (
        "edge factor",
        "psi_s,N, EN 1992-4 Eq. (7.4); psi_ed,N, ACI 318-19 17.6.2.4: 0.7 + 0.3 c/(1.5 h_ef), at most 1.",
    ),
    ("surface factor", "psi_re,N, EN 1992-4 Eq. (7.5)."),
    ("cracking factor", "psi_c,N, ACI 318-19 17.6.2.5."),
    ("eccentricity factor", "psi_ec,N in both directions, EN 1992-4 Eq. (7.6), ACI 318-19 17.6.2.3."),
    (
        "basic resistance [kN]",
        "N0_Rk,c = k_1 f_ck^0.5 h_ef^1.5, EN 1992-4 Eq. (7.2); N_b, ACI 318-19 17.6.2.2.",
    ),
    ("resistance [kN]", "Basic resistance x area / reference area x the factors."),
)
_BLOW = (
    ("edge distance [mm]", "c_1; c_a1. Blank: not to be checked, EN 1992-4 7.2.1.8, ACI 318-19 17.6.4.1."),
    ("area [mm2]", "A_c,Nb, EN 1992-4 7.2.1.8."),
    ("reference area [mm2]", "A0_c,Nb = (4 c_1)^2, EN 1992-4 7.2.1.8."),
    ("edge factor", "psi_s,Nb, EN 1992-4 7.2.1.8; (1 + c_a2/c_a1)/4, ACI 318-19 17.6.4.1.1."),
    (
        "row factor",
        "psi_g,Nb, EN 1992-4 7.2.1.8; of a group 1 + s/(6 c_a1), of one anchor s/(6 c_a1), ACI 318-19 17.6.4.2.",
    ),
    ("eccentricity factor", "psi_ec,Nb, EN 1992-4 7.2.1.8."),
    (
        "basic resistance [kN]",
        "N0_Rk,cb = k_5 c_1 (A_h f_ck)^0.5, EN 1992-4 Eq. (7.26); N_sb, ACI 318-19 17.6.4.1.",
    ),
    ("resistance [kN]", "Basic resistance x area / reference area x the factors; without areas by ACI 318."),
)
_EDGE = (
    ("edge distance [mm]", "c_1; c_a1: to the end of the block. Blank: not to be checked."),
    ("area [mm2]", "A_c,V, EN 1992-4 7.2.2.5; A_Vc, ACI 318-19 17.7.2.1."),
    ("reference area [mm2]", "A0_c,V, EN 1992-4 Eq. (7.44); A_Vco, ACI 318-19 17.7.2.1.3: 4.5 c_1^2."),
    ("edge factor", "psi_s,V, EN 1992-4 Eq. (7.45); 1 along an edge by ACI 318-19 17.7.2.1(c)."),
    ("cracking factor", "psi_c,V, ACI 318-19 17.7.2.5."),
    ("thickness factor", "psi_h,V, EN 1992-4 Eq. (7.46), ACI 318-19 17.7.2.6."),
    ("eccentricity factor", "psi_ec,V, EN 1992-4 Eq. (7.47), ACI 318-19 17.7.2.3."),
    ("direction factor", "psi_alpha,V, EN 1992-4 Eq. (7.48); 2 along the edge, ACI 318-19 17.7.2.1(c)."),
    ("basic resistance [kN]", "V0_Rk,c, EN 1992-4 Eq. (7.41); V_b, ACI 318-19 17.7.2.2."),
    ("resistance [kN]", "Basic resistance x area / reference area x the factors."),
)
_UPWARD = (
    ("edge distance [mm]", "c_1; c_a1: up to the free joint. Blank: no shear of any stage points to it."),
    *_EDGE[1:3],
    ("edge factor", "psi_s,V, EN 1992-4 Eq. (7.45); psi_ed,V, ACI 318-19 17.7.2.4."),
    *_EDGE[4:7],
    ("direction factor", "1: square to the edge, EN 1992-4 Eq. (7.48), ACI 318-19 17.7.2.1."),
    *_EDGE[8:],
)
_PRY = (
    ("multiple", "k_8, EN 1992-4 7.2.2.4; k_cp, ACI 318-19 17.7.3."),
    ("resistance [kN]", "Multiple x cone resistance."),
)
_LAST = (
    ("divisor", "gamma_Mc; 1/phi; or the safety factor."),
    ("ratio", "Force over resistance over divisor."),
)
_OF_GROUP = (
    ("anchors", "n: anchors of the group, blank where the anchor is by itself."),
    ("eccentricity [mm]", "e_N, e_V: of the resultant against the middle of the anchors, along the row."),
    ("eccentricity down [mm]", "The same down the face."),
    ("least eccentricity factor", "Mean over greatest force: below it the group would be weaker than with every anchor "
     "loaded like the most loaded one."),
    ("part", "Part of the group's force that this anchor carries."),
    ("ratio", "Force over part x resistance over divisor."),
)  # fmt: skip
_BARS = (
    ("Bars", "n: legs of supplementary reinforcement; they hold the cone in its place."),
    ("Bars steel resistance [kN]", "N_Rk,re, EN 1992-4 7.2.1.9; n A_s f_y, ACI 318-19 17.5.2.1."),
    ("Bars steel divisor", "gamma_Ms,re; 1/phi; or the safety factor."),
    ("Bars steel ratio", "Tension over resistance over divisor."),
    ("Bars anchorage resistance [kN]", "n l_1 pi d f_b with the bond of the hour, EN 1992-1-1 Eq. (8.2) without its partial "
     "factor; n A_s f_y l/l_d, ACI 318-19 Table 25.4.2.3."),
    ("Bars anchorage divisor", "gamma_Mc; 1/phi; or the safety factor."),
    ("Bars anchorage ratio", "Tension over resistance over divisor."),
)  # fmt: skip


def _column(heading: str, note: str, band: str) -> ResultColumn:
    name, _, unit = heading.partition(" [")
    measure = _MEASURES.get(f"[{unit}", "number") if unit else "number"
    return ResultColumn(name, _N, measure, _DECIMALS[measure], 12.0, note, band)


def _band(prefix: str, entries: tuple[tuple[str, str], ...], *, group: bool) -> tuple[ResultColumn, ...]:
    words = (*entries, *(_OF_GROUP if group else _LAST))
    return tuple(_column(f"{prefix} {text}", note, prefix) for text, note in words)


DETAIL = (
    ResultColumn("Block", Look.TEXT, width=8),
    ResultColumn("Lift", Look.TEXT, width=7),
    ResultColumn("Stage", Look.TEXT, width=21),
    ResultColumn(
        "Anchor",
        Look.TEXT,
        width=13,
        note="The worst anchor, as in Anchor demand; on inclined faces under its governing combination.",
    ),
    *(_column(heading, note, "Anchor") for heading, note in _FIRST),
    *(_column(heading, note, "Steel and head") for heading, note in _STEEL),
    *_band("Cone", _CONE, group=False),
    *_band("Group cone", _CONE, group=True),
    *_band("Joint blow-out", _BLOW, group=False),
    *_band("Group joint blow-out", _BLOW, group=True),
    *_band("End blow-out", _BLOW, group=False),
    *_band("Group end blow-out", _BLOW, group=True),
    *_band("Pry-out", _PRY, group=False),
    *_band(
        "Group pry-out",
        (*_CONE[:-1], ("resistance [kN]", "k_8 or k_cp x cone resistance of the group.")),
        group=True,
    ),
    *_band("Edge shear", _EDGE, group=False),
    *_band("Group edge shear", _EDGE, group=True),
    *_band("Upward edge", _UPWARD, group=False),
    *_band("Group upward edge", _UPWARD, group=True),
    *(_column(heading, note, "Supplementary bars") for heading, note in _BARS),
)


def in_order(headings: list[str]) -> list[str]:
    """Return the headings in the order of the sheet, those in base units that are there."""
    order = {column.heading(us=False): place for place, column in enumerate(DETAIL)}
    return sorted(headings, key=lambda heading: order[heading])
