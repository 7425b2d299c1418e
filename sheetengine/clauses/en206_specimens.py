"""Cube and cylinder strength: the pairs of the strength classes, EN 206 and EN 1992-1-1."""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.clauses.rows import factors, known
from sheetengine.sources import Known, Source

PAIRS = factors("en206_specimens")
CYLINDER = np.array(PAIRS["cylinder"], dtype=np.float64)
CUBE = np.array(PAIRS["cube"], dtype=np.float64)
BELOW_TABLE = float(PAIRS["below_table"])

SOURCE = Source("EN 206:2013", "Table 12 (EN 1992-1-1:2004 Table 3.1), linear between", Known.MEMORY)


@clause(
    SOURCE,
    cube_strength=Quantity("MPa", at_least=0.0, at_most=float(CUBE[-1])),
    gives=Quantity("MPa"),
)
def cylinder_from_cube(*, cube_strength: Column) -> Column:
    """Cylinder strength of the class whose cube strength is given, linear between the classes.

    Parameters
    ----------
    cube_strength
        Strength of 150 mm cubes. [MPa]

    Returns
    -------
    Column
        Strength of 150 mm by 300 mm cylinders; 0.8 of the cube below the table, ``nan`` above
        it. [MPa]

    Examples
    --------
    C30/37 from the table; between C25/30 and C30/37, 25 + 5 x 3.5/7 = 27.5; below, 0.8 x 5 = 4.

    >>> cylinder_from_cube(cube_strength=np.array([37.0, 33.5, 5.0]))
    array([30. , 27.5,  4. ])
    """
    table = np.interp(cube_strength, CUBE, CYLINDER)
    value = np.where(cube_strength < CUBE[0], BELOW_TABLE * cube_strength, table)
    return known(np.where(cube_strength > CUBE[-1], np.nan, value), cube_strength)


@clause(
    SOURCE,
    cylinder_strength=Quantity("MPa", at_least=0.0, at_most=float(CYLINDER[-1])),
    gives=Quantity("MPa"),
)
def cube_from_cylinder(*, cylinder_strength: Column) -> Column:
    """Cube strength of the class whose cylinder strength is given, linear between the classes.

    Parameters
    ----------
    cylinder_strength
        Strength of 150 mm by 300 mm cylinders. [MPa]

    Returns
    -------
    Column
        Strength of 150 mm cubes; cylinder over 0.8 below the table, ``nan`` above it. [MPa]

    Examples
    --------
    C20/25 from the table; below, 4 / 0.8 = 5.

    >>> cube_from_cylinder(cylinder_strength=np.array([20.0, 4.0]))
    array([25.,  5.])
    """
    table = np.interp(cylinder_strength, CYLINDER, CUBE)
    value = np.where(cylinder_strength < CYLINDER[0], cylinder_strength / BELOW_TABLE, table)
    return known(np.where(cylinder_strength > CYLINDER[-1], np.nan, value), cylinder_strength)
