"""Failure at the head of a cast-in anchor: pull-out and side-face blow-out, EN 1992-4:2018.

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
_NUMBER = Quantity("-", above=0.0)
_UP_TO_ONE = Quantity("-", above=0.0, at_most=1.0)
_CONCRETE = Quantity("MPa", at_least=12.0, at_most=90.0)


@clause(
    Source(DOCUMENT, "7.2.1.5, load-bearing area of the head"),
    head_diameter=_LENGTH,
    shank_diameter=_LENGTH,
    gives=Quantity("mm^2"),
)
def head_bearing_area(*, head_diameter: Column, shank_diameter: Column) -> Column:
    r"""Load-bearing area of a round head.

    .. math:: A_h = \frac{\pi}{4} (d_h^2 - d^2)

    Parameters
    ----------
    head_diameter
        :math:`d_h`. [mm]
    shank_diameter
        :math:`d`. [mm]

    Returns
    -------
    Column
        :math:`A_h`. [mm^2]

    Examples
    --------
    By hand: 0.7854 x (3600 - 625) = 2336.6.

    >>> head_bearing_area(
    ...     head_diameter=np.array([60.0]), shank_diameter=np.array([25.0])
    ... ).round(1)
    array([2336.6])
    """
    return np.pi / 4.0 * (head_diameter**2 - shank_diameter**2)


@clause(
    Source(DOCUMENT, "7.2.1.5 Eq. (7.11)"),
    bearing_factor=_NUMBER,
    bearing_area=_AREA,
    cylinder_strength=_CONCRETE,
    gives=Quantity("kN"),
)
def pull_out_resistance(*, bearing_factor: Column, bearing_area: Column, cylinder_strength: Column) -> Column:
    r"""Characteristic pull-out resistance of a headed anchor.

    .. math:: N_{Rk,p} = k_2 A_h f_{ck}

    Parameters
    ----------
    bearing_factor
        :math:`k_2`, cracked or uncracked. [-]
    bearing_area
        :math:`A_h`. [mm^2]
    cylinder_strength
        :math:`f_{ck}` at the age of loading. [MPa]

    Returns
    -------
    Column
        :math:`N_{Rk,p}`. [kN]

    Examples
    --------
    By hand: 7.5 x 2336.6 x 25 / 1000 = 438.1 kN.

    >>> pull_out_resistance(
    ...     bearing_factor=np.array([7.5]),
    ...     bearing_area=np.array([2336.6]),
    ...     cylinder_strength=np.array([25.0]),
    ... ).round(1)
    array([438.1])
    """
    return bearing_factor * bearing_area * cylinder_strength * KN


def blow_out_governs(*, edge_distance: Column, embedment_depth: Column) -> Flags:
    """Return where side-face blow-out has to be checked: c <= 0.5 h_ef (EN 1992-4:2018, 7.2.1.8).

    A row with a missing distance or depth counts as one to be checked.

    Parameters
    ----------
    edge_distance
        Least edge distance, c. [mm]
    embedment_depth
        h_ef. [mm]

    Returns
    -------
    Flags
        Whether the check is needed.

    Examples
    --------
    >>> blow_out_governs(
    ...     edge_distance=np.array([90.0, 150.0, np.nan]), embedment_depth=np.array([200.0] * 3)
    ... )
    array([ True, False,  True])
    """
    return np.asarray(~(edge_distance > 0.5 * embedment_depth))


@clause(
    Source(DOCUMENT, "7.2.1.8 Eq. (7.26)"),
    blow_out_factor=_NUMBER,
    edge_distance=_LENGTH,
    bearing_area=_AREA,
    cylinder_strength=_CONCRETE,
    gives=Quantity("kN"),
)
def basic_blow_out_resistance(
    *,
    blow_out_factor: Column,
    edge_distance: Column,
    bearing_area: Column,
    cylinder_strength: Column,
) -> Column:
    r"""Blow-out resistance of one anchor beside one edge.

    .. math:: N^0_{Rk,cb} = k_5 c_1 \sqrt{A_h} \sqrt{f_{ck}}

    Parameters
    ----------
    blow_out_factor
        :math:`k_5`, cracked or uncracked. [-]
    edge_distance
        To the face that blows out, :math:`c_1`. [mm]
    bearing_area
        :math:`A_h`. [mm^2]
    cylinder_strength
        :math:`f_{ck}` at the age of loading. [MPa]

    Returns
    -------
    Column
        :math:`N^0_{Rk,cb}`. [kN]

    Examples
    --------
    By hand: 8.7 x 90 x 48.338 x 5 / 1000 = 189.2 kN.

    >>> basic_blow_out_resistance(
    ...     blow_out_factor=np.array([8.7]),
    ...     edge_distance=np.array([90.0]),
    ...     bearing_area=np.array([2336.6]),
    ...     cylinder_strength=np.array([25.0]),
    ... ).round(1)
    array([189.2])
    """
    return blow_out_factor * edge_distance * np.sqrt(bearing_area) * np.sqrt(cylinder_strength) * KN


@clause(
    Source(DOCUMENT, "7.2.1.8, reference area", Known.MEMORY),
    edge_distance=_LENGTH,
    gives=Quantity("mm^2"),
)
def reference_blow_out_area(*, edge_distance: Column) -> Column:
    r"""Projected blow-out area of one anchor clear of corners and neighbours.

    .. math:: A^0_{c,Nb} = (4 c_1)^2

    Parameters
    ----------
    edge_distance
        :math:`c_1`. [mm]

    Returns
    -------
    Column
        :math:`A^0_{c,Nb}`. [mm^2]

    Examples
    --------
    By hand: (4 x 90)^2 = 129 600.

    >>> reference_blow_out_area(edge_distance=np.array([90.0]))
    array([129600.])
    """
    return (4.0 * edge_distance) ** 2


@clause(
    Source(DOCUMENT, "7.2.1.8, projected area, share of one anchor", Known.MEMORY),
    edge_distance=_LENGTH,
    distance_left=_DISTANCE,
    distance_right=_DISTANCE,
    embedment_depth=_LENGTH,
    depth_behind_head=_DISTANCE,
    gives=Quantity("mm^2"),
)
def row_blow_out_area(
    *,
    edge_distance: Column,
    distance_left: Column,
    distance_right: Column,
    embedment_depth: Column,
    depth_behind_head: Column,
) -> Column:
    r"""Projected blow-out area on the free joint that belongs to one anchor of a row.

    .. math::

        A_{c,Nb} = \left[\min(c_l, 2 c_1) + \min(c_r, 2 c_1)\right]
                   \left[\min(h_{ef}, 2 c_1) + \min(f, 2 c_1)\right]

    Parameters
    ----------
    edge_distance
        To the face that blows out, :math:`c_1`. [mm]
    distance_left
        To the left: the lesser of corner distance and half the spacing, :math:`c_l`. [mm]
    distance_right
        To the right, in the same way, :math:`c_r`. [mm]
    embedment_depth
        From the head to the face the anchor comes out of, :math:`h_{ef}`. [mm]
    depth_behind_head
        From the head to the far face, :math:`f`. [mm]

    Returns
    -------
    Column
        :math:`A_{c,Nb}` of the one anchor. [mm^2]

    Examples
    --------
    Spacing 300 mm: half of it, 150, is less than 2 x 90. By hand: 300 x 360 = 108 000.

    >>> row_blow_out_area(
    ...     edge_distance=np.array([90.0]),
    ...     distance_left=np.array([150.0]),
    ...     distance_right=np.array([150.0]),
    ...     embedment_depth=np.array([200.0]),
    ...     depth_behind_head=np.array([5000.0]),
    ... )
    array([108000.])
    """
    reach = 2.0 * edge_distance
    width = np.minimum(distance_left, reach) + np.minimum(distance_right, reach)
    depth = np.minimum(embedment_depth, reach) + np.minimum(depth_behind_head, reach)
    area: Column = width * depth
    return area


@clause(
    Source(DOCUMENT, "7.2.1.8, disturbance by a corner", Known.MEMORY),
    edge_distance=_LENGTH,
    second_edge_distance=_LENGTH,
    gives=Quantity("-"),
)
def blow_out_edge_influence(*, edge_distance: Column, second_edge_distance: Column) -> Column:
    r"""Disturbance of the stresses by a corner, blow-out.

    .. math:: \psi_{s,Nb} = 0.7 + 0.3\, c_2 / (2 c_1) \le 1

    Parameters
    ----------
    edge_distance
        :math:`c_1`. [mm]
    second_edge_distance
        To the edge at right angles, :math:`c_2`. [mm]

    Returns
    -------
    Column
        :math:`\psi_{s,Nb}`. [-]

    Examples
    --------
    By hand: 0.7 + 0.3 x 90/180 = 0.85.

    >>> blow_out_edge_influence(
    ...     edge_distance=np.array([90.0]), second_edge_distance=np.array([90.0])
    ... )
    array([0.85])
    """
    return np.minimum(0.7 + 0.3 * second_edge_distance / (2.0 * edge_distance), 1.0)


@clause(
    Source(DOCUMENT, "7.2.1.8, group effect", Known.MEMORY),
    anchor_count=Quantity("-", at_least=1.0),
    anchor_spacing=_DISTANCE,
    edge_distance=_LENGTH,
    gives=Quantity("-"),
)
def blow_out_group_influence(
    *, anchor_count: Column, anchor_spacing: Column, edge_distance: Column
) -> Column:
    r"""Benefit of several bearing areas in a row close beside the edge, blow-out.

    .. math:: \psi_{g,Nb} = \sqrt{n} + (1 - \sqrt{n}) \frac{\min(s, 4 c_1)}{4 c_1} \ge 1

    Parameters
    ----------
    anchor_count
        Anchors of the row, :math:`n`. [-]
    anchor_spacing
        :math:`s`. [mm]
    edge_distance
        :math:`c_1`. [mm]

    Returns
    -------
    Column
        :math:`\psi_{g,Nb}`. [-]

    Notes
    -----
    Taking 1 is on the safe side.

    Examples
    --------
    By hand: 2 + (1 - 2) x 180/360 = 1.5.

    >>> blow_out_group_influence(
    ...     anchor_count=np.array([4.0]),
    ...     anchor_spacing=np.array([180.0]),
    ...     edge_distance=np.array([90.0]),
    ... )
    array([1.5])
    """
    root = np.sqrt(anchor_count)
    reach = 4.0 * edge_distance
    return np.maximum(root + (1.0 - root) * np.minimum(anchor_spacing, reach) / reach, 1.0)


@clause(
    Source(DOCUMENT, "7.2.1.8, eccentricity", Known.MEMORY),
    load_eccentricity=_DISTANCE,
    edge_distance=_LENGTH,
    gives=Quantity("-"),
)
def blow_out_eccentricity_influence(*, load_eccentricity: Column, edge_distance: Column) -> Column:
    r"""Unequal tension within a row, blow-out.

    .. math:: \psi_{ec,Nb} = 1 / (1 + 2 e_N / (4 c_1)) \le 1

    Parameters
    ----------
    load_eccentricity
        :math:`e_N`. [mm]
    edge_distance
        :math:`c_1`. [mm]

    Returns
    -------
    Column
        :math:`\psi_{ec,Nb}`. [-]

    Examples
    --------
    By hand: 1/(1 + 90/360) = 0.8.

    >>> blow_out_eccentricity_influence(
    ...     load_eccentricity=np.array([45.0]), edge_distance=np.array([90.0])
    ... )
    array([0.8])
    """
    return np.minimum(1.0 / (1.0 + 2.0 * load_eccentricity / (4.0 * edge_distance)), 1.0)


@clause(
    Source(DOCUMENT, "7.2.1.8 Eq. (7.25)", Known.MEMORY),
    basic_resistance=Quantity("kN", at_least=0.0),
    projected_area=_AREA,
    reference_area=_AREA,
    edge_influence=_UP_TO_ONE,
    group_influence=Quantity("-", at_least=1.0),
    eccentricity_influence=_UP_TO_ONE,
    gives=Quantity("kN"),
)
def blow_out_resistance(
    *,
    basic_resistance: Column,
    projected_area: Column,
    reference_area: Column,
    edge_influence: Column,
    group_influence: Column,
    eccentricity_influence: Column,
) -> Column:
    r"""Characteristic blow-out resistance of one anchor of a row.

    .. math::

        N_{Rk,cb} = N^0_{Rk,cb} \frac{A_{c,Nb}}{A^0_{c,Nb}} \psi_{s,Nb} \psi_{g,Nb} \psi_{ec,Nb}

    Parameters
    ----------
    basic_resistance
        :math:`N^0_{Rk,cb}`. [kN]
    projected_area
        :math:`A_{c,Nb}` of the one anchor. [mm^2]
    reference_area
        :math:`A^0_{c,Nb}`. [mm^2]
    edge_influence
        :math:`\psi_{s,Nb}`. [-]
    group_influence
        :math:`\psi_{g,Nb}`. [-]
    eccentricity_influence
        :math:`\psi_{ec,Nb}`. [-]

    Returns
    -------
    Column
        :math:`N_{Rk,cb}`. [kN]

    Examples
    --------
    By hand: 189.2 x 108000/129600 = 157.7 kN.

    >>> one = np.array([1.0])
    >>> blow_out_resistance(
    ...     basic_resistance=np.array([189.2]),
    ...     projected_area=np.array([108000.0]),
    ...     reference_area=np.array([129600.0]),
    ...     edge_influence=one,
    ...     group_influence=one,
    ...     eccentricity_influence=one,
    ... ).round(1)
    array([157.7])
    """
    return (
        basic_resistance
        * (projected_area / reference_area)
        * edge_influence
        * group_influence
        * eccentricity_influence
    )
