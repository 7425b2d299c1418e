"""Fresh-concrete pressure: DIN 18218:2010-01.

The line for self-compacting concrete was read in a second source. All other numbers are held from
memory and must be confirmed in the licensed text; the sources say so and so must every report.
"""

from __future__ import annotations

import numpy as np

from sheetengine.clauses import fluid_pressure as fluid
from sheetengine.clauses.record import Column, Flags, Quantity, clause
from sheetengine.clauses.rows import Labels, by_label, factors, known
from sheetengine.sources import Known, Source

DOCUMENT = "DIN 18218:2010-01"
NUMBERS = factors("din18218")
REFERENCE_DENSITY = float(NUMBERS["reference_density"])
REFERENCE_SET = float(NUMBERS["reference_set"])
REFERENCE_TEMPERATURE = float(NUMBERS["reference_temperature"])
RISE_PER_KELVIN = float(NUMBERS["rise_per_kelvin"])
GREATEST_RATE = float(NUMBERS["greatest_rate"])

STIFF_CLASSES = ("F1", "F2", "F3", "F4")
FLOWING_CLASSES = ("F5", "F6")
SELF_COMPACTING = "SCC"

PLACE = Source(DOCUMENT, "4.3", Known.MEMORY)
RATE = Quantity("m/h", at_least=0.0, at_most=GREATEST_RATE)
SET = Quantity("h", above=0.0)
DENSITY = Quantity("kN/m3", above=0.0)
HEIGHT = Quantity("m", above=0.0)
FACTOR = Quantity("-", above=0.0)
LABEL = Quantity("label")


@clause(
    Source(DOCUMENT, "temperature rule", Known.MEMORY),
    concrete_temperature=Quantity("degC", at_least=0.0),
    gives=Quantity("-"),
)
def temperature_factor(*, concrete_temperature: Column) -> Column:
    r"""Increase for concrete colder than the reference, :math:`1 + 0.03 (15 - T)`, never below 1.

    Parameters
    ----------
    concrete_temperature
        Temperature of the concrete at placing, :math:`T`. [degC]

    Returns
    -------
    Column
        Factor on the pressure. [-]

    Examples
    --------
    By hand: 1 + 0.03 x 5 = 1.15 at 10 degC; no reduction at 20 degC.

    >>> temperature_factor(concrete_temperature=np.array([10.0, 20.0]))
    array([1.15, 1.  ])
    """
    colder = np.maximum(REFERENCE_TEMPERATURE - concrete_temperature, 0.0)
    return 1.0 + RISE_PER_KELVIN * colder


@clause(PLACE, consistency_class=LABEL, final_set=SET, gives=Quantity("-"))
def setting_factor(*, consistency_class: Labels, final_set: Column) -> Column:
    r"""Factor for the final set, :math:`K_1`.

    Linear in :math:`t_E - 5` for F1 to F4 and not below 1 there; :math:`t_E / 5` for F5, F6 and
    self-compacting concrete.

    Parameters
    ----------
    consistency_class
        ``F1`` to ``F6`` or ``SCC``. [label]
    final_set
        Final set of the mix at the reference temperature, :math:`t_E`. [h]

    Returns
    -------
    Column
        Setting factor, :math:`K_1`. [-]

    Examples
    --------
    By hand: F3 at 10 h, 1 + 0.077 x 5 = 1.385; F5 at 10 h, 10/5 = 2.

    >>> setting_factor(consistency_class=np.array(["F3", "F5"]), final_set=np.array([10.0, 10.0]))
    array([1.385, 2.   ])
    """
    slope = by_label(NUMBERS["setting_slope"], consistency_class)
    line = 1.0 + slope * np.maximum(final_set - REFERENCE_SET, 0.0)
    flowing = np.isin(consistency_class, (*FLOWING_CLASSES, SELF_COMPACTING))
    return known(np.where(flowing, final_set / REFERENCE_SET, line), final_set)


@clause(
    PLACE,
    rate_of_rise=RATE,
    weight_density=DENSITY,
    rate_coefficient=Quantity("kPa h/m", at_least=0.0),
    constant_pressure=Quantity("kPa", at_least=0.0),
    setting_factor=FACTOR,
    gives=Quantity("kPa"),
)
def stiff_pressure(
    *,
    rate_of_rise: Column,
    weight_density: Column,
    rate_coefficient: Column,
    constant_pressure: Column,
    setting_factor: Column,
) -> Column:
    r"""Pressure of classes F1 to F4 before any bound, :math:`(a v + b) K_1 \gamma_c / 25`.

    Parameters
    ----------
    rate_of_rise
        Rate of rise, :math:`v`. [m/h]
    weight_density
        Weight density of the fresh concrete, :math:`\gamma_c`. [kN/m3]
    rate_coefficient
        Coefficient of the rate, :math:`a`. [kPa h/m]
    constant_pressure
        Constant of the line, :math:`b`. [kPa]
    setting_factor
        Setting factor, :math:`K_1`. [-]

    Returns
    -------
    Column
        Pressure without floor or cap. [kPa]

    Examples
    --------
    By hand, F3 at 2 m/h and 10 h: (14 x 2 + 18) x 1.385 = 63.7 kPa.

    >>> stiff_pressure(
    ...     rate_of_rise=np.array([2.0]),
    ...     weight_density=np.array([25.0]),
    ...     rate_coefficient=np.array([14.0]),
    ...     constant_pressure=np.array([18.0]),
    ...     setting_factor=np.array([1.385]),
    ... ).round(1)
    array([63.7])
    """
    line = rate_coefficient * rate_of_rise + constant_pressure
    return line * setting_factor * weight_density / REFERENCE_DENSITY


@clause(
    PLACE,
    rate_of_rise=RATE,
    weight_density=DENSITY,
    rate_coefficient=Quantity("kPa h/m", at_least=0.0),
    constant_pressure=Quantity("kPa", at_least=0.0),
    setting_factor=FACTOR,
    gives=Quantity("kPa"),
)
def flowing_pressure(
    *,
    rate_of_rise: Column,
    weight_density: Column,
    rate_coefficient: Column,
    constant_pressure: Column,
    setting_factor: Column,
) -> Column:
    r"""Pressure of classes F5 and F6 before any bound, :math:`(b + a v K_1) \gamma_c / 25`.

    Parameters
    ----------
    rate_of_rise
        Rate of rise, :math:`v`. [m/h]
    weight_density
        Weight density of the fresh concrete, :math:`\gamma_c`. [kN/m3]
    rate_coefficient
        Coefficient of the rate, :math:`a`. [kPa h/m]
    constant_pressure
        Constant of the line, :math:`b`. [kPa]
    setting_factor
        Setting factor, :math:`K_1`, on the rate only. [-]

    Returns
    -------
    Column
        Pressure without floor or cap. [kPa]

    Examples
    --------
    By hand, F5 at 2 m/h and 10 h: 25 + 30 x 2 x 2 = 145 kPa.

    >>> flowing_pressure(
    ...     rate_of_rise=np.array([2.0]),
    ...     weight_density=np.array([25.0]),
    ...     rate_coefficient=np.array([30.0]),
    ...     constant_pressure=np.array([25.0]),
    ...     setting_factor=np.array([2.0]),
    ... )
    array([145.])
    """
    line = constant_pressure + rate_coefficient * rate_of_rise * setting_factor
    return line * weight_density / REFERENCE_DENSITY


@clause(
    Source("DIN 18218:2010-01", "line for SCC, as printed in Concrete International 32(6), 2010, Eq. (1)"),
    rate_of_rise=RATE,
    final_set=SET,
    weight_density=DENSITY,
    gives=Quantity("kPa"),
)
def self_compacting_pressure(*, rate_of_rise: Column, final_set: Column, weight_density: Column) -> Column:
    r"""Pressure of self-compacting concrete before any bound, :math:`(1.0 + 0.26 v t_E) \gamma_c`.

    Parameters
    ----------
    rate_of_rise
        Rate of rise, :math:`v`. [m/h]
    final_set
        Final set of the mix, :math:`t_E`. [h]
    weight_density
        Weight density of the fresh concrete, :math:`\gamma_c`. [kN/m3]

    Returns
    -------
    Column
        Pressure without floor or cap. [kPa]

    Examples
    --------
    By hand: (1.0 + 0.26 x 2 x 10) x 25 = 155 kPa.

    >>> self_compacting_pressure(
    ...     rate_of_rise=np.array([2.0]), final_set=np.array([10.0]), weight_density=np.array([25.0])
    ... )
    array([155.])
    """
    return (1.0 + 0.26 * rate_of_rise * final_set) * weight_density


def _parts(
    *,
    consistency_class: Labels,
    rate_of_rise: Column,
    final_set: Column,
    weight_density: Column,
    placement_height: Column,
    temperature_factor: Column,
) -> tuple[Column, Column, Column, Flags]:
    """Return the value of the class's formula, the least pressure, the full head, and the scope."""
    a = by_label(NUMBERS["rate_coefficient"], consistency_class)
    b = by_label(NUMBERS["constant"], consistency_class)
    K1 = setting_factor(consistency_class=consistency_class, final_set=final_set)
    line = {
        "rate_of_rise": rate_of_rise,
        "weight_density": weight_density,
        "rate_coefficient": a,
        "constant_pressure": b,
        "setting_factor": K1,
    }
    scc = self_compacting_pressure(
        rate_of_rise=rate_of_rise, final_set=final_set, weight_density=weight_density
    )
    formula = np.where(np.isin(consistency_class, FLOWING_CLASSES), flowing_pressure(**line), np.nan)
    formula = np.where(np.isin(consistency_class, STIFF_CLASSES), stiff_pressure(**line), formula)
    formula = np.where(np.isin(consistency_class, (SELF_COMPACTING,)), scc, formula)
    floor = by_label(NUMBERS["least_pressure"], consistency_class)
    head = weight_density * placement_height
    return formula * temperature_factor, floor, head, rate_of_rise <= GREATEST_RATE


@clause(
    PLACE,
    consistency_class=LABEL,
    rate_of_rise=RATE,
    final_set=SET,
    weight_density=DENSITY,
    placement_height=HEIGHT,
    temperature_factor=FACTOR,
    gives=Quantity("kPa"),
)
def design_pressure(
    *,
    consistency_class: Labels,
    rate_of_rise: Column,
    final_set: Column,
    weight_density: Column,
    placement_height: Column,
    temperature_factor: Column,
) -> Column:
    r"""Design maximum of the lateral pressure (characteristic value), between floor and full head.

    Parameters
    ----------
    consistency_class
        ``F1`` to ``F6`` or ``SCC``. [label]
    rate_of_rise
        Rate of rise, :math:`v`. [m/h]
    final_set
        Final set of the mix at the reference temperature, :math:`t_E`. [h]
    weight_density
        Weight density of the fresh concrete, :math:`\gamma_c`. [kN/m3]
    placement_height
        Height of concrete placed, :math:`h`. [m]
    temperature_factor
        Factor of :func:`temperature_factor`, taken before the floor. [-]

    Returns
    -------
    Column
        Design pressure. [kPa]

    Notes
    -----
    Above the greatest rate of the standard the full head is given, and the row is outside its scope.

    Examples
    --------
    By hand: F3 at 2 m/h, 14 x 2 + 18 = 46 kPa; F1 at 0.3 m/h, 22.5, raised to 25 kPa.

    >>> design_pressure(
    ...     consistency_class=np.array(["F3", "F1"]),
    ...     rate_of_rise=np.array([2.0, 0.3]),
    ...     final_set=np.array([5.0, 5.0]),
    ...     weight_density=np.array([25.0, 25.0]),
    ...     placement_height=np.array([4.0, 4.0]),
    ...     temperature_factor=np.ones(2),
    ... )
    array([46., 25.])
    """
    formula, floor, head, within = _parts(
        consistency_class=consistency_class,
        rate_of_rise=rate_of_rise,
        final_set=final_set,
        weight_density=weight_density,
        placement_height=placement_height,
        temperature_factor=temperature_factor,
    )
    bounded = fluid.bounded(formula=formula, floor=floor, fluid=head, within_scope=within)
    return known(bounded, formula, floor, head)


@clause(
    PLACE,
    consistency_class=LABEL,
    rate_of_rise=RATE,
    final_set=SET,
    weight_density=DENSITY,
    placement_height=HEIGHT,
    temperature_factor=FACTOR,
    gives=Quantity("-"),
)
def governing_bound(
    *,
    consistency_class: Labels,
    rate_of_rise: Column,
    final_set: Column,
    weight_density: Column,
    placement_height: Column,
    temperature_factor: Column,
) -> Column:
    """Which bound gives the design pressure: formula, floor, full head, or full head out of scope.

    Parameters
    ----------
    consistency_class
        ``F1`` to ``F6`` or ``SCC``. [label]
    rate_of_rise
        Rate of rise. [m/h]
    final_set
        Final set of the mix at the reference temperature. [h]
    weight_density
        Weight density of the fresh concrete. [kN/m3]
    placement_height
        Height of concrete placed. [m]
    temperature_factor
        Factor of :func:`temperature_factor`. [-]

    Returns
    -------
    Column
        Code, see ``fluid_pressure.BOUND_NAMES``. [-]

    Examples
    --------
    The rows of :func:`design_pressure`: formula, then floor.

    >>> governing_bound(
    ...     consistency_class=np.array(["F3", "F1"]),
    ...     rate_of_rise=np.array([2.0, 0.3]),
    ...     final_set=np.array([5.0, 5.0]),
    ...     weight_density=np.array([25.0, 25.0]),
    ...     placement_height=np.array([4.0, 4.0]),
    ...     temperature_factor=np.ones(2),
    ... )
    array([1., 2.])
    """
    formula, floor, head, within = _parts(
        consistency_class=consistency_class,
        rate_of_rise=rate_of_rise,
        final_set=final_set,
        weight_density=weight_density,
        placement_height=placement_height,
        temperature_factor=temperature_factor,
    )
    code = fluid.bound_code(formula=formula, floor=floor, fluid=head, within_scope=within)
    return known(code, floor)


@clause(
    PLACE,
    consistency_class=LABEL,
    permissible_pressure=Quantity("kPa", at_least=0.0),
    final_set=SET,
    weight_density=DENSITY,
    placement_height=HEIGHT,
    temperature_factor=FACTOR,
    gives=Quantity("m/h"),
)
def greatest_rate_of_rise(
    *,
    consistency_class: Labels,
    permissible_pressure: Column,
    final_set: Column,
    weight_density: Column,
    placement_height: Column,
    temperature_factor: Column,
) -> Column:
    """Greatest rate of rise at which the design pressure does not exceed a permissible one.

    Parameters
    ----------
    consistency_class
        ``F1`` to ``F6`` or ``SCC``. [label]
    permissible_pressure
        Pressure that must not be exceeded. [kPa]
    final_set
        Final set of the mix at the reference temperature. [h]
    weight_density
        Weight density of the fresh concrete. [kN/m3]
    placement_height
        Height of concrete placed. [m]
    temperature_factor
        Factor of :func:`temperature_factor`. [-]

    Returns
    -------
    Column
        Rate of rise; infinite where the full head may be carried, 0 where no rate is slow
        enough, never above the greatest rate of the standard otherwise. [m/h]

    Examples
    --------
    By hand, F3: (46 - 18) / 14 = 2 m/h.

    >>> greatest_rate_of_rise(
    ...     consistency_class=np.array(["F3"]),
    ...     permissible_pressure=np.array([46.0]),
    ...     final_set=np.array([5.0]),
    ...     weight_density=np.array([25.0]),
    ...     placement_height=np.array([4.0]),
    ...     temperature_factor=np.ones(1),
    ... )
    array([2.])
    """
    a = by_label(NUMBERS["rate_coefficient"], consistency_class)
    b = by_label(NUMBERS["constant"], consistency_class)
    K1 = setting_factor(consistency_class=consistency_class, final_set=final_set)
    p = permissible_pressure / temperature_factor
    line = p * REFERENCE_DENSITY / weight_density

    rate = np.where(np.isin(consistency_class, FLOWING_CLASSES), (line - b) / (a * K1), np.nan)
    rate = np.where(np.isin(consistency_class, STIFF_CLASSES), (line / K1 - b) / a, rate)
    scc = (p / weight_density - 1.0) / (0.26 * final_set)
    rate = np.where(np.isin(consistency_class, (SELF_COMPACTING,)), scc, rate)
    return fluid.bounded_rate(
        rate=rate,
        permissible_pressure=permissible_pressure,
        floor=by_label(NUMBERS["least_pressure"], consistency_class),
        fluid=weight_density * placement_height,
        within_scope=np.full(np.shape(rate), True),
        greatest=GREATEST_RATE,
    )
