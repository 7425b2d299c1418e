"""Nominal sizes and masses of reinforcing bars: EN 10080 / ISO 6935-2 and ASTM A615."""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.clauses.rows import Labels, factors
from sheetengine.sources import Known, Source

MM_PER_INCH = 25.4
KG_PER_POUND = 0.45359237
M_PER_FOOT = 0.3048

_METRIC = factors("bar_masses")["metric"]
_US = factors("bar_masses")["us"]


def metric_sizes() -> tuple[float, ...]:
    """Return the nominal diameters of the metric table, in mm.

    >>> metric_sizes()[:3]
    (6.0, 8.0, 10.0)
    """
    return tuple(_METRIC["diameter"])


def us_numbers() -> tuple[float, ...]:
    """Return the bar numbers of the US table.

    >>> us_numbers()[-2:]
    (14.0, 18.0)
    """
    return tuple(_US["number"])


def bar_numbers(labels: Labels) -> Column:
    """Return the bar number of each label, such as ``#5`` or ``No. 5``; ``nan`` where there is none.

    >>> bar_numbers(np.array(["#5", "No. 11", "16"]))
    array([ 5., 11., nan])
    """
    words = [str(label).strip() for label in np.asarray(labels).ravel()]
    table = {f"{mark}{number:g}": number for number in _US["number"] for mark in ("#", "no.", "no")}
    return np.array([table.get(word.lower().replace(" ", ""), np.nan) for word in words])


def _look_up(sizes: Column, keys: list[float], values: list[float]) -> Column:
    """Return the value beside each size; ``nan`` where the table has no such size."""
    found: Column = np.full(np.shape(sizes), np.nan)
    for key, value in zip(keys, values, strict=True):
        found = np.where(sizes == key, value, found)
    return found


@clause(
    Source("EN 10080:2005 / ISO 6935-2", "Table 6", Known.MEMORY),
    bar_diameter=Quantity("mm", at_least=6.0, at_most=40.0),
    gives=Quantity("kg/m"),
)
def metric_bar_mass(*, bar_diameter: Column) -> Column:
    """Nominal mass of a metric bar.

    Parameters
    ----------
    bar_diameter
        Nominal diameter; one that the table does not list gives ``nan``. [mm]

    Returns
    -------
    Column
        Mass of a metre. [kg/m]

    Examples
    --------
    By hand: pi/4 x 0.016^2 x 7850 = 1.578, printed 1.58.

    >>> metric_bar_mass(bar_diameter=np.array([16.0, 17.0]))
    array([1.58,  nan])
    """
    return _look_up(bar_diameter, _METRIC["diameter"], _METRIC["mass"])


@clause(
    Source("ASTM A615/A615M", "Table 1"),
    bar_number=Quantity("-", at_least=3.0, at_most=18.0),
    gives=Quantity("kg/m"),
)
def us_bar_mass(*, bar_number: Column) -> Column:
    """Nominal mass of a US bar, from the printed weight in lb/ft.

    Parameters
    ----------
    bar_number
        Number of the bar; one that the table does not list gives ``nan``. [-]

    Returns
    -------
    Column
        Mass of a metre. [kg/m]

    Examples
    --------
    By hand: 1.043 lb/ft x 0.45359/0.3048 = 1.552.

    >>> us_bar_mass(bar_number=np.array([5.0, 12.0])).round(3)
    array([1.552,   nan])
    """
    return _look_up(bar_number, _US["number"], _US["weight"]) * KG_PER_POUND / M_PER_FOOT


@clause(
    Source("ASTM A615/A615M", "Table 1"),
    bar_number=Quantity("-", at_least=3.0, at_most=18.0),
    gives=Quantity("mm"),
)
def us_bar_diameter(*, bar_number: Column) -> Column:
    """Nominal diameter of a US bar, from the printed diameter in inches.

    Parameters
    ----------
    bar_number
        Number of the bar; one that the table does not list gives ``nan``. [-]

    Returns
    -------
    Column
        Nominal diameter. [mm]

    Examples
    --------
    By hand: 0.625 x 25.4 = 15.875.

    >>> us_bar_diameter(bar_number=np.array([5.0]))
    array([15.875])
    """
    return _look_up(bar_number, _US["number"], _US["diameter"]) * MM_PER_INCH
