"""Strength with age, and age with temperature: EN 1992-1-1:2004, 3.1.2 and Annex B."""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.clauses.rows import Labels, by_label, factors, known
from sheetengine.sources import Source

DOCUMENT = "EN 1992-1-1:2004"

AGE = Quantity("d", at_least=0.0)
STRENGTH = Quantity("MPa", above=0.0)
COEFFICIENT = Quantity("-", above=0.0)

MEAN_ABOVE_CHARACTERISTIC = 8.0
"""f_cm - f_ck, MPa (Table 3.1)."""

SHORTEST = 1e-9
"""Stands in for an age of zero, where the root of 28/t has no value; the strength is zero there."""


@clause(Source(DOCUMENT, "3.1.2(6)"), strength_class=Quantity("label"), gives=Quantity("-"))
def cement_coefficient(*, strength_class: Labels) -> Column:
    """Coefficient of the strength class of the cement, :math:`s`.

    Parameters
    ----------
    strength_class
        ``R`` rapid, ``N`` normal, ``S`` slow. [label]

    Returns
    -------
    Column
        Coefficient, :math:`s`. [-]

    Examples
    --------
    From the text:

    >>> cement_coefficient(strength_class=np.array(["R", "N", "S"]))
    array([0.2 , 0.25, 0.38])
    """
    return by_label(factors("en1992_1_1_strength")["cement_coefficient"], strength_class)


@clause(
    Source(DOCUMENT, "3.1.2(6) Eq. (3.2)"), age_days=AGE, cement_coefficient=COEFFICIENT, gives=Quantity("-")
)
def age_factor(*, age_days: Column, cement_coefficient: Column) -> Column:
    r"""Strength at an age over that at 28 days, :math:`\beta_{cc} = \exp[s (1 - \sqrt{28/t})]`.

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
    By hand: exp[0.25 (1 - sqrt(28/7))] = exp(-0.25) = 0.779; no strength at no age.

    >>> age_factor(age_days=np.array([7.0, 0.0]), cement_coefficient=np.array([0.25, 0.25])).round(3)
    array([0.779, 0.   ])
    """
    t = np.maximum(age_days, SHORTEST)
    return np.exp(cement_coefficient * (1.0 - np.sqrt(28.0 / t)))


@clause(Source(DOCUMENT, "Table 3.1"), characteristic_strength=STRENGTH, gives=Quantity("MPa"))
def mean_strength(*, characteristic_strength: Column) -> Column:
    r"""Mean strength at 28 days, :math:`f_{cm} = f_{ck} + 8`.

    Parameters
    ----------
    characteristic_strength
        Characteristic cylinder strength at 28 days, :math:`f_{ck}`. [MPa]

    Returns
    -------
    Column
        Mean cylinder strength, :math:`f_{cm}`. [MPa]

    Examples
    --------
    >>> mean_strength(characteristic_strength=np.array([30.0]))
    array([38.])
    """
    return characteristic_strength + MEAN_ABOVE_CHARACTERISTIC


@clause(Source(DOCUMENT, "Table 3.1"), mean_strength_28=STRENGTH, gives=Quantity("MPa"))
def characteristic_strength(*, mean_strength_28: Column) -> Column:
    r"""Characteristic strength at 28 days, :math:`f_{ck} = f_{cm} - 8`, not below zero.

    Parameters
    ----------
    mean_strength_28
        Mean cylinder strength at 28 days, :math:`f_{cm}`. [MPa]

    Returns
    -------
    Column
        Characteristic cylinder strength, :math:`f_{ck}`. [MPa]

    Examples
    --------
    >>> characteristic_strength(mean_strength_28=np.array([38.0, 6.0]))
    array([30.,  0.])
    """
    return np.maximum(mean_strength_28 - MEAN_ABOVE_CHARACTERISTIC, 0.0)


@clause(
    Source(DOCUMENT, "3.1.2(6) Eq. (3.1)"),
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
    By hand: 0.7788 x 48 = 37.4 MPa.

    >>> mean_strength_at_age(
    ...     mean_strength_28=np.array([48.0]),
    ...     age_days=np.array([7.0]),
    ...     cement_coefficient=np.array([0.25]),
    ... ).round(1)
    array([37.4])
    """
    return age_factor(age_days=age_days, cement_coefficient=cement_coefficient) * mean_strength_28


@clause(
    Source(DOCUMENT, "3.1.2(5)"),
    characteristic_strength_28=STRENGTH,
    age_days=Quantity("d", at_least=3.0),
    cement_coefficient=COEFFICIENT,
    gives=Quantity("MPa"),
)
def characteristic_strength_at_age(
    *, characteristic_strength_28: Column, age_days: Column, cement_coefficient: Column
) -> Column:
    r"""Characteristic strength at an age.

    .. math::

        f_{ck}(t) = f_{cm}(t) - 8 \ge 0 \quad (3 \le t < 28), \qquad
        f_{ck}(t) = f_{ck} \quad (t \ge 28)

    Parameters
    ----------
    characteristic_strength_28
        Characteristic cylinder strength at 28 days, :math:`f_{ck}`. [MPa]
    age_days
        Age, or equivalent age at 20 degC, :math:`t`. [d]
    cement_coefficient
        Coefficient of the cement, :math:`s`. [-]

    Returns
    -------
    Column
        Characteristic cylinder strength, :math:`f_{ck}(t)`. [MPa]

    Notes
    -----
    Before 3 days the clause asks for tests: the record's limit says so, and the value given there
    is an indication only.

    Examples
    --------
    By hand: 0.7788 x 48 - 8 = 29.4 MPa at 7 days; f_ck itself from 28 days on.

    >>> characteristic_strength_at_age(
    ...     characteristic_strength_28=np.array([40.0, 40.0]),
    ...     age_days=np.array([7.0, 90.0]),
    ...     cement_coefficient=np.array([0.25, 0.25]),
    ... ).round(1)
    array([29.4, 40. ])
    """
    f_cm = mean_strength(characteristic_strength=characteristic_strength_28)
    f_cm_t = age_factor(age_days=age_days, cement_coefficient=cement_coefficient) * f_cm
    rising = np.maximum(f_cm_t - MEAN_ABOVE_CHARACTERISTIC, 0.0)
    return np.minimum(rising, characteristic_strength_28)


@clause(
    Source(DOCUMENT, "3.1.2(6) Eq. (3.1) and (3.2), solved for the age"),
    required_strength=Quantity("MPa", at_least=0.0),
    mean_strength_28=STRENGTH,
    cement_coefficient=COEFFICIENT,
    gives=Quantity("d"),
)
def age_at_mean_strength(
    *, required_strength: Column, mean_strength_28: Column, cement_coefficient: Column
) -> Column:
    r"""Equivalent age at which the mean strength reaches a required one.

    .. math::

        t = \frac{28}{\left[1 - \ln(f / f_{cm}) / s\right]^2}

    Parameters
    ----------
    required_strength
        Strength to be reached, :math:`f`. [MPa]
    mean_strength_28
        Mean cylinder strength at 28 days, :math:`f_{cm}`. [MPa]
    cement_coefficient
        Coefficient of the cement, :math:`s`. [-]

    Returns
    -------
    Column
        Equivalent age at 20 degC; infinite where the curve never reaches the strength. [d]

    Examples
    --------
    By hand: ln(37.38/48) = -0.25; 28 / (1 + 0.25/0.25)^2 = 7 d. The curve ends at
    48 exp(0.25) = 61.6 MPa.

    >>> age_at_mean_strength(
    ...     required_strength=np.array([37.382, 62.0]),
    ...     mean_strength_28=np.array([48.0, 48.0]),
    ...     cement_coefficient=np.array([0.25, 0.25]),
    ... ).round(2)
    array([ 7., inf])
    """
    ratio = np.maximum(required_strength / mean_strength_28, SHORTEST)
    root = 1.0 - np.log(ratio) / cement_coefficient
    reached = root > 0.0
    age = np.where(reached, 28.0 / np.where(reached, root, 1.0) ** 2, np.inf)
    age = np.where(required_strength <= 0.0, 0.0, age)
    return known(age, required_strength, mean_strength_28, cement_coefficient)


@clause(
    Source(DOCUMENT, "3.1.2(5) and (6), solved for the age"),
    required_strength=Quantity("MPa", at_least=0.0),
    characteristic_strength_28=STRENGTH,
    cement_coefficient=COEFFICIENT,
    gives=Quantity("d"),
)
def age_at_characteristic_strength(
    *, required_strength: Column, characteristic_strength_28: Column, cement_coefficient: Column
) -> Column:
    """Equivalent age at which the characteristic strength reaches a required one.

    Parameters
    ----------
    required_strength
        Characteristic strength to be reached. [MPa]
    characteristic_strength_28
        Characteristic cylinder strength at 28 days. [MPa]
    cement_coefficient
        Coefficient of the cement. [-]

    Returns
    -------
    Column
        Equivalent age at 20 degC; infinite above the strength at 28 days, 0 where none is
        required. An age below 3 d is outside the clause. [d]

    Examples
    --------
    By hand: 29.382 + 8 = 37.382 MPa mean, reached at 7 d; 41 MPa is above 40 MPa.

    >>> age_at_characteristic_strength(
    ...     required_strength=np.array([29.382, 41.0]),
    ...     characteristic_strength_28=np.array([40.0, 40.0]),
    ...     cement_coefficient=np.array([0.25, 0.25]),
    ... ).round(2)
    array([ 7., inf])
    """
    age = age_at_mean_strength(
        required_strength=required_strength + MEAN_ABOVE_CHARACTERISTIC,
        mean_strength_28=characteristic_strength_28 + MEAN_ABOVE_CHARACTERISTIC,
        cement_coefficient=cement_coefficient,
    )
    age = np.where(required_strength > characteristic_strength_28, np.inf, age)
    age = np.where(required_strength <= 0.0, 0.0, age)
    return known(age, required_strength, characteristic_strength_28, cement_coefficient)


@clause(
    Source(DOCUMENT, "Annex B Eq. (B.10)"),
    concrete_temperature=Quantity("degC", at_least=0.0, at_most=80.0),
    gives=Quantity("-"),
)
def maturity_rate(*, concrete_temperature: Column) -> Column:
    r"""Equivalent age gained in a unit of time, :math:`\exp\{-[4000/(273 + T) - 13.65]\}`.

    Parameters
    ----------
    concrete_temperature
        Temperature of the concrete, :math:`T`. [degC]

    Returns
    -------
    Column
        Rate of the equivalent age; 0.998 and not 1 at 20 degC, by the rounding of the constants. [-]

    Examples
    --------
    By hand: exp(13.65 - 4000/283) = exp(-0.484) = 0.616 at 10 degC.

    >>> maturity_rate(concrete_temperature=np.array([10.0])).round(3)
    array([0.616])
    """
    return np.exp(-(4000.0 / (273.0 + concrete_temperature) - 13.65))
