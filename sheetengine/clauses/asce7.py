"""Wind: ASCE 7-16, velocity pressure from the basic wind speed (3-second gust)."""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.clauses.rows import Labels, by_label, factors
from sheetengine.sources import Known, Source

DOCUMENT = "ASCE 7-16"
NUMBERS = factors("asce7_16")
DIRECTIONALITY = float(NUMBERS["directionality"])
"""Wind directionality factor of solid freestanding walls."""
LEAST_HEIGHT = float(NUMBERS["least_height"])
GREATEST_HEIGHT = float(NUMBERS["greatest_height"])
FACTOR = Quantity("-", above=0.0)


@clause(
    Source(DOCUMENT, "Table 26.10-1, note 1", Known.MEMORY),
    height_above_ground=Quantity("m", above=0.0, at_most=GREATEST_HEIGHT),
    exposure_category=Quantity("label"),
    gives=Quantity("-"),
)
def exposure_coefficient(*, height_above_ground: Column, exposure_category: Labels) -> Column:
    r"""Velocity pressure exposure coefficient, :math:`K_z = 2.01 (z / z_g)^{2 / \alpha}`.

    Parameters
    ----------
    height_above_ground
        Height above the ground, :math:`z`; 15 ft (4.572 m) are taken below that. [m]
    exposure_category
        ``B`` (suburban, wooded), ``C`` (open) or ``D`` (along open water). [label]

    Returns
    -------
    Column
        Exposure coefficient. [-]

    Examples
    --------
    From the table, exposure C: 0.85 at 15 ft and 1.09 at 50 ft (15.24 m).

    >>> exposure_coefficient(
    ...     height_above_ground=np.array([3.0, 15.24]), exposure_category=np.array(["C", "C"])
    ... ).round(2)
    array([0.85, 1.09])
    """
    z = np.maximum(height_above_ground, LEAST_HEIGHT)
    gradient = by_label(NUMBERS["gradient_height"], exposure_category)
    return 2.01 * np.power(z / gradient, 2.0 / by_label(NUMBERS["power"], exposure_category))


@clause(
    Source(DOCUMENT, "26.10.2 Eq. (26.10-1.si)", Known.MEMORY),
    wind_speed=Quantity("m/s", at_least=0.0),
    exposure_coefficient=FACTOR,
    topographic_factor=FACTOR,
    directionality_factor=FACTOR,
    elevation_factor=FACTOR,
    gives=Quantity("kPa"),
)
def gust_velocity_pressure(
    *,
    wind_speed: Column,
    exposure_coefficient: Column,
    topographic_factor: Column,
    directionality_factor: Column,
    elevation_factor: Column,
) -> Column:
    r"""Velocity pressure, :math:`q_z = 0.613 K_z K_{zt} K_d K_e V^2`.

    Parameters
    ----------
    wind_speed
        Basic wind speed, a gust of 3 s at 33 ft in exposure C, :math:`V`. [m/s]
    exposure_coefficient
        Exposure coefficient, :math:`K_z`. [-]
    topographic_factor
        Topographic factor, :math:`K_{zt}`. [-]
    directionality_factor
        Directionality factor, :math:`K_d`. [-]
    elevation_factor
        Ground elevation factor, :math:`K_e`; 1.0 may be taken everywhere. [-]

    Returns
    -------
    Column
        Velocity pressure. [kPa]

    Examples
    --------
    By hand, 115 mph = 51.41 m/s, exposure C at 33 ft: 0.613 x 1.0 x 1 x 0.85 x 1 x 51.41^2 / 1000
    = 1.377 kPa (28.8 psf: 0.00256 x 0.85 x 115^2).

    >>> gust_velocity_pressure(
    ...     wind_speed=np.array([51.41]),
    ...     exposure_coefficient=np.array([1.0]),
    ...     topographic_factor=np.array([1.0]),
    ...     directionality_factor=np.array([0.85]),
    ...     elevation_factor=np.array([1.0]),
    ... ).round(3)
    array([1.377])
    """
    constant = float(NUMBERS["density_constant"]) / 1000.0
    K_z, K_zt, K_d, K_e = exposure_coefficient, topographic_factor, directionality_factor, elevation_factor
    return constant * K_z * K_zt * K_d * K_e * wind_speed**2
