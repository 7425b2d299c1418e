"""Figures for heat in mass concrete: surfaces, adiabatic rise, blended cement, diffusivity by aggregate."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.clauses.rows import Labels, by_label, factors
from sheetengine.sources import Known, Source

ETL = "USACE ETL 1110-2-365 (31 Aug 1994)"
PARHAM = "Parham, mass-concrete temperature curves, thesis, University of Florida"

METRES_PER_MILE = 1609.344
SECONDS_PER_HOUR = 3600.0
W_M2K_PER_BTU_DAY_IN2_F = 1055.056 / (86400.0 * 0.0254**2 * 5.0 / 9.0)
"""One Btu/(day in2 degF) in W/(m2 K)."""

BRANCH = 10.9
"""Wind speed at which the second expression of the film coefficient takes over. [mph]"""


@clause(
    Source(ETL, "Appendix A, Eq. (A-2) and (A-3)"),
    wind_speed_mph=Quantity("mph", at_least=0.0),
    gives=Quantity("Btu/day/in^2/delta_degF"),
)
def film_coefficient_us(*, wind_speed_mph: Column) -> Column:
    r"""Film coefficient of a surface in wind.

    .. math:: h = 0.165 + 0.0513 V \;(V < 10.9),\qquad 0.1132 V^{0.8}\;(V \ge 10.9)

    Parameters
    ----------
    wind_speed_mph
        :math:`V`. [mph]

    Returns
    -------
    Column
        :math:`h`. [Btu/day/in^2/delta_degF]

    Notes
    -----
    As printed the two expressions leave a jump of 6 % at 10.9 mph.

    Examples
    --------
    By hand: 0.165 + 0.513 = 0.678.

    >>> film_coefficient_us(wind_speed_mph=np.array([10.0])).round(3)
    array([0.678])
    """
    slow = 0.165 + 0.0513 * wind_speed_mph
    return np.asarray(np.where(wind_speed_mph < BRANCH, slow, 0.1132 * wind_speed_mph**0.8), dtype=np.float64)


@clause(
    Source(ETL, "Appendix A, Eq. (A-2) and (A-3), in SI"),
    wind_speed=Quantity("m/s", at_least=0.0),
    gives=Quantity("W/m^2/K"),
)
def film_coefficient_in_wind(*, wind_speed: Column) -> Column:
    r"""Film coefficient of a surface in wind, the same expressions taken over into SI.

    .. math:: h = 34.07\, h_{us}(V / 0.44704)

    Parameters
    ----------
    wind_speed
        :math:`V`. [m/s]

    Returns
    -------
    Column
        :math:`h`. [W/m^2/K]

    Examples
    --------
    By hand: 4.4704 m/s are 10 mph; 0.678 x 34.07 = 23.1.

    >>> film_coefficient_in_wind(wind_speed=np.array([4.4704])).round(1)
    array([23.1])
    """
    mph = wind_speed * SECONDS_PER_HOUR / METRES_PER_MILE
    return film_coefficient_us(wind_speed_mph=mph) * W_M2K_PER_BTU_DAY_IN2_F


@clause(
    Source(ETL, "Appendix A, surface with formwork or insulation"),
    film_coefficient=Quantity("W/m^2/K", above=0.0),
    form_thickness=Quantity("m", at_least=0.0),
    form_conductivity=Quantity("W/m/K", above=0.0),
    insulation_resistance=Quantity("m^2 K/W", at_least=0.0),
    gives=Quantity("W/m^2/K"),
)
def covered_film_coefficient(
    *,
    film_coefficient: Column,
    form_thickness: Column,
    form_conductivity: Column,
    insulation_resistance: Column,
) -> Column:
    r"""Film coefficient of a surface behind formwork and insulation.

    .. math:: h' = \frac{1}{1/h + b/k + R}

    Parameters
    ----------
    film_coefficient
        Of the bare surface, :math:`h`. [W/m^2/K]
    form_thickness
        :math:`b`. [m]
    form_conductivity
        :math:`k`. [W/m/K]
    insulation_resistance
        Thermal resistance of the insulation, :math:`R`. [m^2 K/W]

    Returns
    -------
    Column
        :math:`h'`. [W/m^2/K]

    Examples
    --------
    21 mm of plywood. By hand: 1/(0.05 + 0.021/0.14) = 5.

    >>> covered_film_coefficient(
    ...     film_coefficient=np.array([20.0]),
    ...     form_thickness=np.array([0.021]),
    ...     form_conductivity=np.array([0.14]),
    ...     insulation_resistance=np.array([0.0]),
    ... ).round(3)
    array([5.])
    """
    resistance = 1.0 / film_coefficient + form_thickness / form_conductivity + insulation_resistance
    return 1.0 / resistance


@clause(
    Source("Energy balance, basis of ACI 207.2R", "rise without loss of heat", Known.MECHANICS),
    cement_content=Quantity("kg/m^3", at_least=0.0),
    heat_of_hydration=Quantity("kJ/kg", at_least=0.0),
    mass_density=Quantity("kg/m^3", above=0.0),
    specific_heat=Quantity("kJ/kg/K", above=0.0),
    gives=Quantity("K"),
)
def adiabatic_rise_of_mix(
    *,
    cement_content: Column,
    heat_of_hydration: Column,
    mass_density: Column,
    specific_heat: Column,
) -> Column:
    r"""Adiabatic temperature rise from the heat of the cement.

    .. math:: \Delta T = \frac{C Q}{\rho c}

    Parameters
    ----------
    cement_content
        Cementitious content, :math:`C`. [kg/m^3]
    heat_of_hydration
        Heat set free by a kilogram of it, :math:`Q`. [kJ/kg]
    mass_density
        Of the concrete, :math:`\rho`. [kg/m^3]
    specific_heat
        Of the concrete, :math:`c`. [kJ/kg/K]

    Returns
    -------
    Column
        :math:`\Delta T`. [K]

    Examples
    --------
    By hand: 300 x 350/(2400 x 1.0) = 43.75.

    >>> adiabatic_rise_of_mix(
    ...     cement_content=np.array([300.0]),
    ...     heat_of_hydration=np.array([350.0]),
    ...     mass_density=np.array([2400.0]),
    ...     specific_heat=np.array([1.0]),
    ... )
    array([43.75])
    """
    return cement_content * heat_of_hydration / (mass_density * specific_heat)


@clause(
    Source(PARHAM, "Eq. (5-4), placing at 73 degF"),
    replaced_share=Quantity("-", at_least=0.0, at_most=1.0),
    gives=Quantity("-"),
)
def pozzolan_equivalence(*, replaced_share: Column) -> Column:
    r"""Heat of fly ash as a part of the heat of the cement it stands beside, placed at 73 degF.

    .. math:: \alpha_p = 0.59 - 0.59 R_p

    Parameters
    ----------
    replaced_share
        Fly ash over cement plus fly ash, :math:`R_p`. [-]

    Returns
    -------
    Column
        :math:`\alpha_p`; placed at 95 degF the constant is 0.83 in place of 0.59. [-]

    Examples
    --------
    By hand: 0.59 - 0.59 x 0.3 = 0.413, printed 0.41.

    >>> pozzolan_equivalence(replaced_share=np.array([0.3])).round(3)
    array([0.413])
    """
    return 0.59 - 0.59 * replaced_share


@clause(
    Source(PARHAM, "Appendix C, equivalent cement content"),
    cement_content=Quantity("kg/m^3", at_least=0.0),
    pozzolan_content=Quantity("kg/m^3", at_least=0.0),
    pozzolan_factor=Quantity("-", at_least=0.0, at_most=1.0),
    gives=Quantity("kg/m^3"),
)
def equivalent_cement_content(
    *, cement_content: Column, pozzolan_content: Column, pozzolan_factor: Column
) -> Column:
    r"""Cement that would set free the same heat as cement and fly ash together.

    .. math:: C_{eq} = C_c + \alpha_p C_p

    Parameters
    ----------
    cement_content
        :math:`C_c`. [kg/m^3]
    pozzolan_content
        Fly ash, :math:`C_p`. [kg/m^3]
    pozzolan_factor
        :math:`\alpha_p`. [-]

    Returns
    -------
    Column
        :math:`C_{eq}`, in the unit of the contents. [kg/m^3]

    Examples
    --------
    By hand: 560 + 0.41 x 240 = 658.4.

    >>> equivalent_cement_content(
    ...     cement_content=np.array([560.0]),
    ...     pozzolan_content=np.array([240.0]),
    ...     pozzolan_factor=np.array([0.41]),
    ... ).round(1)
    array([658.4])
    """
    return cement_content + pozzolan_factor * pozzolan_content


def diffusivities() -> Mapping[str, float]:
    """Return the diffusivity of concrete by coarse aggregate, in m2/h (ACI 207.2R, from memory).

    >>> diffusivities()["granite"]
    0.004
    """
    table: Mapping[str, float] = factors("heat")["diffusivity"]["si"]
    return table


@clause(
    Source("ACI 207.2R / USBR", "diffusivity by coarse aggregate", Known.MEMORY),
    aggregate=Quantity("label"),
    gives=Quantity("m^2/h"),
)
def diffusivity_by_aggregate(*, aggregate: Labels) -> Column:
    """Thermal diffusivity of concrete by its coarse aggregate.

    Parameters
    ----------
    aggregate
        Rock, in lower case; one that the table does not list gives ``nan``. [label]

    Returns
    -------
    Column
        Diffusivity. [m^2/h]

    Examples
    --------
    >>> diffusivity_by_aggregate(aggregate=np.array(["basalt", "tuff"]))
    array([0.003,   nan])
    """
    return by_label(diffusivities(), aggregate)
