"""What the two editions of ACI 318-19 chapter 17 share in shear, and tension with shear.

Only ratios of lengths enter, so that the lengths may be in any one unit; the records say mm.
"""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.sources import Source

DOCUMENT = "ACI 318-19 and 318M-19"

_LENGTH = Quantity("mm", above=0.0)
_DISTANCE = Quantity("mm", at_least=0.0)
_AREA = Quantity("mm^2", above=0.0)
_UP_TO_ONE = Quantity("-", above=0.0, at_most=1.0)
_RATIO = Quantity("-", at_least=0.0)


@clause(
    Source(DOCUMENT, "17.7.2.2.1, load-bearing length"),
    embedment_depth=_LENGTH,
    shank_diameter=_LENGTH,
    gives=Quantity("mm"),
)
def shear_bearing_length(*, embedment_depth: Column, shank_diameter: Column) -> Column:
    r"""Length over which the anchor bears in shear.

    .. math:: l_e = \min(h_{ef},\; 8 d_a)

    Parameters
    ----------
    embedment_depth
        :math:`h_{ef}`. [mm]
    shank_diameter
        :math:`d_a`. [mm]

    Returns
    -------
    Column
        :math:`l_e`. [mm]

    Examples
    --------
    By hand: 8 x 0.5 = 4, above 3.06.

    >>> shear_bearing_length(embedment_depth=np.array([3.06]), shank_diameter=np.array([0.5]))
    array([3.06])
    """
    return np.minimum(embedment_depth, 8.0 * shank_diameter)


@clause(Source(DOCUMENT, "17.7.2.1.3"), edge_distance=_LENGTH, gives=Quantity("mm^2"))
def reference_edge_area(*, edge_distance: Column) -> Column:
    r"""Projected edge area of one anchor clear of corners and neighbours in deep concrete.

    .. math:: A_{Vco} = 4.5 c_{a1}^2

    Parameters
    ----------
    edge_distance
        :math:`c_{a1}`. [mm]

    Returns
    -------
    Column
        :math:`A_{Vco}`. [mm^2]

    Examples
    --------
    By hand: 4.5 x 12^2 = 648.

    >>> reference_edge_area(edge_distance=np.array([12.0]))
    array([648.])
    """
    return 4.5 * edge_distance**2


@clause(
    Source(DOCUMENT, "17.7.2.1.1, share of one anchor"),
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

        A_{Vc} = \left[\min(c_l, 1.5 c_{a1}) + \min(c_r, 1.5 c_{a1})\right]
                 \min(h_a, 1.5 c_{a1})

    Parameters
    ----------
    edge_distance
        In the direction of the shear, :math:`c_{a1}`. [mm]
    distance_left
        To the left: the lesser of edge distance and half the spacing, :math:`c_l`. [mm]
    distance_right
        To the right, in the same way, :math:`c_r`. [mm]
    member_thickness
        Of the concrete, along the anchor, :math:`h_a`. [mm]

    Returns
    -------
    Column
        :math:`A_{Vc}` of the one anchor. [mm^2]

    Examples
    --------
    By hand: (12 + 18) x 18 = 540.

    >>> row_edge_area(
    ...     edge_distance=np.array([12.0]),
    ...     distance_left=np.array([12.0]),
    ...     distance_right=np.array([40.0]),
    ...     member_thickness=np.array([99.0]),
    ... )
    array([540.])
    """
    reach = 1.5 * edge_distance
    width = np.minimum(distance_left, reach) + np.minimum(distance_right, reach)
    area: Column = width * np.minimum(member_thickness, reach)
    return area


@clause(
    Source(DOCUMENT, "17.7.2.4.1"),
    edge_distance=_LENGTH,
    second_edge_distance=_LENGTH,
    gives=Quantity("-"),
)
def edge_corner_influence(*, edge_distance: Column, second_edge_distance: Column) -> Column:
    r"""Edge effect factor in shear.

    .. math:: \psi_{ed,V} = 0.7 + 0.3\, c_{a2} / (1.5 c_{a1}) \le 1

    Parameters
    ----------
    edge_distance
        :math:`c_{a1}`. [mm]
    second_edge_distance
        To the edge at right angles, :math:`c_{a2}`. [mm]

    Returns
    -------
    Column
        :math:`\psi_{ed,V}`. [-]

    Examples
    --------
    By hand: 0.7 + 0.3 x 9/18 = 0.85.

    >>> edge_corner_influence(
    ...     edge_distance=np.array([12.0]), second_edge_distance=np.array([9.0])
    ... ).round(3)
    array([0.85])
    """
    return np.minimum(0.7 + 0.3 * second_edge_distance / (1.5 * edge_distance), 1.0)


@clause(
    Source(DOCUMENT, "17.7.2.6.1"),
    edge_distance=_LENGTH,
    member_thickness=_LENGTH,
    gives=Quantity("-"),
)
def edge_thickness_influence(*, edge_distance: Column, member_thickness: Column) -> Column:
    r"""Thickness factor in shear.

    .. math:: \psi_{h,V} = \sqrt{1.5 c_{a1} / h_a} \ge 1

    Parameters
    ----------
    edge_distance
        :math:`c_{a1}`. [mm]
    member_thickness
        :math:`h_a`. [mm]

    Returns
    -------
    Column
        :math:`\psi_{h,V}`. [-]

    Examples
    --------
    By hand: (18/8)^0.5 = 1.5.

    >>> edge_thickness_influence(
    ...     edge_distance=np.array([12.0]), member_thickness=np.array([8.0])
    ... )
    array([1.5])
    """
    return np.maximum(np.sqrt(1.5 * edge_distance / member_thickness), 1.0)


@clause(
    Source(DOCUMENT, "17.7.2.3.1"),
    load_eccentricity=_DISTANCE,
    edge_distance=_LENGTH,
    gives=Quantity("-"),
)
def edge_eccentricity_influence(*, load_eccentricity: Column, edge_distance: Column) -> Column:
    r"""Eccentricity factor in shear.

    .. math:: \psi_{ec,V} = 1 / (1 + 2 e'_V / (3 c_{a1})) \le 1

    Parameters
    ----------
    load_eccentricity
        :math:`e'_V`. [mm]
    edge_distance
        :math:`c_{a1}`. [mm]

    Returns
    -------
    Column
        :math:`\psi_{ec,V}`. [-]

    Examples
    --------
    By hand: 1/(1 + 9/36) = 0.8.

    >>> edge_eccentricity_influence(
    ...     load_eccentricity=np.array([4.5]), edge_distance=np.array([12.0])
    ... )
    array([0.8])
    """
    return np.minimum(1.0 / (1.0 + 2.0 * load_eccentricity / (3.0 * edge_distance)), 1.0)


@clause(
    Source(DOCUMENT, "17.7.2.1, multiplier of the basic strength"),
    projected_area=_AREA,
    reference_area=_AREA,
    edge_influence=_UP_TO_ONE,
    eccentricity_influence=_UP_TO_ONE,
    cracking_influence=Quantity("-", at_least=1.0, at_most=1.4),
    thickness_influence=Quantity("-", at_least=1.0),
    direction_factor=Quantity("-", at_least=1.0, at_most=2.0),
    gives=Quantity("-"),
)
def edge_breakout_share(
    *,
    projected_area: Column,
    reference_area: Column,
    edge_influence: Column,
    eccentricity_influence: Column,
    cracking_influence: Column,
    thickness_influence: Column,
    direction_factor: Column,
) -> Column:
    r"""Part of the basic edge breakout strength that one anchor of a row reaches.

    .. math::

        V_{cb} / V_b = f \frac{A_{Vc}}{A_{Vco}} \psi_{ec,V} \psi_{ed,V} \psi_{c,V} \psi_{h,V}

    Parameters
    ----------
    projected_area
        :math:`A_{Vc}` of the one anchor. [mm^2]
    reference_area
        :math:`A_{Vco}`. [mm^2]
    edge_influence
        :math:`\psi_{ed,V}`; 1 where the shear runs along the edge. [-]
    eccentricity_influence
        :math:`\psi_{ec,V}`. [-]
    cracking_influence
        :math:`\psi_{c,V}`: 1.0 cracked, 1.2 with an edge bar, 1.4 with close stirrups or
        uncracked. [-]
    thickness_influence
        :math:`\psi_{h,V}`. [-]
    direction_factor
        :math:`f`: 1 square to the edge, 2 along it (17.7.2.1(c)). [-]

    Returns
    -------
    Column
        Multiplier of :math:`V_b`. [-]

    Examples
    --------
    By hand: 540/648 x 0.85 = 0.708.

    >>> one = np.array([1.0])
    >>> edge_breakout_share(
    ...     projected_area=np.array([540.0]),
    ...     reference_area=np.array([648.0]),
    ...     edge_influence=np.array([0.85]),
    ...     eccentricity_influence=one,
    ...     cracking_influence=one,
    ...     thickness_influence=one,
    ...     direction_factor=one,
    ... ).round(3)
    array([0.708])
    """
    influences = edge_influence * eccentricity_influence * cracking_influence * thickness_influence
    return direction_factor * (projected_area / reference_area) * influences


@clause(
    Source(DOCUMENT, "17.8.1 to 17.8.3"),
    tension_ratio=_RATIO,
    shear_ratio=_RATIO,
    gives=Quantity("-"),
)
def trilinear_interaction(*, tension_ratio: Column, shear_ratio: Column) -> Column:
    r"""Demand measure under tension and shear together, three straight lines.

    .. math:: \beta = \max\{ n,\; v,\; (n + v)/1.2 \}

    Parameters
    ----------
    tension_ratio
        Greatest demand over design strength in tension, :math:`n`. [-]
    shear_ratio
        Greatest demand over design strength in shear, :math:`v`. [-]

    Returns
    -------
    Column
        :math:`\beta`. [-]

    Notes
    -----
    The clause lets full strength be used for one action while the other is at or below 0.2, and
    asks for :math:`n + v \le 1.2` beyond. With one ratio at or below 0.2 and the other not above
    1 the sum is not above 1.2, so that the measure is at most 1 exactly where the clause is
    met, and it grows in proportion to the load.

    Examples
    --------
    By hand: 1.5/1.2 = 1.25; 0.9 with 0.1 alone.

    >>> trilinear_interaction(
    ...     tension_ratio=np.array([0.8, 0.9]), shear_ratio=np.array([0.7, 0.1])
    ... ).round(3)
    array([1.25, 0.9 ])
    """
    return np.maximum(np.maximum(tension_ratio, shear_ratio), (tension_ratio + shear_ratio) / 1.2)


@clause(
    Source(DOCUMENT, "R17.8, power 5/3"),
    tension_ratio=_RATIO,
    shear_ratio=_RATIO,
    gives=Quantity("-"),
)
def power_interaction(*, tension_ratio: Column, shear_ratio: Column) -> Column:
    r"""Demand measure under tension and shear together, the curve of the commentary.

    .. math:: \beta = \left(n^{5/3} + v^{5/3}\right)^{3/5}

    Parameters
    ----------
    tension_ratio
        :math:`n`. [-]
    shear_ratio
        :math:`v`. [-]

    Returns
    -------
    Column
        :math:`\beta`, which grows in proportion to the load. [-]

    Examples
    --------
    By hand: 2^0.6 x 0.6 = 0.909.

    >>> power_interaction(tension_ratio=np.array([0.6]), shear_ratio=np.array([0.6])).round(3)
    array([0.909])
    """
    return (tension_ratio ** (5.0 / 3.0) + shear_ratio ** (5.0 / 3.0)) ** 0.6
