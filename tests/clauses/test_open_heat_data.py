"""The form of the heat of hydration held against open calorimeter data: at one temperature, and carried to two others.

The data are measured; parameters are fitted here with scipy to one part of them, and another part is held against them.
"""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from scipy.optimize import least_squares
from support import PUBLISHED

from sheetengine.clauses.astm_c1074 import arrhenius_rate
from sheetengine.clauses.hydration_heat import rise_at_age

PASTES = ("CP0", "CP30", "CP50", "CP85")
HOURS = np.array([24.0, 48.0, 72.0, 96.0, 120.0])
AT = (10.0, 20.0, 35.0)


def cumulative(paste: str) -> tuple[np.ndarray, np.ndarray]:
    frame = pd.read_csv(PUBLISHED / "data" / "heat_gruyaert_cumulative_20C.csv")
    own = frame[frame["paste"] == paste]
    return own["t_h"].to_numpy(), own["Q_J_per_g"].to_numpy()


def rates(paste: str, temperature: float) -> tuple[np.ndarray, np.ndarray]:
    frame = pd.read_csv(PUBLISHED / "data" / "heat_gruyaert_isothermal_3temps.csv")
    own = frame[(frame["paste"] == paste) & (frame["T_degC"] == temperature)].sort_values("t_h")
    return own["t_h"].to_numpy(), own["q_J_per_g_h"].to_numpy()


def heat(parameters: np.ndarray, age: np.ndarray) -> np.ndarray:
    even = np.ones(age.size)
    return rise_at_age(
        adiabatic_rise=parameters[0] * even, hydration_time=parameters[1] * even, hydration_shape=parameters[2] * even,
        equivalent_age=age,
    )  # fmt: skip


def fitted(paste: str) -> np.ndarray:
    """Least squares on every second reading at 20 degC, from 5 h on."""
    hour, given = cumulative(paste)
    keep = np.zeros(hour.size, dtype=bool)
    keep[::2] = True
    keep &= hour >= 5.0
    bounds = ([1.0, 1.0, 0.1], [1000.0, 500.0, 5.0])
    return np.asarray(
        least_squares(lambda x: heat(x, hour[keep]) - given[keep], [400.0, 20.0, 0.8], bounds=bounds).x
    )


def activation(paste: str) -> float:
    """Slope of the logarithm of the peak rate, behind the first hours, against the inverse temperature. [K]."""
    peaks = []
    for temperature in AT:
        hour, rate = rates(paste, temperature)
        peaks.append(rate[hour > (2.0 if temperature > 30.0 else 4.0)].max())
    return float(-np.polyfit(1.0 / (np.array(AT) + 273.15), np.log(peaks), 1)[0])


@pytest.mark.parametrize(("paste", "energy"), [("CP0", 37.0), ("CP30", 36.8), ("CP50", 36.5), ("CP85", 49.7)])
def test_activation_energy_from_the_peak_rates(paste: str, energy: float) -> None:
    """A separate least-squares fit of the same data gave these energies, in kJ/mol; another choice of the peak moves them by 1 %."""
    assert activation(paste) * 8.314e-3 == pytest.approx(energy, rel=0.01)


@pytest.mark.parametrize("paste", PASTES)
def test_heat_at_one_temperature_after_the_first_day(paste: str) -> None:
    """Readings left out of the fit: within 15 % on the second day, within 7 % of the measured heat after it."""
    hour, given = cumulative(paste)
    left = np.zeros(hour.size, dtype=bool)
    left[1::2] = True
    parameters = fitted(paste)
    for begin, end, within in ((24.0, 36.0, 0.15), (36.0, 400.0, 0.07)):
        held = left & (hour >= begin) & (hour < end)
        assert held.sum() >= 5
        assert heat(parameters, hour[held]) == pytest.approx(given[held], rel=within)


@pytest.mark.parametrize("paste", PASTES)
def test_heat_in_the_first_day_is_off_by_less_than_the_margin(paste: str) -> None:
    """In the first day the form may miss half the heat, but it is little heat: less than 20 J/g of binder.

    With 300 kg of binder and 2,400 kJ/m3/K in a cubic metre that is 2.5 K.
    """
    hour, given = cumulative(paste)
    early = (hour >= 1.0) & (hour < 24.0)
    off = np.abs(heat(fitted(paste), hour[early]) - given[early])
    assert off.max() < 20.0
    assert off.max() * 300.0 / 2400.0 < 2.5


@pytest.mark.parametrize("temperature", AT)
@pytest.mark.parametrize("paste", PASTES)
def test_heat_carried_to_other_temperatures_by_equivalent_age(paste: str, temperature: float) -> None:
    """The fit at 20 degC with the activation temperature of the peaks, against the rates measured at 10, 20 and 35 degC.

    The first hours are missing in the rates, so heat is counted from their first reading on. From the second day on the
    form stays within 16 %; at 10 degC and 85 % slag its first day is of another kind and is not held.
    """
    hour, rate = rates(paste, temperature)
    gained = np.concatenate([[0.0], np.cumsum(np.diff(hour) * (rate[1:] + rate[:-1]) / 2.0)])
    even = np.ones(hour.size)
    faster = arrhenius_rate(
        concrete_temperature=temperature * even, activation_temperature=activation(paste) * even,
        reference_temperature=20.0 * even,
    )  # fmt: skip
    told = heat(fitted(paste), hour * faster)
    reached = HOURS[(hour[-1] >= HOURS) & ((48.0 if paste == "CP85" else 24.0) <= HOURS)]
    assert reached.size >= 3
    measured = np.interp(reached, hour, gained)
    assert np.interp(reached, hour, told - told[0]) == pytest.approx(measured, rel=0.16)
