"""Strength with age by a three-parameter exponential fitted to the mix's own specimens.

The form is that of Freiesleben Hansen and Pedersen (1977, 1985), by which strength and heat of hardening concrete are
described beside the maturity method of ASTM C1074.
"""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.clauses.rows import known
from sheetengine.sources import Known, Source

DOCUMENT = "Freiesleben Hansen and Pedersen, CEB Information Bulletin 166 (1985)"
SOURCE = Source(
    DOCUMENT, "three-parameter exponential strength-maturity relation, used with ASTM C1074", Known.MEMORY
)

AGE = Quantity("d", at_least=0.0)
LIMITING = Quantity("MPa", above=0.0)
TIME = Quantity("d", above=0.0)
SHAPE = Quantity("-", above=0.0)

SHORTEST = 1e-9
"""Stands in for an age of zero, where tau/t has no value; the strength is zero there."""


@clause(
    SOURCE,
    age_days=AGE,
    limiting_strength=LIMITING,
    time_constant=TIME,
    curve_shape=SHAPE,
    gives=Quantity("MPa"),
)
def strength_at_age(
    *, age_days: Column, limiting_strength: Column, time_constant: Column, curve_shape: Column
) -> Column:
    r"""Strength at an age.

    .. math::

        S = S_u \exp\left[-\left(\frac{\tau}{t}\right)^\beta\right]

    Parameters
    ----------
    age_days
        Age, or equivalent age at the temperature of the fit, :math:`t`. [d]
    limiting_strength
        Strength the curve tends to, :math:`S_u`. [MPa]
    time_constant
        Age at which :math:`S_u / e` is reached, :math:`\tau`. [d]
    curve_shape
        Shape of the curve, :math:`\beta`. [-]

    Returns
    -------
    Column
        Strength, of the kind and shape of the specimens. [MPa]

    Examples
    --------
    By hand: (2/8)^0.5 = 0.5; 40 exp(-0.5) = 24.3 MPa; 40/e = 14.7 MPa at tau; nothing at no age.

    >>> strength_at_age(
    ...     age_days=np.array([8.0, 2.0, 0.0]),
    ...     limiting_strength=np.full(3, 40.0),
    ...     time_constant=np.full(3, 2.0),
    ...     curve_shape=np.full(3, 0.5),
    ... ).round(1)
    array([24.3, 14.7,  0. ])
    """
    t = np.maximum(age_days, SHORTEST)
    return limiting_strength * np.exp(-((time_constant / t) ** curve_shape))


@clause(
    Source(DOCUMENT, "the same relation, solved for the age", Known.MEMORY),
    required_strength=Quantity("MPa", at_least=0.0),
    limiting_strength=LIMITING,
    time_constant=TIME,
    curve_shape=SHAPE,
    gives=Quantity("d"),
)
def age_at_strength(
    *, required_strength: Column, limiting_strength: Column, time_constant: Column, curve_shape: Column
) -> Column:
    r"""Age at which a required strength is reached.

    .. math::

        t = \tau \left[\ln(S_u / S)\right]^{-1/\beta}

    Parameters
    ----------
    required_strength
        Strength to be reached, :math:`S`. [MPa]
    limiting_strength
        Strength the curve tends to, :math:`S_u`. [MPa]
    time_constant
        Age at which :math:`S_u / e` is reached, :math:`\tau`. [d]
    curve_shape
        Shape of the curve, :math:`\beta`. [-]

    Returns
    -------
    Column
        Age, or equivalent age at the temperature of the fit; infinite where the curve never reaches
        the strength, 0 where none is required. [d]

    Examples
    --------
    By hand: 40 exp(-0.5) = 24.261; ln(40/24.261) = 0.5; 2 x 0.5^(-2) = 8 d.

    >>> age_at_strength(
    ...     required_strength=np.array([24.261, 40.0, 0.0]),
    ...     limiting_strength=np.full(3, 40.0),
    ...     time_constant=np.full(3, 2.0),
    ...     curve_shape=np.full(3, 0.5),
    ... ).round(2)
    array([ 8., inf,  0.])
    """
    reached = (required_strength < limiting_strength) & (required_strength > 0.0)
    share = np.where(reached, required_strength, 0.5 * limiting_strength) / limiting_strength
    age = np.where(reached, time_constant * (-np.log(share)) ** (-1.0 / curve_shape), np.inf)
    age = np.where(required_strength <= 0.0, 0.0, age)
    return known(age, required_strength, limiting_strength, time_constant, curve_shape)
