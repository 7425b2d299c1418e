"""Heat of hydration by the degree of hydration in three parameters."""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.sources import Known, Source

SCHINDLER = "Schindler & Folliard, Heat of hydration models for cementitious materials, ACI Materials Journal 102 (2005)"
_AGE = Quantity("h", at_least=0.0)
_TIME = Quantity("h", above=0.0)
_SHAPE = Quantity("-", above=0.0)


def _reached(time: Column, shape: Column, age: Column) -> Column:
    """Return the part of the final hydration that is reached."""
    some = np.maximum(age, np.finfo(float).tiny)
    with np.errstate(over="ignore"):
        power: Column = np.asarray(shape * (np.log(time) - np.log(some)))
        np.negative(np.exp(power, out=power), out=power)  # in its own place: these arrays are large
        return np.exp(power, out=power)


@clause(
    Source(SCHINDLER, "degree of hydration", Known.MEMORY),
    ultimate_hydration=Quantity("-", at_least=0.0, at_most=1.0),
    hydration_time=_TIME,
    hydration_shape=_SHAPE,
    equivalent_age=_AGE,
    gives=Quantity("-"),
)
def degree_of_hydration(
    *, ultimate_hydration: Column, hydration_time: Column, hydration_shape: Column, equivalent_age: Column
) -> Column:
    r"""Degree of hydration, :math:`\alpha = \alpha_u \exp(-(\tau/t_e)^\beta)`; 0 at no age.

    Parameters
    ----------
    ultimate_hydration
        :math:`\alpha_u`. [-]
    hydration_time
        :math:`\tau`. [h]
    hydration_shape
        :math:`\beta`. [-]
    equivalent_age
        :math:`t_e` at the reference temperature. [h]

    Returns
    -------
    Column
        :math:`\alpha`. [-]

    Examples
    --------
    At the hydration time the degree is the e-th part of the ultimate one: 0.8/2.71828 = 0.2943.

    >>> degree_of_hydration(
    ...     ultimate_hydration=np.array([0.8]), hydration_time=np.array([15.0]),
    ...     hydration_shape=np.array([0.9]), equivalent_age=np.array([15.0]),
    ... ).round(4)
    array([0.2943])
    """
    return np.asarray(ultimate_hydration * _reached(hydration_time, hydration_shape, equivalent_age))


@clause(
    Source(SCHINDLER, "adiabatic rise as the degree of hydration times the final rise", Known.MEMORY),
    adiabatic_rise=Quantity("K", at_least=0.0),
    hydration_time=_TIME,
    hydration_shape=_SHAPE,
    equivalent_age=_AGE,
    gives=Quantity("K"),
)
def rise_at_age(
    *, adiabatic_rise: Column, hydration_time: Column, hydration_shape: Column, equivalent_age: Column
) -> Column:
    r"""Adiabatic rise reached at an equivalent age, :math:`\theta = \theta_\infty \exp(-(\tau/t_e)^\beta)`.

    Parameters
    ----------
    adiabatic_rise
        Final rise, :math:`\theta_\infty`; the ultimate degree of hydration is in it. [K]
    hydration_time
        :math:`\tau`. [h]
    hydration_shape
        :math:`\beta`. [-]
    equivalent_age
        :math:`t_e` at the reference temperature. [h]

    Returns
    -------
    Column
        Rise reached. [K]

    Examples
    --------
    By hand: 40 x exp(-(15/30)^1) = 40 x 0.6065 = 24.26.

    >>> rise_at_age(
    ...     adiabatic_rise=np.array([40.0]), hydration_time=np.array([15.0]),
    ...     hydration_shape=np.array([1.0]), equivalent_age=np.array([30.0]),
    ... ).round(2)
    array([24.26])
    """
    return np.asarray(adiabatic_rise * _reached(hydration_time, hydration_shape, equivalent_age))
