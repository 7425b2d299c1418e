"""Crane picks: load on the hook, dynamic factor of hoisting, and the wind up to which a load may hang.

The equation of the hook load is mechanics. The factors stand in ``factors/crane_pick.toml``.
"""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.clauses.rows import Labels, by_label, factors
from sheetengine.sources import Known, Source

NUMBERS = factors("crane_pick")
STANDARD_GRAVITY = 9.80665
"""Standard acceleration of gravity, m/s2 (ISO 80000-3)."""
DYNAMIC_FACTOR = float(NUMBERS["dynamic_factor"])
DYNAMIC_SOURCE = Source("CEN/TR 15728", "dynamic factor for tower, portal and mobile cranes", Known.MEMORY)
AREA_PER_TONNE = float(NUMBERS["area_per_tonne"])
"""Wind area, area times coefficient, that a crane's wind limit allows for each tonne of load, m2/t."""
PLATE_COEFFICIENT = float(NUMBERS["plate_coefficient"])
PLATE_SOURCE = Source("EN 1991-1-4:2005", "7.4.3, signboard clear of the ground", Known.MEMORY)
WIND_SOURCE = Source("EN 13000:2010", "wind area of the hoist load, 1.2 m2 a tonne", Known.MEMORY)


@clause(
    Source("Newton's second law", "weight times dynamic factor", Known.MECHANICS),
    lifted_mass=Quantity("kg", at_least=0.0),
    dynamic_factor=Quantity("-", at_least=1.0),
    gives=Quantity("kN"),
)
def hook_load(*, lifted_mass: Column, dynamic_factor: Column) -> Column:
    r"""Load of a mass on the hook, :math:`F = \varphi m g`.

    Parameters
    ----------
    lifted_mass
        Mass on the hook with its rigging, :math:`m`. [kg]
    dynamic_factor
        Factor for hoisting and slewing, :math:`\varphi`. [-]

    Returns
    -------
    Column
        Load. [kN]

    Examples
    --------
    By hand: 1.3 x 2000 x 9.80665 / 1000 = 25.497 kN.

    >>> hook_load(lifted_mass=np.array([2000.0]), dynamic_factor=np.array([1.3])).round(3)
    array([25.497])
    """
    return dynamic_factor * lifted_mass * STANDARD_GRAVITY / 1000.0


@clause(
    Source("EN 1991-3:2006", "Table 2.4, Table 2.5"),
    hoisting_class=Quantity("label"),
    hoisting_speed=Quantity("m/s", at_least=0.0),
    gives=Quantity("-"),
)
def hoisting_factor(*, hoisting_class: Labels, hoisting_speed: Column) -> Column:
    r"""Dynamic factor of lifting a free load, :math:`\varphi_2 = \varphi_{2,min} + \beta_2 v_h`.

    Parameters
    ----------
    hoisting_class
        ``HC1`` to ``HC4``, by the manner in which the crane takes up its load. [label]
    hoisting_speed
        Steady hoisting speed, :math:`v_h`. [m/s]

    Returns
    -------
    Column
        Dynamic factor. [-]

    Examples
    --------
    By hand, HC2 at 0.5 m/s: 1.10 + 0.34 x 0.5 = 1.27.

    >>> hoisting_factor(hoisting_class=np.array(["HC2"]), hoisting_speed=np.array([0.5]))
    array([1.27])
    """
    least = by_label(NUMBERS["least_hoisting_factor"], hoisting_class)
    return least + by_label(NUMBERS["hoisting_rate"], hoisting_class) * hoisting_speed


@clause(
    WIND_SOURCE,
    crane_wind_speed=Quantity("m/s", at_least=0.0),
    lifted_mass=Quantity("kg", above=0.0),
    wind_area=Quantity("m2", above=0.0),
    force_coefficient=Quantity("-", above=0.0),
    gives=Quantity("m/s"),
)
def greatest_pick_wind(
    *, crane_wind_speed: Column, lifted_mass: Column, wind_area: Column, force_coefficient: Column
) -> Column:
    r"""Wind speed up to which a load may be lifted, :math:`v = v_{max} \sqrt{1.2\,m / (A_P c_w)} \le v_{max}`.

    A crane's wind limit supposes a load that offers 1.2 m2 of wind area for each tonne. A load that offers
    more must be set down at the speed at which the wind pulls at it as hard as at that load at the limit.

    Parameters
    ----------
    crane_wind_speed
        Wind limit of the crane at work, :math:`v_{max}`. [m/s]
    lifted_mass
        Mass of the load, :math:`m`, in tonnes in the equation. [kg]
    wind_area
        Greatest area that the load turns to the wind, :math:`A_P`. [m2]
    force_coefficient
        Force coefficient, :math:`c_w`. [-]

    Returns
    -------
    Column
        Wind speed. [m/s]

    Examples
    --------
    By hand: 12 x sqrt(1.2 x 2 / (9 x 1.8)) = 12 x sqrt(0.14815) = 4.619 m/s; a dense load keeps 12 m/s.

    >>> greatest_pick_wind(
    ...     crane_wind_speed=np.array([12.0, 12.0]),
    ...     lifted_mass=np.array([2000.0, 20000.0]),
    ...     wind_area=np.array([9.0, 9.0]),
    ...     force_coefficient=np.array([1.8, 1.8]),
    ... ).round(3)
    array([ 4.619, 12.   ])
    """
    share = AREA_PER_TONNE * lifted_mass / 1000.0 / (wind_area * force_coefficient)
    return crane_wind_speed * np.sqrt(np.minimum(share, 1.0))
