"""Cast-in headed anchors: ACI 318M-19 chapter 17, the SI edition.

Lengths in mm, strengths in MPa, forces in kN. The two editions are published forms of their own and
not conversions of each other: nothing is converted here. Factors without a dimension are shared and
stand in :mod:`sheetengine.clauses.aci318_17_factors`.
"""

from __future__ import annotations

import numpy as np

from sheetengine.clauses import aci318_17_factors as shared
from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.clauses.rows import known
from sheetengine.sources import Known, Source

DOCUMENT = "ACI 318M-19"

KN = 1e-3
"""Newton to kilonewton."""

STEEL_CEILING = 860.0
"""Greatest tensile strength of the steel that counts. [MPa]"""

DEEP_FORM = (280.0, 635.0)
"""Embedment depths between which the form with the power 5/3 serves. [mm]"""

PRY_OUT_STEP = 65.0
"""Embedment depth from which the pry-out factor is 2. [mm]"""

_LENGTH = Quantity("mm", above=0.0)
_DIAMETER = Quantity("mm", above=0.0, at_most=100.0)
_AREA = Quantity("mm^2", above=0.0)
_NUMBER = Quantity("-", above=0.0)
_LIGHTWEIGHT = Quantity("-", above=0.0, at_most=1.0)
_STEEL = Quantity("MPa", above=0.0)
_CONCRETE = Quantity("MPa", at_least=17.0, at_most=70.0)
_FORCE = Quantity("kN", at_least=0.0)


@clause(
    Source(DOCUMENT, "17.6.1.2"),
    stressed_area=_AREA,
    tensile_strength=_STEEL,
    yield_strength=_STEEL,
    gives=Quantity("kN"),
)
def steel_tension_strength(
    *, stressed_area: Column, tensile_strength: Column, yield_strength: Column
) -> Column:
    r"""Nominal strength of the steel in tension.

    .. math:: N_{sa} = A_{se,N} \min(f_{uta},\; 1.9 f_{ya},\; 860\ \mathrm{MPa})

    Parameters
    ----------
    stressed_area
        Effective cross-section, :math:`A_{se}`. [mm^2]
    tensile_strength
        Specified tensile strength, :math:`f_{uta}`. [MPa]
    yield_strength
        Specified yield strength, :math:`f_{ya}`. [MPa]

    Returns
    -------
    Column
        :math:`N_{sa}`. [kN]

    Examples
    --------
    By hand: 353 x 800 / 1000 = 282.4 kN.

    >>> steel_tension_strength(
    ...     stressed_area=np.array([353.0]),
    ...     tensile_strength=np.array([800.0]),
    ...     yield_strength=np.array([640.0]),
    ... ).round(1)
    array([282.4])
    """
    return stressed_area * shared.counted_steel(tensile_strength, yield_strength, STEEL_CEILING) * KN


@clause(
    Source(DOCUMENT, "17.6.2.2.1 and 17.6.2.2.3"),
    breakout_factor=_NUMBER,
    deep_breakout_factor=_NUMBER,
    lightweight_factor=_LIGHTWEIGHT,
    cylinder_strength=_CONCRETE,
    embedment_depth=_LENGTH,
    gives=Quantity("kN"),
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
        3.9 \lambda_a \sqrt{f'_c}\, h_{ef}^{5/3}\;
        (280 \le h_{ef} \le 635\ \mathrm{mm})

    Parameters
    ----------
    breakout_factor
        :math:`k_c`, 10 for cast-in anchors. [-]
    deep_breakout_factor
        Factor of the form for deep anchors, 3.9. [-]
    lightweight_factor
        :math:`\lambda_a`. [-]
    cylinder_strength
        :math:`f'_c` at the age of loading. [MPa]
    embedment_depth
        :math:`h_{ef}`. [mm]

    Returns
    -------
    Column
        :math:`N_b`. [kN]

    Examples
    --------
    By hand: 10 x 5 x 2828.4 / 1000 = 141.42 kN; 3.9 x 5 x 21 715 / 1000 = 423.4 kN.

    >>> basic_breakout(
    ...     breakout_factor=np.array([10.0]),
    ...     deep_breakout_factor=np.array([3.9]),
    ...     lightweight_factor=np.array([1.0]),
    ...     cylinder_strength=np.array([25.0]),
    ...     embedment_depth=np.array([200.0, 400.0]),
    ... ).round(2)
    array([141.42, 423.45])
    """
    root = lightweight_factor * np.sqrt(cylinder_strength)
    shallow = breakout_factor * root * embedment_depth**1.5
    deep = deep_breakout_factor * root * embedment_depth ** (5.0 / 3.0)
    inside = (embedment_depth >= DEEP_FORM[0]) & (embedment_depth <= DEEP_FORM[1])
    return known(np.where(inside, deep, shallow) * KN, shallow, deep)


@clause(
    Source(DOCUMENT, "17.6.2.1, 17.6.4 and 17.7.2.1"),
    basic_resistance=_FORCE,
    breakout_share=Quantity("-", at_least=0.0),
    gives=Quantity("kN"),
)
def breakout_strength(*, basic_resistance: Column, breakout_share: Column) -> Column:
    r"""Nominal strength of one anchor of a row in a concrete mode.

    .. math:: N_{cb} = \frac{A_{Nc}}{A_{Nco}} \psi_{ed,N} \psi_{ec,N} \psi_{c,N} N_b

    and in the same way for edge breakout under shear and for side-face blow-out.

    Parameters
    ----------
    basic_resistance
        :math:`N_b`, :math:`V_b` or :math:`N_{sb}`. [kN]
    breakout_share
        Area ratio times the modification factors. [-]

    Returns
    -------
    Column
        :math:`N_{cb}`, :math:`V_{cb}` or the anchor's part of :math:`N_{sbg}`. [kN]

    Examples
    --------
    By hand: 0.75 x 0.85 = 0.6375; x 141.42 = 90.16 kN.

    >>> breakout_strength(
    ...     basic_resistance=np.array([141.42]), breakout_share=np.array([0.6375])
    ... ).round(2)
    array([90.16])
    """
    return basic_resistance * breakout_share


@clause(
    Source(DOCUMENT, "17.6.3.1 and 17.6.3.2.2(a)"),
    cracking_influence=_NUMBER,
    bearing_area=_AREA,
    cylinder_strength=_CONCRETE,
    gives=Quantity("kN"),
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
        :math:`A_{brg}`. [mm^2]
    cylinder_strength
        :math:`f'_c` at the age of loading. [MPa]

    Returns
    -------
    Column
        :math:`N_{pn}`. [kN]

    Examples
    --------
    By hand: 8 x 1000 x 25 / 1000 = 200 kN.

    >>> pull_out_strength(
    ...     cracking_influence=np.array([1.0]),
    ...     bearing_area=np.array([1000.0]),
    ...     cylinder_strength=np.array([25.0]),
    ... ).round(1)
    array([200.])
    """
    return cracking_influence * 8.0 * bearing_area * cylinder_strength * KN


@clause(
    Source(DOCUMENT, "17.6.4.1"),
    blow_out_factor=_NUMBER,
    edge_distance=_LENGTH,
    bearing_area=_AREA,
    lightweight_factor=_LIGHTWEIGHT,
    cylinder_strength=_CONCRETE,
    gives=Quantity("kN"),
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

    .. math:: N_{sb} = 13 c_{a1} \sqrt{A_{brg}}\, \lambda_a \sqrt{f'_c}

    Parameters
    ----------
    blow_out_factor
        Factor of the expression, 13. [-]
    edge_distance
        To the face that blows out, :math:`c_{a1}`. [mm]
    bearing_area
        :math:`A_{brg}`. [mm^2]
    lightweight_factor
        :math:`\lambda_a`. [-]
    cylinder_strength
        :math:`f'_c` at the age of loading. [MPa]

    Returns
    -------
    Column
        :math:`N_{sb}`. [kN]

    Examples
    --------
    By hand: 13 x 75 x 31.62 x 5 / 1000 = 154.16 kN.

    >>> basic_blow_out(
    ...     blow_out_factor=np.array([13.0]),
    ...     edge_distance=np.array([75.0]),
    ...     bearing_area=np.array([1000.0]),
    ...     lightweight_factor=np.array([1.0]),
    ...     cylinder_strength=np.array([25.0]),
    ... ).round(2)
    array([154.16])
    """
    root = lightweight_factor * np.sqrt(cylinder_strength)
    return blow_out_factor * edge_distance * np.sqrt(bearing_area) * root * KN


@clause(
    Source(DOCUMENT, "17.7.1.2(b) and 17.7.1.2.1", Known.MEMORY),
    stressed_area=_AREA,
    tensile_strength=_STEEL,
    yield_strength=_STEEL,
    grout_factor=Quantity("-", above=0.0, at_most=1.0),
    gives=Quantity("kN"),
)
def steel_shear_strength(
    *,
    stressed_area: Column,
    tensile_strength: Column,
    yield_strength: Column,
    grout_factor: Column,
) -> Column:
    r"""Nominal strength of the steel in shear, anchor not welded to the fixture.

    .. math:: V_{sa} = 0.6 A_{se,V} \min(f_{uta},\; 1.9 f_{ya},\; 860\ \mathrm{MPa})

    times 0.8 on a built-up grout pad.

    Parameters
    ----------
    stressed_area
        Effective cross-section, :math:`A_{se}`. [mm^2]
    tensile_strength
        :math:`f_{uta}`. [MPa]
    yield_strength
        :math:`f_{ya}`. [MPa]
    grout_factor
        0.8 on a built-up grout pad, else 1.0. [-]

    Returns
    -------
    Column
        :math:`V_{sa}`. [kN]

    Examples
    --------
    By hand: 0.6 x 353 x 800 / 1000 = 169.4 kN.

    >>> steel_shear_strength(
    ...     stressed_area=np.array([353.0]),
    ...     tensile_strength=np.array([800.0]),
    ...     yield_strength=np.array([640.0]),
    ...     grout_factor=np.array([1.0]),
    ... ).round(1)
    array([169.4])
    """
    steel = shared.counted_steel(tensile_strength, yield_strength, STEEL_CEILING)
    return grout_factor * 0.6 * stressed_area * steel * KN


@clause(
    Source(DOCUMENT, "17.7.2.2.1(a) and (b), 17.7.2.2.2"),
    bearing_edge_factor=_NUMBER,
    plain_edge_factor=_NUMBER,
    load_bearing_length=_LENGTH,
    shank_diameter=_DIAMETER,
    lightweight_factor=_LIGHTWEIGHT,
    cylinder_strength=_CONCRETE,
    edge_distance=_LENGTH,
    gives=Quantity("kN"),
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

        V_b = \min\left\{ 0.6 \left(\frac{l_e}{d_a}\right)^{0.2} \sqrt{d_a},\; 3.7 \right\}
              \lambda_a \sqrt{f'_c}\, c_{a1}^{1.5}

    Parameters
    ----------
    bearing_edge_factor
        Factor of the first expression, 0.6; 0.66 for anchors welded to the fixture. [-]
    plain_edge_factor
        Factor of the second expression, 3.7. [-]
    load_bearing_length
        :math:`l_e = \min(h_{ef}, 8 d_a)`. [mm]
    shank_diameter
        :math:`d_a`. [mm]
    lightweight_factor
        :math:`\lambda_a`. [-]
    cylinder_strength
        :math:`f'_c` at the age of loading. [MPa]
    edge_distance
        In the direction of the shear, :math:`c_{a1}`. [mm]

    Returns
    -------
    Column
        :math:`V_b`. [kN]

    Examples
    --------
    By hand: 0.6 x 1.5157 x 5 = 4.547, above 3.7; 3.7 x 5 x 2828.4 / 1000 = 52.33 kN.

    >>> basic_edge_breakout(
    ...     bearing_edge_factor=np.array([0.6]),
    ...     plain_edge_factor=np.array([3.7]),
    ...     load_bearing_length=np.array([200.0]),
    ...     shank_diameter=np.array([25.0]),
    ...     lightweight_factor=np.array([1.0]),
    ...     cylinder_strength=np.array([25.0]),
    ...     edge_distance=np.array([200.0]),
    ... ).round(2)
    array([52.33])
    """
    slender = (load_bearing_length / shank_diameter) ** 0.2
    bearing = bearing_edge_factor * slender * np.sqrt(shank_diameter)
    root = lightweight_factor * np.sqrt(cylinder_strength)
    return np.minimum(bearing, plain_edge_factor) * root * edge_distance**1.5 * KN


@clause(Source(DOCUMENT, "17.7.3.1"), embedment_depth=_LENGTH, gives=Quantity("-"))
def pry_out_factor(*, embedment_depth: Column) -> Column:
    r"""Pry-out factor by embedment depth.

    .. math:: k_{cp} = 1 \;(h_{ef} < 65\ \mathrm{mm}),\qquad 2 \;(h_{ef} \ge 65\ \mathrm{mm})

    Parameters
    ----------
    embedment_depth
        :math:`h_{ef}`. [mm]

    Returns
    -------
    Column
        :math:`k_{cp}`. [-]

    Examples
    --------
    >>> pry_out_factor(embedment_depth=np.array([64.0, 65.0, np.nan]))
    array([ 1.,  2., nan])
    """
    return known(np.where(embedment_depth < PRY_OUT_STEP, 1.0, 2.0), embedment_depth)


@clause(
    Source(DOCUMENT, "17.7.3.1"),
    pry_out_multiple=Quantity("-", at_least=1.0, at_most=2.0),
    tension_breakout=_FORCE,
    gives=Quantity("kN"),
)
def pry_out_strength(*, pry_out_multiple: Column, tension_breakout: Column) -> Column:
    r"""Nominal pry-out strength.

    .. math:: V_{cp} = k_{cp} N_{cb}

    Parameters
    ----------
    pry_out_multiple
        :math:`k_{cp}`. [-]
    tension_breakout
        Breakout strength in tension, :math:`N_{cb}`. [kN]

    Returns
    -------
    Column
        :math:`V_{cp}`. [kN]

    Examples
    --------
    By hand: 2 x 90.16 = 180.32 kN.

    >>> pry_out_strength(
    ...     pry_out_multiple=np.array([2.0]), tension_breakout=np.array([90.16])
    ... ).round(2)
    array([180.32])
    """
    return pry_out_multiple * tension_breakout
