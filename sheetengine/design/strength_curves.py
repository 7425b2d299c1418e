"""Strength of each mix at an equivalent age, as design, mean and upper cylinder strength, and the age at a strength.

The design strength is the characteristic one; of a curve fitted to the mix's specimens, the lower prediction bound.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from sheetengine.clauses import (
    aci209_strength,
    en206_specimens,
    en1992_1_1_strength,
    hyperbolic_strength,
    mc2010_strength,
)
from sheetengine.clauses.record import record_of
from sheetengine.columns import Column, Flags, Table, Texts
from sheetengine.design import fitted_laws
from sheetengine.design.layout import Index
from sheetengine.design.ripening import ANNEX
from sheetengine.design.specimens import FITTED, SpecimenFits
from sheetengine.sources import Source

HOURS_A_DAY = 24.0
TESTED_BEFORE = 72.0
"""Age in h before which EN 1992-1-1 3.1.2(5) and (6) want strength to rest on tests."""
LEAST_STRENGTH = 1e-6
"""Strength in MPa, a newton on a square metre, below which there is none that a test could measure."""
EN_CURVE, FIB_CURVE, ACI_CURVE, HYPERBOLA = "EN 1992-1-1", "fib MC 2010", "ACI 209R", "Hyperbolic"
BELOW_MEAN = en1992_1_1_strength.MEAN_ABOVE_CHARACTERISTIC

SOURCES: dict[str, Source] = {
    EN_CURVE: record_of(en1992_1_1_strength.characteristic_strength_at_age).source,
    FIB_CURVE: record_of(mc2010_strength.mean_strength_at_age).source,
    ACI_CURVE: record_of(aci209_strength.strength_at_age).source,
    HYPERBOLA: record_of(hyperbolic_strength.strength_at_age).source,
    FITTED: ANNEX,
}


@dataclass(frozen=True, slots=True)
class StrengthCurves:
    """Strength law of every mix.

    Attributes
    ----------
    mixes
        The ``Mixes`` table.
    curve
        Name of the law of each mix.
    is_cube, is_mean
        Kind of the strengths the user gave.
    characteristic
        Characteristic cylinder strength at 28 days. [MPa]
    fits
        Laws fitted to the mixes' own specimens.
    """

    mixes: Table
    curve: Texts
    is_cube: Flags
    is_mean: Flags
    characteristic: Column
    fits: SpecimenFits

    def _columns(self, mix: Index) -> dict[str, Column]:
        names = ("aci_a", "aci_b", "ultimate_strength", "rate_constant", "strength_start")
        return {name: self.mixes.number(name)[mix] for name in names}

    def _by_curve(self, mix: Index, laws: Mapping[str, Callable[[Index], Column]]) -> Column:
        """Return each row's value by the law of its mix; ``nan`` where there is no mix."""
        found = np.full(mix.shape, np.nan)
        names = np.where(mix >= 0, self.curve[np.maximum(mix, 0)], "")
        for name, law in laws.items():
            rows = np.flatnonzero(names == name)
            if rows.size:
                found[rows] = law(rows)
        return found

    def _hyperbola(self, row: Index, days: Column) -> Column:
        """Return the strength, as that of cylinders, by the hyperbolas of mixes at ages in days. [MPa]."""
        own = self._columns(row)
        tested = hyperbolic_strength.strength_at_age(
            age_days=days, limiting_strength=own["ultimate_strength"],
            rate_per_day=own["rate_constant"] * HOURS_A_DAY, dormant_days=own["strength_start"] / HOURS_A_DAY,
        )  # fmt: skip
        return np.where(self.is_cube[row], en206_specimens.cylinder_from_cube(cube_strength=tested), tested)

    def _hyperbola_age(self, row: Index, cylinder: Column) -> Column:
        """Return the ages in days at which the hyperbolas of mixes reach cylinder strengths."""
        own = self._columns(row)
        tested = np.where(
            self.is_cube[row], en206_specimens.cube_from_cylinder(cylinder_strength=cylinder), cylinder
        )
        return hyperbolic_strength.age_at_strength(
            required_strength=tested, limiting_strength=own["ultimate_strength"],
            rate_per_day=own["rate_constant"] * HOURS_A_DAY, dormant_days=own["strength_start"] / HOURS_A_DAY,
        )  # fmt: skip

    def _coefficient(self, row: Index) -> Column:
        """Return the coefficient s of mixes that follow EN 1992-1-1 or fib MC 2010."""
        en = en1992_1_1_strength.cement_coefficient(strength_class=self.mixes.label("strength_class")[row])
        fib = mc2010_strength.cement_coefficient(
            cement_strength_class=self.mixes.label("cement_strength_class")[row],
            mean_strength_28=self.characteristic[row] + BELOW_MEAN,
        )
        return np.where(self.curve[row] == EN_CURVE, en, fib)

    def _scale(self, row: Index) -> Column:
        """Return the mean over the design strength of mixes whose law is that of the design strength, 1 for means."""
        f_ck = self.characteristic[row]
        of_means = (self.curve[row] == HYPERBOLA) & self.is_mean[row]
        with np.errstate(divide="ignore"):
            return np.where(of_means, 1.0, (f_ck + BELOW_MEAN) / f_ck)

    def strength_at(self, mix: Index, age: Column) -> Column:
        """Return the design strength of the mixes at equivalent ages in hours, as that of cylinders.

        Parameters
        ----------
        mix
            Row in ``Mixes``, -1 for none.
        age
            Equivalent age. [h]

        Returns
        -------
        Column
            Strength, never below 0; ``nan`` where mix or age is missing. [MPa]

        Notes
        -----
        Where means were given, 8 MPa are taken off at every age (EN 1992-1-1 Table 3.1), also from the
        curves that other documents give for means. The ACI 209R curve scales the specified strength. A curve
        fitted to specimens gives its lower prediction bound: 0 before the youngest test, held after the oldest.
        """
        days = age / HOURS_A_DAY
        f_ck = self.characteristic

        def en(rows: Index) -> Column:
            s = en1992_1_1_strength.cement_coefficient(
                strength_class=self.mixes.label("strength_class")[mix[rows]]
            )
            return en1992_1_1_strength.characteristic_strength_at_age(
                characteristic_strength_28=f_ck[mix[rows]], age_days=days[rows], cement_coefficient=s
            )

        def fib(rows: Index) -> Column:
            mean = f_ck[mix[rows]] + BELOW_MEAN
            s = mc2010_strength.cement_coefficient(
                cement_strength_class=self.mixes.label("cement_strength_class")[mix[rows]],
                mean_strength_28=mean,
            )
            grown = mc2010_strength.mean_strength_at_age(
                mean_strength_28=mean, age_days=days[rows], cement_coefficient=s
            )
            return np.maximum(grown - BELOW_MEAN, 0.0)

        def aci(rows: Index) -> Column:
            own = self._columns(mix[rows])
            return aci209_strength.strength_at_age(
                strength_28=f_ck[mix[rows]], age_days=days[rows], constant_a=own["aci_a"] / HOURS_A_DAY,
                constant_b=own["aci_b"],
            )  # fmt: skip

        def hyperbola(rows: Index) -> Column:
            cylinder = self._hyperbola(mix[rows], days[rows])
            return np.where(self.is_mean[mix[rows]], np.maximum(cylinder - BELOW_MEAN, 0.0), cylinder)

        def fitted(rows: Index) -> Column:
            return fitted_laws.lower_at(self.fits, mix[rows], age[rows])

        laws = {EN_CURVE: en, FIB_CURVE: fib, ACI_CURVE: aci, HYPERBOLA: hyperbola, FITTED: fitted}
        grown = self._by_curve(mix, laws)
        return np.where(grown < LEAST_STRENGTH, 0.0, grown)

    def age_at(self, mix: Index, strength: Column) -> Column:
        """Return the equivalent age in hours at which the mixes reach design strengths, the inverse of :meth:`strength_at`.

        ``inf`` where a mix never does; ``nan`` where mix or strength is missing.
        """
        f_ck = self.characteristic

        def en(rows: Index) -> Column:
            s = en1992_1_1_strength.cement_coefficient(
                strength_class=self.mixes.label("strength_class")[mix[rows]]
            )
            return en1992_1_1_strength.age_at_characteristic_strength(
                required_strength=strength[rows],
                characteristic_strength_28=f_ck[mix[rows]],
                cement_coefficient=s,
            )

        def fib(rows: Index) -> Column:
            mean = f_ck[mix[rows]] + BELOW_MEAN
            s = mc2010_strength.cement_coefficient(
                cement_strength_class=self.mixes.label("cement_strength_class")[mix[rows]],
                mean_strength_28=mean,
            )
            return mc2010_strength.age_at_mean_strength(
                required_strength=strength[rows] + BELOW_MEAN, mean_strength_28=mean, cement_coefficient=s
            )

        def aci(rows: Index) -> Column:
            own = self._columns(mix[rows])
            return aci209_strength.age_at_strength(
                required_strength=strength[rows], strength_28=f_ck[mix[rows]],
                constant_a=own["aci_a"] / HOURS_A_DAY, constant_b=own["aci_b"],
            )  # fmt: skip

        def hyperbola(rows: Index) -> Column:
            cylinder = strength[rows] + np.where(self.is_mean[mix[rows]], BELOW_MEAN, 0.0)
            return self._hyperbola_age(mix[rows], cylinder)

        def fitted(rows: Index) -> Column:
            return fitted_laws.lower_age(self.fits, mix[rows], strength[rows]) / HOURS_A_DAY

        laws = {EN_CURVE: en, FIB_CURVE: fib, ACI_CURVE: aci, HYPERBOLA: hyperbola, FITTED: fitted}
        return self._by_curve(mix, laws) * HOURS_A_DAY

    def mean_at(self, mix: Index, age: Column) -> Column:
        """Return the mean strength of the mixes at equivalent ages in hours, as that of cylinders.

        Parameters
        ----------
        mix
            Row in ``Mixes``, -1 for none.
        age
            Equivalent age. [h]

        Returns
        -------
        Column
            Mean strength; ``nan`` where mix or age is missing, or a fit was refused. [MPa]

        Notes
        -----
        EN 1992-1-1 and fib MC 2010 give it themselves, and so does a hyperbola fitted to means. For ACI 209R and
        a hyperbola of characteristic strengths it is 8 MPa above the characteristic strength at 28 days (EN
        1992-1-1 Table 3.1) and grows in proportion to the curve. A curve fitted to specimens gives the fitted
        strength itself, before the youngest and after the oldest test too.
        """
        days = age / HOURS_A_DAY

        def generic(rows: Index) -> Column:
            return en1992_1_1_strength.mean_strength_at_age(
                mean_strength_28=self.characteristic[mix[rows]] + BELOW_MEAN, age_days=days[rows],
                cement_coefficient=self._coefficient(mix[rows]),
            )  # fmt: skip

        def aci(rows: Index) -> Column:
            return self.strength_at(mix[rows], age[rows]) * self._scale(mix[rows])

        def hyperbola(rows: Index) -> Column:
            return self._hyperbola(mix[rows], days[rows]) * self._scale(mix[rows])

        def fitted(rows: Index) -> Column:
            return fitted_laws.mean_at(self.fits, mix[rows], age[rows])

        laws = {EN_CURVE: generic, FIB_CURVE: generic, ACI_CURVE: aci, HYPERBOLA: hyperbola, FITTED: fitted}
        return self._by_curve(mix, laws)

    def age_at_mean(self, mix: Index, strength: Column) -> Column:
        """Return the equivalent age in hours at which the mixes reach mean strengths, the inverse of :meth:`mean_at`.

        ``inf`` where a mix never does; ``nan`` where mix or strength is missing, or a fit was refused.
        """

        def generic(rows: Index) -> Column:
            days = en1992_1_1_strength.age_at_mean_strength(
                required_strength=strength[rows], mean_strength_28=self.characteristic[mix[rows]] + BELOW_MEAN,
                cement_coefficient=self._coefficient(mix[rows]),
            )  # fmt: skip
            return days * HOURS_A_DAY

        def aci(rows: Index) -> Column:
            return self.age_at(mix[rows], strength[rows] / self._scale(mix[rows]))

        def hyperbola(rows: Index) -> Column:
            return self._hyperbola_age(mix[rows], strength[rows] / self._scale(mix[rows])) * HOURS_A_DAY

        def fitted(rows: Index) -> Column:
            return fitted_laws.mean_age(self.fits, mix[rows], strength[rows])

        laws = {EN_CURVE: generic, FIB_CURVE: generic, ACI_CURVE: aci, HYPERBOLA: hyperbola, FITTED: fitted}
        return self._by_curve(mix, laws)

    def upper_at(self, mix: Index, age: Column) -> Column:
        """Return the upper prediction bound of the mixes at equivalent ages in hours. [MPa].

        ``nan`` for every curve but one fitted to measured strengths. Before the youngest test it falls to zero in
        proportion to the mean.
        """
        return fitted_laws.upper_at(self.fits, mix, age)

    def age_at_upper(self, mix: Index, strength: Column) -> Column:
        """Return the equivalent age in hours at which the upper bound reaches strengths, the inverse of :meth:`upper_at`.

        ``inf`` where it never does, ``nan`` where there is no bound.
        """
        return fitted_laws.upper_age(self.fits, mix, strength)

    def wants_tests(self, mix: Index, age: Column) -> Flags:
        """Return where the law may not speak at an equivalent age because strength must rest on tests.

        The generic curves may not before 3 days, one fitted to specimens not before its youngest test.
        """
        generic = np.isin(self.curve, (EN_CURVE, FIB_CURVE))
        early = (mix >= 0) & generic[np.maximum(mix, 0)] & (age < TESTED_BEFORE)
        return np.asarray(early | fitted_laws.untested(self.fits, mix, age))


def strength_curves(mixes: Table, fits: SpecimenFits | None = None) -> StrengthCurves:
    """Return the strength laws of the ``Mixes`` table, with what was fitted to the mixes' specimens."""
    kind = mixes.label("strength_kind")
    is_cube = np.array([str(text).startswith("cube") for text in kind], dtype=bool)
    is_mean = np.array([str(text).endswith("mean") for text in kind], dtype=bool)
    given = mixes.number("strength_28")
    cylinder = np.where(is_cube, en206_specimens.cylinder_from_cube(cube_strength=given), given)
    characteristic = np.where(is_mean, np.maximum(cylinder - BELOW_MEAN, 0.0), cylinder)
    own = fits or SpecimenFits(mixes.number("activation_temperature"), mixes.number("datum_temperature"))
    return StrengthCurves(mixes, mixes.label("strength_curve"), is_cube, is_mean, characteristic, own)
