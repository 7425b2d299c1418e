"""Wind: EN 1991-1-4:2005, from the basic velocity to the peak velocity pressure.

Every number that a national annex may change is an argument; the recommended values stand in
``factors/en1991_1_4.toml``.
"""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.clauses.rows import Labels, by_label, factors, known
from sheetengine.sources import Known, Source

DOCUMENT = "EN 1991-1-4:2005"
NUMBERS = factors("en1991_1_4")
REFERENCE_ROUGHNESS = float(NUMBERS["reference_roughness"])

HEIGHT = Quantity("m", above=0.0, at_most=200.0)
ROUGHNESS = Quantity("m", above=0.0)
VELOCITY = Quantity("m/s", at_least=0.0)
FACTOR = Quantity("-", above=0.0)


@clause(
    Source(DOCUMENT, "4.2(2) Eq. (4.2)"),
    annual_probability=Quantity("-", above=0.0, below=1.0),
    shape_parameter=Quantity("-", at_least=0.0),
    probability_exponent=FACTOR,
    gives=Quantity("-"),
)
def probability_factor(
    *, annual_probability: Column, shape_parameter: Column, probability_exponent: Column
) -> Column:
    r"""Factor on the basic velocity for another return period.

    .. math::

        c_{prob} = \left( \frac{1 - K \ln(-\ln(1 - p))}{1 - K \ln(-\ln 0.98)} \right)^n

    Parameters
    ----------
    annual_probability
        Probability of being exceeded in a year, :math:`p`, one over the return period. [-]
    shape_parameter
        :math:`K`, national; recommended 0.2. [-]
    probability_exponent
        :math:`n`, national; recommended 0.5. [-]

    Returns
    -------
    Column
        Factor, :math:`c_{prob}`; the pressure goes with its square. [-]

    Examples
    --------
    By hand, p = 0.2: ln(-ln 0.8) = -1.4999; (1.29999 / 1.78039)^0.5 = 0.855.

    >>> probability_factor(
    ...     annual_probability=np.array([0.2, 0.02]),
    ...     shape_parameter=np.array([0.2, 0.2]),
    ...     probability_exponent=np.array([0.5, 0.5]),
    ... ).round(3)
    array([0.855, 1.   ])
    """
    K, n = shape_parameter, probability_exponent
    ratio: Column = (1.0 - K * np.log(-np.log(1.0 - annual_probability))) / (1.0 - K * np.log(-np.log(0.98)))
    return np.power(ratio, n)


@clause(
    Source(DOCUMENT, "4.2(2) Eq. (4.1), with the factor of Eq. (4.2)"),
    fundamental_velocity=VELOCITY,
    wind_direction_factor=FACTOR,
    season_factor=FACTOR,
    probability_factor=FACTOR,
    gives=Quantity("m/s"),
)
def basic_velocity(
    *,
    fundamental_velocity: Column,
    wind_direction_factor: Column,
    season_factor: Column,
    probability_factor: Column,
) -> Column:
    r"""Basic wind velocity, :math:`v_b = c_{dir} c_{season} c_{prob} v_{b,0}`.

    Parameters
    ----------
    fundamental_velocity
        Mean of 10 minutes, 10 m above open country, once in 50 years, :math:`v_{b,0}`. [m/s]
    wind_direction_factor
        Direction factor, :math:`c_{dir}`; recommended 1.0. [-]
    season_factor
        Season factor, :math:`c_{season}`; recommended 1.0. [-]
    probability_factor
        Factor for another return period, :math:`c_{prob}`. [-]

    Returns
    -------
    Column
        Basic velocity, :math:`v_b`. [m/s]

    Examples
    --------
    By hand: 1 x 0.9 x 0.8545 x 26 = 19.995 m/s.

    >>> basic_velocity(
    ...     fundamental_velocity=np.array([26.0]),
    ...     wind_direction_factor=np.array([1.0]),
    ...     season_factor=np.array([0.9]),
    ...     probability_factor=np.array([0.8545]),
    ... ).round(3)
    array([19.995])
    """
    return wind_direction_factor * season_factor * probability_factor * fundamental_velocity


@clause(Source(DOCUMENT, "Table 4.1"), terrain_category=Quantity("label"), gives=Quantity("m"))
def roughness_length(*, terrain_category: Labels) -> Column:
    """Roughness length of a terrain category, :math:`z_0`.

    Parameters
    ----------
    terrain_category
        ``0``, ``I``, ``II``, ``III`` or ``IV``. [label]

    Returns
    -------
    Column
        Roughness length. [m]

    Examples
    --------
    From the table:

    >>> roughness_length(terrain_category=np.array(["II", "III"]))
    array([0.05, 0.3 ])
    """
    return by_label(NUMBERS["roughness_length"], terrain_category)


@clause(Source(DOCUMENT, "Table 4.1"), terrain_category=Quantity("label"), gives=Quantity("m"))
def minimum_height(*, terrain_category: Labels) -> Column:
    """Height below which the wind of a terrain category is constant, :math:`z_{min}`.

    Parameters
    ----------
    terrain_category
        ``0``, ``I``, ``II``, ``III`` or ``IV``. [label]

    Returns
    -------
    Column
        Least height. [m]

    Examples
    --------
    From the table:

    >>> minimum_height(terrain_category=np.array(["II", "III"]))
    array([2., 5.])
    """
    return by_label(NUMBERS["minimum_height"], terrain_category)


@clause(
    Source(DOCUMENT, "4.3.2 Eq. (4.4) and (4.5)"),
    height_above_ground=HEIGHT,
    roughness_length=ROUGHNESS,
    minimum_height=ROUGHNESS,
    gives=Quantity("-"),
)
def roughness_factor(
    *, height_above_ground: Column, roughness_length: Column, minimum_height: Column
) -> Column:
    r"""Roughness factor, :math:`c_r = 0.19 (z_0 / 0.05)^{0.07} \ln(z / z_0)`, with :math:`z \ge z_{min}`.

    Parameters
    ----------
    height_above_ground
        Height above the ground, :math:`z`. [m]
    roughness_length
        Roughness length, :math:`z_0`. [m]
    minimum_height
        Least height, :math:`z_{min}`. [m]

    Returns
    -------
    Column
        Roughness factor, :math:`c_r`. [-]

    Examples
    --------
    By hand, category II at 10 m: 0.19 ln(200) = 1.007.

    >>> roughness_factor(
    ...     height_above_ground=np.array([10.0]),
    ...     roughness_length=np.array([0.05]),
    ...     minimum_height=np.array([2.0]),
    ... ).round(3)
    array([1.007])
    """
    z = np.maximum(height_above_ground, minimum_height)
    return 0.19 * (roughness_length / REFERENCE_ROUGHNESS) ** 0.07 * np.log(z / roughness_length)


@clause(
    Source(DOCUMENT, "4.3.1 Eq. (4.3)"),
    basic_velocity=VELOCITY,
    roughness_factor=FACTOR,
    orography_factor=FACTOR,
    gives=Quantity("m/s"),
)
def mean_velocity(*, basic_velocity: Column, roughness_factor: Column, orography_factor: Column) -> Column:
    r"""Mean wind velocity, :math:`v_m = c_r c_o v_b`.

    Parameters
    ----------
    basic_velocity
        Basic wind velocity, reduced for the duration where that applies, :math:`v_b`. [m/s]
    roughness_factor
        Roughness factor, :math:`c_r`. [-]
    orography_factor
        Orography factor, :math:`c_o`. [-]

    Returns
    -------
    Column
        Mean velocity, :math:`v_m`. [m/s]

    Examples
    --------
    By hand: 1.007 x 1 x 25 = 25.2 m/s.

    >>> mean_velocity(
    ...     basic_velocity=np.array([25.0]),
    ...     roughness_factor=np.array([1.007]),
    ...     orography_factor=np.array([1.0]),
    ... ).round(1)
    array([25.2])
    """
    return roughness_factor * orography_factor * basic_velocity


@clause(
    Source(DOCUMENT, "4.4 Eq. (4.7)"),
    height_above_ground=HEIGHT,
    roughness_length=ROUGHNESS,
    minimum_height=ROUGHNESS,
    orography_factor=FACTOR,
    turbulence_factor=FACTOR,
    gives=Quantity("-"),
)
def turbulence_intensity(
    *,
    height_above_ground: Column,
    roughness_length: Column,
    minimum_height: Column,
    orography_factor: Column,
    turbulence_factor: Column,
) -> Column:
    r"""Turbulence intensity, :math:`I_v = k_I / [c_o \ln(z / z_0)]`, with :math:`z \ge z_{min}`.

    Parameters
    ----------
    height_above_ground
        Height above the ground, :math:`z`. [m]
    roughness_length
        Roughness length, :math:`z_0`. [m]
    minimum_height
        Least height, :math:`z_{min}`. [m]
    orography_factor
        Orography factor, :math:`c_o`. [-]
    turbulence_factor
        Turbulence factor, :math:`k_I`; recommended 1.0. [-]

    Returns
    -------
    Column
        Turbulence intensity, :math:`I_v`. [-]

    Examples
    --------
    By hand, category II at 10 m: 1 / ln(200) = 0.189.

    >>> turbulence_intensity(
    ...     height_above_ground=np.array([10.0]),
    ...     roughness_length=np.array([0.05]),
    ...     minimum_height=np.array([2.0]),
    ...     orography_factor=np.array([1.0]),
    ...     turbulence_factor=np.array([1.0]),
    ... ).round(3)
    array([0.189])
    """
    z = np.maximum(height_above_ground, minimum_height)
    return turbulence_factor / (orography_factor * np.log(z / roughness_length))


@clause(
    Source(DOCUMENT, "4.5 Eq. (4.8)"),
    mean_velocity=VELOCITY,
    turbulence_intensity=Quantity("-", at_least=0.0),
    air_density=Quantity("kg/m3", above=0.0),
    gives=Quantity("kPa"),
)
def peak_velocity_pressure(
    *, mean_velocity: Column, turbulence_intensity: Column, air_density: Column
) -> Column:
    r"""Peak velocity pressure, :math:`q_p = (1 + 7 I_v) \tfrac{1}{2} \rho v_m^2`.

    Parameters
    ----------
    mean_velocity
        Mean velocity, :math:`v_m`. [m/s]
    turbulence_intensity
        Turbulence intensity, :math:`I_v`. [-]
    air_density
        Density of the air, :math:`\rho`; recommended 1.25. [kg/m3]

    Returns
    -------
    Column
        Peak velocity pressure, :math:`q_p`. [kPa]

    Examples
    --------
    By hand: (1 + 7 x 0.1887) x 0.5 x 1.25 x 25.167^2 / 1000 = 0.919 kPa.

    >>> peak_velocity_pressure(
    ...     mean_velocity=np.array([25.167]),
    ...     turbulence_intensity=np.array([0.1887]),
    ...     air_density=np.array([1.25]),
    ... ).round(3)
    array([0.919])
    """
    return (1.0 + 7.0 * turbulence_intensity) * 0.5 * air_density * mean_velocity**2 / 1000.0


@clause(
    Source(DOCUMENT, "5.2 Eq. (5.1) with net coefficients, 7.4.1"),
    peak_pressure=Quantity("kPa", at_least=0.0),
    net_coefficient=Quantity("-", at_least=0.0),
    gives=Quantity("kPa"),
)
def net_wind_pressure(*, peak_pressure: Column, net_coefficient: Column) -> Column:
    """Net pressure of the wind on a wall, both faces together, :math:`w = c_{p,net} q_p`.

    Parameters
    ----------
    peak_pressure
        Peak velocity pressure at the top of the wall, :math:`q_p`. [kPa]
    net_coefficient
        Net pressure coefficient, :math:`c_{p,net}`. [-]

    Returns
    -------
    Column
        Net pressure. [kPa]

    Examples
    --------
    By hand: 2.3 x 0.9 = 2.07 kPa.

    >>> net_wind_pressure(peak_pressure=np.array([0.9]), net_coefficient=np.array([2.3])).round(2)
    array([2.07])
    """
    return net_coefficient * peak_pressure


@clause(
    Source(DOCUMENT, "7.4.1 Table 7.9, solid wall", Known.MEMORY),
    wall_zone=Quantity("label"),
    length_over_height=Quantity("-", above=0.0),
    return_corners=Quantity("-", at_least=0.0, at_most=1.0),
    gives=Quantity("-"),
)
def free_standing_wall_coefficient(
    *, wall_zone: Labels, length_over_height: Column, return_corners: Column
) -> Column:
    """Net pressure coefficient of a solid free-standing wall, linear between the printed lengths.

    Parameters
    ----------
    wall_zone
        ``A`` to 0.3 h from the free end, ``B`` to 2 h, ``C`` to 4 h, ``D`` beyond. [label]
    length_over_height
        Length of the wall over its height. [-]
    return_corners
        1 where the wall returns at its end by at least its height, 0 where it does not. [-]

    Returns
    -------
    Column
        Net pressure coefficient. [-]

    Examples
    --------
    From the table, zone A: 2.3 to l/h = 3, 2.9 at 5; with return corners 2.1.

    >>> free_standing_wall_coefficient(
    ...     wall_zone=np.array(["A", "A", "A"]),
    ...     length_over_height=np.array([2.0, 4.0, 4.0]),
    ...     return_corners=np.array([0.0, 0.0, 1.0]),
    ... ).round(3)
    array([2.3, 2.6, 2.1])
    """
    words = np.asarray(wall_zone)
    lengths = NUMBERS["wall"]["length_over_height"]
    straight = np.full(words.shape, np.nan)
    for zone in "ABCD":
        line = np.interp(length_over_height, lengths, NUMBERS["wall"][zone])
        straight = np.where(words == zone, line, straight)
    returned = by_label(NUMBERS["wall_with_return_corners"], wall_zone)
    return known(np.where(return_corners == 1.0, returned, straight), length_over_height, return_corners)
