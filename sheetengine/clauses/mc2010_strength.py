"""Strength with age: fib Model Code 2010, 5.1.9.1."""

from __future__ import annotations

import numpy as np

from sheetengine.clauses import en1992_1_1_strength as en1992
from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.clauses.rows import Labels, by_label, factors, known
from sheetengine.sources import Source

DOCUMENT = "fib Model Code 2010"

AGE = Quantity("d", at_least=0.0)
STRENGTH = Quantity("MPa", above=0.0)
COEFFICIENT = Quantity("-", above=0.0)


@clause(
    Source(DOCUMENT, "5.1.9.1, Table 5.1-9"),
    cement_strength_class=Quantity("label"),
    mean_strength_28=STRENGTH,
    gives=Quantity("-"),
)
def cement_coefficient(*, cement_strength_class: Labels, mean_strength_28: Column) -> Column:
    """Coefficient of the cement, :math:`s`; 0.20 for every cement above 60 MPa.

    Parameters
    ----------
    cement_strength_class
        ``32.5N`` to ``52.5R``. [label]
    mean_strength_28
        Mean cylinder strength at 28 days. [MPa]

    Returns
    -------
    Column
        Coefficient, :math:`s`. [-]

    Examples
    --------
    From the table, the last above 60 MPa:

    >>> cement_coefficient(
    ...     cement_strength_class=np.array(["32.5N", "42.5N", "32.5N"]),
    ...     mean_strength_28=np.array([38.0, 38.0, 68.0]),
    ... )
    array([0.38, 0.25, 0.2 ])
    """
    numbers = factors("mc2010_strength")
    by_class = by_label(numbers["cement_coefficient"], cement_strength_class)
    high = mean_strength_28 > numbers["high_strength"]
    s = np.where(high & ~np.isnan(by_class), numbers["high_strength_coefficient"], by_class)
    return known(s, mean_strength_28)


@clause(
    Source(DOCUMENT, "5.1.9.1 Eq. (5.1-51)"),
    age_days=AGE,
    cement_coefficient=COEFFICIENT,
    gives=Quantity("-"),
)
def age_factor(*, age_days: Column, cement_coefficient: Column) -> Column:
    r"""Strength at an age over that at 28 days, :math:`\beta_{cc} = \exp[s (1 - \sqrt{28/t})]`.

    The form of EN 1992-1-1; only the coefficient differs.

    Parameters
    ----------
    age_days
        Age, or equivalent age at 20 degC, :math:`t`. [d]
    cement_coefficient
        Coefficient of the cement, :math:`s`. [-]

    Returns
    -------
    Column
        Age factor, :math:`\beta_{cc}`. [-]

    Examples
    --------
    By hand: exp[0.38 (1 - sqrt(28/7))] = exp(-0.38) = 0.684.

    >>> age_factor(age_days=np.array([7.0]), cement_coefficient=np.array([0.38])).round(3)
    array([0.684])
    """
    return en1992.age_factor(age_days=age_days, cement_coefficient=cement_coefficient)


@clause(
    Source(DOCUMENT, "5.1.9.1 Eq. (5.1-50)"),
    mean_strength_28=STRENGTH,
    age_days=AGE,
    cement_coefficient=COEFFICIENT,
    gives=Quantity("MPa"),
)
def mean_strength_at_age(*, mean_strength_28: Column, age_days: Column, cement_coefficient: Column) -> Column:
    r"""Mean strength at an age, :math:`f_{cm}(t) = \beta_{cc}(t) f_{cm}`.

    Parameters
    ----------
    mean_strength_28
        Mean cylinder strength at 28 days, :math:`f_{cm}`. [MPa]
    age_days
        Age, or equivalent age at 20 degC, :math:`t`. [d]
    cement_coefficient
        Coefficient of the cement, :math:`s`. [-]

    Returns
    -------
    Column
        Mean cylinder strength, :math:`f_{cm}(t)`. [MPa]

    Examples
    --------
    By hand: 0.6839 x 38 = 26.0 MPa.

    >>> mean_strength_at_age(
    ...     mean_strength_28=np.array([38.0]),
    ...     age_days=np.array([7.0]),
    ...     cement_coefficient=np.array([0.38]),
    ... ).round(1)
    array([26.])
    """
    return age_factor(age_days=age_days, cement_coefficient=cement_coefficient) * mean_strength_28


@clause(
    Source(DOCUMENT, "5.1.9.1 Eq. (5.1-50) and (5.1-51), solved for the age"),
    required_strength=Quantity("MPa", at_least=0.0),
    mean_strength_28=STRENGTH,
    cement_coefficient=COEFFICIENT,
    gives=Quantity("d"),
)
def age_at_mean_strength(
    *, required_strength: Column, mean_strength_28: Column, cement_coefficient: Column
) -> Column:
    """Equivalent age at which the mean strength reaches a required one.

    Parameters
    ----------
    required_strength
        Strength to be reached. [MPa]
    mean_strength_28
        Mean cylinder strength at 28 days. [MPa]
    cement_coefficient
        Coefficient of the cement. [-]

    Returns
    -------
    Column
        Equivalent age at 20 degC; infinite where the curve never reaches the strength. [d]

    Examples
    --------
    The row of :func:`mean_strength_at_age` back.

    >>> age_at_mean_strength(
    ...     required_strength=np.array([25.987]),
    ...     mean_strength_28=np.array([38.0]),
    ...     cement_coefficient=np.array([0.38]),
    ... ).round(2)
    array([7.])
    """
    return en1992.age_at_mean_strength(
        required_strength=required_strength,
        mean_strength_28=mean_strength_28,
        cement_coefficient=cement_coefficient,
    )
