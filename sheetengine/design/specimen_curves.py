"""Strength laws fitted to tests by least squares: parameters, their errors, and bounds of the next test.

Ages are equivalent ages in days, strengths are in MPa (or in any other unit, alike for all).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares
from scipy.stats import t as student

from sheetengine.clauses import en1992_1_1_strength, exponential_strength, hyperbolic_strength
from sheetengine.clauses.record import record_of
from sheetengine.columns import Column
from sheetengine.sources import Source

Matrix = NDArray[np.float64]

HYPERBOLIC, EXPONENTIAL, EN_FORM = "hyperbolic", "exponential", "EN 1992-1-1"
LEAST_FREEDOM = 2
"""Tests that a fit must have beyond its parameters; common practice, no source."""
LATEST_START = 0.95
"""Greatest age at which hardening may begin, as a share of the age of the youngest test."""
LIMITING_TIMES = 10.0
"""Greatest limiting strength, as a multiple of the greatest tested strength, that a fit may find."""
_CLOSE = 1e-9


@dataclass(frozen=True, slots=True)
class Form:
    """A strength law: ``strength`` and ``age`` of given parameters, its slopes, and where a search begins.

    Attributes
    ----------
    parameters
        Names of the parameters; the first is a strength in proportion to which the law stands.
    strength, age
        Strength at ages in days, and age in days at strengths.
    slopes
        Derivatives of the strength by the parameters, ages by parameters.
    others
        Values of the other parameters among which the search begins, trials by parameters.
    limits
        Least and greatest values of the other parameters.
    """

    name: str
    source: Source
    parameters: tuple[str, ...]
    strength: Callable[[Column, Column], Column]
    age: Callable[[Column, Column], Column]
    slopes: Callable[[Column, Column], Matrix]
    others: Callable[[Column], Matrix]
    limits: Callable[[Column], tuple[list[float], list[float]]]


def _spread(p: Column, like: Column) -> list[Column]:
    return [np.full(like.shape, value) for value in p.tolist()]


def _hyperbola(t: Column, p: Column) -> Column:
    S_u, k, t_0 = _spread(p, t)
    return hyperbolic_strength.strength_at_age(
        age_days=t, limiting_strength=S_u, rate_per_day=k, dormant_days=t_0
    )


def _hyperbola_age(strength: Column, p: Column) -> Column:
    S_u, k, t_0 = _spread(p, strength)
    return hyperbolic_strength.age_at_strength(
        required_strength=strength, limiting_strength=S_u, rate_per_day=k, dormant_days=t_0
    )


def _hyperbola_slopes(t: Column, p: Column) -> Matrix:
    S_u, k, t_0 = p
    x = np.maximum(t - t_0, 0.0)
    P = 1.0 + k * x
    return np.column_stack([k * x / P, S_u * x / P**2, np.where(x > 0.0, -S_u * k / P**2, 0.0)])


def _exponential(t: Column, p: Column) -> Column:
    S_u, tau, beta = _spread(p, t)
    return exponential_strength.strength_at_age(
        age_days=t, limiting_strength=S_u, time_constant=tau, curve_shape=beta
    )


def _exponential_age(strength: Column, p: Column) -> Column:
    S_u, tau, beta = _spread(p, strength)
    return exponential_strength.age_at_strength(
        required_strength=strength, limiting_strength=S_u, time_constant=tau, curve_shape=beta
    )


def _exponential_slopes(t: Column, p: Column) -> Matrix:
    S_u, tau, beta = p
    t = np.maximum(t, exponential_strength.SHORTEST)
    u = (tau / t) ** beta
    E = np.exp(-u)
    return np.column_stack([E, -S_u * E * beta * u / tau, -S_u * E * u * np.log(tau / t)])


def _en(t: Column, p: Column) -> Column:
    f_cm, s = _spread(p, t)
    return f_cm * en1992_1_1_strength.age_factor(age_days=t, cement_coefficient=s)


def _en_age(strength: Column, p: Column) -> Column:
    f_cm, s = _spread(p, strength)
    return en1992_1_1_strength.age_at_mean_strength(
        required_strength=strength, mean_strength_28=f_cm, cement_coefficient=s
    )


def _en_slopes(t: Column, p: Column) -> Matrix:
    factor = _en(t, np.array([1.0, p[1]]))
    root = 1.0 - np.sqrt(28.0 / np.maximum(t, en1992_1_1_strength.SHORTEST))
    return np.column_stack([factor, p[0] * factor * root])


def _pairs(first: Column, second: Column) -> Matrix:
    a, b = np.meshgrid(first, second, indexing="ij")
    return np.column_stack([a.ravel(), b.ravel()])


FORMS = (
    Form(
        HYPERBOLIC,
        record_of(hyperbolic_strength.strength_at_age).source,
        ("Limiting strength", "Rate constant", "Strength starts"),
        _hyperbola,
        _hyperbola_age,
        _hyperbola_slopes,
        lambda t: _pairs(np.geomspace(0.01, 30.0, 50) / t.min(), np.linspace(0.0, 0.9, 10) * t.min()),
        lambda t: ([1e-5 / t.min(), 0.0], [1e4 / t.min(), LATEST_START * t.min()]),
    ),
    Form(
        EXPONENTIAL,
        record_of(exponential_strength.strength_at_age).source,
        ("Limiting strength", "Time constant", "Shape"),
        _exponential,
        _exponential_age,
        _exponential_slopes,
        lambda t: _pairs(np.geomspace(0.02 * t.min(), 5.0 * t.max(), 50), np.geomspace(0.15, 4.0, 16)),
        lambda t: ([1e-4 * t.min(), 0.05], [100.0 * t.max(), 10.0]),
    ),
    Form(
        EN_FORM,
        record_of(en1992_1_1_strength.age_factor).source,
        ("Mean strength 28 d", "Coefficient s"),
        _en,
        _en_age,
        _en_slopes,
        lambda t: np.linspace(0.02, 2.0, 40)[:, None],
        lambda t: ([1e-4], [5.0]),
    ),
)
BY_NAME = {form.name: form for form in FORMS}


@dataclass(frozen=True, slots=True)
class FormFit:
    """One strength law fitted to tests.

    Attributes
    ----------
    form
        The law.
    values, errors
        Parameters and their standard errors; a standard error is ``nan`` where the parameter is held at its bound.
    covariance
        Of the parameters; zero where one is held.
    tests, free
        Number of rows, and of parameters that were free.
    deviation
        Residual standard deviation of a single test. [MPa]
    r_squared
        Share of the variance that the law explains.
    criterion
        Akaike's information criterion with the correction for few tests; the least is the best law.
    refused
        Why the law could not be fitted; empty where it could.
    """

    form: Form
    values: Column
    errors: Column
    covariance: Matrix
    tests: int
    free: int
    deviation: float
    r_squared: float
    criterion: float
    refused: str = ""

    @property
    def freedom(self) -> int:
        """Degrees of freedom of the residuals."""
        return self.tests - self.free

    def mean(self, age_days: Column) -> Column:
        """Return the fitted strength at equivalent ages in days."""
        return self.form.strength(age_days, self.values)

    def age(self, strength: Column) -> Column:
        """Return the equivalent age in days at which the fitted law reaches strengths, ``inf`` where it never does."""
        return self.form.age(strength, self.values)

    def reach(self, age_days: Column, confidence: float) -> Column:
        """Return how far from the fitted strength the one-sided bound of a further single test lies, at each age.

        Student's t times the root of the residual variance plus that of the fitted strength, which follows from the
        covariance of the parameters by the law's slopes (delta method; Seber and Wild, Nonlinear Regression, 5.1).
        """
        slopes = self.form.slopes(age_days, self.values)
        variance = np.einsum("ij,jk,ik->i", slopes, self.covariance, slopes)
        return np.asarray(student.ppf(confidence, self.freedom) * np.sqrt(self.deviation**2 + variance))

    def lower(self, age_days: Column, confidence: float) -> Column:
        """Return the one-sided lower prediction bound of a single test, as the formula gives it."""
        return self.mean(age_days) - self.reach(age_days, confidence)

    def upper(self, age_days: Column, confidence: float) -> Column:
        """Return the one-sided upper prediction bound of a single test, as the formula gives it."""
        return self.mean(age_days) + self.reach(age_days, confidence)


def _refused(form: Form, tests: int, why: str) -> FormFit:
    count = len(form.parameters)
    none = np.full(count, np.nan)
    return FormFit(
        form, none, none, np.full((count, count), np.nan), tests, count, np.nan, np.nan, np.nan, why
    )


def fit_form(form: Form, age_days: Column, strength: Column, count: Column) -> FormFit:
    """Return a law fitted to tests by least squares, each row weighted by the number of specimens behind it.

    Parameters
    ----------
    form
        The law.
    age_days
        Equivalent age of each test, above 0. [d]
    strength
        Tested strength, above 0. [MPa]
    count
        Specimens whose mean the row is.

    Notes
    -----
    The search begins at the best of a grid of trials and follows the slopes (trust region, bounds). A hyperbola
    whose hardening would begin before time zero is fitted with a start at time zero and one parameter less.
    """
    tests, names = age_days.size, form.parameters
    if tests < len(names) + LEAST_FREEDOM:
        return _refused(
            form, tests, f"{tests} tests for {len(names)} parameters, {len(names) + LEAST_FREEDOM} needed"
        )
    scale = float(strength.max())
    y, root = strength / scale, np.sqrt(count)
    low, high = form.limits(age_days)
    start = _start(form, age_days, y, count, np.array([_CLOSE, *low]), np.array([LIMITING_TIMES, *high]))
    held = np.zeros(len(names), dtype=bool)
    found = _search(form, age_days, y, root, start, held, [_CLOSE, *low], [LIMITING_TIMES, *high])
    if form.name == HYPERBOLIC and found is not None and found[2] <= 1e-6 * float(age_days.min()):
        held[2] = True
        start = np.array([found[0], found[1], 0.0])
        found = _search(form, age_days, y, root, start, held, [_CLOSE, *low], [LIMITING_TIMES, *high])
    if found is None:
        return _refused(form, tests, "the search did not converge")
    upper, lower = np.array([LIMITING_TIMES, *high]), np.array([_CLOSE, *low])
    stuck = ~held & ((found >= upper * (1.0 - 1e-4)) | ((found <= lower * (1.0 + 1e-4)) & (lower > 0.0)))
    if stuck.any():
        named = names[int(np.flatnonzero(stuck)[0])]
        return _refused(form, tests, f"the tests do not fix the parameter {named}")
    return _judged(form, age_days, strength, count, found * np.r_[scale, np.ones(len(names) - 1)], held)


def _start(form: Form, age: Column, y: Column, count: Column, lower: Column, upper: Column) -> Column:
    """Return the best of the trials, each with the strength that fits it best."""
    trials = form.others(age)
    shapes = np.stack([form.strength(age, np.r_[1.0, trial]) for trial in trials])
    square = (count * shapes**2).sum(axis=1)
    best = np.where(square > 0.0, (count * shapes * y).sum(axis=1) / np.where(square > 0.0, square, 1.0), 0.0)
    best = np.clip(best, lower[0] * 2.0, upper[0] * 0.99)
    left = (count * (y - best[:, None] * shapes) ** 2).sum(axis=1)
    place = int(np.argmin(left))
    return np.asarray(np.r_[best[place], trials[place]], dtype=np.float64)


def _search(
    form: Form,
    age: Column,
    y: Column,
    root: Column,
    start: Column,
    held: NDArray[np.bool_],
    low: list[float],
    high: list[float],
) -> Column | None:
    """Return the parameters at the least sum of squares, ``None`` where the search does not converge."""
    free = ~held
    lower, upper = np.array(low)[free], np.array(high)[free]
    inside = np.clip(start[free], lower + 1e-9 * (upper - lower), upper - 1e-9 * (upper - lower))

    def whole(p: Column) -> Column:
        values = start.copy()
        values[free] = p
        return values

    def misfit(p: Column) -> Column:
        return np.asarray(root * (form.strength(age, whole(p)) - y))

    def slopes(p: Column) -> Matrix:
        return np.asarray(root[:, None] * form.slopes(age, whole(p))[:, free])

    found = least_squares(
        misfit, inside, jac=slopes, bounds=(lower, upper), x_scale="jac", xtol=1e-12, ftol=1e-14, gtol=1e-12,
        max_nfev=2000,
    )  # fmt: skip
    if not found.success or not np.isfinite(found.x).all():
        return None
    return whole(np.asarray(found.x, dtype=np.float64))


def _judged(
    form: Form, age: Column, strength: Column, count: Column, values: Column, held: NDArray[np.bool_]
) -> FormFit:
    """Return the fit with errors, bounds and criterion of its parameters."""
    tests, free = age.size, int((~held).sum())
    residual = strength - form.strength(age, values)
    squares = float((count * residual**2).sum())
    mean = float((count * strength).sum() / count.sum())
    total = float((count * (strength - mean) ** 2).sum())
    variance = squares / (tests - free)
    slopes = form.slopes(age, values)[:, ~held]
    size = np.maximum(np.abs(values[~held]), _CLOSE)
    normal = (slopes * size).T @ (count[:, None] * slopes * size)
    if not np.isfinite(normal).all() or np.linalg.cond(normal) > 1e13:
        return _refused(form, tests, "the tests do not tell its parameters apart")
    own = variance * np.linalg.inv(normal) * np.outer(size, size)
    covariance = np.zeros((values.size, values.size))
    covariance[np.ix_(~held, ~held)] = own
    errors = np.full(values.size, np.nan)
    errors[~held] = np.sqrt(np.diag(own))
    return FormFit(
        form,
        values,
        errors,
        covariance,
        tests,
        free,
        float(np.sqrt(variance)),
        1.0 - squares / total if total > 0.0 else np.nan,
        corrected_criterion(squares, tests, free + 1),
    )


def corrected_criterion(squares: float, tests: int, parameters: int) -> float:
    """Return Akaike's information criterion with its correction for few tests (Hurvich and Tsai, 1989).

    ``parameters`` counts the variance too; ``inf`` where there are too few tests for the correction.

    By hand: 10 ln(20/10) + 6 + 2 x 3 x 4 / 6 = 16.93.

    >>> round(corrected_criterion(20.0, 10, 3), 2)
    16.93
    """
    rest = tests - parameters - 1
    if rest <= 0:
        return np.inf
    least = max(squares / tests, 1e-300)
    return float(tests * np.log(least) + 2.0 * parameters + 2.0 * parameters * (parameters + 1) / rest)
