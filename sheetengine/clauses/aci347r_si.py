"""Fresh-concrete pressure: ACI 347R-14, SI form.

The SI and the inch-pound expressions are two published forms, not conversions of each other: never
convert a value to change the form.
The equations are numbered here as in ACI 347-04, whose expressions the 2014 guide keeps.
"""

from __future__ import annotations

import numpy as np  # noqa: F401  (the examples use it)

from sheetengine.clauses import aci347r_factors as shared
from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.clauses.rows import known
from sheetengine.sources import Source

FORM = shared.SI

PLACE = "4.2.2 (347-04 2.2.2), SI form"
SOURCE = Source(shared.DOCUMENT, PLACE)

RATE = Quantity("m/h", at_least=0.0, at_most=FORM.greatest_rate)
TEMPERATURE = Quantity("degC", above=-17.8)
HEIGHT = Quantity("m", above=0.0)
FACTOR = Quantity("-", above=0.0)
FLAG = Quantity("-", at_least=0.0, at_most=1.0)
PRESSURE = Quantity("kPa", at_least=0.0)
FACE = {
    "concrete_temperature": TEMPERATURE,
    "placement_height": HEIGHT,
    "weight_density": Quantity("kN/m3", above=0.0),
    "weight_factor": FACTOR,
    "chemistry_factor": FACTOR,
    "is_column": FLAG,
    "slump": Quantity("mm", at_least=0.0, at_most=FORM.slump),
    "vibration_depth": Quantity("m", at_least=0.0, at_most=FORM.vibration_depth),
}
"""What every face has, with the limits of the clause."""


@clause(
    Source(shared.DOCUMENT, "4.2.2, unit weight coefficient (347-04 Table 2.1), SI form"),
    mass_density=Quantity("kg/m3", above=0.0),
    gives=Quantity("-"),
)
def weight_factor(*, mass_density: Column) -> Column:
    r"""Unit weight coefficient, :math:`C_w`.

    .. math::

        C_w = \max\left\{0.5 \left(1 + w / 2320\right),\; 0.8\right\}
              \text{ below } 2240,\quad 1 \text{ to } 2400,\quad w / 2320 \text{ above}

    Parameters
    ----------
    mass_density
        Density of the fresh concrete, :math:`w`. [kg/m3]

    Returns
    -------
    Column
        Unit weight coefficient. [-]

    Examples
    --------
    By hand: 0.5 (1 + 1160/2320) = 0.75, raised to 0.80; 1 between; 2552/2320 = 1.1.

    >>> weight_factor(mass_density=np.array([1160.0, 2350.0, 2552.0]))
    array([0.8, 1. , 1.1])
    """
    return shared.weight_factor(FORM, mass_density)


@clause(
    Source(shared.DOCUMENT, "4.2.2 (347-04 Eq. 2.2 and 2.3), SI form"),
    rate_of_rise=Quantity("m/h", at_least=0.0),
    concrete_temperature=TEMPERATURE,
    weight_factor=FACTOR,
    chemistry_factor=FACTOR,
    gives=Quantity("kPa"),
)
def low_rate_pressure(
    *,
    rate_of_rise: Column,
    concrete_temperature: Column,
    weight_factor: Column,
    chemistry_factor: Column,
) -> Column:
    r"""Pressure on columns, and on low walls at a low rate, before any bound.

    .. math::

        p = C_w C_c \left[7.2 + \frac{785 R}{T + 17.8}\right]

    Parameters
    ----------
    rate_of_rise
        Rate of rise, :math:`R`. [m/h]
    concrete_temperature
        Temperature of the concrete at placing, :math:`T`. [degC]
    weight_factor
        Unit weight coefficient, :math:`C_w`. [-]
    chemistry_factor
        Chemistry coefficient, :math:`C_c`. [-]

    Returns
    -------
    Column
        Pressure without floor or cap, :math:`p`. [kPa]

    Examples
    --------
    By hand: 7.2 + 785 x 1.5 / 32.8 = 43.1 kPa.

    >>> low_rate_pressure(
    ...     rate_of_rise=np.array([1.5]),
    ...     concrete_temperature=np.array([15.0]),
    ...     weight_factor=np.array([1.0]),
    ...     chemistry_factor=np.array([1.0]),
    ... ).round(1)
    array([43.1])
    """
    R, T, Cw, Cc = rate_of_rise, concrete_temperature, weight_factor, chemistry_factor
    return Cw * Cc * (7.2 + 785.0 * R / (T + 17.8))


@clause(
    Source(shared.DOCUMENT, "4.2.2 (347-04 Eq. 2.4), SI form"),
    rate_of_rise=Quantity("m/h", at_least=0.0),
    concrete_temperature=TEMPERATURE,
    weight_factor=FACTOR,
    chemistry_factor=FACTOR,
    gives=Quantity("kPa"),
)
def wall_pressure(
    *,
    rate_of_rise: Column,
    concrete_temperature: Column,
    weight_factor: Column,
    chemistry_factor: Column,
) -> Column:
    r"""Pressure on high walls, and on all walls at a high rate, before any bound.

    .. math::

        p = C_w C_c \left[7.2 + \frac{1156}{T + 17.8} + \frac{244 R}{T + 17.8}\right]

    Parameters
    ----------
    rate_of_rise
        Rate of rise, :math:`R`. [m/h]
    concrete_temperature
        Temperature of the concrete at placing, :math:`T`. [degC]
    weight_factor
        Unit weight coefficient, :math:`C_w`. [-]
    chemistry_factor
        Chemistry coefficient, :math:`C_c`. [-]

    Returns
    -------
    Column
        Pressure without floor or cap, :math:`p`. [kPa]

    Examples
    --------
    By hand: 7.2 + (1156 + 244 x 3) / 37.8 = 57.1 kPa.

    >>> wall_pressure(
    ...     rate_of_rise=np.array([3.0]),
    ...     concrete_temperature=np.array([20.0]),
    ...     weight_factor=np.array([1.0]),
    ...     chemistry_factor=np.array([1.0]),
    ... ).round(1)
    array([57.1])
    """
    R, T, Cw, Cc = rate_of_rise, concrete_temperature, weight_factor, chemistry_factor
    return Cw * Cc * (7.2 + 1156.0 / (T + 17.8) + 244.0 * R / (T + 17.8))


@clause(
    SOURCE,
    rate_of_rise=Quantity("m/h", at_least=0.0),
    placement_height=HEIGHT,
    is_column=FLAG,
    slump=Quantity("mm", at_least=0.0),
    vibration_depth=Quantity("m", at_least=0.0),
    gives=Quantity("-"),
)
def equation(
    *,
    rate_of_rise: Column,
    placement_height: Column,
    is_column: Column,
    slump: Column,
    vibration_depth: Column,
) -> Column:
    """Number of the equation that applies: 2.2, 2.3, 2.4, or 2.1 for the full head.

    Parameters
    ----------
    rate_of_rise
        Rate of rise. [m/h]
    placement_height
        Height of concrete placed. [m]
    is_column
        1 where no plan dimension is over 2 m, 0 for a wall. [-]
    slump
        Slump at placing. [mm]
    vibration_depth
        Depth below the surface to which the concrete is vibrated. [m]

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
    A low wall at 1.5 m/h; the same rate on 5 m; 1.5 m/h with vibration to 1.5 m.

    >>> equation(
    ...     rate_of_rise=np.array([1.5, 1.5, 1.5]),
    ...     placement_height=np.array([4.0, 5.0, 4.0]),
    ...     is_column=np.zeros(3),
    ...     slump=np.full(3, 100.0),
    ...     vibration_depth=np.array([1.2, 1.2, 1.5]),
    ... )
    array([2.3, 2.4, 2.1])
    """
    return shared.equation(
        FORM,
        rate=rate_of_rise,
        height=placement_height,
        is_column=is_column,
        slump=slump,
        vibration_depth=vibration_depth,
    )


def _parts(*, weight_density: Column, **rows: Column) -> tuple[Column, Column, Column, Column]:
    """Return the equation chosen, its value, the least pressure and the full head."""
    choice = ("rate_of_rise", "placement_height", "is_column", "slump", "vibration_depth")
    line = ("rate_of_rise", "concrete_temperature", "weight_factor", "chemistry_factor")
    head = weight_density * rows["placement_height"]
    chosen = equation(**{name: rows[name] for name in choice})
    low = low_rate_pressure(**{name: rows[name] for name in line})
    walls = wall_pressure(**{name: rows[name] for name in line})
    formula = shared.chosen_pressure(chosen, low_rate=low, walls=walls, head=head)
    return chosen, known(formula, low), FORM.least_pressure * rows["weight_factor"], head


@clause(
    SOURCE,
    rate_of_rise=RATE,
    **FACE,
    gives=Quantity("kPa"),
)
def design_pressure(
    *,
    rate_of_rise: Column,
    concrete_temperature: Column,
    placement_height: Column,
    weight_density: Column,
    weight_factor: Column,
    chemistry_factor: Column,
    is_column: Column,
    slump: Column,
    vibration_depth: Column,
) -> Column:
    r"""Design maximum of the lateral pressure, :math:`30 C_w \le p \le w h`.

    Parameters
    ----------
    rate_of_rise
        Rate of rise, :math:`R`. [m/h]
    concrete_temperature
        Temperature of the concrete at placing, :math:`T`. [degC]
    placement_height
        Height of concrete placed, :math:`h`. [m]
    weight_density
        Weight density of the fresh concrete, :math:`w`. [kN/m3]
    weight_factor
        Unit weight coefficient, :math:`C_w`. [-]
    chemistry_factor
        Chemistry coefficient, :math:`C_c`. [-]
    is_column
        1 where no plan dimension is over 2 m, 0 for a wall. [-]
    slump
        Slump at placing. [mm]
    vibration_depth
        Depth below the surface to which the concrete is vibrated. [m]

    Returns
    -------
    Column
        Design pressure. [kPa]

    Notes
    -----
    Outside the limits of rate, slump or vibration the clause itself asks for the full head, without
    a floor. Concrete pumped from the base of the form, external vibration and self-compacting
    concrete are outside the clause and not told apart here.

    Examples
    --------
    By hand: 43.1 kPa as in :func:`low_rate_pressure`, below 23.5 x 4 = 94 kPa; on 1.5 m the head
    of 35.2 kPa governs.

    >>> design_pressure(
    ...     rate_of_rise=np.array([1.5, 1.5]),
    ...     concrete_temperature=np.array([15.0, 15.0]),
    ...     placement_height=np.array([4.0, 1.5]),
    ...     weight_density=np.array([23.5, 23.5]),
    ...     weight_factor=np.ones(2),
    ...     chemistry_factor=np.ones(2),
    ...     is_column=np.zeros(2),
    ...     slump=np.full(2, 100.0),
    ...     vibration_depth=np.full(2, 1.0),
    ... ).round(1)
    array([43.1, 35.2])
    """
    chosen, formula, floor, head = _parts(
        rate_of_rise=rate_of_rise,
        concrete_temperature=concrete_temperature,
        placement_height=placement_height,
        weight_density=weight_density,
        weight_factor=weight_factor,
        chemistry_factor=chemistry_factor,
        is_column=is_column,
        slump=slump,
        vibration_depth=vibration_depth,
    )
    return shared.design_pressure(chosen, formula, floor, head)


@clause(
    SOURCE,
    rate_of_rise=RATE,
    **FACE,
    gives=Quantity("-"),
)
def governing_bound(
    *,
    rate_of_rise: Column,
    concrete_temperature: Column,
    placement_height: Column,
    weight_density: Column,
    weight_factor: Column,
    chemistry_factor: Column,
    is_column: Column,
    slump: Column,
    vibration_depth: Column,
) -> Column:
    """Which bound gives the design pressure: formula, floor, full head, or full head out of scope.

    Parameters
    ----------
    rate_of_rise
        Rate of rise. [m/h]
    concrete_temperature
        Temperature of the concrete at placing. [degC]
    placement_height
        Height of concrete placed. [m]
    weight_density
        Weight density of the fresh concrete. [kN/m3]
    weight_factor
        Unit weight coefficient. [-]
    chemistry_factor
        Chemistry coefficient. [-]
    is_column
        1 where no plan dimension is over 2 m, 0 for a wall. [-]
    slump
        Slump at placing. [mm]
    vibration_depth
        Depth below the surface to which the concrete is vibrated. [m]

    Returns
    -------
    Column
        Code, see ``fluid_pressure.BOUND_NAMES``. [-]

    Examples
    --------
    The rows of :func:`design_pressure`: formula, then full head.

    >>> governing_bound(
    ...     rate_of_rise=np.array([1.5, 1.5]),
    ...     concrete_temperature=np.array([15.0, 15.0]),
    ...     placement_height=np.array([4.0, 1.5]),
    ...     weight_density=np.array([23.5, 23.5]),
    ...     weight_factor=np.ones(2),
    ...     chemistry_factor=np.ones(2),
    ...     is_column=np.zeros(2),
    ...     slump=np.full(2, 100.0),
    ...     vibration_depth=np.full(2, 1.0),
    ... )
    array([1., 3.])
    """
    chosen, formula, floor, head = _parts(
        rate_of_rise=rate_of_rise,
        concrete_temperature=concrete_temperature,
        placement_height=placement_height,
        weight_density=weight_density,
        weight_factor=weight_factor,
        chemistry_factor=chemistry_factor,
        is_column=is_column,
        slump=slump,
        vibration_depth=vibration_depth,
    )
    return shared.governing_bound(chosen, formula, floor, head)


@clause(
    SOURCE,
    permissible_pressure=PRESSURE,
    **FACE,
    gives=Quantity("m/h"),
)
def greatest_rate_of_rise(
    *,
    permissible_pressure: Column,
    concrete_temperature: Column,
    placement_height: Column,
    weight_density: Column,
    weight_factor: Column,
    chemistry_factor: Column,
    is_column: Column,
    slump: Column,
    vibration_depth: Column,
) -> Column:
    """Greatest rate of rise at which the design pressure does not exceed a permissible one.

    Parameters
    ----------
    permissible_pressure
        Pressure that must not be exceeded. [kPa]
    concrete_temperature
        Temperature of the concrete at placing. [degC]
    placement_height
        Height of concrete placed. [m]
    weight_density
        Weight density of the fresh concrete. [kN/m3]
    weight_factor
        Unit weight coefficient. [-]
    chemistry_factor
        Chemistry coefficient. [-]
    is_column
        1 where no plan dimension is over 2 m, 0 for a wall. [-]
    slump
        Slump at placing. [mm]
    vibration_depth
        Depth below the surface to which the concrete is vibrated. [m]

    Returns
    -------
    Column
        Rate of rise; infinite where the full head may be carried, 0 where no rate is slow
        enough, never above the greatest rate of the clause otherwise. [m/h]

    Examples
    --------
    By hand, 40 kPa on 4 m at 15 degC: (40 - 7.2) x 32.8 / 785 = 1.37 m/h; the other wall equation
    gives a negative rate. 20 kPa is below the floor of 30 kPa; 100 kPa is above the head of 94 kPa.

    >>> greatest_rate_of_rise(
    ...     permissible_pressure=np.array([40.0, 20.0, 100.0]),
    ...     concrete_temperature=np.full(3, 15.0),
    ...     placement_height=np.full(3, 4.0),
    ...     weight_density=np.full(3, 23.5),
    ...     weight_factor=np.ones(3),
    ...     chemistry_factor=np.ones(3),
    ...     is_column=np.zeros(3),
    ...     slump=np.full(3, 100.0),
    ...     vibration_depth=np.full(3, 1.0),
    ... ).round(2)
    array([1.37, 0.  ,  inf])
    """
    T, Cw, Cc = concrete_temperature, weight_factor, chemistry_factor
    return shared.greatest_rate(
        FORM,
        by_low_rate=(permissible_pressure / (Cw * Cc) - 7.2) * (T + 17.8) / 785.0,
        by_walls=((permissible_pressure / (Cw * Cc) - 7.2) * (T + 17.8) - 1156.0) / 244.0,
        height=placement_height,
        is_column=is_column,
        slump=slump,
        vibration_depth=vibration_depth,
        permissible=permissible_pressure,
        floor=FORM.least_pressure * Cw,
        head=weight_density * placement_height,
    )
