"""The one pint registry: units in headings, to the engine's base set and back."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

import numpy as np
import pint
from numpy.typing import NDArray

Column = NDArray[np.float64]

STANDARD_GRAVITY = 9.80665
"""Standard acceleration of gravity, m/s2 (ISO 80000-3)."""

_registry: pint.UnitRegistry[float] = pint.UnitRegistry(cache_folder=None)
for _line in (
    "pound_force_per_square_foot = force_pound / foot ** 2 = psf",
    "pound_per_cubic_foot = pound / foot ** 3 = pcf",
    "pound_force_per_foot = force_pound / foot = plf",
    "kip_per_foot = kip / foot = klf",
    "kip_per_square_foot = kip / foot ** 2 = ksf",
):
    _registry.define(_line)


class UnitFault(ValueError):
    """A unit that is unknown or of another dimension; the message is ready for the user."""


@dataclass(frozen=True, slots=True)
class Measure:
    """What a column measures: the engine's unit, and units to suggest to the user.

    ``difference`` marks a temperature difference, so that ``[degF]`` means an interval.
    ``density`` marks a weight density that also takes a mass density, by standard gravity.
    """

    name: str
    base: str
    metric: str
    us: str
    difference: bool = False
    density: bool = False


MEASURES = {
    m.name: m
    for m in (
        Measure("number", "", "", ""),
        Measure("length", "m", "m", "ft"),
        Measure("short length", "mm", "mm", "in"),
        Measure("area", "m2", "m2", "ft2"),
        Measure("small area", "mm2", "mm2", "in2"),
        Measure("mass", "kg", "kg", "lb"),
        Measure("force", "kN", "kN", "kip"),
        Measure("pressure", "kPa", "kPa", "psf"),
        Measure("strength", "MPa", "MPa", "psi"),
        Measure("steel strength", "MPa", "MPa", "ksi"),
        Measure("weight density", "kN/m3", "kN/m3", "lb/ft3", density=True),
        Measure("mass concentration", "kg/m3", "kg/m3", "lb/yd3"),
        Measure("rate of rise", "m/h", "m/h", "ft/h"),
        Measure("placing rate", "m3/h", "m3/h", "yd3/h"),
        Measure("temperature", "degC", "degC", "degF"),
        Measure("temperature difference", "K", "K", "degF", difference=True),
        Measure("activation temperature", "K", "K", "K", difference=True),
        Measure("time", "h", "h", "h"),
        Measure("age", "h", "d", "d"),
        Measure("rate", "1/h", "1/d", "1/d"),
        Measure("line load", "kN/m", "kN/m", "kip/ft"),
        Measure("mass per length", "kg/m", "kg/m", "lb/ft"),
        Measure("volume", "m3", "m3", "yd3"),
        Measure("bending stiffness", "kN*m2", "kN*m2", "kip*ft2"),
        Measure("moment", "kN*m", "kN*m", "kip*ft"),
        Measure("conductivity", "W/m/K", "W/m/K", "Btu/h/ft/delta_degF"),
        Measure("surface coefficient", "W/m2/K", "W/m2/K", "Btu/h/ft2/delta_degF"),
        Measure("thermal resistance", "m2*K/W", "m2*K/W", "h*ft2*delta_degF/Btu"),
        Measure("specific heat", "kJ/kg/K", "kJ/kg/K", "Btu/lb/delta_degF"),
        Measure("angle", "deg", "deg", "deg"),
        Measure("share", "%", "%", "%"),
        Measure("speed", "m/s", "m/s", "mph"),
        Measure("mass density", "kg/m3", "kg/m3", "lb/ft3"),
        Measure("crane load", "kg", "t", "lb"),
    )
}

_POWER = re.compile(r"(?<=[A-Za-z])([23])(?![A-Za-z0-9])")
_SUPERSCRIPTS = str.maketrans({"²": "2", "³": "3", "·": "*", "°": "deg", "−": "-", "–": "-"})
_ALIASES = {
    "degc": "degC", "degf": "degF", "C": "degC", "F": "degF", "c": "degC", "f": "degF",
    "hr": "h", "hour": "h", "hours": "h", "days": "d", "day": "d",
    "-": "", "1": "", "no": "", "nr": "",
}  # fmt: skip


def _spelling(text: str) -> str:
    """Return unit text as the registry spells it: powers marked, common spellings mapped."""
    text = text.strip().translate(_SUPERSCRIPTS)
    text = _ALIASES.get(text, text)
    text = re.sub(r"\b(deg) ?([CF])\b", r"deg\2", text)
    text = re.sub(r"/ ?hr\b", "/h", text)
    text = re.sub(r"\b(kN|MN|N)\.?(m[23]?)\b", r"\1*\2", text)
    text = re.sub(r"(?<=[A-Za-z])[-.](?=[A-Za-z])", "*", text)
    return _POWER.sub(r"**\1", text)


@cache
def _parse(text: str) -> pint.Unit:
    try:
        return _registry.parse_units(_spelling(text))
    except Exception as error:  # the registry raises several kinds, some of them not its own
        raise UnitFault(f"unit [{text}] is not known") from error


def _as_difference(unit: pint.Unit) -> pint.Unit:
    text = str(unit)
    if text == "degree_Celsius":
        return _registry.delta_degC
    if text == "degree_Fahrenheit":
        return _registry.delta_degF
    return unit


def check(text: str, measure: Measure) -> None:
    """Check that a heading's unit is known and of the measure's dimension.

    Raises
    ------
    UnitFault
        The unit is unknown, or of another dimension; the message names what is wanted.
    """
    wanted = f"a {measure.name} is wanted here, for example [{measure.metric}] or [{measure.us}]"
    if not measure.base:
        if _spelling(text):
            raise UnitFault(f"unit [{text}] stands where a plain number without a unit is wanted")
        return
    try:
        unit = _parse(text)
    except UnitFault as fault:
        raise UnitFault(f"{fault}; {wanted}") from None
    if measure.difference:
        unit = _as_difference(unit)
    base = _parse(measure.base)
    kinds = [base.dimensionality]
    if measure.density:
        kinds.append(_registry.parse_units("kg/m**3").dimensionality)
    if unit.dimensionality not in kinds:
        raise UnitFault(f"unit [{text}] measures something else; {wanted}")


@cache
def _linear(text: str, measure: Measure) -> tuple[float, float]:
    """Return factor and offset that take a value in ``text`` to the base unit."""
    check(text, measure)
    if not measure.base:
        return 1.0, 0.0
    unit, base = _parse(text), _parse(measure.base)
    if measure.difference:
        unit, base = _as_difference(unit), _as_difference(base)
    factor = 1.0
    if measure.density and unit.dimensionality != base.dimensionality:
        factor = STANDARD_GRAVITY / 1000.0
        base = _registry.parse_units("kg/m**3")
    zero = float(_registry.Quantity(0.0, unit).to(base).magnitude)
    one = float(_registry.Quantity(1.0, unit).to(base).magnitude)
    if zero == 0.0:
        return factor * one, 0.0
    hundred = float(_registry.Quantity(100.0, unit).to(base).magnitude)
    return factor * (hundred - zero) / 100.0, factor * zero


def to_base(values: Column, text: str, measure: Measure) -> Column:
    """Return ``values`` in the engine's unit.

    Raises
    ------
    UnitFault
        The unit is unknown, or of another dimension.
    """
    factor, offset = _linear(text, measure)
    return np.asarray(values * factor + offset, dtype=np.float64)


def from_base(values: Column, text: str, measure: Measure) -> Column:
    """Return ``values``, given in the engine's unit, in the unit ``text``.

    Raises
    ------
    UnitFault
        The unit is unknown, or of another dimension.
    """
    factor, offset = _linear(text, measure)
    return np.asarray((values - offset) / factor, dtype=np.float64)


_HEADING = re.compile(r"^\s*(?P<name>.*?)\s*(?:\[(?P<unit>[^\[\]]*)\])?\s*$", re.DOTALL)


def split_heading(text: str) -> tuple[str, str | None]:
    """Return a heading's name and the unit in its brackets, ``None`` where it has none.

    >>> split_heading("Height [m]"), split_heading("Block")
    (('Height', 'm'), ('Block', None))
    """
    match = _HEADING.match(text)
    if match is None:
        return text.strip(), None
    unit = match["unit"]
    return match["name"], None if unit is None else unit.strip()
