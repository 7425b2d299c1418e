"""Fresh-concrete pressure: ACI 347R-14, inch-pound form.

The names of the quantities carry their unit. The inch-pound and the SI expressions are two published
forms, not conversions of each other: never convert a value to change the form.
The equations are numbered here as in ACI 347-04, whose expressions the 2014 guide keeps.
"""

from __future__ import annotations

import numpy as np  # noqa: F401  (the examples use it)

from sheetengine.clauses import aci347r_factors as shared
from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.clauses.rows import known
from sheetengine.sources import Source

FORM = shared.INCH_POUND

PLACE = "4.2.2 (347-04 2.2.2), inch-pound form"
SOURCE = Source(shared.DOCUMENT, PLACE)

RATE = Quantity("ft/h", at_least=0.0, at_most=FORM.greatest_rate)
TEMPERATURE = Quantity("degF", above=0.0)
HEIGHT = Quantity("ft", above=0.0)
FACTOR = Quantity("-", above=0.0)
FLAG = Quantity("-", at_least=0.0, at_most=1.0)
PRESSURE = Quantity("psf", at_least=0.0)
FACE = {
    "concrete_temperature_degf": TEMPERATURE,
    "placement_height_ft": HEIGHT,
    "density_lb_ft3": Quantity("lb/ft3", above=0.0),
    "weight_factor": FACTOR,
    "chemistry_factor": FACTOR,
    "is_column": FLAG,
    "slump_in": Quantity("in", at_least=0.0, at_most=FORM.slump),
    "vibration_depth_ft": Quantity("ft", at_least=0.0, at_most=FORM.vibration_depth),
}
"""What every face has, with the limits of the clause."""


@clause(
    Source(shared.DOCUMENT, "4.2.2, unit weight coefficient (347-04 Table 2.1), inch-pound form"),
    density_lb_ft3=Quantity("lb/ft3", above=0.0),
    gives=Quantity("-"),
)
def weight_factor(*, density_lb_ft3: Column) -> Column:
    r"""Unit weight coefficient, :math:`C_w`.

    .. math::

        C_w = \max\left\{0.5 \left(1 + w / 145\right),\; 0.8\right\}
              \text{ below } 140,\quad 1 \text{ to } 150,\quad w / 145 \text{ above}

    Parameters
    ----------
    density_lb_ft3
        Density of the fresh concrete, :math:`w`. [lb/ft3]

    Returns
    -------
    Column
        Unit weight coefficient. [-]

    Examples
    --------
    By hand: 0.5 (1 + 72.5/145) = 0.75, raised to 0.80; 1 between; 159.5/145 = 1.1.

    >>> weight_factor(density_lb_ft3=np.array([72.5, 145.0, 159.5]))
    array([0.8, 1. , 1.1])
    """
    return shared.weight_factor(FORM, density_lb_ft3)


@clause(
    Source(shared.DOCUMENT, "4.2.2 (347-04 Eq. 2.2 and 2.3), inch-pound form"),
    rate_of_rise_ft_h=Quantity("ft/h", at_least=0.0),
    concrete_temperature_degf=TEMPERATURE,
    weight_factor=FACTOR,
    chemistry_factor=FACTOR,
    gives=Quantity("psf"),
)
def low_rate_pressure(
    *,
    rate_of_rise_ft_h: Column,
    concrete_temperature_degf: Column,
    weight_factor: Column,
    chemistry_factor: Column,
) -> Column:
    r"""Pressure on columns, and on low walls at a low rate, before any bound.

    .. math::

        p = C_w C_c \left[150 + \frac{9000 R}{T}\right]

    Parameters
    ----------
    rate_of_rise_ft_h
        Rate of rise, :math:`R`. [ft/h]
    concrete_temperature_degf
        Temperature of the concrete at placing, :math:`T`. [degF]
    weight_factor
        Unit weight coefficient, :math:`C_w`. [-]
    chemistry_factor
        Chemistry coefficient, :math:`C_c`. [-]

    Returns
    -------
    Column
        Pressure without floor or cap, :math:`p`. [psf]

    Examples
    --------
    By hand: 150 + 9000 x 4 / 60 = 750 psf.

    >>> low_rate_pressure(
    ...     rate_of_rise_ft_h=np.array([4.0]),
    ...     concrete_temperature_degf=np.array([60.0]),
    ...     weight_factor=np.array([1.0]),
    ...     chemistry_factor=np.array([1.0]),
    ... )
    array([750.])
    """
    R, T, Cw, Cc = rate_of_rise_ft_h, concrete_temperature_degf, weight_factor, chemistry_factor
    return Cw * Cc * (150.0 + 9000.0 * R / T)


@clause(
    Source(shared.DOCUMENT, "4.2.2 (347-04 Eq. 2.4), inch-pound form"),
    rate_of_rise_ft_h=Quantity("ft/h", at_least=0.0),
    concrete_temperature_degf=TEMPERATURE,
    weight_factor=FACTOR,
    chemistry_factor=FACTOR,
    gives=Quantity("psf"),
)
def wall_pressure(
    *,
    rate_of_rise_ft_h: Column,
    concrete_temperature_degf: Column,
    weight_factor: Column,
    chemistry_factor: Column,
) -> Column:
    r"""Pressure on high walls, and on all walls at a high rate, before any bound.

    .. math::

        p = C_w C_c \left[150 + \frac{43\,400}{T} + \frac{2800 R}{T}\right]

    Parameters
    ----------
    rate_of_rise_ft_h
        Rate of rise, :math:`R`. [ft/h]
    concrete_temperature_degf
        Temperature of the concrete at placing, :math:`T`. [degF]
    weight_factor
        Unit weight coefficient, :math:`C_w`. [-]
    chemistry_factor
        Chemistry coefficient, :math:`C_c`. [-]

    Returns
    -------
    Column
        Pressure without floor or cap, :math:`p`. [psf]

    Examples
    --------
    By hand: 150 + (43 400 + 2800 x 10) / 70 = 1170 psf.

    >>> wall_pressure(
    ...     rate_of_rise_ft_h=np.array([10.0]),
    ...     concrete_temperature_degf=np.array([70.0]),
    ...     weight_factor=np.array([1.0]),
    ...     chemistry_factor=np.array([1.0]),
    ... )
    array([1170.])
    """
    R, T, Cw, Cc = rate_of_rise_ft_h, concrete_temperature_degf, weight_factor, chemistry_factor
    return Cw * Cc * (150.0 + 43_400.0 / T + 2800.0 * R / T)


@clause(
    SOURCE,
    rate_of_rise_ft_h=Quantity("ft/h", at_least=0.0),
    placement_height_ft=HEIGHT,
    is_column=FLAG,
    slump_in=Quantity("in", at_least=0.0),
    vibration_depth_ft=Quantity("ft", at_least=0.0),
    gives=Quantity("-"),
)
def equation(
    *,
    rate_of_rise_ft_h: Column,
    placement_height_ft: Column,
    is_column: Column,
    slump_in: Column,
    vibration_depth_ft: Column,
) -> Column:
    """Number of the equation that applies: 2.2, 2.3, 2.4, or 2.1 for the full head.

    Parameters
    ----------
    rate_of_rise_ft_h
        Rate of rise. [ft/h]
    placement_height_ft
        Height of concrete placed. [ft]
    is_column
        1 where no plan dimension is over 6.5 ft, 0 for a wall. [-]
    slump_in
        Slump at placing. [in]
    vibration_depth_ft
        Depth below the surface to which the concrete is vibrated. [ft]

    Returns
    -------
    Column
        Equation number, see ``aci347r_factors.EQUATION_NAMES``. [-]

    Notes
    -----
    Above the greatest rate the full head is taken for columns too: the clause names that rate for
    walls, and the heavier reading is kept.

    Examples
    --------
    A low wall at 5 ft/h; the same rate on 16 ft; 5 ft/h with vibration to 5 ft.

    >>> equation(
    ...     rate_of_rise_ft_h=np.array([5.0, 5.0, 5.0]),
    ...     placement_height_ft=np.array([12.0, 16.0, 12.0]),
    ...     is_column=np.zeros(3),
    ...     slump_in=np.full(3, 4.0),
    ...     vibration_depth_ft=np.array([4.0, 4.0, 5.0]),
    ... )
    array([2.3, 2.4, 2.1])
    """
    return shared.equation(
        FORM,
        rate=rate_of_rise_ft_h,
        height=placement_height_ft,
        is_column=is_column,
        slump=slump_in,
        vibration_depth=vibration_depth_ft,
    )


def _parts(*, density_lb_ft3: Column, **rows: Column) -> tuple[Column, Column, Column, Column]:
    """Return the equation chosen, its value, the least pressure and the full head."""
    choice = ("rate_of_rise_ft_h", "placement_height_ft", "is_column", "slump_in", "vibration_depth_ft")
    line = ("rate_of_rise_ft_h", "concrete_temperature_degf", "weight_factor", "chemistry_factor")
    head = density_lb_ft3 * rows["placement_height_ft"]
    chosen = equation(**{name: rows[name] for name in choice})
    low = low_rate_pressure(**{name: rows[name] for name in line})
    walls = wall_pressure(**{name: rows[name] for name in line})
    formula = shared.chosen_pressure(chosen, low_rate=low, walls=walls, head=head)
    return chosen, known(formula, low), FORM.least_pressure * rows["weight_factor"], head


@clause(
    SOURCE,
    rate_of_rise_ft_h=RATE,
    **FACE,
    gives=Quantity("psf"),
)
def design_pressure(
    *,
    rate_of_rise_ft_h: Column,
    concrete_temperature_degf: Column,
    placement_height_ft: Column,
    density_lb_ft3: Column,
    weight_factor: Column,
    chemistry_factor: Column,
    is_column: Column,
    slump_in: Column,
    vibration_depth_ft: Column,
) -> Column:
    r"""Design maximum of the lateral pressure, :math:`600 C_w \le p \le w h`.

    Parameters
    ----------
    rate_of_rise_ft_h
        Rate of rise, :math:`R`. [ft/h]
    concrete_temperature_degf
        Temperature of the concrete at placing, :math:`T`. [degF]
    placement_height_ft
        Height of concrete placed, :math:`h`. [ft]
    density_lb_ft3
        Weight density of the fresh concrete, :math:`w`. [lb/ft3]
    weight_factor
        Unit weight coefficient, :math:`C_w`. [-]
    chemistry_factor
        Chemistry coefficient, :math:`C_c`. [-]
    is_column
        1 where no plan dimension is over 6.5 ft, 0 for a wall. [-]
    slump_in
        Slump at placing. [in]
    vibration_depth_ft
        Depth below the surface to which the concrete is vibrated. [ft]

    Returns
    -------
    Column
        Design pressure. [psf]

    Notes
    -----
    Outside the limits of rate, slump or vibration the clause itself asks for the full head, without
    a floor. Concrete pumped from the base of the form, external vibration and self-compacting
    concrete are outside the clause and not told apart here.

    Examples
    --------
    By hand: 750 psf as in :func:`low_rate_pressure`, below 150 x 12 = 1800 psf; on 4 ft the head
    of 600 psf governs.

    >>> design_pressure(
    ...     rate_of_rise_ft_h=np.array([4.0, 4.0]),
    ...     concrete_temperature_degf=np.array([60.0, 60.0]),
    ...     placement_height_ft=np.array([12.0, 4.0]),
    ...     density_lb_ft3=np.array([150.0, 150.0]),
    ...     weight_factor=np.ones(2),
    ...     chemistry_factor=np.ones(2),
    ...     is_column=np.zeros(2),
    ...     slump_in=np.full(2, 4.0),
    ...     vibration_depth_ft=np.full(2, 3.0),
    ... )
    array([750., 600.])
    """
    chosen, formula, floor, head = _parts(
        rate_of_rise_ft_h=rate_of_rise_ft_h,
        concrete_temperature_degf=concrete_temperature_degf,
        placement_height_ft=placement_height_ft,
        density_lb_ft3=density_lb_ft3,
        weight_factor=weight_factor,
        chemistry_factor=chemistry_factor,
        is_column=is_column,
        slump_in=slump_in,
        vibration_depth_ft=vibration_depth_ft,
    )
    return shared.design_pressure(chosen, formula, floor, head)


@clause(
    SOURCE,
    rate_of_rise_ft_h=RATE,
    **FACE,
    gives=Quantity("-"),
)
def governing_bound(
    *,
    rate_of_rise_ft_h: Column,
    concrete_temperature_degf: Column,
    placement_height_ft: Column,
    density_lb_ft3: Column,
    weight_factor: Column,
    chemistry_factor: Column,
    is_column: Column,
    slump_in: Column,
    vibration_depth_ft: Column,
) -> Column:
    """Which bound gives the design pressure: formula, floor, full head, or full head out of scope.

    Parameters
    ----------
    rate_of_rise_ft_h
        Rate of rise. [ft/h]
    concrete_temperature_degf
        Temperature of the concrete at placing. [degF]
    placement_height_ft
        Height of concrete placed. [ft]
    density_lb_ft3
        Weight density of the fresh concrete. [lb/ft3]
    weight_factor
        Unit weight coefficient. [-]
    chemistry_factor
        Chemistry coefficient. [-]
    is_column
        1 where no plan dimension is over 6.5 ft, 0 for a wall. [-]
    slump_in
        Slump at placing. [in]
    vibration_depth_ft
        Depth below the surface to which the concrete is vibrated. [ft]

    Returns
    -------
    Column
        Code, see ``fluid_pressure.BOUND_NAMES``. [-]

    Examples
    --------
    The rows of :func:`design_pressure`: formula, then full head.

    >>> governing_bound(
    ...     rate_of_rise_ft_h=np.array([4.0, 4.0]),
    ...     concrete_temperature_degf=np.array([60.0, 60.0]),
    ...     placement_height_ft=np.array([12.0, 4.0]),
    ...     density_lb_ft3=np.array([150.0, 150.0]),
    ...     weight_factor=np.ones(2),
    ...     chemistry_factor=np.ones(2),
    ...     is_column=np.zeros(2),
    ...     slump_in=np.full(2, 4.0),
    ...     vibration_depth_ft=np.full(2, 3.0),
    ... )
    array([1., 3.])
    """
    chosen, formula, floor, head = _parts(
        rate_of_rise_ft_h=rate_of_rise_ft_h,
        concrete_temperature_degf=concrete_temperature_degf,
        placement_height_ft=placement_height_ft,
        density_lb_ft3=density_lb_ft3,
        weight_factor=weight_factor,
        chemistry_factor=chemistry_factor,
        is_column=is_column,
        slump_in=slump_in,
        vibration_depth_ft=vibration_depth_ft,
    )
    return shared.governing_bound(chosen, formula, floor, head)


@clause(
    SOURCE,
    permissible_pressure_psf=PRESSURE,
    **FACE,
    gives=Quantity("ft/h"),
)
def greatest_rate_of_rise(
    *,
    permissible_pressure_psf: Column,
    concrete_temperature_degf: Column,
    placement_height_ft: Column,
    density_lb_ft3: Column,
    weight_factor: Column,
    chemistry_factor: Column,
    is_column: Column,
    slump_in: Column,
    vibration_depth_ft: Column,
) -> Column:
    """Greatest rate of rise at which the design pressure does not exceed a permissible one.

    Parameters
    ----------
    permissible_pressure_psf
        Pressure that must not be exceeded. [psf]
    concrete_temperature_degf
        Temperature of the concrete at placing. [degF]
    placement_height_ft
        Height of concrete placed. [ft]
    density_lb_ft3
        Weight density of the fresh concrete. [lb/ft3]
    weight_factor
        Unit weight coefficient. [-]
    chemistry_factor
        Chemistry coefficient. [-]
    is_column
        1 where no plan dimension is over 6.5 ft, 0 for a wall. [-]
    slump_in
        Slump at placing. [in]
    vibration_depth_ft
        Depth below the surface to which the concrete is vibrated. [ft]

    Returns
    -------
    Column
        Rate of rise; infinite where the full head may be carried, 0 where no rate is slow
        enough, never above the greatest rate of the clause otherwise. [ft/h]

    Examples
    --------
    By hand, 750 psf on 12 ft at 60 degF: (750 - 150) x 60 / 9000 = 4 ft/h. 400 psf is below the
    floor of 600 psf; 2000 psf is above the head of 1800 psf.

    >>> greatest_rate_of_rise(
    ...     permissible_pressure_psf=np.array([750.0, 400.0, 2000.0]),
    ...     concrete_temperature_degf=np.full(3, 60.0),
    ...     placement_height_ft=np.full(3, 12.0),
    ...     density_lb_ft3=np.full(3, 150.0),
    ...     weight_factor=np.ones(3),
    ...     chemistry_factor=np.ones(3),
    ...     is_column=np.zeros(3),
    ...     slump_in=np.full(3, 4.0),
    ...     vibration_depth_ft=np.full(3, 3.0),
    ... )
    array([ 4.,  0., inf])
    """
    T, Cw, Cc = concrete_temperature_degf, weight_factor, chemistry_factor
    return shared.greatest_rate(
        FORM,
        by_low_rate=(permissible_pressure_psf / (Cw * Cc) - 150.0) * T / 9000.0,
        by_walls=((permissible_pressure_psf / (Cw * Cc) - 150.0) * T - 43_400.0) / 2800.0,
        height=placement_height_ft,
        is_column=is_column,
        slump=slump_in,
        vibration_depth=vibration_depth_ft,
        permissible=permissible_pressure_psf,
        floor=FORM.least_pressure * Cw,
        head=density_lb_ft3 * placement_height_ft,
    )
