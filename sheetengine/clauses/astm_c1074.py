"""Maturity: ASTM C1074, temperature-time factor and equivalent age.

Each function gives a rate: what is gained in a unit of time at a temperature. The maturity of a
history is the sum of rate times interval.
"""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.sources import Known, Source

DOCUMENT = "ASTM C1074"

ZERO_CELSIUS = 273.15
"""0 degC in kelvin, as used here; the standard rounds to 273, which moves a rate by less than 0.1 %."""

GAS_CONSTANT = 8.314462618
"""Molar gas constant, J/(mol K), CODATA 2018."""

TEMPERATURE = Quantity("degC", above=-ZERO_CELSIUS)


@clause(
    Source(DOCUMENT, "Eq. (1), temperature-time factor", Known.MEMORY),
    concrete_temperature=TEMPERATURE,
    datum_temperature=TEMPERATURE,
    gives=Quantity("K"),
)
def temperature_time_rate(*, concrete_temperature: Column, datum_temperature: Column) -> Column:
    r"""Temperature-time factor gained in a unit of time (Nurse and Saul), :math:`T - T_0 \ge 0`.

    Parameters
    ----------
    concrete_temperature
        Temperature of the concrete, :math:`T`. [degC]
    datum_temperature
        Temperature below which nothing is gained, :math:`T_0`. [degC]

    Returns
    -------
    Column
        Rate: kelvin-days for each day. [K]

    Examples
    --------
    By hand: 15 - (-11) = 26 K; nothing below the datum.

    >>> temperature_time_rate(
    ...     concrete_temperature=np.array([15.0, -12.0]), datum_temperature=np.array([-11.0, -11.0])
    ... )
    array([26.,  0.])
    """
    return np.maximum(concrete_temperature - datum_temperature, 0.0)


@clause(
    Source(DOCUMENT, "temperature-time factor over that at the reference temperature", Known.MEMORY),
    concrete_temperature=TEMPERATURE,
    datum_temperature=TEMPERATURE,
    reference_temperature=TEMPERATURE,
    gives=Quantity("-"),
)
def nurse_saul_rate(
    *, concrete_temperature: Column, datum_temperature: Column, reference_temperature: Column
) -> Column:
    r"""Equivalent age gained in a unit of time by Nurse and Saul, :math:`(T - T_0)/(T_s - T_0) \ge 0`.

    Parameters
    ----------
    concrete_temperature
        Temperature of the concrete, :math:`T`. [degC]
    datum_temperature
        Temperature below which nothing is gained, :math:`T_0`. [degC]
    reference_temperature
        Temperature at which the strength curve was measured, :math:`T_s`. [degC]

    Returns
    -------
    Column
        Rate of the equivalent age. [-]

    Examples
    --------
    By hand: (10 - 0)/(20 - 0) = 0.5.

    >>> nurse_saul_rate(
    ...     concrete_temperature=np.array([10.0, -3.0]),
    ...     datum_temperature=np.array([0.0, 0.0]),
    ...     reference_temperature=np.array([20.0, 20.0]),
    ... )
    array([0.5, 0. ])
    """
    gained = np.maximum(concrete_temperature - datum_temperature, 0.0)
    return gained / (reference_temperature - datum_temperature)


@clause(
    Source(DOCUMENT, "Eq. (2), equivalent age", Known.MEMORY),
    concrete_temperature=TEMPERATURE,
    activation_temperature=Quantity("K", at_least=0.0),
    reference_temperature=TEMPERATURE,
    gives=Quantity("-"),
)
def arrhenius_rate(
    *, concrete_temperature: Column, activation_temperature: Column, reference_temperature: Column
) -> Column:
    r"""Equivalent age gained in a unit of time by Arrhenius.

    .. math::

        \exp\left[-Q \left(\frac{1}{T + 273.15} - \frac{1}{T_s + 273.15}\right)\right]

    Parameters
    ----------
    concrete_temperature
        Temperature of the concrete, :math:`T`. [degC]
    activation_temperature
        Apparent activation energy over the gas constant, :math:`Q`. [K]
    reference_temperature
        Temperature at which the strength curve was measured, :math:`T_s`. [degC]

    Returns
    -------
    Column
        Rate of the equivalent age. [-]

    Notes
    -----
    The rate does not fall to zero in frozen concrete: a datum, where one is wanted, is applied to
    the temperature history.

    Examples
    --------
    By hand: exp[-5000 (1/283.15 - 1/296.15)] = exp(-0.775) = 0.461.

    >>> arrhenius_rate(
    ...     concrete_temperature=np.array([10.0]),
    ...     activation_temperature=np.array([5000.0]),
    ...     reference_temperature=np.array([23.0]),
    ... ).round(3)
    array([0.461])
    """
    Q = activation_temperature
    T = concrete_temperature + ZERO_CELSIUS
    T_s = reference_temperature + ZERO_CELSIUS
    grown: Column = np.asarray(Q / T_s - Q / T)
    return np.exp(grown, out=grown)


@clause(
    Source(DOCUMENT, "activation energy divided by the gas constant", Known.MEMORY),
    activation_energy=Quantity("kJ/mol", at_least=0.0),
    gives=Quantity("K"),
)
def activation_temperature(*, activation_energy: Column) -> Column:
    r"""Activation temperature from the apparent activation energy, :math:`Q = E / R`.

    Parameters
    ----------
    activation_energy
        Apparent activation energy, :math:`E`. [kJ/mol]

    Returns
    -------
    Column
        Activation temperature, :math:`Q`. [K]

    Examples
    --------
    By hand: 34 000 / 8.3145 = 4089 K.

    >>> activation_temperature(activation_energy=np.array([34.0])).round(0)
    array([4089.])
    """
    return 1000.0 * activation_energy / GAS_CONSTANT
