"""Bond, anchorage and laps of ribbed bars: EN 1992-1-1:2004, 8.4 and 8.7. Lengths in mm, stresses in MPa."""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.sources import Source

DOCUMENT = "EN 1992-1-1:2004"

_BAR = Quantity("mm", at_least=6.0, at_most=50.0)
_LENGTH = Quantity("mm", above=0.0)
_STRESS = Quantity("MPa", above=0.0)
_FORM = Quantity("-", at_least=0.7, at_most=1.0)


@clause(
    Source(DOCUMENT, "Table 3.1 and Eq. (3.16)"),
    cylinder_strength=Quantity("MPa", at_least=12.0, at_most=50.0),
    concrete_partial_factor=Quantity("-", at_least=1.0),
    gives=Quantity("MPa"),
)
def design_tensile_strength(*, cylinder_strength: Column, concrete_partial_factor: Column) -> Column:
    r"""Design tensile strength of concrete to C50/60.

    .. math:: f_{ctd} = 0.7 \times 0.30 f_{ck}^{2/3} / \gamma_c

    Parameters
    ----------
    cylinder_strength
        :math:`f_{ck}`. [MPa]
    concrete_partial_factor
        :math:`\gamma_c`; :math:`\alpha_{ct}` is taken as 1. [-]

    Returns
    -------
    Column
        :math:`f_{ctd}`. [MPa]

    Examples
    --------
    By hand: 0.7 x 0.3 x 8.550 / 1.5 = 1.197.

    >>> design_tensile_strength(
    ...     cylinder_strength=np.array([25.0]), concrete_partial_factor=np.array([1.5])
    ... ).round(3)
    array([1.197])
    """
    return 0.7 * 0.30 * cylinder_strength ** (2.0 / 3.0) / concrete_partial_factor


@clause(
    Source(DOCUMENT, "8.4.2 Eq. (8.2)"),
    position_factor=_FORM,
    bar_diameter=_BAR,
    design_tension=_STRESS,
    gives=Quantity("MPa"),
)
def design_bond_strength(*, position_factor: Column, bar_diameter: Column, design_tension: Column) -> Column:
    r"""Design bond strength of ribbed bars.

    .. math::

        f_{bd} = 2.25 \eta_1 \eta_2 f_{ctd},\qquad \eta_2 = (132 - \phi)/100 \le 1

    Parameters
    ----------
    position_factor
        :math:`\eta_1`: 1.0 in good bond conditions, else 0.7. [-]
    bar_diameter
        :math:`\phi`. [mm]
    design_tension
        Design tensile strength of the concrete, :math:`f_{ctd}`. [MPa]

    Returns
    -------
    Column
        :math:`f_{bd}`. [MPa]

    Examples
    --------
    By hand: 2.25 x 1.197 = 2.69; 0.92 of it for 40 mm.

    >>> design_bond_strength(
    ...     position_factor=np.array([1.0, 1.0]),
    ...     bar_diameter=np.array([16.0, 40.0]),
    ...     design_tension=np.array([1.197, 1.197]),
    ... ).round(2)
    array([2.69, 2.48])
    """
    size_factor = np.minimum((132.0 - bar_diameter) / 100.0, 1.0)
    return 2.25 * position_factor * size_factor * design_tension


@clause(
    Source(DOCUMENT, "8.4.3 Eq. (8.3)"),
    bar_diameter=_BAR,
    bar_stress=_STRESS,
    bond_strength=_STRESS,
    gives=Quantity("mm"),
)
def basic_anchorage_length(*, bar_diameter: Column, bar_stress: Column, bond_strength: Column) -> Column:
    r"""Anchorage length that bond alone needs.

    .. math:: l_{b,rqd} = \frac{\phi}{4} \frac{\sigma_{sd}}{f_{bd}}

    Parameters
    ----------
    bar_diameter
        :math:`\phi`. [mm]
    bar_stress
        Design stress of the bar, :math:`\sigma_{sd}`. [MPa]
    bond_strength
        :math:`f_{bd}`. [MPa]

    Returns
    -------
    Column
        :math:`l_{b,rqd}`. [mm]

    Examples
    --------
    By hand: 4 x 434.8/2.693 = 645.8.

    >>> basic_anchorage_length(
    ...     bar_diameter=np.array([16.0]),
    ...     bar_stress=np.array([434.8]),
    ...     bond_strength=np.array([2.693]),
    ... ).round(1)
    array([645.8])
    """
    return bar_diameter / 4.0 * bar_stress / bond_strength


@clause(
    Source(DOCUMENT, "8.4.4 Table 8.2, straight bars in tension"),
    cover_measure=_LENGTH,
    bar_diameter=_BAR,
    gives=Quantity("-"),
)
def cover_influence(*, cover_measure: Column, bar_diameter: Column) -> Column:
    r"""Influence of the cover on the anchorage of a straight bar in tension.

    .. math:: \alpha_2 = 1 - 0.15 (c_d - \phi)/\phi, \qquad 0.7 \le \alpha_2 \le 1

    Parameters
    ----------
    cover_measure
        Least of cover, side cover and half the clear spacing, :math:`c_d`. [mm]
    bar_diameter
        :math:`\phi`. [mm]

    Returns
    -------
    Column
        :math:`\alpha_2`. [-]

    Examples
    --------
    By hand: 1 - 0.15 x 9/16 = 0.916.

    >>> cover_influence(cover_measure=np.array([25.0]), bar_diameter=np.array([16.0])).round(3)
    array([0.916])
    """
    factor = 1.0 - 0.15 * (cover_measure - bar_diameter) / bar_diameter
    return np.minimum(np.maximum(factor, 0.7), 1.0)


@clause(
    Source(DOCUMENT, "8.4.4 Eq. (8.4) to (8.6), tension"),
    basic_length=_LENGTH,
    bar_diameter=_BAR,
    anchorage_form_factor=_FORM,
    cover_factor=_FORM,
    confinement_factor=_FORM,
    gives=Quantity("mm"),
)
def anchorage_length(
    *,
    basic_length: Column,
    bar_diameter: Column,
    anchorage_form_factor: Column,
    cover_factor: Column,
    confinement_factor: Column,
) -> Column:
    r"""Design anchorage length of a bar in tension.

    .. math::

        l_{bd} = \alpha_1 (\alpha_2 \alpha_3 \alpha_5) l_{b,rqd}
                 \ge \max(0.3 l_{b,rqd},\; 10 \phi,\; 100),
        \qquad \alpha_2 \alpha_3 \alpha_5 \ge 0.7

    Parameters
    ----------
    basic_length
        :math:`l_{b,rqd}`. [mm]
    bar_diameter
        :math:`\phi`. [mm]
    anchorage_form_factor
        :math:`\alpha_1`. [-]
    cover_factor
        :math:`\alpha_2`. [-]
    confinement_factor
        :math:`\alpha_3 \alpha_5`, transverse bars and pressure. [-]

    Returns
    -------
    Column
        :math:`l_{bd}`. [mm]

    Examples
    --------
    By hand: 0.9156 x 645.8 = 591.3.

    >>> anchorage_length(
    ...     basic_length=np.array([645.8]),
    ...     bar_diameter=np.array([16.0]),
    ...     anchorage_form_factor=np.array([1.0]),
    ...     cover_factor=np.array([0.9156]),
    ...     confinement_factor=np.array([1.0]),
    ... ).round(1)
    array([591.3])
    """
    confined = np.maximum(cover_factor * confinement_factor, 0.7)
    least = np.maximum(np.maximum(0.3 * basic_length, 10.0 * bar_diameter), 100.0)
    return np.maximum(anchorage_form_factor * confined * basic_length, least)


@clause(
    Source(DOCUMENT, "8.7.3 Eq. (8.10), factor for the share lapped"),
    lapped_share=Quantity("%", at_least=0.0, at_most=100.0),
    gives=Quantity("-"),
)
def lap_influence(*, lapped_share: Column) -> Column:
    r"""Influence of the share of bars lapped in one section.

    .. math:: \alpha_6 = \sqrt{\rho_1 / 25}, \qquad 1 \le \alpha_6 \le 1.5

    Parameters
    ----------
    lapped_share
        Share of the bars lapped within 0.65 of a lap length, :math:`\rho_1`. [%]

    Returns
    -------
    Column
        :math:`\alpha_6`; Table 8.3 prints 1.4 at 50 % where the rule gives 1.414. [-]

    Examples
    --------
    By hand: (50/25)^0.5 = 1.414.

    >>> lap_influence(lapped_share=np.array([20.0, 50.0, 100.0])).round(3)
    array([1.   , 1.414, 1.5  ])
    """
    return np.minimum(np.maximum(np.sqrt(lapped_share / 25.0), 1.0), 1.5)


@clause(
    Source(DOCUMENT, "8.7.3 Eq. (8.10) and (8.11)"),
    basic_length=_LENGTH,
    bar_diameter=_BAR,
    anchorage_form_factor=_FORM,
    cover_factor=_FORM,
    confinement_factor=_FORM,
    lap_factor=Quantity("-", at_least=1.0, at_most=1.5),
    gives=Quantity("mm"),
)
def lap_length(
    *,
    basic_length: Column,
    bar_diameter: Column,
    anchorage_form_factor: Column,
    cover_factor: Column,
    confinement_factor: Column,
    lap_factor: Column,
) -> Column:
    r"""Design lap length.

    .. math::

        l_0 = \alpha_1 \alpha_2 \alpha_3 \alpha_5 \alpha_6 l_{b,rqd}
              \ge \max(0.3 \alpha_6 l_{b,rqd},\; 15 \phi,\; 200)

    Parameters
    ----------
    basic_length
        :math:`l_{b,rqd}`. [mm]
    bar_diameter
        :math:`\phi`. [mm]
    anchorage_form_factor
        :math:`\alpha_1`. [-]
    cover_factor
        :math:`\alpha_2`. [-]
    confinement_factor
        :math:`\alpha_3 \alpha_5`. [-]
    lap_factor
        :math:`\alpha_6`. [-]

    Returns
    -------
    Column
        :math:`l_0`. [mm]

    Examples
    --------
    By hand: 1.414 x 0.9156 x 645.8 = 836.1.

    >>> lap_length(
    ...     basic_length=np.array([645.8]),
    ...     bar_diameter=np.array([16.0]),
    ...     anchorage_form_factor=np.array([1.0]),
    ...     cover_factor=np.array([0.9156]),
    ...     confinement_factor=np.array([1.0]),
    ...     lap_factor=np.array([1.414]),
    ... ).round(1)
    array([836.1])
    """
    confined = np.maximum(cover_factor * confinement_factor, 0.7)
    least = np.maximum(np.maximum(0.3 * lap_factor * basic_length, 15.0 * bar_diameter), 200.0)
    return np.maximum(anchorage_form_factor * confined * lap_factor * basic_length, least)
