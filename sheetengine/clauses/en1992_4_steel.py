"""Steel of anchors in tension and in shear: EN 1992-4:2018, 7.2.1.3 and 7.2.2.3.

Lengths in mm, strengths in MPa, forces in kN, moments in kN m.
"""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.sources import Known, Source

DOCUMENT = "EN 1992-4:2018"

KN = 1e-3
"""Newton to kilonewton, and millimetre to metre."""

_AREA = Quantity("mm^2", above=0.0)
_LENGTH = Quantity("mm", above=0.0)
_DISTANCE = Quantity("mm", at_least=0.0)
_NUMBER = Quantity("-", above=0.0)
_STEEL = Quantity("MPa", above=0.0, at_most=1000.0)
_FORCE = Quantity("kN", at_least=0.0)


@clause(
    Source(DOCUMENT, "7.2.1.3 and 1.3(3)"),
    stressed_area=_AREA,
    tensile_strength=Quantity("MPa", above=0.0, at_most=1000.0),
    gives=Quantity("kN"),
)
def steel_tension_resistance(*, stressed_area: Column, tensile_strength: Column) -> Column:
    r"""Characteristic resistance of the steel in tension.

    .. math:: N_{Rk,s} = A_s f_{uk}

    Parameters
    ----------
    stressed_area
        Stressed cross-section, :math:`A_s`. [mm^2]
    tensile_strength
        Characteristic tensile strength, :math:`f_{uk}`. [MPa]

    Returns
    -------
    Column
        :math:`N_{Rk,s}`. [kN]

    Examples
    --------
    By hand: 353 x 800 / 1000 = 282.4 kN.

    >>> steel_tension_resistance(
    ...     stressed_area=np.array([353.0]), tensile_strength=np.array([800.0])
    ... ).round(1)
    array([282.4])
    """
    return stressed_area * tensile_strength * KN


@clause(
    Source(DOCUMENT, "Table 4.1, steel failure in tension"),
    tensile_strength=Quantity("MPa", above=0.0, at_most=1000.0),
    yield_strength=Quantity("MPa", above=0.0),
    gives=Quantity("-"),
)
def steel_partial_factor_tension(*, tensile_strength: Column, yield_strength: Column) -> Column:
    r"""Partial factor of the steel in tension.

    .. math:: \gamma_{Ms} = \max(1.2 f_{uk} / f_{yk},\; 1.4)

    Parameters
    ----------
    tensile_strength
        :math:`f_{uk}`. [MPa]
    yield_strength
        :math:`f_{yk}`. [MPa]

    Returns
    -------
    Column
        :math:`\gamma_{Ms}`. [-]

    Examples
    --------
    By hand: 1.2 x 800/640 = 1.5.

    >>> steel_partial_factor_tension(
    ...     tensile_strength=np.array([800.0]), yield_strength=np.array([640.0])
    ... )
    array([1.5])
    """
    return np.maximum(1.2 * tensile_strength / yield_strength, 1.4)


@clause(
    Source(DOCUMENT, "Table 4.1, steel failure in shear"),
    tensile_strength=_STEEL,
    yield_strength=Quantity("MPa", above=0.0),
    gives=Quantity("-"),
)
def steel_partial_factor_shear(*, tensile_strength: Column, yield_strength: Column) -> Column:
    r"""Partial factor of the steel in shear.

    .. math:: \gamma_{Ms} = \max(f_{uk} / f_{yk},\; 1.25)

    and 1.5 where :math:`f_{uk} > 800` MPa or :math:`f_{yk}/f_{uk} > 0.8`.

    Parameters
    ----------
    tensile_strength
        :math:`f_{uk}`. [MPa]
    yield_strength
        :math:`f_{yk}`. [MPa]

    Returns
    -------
    Column
        :math:`\gamma_{Ms}`. [-]

    Examples
    --------
    By hand: 800/640 = 1.25; 1000 MPa is above 800, so 1.5.

    >>> steel_partial_factor_shear(
    ...     tensile_strength=np.array([800.0, 1000.0]), yield_strength=np.array([640.0, 800.0])
    ... )
    array([1.25, 1.5 ])
    """
    ductile = np.maximum(tensile_strength / yield_strength, 1.25)
    brittle = (tensile_strength > 800.0) | (yield_strength > 0.8 * tensile_strength)
    return np.where(brittle & ~np.isnan(ductile), 1.5, ductile)


@clause(
    Source(DOCUMENT, "7.2.2.3.1, factor k6; 0.5 above 500 MPa", Known.MEMORY),
    tensile_strength=_STEEL,
    gives=Quantity("-"),
)
def steel_shear_factor(*, tensile_strength: Column) -> Column:
    r"""Shear strength of the steel over its tensile strength.

    .. math:: k_6 = 0.6 \;(f_{uk} \le 500),\qquad 0.5 \;(500 < f_{uk} \le 1000)

    Parameters
    ----------
    tensile_strength
        :math:`f_{uk}`. [MPa]

    Returns
    -------
    Column
        :math:`k_6`. [-]

    Examples
    --------
    >>> steel_shear_factor(tensile_strength=np.array([450.0, 500.0, 800.0, np.nan]))
    array([0.6, 0.6, 0.5, nan])
    """
    factor = np.where(tensile_strength <= 500.0, 0.6, 0.5)
    return np.where(np.isnan(tensile_strength), np.nan, factor)


@clause(
    Source(DOCUMENT, "7.2.2.3.1, steel without lever arm"),
    shear_factor=_NUMBER,
    ductility_factor=Quantity("-", above=0.0, at_most=1.0),
    stressed_area=Quantity("mm^2", above=0.0),
    tensile_strength=_STEEL,
    gives=Quantity("kN"),
)
def steel_shear_resistance(
    *,
    shear_factor: Column,
    ductility_factor: Column,
    stressed_area: Column,
    tensile_strength: Column,
) -> Column:
    r"""Characteristic resistance of the steel in shear without a lever arm.

    .. math:: V_{Rk,s} = k_7 k_6 A_s f_{uk}

    Parameters
    ----------
    shear_factor
        :math:`k_6`. [-]
    ductility_factor
        :math:`k_7`, 1.0 for one anchor; 0.8 in a group where the rupture strain is below
        8 %. [-]
    stressed_area
        :math:`A_s`. [mm^2]
    tensile_strength
        :math:`f_{uk}`. [MPa]

    Returns
    -------
    Column
        :math:`V_{Rk,s}`. [kN]

    Examples
    --------
    By hand: 0.5 x 353 x 800 / 1000 = 141.2 kN.

    >>> steel_shear_resistance(
    ...     shear_factor=np.array([0.5]),
    ...     ductility_factor=np.array([1.0]),
    ...     stressed_area=np.array([353.0]),
    ...     tensile_strength=np.array([800.0]),
    ... ).round(1)
    array([141.2])
    """
    return ductility_factor * shear_factor * stressed_area * tensile_strength * KN


@clause(
    Source(DOCUMENT, "6.2.2.3, lever arm", Known.MEMORY),
    stand_off=_DISTANCE,
    shank_diameter=_LENGTH,
    gives=Quantity("mm"),
)
def shear_lever_arm(*, stand_off: Column, shank_diameter: Column) -> Column:
    r"""Lever arm of a shear force that acts clear of the concrete.

    .. math:: l_a = a_3 + e_1, \qquad a_3 = 0.5 d_{nom}

    Parameters
    ----------
    stand_off
        From the concrete surface to the line of the shear force, :math:`e_1`. [mm]
    shank_diameter
        :math:`d_{nom}`. [mm]

    Returns
    -------
    Column
        :math:`l_a`. [mm]

    Examples
    --------
    By hand: 12 + 40 = 52.

    >>> shear_lever_arm(stand_off=np.array([40.0]), shank_diameter=np.array([24.0]))
    array([52.])
    """
    return 0.5 * shank_diameter + stand_off


@clause(
    Source("Statics", "section modulus of a round bar", Known.MECHANICS),
    shank_diameter=_LENGTH,
    gives=Quantity("mm^3"),
)
def round_section_modulus(*, shank_diameter: Column) -> Column:
    r"""Elastic section modulus of a round bar.

    .. math:: W_{el} = \pi d^3 / 32

    Parameters
    ----------
    shank_diameter
        Diameter of the stressed section, :math:`d`. [mm]

    Returns
    -------
    Column
        :math:`W_{el}`. [mm^3]

    Examples
    --------
    By hand: 3.1416 x 8000/32 = 785.4.

    >>> round_section_modulus(shank_diameter=np.array([20.0])).round(1)
    array([785.4])
    """
    return np.pi * shank_diameter**3 / 32.0


@clause(
    Source(DOCUMENT, "7.2.2.3.2, basic bending resistance", Known.MEMORY),
    section_modulus=Quantity("mm^3", above=0.0),
    tensile_strength=_STEEL,
    gives=Quantity("kN m"),
)
def basic_bending_resistance(*, section_modulus: Column, tensile_strength: Column) -> Column:
    r"""Characteristic bending resistance of an anchor that carries no tension.

    .. math:: M^0_{Rk,s} = 1.2 W_{el} f_{uk}

    Parameters
    ----------
    section_modulus
        :math:`W_{el}`. [mm^3]
    tensile_strength
        :math:`f_{uk}`. [MPa]

    Returns
    -------
    Column
        :math:`M^0_{Rk,s}`. [kN m]

    Examples
    --------
    By hand: 1.2 x 785.4 x 800 / 10^6 = 0.754 kN m.

    >>> basic_bending_resistance(
    ...     section_modulus=np.array([785.4]), tensile_strength=np.array([800.0])
    ... ).round(3)
    array([0.754])
    """
    return 1.2 * section_modulus * tensile_strength * KN**2


@clause(
    Source(DOCUMENT, "7.2.2.3.2, bending with tension", Known.MEMORY),
    basic_bending=Quantity("kN m", at_least=0.0),
    anchor_tension=_FORCE,
    steel_design_resistance=Quantity("kN", above=0.0),
    gives=Quantity("kN m"),
)
def bending_resistance(
    *, basic_bending: Column, anchor_tension: Column, steel_design_resistance: Column
) -> Column:
    r"""Characteristic bending resistance left beside the tension in the anchor.

    .. math:: M_{Rk,s} = M^0_{Rk,s} (1 - N_{Ed} / N_{Rd,s}) \ge 0

    Parameters
    ----------
    basic_bending
        :math:`M^0_{Rk,s}`. [kN m]
    anchor_tension
        Design tension of the anchor, :math:`N_{Ed}`. [kN]
    steel_design_resistance
        :math:`N_{Rd,s} = N_{Rk,s}/\gamma_{Ms}`. [kN]

    Returns
    -------
    Column
        :math:`M_{Rk,s}`. [kN m]

    Examples
    --------
    By hand: 0.754 x (1 - 60/120) = 0.377 kN m.

    >>> bending_resistance(
    ...     basic_bending=np.array([0.754]),
    ...     anchor_tension=np.array([60.0]),
    ...     steel_design_resistance=np.array([120.0]),
    ... ).round(3)
    array([0.377])
    """
    return basic_bending * np.maximum(1.0 - anchor_tension / steel_design_resistance, 0.0)


@clause(
    Source(DOCUMENT, "7.2.2.3.2, steel with lever arm", Known.MEMORY),
    restraint_factor=Quantity("-", at_least=1.0, at_most=2.0),
    bending=Quantity("kN m", at_least=0.0),
    lever_arm=_LENGTH,
    gives=Quantity("kN"),
)
def steel_shear_resistance_lever_arm(
    *, restraint_factor: Column, bending: Column, lever_arm: Column
) -> Column:
    r"""Characteristic resistance of the steel to a shear force on a lever arm.

    .. math:: V_{Rk,s,M} = \alpha_M M_{Rk,s} / l_a

    Parameters
    ----------
    restraint_factor
        :math:`\alpha_M`: 1 where the fixture may turn, 2 where it may not. [-]
    bending
        :math:`M_{Rk,s}`. [kN m]
    lever_arm
        :math:`l_a`. [mm]

    Returns
    -------
    Column
        :math:`V_{Rk,s,M}`. [kN]

    Examples
    --------
    By hand: 1 x 0.377/0.052 = 7.25 kN.

    >>> steel_shear_resistance_lever_arm(
    ...     restraint_factor=np.array([1.0]),
    ...     bending=np.array([0.377]),
    ...     lever_arm=np.array([52.0]),
    ... ).round(2)
    array([7.25])
    """
    return restraint_factor * bending / (lever_arm * KN)
