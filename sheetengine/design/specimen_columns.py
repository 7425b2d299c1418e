"""The columns of ``Strength fits`` and the points of its chart."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from sheetengine.columns import texts
from sheetengine.design.ripening import ARRHENIUS
from sheetengine.design.specimen_curves import EN_FORM, EXPONENTIAL, FORMS, HYPERBOLIC, FormFit
from sheetengine.design.specimens import HOURS_A_DAY, MixFit, claim

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation

Columns = dict[str, NDArray[Any]]
USED, NOT_CHOSEN, NOT_FOLLOWED, REFUSED = "used", "fitted, not chosen", "fitted, not followed", "refused"
_PLACES = {
    HYPERBOLIC: ("Rate constant [1/d]", "Strength starts [d]"),
    EXPONENTIAL: ("Time constant [d]", "Shape"),
    EN_FORM: ("Coefficient s",),
}
_PARAMETERS = ("Limiting strength [MPa]", *(name for form in FORMS for name in _PLACES[form.name]))


def _error_of(heading: str) -> str:
    return f"Error of {heading[0].lower()}{heading[1:]}"


def _outcome(mix: MixFit, place: int) -> str:
    if not mix.forms or mix.forms[place].refused:
        return REFUSED
    if mix.chosen < 0:
        return REFUSED
    if place != mix.chosen:
        return NOT_CHOSEN
    return USED if mix.wanted else NOT_FOLLOWED


def _why(c: Calculation, mix: MixFit, place: int) -> str:
    own = mix.forms[place].refused if mix.forms else ""
    if own or mix.refusal is not None:
        return own or (mix.refusal.reason if mix.refusal is not None else "")
    if place != mix.chosen or not mix.wanted:
        return ""
    early = int((c.gates.needs_tests & (c.layout.mix[c.gates.lift] == mix.mix)).sum())
    return f"no early age: refused for {early} gates before the youngest test" if early else ""


def _row(c: Calculation, mix: MixFit, place: int) -> dict[str, Any]:
    fit: FormFit | None = mix.forms[place] if mix.forms else None
    fitted = fit is not None and not fit.refused
    row: dict[str, Any] = {
        "Mix": str(c.job.table("Mixes").label("mix")[mix.mix]),
        "Form": FORMS[place].name,
        "Outcome": _outcome(mix, place),
    }
    days = np.array([1.0, 3.0, 7.0])
    bound = np.full(3, np.nan)
    if fit is not None and fitted:
        claimed = claim(fit, mix.age_days, mix.confidence)
        bound = np.interp(days, claimed.age_days, claimed.lower)
        bound[days < claimed.age_days[0]] = np.nan
    row |= {
        f"Bound at {day:g} d [MPa]": value for day, value in zip(days.tolist(), bound.tolist(), strict=True)
    }
    row |= {
        "Confidence": mix.confidence,
        "Tests": float(mix.rows.size),
        "Youngest test [d]": float(mix.age_days.min()),
        "Oldest test [d]": float(mix.age_days.max()),
        "Residual deviation [MPa]": fit.deviation if fit else np.nan,
        "R2": fit.r_squared if fit else np.nan,
        "AICc": fit.criterion if fit and np.isfinite(fit.criterion) else np.nan,
    }
    for heading in _PARAMETERS:
        row |= {heading: np.nan, _error_of(heading): np.nan}
    if fit is not None:
        headings = ("Limiting strength [MPa]", *_PLACES[fit.form.name])
        for heading, value, error in zip(headings, fit.values.tolist(), fit.errors.tolist(), strict=True):
            row |= {heading: value, _error_of(heading): error}
    ripening = mix.ripening
    arrhenius = ripening.function == ARRHENIUS
    row |= {
        "Maturity by": ripening.function,
        "Activation temperature [K]": ripening.value if arrhenius else np.nan,
        "Error of activation temperature [K]": ripening.error if arrhenius else np.nan,
        "Datum temperature [degC]": np.nan if arrhenius else ripening.value,
        "Error of datum temperature [K]": np.nan if arrhenius else ripening.error,
        "From": "specimens" if ripening.from_tests else "Mixes",
        "Why": _why(c, mix, place),
    }
    return row


def _columns(rows: list[dict[str, Any]]) -> Columns:
    """Return rows as columns, texts as objects."""
    found: Columns = {}
    for name in rows[0]:
        values = [row[name] for row in rows]
        found[name] = texts(values) if isinstance(values[0], str) else np.array(values, dtype=np.float64)
    return found


def fit_columns(c: Calculation) -> Columns:
    """Return the rows of ``Strength fits``: one a mix that has tests and form."""
    fits = c.curves.fits.by_mix
    rows = [_row(c, fits[mix], place) for mix in sorted(fits) for place in range(len(FORMS))]
    return _columns(rows) if rows else {"Mix": texts([]), "Form": texts([]), "Outcome": texts([])}


def fit_test_columns(c: Calculation) -> Columns:
    """Return every test with its residual against the form that is used, or that has the least AICc."""
    table, mixes = c.job.table("Specimens"), c.job.table("Mixes")
    rows: list[dict[str, Any]] = []
    for number in sorted(c.curves.fits.by_mix):
        mix = c.curves.fits.by_mix[number]
        fit = mix.fit if mix.chosen >= 0 else None
        none = np.full(mix.rows.size, np.nan)
        mean = fit.mean(mix.age_days) if fit else none
        lower = fit.lower(mix.age_days, mix.confidence) if fit else none
        standard = standard_residuals(c, mix)
        for place, item in enumerate(mix.rows.tolist()):
            rows.append(
                {
                    "Mix": str(mixes.label("mix")[number]),
                    "Row": str(table.at(item, "strength")),
                    "Outcome": fit.form.name if fit else REFUSED,
                    "Age [d]": float(table.number("age")[item]) / HOURS_A_DAY,
                    "Curing temperature [degC]": float(table.number("curing_temperature")[item]),
                    "Equivalent age [d]": float(mix.age_days[place]),
                    "Tested strength [MPa]": float(mix.strength[place]),
                    "Fitted strength [MPa]": float(mean[place]),
                    "Residual [MPa]": float(mix.strength[place] - mean[place]),
                    "Lower bound [MPa]": float(lower[place]),
                    "Standard residual": float(standard[place]),
                }
            )
    return _columns(rows) if rows else {"Mix": texts([])}


def standard_residuals(c: Calculation, mix: MixFit) -> NDArray[np.float64]:
    """Return each test's residual over its standard deviation, ``nan`` where nothing is fitted."""
    if mix.chosen < 0:
        return np.full(mix.rows.size, np.nan)
    count = c.job.table("Specimens").number("count")[mix.rows]
    left = mix.strength - mix.fit.mean(mix.age_days)
    deviation = mix.fit.deviation
    return np.asarray(left * np.sqrt(count) / deviation if deviation > 0.0 else np.zeros_like(left))


def shown_fit(c: Calculation) -> MixFit | None:
    """Return the fit that the chart shows: of the mix named in ``Job``, or the used one with most tests."""
    fits = [fit for fit in c.curves.fits.by_mix.values() if fit.chosen >= 0]
    name = c.job.text("Fit shown for").casefold()
    named = [fit for fit in fits if str(c.job.table("Mixes").label("mix")[fit.mix]).casefold() == name]
    if name:
        return named[0] if named else None
    return max(fits, key=lambda fit: (fit.wanted, fit.rows.size, -fit.mix), default=None)


def fit_points(c: Calculation) -> tuple[str, str, Columns, Columns] | None:
    """Return mix, form, tests and curves of the fit that the chart shows, ``None`` where there is none."""
    mix = shown_fit(c)
    if mix is None or mix.claimed is None:
        return None
    old, young = float(mix.age_days.max()), float(mix.age_days.min())
    ages = np.unique(np.r_[np.linspace(0.0, young, 12), np.geomspace(young, old, 80)])
    claimed = mix.claimed
    lower = np.interp(ages, claimed.age_days, claimed.lower)
    order = np.argsort(mix.age_days, kind="stable")
    return (
        str(c.job.table("Mixes").label("mix")[mix.mix]),
        mix.fit.form.name,
        {"Equivalent age [d]": mix.age_days[order], "Tested strength [MPa]": mix.strength[order]},
        {
            "Equivalent age [d]": ages,
            "Fitted strength [MPa]": mix.fit.mean(ages),
            "Lower bound [MPa]": np.where(ages < young, np.nan, lower),
        },
    )
