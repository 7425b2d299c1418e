"""Development of straight ribbed bars in tension: ACI 318-19 and 318M-19, 25.4.2."""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.sources import Known, Source

DOCUMENT = "ACI 318-19 and 318M-19"

_NUMBER = Quantity("-", above=0.0)


@clause(
    Source(DOCUMENT, "Table 25.4.2.3, with 25.4.2.1", Known.MEMORY),
    bar_yield_strength=Quantity("MPa", above=0.0),
    development_factor=_NUMBER,
    cylinder_strength=Quantity("MPa", above=0.0),
    bar_diameter=Quantity("mm", above=0.0),
    least_development=Quantity("mm", at_least=0.0),
    gives=Quantity("mm"),
)
def development_length(
    *,
    bar_yield_strength: Column,
    development_factor: Column,
    cylinder_strength: Column,
    bar_diameter: Column,
    least_development: Column,
) -> Column:
    r"""Development length of an uncoated straight bar in normal-weight concrete, not cast near the top.

    .. math:: l_d = \frac{f_y}{k \sqrt{f'_c}} d_b \ge l_{d,min}

    Parameters
    ----------
    bar_yield_strength
        :math:`f_y`; psi with the inch-pound factor. [MPa]
    development_factor
        :math:`k` of the table's column and the edition: by bar size, cover and spacing. [-]
    cylinder_strength
        :math:`f'_c` at the age of loading; psi with the inch-pound factor. [MPa]
    bar_diameter
        :math:`d_b`; in with the inch-pound factor. [mm]
    least_development
        :math:`l_{d,min}`, 300 mm or 12 in. [mm]

    Returns
    -------
    Column
        :math:`l_d`, in the unit of the diameter. [mm]

    Examples
    --------
    A No. 6 bar of 60 000 psi in 4000 psi, clear spacing and cover as the table asks. By hand:
    60000 x 0.75 / (25 x 63.246) = 28.5 in.

    >>> development_length(
    ...     bar_yield_strength=np.array([60000.0]),
    ...     development_factor=np.array([25.0]),
    ...     cylinder_strength=np.array([4000.0]),
    ...     bar_diameter=np.array([0.75]),
    ...     least_development=np.array([12.0]),
    ... ).round(1)
    array([28.5])
    """
    by_bond = bar_yield_strength / (development_factor * np.sqrt(cylinder_strength)) * bar_diameter
    return np.maximum(by_bond, least_development)
