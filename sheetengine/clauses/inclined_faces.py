r"""Fresh concrete on inclined faces: stresses on an overhang, uplift on a batter, resultant and where it acts.

The concrete is taken under its own weight, :math:`\sigma_v = \gamma h`, and under the lateral pressure of
the chosen method, :math:`\sigma_h = p(h)`, as principal stresses. On an overhang the traction follows from
the stress tensor, so that the resultant is the lateral force on the height together with the weight of the
concrete above the slope. On a batter the pressure stands normal to the face and lifts it. Where the full
head acts the two stresses are equal and both are the pressure of a fluid, normal to the face.
"""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.clauses.rows import known
from sheetengine.sources import Known, Source

STEEPEST = 45.0
"""Greatest inclination from vertical, in degrees and either way, for which the rules of this module stand."""

TRANSFORMED = Source(
    "Transformation of plane stress", "principal stresses on an inclined plane", Known.MECHANICS
)
ON_PLANES = Source("Hydrostatics", "force on an inclined plane, by its projections", Known.MECHANICS)
LEAN = Quantity("deg", at_least=-STEEPEST, at_most=STEEPEST)
STRESS = Quantity("kPa", at_least=0.0)
FORCE = Quantity("kN/m", at_least=0.0)
DENSITY = Quantity("kN/m3", above=0.0)
HEIGHT = Quantity("m", at_least=0.0)


def _tangent(face_inclination: Column) -> Column:
    return np.tan(np.radians(face_inclination))


@clause(
    TRANSFORMED, lateral_stress=STRESS, vertical_stress=STRESS, face_inclination=LEAN, gives=Quantity("kPa")
)
def normal_stress(*, lateral_stress: Column, vertical_stress: Column, face_inclination: Column) -> Column:
    r"""Stress normal to an inclined face.

    .. math::

        \sigma_n = \sigma_h \cos^2 \theta + \sigma_v \sin^2 \theta \quad (\theta > 0), \qquad
        \sigma_n = \sigma_h \quad (\theta \le 0)

    Parameters
    ----------
    lateral_stress
        Lateral pressure of the method, :math:`\sigma_h`. [kPa]
    vertical_stress
        Weight of the concrete above, :math:`\sigma_v = \gamma h`. [kPa]
    face_inclination
        From vertical, positive overhanging, :math:`\theta`. [deg]

    Returns
    -------
    Column
        :math:`\sigma_n`. [kPa]

    Examples
    --------
    Overhang of 30 degrees: 40 x 0.75 + 80 x 0.25 = 50 kPa; batter: 40 kPa.

    >>> normal_stress(lateral_stress=np.full(2, 40.0), vertical_stress=np.full(2, 80.0),
    ...     face_inclination=np.array([30.0, -30.0])).round(6)
    array([50., 40.])
    """
    over = np.sin(np.radians(np.maximum(face_inclination, 0.0))) ** 2
    return np.asarray(lateral_stress * (1.0 - over) + vertical_stress * over)


@clause(
    TRANSFORMED, lateral_stress=STRESS, vertical_stress=STRESS, face_inclination=LEAN, gives=Quantity("kPa")
)
def tangential_stress(*, lateral_stress: Column, vertical_stress: Column, face_inclination: Column) -> Column:
    r"""Stress along an inclined face, positive down the slope.

    .. math::

        \tau = (\sigma_v - \sigma_h) \sin\theta \cos\theta \quad (\theta > 0), \qquad
        \tau = 0 \quad (\theta \le 0)

    Parameters
    ----------
    lateral_stress
        Lateral pressure of the method, :math:`\sigma_h`. [kPa]
    vertical_stress
        Weight of the concrete above, :math:`\sigma_v = \gamma h`. [kPa]
    face_inclination
        From vertical, positive overhanging, :math:`\theta`. [deg]

    Returns
    -------
    Column
        :math:`\tau`; 0 under the full head. [kPa]

    Examples
    --------
    45 degrees: (80 - 40) / 2 = 20 kPa.

    >>> tangential_stress(lateral_stress=np.full(2, 40.0), vertical_stress=np.full(2, 80.0),
    ...     face_inclination=np.array([45.0, -45.0])).round(6)
    array([20.,  0.])
    """
    twice = np.sin(2.0 * np.radians(np.maximum(face_inclination, 0.0)))
    return (vertical_stress - lateral_stress) * twice / 2.0


@clause(
    ON_PLANES, pressure_force=FORCE, weight_density=DENSITY, placement_height=HEIGHT, face_inclination=LEAN,
    gives=Quantity("kN/m"),
)  # fmt: skip
def downward_force(
    *, pressure_force: Column, weight_density: Column, placement_height: Column, face_inclination: Column
) -> Column:
    r"""Vertical part of the resultant on a metre of an inclined face, positive downward.

    .. math::

        D = \tfrac{1}{2} \gamma H^2 \tan\theta \quad (\theta > 0), \qquad D = P \tan\theta \quad (\theta \le 0)

    Parameters
    ----------
    pressure_force
        Resultant of the lateral pressure over the height, :math:`P`. [kN/m]
    weight_density
        Weight density of the fresh concrete, :math:`\gamma`. [kN/m3]
    placement_height
        Vertical height of concrete placed, :math:`H`. [m]
    face_inclination
        From vertical, positive overhanging, :math:`\theta`. [deg]

    Returns
    -------
    Column
        :math:`D`: on an overhang the weight of the concrete above the slope, on a batter less than 0, which
        is uplift. [kN/m]

    Examples
    --------
    A slope of 45 degrees, 25 kN/m3, 2 m: the prism weighs 25 x 2 x 2 / 2 = 50 kN/m; on a batter 40 kN/m of
    lateral force lifts with 40 kN/m.

    >>> downward_force(pressure_force=np.full(2, 40.0), weight_density=np.full(2, 25.0),
    ...     placement_height=np.full(2, 2.0), face_inclination=np.array([45.0, -45.0])).round(6)
    array([ 50., -40.])
    """
    prism = weight_density * placement_height**2 / 2.0
    down = np.where(face_inclination > 0.0, prism, pressure_force) * _tangent(face_inclination)
    return known(down, pressure_force, prism)


@clause(
    ON_PLANES, pressure_force=FORCE, pressure_force_height=HEIGHT, weight_density=DENSITY,
    placement_height=HEIGHT, face_inclination=LEAN, gives=Quantity("kN*m/m"),
)  # fmt: skip
def face_moment(
    *,
    pressure_force: Column,
    pressure_force_height: Column,
    weight_density: Column,
    placement_height: Column,
    face_inclination: Column,
) -> Column:
    r"""Moment of the fresh concrete about the joint on the face, positive where it tips the unit outward.

    .. math::

        M = P z_P + \tfrac{1}{6} \gamma H^3 \tan^2\theta \quad (\theta > 0), \qquad
        M = P z_P (1 + \tan^2\theta) \quad (\theta \le 0)

    Parameters
    ----------
    pressure_force
        Resultant of the lateral pressure over the height, :math:`P`. [kN/m]
    pressure_force_height
        Its height above the joint, :math:`z_P`. [m]
    weight_density
        Weight density of the fresh concrete, :math:`\gamma`. [kN/m3]
    placement_height
        Vertical height of concrete placed, :math:`H`. [m]
    face_inclination
        From vertical, positive overhanging, :math:`\theta`. [deg]

    Returns
    -------
    Column
        :math:`M`. [kN*m/m]

    Examples
    --------
    Full head on 45 degrees either way, 24 kN/m3, 3 m: P = 108 kN/m at 1 m; normal to the slope
    108 x 1.4142 at 1.4142 m, so 216 kN*m/m.

    >>> face_moment(pressure_force=np.full(2, 108.0), pressure_force_height=np.ones(2),
    ...     weight_density=np.full(2, 24.0), placement_height=np.full(2, 3.0),
    ...     face_inclination=np.array([45.0, -45.0])).round(6)
    array([216., 216.])
    """
    lateral = pressure_force * pressure_force_height
    prism = weight_density * placement_height**3 / 6.0
    rest = np.where(face_inclination > 0.0, prism, lateral) * _tangent(face_inclination) ** 2
    return known(lateral + rest, prism)


@clause(
    ON_PLANES, pressure_force=FORCE, vertical_force=Quantity("kN/m"), tipping_moment=Quantity("kN*m/m"),
    face_inclination=LEAN, gives=Quantity("m"),
)  # fmt: skip
def action_height(
    *, pressure_force: Column, vertical_force: Column, tipping_moment: Column, face_inclination: Column
) -> Column:
    r"""Height at which the line of the resultant meets the face.

    .. math::

        z = \frac{M}{P + D \tan\theta}

    Parameters
    ----------
    pressure_force
        Horizontal part of the resultant, outward, :math:`P`. [kN/m]
    vertical_force
        Its vertical part, positive downward, :math:`D`. [kN/m]
    tipping_moment
        Its moment about the joint on the face, :math:`M`. [kN*m/m]
    face_inclination
        From vertical, positive overhanging, :math:`\theta`. [deg]

    Returns
    -------
    Column
        Vertical height above the joint, :math:`z`; ``nan`` where there is no force. [m]

    Examples
    --------
    The fluid of 3 m on 45 degrees: 216 / (108 + 108) = 1 m, a third of the height.

    >>> action_height(pressure_force=np.array([108.0]), vertical_force=np.array([108.0]),
    ...     tipping_moment=np.array([216.0]), face_inclination=np.array([45.0])).round(6)
    array([1.])
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        return tipping_moment / (pressure_force + vertical_force * _tangent(face_inclination))


@clause(ON_PLANES, pressure_force=FORCE, vertical_force=Quantity("kN/m"), gives=Quantity("deg"))
def force_direction(*, pressure_force: Column, vertical_force: Column) -> Column:
    r"""Direction of the resultant, :math:`\arctan(D / P)`.

    Parameters
    ----------
    pressure_force
        Horizontal part of the resultant, outward, :math:`P`. [kN/m]
    vertical_force
        Its vertical part, positive downward, :math:`D`. [kN/m]

    Returns
    -------
    Column
        Angle below the horizontal; negative: the resultant points upward. [deg]

    Examples
    --------
    >>> force_direction(pressure_force=np.array([50.0, 50.0]), vertical_force=np.array([50.0, 0.0]))
    array([45.,  0.])
    """
    return np.degrees(np.arctan2(vertical_force, pressure_force))
