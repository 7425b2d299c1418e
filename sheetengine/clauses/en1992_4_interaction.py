"""Supplementary reinforcement, and tension with shear: EN 1992-4:2018, 7.2.

Lengths in mm, strengths in MPa, forces in kN.
"""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Flags, Quantity, clause
from sheetengine.sources import Known, Source

DOCUMENT = "EN 1992-4:2018"

KN = 1e-3
"""Newton to kilonewton."""

_RATIO = Quantity("-", at_least=0.0)
_BAR = Quantity("mm", above=0.0, at_most=16.0)


@clause(
    Source(DOCUMENT, "7.2.1.2 and 7.2.1.9, steel of supplementary reinforcement"),
    bar_count=Quantity("-", at_least=0.0),
    bar_diameter=_BAR,
    bar_yield_strength=Quantity("MPa", above=0.0, at_most=600.0),
    gives=Quantity("kN"),
)
def supplementary_steel_resistance(
    *, bar_count: Column, bar_diameter: Column, bar_yield_strength: Column
) -> Column:
    r"""Characteristic resistance of the steel of supplementary reinforcement for one anchor.

    .. math:: N_{Rk,re} = n \frac{\pi \phi^2}{4} f_{yk,re}

    Parameters
    ----------
    bar_count
        Legs that count for the anchor, :math:`n`. [-]
    bar_diameter
        :math:`\phi`, not above 16 mm. [mm]
    bar_yield_strength
        :math:`f_{yk,re}`, not above 600 MPa. [MPa]

    Returns
    -------
    Column
        :math:`N_{Rk,re}`. [kN]

    Examples
    --------
    By hand: 2 x 113.1 x 500 / 1000 = 113.1 kN.

    >>> supplementary_steel_resistance(
    ...     bar_count=np.array([2.0]),
    ...     bar_diameter=np.array([12.0]),
    ...     bar_yield_strength=np.array([500.0]),
    ... ).round(1)
    array([113.1])
    """
    return bar_count * np.pi / 4.0 * bar_diameter**2 * bar_yield_strength * KN


@clause(
    Source(DOCUMENT, "7.2.1.9, anchorage of supplementary reinforcement", Known.MEMORY),
    bar_count=Quantity("-", at_least=0.0),
    bar_diameter=_BAR,
    length_in_cone=Quantity("mm", at_least=0.0),
    bond_strength=Quantity("MPa", above=0.0),
    anchorage_form_factor=Quantity("-", at_least=0.7, at_most=1.0),
    gives=Quantity("kN"),
)
def supplementary_anchorage_resistance(
    *,
    bar_count: Column,
    bar_diameter: Column,
    length_in_cone: Column,
    bond_strength: Column,
    anchorage_form_factor: Column,
) -> Column:
    r"""Design anchorage resistance of supplementary reinforcement inside the cone.

    .. math:: N_{Rd,a} = n\, l_1 \pi \phi f_{bd} / \alpha_1

    Parameters
    ----------
    bar_count
        Legs that count for the anchor, :math:`n`. [-]
    bar_diameter
        :math:`\phi`, not above 16 mm. [mm]
    length_in_cone
        Length of each leg inside the assumed cone, :math:`l_1`. [mm]
    bond_strength
        Design bond strength at the age of loading, :math:`f_{bd}`. [MPa]
    anchorage_form_factor
        :math:`\alpha_1`, 0.7 for bent ends, 1.0 for straight ones. [-]

    Returns
    -------
    Column
        :math:`N_{Rd,a}`, not above the design resistance of the steel, which is a check of its
        own. [kN]

    Examples
    --------
    By hand: 2 x 100 x 37.70 x 2.7 / 0.7 / 1000 = 29.1 kN.

    >>> supplementary_anchorage_resistance(
    ...     bar_count=np.array([2.0]),
    ...     bar_diameter=np.array([12.0]),
    ...     length_in_cone=np.array([100.0]),
    ...     bond_strength=np.array([2.7]),
    ...     anchorage_form_factor=np.array([0.7]),
    ... ).round(1)
    array([29.1])
    """
    surface = length_in_cone * np.pi * bar_diameter
    return bar_count * surface * bond_strength / anchorage_form_factor * KN


def supplementary_bars_count(
    *,
    distance_from_anchor: Column,
    governing_depth: Column,
    length_in_cone: Column,
    bar_diameter: Column,
    least_length_factor: Column,
) -> Flags:
    """Return where supplementary bars may be counted (EN 1992-4:2018, 7.2.1.9 and 7.2.2.6).

    They lie within 0.75 of the embedment depth from the anchor in tension (of the edge distance
    in shear) and reach 4 diameters into the cone with a bend, 10 without. A row with a missing
    input may not be counted.

    Parameters
    ----------
    distance_from_anchor
        From the anchor to the bar. [mm]
    governing_depth
        h_ef in tension, c1 in shear. [mm]
    length_in_cone
        l1. [mm]
    bar_diameter
        Diameter of the bar. [mm]
    least_length_factor
        4 for bent ends, 10 for straight ones. [-]

    Returns
    -------
    Flags
        Whether the bars may be counted.

    Examples
    --------
    By hand: 100 <= 0.75 x 200 and 100 >= 4 x 12, but less than 10 x 12.

    >>> supplementary_bars_count(
    ...     distance_from_anchor=np.array([100.0, 100.0]),
    ...     governing_depth=np.array([200.0, 200.0]),
    ...     length_in_cone=np.array([100.0, 100.0]),
    ...     bar_diameter=np.array([12.0, 12.0]),
    ...     least_length_factor=np.array([4.0, 10.0]),
    ... )
    array([ True, False])
    """
    near = distance_from_anchor <= 0.75 * governing_depth
    held = length_in_cone >= least_length_factor * bar_diameter
    return np.asarray(near & held)


@clause(
    Source(DOCUMENT, "7.2.3 Eq. (7.54), steel"),
    tension_ratio=_RATIO,
    shear_ratio=_RATIO,
    gives=Quantity("-"),
)
def steel_interaction(*, tension_ratio: Column, shear_ratio: Column) -> Column:
    r"""Demand measure of the steel under tension and shear together.

    .. math:: \beta = \sqrt{\beta_N^2 + \beta_V^2}

    which is at most 1 exactly where :math:`\beta_N^2 + \beta_V^2 \le 1`, and grows in
    proportion to the load.

    Parameters
    ----------
    tension_ratio
        Demand over design resistance of the steel in tension, :math:`\beta_N`. [-]
    shear_ratio
        The same in shear, :math:`\beta_V`. [-]

    Returns
    -------
    Column
        :math:`\beta`. [-]

    Examples
    --------
    By hand: (0.36 + 0.64)^0.5 = 1.

    >>> steel_interaction(tension_ratio=np.array([0.6]), shear_ratio=np.array([0.8])).round(6)
    array([1.])
    """
    return np.sqrt(tension_ratio**2 + shear_ratio**2)


@clause(
    Source(DOCUMENT, "7.2.3 Eq. (7.55) and the sum to 1.2, concrete"),
    tension_ratio=_RATIO,
    shear_ratio=_RATIO,
    gives=Quantity("-"),
)
def concrete_interaction(*, tension_ratio: Column, shear_ratio: Column) -> Column:
    r"""Demand measure of the concrete modes under tension and shear together.

    .. math::

        \beta = \max\left\{ \beta_N,\; \beta_V,\; \min\left[
                (\beta_N^{1.5} + \beta_V^{1.5})^{2/3},\;
                (\beta_N + \beta_V)/1.2 \right] \right\}

    Parameters
    ----------
    tension_ratio
        Greatest ratio of the concrete modes in tension, :math:`\beta_N`. [-]
    shear_ratio
        Greatest ratio of the concrete modes in shear, :math:`\beta_V`. [-]

    Returns
    -------
    Column
        :math:`\beta`. [-]

    Notes
    -----
    The standard lets either form show that the anchor holds. The measure is at most 1 exactly
    where one of them is met and neither ratio passes 1, and it grows in proportion to the load.

    Examples
    --------
    By hand: 2^(2/3) x 0.6 = 0.952; 1.2/1.2 = 1; the lesser counts.

    >>> concrete_interaction(tension_ratio=np.array([0.6]), shear_ratio=np.array([0.6])).round(3)
    array([0.952])
    """
    curve = (tension_ratio**1.5 + shear_ratio**1.5) ** (2.0 / 3.0)
    line = (tension_ratio + shear_ratio) / 1.2
    either = np.maximum(tension_ratio, shear_ratio)
    return np.maximum(either, np.minimum(curve, line))


@clause(
    Source(DOCUMENT, "7.2.3.2, exponent 2/3; read as k7 in CEN/TS 1992-4-1", Known.MEMORY),
    tension_ratio=_RATIO,
    shear_ratio=_RATIO,
    gives=Quantity("-"),
)
def barred_interaction(*, tension_ratio: Column, shear_ratio: Column) -> Column:
    r"""Demand measure of the concrete where supplementary bars hold only the tension, or only the shear.

    .. math:: \beta = \left(\beta_N^{2/3} + \beta_V^{2/3}\right)^{3/2}

    Parameters
    ----------
    tension_ratio
        Greatest ratio of the concrete and of the bars in tension, :math:`\beta_N`. [-]
    shear_ratio
        Greatest ratio of the concrete in shear, :math:`\beta_V`. [-]

    Returns
    -------
    Column
        :math:`\beta`, at most 1 where the clause is met, in proportion to the load. [-]

    Examples
    --------
    By hand: 0.512^(2/3) = 0.64; 0.216^(2/3) = 0.36; (0.64 + 0.36)^1.5 = 1.

    >>> barred_interaction(tension_ratio=np.array([0.512]), shear_ratio=np.array([0.216])).round(6)
    array([1.])
    """
    both: Column = np.cbrt(tension_ratio) ** 2 + np.cbrt(shear_ratio) ** 2
    return both**1.5
