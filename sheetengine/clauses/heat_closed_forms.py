"""Closed forms of heat conduction against which a numerical temperature field is checked.

Lengths in m, times in h, diffusivity in m2/h, temperatures as differences in K.
"""

from __future__ import annotations

import numpy as np
from scipy.special import erfc, erfcx, exprel

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.clauses.rows import known
from sheetengine.sources import Known, Source

CARSLAW = "Carslaw & Jaeger, Conduction of Heat in Solids (2nd ed. 1959)"
INCROPERA = "Incropera & DeWitt, Fundamentals of Heat and Mass Transfer (5th ed. 2002)"

TERMS = 80
"""Terms of every series; the faces of a slab at the very start are the slowest to settle."""

HALVINGS = 60
"""Bisections for a root; each bracket is about 1.6 wide, so that the last is at rounding error."""

_DEPTH = Quantity("m", at_least=0.0)
_LENGTH = Quantity("m", above=0.0)
_TIME = Quantity("h", at_least=0.0)
_LATER = Quantity("h", above=0.0)
_DIFFUSIVITY = Quantity("m^2/h", above=0.0)
_RISE = Quantity("K")


def _spread(*columns: Column) -> tuple[Column, ...]:
    """Return the columns with one more axis at the end, for the terms of a series."""
    return tuple(np.asarray(values, dtype=np.float64)[..., np.newaxis] for values in columns)


@clause(
    Source(CARSLAW, "2.4", Known.MEMORY),
    surface_step=_RISE,
    depth_from_surface=_DEPTH,
    elapsed_time=_LATER,
    diffusivity=_DIFFUSIVITY,
    gives=Quantity("K"),
)
def half_space_step(
    *, surface_step: Column, depth_from_surface: Column, elapsed_time: Column, diffusivity: Column
) -> Column:
    r"""Temperature in a half-space whose surface is raised at once and held.

    .. math:: T = \Delta T\, \mathrm{erfc}\left(\frac{x}{2 \sqrt{\kappa t}}\right)

    Parameters
    ----------
    surface_step
        Step of the surface temperature, :math:`\Delta T`. [K]
    depth_from_surface
        :math:`x`. [m]
    elapsed_time
        Time since the step, :math:`t`. [h]
    diffusivity
        :math:`\kappa`. [m^2/h]

    Returns
    -------
    Column
        Rise above the temperature at the start. [K]

    Examples
    --------
    By hand: 0.3/(2 x 0.3098) = 0.4841; erfc = 0.4936; x 20 = 9.87.

    >>> half_space_step(
    ...     surface_step=np.array([20.0]),
    ...     depth_from_surface=np.array([0.3]),
    ...     elapsed_time=np.array([24.0]),
    ...     diffusivity=np.array([0.004]),
    ... ).round(2)
    array([9.87])
    """
    reach = 2.0 * np.sqrt(diffusivity * elapsed_time)
    return np.asarray(surface_step * erfc(depth_from_surface / reach), dtype=np.float64)


@clause(
    Source(INCROPERA, "semi-infinite solid, case 3"),
    ambient_step=_RISE,
    depth_from_surface=_DEPTH,
    elapsed_time=_LATER,
    diffusivity=_DIFFUSIVITY,
    film_coefficient=Quantity("W/m^2/K", at_least=0.0),
    conductivity=Quantity("W/m/K", above=0.0),
    gives=Quantity("K"),
)
def half_space_convection(
    *,
    ambient_step: Column,
    depth_from_surface: Column,
    elapsed_time: Column,
    diffusivity: Column,
    film_coefficient: Column,
    conductivity: Column,
) -> Column:
    r"""Temperature in a half-space whose surface meets air of another temperature.

    .. math::

        \frac{T}{\Delta T} = \mathrm{erfc}(u)
            - \exp\left(\frac{h x}{k} + \frac{h^2 \kappa t}{k^2}\right) \mathrm{erfc}(u + v),
        \qquad u = \frac{x}{2 \sqrt{\kappa t}},\quad v = \frac{h \sqrt{\kappa t}}{k}

    Parameters
    ----------
    ambient_step
        Air less the temperature of the solid at the start, :math:`\Delta T`. [K]
    depth_from_surface
        :math:`x`. [m]
    elapsed_time
        :math:`t`. [h]
    diffusivity
        :math:`\kappa`. [m^2/h]
    film_coefficient
        :math:`h`. [W/m^2/K]
    conductivity
        :math:`k`. [W/m/K]

    Returns
    -------
    Column
        Rise above the temperature at the start. [K]

    Examples
    --------
    After a long time the solid at the surface comes to the air's temperature. By hand at 1 h:
    v = 20 x 0.0632/2.5 = 0.506; erfc(0) - e^0.256 erfc(0.506) = 1 - 1.2917 x 0.4742 = 0.387.

    >>> half_space_convection(
    ...     ambient_step=np.array([1.0]),
    ...     depth_from_surface=np.array([0.0]),
    ...     elapsed_time=np.array([1.0]),
    ...     diffusivity=np.array([0.004]),
    ...     film_coefficient=np.array([20.0]),
    ...     conductivity=np.array([2.5]),
    ... ).round(3)
    array([0.387])
    """
    root = np.sqrt(diffusivity * elapsed_time)
    u = depth_from_surface / (2.0 * root)
    v = film_coefficient / conductivity * root
    share = erfc(u) - np.exp(-(u**2)) * erfcx(u + v)
    return np.asarray(ambient_step * share, dtype=np.float64)


def _slab_roots(biot: Column, count: int) -> Column:
    """Return the first roots of zeta tan zeta = Bi, on one more axis at the end."""
    (number,) = _spread(biot)
    low = np.arange(count) * np.pi + np.zeros_like(number)
    sign = (-1.0) ** np.arange(count)
    high = low + np.pi / 2.0
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        below = sign * (middle * np.sin(middle) - number * np.cos(middle)) < 0.0
        low = np.where(below, middle, low)
        high = np.where(below, high, middle)
    return known(0.5 * (low + high), number + np.zeros_like(low))


@clause(
    Source(INCROPERA, "plane wall with convection, first root, Table 5.1", Known.MEMORY),
    biot_number=Quantity("-", above=0.0),
    gives=Quantity("rad"),
)
def slab_first_root(*, biot_number: Column) -> Column:
    r"""First root of the slab with convection on both faces.

    .. math:: \zeta_1 \tan \zeta_1 = \mathrm{Bi}, \qquad 0 < \zeta_1 < \pi/2

    Parameters
    ----------
    biot_number
        :math:`h L / k` with half the thickness :math:`L`. [-]

    Returns
    -------
    Column
        :math:`\zeta_1`. [rad]

    Examples
    --------
    By hand: 0.8603 x tan 0.8603 = 0.8603 x 1.1624 = 1.000.

    >>> slab_first_root(biot_number=np.array([1.0])).round(4)
    array([0.8603])
    """
    first: Column = _slab_roots(biot_number, 1)[..., 0]
    return first


@clause(
    Source(INCROPERA, "plane wall with convection, first coefficient, Table 5.1", Known.MEMORY),
    first_root=Quantity("rad", above=0.0, below=np.pi / 2.0),
    gives=Quantity("-"),
)
def slab_first_coefficient(*, first_root: Column) -> Column:
    r"""Coefficient of the first term of the slab with convection on both faces.

    .. math:: C_1 = \frac{4 \sin \zeta_1}{2 \zeta_1 + \sin 2 \zeta_1}

    Parameters
    ----------
    first_root
        :math:`\zeta_1`. [rad]

    Returns
    -------
    Column
        :math:`C_1`. [-]

    Examples
    --------
    By hand: 4 x 0.7581/(1.7206 + 0.9888) = 1.119.

    >>> slab_first_coefficient(first_root=np.array([0.8603])).round(3)
    array([1.119])
    """
    return 4.0 * np.sin(first_root) / (2.0 * first_root + np.sin(2.0 * first_root))


@clause(
    Source(INCROPERA, "plane wall with convection, series", Known.MEMORY),
    biot_number=Quantity("-", above=0.0),
    fourier_number=Quantity("-", at_least=0.0),
    relative_position=Quantity("-", at_least=-1.0, at_most=1.0),
    gives=Quantity("-"),
)
def slab_convection(*, biot_number: Column, fourier_number: Column, relative_position: Column) -> Column:
    r"""Excess temperature left in a slab that cools to air on both faces.

    .. math::

        \theta = \sum_n C_n e^{-\zeta_n^2 \mathrm{Fo}} \cos(\zeta_n x/L)

    Parameters
    ----------
    biot_number
        :math:`\mathrm{Bi} = h L / k` with half the thickness :math:`L`. [-]
    fourier_number
        :math:`\mathrm{Fo} = \kappa t / L^2`. [-]
    relative_position
        From the mid-plane over half the thickness, :math:`x/L`. [-]

    Returns
    -------
    Column
        Excess over the air as a part of the excess at the start. [-]

    Examples
    --------
    By hand, the first term alone: 1.1191 x e^-0.3701 = 0.7729; the next takes off 0.0004.

    >>> slab_convection(
    ...     biot_number=np.array([1.0]),
    ...     fourier_number=np.array([0.5]),
    ...     relative_position=np.array([0.0]),
    ... ).round(4)
    array([0.7725])
    """
    roots = _slab_roots(biot_number, TERMS)
    fourier, position = _spread(fourier_number, relative_position)
    coefficients = 4.0 * np.sin(roots) / (2.0 * roots + np.sin(2.0 * roots))
    terms = coefficients * np.exp(-(roots**2) * fourier) * np.cos(roots * position)
    return np.asarray(terms.sum(axis=-1), dtype=np.float64)


@clause(
    Source(CARSLAW, "3.3", Known.MEMORY),
    thickness=_LENGTH,
    diffusivity=_DIFFUSIVITY,
    elapsed_time=_TIME,
    gives=Quantity("-"),
)
def slab_mean_remaining(*, thickness: Column, diffusivity: Column, elapsed_time: Column) -> Column:
    r"""Mean excess temperature left in a slab whose faces are held.

    .. math::

        \bar\theta = \sum_n \frac{8}{(2n+1)^2 \pi^2}
                     \exp\left(-\frac{(2n+1)^2 \pi^2 \kappa t}{H^2}\right)

    Parameters
    ----------
    thickness
        Whole thickness, :math:`H`. [m]
    diffusivity
        :math:`\kappa`. [m^2/h]
    elapsed_time
        :math:`t`. [h]

    Returns
    -------
    Column
        Part of the excess at the start. [-]

    Notes
    -----
    At no time at all the truncated sum is 0.25 % short of 1.

    Examples
    --------
    By hand, the first term: 0.8106 x exp(-9.8696 x 0.128) = 0.8106 x 0.2828 = 0.2292.

    >>> slab_mean_remaining(
    ...     thickness=np.array([1.5]), diffusivity=np.array([0.004]), elapsed_time=np.array([72.0])
    ... ).round(4)
    array([0.2292])
    """
    (decay,) = _spread(diffusivity * elapsed_time / thickness**2)
    odd = (2.0 * np.arange(TERMS) + 1.0) * np.pi
    return np.asarray((8.0 / odd**2 * np.exp(-(odd**2) * decay)).sum(axis=-1), dtype=np.float64)


@clause(
    Source(CARSLAW, "3.14, slab with heat produced at a rate that falls off exponentially", Known.MEMORY),
    thickness=_LENGTH,
    distance_from_middle=Quantity("m"),
    diffusivity=_DIFFUSIVITY,
    adiabatic_rise=Quantity("K", at_least=0.0),
    rise_rate=Quantity("1/h", above=0.0),
    elapsed_time=_TIME,
    gives=Quantity("K"),
)
def lift_with_hydration(
    *,
    thickness: Column,
    distance_from_middle: Column,
    diffusivity: Column,
    adiabatic_rise: Column,
    rise_rate: Column,
    elapsed_time: Column,
) -> Column:
    r"""Temperature in a lift that heats itself while both faces stay at the placing temperature.

    .. math::

        T = \sum_n \frac{4 (-1)^n}{(2n+1) \pi} \cos(b_n z)\,
            \theta_0 \lambda \frac{e^{-\lambda t} - e^{-\kappa b_n^2 t}}{\kappa b_n^2 - \lambda},
        \qquad b_n = \frac{(2n+1) \pi}{H}

    with the limit :math:`t e^{-\lambda t}` of the fraction where its denominator vanishes.

    Parameters
    ----------
    thickness
        Whole thickness, :math:`H`. [m]
    distance_from_middle
        :math:`z`. [m]
    diffusivity
        :math:`\kappa`. [m^2/h]
    adiabatic_rise
        Final adiabatic rise, :math:`\theta_0`. [K]
    rise_rate
        :math:`\lambda` of :math:`\theta_0 (1 - e^{-\lambda t})`. [1/h]
    elapsed_time
        Time since placing, :math:`t`. [h]

    Returns
    -------
    Column
        Rise above the placing temperature. [K]

    Examples
    --------
    By hand at mid-depth after 24 h, the fraction being 15.76, 4.518, 1.560, 0.780, 0.468 ... h:
    1.2732 x 15.76 - 0.4244 x 4.518 + 0.2546 x 1.560 - 0.1819 x 0.780 + 0.1415 x 0.468 - ... = 18.45;
    x 30 x 0.0175 = 9.69 K.

    >>> lift_with_hydration(
    ...     thickness=np.array([1.5]),
    ...     distance_from_middle=np.array([0.0]),
    ...     diffusivity=np.array([0.004]),
    ...     adiabatic_rise=np.array([30.0]),
    ...     rise_rate=np.array([0.0175]),
    ...     elapsed_time=np.array([24.0]),
    ... ).round(2)
    array([9.69])
    """
    height, place, kappa, final, rate, time = _spread(
        thickness, distance_from_middle, diffusivity, adiabatic_rise, rise_rate, elapsed_time
    )
    n = np.arange(TERMS)
    b = (2.0 * n + 1.0) * np.pi / height
    decay = kappa * b**2
    shape = 4.0 * (-1.0) ** n / ((2.0 * n + 1.0) * np.pi) * np.cos(b * place)
    fraction = time * np.exp(-np.minimum(decay, rate) * time) * exprel(-np.abs(decay - rate) * time)
    return np.asarray((shape * final * rate * fraction).sum(axis=-1), dtype=np.float64)
