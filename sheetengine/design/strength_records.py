"""What the run record says of the strength: which fit, and which of mean, characteristic or bound enters which gate."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from sheetengine.design.readiness import GATE_NAMES
from sheetengine.design.specimens import FITTED, MixFit

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation

_UNITS = {
    "Limiting strength": "MPa",
    "Mean strength 28 d": "MPa",
    "Rate constant": "1/d",
    "Strength starts": "d",
    "Time constant": "d",
}


def fitted_words(mix: MixFit | None) -> str:
    """Return how the strength of a mix was fitted, for the line of its strength curve."""
    if mix is None or mix.chosen < 0:
        return "no curve was fitted" + (f": {mix.refusal.reason}" if mix is not None and mix.refusal else "")
    fit = mix.fit
    parts = []
    for name, value, error in zip(fit.form.parameters, fit.values.tolist(), fit.errors.tolist(), strict=True):
        within = "held" if np.isnan(error) else f"s.e. {error:.2g}"
        parts.append(f"{name} {value:.4g} {_UNITS.get(name, '')}".rstrip() + f" ({within})")
    kind = "characteristic values" if mix.characteristic else "measured strengths"
    return (
        f"{fit.form.name}, {', '.join(parts)}; {fit.tests} {kind} as those of cylinders, equivalent ages {mix.age_days.min():.3g} to "
        f"{mix.age_days.max():.3g} d, residual deviation {fit.deviation:.3g} MPa, R2 {fit.r_squared:.4f}; lower prediction bound of a "
        f"single test at a confidence of {mix.confidence:g}, Student's t with {fit.freedom} degrees of freedom, 0 before the "
        "youngest test, the least of this and any later age up to the oldest, held after it"
    )


def gate_lines(c: Calculation) -> list[tuple[str, str]]:
    """Return which strength every gate and anchor ratio rests on, by mix."""
    mixes = c.job.table("Mixes")
    used = np.unique(c.layout.mix).tolist()
    fitted = [str(mixes.label("mix")[mix]) for mix in used if mixes.label("strength_curve")[mix] == FITTED]
    others = [str(mixes.label("mix")[mix]) for mix in used if mixes.label("strength_curve")[mix] != FITTED]
    kinds = []
    if others:
        kinds.append(f"the characteristic strength of {', '.join(others)}")
    if fitted:
        kinds.append(f"the lower prediction bound of {', '.join(fitted)}")
    words = " and ".join(kinds)
    lines = [(f"Strength in the gate {gate}", f"{words}; not the mean") for gate in GATE_NAMES]
    lines.append(("Strength in the anchor ratios", f"{words}; not the mean"))
    if fitted:
        lines.append(
            (
                "What the bound holds",
                "Scatter of single tests about the curve, taken to be the same at every age, and the errors of its parameters. It does not hold the error of the activation or "
                "datum temperature, nor the difference between specimen and structure, nor batches that were not tested.",
            )
        )
    return lines
