"""Strength of each mix at an equivalent age, as characteristic cylinder strength, and the age at a strength."""

from __future__ import annotations

from collections.abc import Callable
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
from sheetengine.design.layout import Index
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
    """

    mixes: Table
    curve: Texts
    is_cube: Flags
    is_mean: Flags
    characteristic: Column

    def _columns(self, mix: Index) -> dict[str, Column]:
        names = ("aci_a", "aci_b", "ultimate_strength", "rate_constant", "strength_start")
        return {name: self.mixes.number(name)[mix] for name in names}

    def _by_curve(self, mix: Index, laws: dict[str, Callable[[Index], Column]]) -> Column:
        """Return each row's value by the law of its mix; ``nan`` where there is no mix."""
        found = np.full(mix.shape, np.nan)
        names = np.where(mix >= 0, self.curve[np.maximum(mix, 0)], "")
        for name, law in laws.items():
            rows = np.flatnonzero(names == name)
            if rows.size:
                found[rows] = law(rows)
        return found

    def strength_at(self, mix: Index, age: Column) -> Column:
        """Return the characteristic cylinder strength of the mixes at equivalent ages in hours.

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
        curves that other documents give for means. The ACI 209R curve scales the specified strength.
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
            own = self._columns(mix[rows])
            tested = hyperbolic_strength.strength_at_age(
                age_days=days[rows], limiting_strength=own["ultimate_strength"],
                rate_per_day=own["rate_constant"] * HOURS_A_DAY,
                dormant_days=own["strength_start"] / HOURS_A_DAY,
            )  # fmt: skip
            cylinder = np.where(
                self.is_cube[mix[rows]], en206_specimens.cylinder_from_cube(cube_strength=tested), tested
            )
            return np.where(self.is_mean[mix[rows]], np.maximum(cylinder - BELOW_MEAN, 0.0), cylinder)

        grown = self._by_curve(mix, {EN_CURVE: en, FIB_CURVE: fib, ACI_CURVE: aci, HYPERBOLA: hyperbola})
        return np.where(grown < LEAST_STRENGTH, 0.0, grown)

    def age_at(self, mix: Index, strength: Column) -> Column:
        """Return the equivalent age in hours at which the mixes reach characteristic cylinder strengths.

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
            own = self._columns(mix[rows])
            cylinder = strength[rows] + np.where(self.is_mean[mix[rows]], BELOW_MEAN, 0.0)
            tested = np.where(
                self.is_cube[mix[rows]],
                en206_specimens.cube_from_cylinder(cylinder_strength=cylinder),
                cylinder,
            )
            return hyperbolic_strength.age_at_strength(
                required_strength=tested, limiting_strength=own["ultimate_strength"],
                rate_per_day=own["rate_constant"] * HOURS_A_DAY,
                dormant_days=own["strength_start"] / HOURS_A_DAY,
            )  # fmt: skip

        days = self._by_curve(mix, {EN_CURVE: en, FIB_CURVE: fib, ACI_CURVE: aci, HYPERBOLA: hyperbola})
        return days * HOURS_A_DAY

    def wants_tests(self, mix: Index, age: Column) -> Flags:
        """Return where the law may not speak at an equivalent age because strength must rest on tests."""
        generic = np.isin(self.curve, (EN_CURVE, FIB_CURVE))
        return np.asarray((mix >= 0) & generic[np.maximum(mix, 0)] & (age < TESTED_BEFORE))


def strength_curves(mixes: Table) -> StrengthCurves:
    """Return the strength laws of the ``Mixes`` table."""
    kind = mixes.label("strength_kind")
    is_cube = np.array([str(text).startswith("cube") for text in kind], dtype=bool)
    is_mean = np.array([str(text).endswith("mean") for text in kind], dtype=bool)
    given = mixes.number("strength_28")
    cylinder = np.where(is_cube, en206_specimens.cylinder_from_cube(cube_strength=given), given)
    characteristic = np.where(is_mean, np.maximum(cylinder - BELOW_MEAN, 0.0), cylinder)
    return StrengthCurves(mixes, mixes.label("strength_curve"), is_cube, is_mean, characteristic)
