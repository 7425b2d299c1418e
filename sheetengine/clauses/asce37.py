"""Wind during construction: ASCE 37, velocity factors."""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.clauses.rows import factors, known
from sheetengine.sources import Known, Source

SOURCE = Source("ASCE 37-14", "6.2, velocity factors by construction period", Known.MEMORY)
NUMBERS = factors("asce37")


@clause(
    SOURCE,
    exposure_days=Quantity("d", above=0.0, at_most=NUMBERS["five_years"][0]),
    gives=Quantity("-"),
)
def velocity_factor(*, exposure_days: Column) -> Column:
    """Factor on the design wind speed by the construction period.

    Parameters
    ----------
    exposure_days
        Duration of the stage. [d]

    Returns
    -------
    Column
        0.75 below six weeks, 0.80 up to a year, 0.85 up to two, 0.90 up to five; 1 beyond, outside
        the table. [-]

    Examples
    --------
    From the table:

    >>> velocity_factor(exposure_days=np.array([20.0, 100.0, 500.0, 1000.0]))
    array([0.75, 0.8 , 0.85, 0.9 ])
    """
    found = np.ones(np.shape(exposure_days))
    for step in ("five_years", "two_years", "one_year"):
        days, factor = NUMBERS[step]
        found = np.where(exposure_days <= days, factor, found)
    days, factor = NUMBERS["six_weeks"]
    return known(np.where(exposure_days < days, factor, found), exposure_days)
