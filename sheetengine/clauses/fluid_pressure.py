"""Pressure of a fluid and of a fluid that has begun to stiffen: profile, resultant, bounds.

Every method of fresh-concrete pressure gives one design maximum. Over the height of the face the
pressure grows as in a fluid from the surface of the concrete down to the depth at which it meets
that maximum, and stays at it below. The methods share this profile and the way a value is bounded.
"""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Flags, Quantity, clause
from sheetengine.clauses.rows import known
from sheetengine.sources import Known, Source

FORMULA = 1.0
FLOOR = 2.0
FULL_HEAD = 3.0
OUTSIDE_SCOPE = 4.0

BOUND_NAMES = {
    FORMULA: "formula",
    FLOOR: "least pressure",
    FULL_HEAD: "full head",
    OUTSIDE_SCOPE: "outside scope, full head",
}
"""What the codes of every ``governing_bound`` mean."""

PROFILE = Source("Hydrostatics", "fluid to the depth of the design maximum, constant below", Known.MECHANICS)
DENSITY = Quantity("kN/m3", above=0.0)
HEIGHT = Quantity("m", at_least=0.0)
PRESSURE = Quantity("kPa", at_least=0.0)


@clause(PROFILE, weight_density=DENSITY, depth_below_surface=HEIGHT, gives=Quantity("kPa"))
def full_head(*, weight_density: Column, depth_below_surface: Column) -> Column:
    r"""Pressure of concrete that has not begun to stiffen, :math:`p = \gamma h`.

    Parameters
    ----------
    weight_density
        Weight density of the fresh concrete, :math:`\gamma`. [kN/m3]
    depth_below_surface
        Depth below the surface of the concrete, :math:`h`. [m]

    Returns
    -------
    Column
        Pressure, :math:`p`. [kPa]

    Examples
    --------
    By hand: 25 x 3 = 75 kPa.

    >>> full_head(weight_density=np.array([25.0]), depth_below_surface=np.array([3.0]))
    array([75.])
    """
    return weight_density * depth_below_surface


@clause(PROFILE, permissible_pressure=PRESSURE, weight_density=DENSITY, gives=Quantity("m"))
def greatest_height(*, permissible_pressure: Column, weight_density: Column) -> Column:
    r"""Greatest height at which the full head does not exceed a permissible pressure.

    Parameters
    ----------
    permissible_pressure
        Pressure that must not be exceeded. [kPa]
    weight_density
        Weight density of the fresh concrete, :math:`\gamma`. [kN/m3]

    Returns
    -------
    Column
        Height, :math:`p / \gamma`. [m]

    Examples
    --------
    By hand: 60 / 24 = 2.5 m.

    >>> greatest_height(permissible_pressure=np.array([60.0]), weight_density=np.array([24.0]))
    array([2.5])
    """
    return permissible_pressure / weight_density


@clause(
    PROFILE,
    maximum_pressure=PRESSURE,
    weight_density=DENSITY,
    placement_height=HEIGHT,
    gives=Quantity("m"),
)
def full_head_depth(*, maximum_pressure: Column, weight_density: Column, placement_height: Column) -> Column:
    r"""Depth to which the pressure is that of a fluid, :math:`h_s = p_{max} / \gamma \le H`.

    Parameters
    ----------
    maximum_pressure
        Design maximum of the pressure, :math:`p_{max}`. [kPa]
    weight_density
        Weight density of the fresh concrete, :math:`\gamma`. [kN/m3]
    placement_height
        Height of concrete placed, :math:`H`. [m]

    Returns
    -------
    Column
        Depth below the surface of the concrete, :math:`h_s`. [m]

    Examples
    --------
    By hand: 50 / 25 = 2 m; over a height of 1.5 m the whole face carries the fluid head.

    >>> full_head_depth(
    ...     maximum_pressure=np.array([50.0, 50.0]),
    ...     weight_density=np.array([25.0, 25.0]),
    ...     placement_height=np.array([3.0, 1.5]),
    ... )
    array([2. , 1.5])
    """
    return np.minimum(maximum_pressure / weight_density, placement_height)


@clause(
    PROFILE,
    maximum_pressure=PRESSURE,
    weight_density=DENSITY,
    depth_below_surface=HEIGHT,
    gives=Quantity("kPa"),
)
def pressure_at_depth(
    *, maximum_pressure: Column, weight_density: Column, depth_below_surface: Column
) -> Column:
    r"""Pressure at a depth, :math:`p = \min(\gamma z,\; p_{max})`.

    Parameters
    ----------
    maximum_pressure
        Design maximum of the pressure, :math:`p_{max}`. [kPa]
    weight_density
        Weight density of the fresh concrete, :math:`\gamma`. [kN/m3]
    depth_below_surface
        Depth below the surface of the concrete, :math:`z`. [m]

    Returns
    -------
    Column
        Pressure, :math:`p`. [kPa]

    Examples
    --------
    By hand: 25 x 1 = 25 kPa is below the maximum of 50 kPa, 25 x 3 = 75 kPa is not.

    >>> pressure_at_depth(
    ...     maximum_pressure=np.array([50.0, 50.0]),
    ...     weight_density=np.array([25.0, 25.0]),
    ...     depth_below_surface=np.array([1.0, 3.0]),
    ... )
    array([25., 50.])
    """
    return np.minimum(weight_density * depth_below_surface, maximum_pressure)


@clause(
    PROFILE,
    maximum_pressure=PRESSURE,
    weight_density=DENSITY,
    placement_height=HEIGHT,
    gives=Quantity("kN/m"),
)
def resultant(*, maximum_pressure: Column, weight_density: Column, placement_height: Column) -> Column:
    r"""Resultant of the profile on one metre of face, :math:`\gamma h_s (H - h_s / 2)`.

    Parameters
    ----------
    maximum_pressure
        Design maximum of the pressure, :math:`p_{max}`. [kPa]
    weight_density
        Weight density of the fresh concrete, :math:`\gamma`. [kN/m3]
    placement_height
        Height of concrete placed, :math:`H`. [m]

    Returns
    -------
    Column
        Force on one metre of face. [kN/m]

    Examples
    --------
    By hand: fluid part 50 x 2 / 2 = 50, constant part 50 x 1 = 50, together 100 kN/m.

    >>> resultant(
    ...     maximum_pressure=np.array([50.0]),
    ...     weight_density=np.array([25.0]),
    ...     placement_height=np.array([3.0]),
    ... )
    array([100.])
    """
    h_s = np.minimum(maximum_pressure / weight_density, placement_height)
    return weight_density * h_s * (placement_height - h_s / 2.0)


@clause(
    PROFILE,
    maximum_pressure=PRESSURE,
    weight_density=DENSITY,
    placement_height=Quantity("m", above=0.0),
    gives=Quantity("m"),
)
def resultant_height(*, maximum_pressure: Column, weight_density: Column, placement_height: Column) -> Column:
    r"""Height of the resultant above the base of the lift.

    .. math::

        z = \frac{\tfrac{1}{2} h_s (H - \tfrac{2}{3} h_s) + \tfrac{1}{2} (H - h_s)^2}{H - h_s / 2}

    Parameters
    ----------
    maximum_pressure
        Design maximum of the pressure, :math:`p_{max}`. [kPa]
    weight_density
        Weight density of the fresh concrete, :math:`\gamma`. [kN/m3]
    placement_height
        Height of concrete placed, :math:`H`. [m]

    Returns
    -------
    Column
        Height above the base, :math:`z`. [m]

    Examples
    --------
    By hand: fluid part 50 kN/m at 1 + 2/3 m, constant part 50 kN/m at 0.5 m:
    (50 x 1.667 + 50 x 0.5) / 100 = 1.083 m. Under full head it lies at H/3 = 1 m.

    >>> resultant_height(
    ...     maximum_pressure=np.array([50.0, 75.0]),
    ...     weight_density=np.array([25.0, 25.0]),
    ...     placement_height=np.array([3.0, 3.0]),
    ... ).round(3)
    array([1.083, 1.   ])
    """
    H = placement_height
    h_s = np.minimum(maximum_pressure / weight_density, H)
    return (h_s * (H - 2.0 / 3.0 * h_s) + (H - h_s) ** 2) / (2.0 * H - h_s)


def bounded(*, formula: Column, floor: Column | float, fluid: Column, within_scope: Flags) -> Column:
    """Return the formula's value, not below the floor nor above the fluid; the fluid out of scope."""
    return np.where(within_scope, np.minimum(np.maximum(formula, floor), fluid), fluid)


def bound_code(*, formula: Column, floor: Column | float, fluid: Column, within_scope: Flags) -> Column:
    """Return which bound :func:`bounded` took, as a code of :data:`BOUND_NAMES`."""
    code = np.where(formula >= floor, FORMULA, FLOOR)
    code = np.where(np.maximum(formula, floor) >= fluid, FULL_HEAD, code)
    return known(np.where(within_scope, code, OUTSIDE_SCOPE), formula, fluid)


def bounded_rate(
    *,
    rate: Column,
    permissible_pressure: Column,
    floor: Column | float,
    fluid: Column,
    within_scope: Flags,
    greatest: float = np.inf,
) -> Column:
    """Return the greatest rate of rise allowed by a permissible pressure.

    ``rate`` is the rate at which the formula alone meets the permissible pressure, ``greatest`` the
    highest rate of the method's scope. Infinite where the full head may be carried; zero where no
    rate is slow enough.
    """
    limited = np.minimum(np.maximum(rate, 0.0), greatest)
    limited = np.where(within_scope & (permissible_pressure >= floor), limited, 0.0)
    return known(np.where(permissible_pressure >= fluid, np.inf, limited), rate, permissible_pressure, fluid)
