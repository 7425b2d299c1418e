"""Statics of a strongback on hinge and brace: two supports, free ends, fresh concrete and wind.

The strongback is a straight beam from the joint to the top of the panel. Fresh concrete presses on it
as a fluid from its surface down to the depth at which the design maximum is met, and with that maximum
below; wind acts on the whole height. Every result is the exact integral of that load, for any level of
the concrete, on a metre of face. Heights count from the joint; pressure, wind, reactions and
deflections are positive where they act away from the concrete, reactions where they hold against that.
"""

from __future__ import annotations

from math import factorial

import numpy as np

from sheetengine.clauses.record import Column, Quantity, clause
from sheetengine.sources import Known, Source

REACTIONS = Source(
    "Equilibrium of a rigid body in its plane", "moments about hinge and brace", Known.MECHANICS
)
SECTION = Source("Equilibrium of a cut beam", "forces and moments below the section", Known.MECHANICS)
BENDING = Source(
    "Theory of slender beams", "EI u'''' = q, integrated with u = 0 at both supports", Known.MECHANICS
)

PRESSURE = Quantity("kPa", at_least=0.0)
DENSITY = Quantity("kN/m3", above=0.0)
HEIGHT = Quantity("m", at_least=0.0)
WIND = Quantity("kPa")
SUPPORT = Quantity("m")


def load_integral(
    order: int,
    *,
    maximum_pressure: Column,
    weight_density: Column,
    concrete_level: Column,
    wind_pressure: Column,
    height: Column,
) -> Column:
    """Return the load integrated ``order`` times over the height, from the joint up to ``height``.

    The pressure is a constant, less a ramp from the depth of the design maximum on, plus a ramp from
    the surface on, so that each integral is a power of the height above the place where a part begins.
    """
    pressure = np.minimum(maximum_pressure, weight_density * concrete_level)
    ramp_from = concrete_level - pressure / weight_density
    above, whole = np.maximum(height, 0.0), float(factorial(order))
    ramp = _power(np.maximum(above - ramp_from, 0.0), order + 1)
    beyond = _power(np.maximum(above - concrete_level, 0.0), order + 1)
    even = (pressure + wind_pressure) * _power(above, order)
    return np.asarray((even - weight_density * (ramp - beyond) / (order + 1.0)) / whole)


def _power(base: Column, exponent: int) -> Column:
    """Return a whole power by multiplication, which is far quicker on columns."""
    result = base
    for _ in range(exponent - 1):
        result = result * base
    return result


@clause(
    REACTIONS,
    maximum_pressure=PRESSURE,
    weight_density=DENSITY,
    concrete_level=HEIGHT,
    wind_pressure=WIND,
    hinge_height=SUPPORT,
    brace_height=SUPPORT,
    panel_height=HEIGHT,
    gives=Quantity("kN/m"),
)
def brace_reaction(
    *,
    maximum_pressure: Column,
    weight_density: Column,
    concrete_level: Column,
    wind_pressure: Column,
    hinge_height: Column,
    brace_height: Column,
    panel_height: Column,
) -> Column:
    r"""Horizontal reaction at the upper support, the brace, on a metre of face.

    .. math::

        B = \frac{1}{s_b - s_h} \int_0^L q(y)\, (y - s_h)\, dy

    Parameters
    ----------
    maximum_pressure
        Design maximum of the pressure, :math:`p_{max}`. [kPa]
    weight_density
        Weight density of the fresh concrete, :math:`\gamma`. [kN/m3]
    concrete_level
        Surface of the concrete above the joint, :math:`\ell`. [m]
    wind_pressure
        Wind on the whole panel, positive away from the concrete, :math:`w`. [kPa]
    hinge_height
        Lower support above the joint, :math:`s_h`. [m]
    brace_height
        Upper support above the joint, :math:`s_b`. [m]
    panel_height
        Top of the panel above the joint, :math:`L`. [m]

    Returns
    -------
    Column
        Reaction, :math:`B`; negative where the brace is pulled. [kN/m]

    Examples
    --------
    Fluid of 25 kN/m3 to 3 m on supports at 0 and 3 m: 112.5 kN/m act at 1 m. By hand: 112.5 x 1/3 = 37.5.

    >>> one = np.ones(1)
    >>> brace_reaction(maximum_pressure=75.0 * one, weight_density=25.0 * one, concrete_level=3.0 * one,
    ...     wind_pressure=0.0 * one, hinge_height=0.0 * one, brace_height=3.0 * one, panel_height=3.0 * one)
    array([37.5])
    """
    load = {
        "maximum_pressure": maximum_pressure, "weight_density": weight_density, "concrete_level": concrete_level,
        "wind_pressure": wind_pressure, "height": panel_height,
    }  # fmt: skip
    about_hinge = (panel_height - hinge_height) * load_integral(1, **load) - load_integral(2, **load)
    return about_hinge / (brace_height - hinge_height)


@clause(
    REACTIONS,
    maximum_pressure=PRESSURE,
    weight_density=DENSITY,
    concrete_level=HEIGHT,
    wind_pressure=WIND,
    hinge_height=SUPPORT,
    brace_height=SUPPORT,
    panel_height=HEIGHT,
    gives=Quantity("kN/m"),
)
def hinge_reaction(
    *,
    maximum_pressure: Column,
    weight_density: Column,
    concrete_level: Column,
    wind_pressure: Column,
    hinge_height: Column,
    brace_height: Column,
    panel_height: Column,
) -> Column:
    r"""Horizontal reaction at the lower support, the hinge, on a metre of face.

    .. math::

        A = \frac{1}{s_b - s_h} \int_0^L q(y)\, (s_b - y)\, dy

    Parameters
    ----------
    maximum_pressure
        Design maximum of the pressure, :math:`p_{max}`. [kPa]
    weight_density
        Weight density of the fresh concrete, :math:`\gamma`. [kN/m3]
    concrete_level
        Surface of the concrete above the joint, :math:`\ell`. [m]
    wind_pressure
        Wind on the whole panel, positive away from the concrete, :math:`w`. [kPa]
    hinge_height
        Lower support above the joint, :math:`s_h`. [m]
    brace_height
        Upper support above the joint, :math:`s_b`. [m]
    panel_height
        Top of the panel above the joint, :math:`L`. [m]

    Returns
    -------
    Column
        Reaction, :math:`A`; negative where the strongback presses towards the concrete there. [kN/m]

    Examples
    --------
    Fluid of 25 kN/m3 to 3 m on supports at 0 and 3 m. By hand: 112.5 x 2/3 = 75.

    >>> one = np.ones(1)
    >>> hinge_reaction(maximum_pressure=75.0 * one, weight_density=25.0 * one, concrete_level=3.0 * one,
    ...     wind_pressure=0.0 * one, hinge_height=0.0 * one, brace_height=3.0 * one, panel_height=3.0 * one)
    array([75.])
    """
    load = {
        "maximum_pressure": maximum_pressure, "weight_density": weight_density, "concrete_level": concrete_level,
        "wind_pressure": wind_pressure, "height": panel_height,
    }  # fmt: skip
    about_brace = (brace_height - panel_height) * load_integral(1, **load) + load_integral(2, **load)
    return about_brace / (brace_height - hinge_height)


@clause(
    SECTION,
    maximum_pressure=PRESSURE,
    weight_density=DENSITY,
    concrete_level=HEIGHT,
    wind_pressure=WIND,
    hinge_height=SUPPORT,
    brace_height=SUPPORT,
    panel_height=HEIGHT,
    height=SUPPORT,
    gives=Quantity("kN/m"),
)
def shear(
    *,
    maximum_pressure: Column,
    weight_density: Column,
    concrete_level: Column,
    wind_pressure: Column,
    hinge_height: Column,
    brace_height: Column,
    panel_height: Column,
    height: Column,
) -> Column:
    r"""Shear force at a height; at a support, just above it.

    .. math::

        V(y) = A\,[y \ge s_h] + B\,[y \ge s_b] - \int_0^y q(\eta)\, d\eta

    Parameters
    ----------
    maximum_pressure
        Design maximum of the pressure, :math:`p_{max}`. [kPa]
    weight_density
        Weight density of the fresh concrete, :math:`\gamma`. [kN/m3]
    concrete_level
        Surface of the concrete above the joint, :math:`\ell`. [m]
    wind_pressure
        Wind on the whole panel, positive away from the concrete, :math:`w`. [kPa]
    hinge_height
        Lower support above the joint, :math:`s_h`. [m]
    brace_height
        Upper support above the joint, :math:`s_b`. [m]
    panel_height
        Top of the panel above the joint, :math:`L`. [m]
    height
        Height of the section, :math:`y`. [m]

    Returns
    -------
    Column
        Shear force, :math:`V`, the slope of the moment. [kN/m]

    Examples
    --------
    Fluid of 25 kN/m3 to 3 m on supports at 0 and 3 m; at mid height. By hand: 75 - (75 + 37.5) / 2 x 1.5
    = -9.375.

    >>> one = np.ones(1)
    >>> shear(maximum_pressure=75.0 * one, weight_density=25.0 * one, concrete_level=3.0 * one,
    ...     wind_pressure=0.0 * one, hinge_height=0.0 * one, brace_height=3.0 * one, panel_height=3.0 * one,
    ...     height=1.5 * one)
    array([-9.375])
    """
    load = {
        "maximum_pressure": maximum_pressure, "weight_density": weight_density, "concrete_level": concrete_level,
        "wind_pressure": wind_pressure,
    }  # fmt: skip
    beam = {"hinge_height": hinge_height, "brace_height": brace_height, "panel_height": panel_height}
    A, B = hinge_reaction(**load, **beam), brace_reaction(**load, **beam)
    held = A * (height >= hinge_height) + B * (height >= brace_height)
    return held - load_integral(1, height=height, **load)


@clause(
    SECTION,
    maximum_pressure=PRESSURE,
    weight_density=DENSITY,
    concrete_level=HEIGHT,
    wind_pressure=WIND,
    hinge_height=SUPPORT,
    brace_height=SUPPORT,
    panel_height=HEIGHT,
    height=SUPPORT,
    gives=Quantity("kN*m/m"),
)
def moment(
    *,
    maximum_pressure: Column,
    weight_density: Column,
    concrete_level: Column,
    wind_pressure: Column,
    hinge_height: Column,
    brace_height: Column,
    panel_height: Column,
    height: Column,
) -> Column:
    r"""Bending moment at a height, positive where the strongback bows away from the concrete.

    .. math::

        M(y) = A \langle y - s_h \rangle + B \langle y - s_b \rangle - \int_0^y q(\eta)\, (y - \eta)\, d\eta

    Parameters
    ----------
    maximum_pressure
        Design maximum of the pressure, :math:`p_{max}`. [kPa]
    weight_density
        Weight density of the fresh concrete, :math:`\gamma`. [kN/m3]
    concrete_level
        Surface of the concrete above the joint, :math:`\ell`. [m]
    wind_pressure
        Wind on the whole panel, positive away from the concrete, :math:`w`. [kPa]
    hinge_height
        Lower support above the joint, :math:`s_h`. [m]
    brace_height
        Upper support above the joint, :math:`s_b`. [m]
    panel_height
        Top of the panel above the joint, :math:`L`. [m]
    height
        Height of the section, :math:`y`. [m]

    Returns
    -------
    Column
        Bending moment, :math:`M`. [kN*m/m]

    Examples
    --------
    Fluid of 25 kN/m3 to 3 m on supports at 0 and 3 m; at mid height. By hand: 75 x 1.5
    - 37.5 x 1.5 x 0.75 - 37.5 x 1.5 / 2 x 1.0 = 42.1875.

    >>> one = np.ones(1)
    >>> moment(maximum_pressure=75.0 * one, weight_density=25.0 * one, concrete_level=3.0 * one,
    ...     wind_pressure=0.0 * one, hinge_height=0.0 * one, brace_height=3.0 * one, panel_height=3.0 * one,
    ...     height=1.5 * one)
    array([42.1875])
    """
    load = {
        "maximum_pressure": maximum_pressure, "weight_density": weight_density, "concrete_level": concrete_level,
        "wind_pressure": wind_pressure,
    }  # fmt: skip
    beam = {"hinge_height": hinge_height, "brace_height": brace_height, "panel_height": panel_height}
    A, B = hinge_reaction(**load, **beam), brace_reaction(**load, **beam)
    held = A * np.maximum(height - hinge_height, 0.0) + B * np.maximum(height - brace_height, 0.0)
    return held - load_integral(2, height=height, **load)


@clause(
    BENDING,
    maximum_pressure=PRESSURE,
    weight_density=DENSITY,
    concrete_level=HEIGHT,
    wind_pressure=WIND,
    hinge_height=SUPPORT,
    brace_height=SUPPORT,
    panel_height=HEIGHT,
    bending_stiffness=Quantity("kN*m2/m", above=0.0),
    height=SUPPORT,
    gives=Quantity("m"),
)
def deflection(
    *,
    maximum_pressure: Column,
    weight_density: Column,
    concrete_level: Column,
    wind_pressure: Column,
    hinge_height: Column,
    brace_height: Column,
    panel_height: Column,
    bending_stiffness: Column,
    height: Column,
) -> Column:
    r"""Deflection at a height, positive away from the concrete.

    .. math::

        EI\,u(y) = Q_4(y) - \tfrac{A}{6} \langle y - s_h \rangle^3 - \tfrac{B}{6} \langle y - s_b \rangle^3
                   + C_1 y + C_0, \qquad u(s_h) = u(s_b) = 0

    with :math:`Q_4` the load integrated four times.

    Parameters
    ----------
    maximum_pressure
        Design maximum of the pressure, :math:`p_{max}`. [kPa]
    weight_density
        Weight density of the fresh concrete, :math:`\gamma`. [kN/m3]
    concrete_level
        Surface of the concrete above the joint, :math:`\ell`. [m]
    wind_pressure
        Wind on the whole panel, positive away from the concrete, :math:`w`. [kPa]
    hinge_height
        Lower support above the joint, :math:`s_h`. [m]
    brace_height
        Upper support above the joint, :math:`s_b`. [m]
    panel_height
        Top of the panel above the joint, :math:`L`. [m]
    bending_stiffness
        Stiffness of the strongbacks on a metre of face, :math:`EI`. [kN*m2/m]
    height
        Height of the section, :math:`y`. [m]

    Returns
    -------
    Column
        Deflection, :math:`u`. [m]

    Notes
    -----
    Bending alone: the strain of shear, and the give of hinge, brace and bracket frame, are left out.

    Examples
    --------
    Wind of 2 kPa alone on supports at 0 and 3 m, EI = 1000 kNm2/m; at mid height. By hand:
    5/384 x 2 x 3^4 / 1000 = 0.002109 m.

    >>> one = np.ones(1)
    >>> deflection(maximum_pressure=0.0 * one, weight_density=25.0 * one, concrete_level=0.0 * one,
    ...     wind_pressure=2.0 * one, hinge_height=0.0 * one, brace_height=3.0 * one, panel_height=3.0 * one,
    ...     bending_stiffness=1000.0 * one, height=1.5 * one).round(6)
    array([0.002109])
    """
    load = {
        "maximum_pressure": maximum_pressure, "weight_density": weight_density, "concrete_level": concrete_level,
        "wind_pressure": wind_pressure,
    }  # fmt: skip
    beam = {"hinge_height": hinge_height, "brace_height": brace_height, "panel_height": panel_height}
    A, B = hinge_reaction(**load, **beam), brace_reaction(**load, **beam)
    s_h, s_b = hinge_height, brace_height
    at_hinge, at_brace = load_integral(4, height=s_h, **load), load_integral(4, height=s_b, **load)
    slope = -(at_brace - at_hinge - A * _power(s_b - s_h, 3) / 6.0) / (s_b - s_h)
    bent = (
        load_integral(4, height=height, **load)
        - A * _power(np.maximum(height - s_h, 0.0), 3) / 6.0
        - B * _power(np.maximum(height - s_b, 0.0), 3) / 6.0
    )
    return np.asarray((bent - at_hinge + slope * (height - s_h)) / bending_stiffness)
