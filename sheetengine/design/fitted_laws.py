"""Strength by the laws fitted to specimens, at equivalent ages in hours, for many rows of a few mixes at once."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from sheetengine.clauses.en1992_1_1_strength import MEAN_ABOVE_CHARACTERISTIC
from sheetengine.columns import Column, Flags, Rows
from sheetengine.design.specimens import HOURS_A_DAY, Claimed, MixFit, SpecimenFits

Of = Callable[[MixFit, Claimed, Column], Column]


def _by_mix(fits: SpecimenFits, mix: Rows, values: Column, law: Of) -> Column:
    """Return each row's value by the fit of its mix, ``nan`` where the mix has none that is used."""
    found = np.full(mix.shape, np.nan)
    for number in np.unique(mix).tolist():
        fit = fits.used(number)
        if fit is None or fit.claimed is None:
            continue
        rows = np.flatnonzero(mix == number)
        found[rows] = np.where(np.isnan(values[rows]), np.nan, law(fit, fit.claimed, values[rows]))
    return found


def lower_at(fits: SpecimenFits, mix: Rows, age: Column) -> Column:
    """Return the lower bound at equivalent ages in hours. [MPa].

    Nothing is claimed before the youngest test, and nothing beyond its own bound after the oldest.
    """

    def law(_: MixFit, claimed: Claimed, age: Column) -> Column:
        days = age / HOURS_A_DAY
        return np.where(days < claimed.age_days[0], 0.0, np.interp(days, claimed.age_days, claimed.lower))

    return _by_mix(fits, mix, age, law)


def points_of_lower(fits: SpecimenFits, mix: Rows, age: Column) -> tuple[Column, Column, Column, Column]:
    """Return the points of the lower bound before and after equivalent ages in hours: hour and strength, twice.

    Before the youngest test both strengths are 0, after the oldest both are that of the last point.
    """

    def of(pick: Callable[[Column, Column, Column], Column]) -> Column:
        def law(_: MixFit, claimed: Claimed, age: Column) -> Column:
            return pick(claimed.age_days * HOURS_A_DAY, claimed.lower, age)

        return _by_mix(fits, mix, age, law)

    def after(hours: Column, age: Column) -> Rows:
        return np.searchsorted(hours, age, side="right")

    def first_hour(hours: Column, _: Column, age: Column) -> Column:
        return np.where(after(hours, age) == 0, 0.0, hours[np.maximum(after(hours, age) - 1, 0)])

    def first(hours: Column, lower: Column, age: Column) -> Column:
        return np.where(after(hours, age) == 0, 0.0, lower[np.maximum(after(hours, age) - 1, 0)])

    def second_hour(hours: Column, _: Column, age: Column) -> Column:
        place = after(hours, age)
        return np.where(place == hours.size, hours[-1] + 1.0, hours[np.minimum(place, hours.size - 1)])

    def second(hours: Column, lower: Column, age: Column) -> Column:
        place = after(hours, age)
        return np.where(place == 0, 0.0, lower[np.minimum(place, hours.size - 1)])

    return of(first_hour), of(first), of(second_hour), of(second)


def _first_age(ages: Column, rising: Column, wanted: Column) -> Column:
    """Return the least age at which a line through rising points reaches values, ``inf`` where it does not."""
    place = np.searchsorted(rising, wanted, side="left")
    reached = place < rising.size
    after = np.clip(place, 1, rising.size - 1)
    low, high = rising[after - 1], rising[after]
    step = np.where(high > low, high - low, 1.0)
    share = np.clip((wanted - low) / step, 0.0, 1.0)
    between = ages[after - 1] + share * (ages[after] - ages[after - 1])
    return np.where(reached, np.where(place == 0, ages[0], between), np.inf)


def lower_age(fits: SpecimenFits, mix: Rows, strength: Column) -> Column:
    """Return the equivalent age in hours at which the lower bound reaches strengths; ``inf`` where it never does."""

    def law(_: MixFit, claimed: Claimed, wanted: Column) -> Column:
        found = _first_age(claimed.age_days, claimed.lower, wanted)
        return np.where(wanted <= 0.0, 0.0, found) * HOURS_A_DAY

    return _by_mix(fits, mix, strength, law)


def _mean_factor(fit: MixFit) -> float:
    """Return what the fitted strength is multiplied by to be a mean: 1, or 8 MPa more at 28 d of characteristic values."""
    if not fit.characteristic:
        return 1.0
    at_28 = float(fit.fit.mean(np.array([28.0]))[0])
    return (at_28 + MEAN_ABOVE_CHARACTERISTIC) / at_28


def mean_at(fits: SpecimenFits, mix: Rows, age: Column) -> Column:
    """Return the fitted mean strength at equivalent ages in hours, before and after the tests too. [MPa]."""

    def law(fit: MixFit, _: Claimed, age: Column) -> Column:
        return fit.fit.mean(age / HOURS_A_DAY) * _mean_factor(fit)

    return _by_mix(fits, mix, age, law)


def mean_age(fits: SpecimenFits, mix: Rows, strength: Column) -> Column:
    """Return the equivalent age in hours at which the fitted mean reaches strengths; ``inf`` where it never does."""

    def law(fit: MixFit, _: Claimed, wanted: Column) -> Column:
        return fit.fit.age(wanted / _mean_factor(fit)) * HOURS_A_DAY

    return _by_mix(fits, mix, strength, law)


def _upper_points(fit: MixFit, claimed: Claimed) -> tuple[Column, Column]:
    """Return points of the upper bound: in proportion to the mean before the tests, by the formula after them."""
    young, old = claimed.age_days[0], claimed.age_days[-1]
    early, late = np.linspace(0.0, young, 257)[:-1], np.geomspace(old, 40.0 * old, 513)[1:]
    share = fit.fit.mean(early) / fit.fit.mean(np.array([young]))
    after = np.maximum.accumulate(np.r_[claimed.upper[-1], fit.fit.upper(late, fit.confidence)])[1:]
    return np.r_[early, claimed.age_days, late], np.r_[share * claimed.upper[0], claimed.upper, after]


def upper_at(fits: SpecimenFits, mix: Rows, age: Column) -> Column:
    """Return the upper bound at equivalent ages in hours; ``nan`` for characteristic values. [MPa]."""

    def law(fit: MixFit, claimed: Claimed, age: Column) -> Column:
        if fit.characteristic:
            return np.full(age.shape, np.nan)
        return np.interp(age / HOURS_A_DAY, *_upper_points(fit, claimed))

    return _by_mix(fits, mix, age, law)


def upper_age(fits: SpecimenFits, mix: Rows, strength: Column) -> Column:
    """Return the equivalent age in hours at which the upper bound reaches strengths; ``inf`` where it never does."""

    def law(fit: MixFit, claimed: Claimed, wanted: Column) -> Column:
        if fit.characteristic:
            return np.full(wanted.shape, np.nan)
        found = _first_age(*_upper_points(fit, claimed), wanted)
        return np.where(wanted <= 0.0, 0.0, found) * HOURS_A_DAY

    return _by_mix(fits, mix, strength, law)


def untested(fits: SpecimenFits, mix: Rows, age: Column) -> Flags:
    """Return where an equivalent age in hours lies before the youngest test of a fitted mix."""

    def law(_: MixFit, claimed: Claimed, age: Column) -> Column:
        return np.where(age < claimed.age_days[0] * HOURS_A_DAY * (1.0 - 1e-9), 1.0, 0.0)

    return np.asarray(_by_mix(fits, mix, age, law) == 1.0)
