"""Statics of one form unit: anchors above, foot bearing below, on vertical, inclined and kinked faces."""

from __future__ import annotations

import numpy as np

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


PLANE = Source("Equilibrium of a rigid body in its plane", "two forces and one moment", Known.MECHANICS)
ABOUT_ANCHOR = Source(
    "Equilibrium of a rigid body in its plane", "moments about the anchors", Known.MECHANICS
)
LINE_FORCE, LEAN, PLACE = Quantity("kN/m"), Quantity("deg", at_least=-45.0, at_most=45.0), Quantity("m")


@clause(
    ABOUT_ANCHOR,
    outward_force=LINE_FORCE,
    upward_force=LINE_FORCE,
    tipping_moment=Quantity("kN*m/m"),
    anchor_depth=Quantity("m", above=0.0),
    carrier_inclination=LEAN,
    foot_out=PLACE,
    foot_level=PLACE,
    foot_inclination=LEAN,
    gives=LINE_FORCE,
)
def bearing_force(
    *,
    outward_force: Column,
    upward_force: Column,
    tipping_moment: Column,
    anchor_depth: Column,
    carrier_inclination: Column,
    foot_out: Column,
    foot_level: Column,
    foot_inclination: Column,
) -> Column:
    r"""Force of the foot bearing on a metre of face, under any load and on faces of any inclination.

    .. math::

        C = \frac{M - F_x y_A + F_y x_A}{n_y (x_F - x_A) - n_x (y_F - y_A)}, \qquad
        n = (\cos\theta_f, -\sin\theta_f)

    Parameters
    ----------
    outward_force
        Horizontal part of the load, outward, :math:`F_x`. [kN/m]
    upward_force
        Vertical part of the load, upward, :math:`F_y`. [kN/m]
    tipping_moment
        Moment of the load about the joint on the face, outward over the top positive, :math:`M`. [kN*m/m]
    anchor_depth
        Of the anchors below the joint, along the face of the lift below, :math:`a`. [m]
    carrier_inclination
        Of that face from vertical, positive overhanging, :math:`\theta_b`;
        :math:`(x_A, y_A) = -a (\sin\theta_b, \cos\theta_b)`. [deg]
    foot_out
        Foot bearing out from the joint, :math:`x_F`. [m]
    foot_level
        Foot bearing above the joint, so negative, :math:`y_F`. [m]
    foot_inclination
        Of the face on which the foot bears, :math:`\theta_f`. [deg]

    Returns
    -------
    Column
        Compression normal to the face under the foot, :math:`C`; negative: the foot lifts off, or its
        anchors pull. [kN/m]

    Notes
    -----
    On one plane face the divisor is :math:`c - a`. Friction is neglected.

    Examples
    --------
    Vertical face, 30 kN/m at 1.0 m, a = 0.4 m, c = 2.4 m. By hand: 30 x (1.0 + 0.4) / 2.0 = 21 kN/m.

    >>> one = np.ones(1)
    >>> bearing_force(outward_force=30.0 * one, upward_force=0.0 * one, tipping_moment=30.0 * one,
    ...     anchor_depth=0.4 * one, carrier_inclination=0.0 * one, foot_out=0.0 * one,
    ...     foot_level=-2.4 * one, foot_inclination=0.0 * one).round(6)
    array([21.])
    """
    b, f = np.radians(carrier_inclination), np.radians(foot_inclination)
    x_A, y_A = -anchor_depth * np.sin(b), -anchor_depth * np.cos(b)
    about_anchor = tipping_moment - outward_force * y_A + upward_force * x_A
    lever = -np.sin(f) * (foot_out - x_A) - np.cos(f) * (foot_level - y_A)
    return about_anchor / lever


@clause(
    PLANE,
    outward_force=LINE_FORCE,
    upward_force=LINE_FORCE,
    foot_bearing=LINE_FORCE,
    carrier_inclination=LEAN,
    foot_inclination=LEAN,
    gives=LINE_FORCE,
)
def row_tension(
    *,
    outward_force: Column,
    upward_force: Column,
    foot_bearing: Column,
    carrier_inclination: Column,
    foot_inclination: Column,
) -> Column:
    r"""Pull of the anchors normal to the face of the lift below.

    .. math::

        T = F_x \cos\theta_b - F_y \sin\theta_b + C \cos(\theta_f - \theta_b)

    Parameters
    ----------
    outward_force
        Horizontal part of the load, outward, :math:`F_x`. [kN/m]
    upward_force
        Vertical part of the load, upward, :math:`F_y`. [kN/m]
    foot_bearing
        Force of the foot bearing, :math:`C`. [kN/m]
    carrier_inclination
        Of the face that holds the anchors, :math:`\theta_b`. [deg]
    foot_inclination
        Of the face under the foot, :math:`\theta_f`. [deg]

    Returns
    -------
    Column
        :math:`T`; negative where the upper support bears. [kN/m]

    Examples
    --------
    By hand, vertical: 30 + 21 = 51 kN/m; 10 kN/m of weight on a face overhanging by 30 degrees: 10 x 0.5.

    >>> row_tension(outward_force=np.array([30.0, 0.0]), upward_force=np.array([0.0, -10.0]),
    ...     foot_bearing=np.array([21.0, 0.0]), carrier_inclination=np.array([0.0, 30.0]),
    ...     foot_inclination=np.array([0.0, 30.0])).round(6)
    array([51.,  5.])
    """
    b, f = np.radians(carrier_inclination), np.radians(foot_inclination)
    pull: Column = outward_force * np.cos(b) - upward_force * np.sin(b) + foot_bearing * np.cos(f - b)
    return pull


@clause(
    PLANE,
    outward_force=LINE_FORCE,
    upward_force=LINE_FORCE,
    foot_bearing=LINE_FORCE,
    carrier_inclination=LEAN,
    foot_inclination=LEAN,
    gives=LINE_FORCE,
)
def row_shear(
    *,
    outward_force: Column,
    upward_force: Column,
    foot_bearing: Column,
    carrier_inclination: Column,
    foot_inclination: Column,
) -> Column:
    r"""Shear of the anchors along the face of the lift below, positive where the unit pushes them down.

    .. math::

        V = -F_x \sin\theta_b - F_y \cos\theta_b + C \sin(\theta_f - \theta_b)

    Parameters
    ----------
    outward_force
        Horizontal part of the load, outward, :math:`F_x`. [kN/m]
    upward_force
        Vertical part of the load, upward, :math:`F_y`. [kN/m]
    foot_bearing
        Force of the foot bearing, :math:`C`. [kN/m]
    carrier_inclination
        Of the face that holds the anchors, :math:`\theta_b`. [deg]
    foot_inclination
        Of the face under the foot, :math:`\theta_f`. [deg]

    Returns
    -------
    Column
        :math:`V`; negative: toward the free joint above. [kN/m]

    Examples
    --------
    By hand: 10 kN/m of weight on a vertical face; 20 kN/m outward on a face overhanging by 30 degrees
    pushes the anchors up with 20 x 0.5.

    >>> row_shear(outward_force=np.array([0.0, 20.0]), upward_force=np.array([-10.0, 0.0]),
    ...     foot_bearing=np.zeros(2), carrier_inclination=np.array([0.0, 30.0]),
    ...     foot_inclination=np.array([0.0, 30.0])).round(6)
    array([ 10., -10.])
    """
    b, f = np.radians(carrier_inclination), np.radians(foot_inclination)
    down: Column = -outward_force * np.sin(b) - upward_force * np.cos(b) + foot_bearing * np.sin(f - b)
    return down


@clause(
    PLANE,
    outward_force=LINE_FORCE,
    upward_force=LINE_FORCE,
    tipping_moment=Quantity("kN*m/m"),
    tension_force=LINE_FORCE,
    face_shear=LINE_FORCE,
    foot_bearing=LINE_FORCE,
    anchor_depth=Quantity("m", above=0.0),
    carrier_inclination=LEAN,
    foot_out=PLACE,
    foot_level=PLACE,
    foot_inclination=LEAN,
    gives=LINE_FORCE,
)
def equilibrium_residual(
    *,
    outward_force: Column,
    upward_force: Column,
    tipping_moment: Column,
    tension_force: Column,
    face_shear: Column,
    foot_bearing: Column,
    anchor_depth: Column,
    carrier_inclination: Column,
    foot_out: Column,
    foot_level: Column,
    foot_inclination: Column,
) -> Column:
    r"""What is left over of load and reactions: the greatest of the sums of forces, and of moments over 1 m.

    .. math::

        r = \max\left(|\Sigma F_x|,\; |\Sigma F_y|,\; |\Sigma M| / 1\,\mathrm{m}\right)

    Parameters
    ----------
    outward_force
        Horizontal part of the load, outward, :math:`F_x`. [kN/m]
    upward_force
        Vertical part of the load, upward, :math:`F_y`. [kN/m]
    tipping_moment
        Moment of the load about the joint on the face, :math:`M`. [kN*m/m]
    tension_force
        Anchor tension, :math:`T`. [kN/m]
    face_shear
        Anchor shear down the face, :math:`V`. [kN/m]
    foot_bearing
        Foot force, :math:`C`. [kN/m]
    anchor_depth
        Of the anchors below the joint, along the face, :math:`a`. [m]
    carrier_inclination
        Of the face that holds the anchors, :math:`\theta_b`. [deg]
    foot_out
        Foot bearing out from the joint, :math:`x_F`. [m]
    foot_level
        Foot bearing above the joint, :math:`y_F`. [m]
    foot_inclination
        Of the face under the foot, :math:`\theta_f`. [deg]

    Returns
    -------
    Column
        :math:`r`; 0 but for rounding. [kN/m]

    Examples
    --------
    The unit of :func:`anchor_tension`, with 51, 0 and 21 kN/m; with 50 instead of 51 one is missing.

    >>> one = np.ones(2)
    >>> equilibrium_residual(outward_force=30.0 * one, upward_force=0.0 * one, tipping_moment=30.0 * one,
    ...     tension_force=np.array([51.0, 50.0]), face_shear=0.0 * one, foot_bearing=21.0 * one,
    ...     anchor_depth=0.4 * one, carrier_inclination=0.0 * one, foot_out=0.0 * one,
    ...     foot_level=-2.4 * one, foot_inclination=0.0 * one).round(6)
    array([0., 1.])
    """
    b, f = np.radians(carrier_inclination), np.radians(foot_inclination)
    T, V, C = tension_force, face_shear, foot_bearing
    sum_x = outward_force - T * np.cos(b) + V * np.sin(b) + C * np.cos(f)
    sum_y = upward_force + T * np.sin(b) + V * np.cos(b) - C * np.sin(f)
    turn = tipping_moment + T * anchor_depth + C * (np.cos(f) * foot_level + np.sin(f) * foot_out)
    return np.maximum(np.maximum(np.abs(sum_x), np.abs(sum_y)), np.abs(turn))
