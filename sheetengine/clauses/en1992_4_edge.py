"""Concrete edge failure of a cast-in anchor under shear: EN 1992-4:2018, 7.2.2.5.

Lengths in mm, strengths in MPa, forces in kN.
"""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Flags, Quantity, clause
from sheetengine.sources import Known, Source

DOCUMENT = "EN 1992-4:2018"

KN = 1e-3
"""Newton to kilonewton."""

_LENGTH = Quantity("mm", above=0.0)
_DISTANCE = Quantity("mm", at_least=0.0)
_AREA = Quantity("mm^2", above=0.0)
_UP_TO_ONE = Quantity("-", above=0.0, at_most=1.0)
_DIAMETER = Quantity("mm", above=0.0, at_most=60.0)


def edge_check_needed(*, edge_distance: Column, embedment_depth: Column, shank_diameter: Column) -> Flags:
    """Return where edge failure has to be checked: c1 <= max(10 h_ef, 60 d) (EN 1992-4:2018, 7.2.2.5).

    A row with a missing input counts as one to be checked.

    Parameters
    ----------
    edge_distance
        To the edge the shear points at, c1. [mm]
    embedment_depth
        h_ef. [mm]
    shank_diameter
        d_nom. [mm]

    Returns
    -------
    Flags
        Whether the check is needed.

    Examples
    --------
    By hand: the greater of 2000 and 1500 mm.

    >>> edge_check_needed(
    ...     edge_distance=np.array([400.0, 2001.0]),
    ...     embedment_depth=np.array([200.0, 200.0]),
    ...     shank_diameter=np.array([25.0, 25.0]),
    ... )
    array([ True, False])
    """
    return np.asarray(~(edge_distance > np.maximum(10.0 * embedment_depth, 60.0 * shank_diameter)))


@clause(
    Source(DOCUMENT, "7.2.2.5, effective length"),
    embedment_depth=_LENGTH,
    shank_diameter=_LENGTH,
    gives=Quantity("mm"),
)
def effective_shear_length(*, embedment_depth: Column, shank_diameter: Column) -> Column:
    r"""Length of the anchor that takes part in edge failure.

    .. math::

        l_f = \min(h_{ef}, 12 d_{nom}) \;(d_{nom} \le 24),\qquad
        \min(h_{ef}, \max(8 d_{nom}, 300)) \;(d_{nom} > 24)

    Parameters
    ----------
    embedment_depth
        :math:`h_{ef}`. [mm]
    shank_diameter
        :math:`d_{nom}`. [mm]

    Returns
    -------
    Column
        :math:`l_f`. [mm]

    Examples
    --------
    By hand: 12 x 16 = 192; the greater of 8 x 30 and 300, but 250 is there.

    >>> effective_shear_length(
    ...     embedment_depth=np.array([300.0, 250.0]), shank_diameter=np.array([16.0, 30.0])
    ... )
    array([192., 250.])
    """
    slender = 12.0 * shank_diameter
    stout = np.maximum(8.0 * shank_diameter, 300.0)
    return np.minimum(embedment_depth, np.where(shank_diameter <= 24.0, slender, stout))


@clause(
    Source(DOCUMENT, "7.2.2.5(6) Eq. (7.41)-(7.43)"),
    edge_breakout_factor=Quantity("-", above=0.0),
    shank_diameter=_DIAMETER,
    effective_length=_LENGTH,
    cylinder_strength=Quantity("MPa", at_least=12.0, at_most=90.0),
    edge_distance=_LENGTH,
    gives=Quantity("kN"),
)
def basic_edge_resistance(
    *,
    edge_breakout_factor: Column,
    shank_diameter: Column,
    effective_length: Column,
    cylinder_strength: Column,
    edge_distance: Column,
) -> Column:
    r"""Edge resistance of one anchor loaded square to the edge.

    .. math::

        V^0_{Rk,c} = k_9 d_{nom}^{\alpha} l_f^{\beta} \sqrt{f_{ck}}\, c_1^{1.5},\qquad
        \alpha = 0.1 (l_f / c_1)^{0.5},\quad \beta = 0.1 (d_{nom} / c_1)^{0.2}

    Parameters
    ----------
    edge_breakout_factor
        :math:`k_9`, cracked or uncracked. [-]
    shank_diameter
        :math:`d_{nom}`. [mm]
    effective_length
        :math:`l_f`. [mm]
    cylinder_strength
        :math:`f_{ck}` at the age of loading. [MPa]
    edge_distance
        In the direction of the shear, :math:`c_1`. [mm]

    Returns
    -------
    Column
        :math:`V^0_{Rk,c}`. [kN]

    Examples
    --------
    By hand: alpha = 0.1, beta = 0.1 x 0.125^0.2 = 0.0660;
    1.7 x 1.3797 x 1.4184 x 5 x 2828.4 / 1000 = 47.05 kN.

    >>> basic_edge_resistance(
    ...     edge_breakout_factor=np.array([1.7]),
    ...     shank_diameter=np.array([25.0]),
    ...     effective_length=np.array([200.0]),
    ...     cylinder_strength=np.array([25.0]),
    ...     edge_distance=np.array([200.0]),
    ... ).round(2)
    array([47.05])
    """
    alpha = 0.1 * np.sqrt(effective_length / edge_distance)
    beta = 0.1 * (shank_diameter / edge_distance) ** 0.2
    bearing = shank_diameter**alpha * effective_length**beta
    return edge_breakout_factor * bearing * np.sqrt(cylinder_strength) * edge_distance**1.5 * KN


@clause(Source(DOCUMENT, "7.2.2.5 Eq. (7.44)", Known.MEMORY), edge_distance=_LENGTH, gives=Quantity("mm^2"))
def reference_edge_area(*, edge_distance: Column) -> Column:
    r"""Projected edge area of one anchor clear of corners and neighbours in deep concrete.

    .. math:: A^0_{c,V} = 4.5 c_1^2

    Parameters
    ----------
    edge_distance
        :math:`c_1`. [mm]

    Returns
    -------
    Column
        :math:`A^0_{c,V}`. [mm^2]

    Examples
    --------
    By hand: 4.5 x 200^2 = 180 000.

    >>> reference_edge_area(edge_distance=np.array([200.0]))
    array([180000.])
    """
    return 4.5 * edge_distance**2


@clause(
    Source(DOCUMENT, "7.2.2.5, projected area, share of one anchor"),
    edge_distance=_LENGTH,
    distance_left=_DISTANCE,
    distance_right=_DISTANCE,
    member_thickness=_LENGTH,
    gives=Quantity("mm^2"),
)
def row_edge_area(
    *,
    edge_distance: Column,
    distance_left: Column,
    distance_right: Column,
    member_thickness: Column,
) -> Column:
    r"""Projected edge area that belongs to one anchor of a row along the edge.

    .. math::

        A_{c,V} = \left[\min(c_l, 1.5 c_1) + \min(c_r, 1.5 c_1)\right] \min(h, 1.5 c_1)

    Parameters
    ----------
    edge_distance
        In the direction of the shear, :math:`c_1`. [mm]
    distance_left
        To the left: the lesser of edge distance and half the spacing, :math:`c_l`. [mm]
    distance_right
        To the right, in the same way, :math:`c_r`. [mm]
    member_thickness
        Of the concrete, along the anchor, :math:`h`. [mm]

    Returns
    -------
    Column
        :math:`A_{c,V}` of the one anchor. [mm^2]

    Examples
    --------
    By hand: (250 + 250) x 300 = 150 000.

    >>> row_edge_area(
    ...     edge_distance=np.array([200.0]),
    ...     distance_left=np.array([250.0]),
    ...     distance_right=np.array([250.0]),
    ...     member_thickness=np.array([5000.0]),
    ... )
    array([150000.])
    """
    reach = 1.5 * edge_distance
    width = np.minimum(distance_left, reach) + np.minimum(distance_right, reach)
    return width * np.minimum(member_thickness, reach)


@clause(
    Source(DOCUMENT, "7.2.2.5 Eq. (7.45)"),
    edge_distance=_LENGTH,
    second_edge_distance=_LENGTH,
    gives=Quantity("-"),
)
def edge_corner_influence(*, edge_distance: Column, second_edge_distance: Column) -> Column:
    r"""Disturbance of the stresses by a corner, edge failure.

    .. math:: \psi_{s,V} = 0.7 + 0.3\, c_2 / (1.5 c_1) \le 1

    Parameters
    ----------
    edge_distance
        :math:`c_1`. [mm]
    second_edge_distance
        To the edge at right angles, :math:`c_2`. [mm]

    Returns
    -------
    Column
        :math:`\psi_{s,V}`. [-]

    Examples
    --------
    By hand: 0.7 + 0.3 x 150/300 = 0.85.

    >>> edge_corner_influence(
    ...     edge_distance=np.array([200.0]), second_edge_distance=np.array([150.0])
    ... ).round(3)
    array([0.85])
    """
    return np.minimum(0.7 + 0.3 * second_edge_distance / (1.5 * edge_distance), 1.0)


@clause(
    Source(DOCUMENT, "7.2.2.5 Eq. (7.46)"),
    edge_distance=_LENGTH,
    member_thickness=_LENGTH,
    gives=Quantity("-"),
)
def edge_thickness_influence(*, edge_distance: Column, member_thickness: Column) -> Column:
    r"""Correction for thin concrete, edge failure.

    .. math:: \psi_{h,V} = (1.5 c_1 / h)^{0.5} \ge 1

    Parameters
    ----------
    edge_distance
        :math:`c_1`. [mm]
    member_thickness
        :math:`h`. [mm]

    Returns
    -------
    Column
        :math:`\psi_{h,V}`. [-]

    Examples
    --------
    By hand: (300/200)^0.5 = 1.225.

    >>> edge_thickness_influence(
    ...     edge_distance=np.array([200.0]), member_thickness=np.array([200.0])
    ... ).round(3)
    array([1.225])
    """
    return np.maximum(np.sqrt(1.5 * edge_distance / member_thickness), 1.0)


@clause(
    Source(DOCUMENT, "7.2.2.5 Eq. (7.47)"),
    load_eccentricity=_DISTANCE,
    edge_distance=_LENGTH,
    gives=Quantity("-"),
)
def edge_eccentricity_influence(*, load_eccentricity: Column, edge_distance: Column) -> Column:
    r"""Unequal shear within a group, edge failure.

    .. math:: \psi_{ec,V} = 1 / (1 + 2 e_V / (3 c_1)) \le 1

    Parameters
    ----------
    load_eccentricity
        :math:`e_V`. [mm]
    edge_distance
        :math:`c_1`. [mm]

    Returns
    -------
    Column
        :math:`\psi_{ec,V}`. [-]

    Examples
    --------
    By hand: 1/(1 + 120/600) = 0.833.

    >>> edge_eccentricity_influence(
    ...     load_eccentricity=np.array([60.0]), edge_distance=np.array([200.0])
    ... ).round(3)
    array([0.833])
    """
    return np.minimum(1.0 / (1.0 + 2.0 * load_eccentricity / (3.0 * edge_distance)), 1.0)


@clause(
    Source(DOCUMENT, "7.2.2.5(12) Eq. (7.48)"),
    shear_angle=Quantity("deg", at_least=0.0, at_most=90.0),
    gives=Quantity("-"),
)
def edge_angle_influence(*, shear_angle: Column) -> Column:
    r"""Shear at an angle to the normal of the edge.

    .. math:: \psi_{\alpha,V} = 1 / \sqrt{\cos^2 \alpha_V + (0.5 \sin \alpha_V)^2} \ge 1

    Parameters
    ----------
    shear_angle
        Between the shear and the line square to the edge; 90 along the edge,
        :math:`\alpha_V`. [deg]

    Returns
    -------
    Column
        :math:`\psi_{\alpha,V}`. [-]

    Notes
    -----
    The withdrawn CEN/TS 1992-4-2 has 0.4 in place of 0.5.

    Examples
    --------
    By hand: 1 at right angles to the edge; 1/0.5 = 2 along it.

    >>> edge_angle_influence(shear_angle=np.array([0.0, 90.0])).round(3)
    array([1., 2.])
    """
    angle = np.deg2rad(shear_angle)
    return np.maximum(1.0 / np.sqrt(np.cos(angle) ** 2 + (0.5 * np.sin(angle)) ** 2), 1.0)


@clause(
    Source(DOCUMENT, "7.2.2.5 Eq. (7.40)", Known.MEMORY),
    basic_resistance=Quantity("kN", at_least=0.0),
    projected_area=_AREA,
    reference_area=_AREA,
    edge_influence=_UP_TO_ONE,
    thickness_influence=Quantity("-", at_least=1.0),
    eccentricity_influence=_UP_TO_ONE,
    angle_influence=Quantity("-", at_least=1.0, at_most=2.0),
    reinforcement_influence=Quantity("-", at_least=1.0, at_most=1.4),
    gives=Quantity("kN"),
)
def edge_resistance(
    *,
    basic_resistance: Column,
    projected_area: Column,
    reference_area: Column,
    edge_influence: Column,
    thickness_influence: Column,
    eccentricity_influence: Column,
    angle_influence: Column,
    reinforcement_influence: Column,
) -> Column:
    r"""Characteristic edge resistance of one anchor of a row.

    .. math::

        V_{Rk,c} = V^0_{Rk,c} \frac{A_{c,V}}{A^0_{c,V}}
                   \psi_{s,V} \psi_{h,V} \psi_{ec,V} \psi_{\alpha,V} \psi_{re,V}

    Parameters
    ----------
    basic_resistance
        :math:`V^0_{Rk,c}`. [kN]
    projected_area
        :math:`A_{c,V}` of the one anchor. [mm^2]
    reference_area
        :math:`A^0_{c,V}`. [mm^2]
    edge_influence
        :math:`\psi_{s,V}`. [-]
    thickness_influence
        :math:`\psi_{h,V}`. [-]
    eccentricity_influence
        :math:`\psi_{ec,V}`. [-]
    angle_influence
        :math:`\psi_{\alpha,V}`. [-]
    reinforcement_influence
        :math:`\psi_{re,V}`, 1.0 or, with close stirrups in cracked concrete, 1.4. [-]

    Returns
    -------
    Column
        :math:`V_{Rk,c}`. [kN]

    Examples
    --------
    By hand: 47.05 x 150000/180000 = 39.2 kN.

    >>> one = np.array([1.0])
    >>> edge_resistance(
    ...     basic_resistance=np.array([47.05]),
    ...     projected_area=np.array([150000.0]),
    ...     reference_area=np.array([180000.0]),
    ...     edge_influence=one,
    ...     thickness_influence=one,
    ...     eccentricity_influence=one,
    ...     angle_influence=one,
    ...     reinforcement_influence=one,
    ... ).round(1)
    array([39.2])
    """
    return (
        basic_resistance
        * (projected_area / reference_area)
        * edge_influence
        * thickness_influence
        * eccentricity_influence
        * angle_influence
        * reinforcement_influence
    )
