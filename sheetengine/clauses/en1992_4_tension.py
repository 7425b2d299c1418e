"""Concrete cone failure of cast-in headed anchors in tension: EN 1992-4:2018, 7.2.1.4.

Lengths in mm, strengths in MPa, forces in kN. Every concrete mode is written for one anchor of a
row: the caller gives what the anchor may draw upon, to the free joint and to half the spacing.
"""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.clauses.rows import known
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
_FORCE = Quantity("kN", at_least=0.0)


@clause(
    Source(DOCUMENT, "7.2.1.4 Eq. (7.2)"),
    cone_factor=_NUMBER,
    cylinder_strength=_CONCRETE,
    embedment_depth=_LENGTH,
    gives=Quantity("kN"),
)
def basic_cone_resistance(
    *, cone_factor: Column, cylinder_strength: Column, embedment_depth: Column
) -> Column:
    r"""Concrete cone resistance of one anchor clear of edges and neighbours.

    .. math:: N^0_{Rk,c} = k_1 \sqrt{f_{ck}}\, h_{ef}^{1.5}

    Parameters
    ----------
    cone_factor
        :math:`k_1`, cracked or uncracked. [-]
    cylinder_strength
        :math:`f_{ck}` at the age of loading. [MPa]
    embedment_depth
        :math:`h_{ef}`. [mm]

    Returns
    -------
    Column
        :math:`N^0_{Rk,c}`. [kN]

    Examples
    --------
    By hand: 8.9 x 5 x 2828.4 / 1000 = 125.9 kN.

    >>> basic_cone_resistance(
    ...     cone_factor=np.array([8.9]),
    ...     cylinder_strength=np.array([25.0]),
    ...     embedment_depth=np.array([200.0]),
    ... ).round(1)
    array([125.9])
    """
    return cone_factor * np.sqrt(cylinder_strength) * embedment_depth**1.5 * KN


@clause(Source(DOCUMENT, "7.2.1.4 Eq. (7.3)"), embedment_depth=_LENGTH, gives=Quantity("mm^2"))
def reference_cone_area(*, embedment_depth: Column) -> Column:
    r"""Projected cone area of one anchor clear of edges and neighbours.

    .. math:: A^0_{c,N} = s_{cr,N}^2 = 9 h_{ef}^2

    Parameters
    ----------
    embedment_depth
        :math:`h_{ef}`. [mm]

    Returns
    -------
    Column
        :math:`A^0_{c,N}`. [mm^2]

    Examples
    --------
    By hand: 9 x 200^2 = 360 000.

    >>> reference_cone_area(embedment_depth=np.array([200.0]))
    array([360000.])
    """
    return 9.0 * embedment_depth**2


@clause(
    Source(DOCUMENT, "7.2.1.4(3), share of one anchor"),
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
    r"""Projected cone area that belongs to one anchor of a row.

    .. math::

        A_{c,N} = \left[\min(c_u, 1.5 h_{ef}) + \min(c_d, 1.5 h_{ef})\right]
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
        :math:`A_{c,N}` of the one anchor. [mm^2]

    Notes
    -----
    The shares of a row add up to the area of the group, so that a row under equal tension has
    the same demand ratio anchor by anchor as a group.

    Examples
    --------
    One free edge 150 mm away. By hand: (150 + 300) x 600 = 270 000.

    >>> far = np.array([1000.0])
    >>> row_cone_area(
    ...     embedment_depth=np.array([200.0]),
    ...     distance_up=np.array([150.0]),
    ...     distance_down=far,
    ...     distance_left=far,
    ...     distance_right=far,
    ... )
    array([270000.])
    """
    reach = 1.5 * embedment_depth
    height = np.minimum(distance_up, reach) + np.minimum(distance_down, reach)
    width = np.minimum(distance_left, reach) + np.minimum(distance_right, reach)
    area: Column = height * width
    return area


@clause(
    Source(DOCUMENT, "7.2.1.4 Eq. (7.4)"),
    edge_distance=_LENGTH,
    embedment_depth=_LENGTH,
    gives=Quantity("-"),
)
def cone_edge_influence(*, edge_distance: Column, embedment_depth: Column) -> Column:
    r"""Disturbance of the stresses by the nearest edge, cone failure.

    .. math:: \psi_{s,N} = 0.7 + 0.3\, c / (1.5 h_{ef}) \le 1

    Parameters
    ----------
    edge_distance
        Least edge distance, :math:`c`. [mm]
    embedment_depth
        :math:`h_{ef}`. [mm]

    Returns
    -------
    Column
        :math:`\psi_{s,N}`. [-]

    Examples
    --------
    By hand: 0.7 + 0.3 x 150/300 = 0.85.

    >>> cone_edge_influence(
    ...     edge_distance=np.array([150.0]), embedment_depth=np.array([200.0])
    ... ).round(3)
    array([0.85])
    """
    return np.minimum(0.7 + 0.3 * edge_distance / (1.5 * embedment_depth), 1.0)


@clause(
    Source(DOCUMENT, "7.2.1.4 Eq. (7.5)"),
    embedment_depth=_LENGTH,
    bar_spacing=Quantity("mm", above=0.0),
    bar_diameter=_DISTANCE,
    gives=Quantity("-"),
)
def spalling_influence(*, embedment_depth: Column, bar_spacing: Column, bar_diameter: Column) -> Column:
    r"""Shell spalling over closely spaced surface reinforcement.

    .. math:: \psi_{re,N} = 0.5 + h_{ef}/200 \le 1

    and 1 where bars of any size are 150 mm apart or more, or bars up to 10 mm are 100 mm apart
    or more.

    Parameters
    ----------
    embedment_depth
        :math:`h_{ef}`. [mm]
    bar_spacing
        Spacing of the surface reinforcement; ``inf`` where there is none. [mm]
    bar_diameter
        Diameter of the surface reinforcement; 0 where there is none. [mm]

    Returns
    -------
    Column
        :math:`\psi_{re,N}`. [-]

    Examples
    --------
    By hand: 0.5 + 80/200 = 0.9.

    >>> spalling_influence(
    ...     embedment_depth=np.array([80.0]),
    ...     bar_spacing=np.array([100.0]),
    ...     bar_diameter=np.array([16.0]),
    ... )
    array([0.9])
    """
    wide = (bar_spacing >= 150.0) | ((bar_spacing >= 100.0) & (bar_diameter <= 10.0))
    factor = np.where(wide, 1.0, np.minimum(0.5 + embedment_depth / 200.0, 1.0))
    return known(factor, embedment_depth, bar_spacing, bar_diameter)


@clause(
    Source(DOCUMENT, "7.2.1.4 Eq. (7.6)"),
    load_eccentricity=_DISTANCE,
    embedment_depth=_LENGTH,
    gives=Quantity("-"),
)
def cone_eccentricity_influence(*, load_eccentricity: Column, embedment_depth: Column) -> Column:
    r"""Unequal tension within a group, cone failure.

    .. math:: \psi_{ec,N} = 1 / (1 + 2 e_N / s_{cr,N}) \le 1, \qquad s_{cr,N} = 3 h_{ef}

    Parameters
    ----------
    load_eccentricity
        Eccentricity of the resultant on the anchors, :math:`e_N`. [mm]
    embedment_depth
        :math:`h_{ef}`. [mm]

    Returns
    -------
    Column
        :math:`\psi_{ec,N}`. [-]

    Examples
    --------
    By hand: 1/(1 + 100/600) = 0.857.

    >>> cone_eccentricity_influence(
    ...     load_eccentricity=np.array([50.0]), embedment_depth=np.array([200.0])
    ... ).round(3)
    array([0.857])
    """
    return np.minimum(1.0 / (1.0 + 2.0 * load_eccentricity / (3.0 * embedment_depth)), 1.0)


@clause(
    Source(DOCUMENT, "7.2.1.4 Eq. (7.7)"),
    internal_lever_arm=_DISTANCE,
    embedment_depth=_LENGTH,
    edge_distance=_LENGTH,
    compression_ratio=Quantity("-", at_least=0.0),
    gives=Quantity("-"),
)
def cone_compression_influence(
    *,
    internal_lever_arm: Column,
    embedment_depth: Column,
    edge_distance: Column,
    compression_ratio: Column,
) -> Column:
    r"""Benefit of a compression force close beside the anchor.

    .. math:: \psi_{M,N} = 2 - 2 z / (3 h_{ef}) \ge 1

    and 1 where :math:`c < 1.5 h_{ef}`, :math:`C_{Ed}/N_{Ed} < 0.8` or :math:`z \ge 1.5 h_{ef}`.

    Parameters
    ----------
    internal_lever_arm
        From tension to compression, :math:`z`. [mm]
    embedment_depth
        :math:`h_{ef}`. [mm]
    edge_distance
        Least edge distance, :math:`c`. [mm]
    compression_ratio
        Compression over tension, :math:`C_{Ed}/N_{Ed}`. [-]

    Returns
    -------
    Column
        :math:`\psi_{M,N}`. [-]

    Examples
    --------
    By hand: 2 - 300/600 = 1.5.

    >>> cone_compression_influence(
    ...     internal_lever_arm=np.array([150.0]),
    ...     embedment_depth=np.array([200.0]),
    ...     edge_distance=np.array([600.0]),
    ...     compression_ratio=np.array([1.0]),
    ... )
    array([1.5])
    """
    reach = 1.5 * embedment_depth
    helps = (edge_distance >= reach) & (compression_ratio >= 0.8) & (internal_lever_arm < reach)
    factor = np.where(helps, np.maximum(2.0 - internal_lever_arm / reach, 1.0), 1.0)
    return known(factor, internal_lever_arm, embedment_depth, edge_distance, compression_ratio)


@clause(
    Source(DOCUMENT, "7.2.1.4(8), three or more edges", Known.SECOND_SOURCE),
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
    r"""Embedment depth to use for the cone between three or four close edges.

    .. math:: h'_{ef} = \max(c_{max} / 1.5,\; s_{max} / 3) \le h_{ef}

    where three or more edges lie nearer than :math:`1.5 h_{ef}`, else :math:`h_{ef}`.

    Parameters
    ----------
    embedment_depth
        :math:`h_{ef}`. [mm]
    close_edges
        Number of edges nearer than :math:`1.5 h_{ef}`. [-]
    greatest_edge_distance
        Greatest distance to one of those edges, :math:`c_{max}`. [mm]
    greatest_spacing
        Greatest spacing within the group, 0 for one anchor, :math:`s_{max}`. [mm]

    Returns
    -------
    Column
        :math:`h'_{ef}`. [mm]

    Examples
    --------
    The text's own figure: edges 110, 100, 120 and 80 mm away, spacing 210 mm, depth 200 mm.
    By hand: the greater of 120/1.5 = 80 and 210/3 = 70.

    >>> reduced_embedment_depth(
    ...     embedment_depth=np.array([200.0]),
    ...     close_edges=np.array([4.0]),
    ...     greatest_edge_distance=np.array([120.0]),
    ...     greatest_spacing=np.array([210.0]),
    ... )
    array([80.])
    """
    reduced = np.maximum(greatest_edge_distance / 1.5, greatest_spacing / 3.0)
    depth = np.where(close_edges >= 3.0, np.minimum(reduced, embedment_depth), embedment_depth)
    return known(depth, close_edges, greatest_edge_distance, greatest_spacing)


@clause(
    Source(DOCUMENT, "7.2.1.4 Eq. (7.1)", Known.MEMORY),
    basic_resistance=_FORCE,
    projected_area=_AREA,
    reference_area=_AREA,
    edge_influence=_UP_TO_ONE,
    spalling_factor=_UP_TO_ONE,
    eccentricity_influence=_UP_TO_ONE,
    compression_influence=Quantity("-", at_least=1.0, at_most=2.0),
    gives=Quantity("kN"),
)
def cone_resistance(
    *,
    basic_resistance: Column,
    projected_area: Column,
    reference_area: Column,
    edge_influence: Column,
    spalling_factor: Column,
    eccentricity_influence: Column,
    compression_influence: Column,
) -> Column:
    r"""Characteristic concrete cone resistance of one anchor of a row.

    .. math::

        N_{Rk,c} = N^0_{Rk,c} \frac{A_{c,N}}{A^0_{c,N}}
                   \psi_{s,N} \psi_{re,N} \psi_{ec,N} \psi_{M,N}

    Parameters
    ----------
    basic_resistance
        :math:`N^0_{Rk,c}`. [kN]
    projected_area
        :math:`A_{c,N}` of the one anchor. [mm^2]
    reference_area
        :math:`A^0_{c,N}`. [mm^2]
    edge_influence
        :math:`\psi_{s,N}`. [-]
    spalling_factor
        :math:`\psi_{re,N}`. [-]
    eccentricity_influence
        :math:`\psi_{ec,N}`. [-]
    compression_influence
        :math:`\psi_{M,N}`. [-]

    Returns
    -------
    Column
        :math:`N_{Rk,c}`. [kN]

    Examples
    --------
    By hand: 125.865 x 0.75 x 0.85 = 80.24 kN.

    >>> one = np.array([1.0])
    >>> cone_resistance(
    ...     basic_resistance=np.array([125.865]),
    ...     projected_area=np.array([270000.0]),
    ...     reference_area=np.array([360000.0]),
    ...     edge_influence=np.array([0.85]),
    ...     spalling_factor=one,
    ...     eccentricity_influence=one,
    ...     compression_influence=one,
    ... ).round(2)
    array([80.24])
    """
    return (
        basic_resistance
        * (projected_area / reference_area)
        * edge_influence
        * spalling_factor
        * eccentricity_influence
        * compression_influence
    )
