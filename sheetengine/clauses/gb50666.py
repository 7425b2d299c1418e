"""Fresh-concrete pressure: GB 50666-2011.

A different formula from that of JGJ 162-2008: one factor for the slump, none for an admixture.
"""

from __future__ import annotations

import numpy as np

from sheetengine.clauses import fluid_pressure as fluid
from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.clauses.rows import factors, known
from sheetengine.sources import Known, Source

DOCUMENT = "GB 50666-2011"
PLACE = Source(DOCUMENT, "Annex A, A.0.4")
NUMBERS = factors("gb50666")

RATE = Quantity("m/h", at_least=0.0, at_most=NUMBERS["greatest_rate"])
SLUMP = Quantity("mm", at_least=0.0, at_most=NUMBERS["greatest_slump"])
DENSITY = Quantity("kN/m3", above=0.0)
SET = Quantity("h", above=0.0)
FACTOR = Quantity("-", above=0.0)
HEIGHT = Quantity("m", above=0.0)


@clause(
    PLACE,
    concrete_temperature=Quantity("degC", above=-15.0),
    gives=Quantity("h"),
)
def initial_set(*, concrete_temperature: Column) -> Column:
    r"""Initial set where it has not been tested, :math:`t_0 = 200 / (T + 15)`.

    Parameters
    ----------
    concrete_temperature
        Temperature of the concrete at placing, :math:`T`. [degC]

    Returns
    -------
    Column
        Initial set, :math:`t_0`. [h]

    Examples
    --------
    By hand: 200 / (25 + 15) = 5 h.

    >>> initial_set(concrete_temperature=np.array([25.0]))
    array([5.])
    """
    return 200.0 / (concrete_temperature + 15.0)


@clause(Source(DOCUMENT, "Annex A, A.0.4, slump factors", Known.MEMORY), slump=SLUMP, gives=Quantity("-"))
def slump_factor(*, slump: Column) -> Column:
    r"""Factor for the slump, :math:`\beta`.

    Parameters
    ----------
    slump
        Slump at placing. [mm]

    Returns
    -------
    Column
        0.85 to 90 mm, 0.90 to 130 mm, 1.00 above. [-]

    Examples
    --------
    From the table:

    >>> slump_factor(slump=np.array([70.0, 100.0, 160.0]))
    array([0.85, 0.9 , 1.  ])
    """
    (low, at_low), (middle, at_middle) = NUMBERS["slump_factor"]
    at_high = NUMBERS["slump_factor_above"]
    return known(np.where(slump <= low, at_low, np.where(slump <= middle, at_middle, at_high)), slump)


@clause(
    PLACE,
    weight_density=DENSITY,
    rate_of_rise=RATE,
    placement_height=HEIGHT,
    initial_set=SET,
    slump_factor=FACTOR,
    slump=SLUMP,
    gives=Quantity("kPa"),
)
def design_pressure(
    *,
    weight_density: Column,
    rate_of_rise: Column,
    placement_height: Column,
    initial_set: Column,
    slump_factor: Column,
    slump: Column,
) -> Column:
    r"""Design maximum of the lateral pressure.

    .. math::

        F = \min\left\{ 0.28 \gamma_c t_0 \beta \sqrt{V},\; \gamma_c H \right\}

    Parameters
    ----------
    weight_density
        Weight density of the fresh concrete, :math:`\gamma_c`. [kN/m3]
    rate_of_rise
        Rate of rise, :math:`V`. [m/h]
    placement_height
        Height of concrete placed, :math:`H`. [m]
    initial_set
        Initial set, tested or by :func:`initial_set`, :math:`t_0`. [h]
    slump_factor
        Factor for the slump, :math:`\beta`. [-]
    slump
        Slump at placing; above the greatest slump the full head governs. [mm]

    Returns
    -------
    Column
        Design pressure, :math:`F`. [kPa]

    Examples
    --------
    By hand: 0.28 x 24 x 5.714 x 1.0 x sqrt(2) = 54.3 kPa, below 24 x 3 = 72 kPa.

    >>> design_pressure(
    ...     weight_density=np.array([24.0]),
    ...     rate_of_rise=np.array([2.0]),
    ...     placement_height=np.array([3.0]),
    ...     initial_set=np.array([5.714]),
    ...     slump_factor=np.array([1.0]),
    ...     slump=np.array([150.0]),
    ... ).round(1)
    array([54.3])
    """
    formula = 0.28 * weight_density * initial_set * slump_factor * np.sqrt(rate_of_rise)
    head = weight_density * placement_height
    within = (rate_of_rise <= NUMBERS["greatest_rate"]) & (slump <= NUMBERS["greatest_slump"])
    return known(
        fluid.bounded(formula=formula, floor=0.0, fluid=head, within_scope=within), formula, head, slump
    )


@clause(
    PLACE,
    weight_density=DENSITY,
    rate_of_rise=RATE,
    placement_height=HEIGHT,
    initial_set=SET,
    slump_factor=FACTOR,
    slump=SLUMP,
    gives=Quantity("-"),
)
def governing_bound(
    *,
    weight_density: Column,
    rate_of_rise: Column,
    placement_height: Column,
    initial_set: Column,
    slump_factor: Column,
    slump: Column,
) -> Column:
    r"""Which bound gives the design pressure: formula, full head, or full head out of scope.

    Parameters
    ----------
    weight_density
        Weight density of the fresh concrete. [kN/m3]
    rate_of_rise
        Rate of rise. [m/h]
    placement_height
        Height of concrete placed. [m]
    initial_set
        Initial set, tested or by :func:`initial_set`. [h]
    slump_factor
        Factor for the slump, :math:`\beta`. [-]
    slump
        Slump at placing. [mm]

    Returns
    -------
    Column
        Code, see ``fluid_pressure.BOUND_NAMES``. [-]

    Examples
    --------
    The row of :func:`design_pressure`, then a slump of 200 mm.

    >>> governing_bound(
    ...     weight_density=np.full(2, 24.0),
    ...     rate_of_rise=np.full(2, 2.0),
    ...     placement_height=np.full(2, 3.0),
    ...     initial_set=np.full(2, 5.714),
    ...     slump_factor=np.ones(2),
    ...     slump=np.array([150.0, 200.0]),
    ... )
    array([1., 4.])
    """
    formula = 0.28 * weight_density * initial_set * slump_factor * np.sqrt(rate_of_rise)
    head = weight_density * placement_height
    within = (rate_of_rise <= NUMBERS["greatest_rate"]) & (slump <= NUMBERS["greatest_slump"])
    return known(fluid.bound_code(formula=formula, floor=0.0, fluid=head, within_scope=within), slump)


@clause(
    PLACE,
    permissible_pressure=Quantity("kPa", at_least=0.0),
    weight_density=DENSITY,
    placement_height=HEIGHT,
    initial_set=SET,
    slump_factor=FACTOR,
    slump=SLUMP,
    gives=Quantity("m/h"),
)
def greatest_rate_of_rise(
    *,
    permissible_pressure: Column,
    weight_density: Column,
    placement_height: Column,
    initial_set: Column,
    slump_factor: Column,
    slump: Column,
) -> Column:
    r"""Greatest rate of rise, :math:`V = [p / (0.28 \gamma_c t_0 \beta)]^2`.

    Parameters
    ----------
    permissible_pressure
        Pressure that must not be exceeded, :math:`p`. [kPa]
    weight_density
        Weight density of the fresh concrete, :math:`\gamma_c`. [kN/m3]
    placement_height
        Height of concrete placed, :math:`H`. [m]
    initial_set
        Initial set, tested or by :func:`initial_set`, :math:`t_0`. [h]
    slump_factor
        Factor for the slump, :math:`\beta`. [-]
    slump
        Slump at placing. [mm]

    Returns
    -------
    Column
        Rate of rise; infinite where the full head may be carried, 0 where no rate is slow
        enough, never above the greatest rate of the
        code otherwise. [m/h]

    Examples
    --------
    By hand: (33.6 / (0.28 x 24 x 5 x 1.0))^2 = 1 m/h.

    >>> greatest_rate_of_rise(
    ...     permissible_pressure=np.array([33.6]),
    ...     weight_density=np.array([24.0]),
    ...     placement_height=np.array([3.0]),
    ...     initial_set=np.array([5.0]),
    ...     slump_factor=np.array([1.0]),
    ...     slump=np.array([150.0]),
    ... ).round(6)
    array([1.])
    """
    rate = (permissible_pressure / (0.28 * weight_density * initial_set * slump_factor)) ** 2
    limited = fluid.bounded_rate(
        rate=rate,
        permissible_pressure=permissible_pressure,
        floor=0.0,
        fluid=weight_density * placement_height,
        within_scope=slump <= NUMBERS["greatest_slump"],
        greatest=NUMBERS["greatest_rate"],
    )
    return known(limited, slump)
