"""Statics of one form unit on a vertical face: anchors above, foot bearing below."""

from __future__ import annotations

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.sources import Known, Source

MECHANICS = Source(
    "Equilibrium of a rigid body in its plane", "moments about the foot bearing", Known.MECHANICS
)
HORIZONTAL = Source("Equilibrium of a rigid body in its plane", "horizontal forces", Known.MECHANICS)


@clause(
    MECHANICS,
    anchor_depth=Quantity("m", above=0.0),
    foot_depth=Quantity("m", above=0.0),
    pressure_force=Quantity("kN/m", at_least=0.0),
    pressure_force_height=Quantity("m", at_least=0.0),
    weight_moment=Quantity("kN*m/m"),
    wind_force=Quantity("kN/m"),
    wind_force_height=Quantity("m", at_least=0.0),
    gives=Quantity("kN/m"),
)
def anchor_tension(
    *,
    anchor_depth: Column,
    foot_depth: Column,
    pressure_force: Column,
    pressure_force_height: Column,
    weight_moment: Column,
    wind_force: Column,
    wind_force_height: Column,
) -> Column:
    r"""Tension of the form anchors on a metre of a vertical face.

    .. math::

        T = \frac{P (z_P + c) + \Sigma G x + W (z_W + c)}{c - a}

    Parameters
    ----------
    anchor_depth
        Depth of the anchors below the joint, :math:`a`. [m]
    foot_depth
        Depth of the foot bearing below the joint, :math:`c`. [m]
    pressure_force
        Resultant of the fresh-concrete pressure, outward, :math:`P`. [kN/m]
    pressure_force_height
        Its height above the joint, :math:`z_P`. [m]
    weight_moment
        Vertical loads times their distance out from the face, :math:`\Sigma G x`. [kN*m/m]
    wind_force
        Wind on the panel, positive away from the concrete, :math:`W`. [kN/m]
    wind_force_height
        Its height above the joint, :math:`z_W`. [m]

    Returns
    -------
    Column
        Anchor tension, :math:`T`; negative where the upper support bears on the concrete. [kN/m]

    Notes
    -----
    Statically determinate: two supports normal to the face, and the anchors alone carry the vertical
    loads. Friction at the foot is neglected. A foot that is not below the anchors gives ``inf`` or a
    wrong sign; such a unit is an input fault.

    Examples
    --------
    30 kN/m at 1.0 m, no weight and no wind, anchors 0.4 m and foot 2.4 m below the joint. By hand:
    30 x (1.0 + 2.4) / 2.0 = 51 kN/m.

    >>> import numpy as np
    >>> one = np.ones(1)
    >>> anchor_tension(anchor_depth=0.4 * one, foot_depth=2.4 * one, pressure_force=30.0 * one,
    ...     pressure_force_height=one, weight_moment=0.0 * one, wind_force=0.0 * one,
    ...     wind_force_height=one).round(6)
    array([51.])
    """
    a, c = anchor_depth, foot_depth
    P, z_P = pressure_force, pressure_force_height
    W, z_W = wind_force, wind_force_height
    return (P * (z_P + c) + weight_moment + W * (z_W + c)) / (c - a)


@clause(
    HORIZONTAL,
    tension_force=Quantity("kN/m"),
    pressure_force=Quantity("kN/m", at_least=0.0),
    wind_force=Quantity("kN/m"),
    gives=Quantity("kN/m"),
)
def foot_force(*, tension_force: Column, pressure_force: Column, wind_force: Column) -> Column:
    r"""Force of the foot bearing on a metre of a vertical face, :math:`C = T - P - W`.

    Parameters
    ----------
    tension_force
        Anchor tension, :math:`T`. [kN/m]
    pressure_force
        Resultant of the fresh-concrete pressure, outward, :math:`P`. [kN/m]
    wind_force
        Wind on the panel, positive away from the concrete, :math:`W`. [kN/m]

    Returns
    -------
    Column
        Foot force, :math:`C`, compression positive; negative: the foot lifts off. [kN/m]

    Examples
    --------
    With 51 kN/m in the anchors and 30 kN/m of pressure the foot bears with 21 kN/m.

    >>> import numpy as np
    >>> foot_force(tension_force=np.array([51.0]), pressure_force=np.array([30.0]),
    ...     wind_force=np.array([0.0]))
    array([21.])
    """
    return tension_force - pressure_force - wind_force
