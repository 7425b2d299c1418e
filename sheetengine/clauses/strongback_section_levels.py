"""Levels of the fresh concrete at which a section of a strongback is loaded worst.

While the concrete rises by a little, the pressure grows by its weight over the depth down to which it
is fluid, and nowhere else. Shear force and moment of a section are the load times an influence line,
straight in parts, and change with the level as that line summed over the fluid depth: where the sum is
nothing they are greatest or least. Every such level is the root of a straight line or a quadratic; the
candidates of all parts are listed, kept within the lift, and the best of them is taken. Wind does not
move the level.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.clauses.rows import known
from sheetengine.clauses.strongback import DENSITY, HEIGHT, PRESSURE, SUPPORT
from sheetengine.clauses.strongback_levels import INFLUENCE

Columns = NDArray[np.float64]


def _root(square: Columns) -> Columns:
    return np.sqrt(np.maximum(square, 0.0))


def _turning_levels_of_moment(h_s: Columns, a: Columns, b: Columns, y: Columns) -> list[Columns]:
    """Return every level at which the moment at ``y`` between the supports may be greatest or least."""
    rising, falling = (b - y) / (b - a), np.maximum((y - a) / (b - a), 1e-300)
    half = y - a * rising
    wide = _root(half**2 - falling * y**2)
    reach = rising * h_s
    apart = _root(reach**2 + 2.0 * reach * (y - a - h_s / 2.0))
    return [
        2.0 * a,
        (half - wide) / falling,
        (half + wide) / falling,
        a + h_s / 2.0,
        y + reach - apart,
        y + reach + apart,
        (y + h_s / 2.0 - rising * (a + h_s / 2.0)) / falling,
    ]


def _turning_levels_of_shear(h_s: Columns, a: Columns, b: Columns, y: Columns) -> list[Columns]:
    """Return every level at which the shear force at ``y`` between the supports may be greatest or least."""
    apart = _root(b**2 - 2.0 * y * (b - a))
    share = h_s / (b - a)
    inside = np.where(np.abs(1.0 - share) > 1e-12, 1.0 - share, np.inf)
    return [
        2.0 * a,
        b - apart,
        b + apart,
        a + h_s / 2.0,
        (y - share * (a + h_s / 2.0)) / inside,
        b + h_s / 2.0,
    ]


def _swell(x: Columns, a: Columns) -> Columns:
    """Return a straight line through nothing at ``a``, summed twice from the joint to ``x``."""
    return (x - 3.0 * a) * x * x / 6.0


def _moment_at(level: Columns, h_s: Columns, a: Columns, b: Columns, y: Columns) -> Columns:
    """Return the moment between the supports over the weight density, from its influence line summed twice."""

    def summed(x: Columns) -> Columns:
        beyond = np.maximum(x - y, 0.0)
        return np.asarray((b - y) / (b - a) * _swell(x, a) - beyond * beyond * beyond / 6.0)

    return summed(level) - summed(np.maximum(level - h_s, 0.0))


def _shear_at(level: Columns, h_s: Columns, a: Columns, b: Columns, y: Columns) -> Columns:
    """Return the shear force between the supports over the weight density, from its influence line summed twice."""

    def summed(x: Columns) -> Columns:
        beyond = np.maximum(x - y, 0.0)
        return np.asarray(beyond * beyond / 2.0 - _swell(x, a) / (b - a))

    return summed(level) - summed(np.maximum(level - h_s, 0.0))


def _best(
    sign: float,
    effect: Callable[..., Columns],
    turning: list[Columns],
    lift: Columns,
    h_s: Columns,
    a: Columns,
    b: Columns,
    y: Columns,
) -> Columns:
    """Return the level with the greatest effect, or the least for a negative sign; of equals the full lift."""
    level = lift
    value = sign * effect(lift, h_s, a, b, y)
    for turn in [np.zeros_like(lift), *turning]:
        kept = np.clip(turn, 0.0, lift)
        own = sign * effect(kept, h_s, a, b, y)
        better = own > value
        level, value = np.where(better, kept, level), np.where(better, own, value)
    return np.asarray(level)


@clause(
    INFLUENCE,
    maximum_pressure=PRESSURE,
    weight_density=DENSITY,
    placement_height=HEIGHT,
    hinge_height=SUPPORT,
    brace_height=SUPPORT,
    height=SUPPORT,
    gives=Quantity("m"),
)
def sagging_level(
    *,
    maximum_pressure: Column,
    weight_density: Column,
    placement_height: Column,
    hinge_height: Column,
    brace_height: Column,
    height: Column,
) -> Column:
    r"""Level at which the moment of the concrete at a height is greatest (outward bow).

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
    brace_height
        Upper support above the joint, :math:`s_b`. [m]
    height
        Height of the section, :math:`y`. [m]

    Returns
    -------
    Column
        Level of the concrete. [m]

    Examples
    --------
    Fluid of any depth on supports at 0 and 2 m, lift of 3 m, at mid height. By hand: the influence line
    rises by 1/2 to 0.5 at 1 m and falls by 1/2; its sum to the level x beyond the brace is 0.5 -
    (x - 2)^2 / 4, nothing at 2 + sqrt(2) m. So the full lift is worst at 3 m; with a lift of 4 m it is 3.414 m.

    >>> sagging_level(maximum_pressure=np.array([500.0, 500.0]), weight_density=np.array([25.0, 25.0]),
    ...     placement_height=np.array([3.0, 4.0]), hinge_height=np.zeros(2), brace_height=np.array([2.0, 2.0]),
    ...     height=np.array([1.0, 1.0])).round(3)
    array([3.   , 3.414])
    """
    return _moment_level(
        1.0, maximum_pressure, weight_density, placement_height, hinge_height, brace_height, height
    )


@clause(
    INFLUENCE,
    maximum_pressure=PRESSURE,
    weight_density=DENSITY,
    placement_height=HEIGHT,
    hinge_height=SUPPORT,
    brace_height=SUPPORT,
    height=SUPPORT,
    gives=Quantity("m"),
)
def hogging_level(
    *,
    maximum_pressure: Column,
    weight_density: Column,
    placement_height: Column,
    hinge_height: Column,
    brace_height: Column,
    height: Column,
) -> Column:
    r"""Level at which the moment of the concrete at a height is least (inward bow).

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
    brace_height
        Upper support above the joint, :math:`s_b`. [m]
    height
        Height of the section, :math:`y`. [m]

    Returns
    -------
    Column
        Level of the concrete. [m]

    Examples
    --------
    At the hinge the concrete below it bends the strongback in, most when the lift is full. Between the
    supports it does so only while the concrete is low. By hand, hinge at 0.5 m, brace at 2.5 m, at 1.5 m:
    the influence line is -0.25 at the joint and nothing at the hinge, and its sum is nothing at 2 x 0.5 m
    and least at the hinge; the moment is least at 1.0 m.

    >>> hogging_level(maximum_pressure=np.array([75.0, 75.0]), weight_density=np.array([25.0, 25.0]),
    ...     placement_height=np.array([3.0, 3.0]), hinge_height=np.array([0.5, 0.5]),
    ...     brace_height=np.array([2.5, 2.5]), height=np.array([0.5, 1.5]))
    array([3., 1.])
    """
    return _moment_level(
        -1.0, maximum_pressure, weight_density, placement_height, hinge_height, brace_height, height
    )


def _moment_level(
    sign: float, p_max: Columns, density: Columns, lift: Columns, a: Columns, b: Columns, y: Columns
) -> Columns:
    h_s, inside = p_max / density, np.maximum(np.clip(y, a, b), 0.0)  # nothing presses below the joint
    turning = _turning_levels_of_moment(h_s, a, b, inside)
    between = _best(sign, _moment_at, turning, lift, h_s, a, b, inside)
    free = np.zeros_like(lift) if sign > 0.0 else lift  # beyond a support more concrete only bends it in
    return known(np.where((y > a) & (y < b), between, free), p_max, density, lift, a, b, y)


@clause(
    INFLUENCE,
    maximum_pressure=PRESSURE,
    weight_density=DENSITY,
    placement_height=HEIGHT,
    hinge_height=SUPPORT,
    brace_height=SUPPORT,
    height=SUPPORT,
    gives=Quantity("m"),
)
def greatest_shear_level(
    *,
    maximum_pressure: Column,
    weight_density: Column,
    placement_height: Column,
    hinge_height: Column,
    brace_height: Column,
    height: Column,
) -> Column:
    r"""Level at which the shear force of the concrete at a height is greatest.

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
    brace_height
        Upper support above the joint, :math:`s_b`. [m]
    height
        Height of the section, :math:`y`. [m]

    Returns
    -------
    Column
        Level of the concrete. [m]

    Examples
    --------
    Just above a hinge at the joint the shear force is its reaction, greatest at the brace plus half the
    fluid depth. By hand: 1.5 + 2 / 2 = 2.5 m.

    >>> greatest_shear_level(maximum_pressure=np.array([50.0]), weight_density=np.array([25.0]),
    ...     placement_height=np.array([3.0]), hinge_height=np.zeros(1), brace_height=np.array([1.5]),
    ...     height=np.zeros(1))
    array([2.5])
    """
    return _shear_level(
        1.0, maximum_pressure, weight_density, placement_height, hinge_height, brace_height, height
    )


@clause(
    INFLUENCE,
    maximum_pressure=PRESSURE,
    weight_density=DENSITY,
    placement_height=HEIGHT,
    hinge_height=SUPPORT,
    brace_height=SUPPORT,
    height=SUPPORT,
    gives=Quantity("m"),
)
def least_shear_level(
    *,
    maximum_pressure: Column,
    weight_density: Column,
    placement_height: Column,
    hinge_height: Column,
    brace_height: Column,
    height: Column,
) -> Column:
    r"""Level at which the shear force of the concrete at a height is least.

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
    brace_height
        Upper support above the joint, :math:`s_b`. [m]
    height
        Height of the section, :math:`y`. [m]

    Returns
    -------
    Column
        Level of the concrete. [m]

    Examples
    --------
    Hinge at the joint, brace at 1.5 m, at 1.125 m, fluid throughout. By hand: the sum of the influence line
    to the level x is -x^2 / 3, and x - 1.125 more beyond the section; x^2 - 3 x + 3.375 = 0 has no root, so
    that the shear force falls all the way to the full lift.

    >>> least_shear_level(maximum_pressure=np.array([50.0]), weight_density=np.array([25.0]),
    ...     placement_height=np.array([1.4]), hinge_height=np.zeros(1), brace_height=np.array([1.5]),
    ...     height=np.array([1.125]))
    array([1.4])
    """
    return _shear_level(
        -1.0, maximum_pressure, weight_density, placement_height, hinge_height, brace_height, height
    )


def _shear_level(
    sign: float, p_max: Columns, density: Columns, lift: Columns, a: Columns, b: Columns, y: Columns
) -> Columns:
    h_s, inside = p_max / density, np.maximum(np.clip(y, a, b), 0.0)  # nothing presses below the joint
    turning = _turning_levels_of_shear(h_s, a, b, inside)
    between = _best(sign, _shear_at, turning, lift, h_s, a, b, inside)
    none = np.zeros_like(lift)
    below, above = (none, lift) if sign > 0.0 else (lift, none)
    found = np.where(y < a, below, np.where(y < b, between, above))
    return known(found, p_max, density, lift, a, b, y)
