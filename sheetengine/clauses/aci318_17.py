"""Cast-in headed anchors: ACI 318-19 chapter 17, the inch-pound edition.

Lengths in in, strengths in psi, forces in lbf. The two editions are published forms of their own and
not conversions of each other: nothing is converted here. Factors without a dimension are shared and
stand in :mod:`sheetengine.clauses.aci318_17_factors`.
"""

from __future__ import annotations

import numpy as np

from sheetengine.clauses import aci318_17_factors as shared
from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.clauses.rows import known
from sheetengine.sources import Known, Source

DOCUMENT = "ACI 318-19"

STEEL_CEILING = 125_000.0
"""Greatest tensile strength of the steel that counts. [psi]"""

DEEP_FORM = (11.0, 25.0)
"""Embedment depths between which the form with the power 5/3 serves. [in]"""

PRY_OUT_STEP = 2.5
"""Embedment depth from which the pry-out factor is 2. [in]"""

_LENGTH = Quantity("in", above=0.0)
_DIAMETER = Quantity("in", above=0.0, at_most=4.0)
_AREA = Quantity("in^2", above=0.0)
_NUMBER = Quantity("-", above=0.0)
_LIGHTWEIGHT = Quantity("-", above=0.0, at_most=1.0)
_STEEL = Quantity("psi", above=0.0)
_CONCRETE = Quantity("psi", at_least=2500.0, at_most=10_000.0)
_FORCE = Quantity("lbf", at_least=0.0)


@clause(
    Source(DOCUMENT, "17.6.1.2"),
    stressed_area=_AREA,
    tensile_strength=_STEEL,
    yield_strength=_STEEL,
    gives=Quantity("lbf"),
)
def steel_tension_strength(
    *, stressed_area: Column, tensile_strength: Column, yield_strength: Column
) -> Column:
    r"""Nominal strength of the steel in tension.

    .. math:: N_{sa} = A_{se,N} \min(f_{uta},\; 1.9 f_{ya},\; 125\,000\ \mathrm{psi})

    Parameters
    ----------
    stressed_area
        Effective cross-section, :math:`A_{se}`. [in^2]
    tensile_strength
        Specified tensile strength, :math:`f_{uta}`. [psi]
    yield_strength
        Specified yield strength, :math:`f_{ya}`. [psi]

    Returns
    -------
    Column
        :math:`N_{sa}`. [lbf]

    Examples
    --------
    By hand: 0.606 x 120 000 = 72 720 lbf.

    >>> steel_tension_strength(
    ...     stressed_area=np.array([0.606]),
    ...     tensile_strength=np.array([120_000.0]),
    ...     yield_strength=np.array([92_000.0]),
    ... ).round(1)
    array([72720.])
    """
    return stressed_area * shared.counted_steel(tensile_strength, yield_strength, STEEL_CEILING)


@clause(
    Source(DOCUMENT, "17.6.2.2.1 and 17.6.2.2.3"),
    breakout_factor=_NUMBER,
    deep_breakout_factor=_NUMBER,
    lightweight_factor=_LIGHTWEIGHT,
    cylinder_strength=_CONCRETE,
    embedment_depth=_LENGTH,
    gives=Quantity("lbf"),
)
def basic_breakout(
    *,
    breakout_factor: Column,
    deep_breakout_factor: Column,
    lightweight_factor: Column,
    cylinder_strength: Column,
    embedment_depth: Column,
) -> Column:
    r"""Breakout strength of one anchor in cracked concrete, clear of edges and neighbours.

    .. math::

        N_b = k_c \lambda_a \sqrt{f'_c}\, h_{ef}^{1.5};\qquad
        16 \lambda_a \sqrt{f'_c}\, h_{ef}^{5/3}\;
        (11 \le h_{ef} \le 25\ \mathrm{in})

    Parameters
    ----------
    breakout_factor
        :math:`k_c`, 24 for cast-in anchors. [-]
    deep_breakout_factor
        Factor of the form for deep anchors, 16. [-]
    lightweight_factor
        :math:`\lambda_a`. [-]
    cylinder_strength
        :math:`f'_c` at the age of loading. [psi]
    embedment_depth
        :math:`h_{ef}`. [in]

    Returns
    -------
    Column
        :math:`N_b`. [lbf]

    Examples
    --------
    By hand: 24 x 54.77 x 22.63 = 29 745 lbf; 16 x 54.7723 x 147.361 = 129 141 lbf.

    >>> basic_breakout(
    ...     breakout_factor=np.array([24.0]),
    ...     deep_breakout_factor=np.array([16.0]),
    ...     lightweight_factor=np.array([1.0]),
    ...     cylinder_strength=np.array([3000.0]),
    ...     embedment_depth=np.array([8.0, 20.0]),
    ... ).round(0)
    array([ 29745., 129141.])
    """
    root = lightweight_factor * np.sqrt(cylinder_strength)
    shallow = breakout_factor * root * embedment_depth**1.5
    deep = deep_breakout_factor * root * embedment_depth ** (5.0 / 3.0)
    inside = (embedment_depth >= DEEP_FORM[0]) & (embedment_depth <= DEEP_FORM[1])
    return known(np.where(inside, deep, shallow), shallow, deep)


@clause(
    Source(DOCUMENT, "17.6.2.1, 17.6.4 and 17.7.2.1"),
    basic_resistance=_FORCE,
    breakout_share=Quantity("-", at_least=0.0),
    gives=Quantity("lbf"),
)
def breakout_strength(*, basic_resistance: Column, breakout_share: Column) -> Column:
    r"""Nominal strength of one anchor of a row in a concrete mode.

    .. math:: N_{cb} = \frac{A_{Nc}}{A_{Nco}} \psi_{ed,N} \psi_{ec,N} \psi_{c,N} N_b

    and in the same way for edge breakout under shear and for side-face blow-out.

    Parameters
    ----------
    basic_resistance
        :math:`N_b`, :math:`V_b` or :math:`N_{sb}`. [lbf]
    breakout_share
        Area ratio times the modification factors. [-]

    Returns
    -------
    Column
        :math:`N_{cb}`, :math:`V_{cb}` or the anchor's part of :math:`N_{sbg}`. [lbf]

    Examples
    --------
    By hand: 432/576 x 0.85 = 0.6375; x 29 745 = 18 962 lbf.

    >>> breakout_strength(
    ...     basic_resistance=np.array([29745.0]), breakout_share=np.array([0.6375])
    ... ).round(0)
    array([18962.])
    """
    return basic_resistance * breakout_share


@clause(
    Source(DOCUMENT, "17.6.3.1 and 17.6.3.2.2(a)"),
    cracking_influence=_NUMBER,
    bearing_area=_AREA,
    cylinder_strength=_CONCRETE,
    gives=Quantity("lbf"),
)
def pull_out_strength(
    *, cracking_influence: Column, bearing_area: Column, cylinder_strength: Column
) -> Column:
    r"""Nominal pull-out strength of a headed anchor.

    .. math:: N_{pn} = \psi_{c,P}\, 8 A_{brg} f'_c

    Parameters
    ----------
    cracking_influence
        :math:`\psi_{c,P}`, 1.4 where no crack is expected at service load, else 1.0. [-]
    bearing_area
        :math:`A_{brg}`. [in^2]
    cylinder_strength
        :math:`f'_c` at the age of loading. [psi]

    Returns
    -------
    Column
        :math:`N_{pn}`. [lbf]

    Examples
    --------
    By hand: 8 x 0.59 x 4000 = 18 880 lbf.

    >>> pull_out_strength(
    ...     cracking_influence=np.array([1.0]),
    ...     bearing_area=np.array([0.59]),
    ...     cylinder_strength=np.array([4000.0]),
    ... ).round(1)
    array([18880.])
    """
    return cracking_influence * 8.0 * bearing_area * cylinder_strength


@clause(
    Source(DOCUMENT, "17.6.4.1"),
    blow_out_factor=_NUMBER,
    edge_distance=_LENGTH,
    bearing_area=_AREA,
    lightweight_factor=_LIGHTWEIGHT,
    cylinder_strength=_CONCRETE,
    gives=Quantity("lbf"),
)
def basic_blow_out(
    *,
    blow_out_factor: Column,
    edge_distance: Column,
    bearing_area: Column,
    lightweight_factor: Column,
    cylinder_strength: Column,
) -> Column:
    r"""Side-face blow-out strength of one anchor away from corners.

    .. math:: N_{sb} = 160 c_{a1} \sqrt{A_{brg}}\, \lambda_a \sqrt{f'_c}

    Parameters
    ----------
    blow_out_factor
        Factor of the expression, 160. [-]
    edge_distance
        To the face that blows out, :math:`c_{a1}`. [in]
    bearing_area
        :math:`A_{brg}`. [in^2]
    lightweight_factor
        :math:`\lambda_a`. [-]
    cylinder_strength
        :math:`f'_c` at the age of loading. [psi]

    Returns
    -------
    Column
        :math:`N_{sb}`. [lbf]

    Examples
    --------
    By hand: 160 x 3 x 1.2247 x 54.77 = 32 199 lbf.

    >>> basic_blow_out(
    ...     blow_out_factor=np.array([160.0]),
    ...     edge_distance=np.array([3.0]),
    ...     bearing_area=np.array([1.5]),
    ...     lightweight_factor=np.array([1.0]),
    ...     cylinder_strength=np.array([3000.0]),
    ... ).round(0)
    array([32199.])
    """
    root = lightweight_factor * np.sqrt(cylinder_strength)
    return blow_out_factor * edge_distance * np.sqrt(bearing_area) * root


@clause(
    Source(DOCUMENT, "17.7.1.2(b) and 17.7.1.2.1", Known.MEMORY),
    stressed_area=_AREA,
    tensile_strength=_STEEL,
    yield_strength=_STEEL,
    grout_factor=Quantity("-", above=0.0, at_most=1.0),
    gives=Quantity("lbf"),
)
def steel_shear_strength(
    *,
    stressed_area: Column,
    tensile_strength: Column,
    yield_strength: Column,
    grout_factor: Column,
) -> Column:
    r"""Nominal strength of the steel in shear, anchor not welded to the fixture.

    .. math:: V_{sa} = 0.6 A_{se,V} \min(f_{uta},\; 1.9 f_{ya},\; 125\,000\ \mathrm{psi})

    times 0.8 on a built-up grout pad.

    Parameters
    ----------
    stressed_area
        Effective cross-section, :math:`A_{se}`. [in^2]
    tensile_strength
        :math:`f_{uta}`. [psi]
    yield_strength
        :math:`f_{ya}`. [psi]
    grout_factor
        0.8 on a built-up grout pad, else 1.0. [-]

    Returns
    -------
    Column
        :math:`V_{sa}`. [lbf]

    Examples
    --------
    By hand: 0.6 x 0.606 x 120 000 = 43 632 lbf.

    >>> steel_shear_strength(
    ...     stressed_area=np.array([0.606]),
    ...     tensile_strength=np.array([120_000.0]),
    ...     yield_strength=np.array([92_000.0]),
    ...     grout_factor=np.array([1.0]),
    ... ).round(1)
    array([43632.])
    """
    steel = shared.counted_steel(tensile_strength, yield_strength, STEEL_CEILING)
    return grout_factor * 0.6 * stressed_area * steel


@clause(
    Source(DOCUMENT, "17.7.2.2.1(a) and (b), 17.7.2.2.2"),
    bearing_edge_factor=_NUMBER,
    plain_edge_factor=_NUMBER,
    load_bearing_length=_LENGTH,
    shank_diameter=_DIAMETER,
    lightweight_factor=_LIGHTWEIGHT,
    cylinder_strength=_CONCRETE,
    edge_distance=_LENGTH,
    gives=Quantity("lbf"),
)
def basic_edge_breakout(
    *,
    bearing_edge_factor: Column,
    plain_edge_factor: Column,
    load_bearing_length: Column,
    shank_diameter: Column,
    lightweight_factor: Column,
    cylinder_strength: Column,
    edge_distance: Column,
) -> Column:
    r"""Edge breakout strength of one anchor under shear in cracked concrete, no corner near.

    .. math::

        V_b = \min\left\{ 7.0 \left(\frac{l_e}{d_a}\right)^{0.2} \sqrt{d_a},\; 9.0 \right\}
              \lambda_a \sqrt{f'_c}\, c_{a1}^{1.5}

    Parameters
    ----------
    bearing_edge_factor
        Factor of the first expression, 7.0; 8 for anchors welded to the fixture. [-]
    plain_edge_factor
        Factor of the second expression, 9.0. [-]
    load_bearing_length
        :math:`l_e = \min(h_{ef}, 8 d_a)`. [in]
    shank_diameter
        :math:`d_a`. [in]
    lightweight_factor
        :math:`\lambda_a`. [-]
    cylinder_strength
        :math:`f'_c` at the age of loading. [psi]
    edge_distance
        In the direction of the shear, :math:`c_{a1}`. [in]

    Returns
    -------
    Column
        :math:`V_b`. [lbf]

    Examples
    --------
    By hand: 7 x 1.4368 x 0.7071 = 7.112, below 9; 7.112 x 63.25 x 31.62 = 14 222 lbf.

    >>> basic_edge_breakout(
    ...     bearing_edge_factor=np.array([7.0]),
    ...     plain_edge_factor=np.array([9.0]),
    ...     load_bearing_length=np.array([3.06]),
    ...     shank_diameter=np.array([0.5]),
    ...     lightweight_factor=np.array([1.0]),
    ...     cylinder_strength=np.array([4000.0]),
    ...     edge_distance=np.array([10.0]),
    ... ).round(0)
    array([14222.])
    """
    slender = (load_bearing_length / shank_diameter) ** 0.2
    bearing = bearing_edge_factor * slender * np.sqrt(shank_diameter)
    root = lightweight_factor * np.sqrt(cylinder_strength)
    return np.minimum(bearing, plain_edge_factor) * root * edge_distance**1.5


@clause(Source(DOCUMENT, "17.7.3.1"), embedment_depth=_LENGTH, gives=Quantity("-"))
def pry_out_factor(*, embedment_depth: Column) -> Column:
    r"""Pry-out factor by embedment depth.

    .. math:: k_{cp} = 1 \;(h_{ef} < 2.5\ \mathrm{in}),\qquad 2 \;(h_{ef} \ge 2.5\ \mathrm{in})

    Parameters
    ----------
    embedment_depth
        :math:`h_{ef}`. [in]

    Returns
    -------
    Column
        :math:`k_{cp}`. [-]

    Examples
    --------
    >>> pry_out_factor(embedment_depth=np.array([2.4, 2.5, np.nan]))
    array([ 1.,  2., nan])
    """
    return known(np.where(embedment_depth < PRY_OUT_STEP, 1.0, 2.0), embedment_depth)


@clause(
    Source(DOCUMENT, "17.7.3.1"),
    pry_out_multiple=Quantity("-", at_least=1.0, at_most=2.0),
    tension_breakout=_FORCE,
    gives=Quantity("lbf"),
)
def pry_out_strength(*, pry_out_multiple: Column, tension_breakout: Column) -> Column:
    r"""Nominal pry-out strength.

    .. math:: V_{cp} = k_{cp} N_{cb}

    Parameters
    ----------
    pry_out_multiple
        :math:`k_{cp}`. [-]
    tension_breakout
        Breakout strength in tension, :math:`N_{cb}`. [lbf]

    Returns
    -------
    Column
        :math:`V_{cp}`. [lbf]

    Examples
    --------
    By hand: 2 x 18 962 = 37 924 lbf.

    >>> pry_out_strength(
    ...     pry_out_multiple=np.array([2.0]), tension_breakout=np.array([18962.0])
    ... ).round(2)
    array([37924.])
    """
    return pry_out_multiple * tension_breakout
