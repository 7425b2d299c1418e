"""Scheduling of bent reinforcement: BS 8666, editions of 2005 and 2020. Lengths in mm."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

import numpy as np

from sheetengine.clauses.record import Column, Flags, Quantity, clause
from sheetengine.clauses.rows import Labels, factors, known
from sheetengine.sources import Known, Source

DOCUMENT = "BS 8666"
EDITIONS = ("BS 8666:2005", "BS 8666:2020")
DIMENSIONS = "ABCDEF"
HELIX = "77"
SKETCH = "99"
"""Every other shape: the length belongs on the sketch, there is no expression for it."""

_SOURCES = {
    "BS 8666:2005": Source("BS 8666:2005", "Table 3"),
    "BS 8666:2020": Source("BS 8666:2020", "Table 5"),
}
_RULES: Mapping[str, float] = factors("bs8666")["scheduling"]
_BAR = Quantity("mm", at_least=6.0, at_most=50.0)
_LENGTH = Quantity("mm", above=0.0)


def length_source(edition: str) -> Source:
    """Return where the length expressions of an edition stand.

    >>> str(length_source("BS 8666:2020"))
    'BS 8666:2020, Table 5'
    """
    return _SOURCES[edition]


@cache
def _expressions(edition: str) -> dict[str, dict[str, float | list[float]]]:
    """Return the sums of an edition by shape code."""
    lengths = factors("bs8666")["length"]
    found = dict(lengths["2005"])
    if edition == "BS 8666:2020":
        found.update(lengths["2020"])
    elif edition != "BS 8666:2005":
        raise ValueError(f"edition {edition!r} is none of {', '.join(EDITIONS)}")
    return found


def shape_codes(edition: str) -> tuple[str, ...]:
    """Return the codes of an edition that have a length expression.

    >>> "48" in shape_codes("BS 8666:2020"), "48" in shape_codes("BS 8666:2005")
    (True, False)
    """
    return tuple(sorted([*_expressions(edition), HELIX]))


def dimensions_needed(edition: str, shape_code: str) -> tuple[str, ...]:
    """Return the bending dimensions that the length of a shape needs.

    >>> dimensions_needed("BS 8666:2020", "25")
    ('A', 'B', 'E')
    """
    if shape_code == HELIX:
        return ("A", "B", "C")
    return tuple(letter for letter in DIMENSIONS if letter in _expressions(edition).get(shape_code, {}))


def length_expression(edition: str, shape_code: str) -> str:
    """Return the length expression of a shape in words of the schedule, for the trace.

    >>> length_expression("BS 8666:2005", "11"), length_expression("BS 8666:2005", "51")
    ('A + B - 0.5 r - d', '2 A + 2 B + max(16 d, 160)')
    """
    if shape_code == HELIX:
        return "C sqrt((pi (A - d))^2 + B^2), without B^2 where B <= A/5"
    parts = []
    for name, multiple in _expressions(edition).get(shape_code, {}).items():
        if isinstance(multiple, list):
            parts.append(f"+ max({multiple[0]:g} d, {multiple[1]:g})")
            continue
        sign = "-" if multiple < 0 else "+"
        size = "" if abs(multiple) == 1.0 else f"{abs(multiple):g} "
        parts.append(f"{sign} {abs(multiple):g}" if name == "constant" else f"{sign} {size}{name}")
    return " ".join(parts).removeprefix("+ ")


def cutting_length(
    *,
    edition: str,
    shape_code: Labels,
    bar_diameter: Column,
    bend_radius: Column,
    dimension_a: Column,
    dimension_b: Column,
    dimension_c: Column,
    dimension_d: Column,
    dimension_e: Column,
    dimension_f: Column,
) -> Column:
    """Return the length to cut, by shape code (BS 8666:2005 Table 3, BS 8666:2020 Table 5).

    Parameters
    ----------
    edition
        One of ``EDITIONS``. The two differ in codes 14, 29, 47, 48, 51, 52, 56, 63 and 75.
    shape_code
        Two digits. ``99`` and codes without an expression give ``nan``.
    bar_diameter
        d. [mm]
    bend_radius
        Radius of the bends, r. [mm]
    dimension_a, dimension_b, dimension_c, dimension_d, dimension_e, dimension_f
        Bending dimensions A to F; for code 77 C is the number of turns. Those that the shape does
        not use may be ``nan``. [mm]

    Returns
    -------
    Column
        Length before rounding. [mm]

    Raises
    ------
    ValueError
        The edition is not known.

    Examples
    --------
    By hand: 800 + 600 - 0.5 x 24 - 12 = 1376.

    >>> none = np.array([np.nan])
    >>> cutting_length(
    ...     edition="BS 8666:2005",
    ...     shape_code=np.array(["11"]),
    ...     bar_diameter=np.array([12.0]),
    ...     bend_radius=np.array([24.0]),
    ...     dimension_a=np.array([800.0]),
    ...     dimension_b=np.array([600.0]),
    ...     dimension_c=none,
    ...     dimension_d=none,
    ...     dimension_e=none,
    ...     dimension_f=none,
    ... )
    array([1376.])
    """
    codes = np.asarray(shape_code)
    values: dict[str, Column] = {
        "A": dimension_a,
        "B": dimension_b,
        "C": dimension_c,
        "D": dimension_d,
        "E": dimension_e,
        "F": dimension_f,
        "r": bend_radius,
        "d": bar_diameter,
        "q": hook_size(bar_diameter=bar_diameter, bend_radius=bend_radius),
        "constant": np.ones_like(bar_diameter),
    }
    length: Column = np.full(codes.shape, np.nan)
    for code, expression in _expressions(edition).items():
        rows = codes == code
        if rows.any():
            length = np.where(rows, _sum(expression, values), length)
    return np.where(codes == HELIX, _helix(values), length)


def _sum(expression: Mapping[str, float | list[float]], values: Mapping[str, Column]) -> Column:
    """Return the sum that a length expression stands for."""
    total: Column = np.zeros_like(values["d"])
    for name, multiple in expression.items():
        if isinstance(multiple, list):
            total = total + np.maximum(multiple[0] * values["d"], multiple[1])
        else:
            total = total + multiple * values[name]
    return total


def _helix(values: Mapping[str, Column]) -> Column:
    """Return the length of C turns of outside diameter A and pitch B."""
    turn = np.pi * (values["A"] - values["d"])
    flat = values["B"] <= values["A"] / 5.0
    return values["C"] * np.where(flat, turn, np.hypot(turn, values["B"]))


@clause(Source(DOCUMENT, "Table 2, minimum scheduling radius"), bar_diameter=_BAR, gives=Quantity("mm"))
def minimum_scheduling_radius(*, bar_diameter: Column) -> Column:
    r"""Least radius of a bend on the schedule.

    .. math:: r = 2 d \;(d \le 16),\qquad 3.5 d \;(d \ge 20)

    Parameters
    ----------
    bar_diameter
        :math:`d`. [mm]

    Returns
    -------
    Column
        :math:`r`; the table prints 87 for 25 mm, where the rule gives 87.5. [mm]

    Examples
    --------
    By hand: 2 x 16 = 32; 3.5 x 20 = 70.

    >>> minimum_scheduling_radius(bar_diameter=np.array([16.0, 20.0, np.nan]))
    array([32., 70., nan])
    """
    small = bar_diameter <= _RULES["small_to"]
    return bar_diameter * np.where(small, _RULES["radius_small"], _RULES["radius_large"])


@clause(
    Source(DOCUMENT, "Table 2, end projection, bends from 150 degrees"),
    bar_diameter=_BAR,
    bend_radius=_LENGTH,
    gives=Quantity("mm"),
)
def end_projection(*, bar_diameter: Column, bend_radius: Column) -> Column:
    r"""Least end projection of a bar, before rounding to 5 mm.

    .. math:: P = \max(5 d,\; 90) + d + r

    Parameters
    ----------
    bar_diameter
        :math:`d`. [mm]
    bend_radius
        :math:`r`. [mm]

    Returns
    -------
    Column
        :math:`P`. [mm]

    Examples
    --------
    By hand: 100 + 20 + 70 = 190.

    >>> end_projection(bar_diameter=np.array([20.0]), bend_radius=np.array([70.0]))
    array([190.])
    """
    straight = np.maximum(_RULES["end_straight_diameters"] * bar_diameter, _RULES["end_straight_least"])
    return straight + bar_diameter + bend_radius


@clause(
    Source(DOCUMENT, "Table 2, end projection of links, bends below 150 degrees"),
    bar_diameter=_BAR,
    bend_radius=_LENGTH,
    gives=Quantity("mm"),
)
def link_end_projection(*, bar_diameter: Column, bend_radius: Column) -> Column:
    r"""Least end projection of a link, before rounding to 5 mm.

    .. math:: P = \max(10 d,\; 90) + d + r

    Parameters
    ----------
    bar_diameter
        :math:`d`. [mm]
    bend_radius
        :math:`r`. [mm]

    Returns
    -------
    Column
        :math:`P`. [mm]

    Examples
    --------
    By hand: 120 + 12 + 24 = 156.

    >>> link_end_projection(bar_diameter=np.array([12.0]), bend_radius=np.array([24.0]))
    array([156.])
    """
    straight = np.maximum(_RULES["link_straight_diameters"] * bar_diameter, _RULES["end_straight_least"])
    return straight + bar_diameter + bend_radius


@clause(
    Source(DOCUMENT, "hook size q"),
    bar_diameter=_BAR,
    bend_radius=_LENGTH,
    gives=Quantity("mm"),
)
def hook_size(*, bar_diameter: Column, bend_radius: Column) -> Column:
    r"""Overall width of a half-circle hook, rounded up to 5 mm.

    .. math:: q = 5 \left\lceil (3 d + 2 r)/5 \right\rceil

    Parameters
    ----------
    bar_diameter
        :math:`d`. [mm]
    bend_radius
        :math:`r`. [mm]

    Returns
    -------
    Column
        :math:`q`. [mm]

    Examples
    --------
    By hand: 36 + 48 = 84, up to 85.

    >>> hook_size(bar_diameter=np.array([12.0]), bend_radius=np.array([24.0]))
    array([85.])
    """
    return _round_up(3.0 * bar_diameter + 2.0 * bend_radius, _RULES["hook_step"])


@clause(
    Source(DOCUMENT, "least overall dimension between two bends", Known.MEMORY),
    bar_diameter=_BAR,
    bend_radius=_LENGTH,
    gives=Quantity("mm"),
)
def least_between_bends(*, bar_diameter: Column, bend_radius: Column) -> Column:
    r"""Least overall dimension between two bends: a straight of four diameters between them.

    .. math:: 2 r + 2 d + 4 d

    Parameters
    ----------
    bar_diameter
        :math:`d`. [mm]
    bend_radius
        :math:`r`. [mm]

    Returns
    -------
    Column
        Least overall dimension. [mm]

    Examples
    --------
    By hand: 64 + 32 + 64 = 160.

    >>> least_between_bends(bar_diameter=np.array([16.0]), bend_radius=np.array([32.0]))
    array([160.])
    """
    return 2.0 * bend_radius + (2.0 + _RULES["between_bends_straight"]) * bar_diameter


@clause(
    Source(DOCUMENT, "length on the schedule, rounded up"),
    cut_length=Quantity("mm", above=0.0),
    gives=Quantity("mm"),
)
def scheduled_length(*, cut_length: Column) -> Column:
    r"""Length on the schedule: rounded up to 25 mm.

    .. math:: 25 \left\lceil L/25 \right\rceil

    Parameters
    ----------
    cut_length
        Length from the expression of the shape, :math:`L`. [mm]

    Returns
    -------
    Column
        Length on the schedule. [mm]

    Examples
    --------
    By hand: 1376 up to 1400; 1800 stays.

    >>> scheduled_length(cut_length=np.array([1376.0, 1800.0]))
    array([1400., 1800.])
    """
    return _round_up(cut_length, _RULES["length_step"])


def _round_up(values: Column, step: float) -> Column:
    """Round up to a multiple of ``step``; a millionth above a multiple is taken for that multiple."""
    return known(np.ceil(np.round(values / step, 8)) * step, values)


def radius_too_small(*, bar_diameter: Column, bend_radius: Column) -> Flags:
    """Return where a bend is tighter than the least scheduling radius, to half a millimetre.

    Parameters
    ----------
    bar_diameter
        d. [mm]
    bend_radius
        r. [mm]

    Returns
    -------
    Flags
        Whether the radius is too small; ``False`` where an input is missing.

    Examples
    --------
    >>> radius_too_small(bar_diameter=np.array([25.0, 25.0]), bend_radius=np.array([87.0, 50.0]))
    array([False,  True])
    """
    least = minimum_scheduling_radius(bar_diameter=bar_diameter)
    return np.asarray(bend_radius < least - 0.5)
