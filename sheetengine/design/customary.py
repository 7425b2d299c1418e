"""Exact conversions between the engine's units and US customary units.

Source: NIST Special Publication 811 (2008), Appendix B.
"""

from __future__ import annotations

from sheetengine.columns import Column

FOOT = 0.3048
"""One foot, in m."""
CUBIC_YARD = (3.0 * FOOT) ** 3
"""One cubic yard, in m3."""
INCH_MM = 25.4
"""One inch, in mm."""
MILE_AN_HOUR = 0.44704
"""One mile an hour, in m/s."""
POUND_FORCE = 4.4482216152605e-3
"""One pound-force, in kN."""
PSF_KPA = POUND_FORCE / FOOT**2
"""One pound-force on a square foot, in kPa."""
PSI_MPA = POUND_FORCE * 1000.0 / INCH_MM**2
"""One pound-force on a square inch, in MPa."""


def to_lb_ft3(weight_density: Column) -> Column:
    """Return a weight density given in kN/m3 as the number of pounds in a cubic foot."""
    return weight_density / (POUND_FORCE / FOOT**3)


def to_degf(temperature: Column) -> Column:
    """Return a temperature given in degC in degF."""
    return temperature * 1.8 + 32.0
