"""How fast a mix ripens with temperature, from tests at several curing temperatures: ASTM C1074, annex."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sheetengine.clauses.astm_c1074 import ZERO_CELSIUS
from sheetengine.columns import Column, Rows, Table
from sheetengine.design.specimen_curves import BY_NAME, HYPERBOLIC, fit_form
from sheetengine.sources import Known, Source

ANNEX = Source("ASTM C1074", "Annex A1, datum temperature or activation energy", Known.MEMORY)
ARRHENIUS = "Arrhenius"
LEAST_BATHS = 3
"""Curing temperatures that the annex's procedure asks for."""
LEAST_SPREAD = 10.0
"""Difference in K between the coldest and the warmest of them; common practice, no source."""
ONE_BATH = 2.0
"""Temperatures that follow each other within so many K are one curing temperature; common practice, no source."""
GREATEST_ERROR = 0.5
"""Standard error of the activation temperature, as a share of it, up to which it is used; common practice, no source."""
GREATEST_DATUM_ERROR = 10.0
"""Standard error of the datum temperature in K up to which it is used; common practice, no source."""
POSSIBLE = {"activation": (500.0, 12000.0), "datum": (-20.0, 15.0)}
"""Activation temperatures in K and datum temperatures in degC that may be true; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Ripening:
    """Maturity function of a mix with its parameter.

    Attributes
    ----------
    function
        ``Arrhenius`` or ``Nurse-Saul``.
    value, error
        Activation temperature [K] or datum temperature [degC], and its standard error; ``nan`` where it was stated.
    from_tests
        Whether the tests gave the value.
    stated
        What ``Mixes`` says or takes by default.
    baths, rates
        Mean curing temperatures [degC] and rate constants found at them [1/d].
    why_not
        Why tests at several temperatures give no value; empty where they do, or where there is one temperature only.
    """

    function: str
    value: float
    error: float
    from_tests: bool
    stated: float
    baths: Column
    rates: Column
    why_not: str = ""


def baths_of(temperature: Column) -> Rows:
    """Return the number of the curing temperature of each test; temperatures close to each other are one.

    >>> baths_of(np.array([20.0, 5.0, 21.0, 38.0, 5.5]))
    array([1, 0, 1, 2, 0])
    """
    order = np.argsort(temperature, kind="stable")
    number = np.empty(temperature.size, dtype=np.int64)
    number[order] = np.cumsum(np.diff(temperature[order], prepend=temperature[order][:1]) > ONE_BATH)
    return number


def ripening_of(
    mixes: Table, mix: int, *, age: Column, temperature: Column, strength: Column, count: Column
) -> Ripening:
    """Return the maturity function of a mix, its parameter from the tests where they tell it.

    Parameters
    ----------
    mixes, mix
        The ``Mixes`` table and the row in it.
    age, temperature, strength, count
        Age [d], curing temperature [degC], strength [MPa] and specimens behind it, of each test.

    Notes
    -----
    The annex's procedure: a hyperbola is fitted to the tests at each curing temperature by their ages. The rate
    constants against temperature lie on a line that meets zero at the datum temperature; their logarithms against
    the inverse of the absolute temperature lie on a line whose slope is the activation temperature, its sign
    turned. Both lines by least squares, every temperature with the same weight.
    """
    function = str(mixes.label("maturity_function")[mix])
    kind = "activation" if function == ARRHENIUS else "datum"
    stated = float(mixes.number(f"{kind}_temperature")[mix])
    number = baths_of(temperature)
    many = int(number.max()) + 1 if number.size else 0
    none = np.zeros(0)

    def kept(why: str, baths: Column = none, rates: Column = none) -> Ripening:
        return Ripening(function, stated, np.nan, False, stated, baths, rates, why)

    if many < 2:
        return kept("")
    baths = np.bincount(number, weights=temperature) / np.bincount(number)
    if many < LEAST_BATHS:
        return kept(f"tests at {many} curing temperatures, {LEAST_BATHS} are needed")
    if baths[-1] - baths[0] < LEAST_SPREAD:
        return kept(
            f"the curing temperatures lie within {baths[-1] - baths[0]:.2g} K, {LEAST_SPREAD:g} K are needed"
        )
    rates = np.full(many, np.nan)
    for bath in range(many):
        own = number == bath
        fit = fit_form(BY_NAME[HYPERBOLIC], age[own], strength[own], count[own]) if (
            np.isfinite(strength[own]).all() and np.unique(age[own]).size > 2
        ) else None  # fmt: skip
        if fit is None or fit.refused:
            why = fit.refused if fit is not None else "fewer than 3 ages"
            return kept(f"no rate constant at {baths[bath]:.3g} degC: {why}", baths, rates)
        rates[bath] = fit.values[1]
    value, error = activation_of(baths, rates) if kind == "activation" else datum_of(baths, rates)
    low, high = POSSIBLE[kind]
    if kind == "datum":
        high = min(high, float(baths[0]) - 1.0)
    unit = "K" if kind == "activation" else "degC"
    if (not value > low and kind == "activation") or np.isnan(value):
        return kept("the rate constants do not rise with the curing temperature", baths, rates)
    if not low <= value <= high:
        return kept(
            f"the line through the rate constants gives {value:.4g} {unit}, outside {low:g} to {high:.4g} {unit}",
            baths,
            rates,
        )
    if error > (GREATEST_ERROR * value if kind == "activation" else GREATEST_DATUM_ERROR):
        return kept(
            f"the rate constants scatter: {value:.4g} {unit} with a standard error of {error:.3g}",
            baths,
            rates,
        )
    return Ripening(function, value, error, True, stated, baths, rates)


def _line(x: Column, y: Column) -> tuple[float, float, Column]:
    """Return slope and intercept of the least-squares line, and their covariance."""
    design = np.column_stack([x, np.ones_like(x)])
    (slope, constant), *_ = np.linalg.lstsq(design, y, rcond=None)
    left = y - design @ np.array([slope, constant])
    freedom = max(x.size - 2, 1)
    covariance = float(left @ left) / freedom * np.linalg.inv(design.T @ design)
    return float(slope), float(constant), np.asarray(covariance)


def activation_of(baths: Column, rates: Column) -> tuple[float, float]:
    """Return the activation temperature and its standard error from rate constants at curing temperatures. [K].

    By hand: rates of 0.2 and 0.4 1/d at 10 and 25 degC: ln 2 / (1/283.15 - 1/298.15) = 3901 K.

    >>> round(activation_of(np.array([10.0, 25.0]), np.array([0.2, 0.4]))[0])
    3901
    """
    inverse = 1.0 / (baths + ZERO_CELSIUS)
    middle = inverse.mean()
    slope, _, covariance = _line((inverse - middle) * 1e4, np.log(rates))
    return -slope * 1e4, float(np.sqrt(covariance[0, 0])) * 1e4


def datum_of(baths: Column, rates: Column) -> tuple[float, float]:
    """Return the datum temperature and its standard error from rate constants at curing temperatures. [degC].

    By hand: rates of 0.2 and 0.4 1/d at 10 and 25 degC: the line meets zero 15 K below 10 degC.

    >>> round(datum_of(np.array([10.0, 25.0]), np.array([0.2, 0.4]))[0], 6)
    -5.0
    """
    slope, constant, covariance = _line(baths, rates)
    if slope <= 0.0:
        return np.nan, np.nan
    datum = -constant / slope
    by = np.array([constant / slope**2, -1.0 / slope])
    return datum, float(np.sqrt(by @ covariance @ by))
