"""Fresh-concrete pressure: CIRIA Report 108 (1985)."""

from __future__ import annotations

import numpy as np

from sheetengine.clauses import fluid_pressure as fluid
from sheetengine.clauses.record import Column, Flags, Quantity, clause
from sheetengine.clauses.rows import Labels, by_label, factors, known
from sheetengine.sources import Known, Source

DOCUMENT = "CIRIA Report 108 (1985)"
COEFFICIENTS = Source(DOCUMENT, "coefficients C1 and C2", Known.MEMORY)
EXPRESSION = Source(DOCUMENT, "expression for the design pressure")

DENSITY = Quantity("kN/m3", above=0.0)
RATE = Quantity("m/h", at_least=0.0)
HEIGHT = Quantity("m", above=0.0)
TEMPERATURE = Quantity("degC", above=-16.0)
SHAPE = Quantity("m^0.5 h^0.5", above=0.0)
MIX = Quantity("m^0.5", at_least=0.0)


@clause(COEFFICIENTS, is_column=Quantity("-", at_least=0.0, at_most=1.0), gives=Quantity("m^0.5 h^0.5"))
def shape_coefficient(*, is_column: Column) -> Column:
    """Coefficient by plan shape, :math:`C_1`.

    Parameters
    ----------
    is_column
        1 where no plan dimension is over 2 m, 0 for a wall. [-]

    Returns
    -------
    Column
        Shape coefficient. [m^0.5 h^0.5]

    Examples
    --------
    From the table: 1.0 for a wall, 1.5 for a column.

    >>> shape_coefficient(is_column=np.array([0.0, 1.0]))
    array([1. , 1.5])
    """
    numbers = factors("ciria108")
    return known(np.where(is_column == 1.0, numbers["column"], numbers["wall"]), is_column)


@clause(
    COEFFICIENTS,
    cement_group=Quantity("label"),
    retarder=Quantity("-", at_least=0.0, at_most=1.0),
    gives=Quantity("m^0.5"),
)
def mix_coefficient(*, cement_group: Labels, retarder: Column) -> Column:
    """Coefficient by cement and admixture, :math:`C_2`.

    Parameters
    ----------
    cement_group
        ``plain`` for Portland cement alone, ``blend`` below 70 % slag or 40 % fly ash,
        ``high blend`` for that much or more. [label]
    retarder
        1 with an admixture that delays setting, 0 without. [-]

    Returns
    -------
    Column
        Mix coefficient. [m^0.5]

    Examples
    --------
    From the table: 0.30 for plain cement, 0.60 for a retarded blend.

    >>> mix_coefficient(cement_group=np.array(["plain", "blend"]), retarder=np.array([0.0, 1.0]))
    array([0.3, 0.6])
    """
    table = factors("ciria108")["mix"]
    without = by_label(table["without_retarder"], cement_group)
    retarded = by_label(table["with_retarder"], cement_group)
    return known(np.where(retarder == 1.0, retarded, without), retarder)


def _parts(
    *,
    weight_density: Column,
    rate_of_rise: Column,
    form_height: Column,
    placement_height: Column,
    concrete_temperature: Column,
    shape_coefficient: Column,
    mix_coefficient: Column,
) -> tuple[Column, Column, Flags]:
    """Return the value of the expression, the full head, and where the expression applies."""
    K = (36.0 / (concrete_temperature + 16.0)) ** 2
    unstiffened_head = shape_coefficient * np.sqrt(rate_of_rise)
    stiffening_head = np.maximum(form_height - unstiffened_head, 0.0)
    stiffened = weight_density * (unstiffened_head + mix_coefficient * K * np.sqrt(stiffening_head))
    return stiffened, weight_density * placement_height, unstiffened_head < form_height


@clause(
    EXPRESSION,
    weight_density=DENSITY,
    rate_of_rise=RATE,
    form_height=HEIGHT,
    placement_height=HEIGHT,
    concrete_temperature=TEMPERATURE,
    shape_coefficient=SHAPE,
    mix_coefficient=MIX,
    gives=Quantity("kPa"),
)
def design_pressure(
    *,
    weight_density: Column,
    rate_of_rise: Column,
    form_height: Column,
    placement_height: Column,
    concrete_temperature: Column,
    shape_coefficient: Column,
    mix_coefficient: Column,
) -> Column:
    r"""Design maximum of the lateral pressure.

    .. math::

        P_{max} = \min\left\{ D \left[ C_1 \sqrt{R}
                  + C_2 K \sqrt{H - C_1 \sqrt{R}} \right],\; D h \right\},
        \qquad K = \left( \frac{36}{T + 16} \right)^2

    Parameters
    ----------
    weight_density
        Weight density of the fresh concrete, :math:`D`. [kN/m3]
    rate_of_rise
        Rate of rise, :math:`R`. [m/h]
    form_height
        Height of the form, under the root, :math:`H`. [m]
    placement_height
        Height of concrete placed, in the full head, :math:`h`. [m]
    concrete_temperature
        Temperature of the concrete at placing, :math:`T`. [degC]
    shape_coefficient
        Coefficient by plan shape, :math:`C_1`. [m^0.5 h^0.5]
    mix_coefficient
        Coefficient by cement and admixture, :math:`C_2`. [m^0.5]

    Returns
    -------
    Column
        Design pressure, :math:`P_{max}`. [kPa]

    Notes
    -----
    Where :math:`C_1 \sqrt{R} \ge H` the form is filled before any stiffening and the full head
    governs. The form is meant to be at least as high as the pour.

    Examples
    --------
    A 6 m wall rising 4 m/h at 10 degC. By hand: K = (36/26)^2 = 1.917;
    25 x (1.0 x 2 + 0.3 x 1.917 x 2) = 78.8 kPa, below the full head of 150 kPa.

    >>> design_pressure(
    ...     weight_density=np.array([25.0]),
    ...     rate_of_rise=np.array([4.0]),
    ...     form_height=np.array([6.0]),
    ...     placement_height=np.array([6.0]),
    ...     concrete_temperature=np.array([10.0]),
    ...     shape_coefficient=np.array([1.0]),
    ...     mix_coefficient=np.array([0.3]),
    ... ).round(1)
    array([78.8])
    """
    stiffened, head, stiffening = _parts(
        weight_density=weight_density,
        rate_of_rise=rate_of_rise,
        form_height=form_height,
        placement_height=placement_height,
        concrete_temperature=concrete_temperature,
        shape_coefficient=shape_coefficient,
        mix_coefficient=mix_coefficient,
    )
    bounded = fluid.bounded(formula=stiffened, floor=0.0, fluid=head, within_scope=stiffening)
    return known(bounded, stiffened, head)


@clause(
    EXPRESSION,
    weight_density=DENSITY,
    rate_of_rise=RATE,
    form_height=HEIGHT,
    placement_height=HEIGHT,
    concrete_temperature=TEMPERATURE,
    shape_coefficient=SHAPE,
    mix_coefficient=MIX,
    gives=Quantity("-"),
)
def governing_bound(
    *,
    weight_density: Column,
    rate_of_rise: Column,
    form_height: Column,
    placement_height: Column,
    concrete_temperature: Column,
    shape_coefficient: Column,
    mix_coefficient: Column,
) -> Column:
    """Which bound gives the design pressure: formula or full head.

    A form filled before any stiffening is inside the method: the report itself gives the full head.

    Parameters
    ----------
    weight_density
        Weight density of the fresh concrete. [kN/m3]
    rate_of_rise
        Rate of rise. [m/h]
    form_height
        Height of the form. [m]
    placement_height
        Height of concrete placed. [m]
    concrete_temperature
        Temperature of the concrete at placing. [degC]
    shape_coefficient
        Coefficient by plan shape. [m^0.5 h^0.5]
    mix_coefficient
        Coefficient by cement and admixture. [m^0.5]

    Returns
    -------
    Column
        Code, see ``fluid_pressure.BOUND_NAMES``. [-]

    Examples
    --------
    The row of :func:`design_pressure`, then the same at 49 m/h, where the form fills first.

    >>> governing_bound(
    ...     weight_density=np.full(2, 25.0),
    ...     rate_of_rise=np.array([4.0, 49.0]),
    ...     form_height=np.full(2, 6.0),
    ...     placement_height=np.full(2, 6.0),
    ...     concrete_temperature=np.full(2, 10.0),
    ...     shape_coefficient=np.full(2, 1.0),
    ...     mix_coefficient=np.full(2, 0.3),
    ... )
    array([1., 3.])
    """
    stiffened, head, stiffening = _parts(
        weight_density=weight_density,
        rate_of_rise=rate_of_rise,
        form_height=form_height,
        placement_height=placement_height,
        concrete_temperature=concrete_temperature,
        shape_coefficient=shape_coefficient,
        mix_coefficient=mix_coefficient,
    )
    formula = np.where(stiffening & (stiffened < head), fluid.FORMULA, fluid.FULL_HEAD)
    return known(formula, stiffened, head)


@clause(
    EXPRESSION,
    permissible_pressure=Quantity("kPa", at_least=0.0),
    weight_density=DENSITY,
    form_height=HEIGHT,
    placement_height=HEIGHT,
    concrete_temperature=TEMPERATURE,
    shape_coefficient=SHAPE,
    mix_coefficient=MIX,
    gives=Quantity("m/h"),
)
def greatest_rate_of_rise(
    *,
    permissible_pressure: Column,
    weight_density: Column,
    form_height: Column,
    placement_height: Column,
    concrete_temperature: Column,
    shape_coefficient: Column,
    mix_coefficient: Column,
) -> Column:
    r"""Greatest rate of rise at which the design pressure does not exceed a permissible one.

    With :math:`y = \sqrt{H - C_1 \sqrt{R}}` the expression is a quadratic in :math:`y`, whose
    larger root belongs to the first rate at which the pressure is met:

    .. math::

        y = \tfrac{1}{2} \left[ C_2 K + \sqrt{(C_2 K)^2 + 4 (H - p / D)} \right],
        \qquad R = \left( \frac{H - y^2}{C_1} \right)^2

    Parameters
    ----------
    permissible_pressure
        Pressure that must not be exceeded, :math:`p`. [kPa]
    weight_density
        Weight density of the fresh concrete, :math:`D`. [kN/m3]
    form_height
        Height of the form, under the root, :math:`H`. [m]
    placement_height
        Height of concrete placed, in the full head, :math:`h`. [m]
    concrete_temperature
        Temperature of the concrete at placing, :math:`T`. [degC]
    shape_coefficient
        Coefficient by plan shape, :math:`C_1`. [m^0.5 h^0.5]
    mix_coefficient
        Coefficient by cement and admixture, :math:`C_2`. [m^0.5]

    Returns
    -------
    Column
        Rate of rise; infinite where the full head may be carried, 0 where no rate is slow
        enough. [m/h]

    Examples
    --------
    The row of :func:`design_pressure` back: with p/D = 3.1503 m and C2 K = 0.5751,
    y = (0.5751 + sqrt(0.3308 + 11.3988)) / 2 = 2.000, R = (6 - 4)^2 = 4 m/h.

    >>> greatest_rate_of_rise(
    ...     permissible_pressure=np.array([78.757]),
    ...     weight_density=np.array([25.0]),
    ...     form_height=np.array([6.0]),
    ...     placement_height=np.array([6.0]),
    ...     concrete_temperature=np.array([10.0]),
    ...     shape_coefficient=np.array([1.0]),
    ...     mix_coefficient=np.array([0.3]),
    ... ).round(3)
    array([4.])
    """
    H = form_height
    b = mix_coefficient * (36.0 / (concrete_temperature + 16.0)) ** 2
    y = (b + np.sqrt(np.maximum(b**2 + 4.0 * (H - permissible_pressure / weight_density), 0.0))) / 2.0
    rate = (np.maximum(H - y**2, 0.0) / shape_coefficient) ** 2
    return fluid.bounded_rate(
        rate=rate,
        permissible_pressure=permissible_pressure,
        floor=0.0,
        fluid=weight_density * placement_height,
        within_scope=y**2 <= H,
    )
