"""The mix's own tests: which can be fitted, by which law, at which rate of ripening, and what the fit vouches for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from sheetengine.clauses import en206_specimens
from sheetengine.clauses.astm_c1074 import arrhenius_rate, nurse_saul_rate
from sheetengine.columns import Column, Flags, Rows, Table, texts
from sheetengine.design.ripening import ARRHENIUS, Ripening, baths_of, ripening_of
from sheetengine.design.specimen_curves import FORMS, FormFit, fit_form
from sheetengine.job import Job

FITTED = "Fitted to specimens"
BEST_FORM = "least AICc"
HOURS_A_DAY = 24.0
LEAST_AGES = 4
"""Different ages that a mix must be tested at; common practice, no source (ASTM C1074 tests at six)."""
LATEST_FIRST_TEST = 3.0
"""Equivalent age, in d, by which a mix must have been tested; common practice, no source (ASTM C1074 begins at one day)."""
GREATEST_FALL = 0.15
"""Share by which the mean at one age may lie below that at an earlier one; common practice, no source."""
ONE_AGE = 1.1
"""Ages whose ratio is not greater are one age, where it is asked whether the strength falls."""
_STEPS = 1024


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a mix cannot be fitted: in words, the rows of ``Specimens`` that show it, and what to do."""

    reason: str
    rows: Rows
    clears: str


@dataclass(frozen=True, slots=True)
class Claimed:
    """Bounds of a fit that rise with age, on a dense grid between the youngest and the oldest test.

    The lower one is the least of the formula's bound at this and any later age up to the oldest test, so it
    never claims more than the formula and never falls; the upper one is the greatest up to this age. Between
    two of the ages it goes in a straight line.
    """

    age_days: Column
    lower: Column
    upper: Column


@dataclass(frozen=True, slots=True)
class MixFit:
    """What was made of the tests of one mix.

    Attributes
    ----------
    mix
        Row in ``Mixes``.
    rows
        Rows of ``Specimens``.
    wanted
        Whether the mix's strength curve is the fitted one.
    age_days
        Equivalent age of each test at the mix's reference temperature. [d]
    strength
        Tested strength as that of cylinders. [MPa]
    characteristic
        Whether the rows are characteristic values and not measured ones.
    ripening
        Datum or activation temperature, and where it is from.
    forms
        Every law, fitted or refused.
    chosen
        Place of the law that is used in ``forms``, -1 for none.
    refusal
        Why nothing is fitted, ``None`` where a law is.
    confidence
        Of the one-sided bounds.
    claimed
        Bounds of the chosen law, ``None`` for none.
    """

    mix: int
    rows: Rows
    wanted: bool
    age_days: Column
    strength: Column
    characteristic: bool
    ripening: Ripening
    forms: tuple[FormFit, ...]
    chosen: int
    refusal: Refusal | None
    confidence: float
    claimed: Claimed | None

    @property
    def fit(self) -> FormFit:
        """The law that is used.

        Raises
        ------
        LookupError
            None is.
        """
        if self.chosen < 0:
            raise LookupError("no law was fitted")
        return self.forms[self.chosen]


@dataclass(frozen=True, slots=True)
class SpecimenFits:
    """The fits of every mix that has tests, and what they change.

    Attributes
    ----------
    by_mix
        Fit by row in ``Mixes``.
    activation, datum
        Activation [K] and datum temperature [degC] of every mix, from its tests where they tell and the mix follows them.
    """

    activation: Column
    datum: Column
    by_mix: Mapping[int, MixFit] = field(default_factory=dict)

    def used(self, mix: int) -> MixFit | None:
        """Return the fit that a mix's strength rests on, ``None`` where it rests on something else or on nothing."""
        found = self.by_mix.get(mix)
        return found if found is not None and found.wanted and found.chosen >= 0 else None


def kinds_of(job: Job) -> tuple[Flags, Flags]:
    """Return whether each row of ``Specimens`` is of cubes, and whether it is characteristic.

    A blank kind has the shape of the mix's ``Strength kind`` and is a measured value.
    """
    table, mixes = job.table("Specimens"), job.table("Mixes")
    own = mixes.spread("mix", table.label("mix"))
    of_mix = texts("" if item < 0 else mixes.label("strength_kind")[item] for item in own.tolist())
    said = table.label("strength_kind")
    cube = [
        str(kind or other).startswith("cube")
        for kind, other in zip(said.tolist(), of_mix.tolist(), strict=True)
    ]
    characteristic = [str(kind).endswith("characteristic") for kind in said.tolist()]
    return np.array(cube, dtype=bool), np.array(characteristic, dtype=bool)


def specimen_fits(job: Job) -> SpecimenFits:
    """Return the fits of every mix that has rows in ``Specimens``."""
    mixes, table = job.table("Mixes"), job.table("Specimens")
    activation = np.array(mixes.number("activation_temperature"))
    datum = np.array(mixes.number("datum_temperature"))
    if not len(table):
        return SpecimenFits(activation, datum)
    own = mixes.spread("mix", table.label("mix"))
    cube, characteristic = kinds_of(job)
    tested = table.number("strength")
    cylinder = np.where(cube, en206_specimens.cylinder_from_cube(cube_strength=tested), tested)
    found = {}
    for mix in np.unique(own[own >= 0]).tolist():
        rows = np.flatnonzero(own == mix)
        fit = fit_mix(
            mixes,
            mix,
            rows=rows,
            age=table.number("age")[rows],
            temperature=table.number("curing_temperature")[rows],
            strength=cylinder[rows],
            count=table.number("count")[rows],
            characteristic=bool(characteristic[rows].any()),
            confidence=job.number("Strength confidence"),
        )
        found[mix] = fit
        if fit.wanted and fit.ripening.from_tests:
            (activation if fit.ripening.function == ARRHENIUS else datum)[mix] = fit.ripening.value
    return SpecimenFits(activation, datum, found)


def equivalent_days(mixes: Table, mix: int, ripening: Ripening, age: Column, temperature: Column) -> Column:
    """Return the equivalent age, in days at the mix's reference temperature, of tests cured at constant temperatures."""
    reference = np.full(age.shape, mixes.number("reference_temperature")[mix])
    value = np.full(age.shape, ripening.value)
    if ripening.function == ARRHENIUS:
        rate = arrhenius_rate(
            concrete_temperature=temperature, activation_temperature=value, reference_temperature=reference
        )
    else:
        rate = nurse_saul_rate(
            concrete_temperature=temperature, datum_temperature=value, reference_temperature=reference
        )
    return np.asarray(age / HOURS_A_DAY * rate)


def fit_mix(
    mixes: Table,
    mix: int,
    *,
    rows: Rows,
    age: Column,
    temperature: Column,
    strength: Column,
    count: Column,
    characteristic: bool,
    confidence: float,
) -> MixFit:
    """Return what the tests of one mix give.

    Parameters
    ----------
    mixes, mix
        The ``Mixes`` table and the row in it.
    rows
        Rows of ``Specimens``.
    age, temperature, strength, count
        Age [h], curing temperature [degC], strength as that of cylinders [MPa], and specimens behind it, of each row.
    characteristic
        Whether the strengths are characteristic values.
    confidence
        Of the one-sided bounds.
    """
    stated = ripening_of(
        mixes, mix, age=age / HOURS_A_DAY, temperature=temperature, strength=strength, count=count
    )
    days = equivalent_days(mixes, mix, stated, age, temperature)
    refusal = refusal_of(rows, age, temperature, strength, days)
    wanted = str(mixes.label("strength_curve")[mix]) == FITTED
    forms: tuple[FormFit, ...] = ()
    chosen = -1
    if refusal is None:
        forms = tuple(fit_form(form, days, strength, count) for form in FORMS)
        chosen, refusal = _choice(forms, str(mixes.label("fitted_form")[mix]), rows)
    claimed = claim(forms[chosen], days, confidence) if chosen >= 0 else None
    if claimed is not None and not (claimed.lower > 0.0).any():
        text = f"the lower bound at a confidence of {confidence:g} is nowhere above zero"
        claimed, chosen = None, -1
        refusal = Refusal(
            text, rows, "Test more specimens, or look for those that do not belong to this mix."
        )
    return MixFit(
        mix, rows, wanted, days, strength, characteristic, stated, forms, chosen, refusal, confidence, claimed
    )


def refusal_of(
    rows: Rows, age: Column, temperature: Column, strength: Column, days: Column
) -> Refusal | None:
    """Return why tests cannot be fitted, ``None`` where they can be tried."""
    unknown = ~(np.isfinite(days) & np.isfinite(strength) & (strength > 0.0))
    if unknown.any():
        return Refusal("a test has no strength", rows[unknown], "Correct these rows.")
    still = days <= 0.0
    if still.any():
        return Refusal(
            "specimens were cured at or below the datum temperature, where nothing is gained",
            rows[still],
            "Correct Curing temperature, or Datum temperature in Mixes.",
        )
    different = np.unique(np.round(np.log(age), 3))
    if different.size == 1:
        return Refusal(
            f"all tests have one age, {age[0] / HOURS_A_DAY:.3g} d",
            rows,
            f"Test at {LEAST_AGES} ages or more, the youngest before the first gate.",
        )
    if different.size < LEAST_AGES:
        return Refusal(
            f"{different.size} different ages are tested, {LEAST_AGES} are needed",
            rows,
            f"Test at {LEAST_AGES} ages or more, the youngest before the first gate.",
        )
    if days.min() > LATEST_FIRST_TEST * (1.0 + 1e-9):
        return Refusal(
            f"no early age is tested, the youngest is at {days.min():.3g} d of equivalent age",
            rows[days == days.min()],
            f"Test from one day on, at the latest at {LATEST_FIRST_TEST:g} d: a curve through older concrete says nothing about "
            "the age at which anchors are loaded.",
        )
    return _falling(rows, age, temperature, strength)


def _falling(rows: Rows, age: Column, temperature: Column, strength: Column) -> Refusal | None:
    """Return the refusal of tests whose mean falls from one age to a later one at one curing temperature."""
    bath = baths_of(temperature)
    for number in np.unique(bath).tolist():
        own = np.flatnonzero(bath == number)
        own = own[np.argsort(age[own], kind="stable")]
        place = np.cumsum(np.diff(np.log(age[own]), prepend=np.log(age[own[0]])) > np.log(ONE_AGE))
        many = np.bincount(place)
        mean, ages = (
            np.bincount(place, weights=strength[own]) / many,
            np.bincount(place, weights=age[own]) / many,
        )
        low = np.flatnonzero(mean < (1.0 - GREATEST_FALL) * np.maximum.accumulate(mean))
        if low.size:
            at = int(low[0])
            top = int(np.argmax(mean[:at]))
            return Refusal(
                f"at {temperature[own[0]]:.3g} degC the strength falls with age, from {mean[top]:.3g} MPa at "
                f"{ages[top] / HOURS_A_DAY:.3g} d to {mean[at]:.3g} MPa at {ages[at] / HOURS_A_DAY:.3g} d, by more than "
                f"{GREATEST_FALL:.0%}",
                rows[own[np.isin(place, (top, at))]],
                "Look for exchanged ages or specimens, and take out what does not belong to this mix.",
            )
    return None


def _choice(forms: tuple[FormFit, ...], asked: str, rows: Rows) -> tuple[int, Refusal | None]:
    """Return the place of the law to use, or -1 with the reason."""
    if asked != BEST_FORM:
        place = next(at for at, fit in enumerate(forms) if fit.form.name == asked)
        if not forms[place].refused:
            return place, None
        return -1, Refusal(
            f"the form {asked}: {forms[place].refused}",
            rows,
            "Test more specimens, or choose another Fitted form in Mixes.",
        )
    fitted = [place for place, fit in enumerate(forms) if not fit.refused]
    if not fitted:
        why = "; ".join(f"{fit.form.name}: {fit.refused}" for fit in forms)
        return -1, Refusal(f"no form can be fitted ({why})", rows, "Test more specimens, at more ages.")
    best = min(fitted, key=lambda place: (forms[place].criterion, forms[place].free, forms[place].deviation))
    return best, None


def claim(fit: FormFit, days: Column, confidence: float) -> Claimed:
    """Return the bounds of a fit between its youngest and its oldest test, never falling with age."""
    young, old = float(days.min()), float(days.max())
    ages = np.unique(np.r_[np.geomspace(young, old, _STEPS), days])
    ages[0], ages[-1] = young, old
    lower = np.maximum(fit.lower(ages, confidence), 0.0)
    lower = np.minimum.accumulate(lower[::-1])[::-1]
    upper = np.maximum.accumulate(fit.upper(ages, confidence))
    return Claimed(ages, lower, upper)
