"""What the two published forms of the ACI 347R pressure clause share: factors and choice of equation."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sheetengine.clauses import fluid_pressure as fluid
from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.clauses.rows import Labels, by_label, factors, known
from sheetengine.sources import Source

DOCUMENT = "ACI 347R-14"

COLUMNS = 2.2
WALLS_LOW_RATE = 2.3
WALLS = 2.4
FULL_HEAD = 2.1

EQUATION_NAMES = {
    COLUMNS: "Eq. (2.2), columns",
    WALLS_LOW_RATE: "Eq. (2.3), low walls at a low rate",
    WALLS: "Eq. (2.4), walls",
    FULL_HEAD: "Eq. (2.1), full head",
}
"""Equation numbers of ACI 347-04; the 2014 guide keeps the expressions."""


@dataclass(frozen=True, slots=True)
class Form:
    """Limits of one published form of the clause, in that form's own units."""

    wall_height: float
    low_rate: float
    greatest_rate: float
    slump: float
    vibration_depth: float
    least_pressure: float
    light_density: float
    heavy_density: float
    reference_density: float


SI = Form(**factors("aci347r")["si"])
INCH_POUND = Form(**factors("aci347r")["inch_pound"])


@clause(
    Source(DOCUMENT, "4.2.2, chemistry coefficient (347-04 Table 2.2)"),
    cement_group=Quantity("label"),
    retarder=Quantity("-", at_least=0.0, at_most=1.0),
    gives=Quantity("-"),
)
def chemistry_factor(*, cement_group: Labels, retarder: Column) -> Column:
    """Chemistry coefficient by cement group and retarder, :math:`C_c`.

    Parameters
    ----------
    cement_group
        ``plain`` for Portland cement alone, ``blend`` below 70 % slag or 40 % fly ash,
        ``high blend`` for that much or more. [label]
    retarder
        1 with an admixture that delays setting, a superplasticizer that does so included,
        0 without. [-]

    Returns
    -------
    Column
        Chemistry coefficient. [-]

    Examples
    --------
    By hand, from the table: 1.0, 1.4, 1.4.

    >>> chemistry_factor(
    ...     cement_group=np.array(["plain", "blend", "high blend"]),
    ...     retarder=np.array([0.0, 1.0, 0.0]),
    ... )
    array([1. , 1.4, 1.4])
    """
    table = factors("aci347r")["chemistry_factor"]
    without = by_label(table["without_retarder"], cement_group)
    retarded = by_label(table["with_retarder"], cement_group)
    return known(np.where(retarder == 1.0, retarded, without), retarder)


def weight_factor(form: Form, mass_density: Column) -> Column:
    """Return the unit weight coefficient from the density in the form's own unit."""
    light = np.maximum(
        0.5 * (1.0 + mass_density / form.reference_density), factors("aci347r")["weight_factor"]["least"]
    )
    heavy = mass_density / form.reference_density
    normal = np.where(mass_density < form.light_density, light, 1.0)
    return known(np.where(mass_density > form.heavy_density, heavy, normal), mass_density)


def equation(
    form: Form,
    *,
    rate: Column,
    height: Column,
    is_column: Column,
    slump: Column,
    vibration_depth: Column,
) -> Column:
    """Return the number of the equation that applies to each row, as in :data:`EQUATION_NAMES`."""
    low = (rate < form.low_rate) & (height <= form.wall_height)
    walls = np.where(low, WALLS_LOW_RATE, WALLS)
    chosen = np.where(is_column == 1.0, COLUMNS, walls)
    beyond = (rate > form.greatest_rate) | (slump > form.slump) | (vibration_depth > form.vibration_depth)
    return known(np.where(beyond, FULL_HEAD, chosen), rate, height, is_column, slump, vibration_depth)


def chosen_pressure(chosen: Column, *, low_rate: Column, walls: Column, head: Column) -> Column:
    """Return the value of the chosen equation before its bounds, ``nan`` where nothing is chosen."""
    formula = np.where(chosen == WALLS, walls, low_rate)
    return known(np.where(chosen == FULL_HEAD, head, formula), chosen)


def design_pressure(chosen: Column, formula: Column, floor: Column, head: Column) -> Column:
    """Return the bounded pressure; the full head has no floor."""
    bounded = fluid.bounded(formula=formula, floor=floor, fluid=head, within_scope=chosen != FULL_HEAD)
    return known(bounded, chosen, formula, floor, head)


def governing_bound(chosen: Column, formula: Column, floor: Column, head: Column) -> Column:
    """Return which bound governs."""
    code = fluid.bound_code(formula=formula, floor=floor, fluid=head, within_scope=chosen != FULL_HEAD)
    return known(code, chosen, floor)


def greatest_rate(
    form: Form,
    *,
    by_low_rate: Column,
    by_walls: Column,
    height: Column,
    is_column: Column,
    slump: Column,
    vibration_depth: Column,
    permissible: Column,
    floor: Column,
    head: Column,
) -> Column:
    """Return the greatest rate of rise from the rates at which each equation meets the pressure.

    A low wall leaves the low-rate equation at the form's low rate, where the other equation may ask
    for a little more: such a row stays just below that rate.
    """
    below = np.nextafter(form.low_rate, 0.0)
    low_wall = np.where(by_walls >= form.low_rate, by_walls, np.minimum(by_low_rate, below))
    wall = np.where(height <= form.wall_height, low_wall, by_walls)
    rate = np.where(is_column == 1.0, by_low_rate, wall)
    within = (slump <= form.slump) & (vibration_depth <= form.vibration_depth)
    limited = fluid.bounded_rate(
        rate=rate,
        permissible_pressure=permissible,
        floor=floor,
        fluid=head,
        within_scope=within,
        greatest=form.greatest_rate,
    )
    return known(limited, height, is_column, slump, vibration_depth, floor)
