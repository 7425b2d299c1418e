"""Strength with age: ACI 209R-92."""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.clauses.rows import Labels, by_label, factors, known
from sheetengine.sources import Source

DOCUMENT = "ACI 209R-92"
TABLE = Source(DOCUMENT, "Table 2.2.1")

AGE = Quantity("d", at_least=0.0)
CONSTANT_A = Quantity("d", above=0.0)
CONSTANT_B = Quantity("-", above=0.0)


@clause(TABLE, curing_and_cement=Quantity("label"), gives=Quantity("d"))
def constant_a(*, curing_and_cement: Labels) -> Column:
    """Constant :math:`a` by curing and cement type.

    Parameters
    ----------
    curing_and_cement
        ``moist I``, ``moist III``, ``steam I`` or ``steam III``. [label]

    Returns
    -------
    Column
        Constant, :math:`a`. [d]

    Examples
    --------
    From the table:

    >>> constant_a(curing_and_cement=np.array(["moist I", "steam III"]))
    array([4. , 0.7])
    """
    return by_label(factors("aci209_strength")["constant_a"], curing_and_cement)


@clause(TABLE, curing_and_cement=Quantity("label"), gives=Quantity("-"))
def constant_b(*, curing_and_cement: Labels) -> Column:
    r"""Constant :math:`b` (printed :math:`\beta`) by curing and cement type.

    Parameters
    ----------
    curing_and_cement
        ``moist I``, ``moist III``, ``steam I`` or ``steam III``. [label]

    Returns
    -------
    Column
        Constant, :math:`b`. [-]

    Examples
    --------
    From the table:

    >>> constant_b(curing_and_cement=np.array(["moist I", "steam III"]))
    array([0.85, 0.98])
    """
    return by_label(factors("aci209_strength")["constant_b"], curing_and_cement)


@clause(
    Source(DOCUMENT, "Eq. (2-1)"),
    age_days=AGE,
    constant_a=CONSTANT_A,
    constant_b=CONSTANT_B,
    gives=Quantity("-"),
)
def age_factor(*, age_days: Column, constant_a: Column, constant_b: Column) -> Column:
    r"""Strength at an age over that at 28 days, :math:`t / (a + b t)`.

    Parameters
    ----------
    age_days
        Age, :math:`t`. [d]
    constant_a
        Constant, :math:`a`. [d]
    constant_b
        Constant, :math:`b`. [-]

    Returns
    -------
    Column
        Age factor; not exactly 1 at 28 days, as printed. [-]

    Examples
    --------
    By hand: 7 / (4 + 0.85 x 7) = 0.704.

    >>> age_factor(
    ...     age_days=np.array([7.0]), constant_a=np.array([4.0]), constant_b=np.array([0.85])
    ... ).round(3)
    array([0.704])
    """
    return age_days / (constant_a + constant_b * age_days)


@clause(
    Source(DOCUMENT, "Eq. (2-1)"),
    strength_28=Quantity("MPa", above=0.0),
    age_days=AGE,
    constant_a=CONSTANT_A,
    constant_b=CONSTANT_B,
    gives=Quantity("MPa"),
)
def strength_at_age(
    *, strength_28: Column, age_days: Column, constant_a: Column, constant_b: Column
) -> Column:
    """Strength at an age.

    Parameters
    ----------
    strength_28
        Strength at 28 days. [MPa]
    age_days
        Age. [d]
    constant_a
        Constant, :math:`a`. [d]
    constant_b
        Constant, :math:`b`. [-]

    Returns
    -------
    Column
        Strength, of the same kind as that at 28 days. [MPa]

    Examples
    --------
    By hand: 30 x 7 / 9.95 = 21.1 MPa.

    >>> strength_at_age(
    ...     strength_28=np.array([30.0]),
    ...     age_days=np.array([7.0]),
    ...     constant_a=np.array([4.0]),
    ...     constant_b=np.array([0.85]),
    ... ).round(1)
    array([21.1])
    """
    return strength_28 * age_factor(age_days=age_days, constant_a=constant_a, constant_b=constant_b)


@clause(
    Source(DOCUMENT, "Eq. (2-1), solved for the age"),
    required_strength=Quantity("MPa", at_least=0.0),
    strength_28=Quantity("MPa", above=0.0),
    constant_a=CONSTANT_A,
    constant_b=CONSTANT_B,
    gives=Quantity("d"),
)
def age_at_strength(
    *, required_strength: Column, strength_28: Column, constant_a: Column, constant_b: Column
) -> Column:
    r"""Age at which a required strength is reached, :math:`t = a r / (1 - b r)`.

    Parameters
    ----------
    required_strength
        Strength to be reached, :math:`f = r f_{28}`. [MPa]
    strength_28
        Strength at 28 days, :math:`f_{28}`. [MPa]
    constant_a
        Constant, :math:`a`. [d]
    constant_b
        Constant, :math:`b`. [-]

    Returns
    -------
    Column
        Age; infinite where the curve never reaches the strength. [d]

    Examples
    --------
    By hand: r = 0.5; 4 x 0.5 / (1 - 0.85 x 0.5) = 3.48 d. The curve ends at 30/0.85 = 35.3 MPa.

    >>> age_at_strength(
    ...     required_strength=np.array([15.0, 36.0]),
    ...     strength_28=np.array([30.0, 30.0]),
    ...     constant_a=np.array([4.0, 4.0]),
    ...     constant_b=np.array([0.85, 0.85]),
    ... ).round(2)
    array([3.48,  inf])
    """
    ratio = required_strength / strength_28
    rest = 1.0 - constant_b * ratio
    reached = rest > 0.0
    age = np.where(reached, constant_a * ratio / np.where(reached, rest, 1.0), np.inf)
    return known(age, ratio, constant_a, constant_b)
