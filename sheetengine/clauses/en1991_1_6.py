"""Return period of climatic actions during execution: EN 1991-1-6:2005, Table 3.1."""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.clauses.rows import factors, known
from sheetengine.sources import Source

SOURCE = Source("EN 1991-1-6:2005", "Table 3.1")
NUMBERS = factors("en1991_1_6")


@clause(SOURCE, exposure_days=Quantity("d", above=0.0), gives=Quantity("yr"))
def return_period(*, exposure_days: Column) -> Column:
    """Return period by the duration of the stage.

    Parameters
    ----------
    exposure_days
        Duration of the stage. [d]

    Returns
    -------
    Column
        2 years up to 3 days, 5 up to 3 months, 10 up to a year, 50 beyond. [yr]

    Notes
    -----
    The stage of up to 3 days rests on a reliable weather forecast.

    Examples
    --------
    From the table:

    >>> return_period(exposure_days=np.array([2.0, 60.0, 300.0, 500.0]))
    array([ 2.,  5., 10., 50.])
    """
    found: Column = np.full(np.shape(exposure_days), NUMBERS["longer"])
    for step in ("one_year", "three_months", "three_days"):
        days, years = NUMBERS[step]
        found = np.where(exposure_days <= days, years, found)
    return known(found, exposure_days)


@clause(
    Source("EN 1991-1-6:2005", "Table 3.1, probability of being exceeded in a year"),
    return_period=Quantity("yr", above=1.0),
    gives=Quantity("-"),
)
def annual_probability(*, return_period: Column) -> Column:
    """Probability of being exceeded in a year, one over the return period.

    Parameters
    ----------
    return_period
        Return period. [yr]

    Returns
    -------
    Column
        Annual probability. [-]

    Examples
    --------
    >>> annual_probability(return_period=np.array([5.0]))
    array([0.2])
    """
    return 1.0 / return_period


@clause(
    Source("EN 1991-1-6:2005", "3.1(5), least basic velocity up to three months"),
    exposure_days=Quantity("d", above=0.0),
    basic_velocity=Quantity("m/s", at_least=0.0),
    gives=Quantity("m/s"),
)
def execution_velocity(*, exposure_days: Column, basic_velocity: Column) -> Column:
    """Basic velocity for a stage, not below 20 m/s for durations up to three months.

    Parameters
    ----------
    exposure_days
        Duration of the stage. [d]
    basic_velocity
        Basic velocity, already reduced for the return period. [m/s]

    Returns
    -------
    Column
        Basic velocity for the stage. [m/s]

    Examples
    --------
    >>> execution_velocity(
    ...     exposure_days=np.array([30.0, 200.0]), basic_velocity=np.array([18.0, 18.0])
    ... )
    array([20., 18.])
    """
    least = np.maximum(basic_velocity, NUMBERS["least_basic_velocity"])
    short = exposure_days <= NUMBERS["three_months"][0]
    return known(np.where(short, least, basic_velocity), exposure_days, basic_velocity)
