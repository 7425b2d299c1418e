"""One form anchor by EN 1992-4 and by both editions of ACI 318, on plain numbers.

Written from the standards' equations for the tests, one anchor at a time and without the engine's formulas.
Lengths in mm, areas in mm2, stresses in MPa, forces in kN, unless a function says otherwise.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

FAR = 1e9
IN, PSI, LBF = 25.4, 4.4482216152605 / 645.16, 4.4482216152605e-3  # NIST SP 811, Appendix B


@dataclass(frozen=True)
class One:
    """One anchor: what pulls and shears it, what it is, and what is round it.

    ``left`` and ``right`` are distances to an end of the block where the flag says so, and otherwise half
    the distance to the neighbour.
    """

    N: float
    V: float
    hef: float
    d: float
    Ah: float
    As: float
    fuk: float
    fyk: float
    up: float
    left: float
    right: float
    left_end: bool
    right_end: bool
    thickness: float
    stand_off: float = 0.0
    ductile: bool = False

    @property
    def end(self) -> float:
        return min(self.left if self.left_end else FAR, self.right if self.right_end else FAR)

    @property
    def pull(self) -> float:
        return max(self.N, 0.0)

    @property
    def edges(self) -> list[float]:
        return [
            self.up,
            *([self.left] if self.left_end else []),
            *([self.right] if self.right_end else []),
        ]

    def governing_depth(self) -> float:
        """EN 1992-4 7.2.1.4(8) and ACI 318-19 17.6.2.1.2: an anchor with three or more close edges."""
        close = [edge for edge in self.edges if edge < 1.5 * self.hef]
        return max(close) / 1.5 if len(close) >= 3 else self.hef

    def cone_area(self, depth: float) -> float:
        """The rectangle of 1.5 depths to each side, cut off at edges and half way to neighbours."""
        reach = 1.5 * depth
        return (min(self.up, reach) + reach) * (min(self.left, reach) + min(self.right, reach))


def over(load: float, resistance: float) -> float:
    return 0.0 if load == 0.0 else load / resistance


def bending(one: One, NRd_s: float, divisor: float) -> float:
    """EN 1992-4 Eq. (7.36), (7.37), 6.2.2.3: shear on a lever arm, bolt free to turn."""
    if one.stand_off <= 0.0:
        return 0.0
    diameter = math.sqrt(4.0 * one.As / math.pi)
    M0 = 1.2 * math.pi * diameter**3 / 32.0 * one.fuk  # N mm
    M = M0 * max(1.0 - one.pull / NRd_s, 0.0)
    return over(one.V, M / (0.5 * one.d + one.stand_off) / 1000.0 / divisor) if M else math.inf


def en_1992_4(one: One, f: float, *, cracked: bool, safety: float | None) -> dict[str, float]:
    """Every ratio of EN 1992-4:2018 at cylinder strength ``f``."""
    k1, k2, k5, k9 = (8.9, 7.5, 8.7, 1.7) if cracked else (12.7, 10.5, 12.2, 2.4)
    root = math.sqrt(f)
    gMc = gN = gV = safety or 0.0
    if safety is None:
        gMc = 1.5
        gN = max(1.2 * one.fuk / one.fyk, 1.4)
        ductile = one.fuk <= 800.0 and one.fyk / one.fuk <= 0.8
        gV = max(one.fuk / one.fyk, 1.25) if ductile else 1.5
    NRd_s = one.As * one.fuk / 1000.0 / gN
    k6 = 0.6 if one.fuk <= 500.0 else 0.5
    VRd_s = k6 * one.As * one.fuk / 1000.0 / gV

    h = one.governing_depth()
    c_min = min(one.edges)
    psi_s = min(0.7 + 0.3 * c_min / (1.5 * h), 1.0)
    NRk_c = k1 * root * h**1.5 / 1000.0 * one.cone_area(h) / (3.0 * h) ** 2 * psi_s
    NRk_p = k2 * one.Ah * f / 1000.0

    def blow_out(c1: float, c2: float, along: tuple[float, float]) -> float:
        if c1 > 0.5 * one.hef:
            return math.inf
        width = min(along[0], 2.0 * c1) + min(along[1], 2.0 * c1)
        depth = min(one.hef, 2.0 * c1) + min(max(one.thickness - one.hef, 0.0), 2.0 * c1)
        psi = min(0.7 + 0.3 * c2 / (2.0 * c1), 1.0)
        return k5 * c1 * math.sqrt(one.Ah) * root / 1000.0 * width * depth / (4.0 * c1) ** 2 * psi

    NRk_cb = min(blow_out(one.up, one.end, (one.left, one.right)), blow_out(one.end, one.up, (one.up, FAR)))
    VRk_cp = (2.0 if one.hef >= 60.0 else 1.0) * NRk_c
    VRk_c = math.inf
    if one.end <= max(10.0 * one.hef, 60.0 * one.d):
        c1 = one.end
        lf = min(one.hef, 12.0 * one.d if one.d <= 24.0 else max(8.0 * one.d, 300.0))
        alpha, beta = 0.1 * math.sqrt(lf / c1), 0.1 * (one.d / c1) ** 0.2
        V0 = k9 * one.d**alpha * lf**beta * root * c1**1.5 / 1000.0
        area = (min(one.up, 1.5 * c1) + 1.5 * c1) * min(one.thickness, 1.5 * c1)
        VRk_c = (
            V0 * area / (4.5 * c1**2) * min(0.7 + 0.3 * one.up / (1.5 * c1), 1.0)
            * max(math.sqrt(1.5 * c1 / one.thickness), 1.0) * 2.0
        )  # fmt: skip
    ratios = {
        "Steel tension": over(one.pull, NRd_s),
        "Steel shear": over(one.V, VRd_s),
        "Bolt bending": bending(one, NRd_s, gV),
        "Concrete cone": over(one.pull, NRk_c / gMc),
        "Head pull-out": over(one.pull, NRk_p / gMc),
        "Side-face blow-out": over(one.pull, NRk_cb / gMc),
        "Pry-out": over(one.V, VRk_cp / gMc),
        "Concrete edge": over(one.V, VRk_c / gMc),
    }
    bN = max(ratios["Concrete cone"], ratios["Head pull-out"], ratios["Side-face blow-out"])
    bV = max(ratios["Pry-out"], ratios["Concrete edge"])
    ratios["Interaction, steel"] = math.hypot(ratios["Steel tension"], ratios["Steel shear"])
    power, line = (bN**1.5 + bV**1.5) ** (2.0 / 3.0), (bN + bV) / 1.2
    ratios["Interaction, concrete"] = max(bN, bV, min(power, line))
    return ratios


def en_concrete(ratios: dict[str, float]) -> float:
    """The greatest ratio that depends on the concrete."""
    return ratios["Interaction, concrete"]


@dataclass(frozen=True)
class Edition:
    """Constants of one edition of ACI 318-19 chapter 17, in its own units."""

    kc: float
    k_deep: float
    deep: tuple[float, float]
    blow: float
    edge_a: float
    edge_b: float
    pry_step: float
    steel_top: float
    f_top: float
    length: float
    stress: float
    force: float


INCH_POUND = Edition(24.0, 16.0, (11.0, 25.0), 160.0, 7.0, 9.0, 2.5, 125e3, 10e3, IN, PSI, LBF)
SI = Edition(10.0, 3.9, (280.0, 635.0), 13.0, 0.6, 3.7, 65.0, 860.0, 70.0, 1.0, 1.0, 1e-3)


def aci_318_19(
    one: One, f_mpa: float, *, by: Edition, cracked: bool, safety: float | None
) -> dict[str, float]:
    """Every ratio of chapter 17 at f'c; lengths and stresses are first turned into the edition's units."""
    L, S, F = by.length, by.stress, by.force
    f = min(f_mpa / S, by.f_top)
    root = math.sqrt(f)
    if safety is None:
        phi_N, phi_V = (0.75, 0.65) if one.ductile else (0.65, 0.60)
        phi_c = phi_p = phi_cp = 0.70
    else:
        phi_N = phi_V = phi_c = phi_p = phi_cp = 1.0 / safety
    futa = min(one.fuk / S, 1.9 * one.fyk / S, by.steel_top)
    Nsa = one.As / L**2 * futa * F
    h = one.governing_depth()
    depth = h / L
    Nb = by.kc * root * depth**1.5
    if by.deep[0] <= depth <= by.deep[1]:
        Nb = by.k_deep * root * depth ** (5.0 / 3.0)
    psi_ed = min(0.7 + 0.3 * min(one.edges) / (1.5 * h), 1.0)
    Ncb = one.cone_area(h) / (9.0 * h**2) * psi_ed * (1.0 if cracked else 1.25) * Nb * F
    Np = 8.0 * one.Ah / L**2 * f * (1.0 if cracked else 1.4) * F

    def blow_out(ca1: float, ca2: float, spacing: float) -> float:
        if one.hef <= 2.5 * ca1:
            return math.inf
        corner = (1.0 + min(max(ca2 / ca1, 1.0), 3.0)) / 4.0
        # 17.6.4.2, for each of very many anchors: (1/n)(1 + (n - 1) s / (6 ca1)), n without end
        share = min(spacing / (6.0 * ca1), 1.0)
        return by.blow * ca1 / L * math.sqrt(one.Ah) / L * root * corner * share * F

    gaps = [2.0 * d for d, end in ((one.left, one.left_end), (one.right, one.right_end)) if not end]
    Nsb = min(blow_out(one.up, one.end, min(gaps, default=FAR)), blow_out(one.end, one.up, FAR))
    Vcp = (1.0 if one.hef / L < by.pry_step else 2.0) * Ncb
    Vcb = math.inf
    if one.end < FAR:
        ca1, da = one.end, one.d / L
        le = min(one.hef, 8.0 * one.d) / L
        Vb = min(by.edge_a * (le / da) ** 0.2 * math.sqrt(da), by.edge_b) * root * (ca1 / L) ** 1.5 * F
        area = (min(one.up, 1.5 * ca1) + 1.5 * ca1) * min(one.thickness, 1.5 * ca1)
        psi_h = max(math.sqrt(1.5 * ca1 / one.thickness), 1.0)
        # 17.7.2.1(c): along the edge twice the value square to it, with psi_ed = 1
        Vcb = 2.0 * area / (4.5 * ca1**2) * psi_h * (1.0 if cracked else 1.4) * Vb
    ratios = {
        "Steel tension": over(one.pull, Nsa * phi_N),
        "Steel shear": over(one.V, 0.6 * Nsa * phi_V),
        "Bolt bending": bending(one, Nsa * phi_N, 1.0 / phi_V),
        "Concrete cone": over(one.pull, Ncb * phi_c),
        "Head pull-out": over(one.pull, Np * phi_p),
        "Side-face blow-out": over(one.pull, Nsb * phi_c),
        "Pry-out": over(one.V, Vcp * phi_cp),
        "Concrete edge": over(one.V, Vcb * phi_c),
    }
    bN = max(ratios[key] for key in ("Steel tension", "Concrete cone", "Head pull-out", "Side-face blow-out"))
    bV = max(ratios[key] for key in ("Steel shear", "Pry-out", "Concrete edge"))
    ratios["Interaction"] = max(bN, bV, (bN + bV) / 1.2)  # 17.8.3, with 17.8.1 and 17.8.2 at 0.2
    return ratios
