"""Strength with age by a hyperbola fitted to the mix's own specimens: ASTM C1074, annex."""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.clauses.rows import known
from sheetengine.sources import Known, Source

DOCUMENT = "ASTM C1074"
SOURCE = Source(DOCUMENT, "Annex A1, hyperbolic strength-age relation", Known.MEMORY)

AGE = Quantity("d", at_least=0.0)
LIMITING = Quantity("MPa", above=0.0)
RATE = Quantity("1/d", above=0.0)


@clause(
    SOURCE,
    age_days=AGE,
    limiting_strength=LIMITING,
    rate_per_day=RATE,
    dormant_days=AGE,
    gives=Quantity("MPa"),
)
def strength_at_age(
    *, age_days: Column, limiting_strength: Column, rate_per_day: Column, dormant_days: Column
) -> Column:
    r"""Strength at an age, zero before hardening begins.

    .. math::

        S = S_u \frac{k (t - t_0)}{1 + k (t - t_0)}

    Parameters
    ----------
    age_days
        Age, or equivalent age at the temperature of the fit, :math:`t`. [d]
    limiting_strength
        Strength the curve tends to, :math:`S_u`. [MPa]
    rate_per_day
        Rate constant, :math:`k`. [1/d]
    dormant_days
        Age at which hardening begins, :math:`t_0`. [d]

    Returns
    -------
    Column
        Strength, of the kind and shape of the specimens. [MPa]

    Examples
    --------
    By hand: 0.25 x (3 - 0.5) = 0.625; 40 x 0.625 / 1.625 = 15.4 MPa; nothing at 0.4 d.

    >>> strength_at_age(
    ...     age_days=np.array([3.0, 0.4]),
    ...     limiting_strength=np.array([40.0, 40.0]),
    ...     rate_per_day=np.array([0.25, 0.25]),
    ...     dormant_days=np.array([0.5, 0.5]),
    ... ).round(1)
    array([15.4,  0. ])
    """
    progress = rate_per_day * np.maximum(age_days - dormant_days, 0.0)
    return limiting_strength * progress / (1.0 + progress)


@clause(
    SOURCE,
    required_strength=Quantity("MPa", at_least=0.0),
    limiting_strength=LIMITING,
    rate_per_day=RATE,
    dormant_days=AGE,
    gives=Quantity("d"),
)
def age_at_strength(
    *, required_strength: Column, limiting_strength: Column, rate_per_day: Column, dormant_days: Column
) -> Column:
    r"""Age at which a required strength is reached.

    .. math::

        t = t_0 + \frac{S}{k (S_u - S)}

    Parameters
    ----------
    required_strength
        Strength to be reached, :math:`S`. [MPa]
    limiting_strength
        Strength the curve tends to, :math:`S_u`. [MPa]
    rate_per_day
        Rate constant, :math:`k`. [1/d]
    dormant_days
        Age at which hardening begins, :math:`t_0`. [d]

    Returns
    -------
    Column
        Age, or equivalent age at the temperature of the fit; infinite where the curve never reaches
        the strength, 0 where none is required. [d]

    Examples
    --------
    By hand: 0.5 + 20 / (0.25 x 20) = 4.5 d.

    >>> age_at_strength(
    ...     required_strength=np.array([20.0, 40.0, 0.0]),
    ...     limiting_strength=np.full(3, 40.0),
    ...     rate_per_day=np.full(3, 0.25),
    ...     dormant_days=np.full(3, 0.5),
    ... )
    array([4.5, inf, 0. ])
    """
    rest = limiting_strength - required_strength
    reached = rest > 0.0
    gained = required_strength / (rate_per_day * np.where(reached, rest, 1.0))
    age = np.where(reached, dormant_days + gained, np.inf)
    age = np.where(required_strength <= 0.0, 0.0, age)
    return known(age, required_strength, limiting_strength, rate_per_day, dormant_days)
