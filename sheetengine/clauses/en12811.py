"""Loads on working platforms: EN 12811-1:2003, Table 3."""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.clauses.rows import factors
from sheetengine.sources import Known, Source

TABLE = factors("en12811")
UNIFORM = Source("EN 12811-1:2003", "Table 3, uniformly distributed load")
OTHERS = Source("EN 12811-1:2003", "Table 3, concentrated and partial-area loads", Known.MEMORY)
CLASS = Quantity("-", at_least=1.0, at_most=6.0)


def _by_class(column: str, platform_class: Column) -> Column:
    """Return a column of the table by class; ``nan`` where there is no such class."""
    found = np.full(np.shape(platform_class), np.nan)
    for number, value in zip(TABLE["class"], TABLE[column], strict=True):
        found = np.where(platform_class == number, value, found)
    return found


@clause(UNIFORM, platform_class=CLASS, gives=Quantity("kPa"))
def uniform_load(*, platform_class: Column) -> Column:
    """Uniformly distributed load, :math:`q_1`.

    Parameters
    ----------
    platform_class
        Load class, 1 to 6. [-]

    Returns
    -------
    Column
        Load on the working area. [kPa]

    Examples
    --------
    From the table:

    >>> uniform_load(platform_class=np.array([1.0, 4.0]))
    array([0.75, 3.  ])
    """
    return _by_class("uniform", platform_class)


@clause(OTHERS, platform_class=CLASS, gives=Quantity("kN"))
def concentrated_load_500(*, platform_class: Column) -> Column:
    """Concentrated load on 500 mm by 500 mm, :math:`F_1`.

    Parameters
    ----------
    platform_class
        Load class, 1 to 6. [-]

    Returns
    -------
    Column
        Load. [kN]

    Examples
    --------
    From the table:

    >>> concentrated_load_500(platform_class=np.array([1.0, 4.0]))
    array([1.5, 3. ])
    """
    return _by_class("on_500_mm", platform_class)


@clause(OTHERS, platform_class=CLASS, gives=Quantity("kN"))
def concentrated_load_200(*, platform_class: Column) -> Column:
    """Concentrated load on 200 mm by 200 mm, :math:`F_2`.

    Parameters
    ----------
    platform_class
        Load class, 1 to 6. [-]

    Returns
    -------
    Column
        Load. [kN]

    Examples
    --------
    From the table:

    >>> concentrated_load_200(platform_class=np.array([1.0, 4.0]))
    array([1., 1.])
    """
    return _by_class("on_200_mm", platform_class)


@clause(OTHERS, platform_class=CLASS, gives=Quantity("kPa"))
def partial_area_load(*, platform_class: Column) -> Column:
    """Load on a part of the bay, :math:`q_2`; 0 where the class has none.

    Parameters
    ----------
    platform_class
        Load class, 1 to 6. [-]

    Returns
    -------
    Column
        Load on the partial area. [kPa]

    Examples
    --------
    From the table:

    >>> partial_area_load(platform_class=np.array([1.0, 4.0]))
    array([0., 5.])
    """
    return _by_class("partial", platform_class)


@clause(OTHERS, platform_class=CLASS, gives=Quantity("-"))
def partial_area_share(*, platform_class: Column) -> Column:
    """Share of the bay that carries the partial-area load, :math:`a_p`.

    Parameters
    ----------
    platform_class
        Load class, 1 to 6. [-]

    Returns
    -------
    Column
        Share of the area. [-]

    Examples
    --------
    From the table:

    >>> partial_area_share(platform_class=np.array([1.0, 6.0]))
    array([0. , 0.5])
    """
    return _by_class("partial_share", platform_class)
