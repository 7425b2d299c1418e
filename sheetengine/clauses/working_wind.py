"""Working wind: the wind up to which work on a platform goes on, as pressure and as speed."""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.clauses.rows import factors
from sheetengine.sources import Known, Source

MECHANICS = Source("Bernoulli's equation", "dynamic pressure of a flow", Known.MECHANICS)
NUMBERS = factors("working_wind")

WORKING_WIND_PRESSURE = float(NUMBERS["pressure"])
"""Velocity pressure of the working wind, kPa (EN 12811-1:2003, 6.2.7.4.2, from memory)."""


@clause(
    MECHANICS,
    wind_speed=Quantity("m/s", at_least=0.0),
    air_density=Quantity("kg/m3", above=0.0),
    gives=Quantity("kPa"),
)
def velocity_pressure(*, wind_speed: Column, air_density: Column) -> Column:
    r"""Velocity pressure, :math:`q = \rho v^2 / 2`.

    Parameters
    ----------
    wind_speed
        Wind speed, :math:`v`. [m/s]
    air_density
        Density of the air, :math:`\rho`. [kg/m3]

    Returns
    -------
    Column
        Velocity pressure. [kPa]

    Examples
    --------
    By hand: 1.25 x 20^2 / 2000 = 0.25 kPa.

    >>> velocity_pressure(wind_speed=np.array([20.0]), air_density=np.array([1.25]))
    array([0.25])
    """
    return air_density * wind_speed**2 / 2000.0


@clause(
    MECHANICS,
    wind_pressure=Quantity("kPa", at_least=0.0),
    air_density=Quantity("kg/m3", above=0.0),
    gives=Quantity("m/s"),
)
def wind_speed(*, wind_pressure: Column, air_density: Column) -> Column:
    r"""Wind speed of a velocity pressure, :math:`v = \sqrt{2 q / \rho}`.

    Parameters
    ----------
    wind_pressure
        Velocity pressure, :math:`q`. [kPa]
    air_density
        Density of the air, :math:`\rho`. [kg/m3]

    Returns
    -------
    Column
        Wind speed. [m/s]

    Examples
    --------
    By hand: sqrt(2000 x 0.25 / 1.25) = 20 m/s.

    >>> wind_speed(wind_pressure=np.array([0.25]), air_density=np.array([1.25]))
    array([20.])
    """
    return np.sqrt(2000.0 * wind_pressure / air_density)
