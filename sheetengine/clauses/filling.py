"""The filling of a lift in time: level of the concrete, layers, and how long their faces stay open.

A lift rises evenly, or in layers of one depth. A layer counts as placed at once at the beginning of its
period, which is the time in which the even rise covers its depth; the layered level is then never below
the even one. Layers follow each other over the plan in the same order, so that every point of a layer's
face stays open for one period.
"""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.clauses.rows import known
from sheetengine.sources import Known, Source

RISE = Source("Kinematics of placing", "volume placed evenly over the plan", Known.MECHANICS)
FLUID = Source("Hydrostatics", "a layer placed at once is fluid over its depth", Known.MECHANICS)

RATE = Quantity("m/h", above=0.0)
DEPTH = Quantity("m", above=0.0)
LIFT = Quantity("m", above=0.0)


@clause(
    RISE,
    filling_time=Quantity("h", at_least=0.0),
    rate_of_rise=RATE,
    placement_height=LIFT,
    gives=Quantity("m"),
)
def even_level(*, filling_time: Column, rate_of_rise: Column, placement_height: Column) -> Column:
    r"""Level of the concrete at an even rise, :math:`\ell = \min(R t,\; H)`.

    Parameters
    ----------
    filling_time
        Time since placing began, :math:`t`. [h]
    rate_of_rise
        Rate of rise, :math:`R`. [m/h]
    placement_height
        Height of the lift, :math:`H`. [m]

    Returns
    -------
    Column
        Level above the joint, :math:`\ell`. [m]

    Examples
    --------
    At 0.4 m/h, a lift of 2 m. By hand: 0.4 x 3 = 1.2 m; after 6 h it is full.

    >>> even_level(filling_time=np.array([3.0, 6.0]), rate_of_rise=np.array([0.4, 0.4]),
    ...     placement_height=np.array([2.0, 2.0])).round(9)
    array([1.2, 2. ])
    """
    return np.minimum(rate_of_rise * filling_time, placement_height)


@clause(
    RISE,
    filling_time=Quantity("h", at_least=0.0),
    rate_of_rise=RATE,
    layer_depth=DEPTH,
    placement_height=LIFT,
    gives=Quantity("m"),
)
def layered_level(
    *, filling_time: Column, rate_of_rise: Column, layer_depth: Column, placement_height: Column
) -> Column:
    r"""Level of the concrete placed in layers, :math:`\ell = \min(d (\lfloor R t / d \rfloor + 1),\; H)`.

    Parameters
    ----------
    filling_time
        Time since placing began, :math:`t`. [h]
    rate_of_rise
        Mean rate of rise, :math:`R`. [m/h]
    layer_depth
        Depth of a layer, :math:`d`. [m]
    placement_height
        Height of the lift, :math:`H`. [m]

    Returns
    -------
    Column
        Level above the joint, :math:`\ell`, never below that of the even rise. [m]

    Examples
    --------
    Layers of 0.5 m at 0.4 m/h follow each 1.25 h. By hand: after 1 h one layer, 0.5 m; after 3 h three, 1.5 m.

    >>> layered_level(filling_time=np.array([1.0, 3.0]), rate_of_rise=np.array([0.4, 0.4]),
    ...     layer_depth=np.array([0.5, 0.5]), placement_height=np.array([2.0, 2.0]))
    array([0.5, 1.5])
    """
    placed = np.floor(np.round(rate_of_rise * filling_time / layer_depth, 9)) + 1.0
    return np.minimum(layer_depth * placed, placement_height)


@clause(RISE, rate_of_rise=RATE, placement_height=LIFT, gives=Quantity("h"))
def hours_to_fill(*, rate_of_rise: Column, placement_height: Column) -> Column:
    r"""Time in which a lift is filled, :math:`H / R`.

    Parameters
    ----------
    rate_of_rise
        Rate of rise, :math:`R`. [m/h]
    placement_height
        Height of the lift, :math:`H`. [m]

    Returns
    -------
    Column
        Time from the first concrete to the full lift. [h]

    Examples
    --------
    By hand: 2 / 0.4 = 5 h.

    >>> hours_to_fill(rate_of_rise=np.array([0.4]), placement_height=np.array([2.0]))
    array([5.])
    """
    return placement_height / rate_of_rise


@clause(RISE, rate_of_rise=RATE, layer_depth=DEPTH, gives=Quantity("h"))
def layer_interval(*, rate_of_rise: Column, layer_depth: Column) -> Column:
    r"""Time from a layer to the next, :math:`d / R`.

    Parameters
    ----------
    rate_of_rise
        Mean rate of rise, :math:`R`. [m/h]
    layer_depth
        Depth of a layer, :math:`d`. [m]

    Returns
    -------
    Column
        Period of the layers. [h]

    Examples
    --------
    By hand: 0.5 / 0.4 = 1.25 h.

    >>> layer_interval(rate_of_rise=np.array([0.4]), layer_depth=np.array([0.5]))
    array([1.25])
    """
    return layer_depth / rate_of_rise


@clause(RISE, rate_of_rise=RATE, layer_depth=DEPTH, placement_height=LIFT, gives=Quantity("h"))
def longest_exposure(*, rate_of_rise: Column, layer_depth: Column, placement_height: Column) -> Column:
    r"""Longest time for which a point of a layer's face stays open, :math:`d / R`.

    Parameters
    ----------
    rate_of_rise
        Mean rate of rise, :math:`R`. [m/h]
    layer_depth
        Depth of a layer, :math:`d`. [m]
    placement_height
        Height of the lift, :math:`H`. [m]

    Returns
    -------
    Column
        Time; 0 for a lift of one layer, whose top is the joint. [h]

    Notes
    -----
    Holds where every layer is placed over the plan in the same order and without a stop. Placed to and
    fro, the end of the plan stays open for up to twice as long.

    Examples
    --------
    By hand: layers of 0.5 m at 0.4 m/h stay open for 1.25 h; one layer of 2.5 m fills the lift.

    >>> longest_exposure(rate_of_rise=np.array([0.4, 0.4]), layer_depth=np.array([0.5, 2.5]),
    ...     placement_height=np.array([2.0, 2.0]))
    array([1.25, 0.  ])
    """
    covered = np.where(layer_depth < placement_height, layer_depth / rate_of_rise, 0.0)
    return known(covered, rate_of_rise, layer_depth, placement_height)


@clause(
    RISE,
    layer_depth=DEPTH,
    exposure_window=Quantity("h", above=0.0),
    placement_height=LIFT,
    gives=Quantity("m/h"),
)
def least_rise_rate(*, layer_depth: Column, exposure_window: Column, placement_height: Column) -> Column:
    r"""Least rate of rise at which no layer's face stays open longer than it may, :math:`R = d / t_w`.

    Parameters
    ----------
    layer_depth
        Depth of a layer, :math:`d`. [m]
    exposure_window
        Time for which a face may stay open, :math:`t_w`. [h]
    placement_height
        Height of the lift, :math:`H`. [m]

    Returns
    -------
    Column
        Rate of rise; 0 for a lift of one layer. [m/h]

    Examples
    --------
    By hand: 0.5 m within 2 h ask for 0.25 m/h; one layer of 2.5 m in a lift of 2 m for nothing.

    >>> least_rise_rate(layer_depth=np.array([0.5, 2.5]), exposure_window=np.array([2.0, 2.0]),
    ...     placement_height=np.array([2.0, 2.0]))
    array([0.25, 0.  ])
    """
    asked = np.where(layer_depth < placement_height, layer_depth / exposure_window, 0.0)
    return known(asked, layer_depth, exposure_window, placement_height)


@clause(
    FLUID,
    weight_density=Quantity("kN/m3", above=0.0),
    layer_depth=DEPTH,
    placement_height=LIFT,
    gives=Quantity("kPa"),
)
def layer_pressure(*, weight_density: Column, layer_depth: Column, placement_height: Column) -> Column:
    r"""Pressure at the foot of a layer placed at once, :math:`\gamma \min(d,\; H)`.

    Parameters
    ----------
    weight_density
        Weight density of the fresh concrete, :math:`\gamma`. [kN/m3]
    layer_depth
        Depth of a layer, :math:`d`. [m]
    placement_height
        Height of the lift, :math:`H`. [m]

    Returns
    -------
    Column
        Pressure, below which no expression for an even rise may be taken. [kPa]

    Examples
    --------
    By hand: 25 x 0.5 = 12.5 kPa.

    >>> layer_pressure(weight_density=np.array([25.0]), layer_depth=np.array([0.5]),
    ...     placement_height=np.array([2.0]))
    array([12.5])
    """
    return weight_density * np.minimum(layer_depth, placement_height)
