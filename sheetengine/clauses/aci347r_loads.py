"""Loads on wall forms and safety factors of form anchors: ACI 347R-14."""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.clauses.rows import factors, known
from sheetengine.sources import Known, Source

DOCUMENT = "ACI 347R-14"
NUMBERS = factors("aci347r_loads")


@clause(
    Source(DOCUMENT, "least lateral load on braced wall forms"),
    form_height=Quantity("m", above=0.0),
    line_load=Quantity("kN/m", at_least=0.0),
    wind_pressure=Quantity("kPa", at_least=0.0),
    gives=Quantity("kN/m"),
)
def least_lateral_load(*, form_height: Column, line_load: Column, wind_pressure: Column) -> Column:
    r"""Least lateral load at the top of a wall form, :math:`\max(H_{min},\; q h / 2)`.

    The wind acts over the height and is turned into the load at the top that overturns alike.

    Parameters
    ----------
    form_height
        Height of the form, :math:`h`. [m]
    line_load
        Least load at the top, 100 lb/ft (1.459 kN/m). [kN/m]
    wind_pressure
        Least wind pressure, 15 psf (0.718 kPa). [kPa]

    Returns
    -------
    Column
        Load at the top. [kN/m]

    Examples
    --------
    By hand: 0.718 x 4 / 2 = 1.436, so the least line load governs; at 5 m, 1.795 kN/m.

    >>> least_lateral_load(
    ...     form_height=np.array([4.0, 5.0]),
    ...     line_load=np.full(2, 1.459),
    ...     wind_pressure=np.full(2, 0.718),
    ... )
    array([1.459, 1.795])
    """
    return np.maximum(line_load, wind_pressure * form_height / 2.0)


@clause(
    Source(DOCUMENT, "least safety factors of formwork accessories, form anchors", Known.MEMORY),
    carries_people=Quantity("-", at_least=0.0, at_most=1.0),
    gives=Quantity("-"),
)
def form_anchor_safety_factor(*, carries_people: Column) -> Column:
    """Least safety factor of a form anchor on its ultimate strength.

    Parameters
    ----------
    carries_people
        1 where the anchor also carries people, materials or impact, 0 where it carries the weight
        of the form and the concrete pressure only. [-]

    Returns
    -------
    Column
        3.0 and 2.0. [-]

    Examples
    --------
    >>> form_anchor_safety_factor(carries_people=np.array([0.0, 1.0]))
    array([2., 3.])
    """
    table = NUMBERS["form_anchor"]
    return known(
        np.where(carries_people == 1.0, table["people_and_impact"], table["weight_and_pressure"]),
        carries_people,
    )
