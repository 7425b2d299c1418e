"""Forces of a brace with pinned ends that holds a strongback."""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.sources import Known, Source

TRUSS = Source("Equilibrium of a pin", "brace as a bar with pinned ends", Known.MECHANICS)
SUPPORT = Quantity("m")


@clause(
    TRUSS,
    brace_reaction_force=Quantity("kN"),
    brace_height=SUPPORT,
    brace_foot_height=SUPPORT,
    brace_reach=Quantity("m", above=0.0),
    gives=Quantity("kN"),
)
def brace_force(
    *, brace_reaction_force: Column, brace_height: Column, brace_foot_height: Column, brace_reach: Column
) -> Column:
    r"""Axial force of the brace, :math:`N = B \sqrt{1 + ((s_b - s_f) / e)^2}`.

    Parameters
    ----------
    brace_reaction_force
        Horizontal reaction at the upper support, :math:`B`. [kN]
    brace_height
        Upper end of the brace above the joint, :math:`s_b`. [m]
    brace_foot_height
        Lower end of the brace above the joint, :math:`s_f`. [m]
    brace_reach
        Horizontal distance between its ends, :math:`e`. [m]

    Returns
    -------
    Column
        Force along the brace, compression positive. [kN]

    Examples
    --------
    30 kN on a brace that falls 2.0 m over 1.5 m. By hand: its length is 2.5 m; 30 x 2.5 / 1.5 = 50 kN.

    >>> brace_force(brace_reaction_force=np.array([30.0]), brace_height=np.array([2.0]),
    ...     brace_foot_height=np.array([0.0]), brace_reach=np.array([1.5])).round(9)
    array([50.])
    """
    return brace_reaction_force * np.sqrt(1.0 + ((brace_height - brace_foot_height) / brace_reach) ** 2)


@clause(
    TRUSS,
    brace_reaction_force=Quantity("kN"),
    brace_height=SUPPORT,
    brace_foot_height=SUPPORT,
    brace_reach=Quantity("m", above=0.0),
    gives=Quantity("kN"),
)
def hinge_pull(
    *, brace_reaction_force: Column, brace_height: Column, brace_foot_height: Column, brace_reach: Column
) -> Column:
    r"""Vertical force with which the brace lifts the strongback off its hinge, :math:`B (s_b - s_f) / e`.

    Parameters
    ----------
    brace_reaction_force
        Horizontal reaction at the upper support, :math:`B`. [kN]
    brace_height
        Upper end of the brace above the joint, :math:`s_b`. [m]
    brace_foot_height
        Lower end of the brace above the joint, :math:`s_f`. [m]
    brace_reach
        Horizontal distance between its ends, :math:`e`. [m]

    Returns
    -------
    Column
        Force, upward positive; the weight of panel and strongback is not taken off. [kN]

    Examples
    --------
    30 kN on a brace that falls 2.0 m over 1.5 m. By hand: 30 x 2.0 / 1.5 = 40 kN.

    >>> hinge_pull(brace_reaction_force=np.array([30.0]), brace_height=np.array([2.0]),
    ...     brace_foot_height=np.array([0.0]), brace_reach=np.array([1.5]))
    array([40.])
    """
    return brace_reaction_force * (brace_height - brace_foot_height) / brace_reach
