"""How findings put numbers, in the units of the result sheets."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

from sheetengine.columns import moment_of
from sheetengine.design import customary


class To(Enum):
    """How a number is rounded: advice never to the side on which it would not hold."""

    NEAREST = "nearest"
    AT_LEAST = "up"
    AT_MOST = "down"


@dataclass(frozen=True, slots=True)
class Wording:
    """Writes quantities given in the engine's units; ``us`` chooses US customary units."""

    us: bool

    def _put(
        self, value: float, metric: str, factor: float, us: str, digits: int = 3, to: To = To.NEAREST
    ) -> str:
        if math.isnan(value):
            return "not known"
        number, unit = (value / factor, us) if self.us else (value, metric)
        if to is not To.NEAREST and number > 0.0 and math.isfinite(number):
            step = 10.0 ** (math.floor(math.log10(number)) - digits + 1)
            whole = math.ceil(number / step - 1e-9) if to is To.AT_LEAST else math.floor(number / step + 1e-9)
            number = whole * step
        return f"{number:.{digits}g} {unit}"

    def pressure(self, kpa: float) -> str:
        """Write a pressure given in kPa."""
        return self._put(kpa, "kPa", customary.PSF_KPA, "psf", 4)

    def strength(self, mpa: float, to: To = To.NEAREST) -> str:
        """Write a strength given in MPa."""
        return self._put(mpa, "MPa", customary.PSI_MPA, "psi", 3 if not self.us else 4, to)

    def length(self, metres: float, to: To = To.NEAREST) -> str:
        """Write a length given in m."""
        return self._put(metres, "m", customary.FOOT, "ft", 3, to)

    def small_length(self, millimetres: float, to: To = To.NEAREST) -> str:
        """Write a length given in mm."""
        return self._put(millimetres, "mm", customary.INCH_MM, "in", 3, to)

    def rate(self, metres_an_hour: float, to: To = To.NEAREST) -> str:
        """Write a rate of rise given in m/h."""
        return self._put(metres_an_hour, "m/h", customary.FOOT, "ft/h", 3, to)

    def force(self, kilonewtons: float) -> str:
        """Write a force given in kN."""
        return self._put(kilonewtons, "kN", customary.POUND_FORCE * 1000.0, "kip")

    def speed(self, metres_a_second: float, to: To = To.NEAREST) -> str:
        """Write a speed given in m/s."""
        return self._put(metres_a_second, "m/s", customary.MILE_AN_HOUR, "mph", 3, to)

    def temperature(self, degrees: float) -> str:
        """Write a temperature given in degC."""
        return self._put(degrees * 1.8 + 32.0 if self.us else degrees, "degC", 1.0, "degF", 3)

    def volume(self, cubic_metres: float) -> str:
        """Write a volume given in m3."""
        if math.isnan(cubic_metres):
            return "not known"
        number = cubic_metres / customary.CUBIC_YARD if self.us else cubic_metres
        return f"{number:.{0 if number >= 100.0 else 1}f} {'yd3' if self.us else 'm3'}"

    def temperature_step(self, kelvin: float) -> str:
        """Write a difference of temperature given in K."""
        return self._put(kelvin, "K", 1.0 / 1.8, "degF", 3)

    @staticmethod
    def hour(hours: float) -> str:
        """Write an hour since 30 December 1899 as date and time, rounded up to the next full hour."""
        moment = moment_of(math.ceil(hours - 1e-6)) if math.isfinite(hours) else None
        return "never" if moment is None else f"{moment:%Y-%m-%d %H:%M}"

    @staticmethod
    def planned(hours: float) -> str:
        """Write a planned hour as the cell has it."""
        moment = moment_of(hours)
        return "never" if moment is None else f"{moment:%Y-%m-%d %H:%M}"

    @staticmethod
    def ratio(value: float) -> str:
        """Write a ratio; one just above 1 is never shown as 1.00."""
        if not math.isfinite(value):
            return "not known" if math.isnan(value) else "no resistance"
        text = f"{value:.2f}"
        return f"{value:.4f}" if text == "1.00" and value != 1.0 else text
