"""Levels of the fresh concrete at which hinge and brace are loaded worst, and the section of no shear.

While the concrete rises by a little, the pressure grows by its weight over the depth down to which it
is fluid, and nowhere else. A reaction is the load times a straight influence line, and changes with the
level as that line summed over the fluid depth: where the sum is nothing, it is greatest or least. Wind
does not move the level.
"""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.clauses.rows import known
from sheetengine.clauses.strongback import (
    DENSITY,
    HEIGHT,
    PRESSURE,
    SUPPORT,
    WIND,
    brace_reaction,
    hinge_reaction,
)
from sheetengine.sources import Known, Source

INFLUENCE = Source(
    "Influence lines of a beam on two supports", "sum over the fluid depth is nothing", Known.MECHANICS
)
SECTION = Source(
    "Equilibrium of a cut beam", "shear is nothing where the moment is greatest", Known.MECHANICS
)


@clause(
    INFLUENCE,
    maximum_pressure=PRESSURE,
    weight_density=DENSITY,
    placement_height=HEIGHT,
    brace_height=SUPPORT,
    gives=Quantity("m"),
)
def hinge_worst_level(
    *, maximum_pressure: Column, weight_density: Column, placement_height: Column, brace_height: Column
) -> Column:
    r"""Level at which the reaction of the hinge is greatest.

    .. math::

        \ell = \min(2 s_b,\; H) \ \text{if}\ 2 s_b \le h_s, \qquad
        \ell = \min(s_b + h_s / 2,\; H) \ \text{otherwise}

    Parameters
    ----------
    maximum_pressure
        Design maximum of the pressure, :math:`p_{max}`. [kPa]
    weight_density
        Weight density of the fresh concrete, :math:`\gamma`. [kN/m3]
    placement_height
        Height of the lift, :math:`H`. [m]
    brace_height
        Upper support above the joint, :math:`s_b`. [m]

    Returns
    -------
    Column
        Level of the concrete, :math:`\ell`. [m]

    Examples
    --------
    50 kPa of 25 kN/m3 are fluid over 2 m. By hand, brace at 1.5 m: 1.5 + 2 / 2 = 2.5 m; brace at 0.6 m:
    2 x 0.6 = 1.2 m.

    >>> hinge_worst_level(maximum_pressure=np.array([50.0, 50.0]), weight_density=np.array([25.0, 25.0]),
    ...     placement_height=np.array([3.0, 3.0]), brace_height=np.array([1.5, 0.6]))
    array([2.5, 1.2])
    """
    h_s = maximum_pressure / weight_density
    turn = np.where(2.0 * brace_height <= h_s, 2.0 * brace_height, brace_height + h_s / 2.0)
    return known(
        np.clip(turn, 0.0, placement_height), maximum_pressure, weight_density, placement_height, brace_height
    )


@clause(
    INFLUENCE,
    maximum_pressure=PRESSURE,
    weight_density=DENSITY,
    placement_height=HEIGHT,
    hinge_height=SUPPORT,
    gives=Quantity("m"),
)
def brace_least_level(
    *, maximum_pressure: Column, weight_density: Column, placement_height: Column, hinge_height: Column
) -> Column:
    r"""Level at which the reaction of the brace is least: the concrete below the hinge turns the panel in.

    .. math::

        \ell = \min(2 s_h,\; H) \ \text{if}\ 2 s_h \le h_s, \qquad
        \ell = \min(s_h + h_s / 2,\; H) \ \text{otherwise}

    Parameters
    ----------
    maximum_pressure
        Design maximum of the pressure, :math:`p_{max}`. [kPa]
    weight_density
        Weight density of the fresh concrete, :math:`\gamma`. [kN/m3]
    placement_height
        Height of the lift, :math:`H`. [m]
    hinge_height
        Lower support above the joint, :math:`s_h`. [m]

    Returns
    -------
    Column
        Level of the concrete, :math:`\ell`; 0 where the hinge is not above the joint. [m]

    Examples
    --------
    By hand: a hinge at 0.3 m: 0.6 m.

    >>> brace_least_level(maximum_pressure=np.array([50.0]), weight_density=np.array([25.0]),
    ...     placement_height=np.array([3.0]), hinge_height=np.array([0.3]))
    array([0.6])
    """
    h_s = maximum_pressure / weight_density
    turn = np.where(2.0 * hinge_height <= h_s, 2.0 * hinge_height, hinge_height + h_s / 2.0)
    return known(
        np.clip(turn, 0.0, placement_height), maximum_pressure, weight_density, placement_height, hinge_height
    )


def brace_worst_level(
    *,
    maximum_pressure: Column,
    weight_density: Column,
    placement_height: Column,
    hinge_height: Column,
    brace_height: Column,
) -> Column:
    """Return the level at which the reaction of the brace is greatest: the full lift, or none, in metres.

    The reaction falls to its least and rises from there on, so that it is greatest at an end.
    """
    beam = {
        "maximum_pressure": maximum_pressure, "weight_density": weight_density, "hinge_height": hinge_height,
        "brace_height": brace_height, "panel_height": np.maximum(placement_height, brace_height),
        "wind_pressure": np.zeros_like(placement_height),
    }  # fmt: skip
    full = brace_reaction(concrete_level=placement_height, **beam)
    return known(np.where(full > 0.0, placement_height, 0.0), full)


@clause(
    SECTION,
    maximum_pressure=PRESSURE,
    weight_density=DENSITY,
    concrete_level=HEIGHT,
    wind_pressure=WIND,
    hinge_height=SUPPORT,
    brace_height=SUPPORT,
    panel_height=HEIGHT,
    gives=Quantity("m"),
)
def zero_shear_height(
    *,
    maximum_pressure: Column,
    weight_density: Column,
    concrete_level: Column,
    wind_pressure: Column,
    hinge_height: Column,
    brace_height: Column,
    panel_height: Column,
) -> Column:
    r"""Height between the supports at which the shear force passes through nothing and the moment is greatest.

    The load below it equals the reaction of the hinge: :math:`\int_0^y q\, d\eta = A`.

    Parameters
    ----------
    maximum_pressure
        Design maximum of the pressure, :math:`p_{max}`. [kPa]
    weight_density
        Weight density of the fresh concrete, :math:`\gamma`. [kN/m3]
    concrete_level
        Surface of the concrete above the joint, :math:`\ell`. [m]
    wind_pressure
        Wind on the whole panel, positive away from the concrete, :math:`w`. [kPa]
    hinge_height
        Lower support above the joint, :math:`s_h`. [m]
    brace_height
        Upper support above the joint, :math:`s_b`. [m]
    panel_height
        Top of the panel above the joint, :math:`L`. [m]

    Returns
    -------
    Column
        Height, kept between the supports where the shear force does not change its sign there. [m]

    Examples
    --------
    Fluid of 25 kN/m3 to 3 m on supports at 0 and 3 m. By hand: 75 y - 12.5 y^2 = 75, y = 3 - sqrt(3) = 1.268 m.

    >>> one = np.ones(1)
    >>> zero_shear_height(maximum_pressure=75.0 * one, weight_density=25.0 * one, concrete_level=3.0 * one,
    ...     wind_pressure=0.0 * one, hinge_height=0.0 * one, brace_height=3.0 * one, panel_height=3.0 * one).round(3)
    array([1.268])
    """
    A = hinge_reaction(
        maximum_pressure=maximum_pressure, weight_density=weight_density, concrete_level=concrete_level,
        wind_pressure=wind_pressure, hinge_height=hinge_height, brace_height=brace_height,
        panel_height=panel_height,
    )  # fmt: skip
    pressure = np.minimum(maximum_pressure, weight_density * concrete_level)
    full = pressure + wind_pressure
    ramp_from = concrete_level - pressure / weight_density
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        in_constant = A / full
        left = A - full * ramp_from
        in_ramp = (
            ramp_from
            + (full - np.sqrt(np.maximum(full**2 - 2.0 * weight_density * left, 0.0))) / weight_density
        )
        up_to_surface = full * concrete_level - pressure**2 / weight_density / 2.0
        above = concrete_level + np.where(wind_pressure > 0.0, (A - up_to_surface) / wind_pressure, np.inf)
    found = np.where(in_constant <= ramp_from, in_constant, np.where(up_to_surface >= A, in_ramp, above))
    found = np.where(A > 0.0, np.where(np.isnan(found), np.inf, found), -np.inf)
    found = np.clip(found, hinge_height, brace_height)
    return known(found, A)
