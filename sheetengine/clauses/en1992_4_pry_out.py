"""Pry-out of cast-in headed anchors under shear: EN 1992-4:2018, 7.2.2.4. Lengths in mm, forces in kN."""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.sources import Source

DOCUMENT = "EN 1992-4:2018"

_LENGTH = Quantity("mm", above=0.0)
_FORCE = Quantity("kN", at_least=0.0)


@clause(
    Source(DOCUMENT, "7.2.2.4, factor k8; the step at 60 mm after ETAG 001 Annex C"),
    embedment_depth=_LENGTH,
    gives=Quantity("-"),
)
def pry_out_factor(*, embedment_depth: Column) -> Column:
    r"""Pry-out factor where the product specification gives none.

    .. math:: k_8 = 1 \;(h_{ef} < 60),\qquad 2 \;(h_{ef} \ge 60)

    Parameters
    ----------
    embedment_depth
        :math:`h_{ef}`. [mm]

    Returns
    -------
    Column
        :math:`k_8`. [-]

    Examples
    --------
    >>> pry_out_factor(embedment_depth=np.array([50.0, 60.0, np.nan]))
    array([ 1.,  2., nan])
    """
    factor = np.where(embedment_depth < 60.0, 1.0, 2.0)
    return np.where(np.isnan(embedment_depth), np.nan, factor)


@clause(
    Source(DOCUMENT, "7.2.2.4 Eq. (7.39)"),
    pry_out_multiple=Quantity("-", at_least=1.0, at_most=2.0),
    tension_breakout=_FORCE,
    gives=Quantity("kN"),
)
def pry_out_resistance(*, pry_out_multiple: Column, tension_breakout: Column) -> Column:
    r"""Characteristic pry-out resistance.

    .. math:: V_{Rk,cp} = k_8 N_{Rk,c}

    Parameters
    ----------
    pry_out_multiple
        :math:`k_8`. [-]
    tension_breakout
        Cone resistance of the anchor that takes the shear, :math:`N_{Rk,c}`. [kN]

    Returns
    -------
    Column
        :math:`V_{Rk,cp}`. [kN]

    Examples
    --------
    By hand: 2 x 80.24 = 160.48 kN.

    >>> pry_out_resistance(
    ...     pry_out_multiple=np.array([2.0]), tension_breakout=np.array([80.24])
    ... )
    array([160.48])
    """
    return pry_out_multiple * tension_breakout
