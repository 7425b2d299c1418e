"""Loads of a projection that is cast on a soffit beside the face: fresh concrete in part or whole, and work on it."""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.clauses.rows import factors
from sheetengine.sources import Known, Source

NUMBERS = factors("projections")
SLICES = Source("Statics", "weight of a trapezoid of concrete between two verticals", Known.MECHANICS)
EN_WORK = Source("EN 12812:2008", "8.2.2.1, construction operations and in-situ concrete", Known.MEMORY)
ACI_WORK = Source("ACI 347R-14", "least vertical loads on horizontal forms", Known.MEMORY)
LENGTH = Quantity("m", at_least=0.0)
REACH = Quantity("m", above=0.0)
DENSITY = Quantity("kN/m3", above=0.0)
SLAB = Quantity("kPa", at_least=0.0)


@clause(
    SLICES, weight_density=DENSITY, root_thickness=LENGTH, tip_thickness=LENGTH, projection_reach=REACH,
    part_from=LENGTH, part_to=LENGTH, gives=Quantity("kN/m"),
)  # fmt: skip
def part_weight(
    *,
    weight_density: Column,
    root_thickness: Column,
    tip_thickness: Column,
    projection_reach: Column,
    part_from: Column,
    part_to: Column,
) -> Column:
    r"""Weight of the part of a projection between two distances from the face.

    .. math::

        G = \gamma \int_{x_1}^{x_2} \left( t_0 + (t_1 - t_0) \frac{x}{L} \right) dx

    Parameters
    ----------
    weight_density
        Weight density of the fresh concrete, :math:`\gamma`. [kN/m3]
    root_thickness
        Thickness at the face, :math:`t_0`. [m]
    tip_thickness
        Thickness at the tip, :math:`t_1`. [m]
    projection_reach
        Reach out from the face, :math:`L`. [m]
    part_from
        Where the part begins, :math:`x_1`. [m]
    part_to
        Where it ends, :math:`x_2`. [m]

    Returns
    -------
    Column
        Weight on a metre of face, :math:`G`. [kN/m]

    Examples
    --------
    0.6 m at the root, 0.2 m at the tip of 2 m, 25 kN/m3. By hand: 25 x 0.4 x 2 = 20 kN/m, the outer half
    25 x 0.3 x 1 = 7.5 kN/m.

    >>> part_weight(weight_density=np.full(2, 25.0), root_thickness=np.full(2, 0.6),
    ...     tip_thickness=np.full(2, 0.2), projection_reach=np.full(2, 2.0),
    ...     part_from=np.array([0.0, 1.0]), part_to=np.full(2, 2.0)).round(6)
    array([20. ,  7.5])
    """
    slope = (tip_thickness - root_thickness) / projection_reach
    return weight_density * (
        root_thickness * (part_to - part_from) + slope * (part_to**2 - part_from**2) / 2.0
    )


@clause(
    SLICES, weight_density=DENSITY, root_thickness=LENGTH, tip_thickness=LENGTH, projection_reach=REACH,
    part_from=LENGTH, part_to=LENGTH, gives=Quantity("kN*m/m"),
)  # fmt: skip
def part_moment(
    *,
    weight_density: Column,
    root_thickness: Column,
    tip_thickness: Column,
    projection_reach: Column,
    part_from: Column,
    part_to: Column,
) -> Column:
    r"""Moment of that part about the face.

    .. math::

        M = \gamma \int_{x_1}^{x_2} \left( t_0 + (t_1 - t_0) \frac{x}{L} \right) x\, dx

    Parameters
    ----------
    weight_density
        Weight density of the fresh concrete, :math:`\gamma`. [kN/m3]
    root_thickness
        Thickness at the face, :math:`t_0`. [m]
    tip_thickness
        Thickness at the tip, :math:`t_1`. [m]
    projection_reach
        Reach out from the face, :math:`L`. [m]
    part_from
        Where the part begins, :math:`x_1`. [m]
    part_to
        Where it ends, :math:`x_2`. [m]

    Returns
    -------
    Column
        Moment on a metre of face, :math:`M`. [kN*m/m]

    Examples
    --------
    A slab of 0.4 m over 2 m: 20 kN/m at 1 m. A triangle of 0.6 m at the root: 15 kN/m at 2/3 m.

    >>> part_moment(weight_density=np.full(2, 25.0), root_thickness=np.array([0.4, 0.6]),
    ...     tip_thickness=np.array([0.4, 0.0]), projection_reach=np.full(2, 2.0),
    ...     part_from=np.zeros(2), part_to=np.full(2, 2.0)).round(6)
    array([20., 10.])
    """
    slope = (tip_thickness - root_thickness) / projection_reach
    return weight_density * (
        root_thickness * (part_to**2 - part_from**2) / 2.0 + slope * (part_to**3 - part_from**3) / 3.0
    )


@clause(EN_WORK, slab_weight=SLAB, gives=Quantity("kPa"))
def working_load_en12812(*, slab_weight: Column) -> Column:
    r"""Load of construction work and of heaped concrete, :math:`0.75 + \min(\max(0.1 g, 0.75), 1.75)`.

    Parameters
    ----------
    slab_weight
        Weight of the fresh slab on a square metre, :math:`g`. [kPa]

    Returns
    -------
    Column
        Load on the soffit. [kPa]

    Examples
    --------
    A slab of 5, 10 and 30 kPa: 0.75 + 0.75, 0.75 + 1.0, 0.75 + 1.75.

    >>> working_load_en12812(slab_weight=np.array([5.0, 10.0, 30.0]))
    array([1.5 , 1.75, 2.5 ])
    """
    rule = NUMBERS["en12812"]
    heap = np.minimum(np.maximum(rule["heap_share"] * slab_weight, rule["heap_least"]), rule["heap_most"])
    return np.asarray(rule["operations"] + heap)


@clause(ACI_WORK, slab_weight=SLAB, gives=Quantity("kPa"))
def working_load_aci347r(*, slab_weight: Column) -> Column:
    r"""Least live load on the soffit, :math:`\max(2.4,\; 4.8 - g)`.

    Parameters
    ----------
    slab_weight
        Weight of the fresh slab on a square metre, :math:`g`. [kPa]

    Returns
    -------
    Column
        Load on the soffit. [kPa]

    Examples
    --------
    A slab of 10 kPa: 2.4; of 1.8 kPa: 4.8 in all, so 3.0.

    >>> working_load_aci347r(slab_weight=np.array([10.0, 1.8])).round(6)
    array([2.4, 3. ])
    """
    rule = NUMBERS["aci347r"]
    return np.asarray(np.maximum(rule["live"], rule["least_total"] - slab_weight))
