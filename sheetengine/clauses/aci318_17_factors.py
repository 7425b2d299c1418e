"""What the two editions of ACI 318-19 chapter 17 share: areas, shares and factors without a dimension.

Only ratios of lengths enter, so that the lengths may be in any one unit; the records say mm, and a
caller that holds inches converts them or, as well, leaves them. Areas come out in the square of it.
"""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Flags, Quantity, clause
from sheetengine.clauses.rows import known
from sheetengine.sources import Known, Source

DOCUMENT = "ACI 318-19 and 318M-19"

_LENGTH = Quantity("mm", above=0.0)
_DISTANCE = Quantity("mm", at_least=0.0)
_AREA = Quantity("mm^2", above=0.0)
_UP_TO_ONE = Quantity("-", above=0.0, at_most=1.0)


def counted_steel(tensile_strength: Column, yield_strength: Column, ceiling: float) -> Column:
    """Return the tensile strength that may be counted: f_uta, at most 1.9 f_ya and the ceiling.

    >>> counted_steel(np.array([900.0]), np.array([400.0]), 860.0)
    array([760.])
    """
    return np.minimum(np.minimum(tensile_strength, 1.9 * yield_strength), ceiling)


@clause(Source(DOCUMENT, "17.6.2.1.4"), embedment_depth=_LENGTH, gives=Quantity("mm^2"))
def reference_cone_area(*, embedment_depth: Column) -> Column:
    r"""Projected breakout area of one anchor clear of edges and neighbours.

    .. math:: A_{Nco} = 9 h_{ef}^2

    Parameters
    ----------
    embedment_depth
        :math:`h_{ef}`. [mm]

    Returns
    -------
    Column
        :math:`A_{Nco}`. [mm^2]

    Examples
    --------
    By hand: 9 x 8^2 = 576.

    >>> reference_cone_area(embedment_depth=np.array([8.0]))
    array([576.])
    """
    return 9.0 * embedment_depth**2


@clause(
    Source(DOCUMENT, "17.6.2.1.1, share of one anchor"),
    embedment_depth=_LENGTH,
    distance_up=_DISTANCE,
    distance_down=_DISTANCE,
    distance_left=_DISTANCE,
    distance_right=_DISTANCE,
    gives=Quantity("mm^2"),
)
def row_cone_area(
    *,
    embedment_depth: Column,
    distance_up: Column,
    distance_down: Column,
    distance_left: Column,
    distance_right: Column,
) -> Column:
    r"""Projected breakout area that belongs to one anchor of a row, each reach at most 1.5 h_ef.

    .. math::

        A_{Nc} = \left[\min(c_u, 1.5 h_{ef}) + \min(c_d, 1.5 h_{ef})\right]
                 \left[\min(c_l, 1.5 h_{ef}) + \min(c_r, 1.5 h_{ef})\right]

    Parameters
    ----------
    embedment_depth
        :math:`h_{ef}`. [mm]
    distance_up
        Up to the free joint, :math:`c_u`. [mm]
    distance_down
        Down to an edge or half way to the next row, :math:`c_d`. [mm]
    distance_left
        To the left: the lesser of edge distance and half the spacing, :math:`c_l`. [mm]
    distance_right
        To the right, in the same way, :math:`c_r`. [mm]

    Returns
    -------
    Column
        :math:`A_{Nc}` of the one anchor; the shares of a row add up to the area of the
        group. [mm^2]

    Examples
    --------
    One edge 6 away. By hand: (6 + 12) x 24 = 432.

    >>> far = np.array([99.0])
    >>> row_cone_area(
    ...     embedment_depth=np.array([8.0]),
    ...     distance_up=np.array([6.0]),
    ...     distance_down=far,
    ...     distance_left=far,
    ...     distance_right=far,
    ... )
    array([432.])
    """
    reach = 1.5 * embedment_depth
    height = np.minimum(distance_up, reach) + np.minimum(distance_down, reach)
    width = np.minimum(distance_left, reach) + np.minimum(distance_right, reach)
    area: Column = height * width
    return area


@clause(
    Source(DOCUMENT, "17.6.2.1.2, three or more edges"),
    embedment_depth=_LENGTH,
    close_edges=Quantity("-", at_least=0.0, at_most=4.0),
    greatest_edge_distance=_DISTANCE,
    greatest_spacing=_DISTANCE,
    gives=Quantity("mm"),
)
def reduced_embedment_depth(
    *,
    embedment_depth: Column,
    close_edges: Column,
    greatest_edge_distance: Column,
    greatest_spacing: Column,
) -> Column:
    r"""Embedment depth to use for breakout between three or four close edges.

    .. math:: h'_{ef} = \max(c_{a,max} / 1.5,\; s / 3) \le h_{ef}

    where three or more edges lie nearer than :math:`1.5 h_{ef}`, else :math:`h_{ef}`.

    Parameters
    ----------
    embedment_depth
        :math:`h_{ef}`. [mm]
    close_edges
        Number of edges nearer than :math:`1.5 h_{ef}`. [-]
    greatest_edge_distance
        Greatest distance to one of those edges, :math:`c_{a,max}`. [mm]
    greatest_spacing
        Greatest spacing within the group, 0 for one anchor, :math:`s`. [mm]

    Returns
    -------
    Column
        :math:`h'_{ef}`. [mm]

    Examples
    --------
    By hand: the greater of 6/1.5 = 4 and 9/3 = 3.

    >>> reduced_embedment_depth(
    ...     embedment_depth=np.array([8.0]),
    ...     close_edges=np.array([3.0]),
    ...     greatest_edge_distance=np.array([6.0]),
    ...     greatest_spacing=np.array([9.0]),
    ... )
    array([4.])
    """
    reduced = np.maximum(greatest_edge_distance / 1.5, greatest_spacing / 3.0)
    depth = np.where(close_edges >= 3.0, np.minimum(reduced, embedment_depth), embedment_depth)
    return known(depth, embedment_depth, close_edges, greatest_edge_distance, greatest_spacing)


@clause(
    Source(DOCUMENT, "17.6.2.4.1"),
    edge_distance=_LENGTH,
    embedment_depth=_LENGTH,
    gives=Quantity("-"),
)
def cone_edge_influence(*, edge_distance: Column, embedment_depth: Column) -> Column:
    r"""Breakout edge effect factor.

    .. math:: \psi_{ed,N} = 0.7 + 0.3\, c_{a,min} / (1.5 h_{ef}) \le 1

    Parameters
    ----------
    edge_distance
        Least edge distance, :math:`c_{a,min}`. [mm]
    embedment_depth
        :math:`h_{ef}`. [mm]

    Returns
    -------
    Column
        :math:`\psi_{ed,N}`. [-]

    Examples
    --------
    By hand: 0.7 + 0.3 x 6/12 = 0.85.

    >>> cone_edge_influence(edge_distance=np.array([6.0]), embedment_depth=np.array([8.0])).round(3)
    array([0.85])
    """
    return np.minimum(0.7 + 0.3 * edge_distance / (1.5 * embedment_depth), 1.0)


@clause(
    Source(DOCUMENT, "17.6.2.3.1"),
    load_eccentricity=_DISTANCE,
    embedment_depth=_LENGTH,
    gives=Quantity("-"),
)
def cone_eccentricity_influence(*, load_eccentricity: Column, embedment_depth: Column) -> Column:
    r"""Breakout eccentricity factor.

    .. math:: \psi_{ec,N} = 1 / (1 + 2 e'_N / (3 h_{ef})) \le 1

    Parameters
    ----------
    load_eccentricity
        Eccentricity of the resultant on the anchors, :math:`e'_N`. [mm]
    embedment_depth
        :math:`h_{ef}`. [mm]

    Returns
    -------
    Column
        :math:`\psi_{ec,N}`. [-]

    Examples
    --------
    By hand: 1/(1 + 4/24) = 0.857.

    >>> cone_eccentricity_influence(
    ...     load_eccentricity=np.array([2.0]), embedment_depth=np.array([8.0])
    ... ).round(3)
    array([0.857])
    """
    return np.minimum(1.0 / (1.0 + 2.0 * load_eccentricity / (3.0 * embedment_depth)), 1.0)


@clause(
    Source(DOCUMENT, "17.6.2.1(a) and (b), multiplier of the basic strength"),
    projected_area=_AREA,
    reference_area=_AREA,
    edge_influence=_UP_TO_ONE,
    eccentricity_influence=_UP_TO_ONE,
    cracking_influence=Quantity("-", at_least=1.0, at_most=1.25),
    gives=Quantity("-"),
)
def tension_breakout_share(
    *,
    projected_area: Column,
    reference_area: Column,
    edge_influence: Column,
    eccentricity_influence: Column,
    cracking_influence: Column,
) -> Column:
    r"""Part of the basic breakout strength that one anchor of a row reaches in tension.

    .. math:: N_{cb} / N_b = \frac{A_{Nc}}{A_{Nco}} \psi_{ec,N} \psi_{ed,N} \psi_{c,N}

    Parameters
    ----------
    projected_area
        :math:`A_{Nc}` of the one anchor. [mm^2]
    reference_area
        :math:`A_{Nco}`. [mm^2]
    edge_influence
        :math:`\psi_{ed,N}`. [-]
    eccentricity_influence
        :math:`\psi_{ec,N}`. [-]
    cracking_influence
        :math:`\psi_{c,N}`, 1.25 for cast-in anchors where no crack is expected at service load,
        else 1.0. [-]

    Returns
    -------
    Column
        Multiplier of :math:`N_b`. [-]

    Examples
    --------
    By hand: 432/576 x 0.85 = 0.6375.

    >>> one = np.array([1.0])
    >>> tension_breakout_share(
    ...     projected_area=np.array([432.0]),
    ...     reference_area=np.array([576.0]),
    ...     edge_influence=np.array([0.85]),
    ...     eccentricity_influence=one,
    ...     cracking_influence=one,
    ... )
    array([0.6375])
    """
    area_ratio = projected_area / reference_area
    return area_ratio * eccentricity_influence * edge_influence * cracking_influence


@clause(
    Source(DOCUMENT, "17.6.3, net bearing area of the head", Known.MECHANICS),
    head_diameter=_LENGTH,
    shank_diameter=_LENGTH,
    gives=Quantity("mm^2"),
)
def head_bearing_area(*, head_diameter: Column, shank_diameter: Column) -> Column:
    r"""Net bearing area of a round head.

    .. math:: A_{brg} = \frac{\pi}{4} (d_h^2 - d_a^2)

    Parameters
    ----------
    head_diameter
        :math:`d_h`. [mm]
    shank_diameter
        :math:`d_a`. [mm]

    Returns
    -------
    Column
        :math:`A_{brg}`. [mm^2]

    Examples
    --------
    A 1/2 in stud with a 1 in head. By hand: 0.7854 x (1 - 0.25) = 0.589.

    >>> head_bearing_area(head_diameter=np.array([1.0]), shank_diameter=np.array([0.5])).round(3)
    array([0.589])
    """
    return np.pi / 4.0 * (head_diameter**2 - shank_diameter**2)


def blow_out_governs(*, edge_distance: Column, embedment_depth: Column) -> Flags:
    """Return where side-face blow-out has to be checked: h_ef > 2.5 c_a1 (ACI 318-19, 17.6.4.1).

    A row with a missing distance or depth counts as one to be checked.

    Parameters
    ----------
    edge_distance
        c_a1. [mm]
    embedment_depth
        h_ef. [mm]

    Returns
    -------
    Flags
        Whether the check is needed.

    Examples
    --------
    By hand: 12 > 2.5 x 3; 12 < 2.5 x 6.

    >>> blow_out_governs(edge_distance=np.array([3.0, 6.0]), embedment_depth=np.array([12.0, 12.0]))
    array([ True, False])
    """
    return np.asarray(~(embedment_depth <= 2.5 * edge_distance))


@clause(
    Source(DOCUMENT, "17.6.4.1.1"),
    edge_distance=_LENGTH,
    second_edge_distance=_LENGTH,
    gives=Quantity("-"),
)
def blow_out_corner_factor(*, edge_distance: Column, second_edge_distance: Column) -> Column:
    r"""Reduction of side-face blow-out strength near a corner.

    .. math:: \frac{1 + c_{a2}/c_{a1}}{4}, \qquad 1 \le c_{a2}/c_{a1} < 3

    and 1 from a ratio of 3 on.

    Parameters
    ----------
    edge_distance
        :math:`c_{a1}`. [mm]
    second_edge_distance
        To the edge at right angles, :math:`c_{a2}`. [mm]

    Returns
    -------
    Column
        Multiplier of :math:`N_{sb}`. [-]

    Examples
    --------
    By hand: (1 + 2)/4 = 0.75.

    >>> blow_out_corner_factor(
    ...     edge_distance=np.array([3.0, 3.0]), second_edge_distance=np.array([6.0, 9.0])
    ... )
    array([0.75, 1.  ])
    """
    ratio = np.minimum(np.maximum(second_edge_distance / edge_distance, 1.0), 3.0)
    return (1.0 + ratio) / 4.0


@clause(
    Source(DOCUMENT, "17.6.4.2"),
    outer_spacing=_DISTANCE,
    edge_distance=_LENGTH,
    gives=Quantity("-"),
)
def blow_out_group_factor(*, outer_spacing: Column, edge_distance: Column) -> Column:
    r"""Side-face blow-out strength of a whole row over that of one anchor, spacing below 6 c_a1.

    .. math:: N_{sbg} / N_{sb} = 1 + s / (6 c_{a1})

    Parameters
    ----------
    outer_spacing
        Distance between the outer anchors along the edge, :math:`s`. [mm]
    edge_distance
        :math:`c_{a1}`. [mm]

    Returns
    -------
    Column
        Multiplier of :math:`N_{sb}`. [-]

    Examples
    --------
    By hand: 1 + 9/18 = 1.5.

    >>> blow_out_group_factor(outer_spacing=np.array([9.0]), edge_distance=np.array([3.0]))
    array([1.5])
    """
    return 1.0 + outer_spacing / (6.0 * edge_distance)


@clause(
    Source(DOCUMENT, "17.6.4.2, one anchor of a long row: derived", Known.MECHANICS),
    anchor_spacing=_LENGTH,
    edge_distance=_LENGTH,
    gives=Quantity("-"),
)
def blow_out_row_share(*, anchor_spacing: Column, edge_distance: Column) -> Column:
    r"""Part of the side-face blow-out strength that one anchor of a long row reaches.

    .. math:: \min\left(\frac{s}{6 c_{a1}},\; 1\right)

    Parameters
    ----------
    anchor_spacing
        Between neighbours along the edge, :math:`s`. [mm]
    edge_distance
        :math:`c_{a1}`. [mm]

    Returns
    -------
    Column
        Multiplier of :math:`N_{sb}`. [-]

    Notes
    -----
    Derived, not printed: a row of n anchors has :math:`1 + (n-1) s/(6 c_{a1})` times the
    strength of one, so each has :math:`1/n + (1 - 1/n)\, s/(6 c_{a1})` of it. That falls with n
    to :math:`s/(6 c_{a1})`, which is on the safe side for every shorter row.

    Examples
    --------
    By hand: 9/18 = 0.5; 20 is beyond 18.

    >>> blow_out_row_share(anchor_spacing=np.array([9.0, 20.0]), edge_distance=np.array([3.0, 3.0]))
    array([0.5, 1. ])
    """
    return np.minimum(anchor_spacing / (6.0 * edge_distance), 1.0)
