"""Findings of the mixes' own tests: what was refused, what they say against the chosen curve, what they do not cover."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from sheetengine.columns import Rows, Table
from sheetengine.design.customary import to_degf
from sheetengine.design.ripening import ANNEX, ARRHENIUS, LEAST_BATHS, baths_of
from sheetengine.design.specimen_columns import standard_residuals
from sheetengine.design.specimens import HOURS_A_DAY, MixFit
from sheetengine.findings import Code, Finding, Level

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation
    from sheetengine.design.flags import Places
    from sheetengine.design.wording import Wording

FAR_OFF = 3.0
"""Standard residual beyond which a test is questioned; common practice, no source."""


def _degrees(value: float, us: bool) -> str:
    return f"{float(to_degf(np.array([value]))[0]):.3g} degF" if us else f"{value:.3g} degC"


def _rows_text(table: Table, rows: Rows, most: int = 8) -> str:
    listed = ", ".join(str(int(table.rows[item])) for item in rows[:most].tolist())
    more = f" and {rows.size - most} more" if rows.size > most else ""
    return f"row{'s' if rows.size > 1 else ''} {listed}{more}"


def specimen_flags(c: Calculation, say: Wording, places: Places) -> Iterator[Finding]:
    """Return the findings of every mix that has rows in ``Specimens``."""
    for number in sorted(c.curves.fits.by_mix):
        mix = c.curves.fits.by_mix[number]
        name = str(c.job.table("Mixes").label("mix")[number])
        yield from _refused(c, mix, name, places)
        yield from _ripening(c, mix, name)
        if mix.chosen >= 0:
            yield from _not_followed(c, mix, name, say)
            yield from _far_off(c, mix, name, say)
            yield from _weak_baths(c, mix, name, say)
            yield from _beyond(c, mix, name, say, places)


def _refused(c: Calculation, mix: MixFit, name: str, places: Places) -> Iterator[Finding]:
    if mix.refusal is None:
        return
    table = c.job.table("Specimens")
    lifts = np.flatnonzero(c.layout.mix == mix.mix)
    blocks = mix.wanted and lifts.size > 0
    so = (
        f" The strength of lifts {places.some(lifts)}, and all that rests on it, is not computed."
        if blocks
        else ""
    )
    yield Finding(
        Level.STOP if blocks else Level.NOTE, Code.NOT_COMPUTED, table.at(int(mix.refusal.rows[0]), "strength"),
        f"Mix {name}: no strength curve was fitted to its specimens ({_rows_text(table, mix.refusal.rows)}): "
        f"{mix.refusal.reason}.{so}",
        clears=mix.refusal.clears, keys=(name, "fit"), heading="Strength",
    )  # fmt: skip


def _ripening(c: Calculation, mix: MixFit, name: str) -> Iterator[Finding]:
    found, table, mixes = mix.ripening, c.job.table("Specimens"), c.job.table("Mixes")
    arrhenius = found.function == ARRHENIUS
    what, unit = ("activation temperature", "K") if arrhenius else ("datum temperature", "degC")
    key = "activation_temperature" if arrhenius else "datum_temperature"
    if found.from_tests and mix.wanted:
        yield Finding(
            Level.NOTE, Code.PLAUSIBILITY, mixes.at(mix.mix, key),
            f"Mix {name}: its specimens give an {what} of {found.value:.4g} {unit} with a standard error of {found.error:.2g} K; it "
            f"is used in place of {found.stated:.4g} {unit}.".replace("an datum", "a datum"),
            found=f"{found.value:.4g} {unit}", source=ANNEX,
            clears="Compare it with what is known of the cement: ways to fit the same tests differ by up to 20 %.",
            keys=(name, "ripening"), heading=what.capitalize(),
        )  # fmt: skip
    if found.why_not:
        many = found.baths.size >= LEAST_BATHS
        yield Finding(
            Level.ACCEPT if many and mix.wanted else Level.NOTE, Code.DEFAULT_TAKEN,
            table.at(int(mix.rows[0]), "curing_temperature"),
            f"Mix {name}: its specimens give no {what} ({found.why_not}); that of Mixes, {found.stated:.4g} {unit}, is taken.",
            found=f"{found.stated:.4g} {unit}", source=ANNEX,
            clears=f"Test at {LEAST_BATHS} curing temperatures or more, each at 5 ages or more, or accept the stated value.",
            keys=(name, "no ripening"), heading="Curing temperature",
        )  # fmt: skip


def _not_followed(c: Calculation, mix: MixFit, name: str, say: Wording) -> Iterator[Finding]:
    if mix.wanted or mix.claimed is None:
        return
    mixes, curve = c.job.table("Mixes"), str(c.job.table("Mixes").label("strength_curve")[mix.mix])
    ages = np.unique(mix.age_days)
    rows = np.full(ages.shape, mix.mix, dtype=np.int64)
    by_curve = c.curves.strength_at(rows, ages * HOURS_A_DAY)
    bound = np.interp(ages, mix.claimed.age_days, mix.claimed.lower)
    over = np.flatnonzero(by_curve > 1.001 * bound)
    said = ""
    if over.size:
        at = over[int(np.argmax(by_curve[over] - bound[over]))]
        said = (
            f" At {ages[at]:.3g} d that curve gives {say.strength(float(by_curve[at]))}, and the lower bound of the tests is "
            f"{say.strength(float(bound[at]))}."
        )
    yield Finding(
        Level.ACCEPT if over.size else Level.NOTE, Code.PLAUSIBILITY, mixes.at(mix.mix, "strength_curve"),
        f"Mix {name} has {mix.rows.size} tests in Specimens, and its strength follows {curve}.{said}",
        found=curve, clears="Choose Fitted to specimens under Strength curve, or accept the curve against the tests.",
        keys=(name, "not followed"), heading="Strength curve",
    )  # fmt: skip


def _far_off(c: Calculation, mix: MixFit, name: str, say: Wording) -> Iterator[Finding]:
    table = c.job.table("Specimens")
    standard = standard_residuals(c, mix)
    for place in np.flatnonzero(np.abs(standard) > FAR_OFF).tolist():
        item = int(mix.rows[place])
        fitted = float(mix.fit.mean(mix.age_days[place : place + 1])[0])
        yield Finding(
            Level.ACCEPT, Code.PLAUSIBILITY, table.at(item, "strength"),
            f"Mix {name}: this test gives {say.strength(float(mix.strength[place]))} as cylinder strength where the curve fitted to all has "
            f"{say.strength(fitted)}, {abs(standard[place]):.1f} standard deviations away.",
            found=say.strength(float(mix.strength[place])), limit=f"{FAR_OFF:g} standard deviations",
            clears="Look the specimen up; take it out only with a reason on file, or accept it.",
            keys=(name, "far off", str(int(table.rows[item]))), heading="Strength",
        )  # fmt: skip


def _weak_baths(c: Calculation, mix: MixFit, name: str, say: Wording) -> Iterator[Finding]:
    """Yield the curing temperatures whose tests lie below the common curve by more than their scatter explains."""
    table = c.job.table("Specimens")
    bath = baths_of(table.number("curing_temperature")[mix.rows])
    count = table.number("count")[mix.rows]
    left = mix.strength - mix.fit.mean(mix.age_days)
    for number in range(int(bath.max()) + 1 if bath.max() else 0):
        own = bath == number
        mean = float((count * left)[own].sum() / count[own].sum())
        error = mix.fit.deviation / float(np.sqrt(count[own].sum()))
        if mean < -FAR_OFF * error:
            item = int(mix.rows[np.flatnonzero(own)[0]])
            at = float(table.number("curing_temperature")[item])
            yield Finding(
                Level.ACCEPT, Code.PLAUSIBILITY, table.at(item, "curing_temperature"),
                f"Mix {name}: tests cured near {_degrees(at, say.us)} lie {say.strength(-mean)} below the curve fitted to all, more than "
                "their scatter explains. Concrete cured warm loses late strength, which no maturity function knows.",
                found=say.strength(mean), limit=f"{FAR_OFF:g} standard errors",
                clears="Fit without this temperature where no lift becomes so warm or cold, or accept it for lifts that do.",
                keys=(name, "bath", f"{at:.3g}"), heading="Curing temperature",
            )  # fmt: skip


def _beyond(c: Calculation, mix: MixFit, name: str, say: Wording, places: Places) -> Iterator[Finding]:
    if not mix.wanted or mix.claimed is None:
        return
    gates = c.gates
    asked = (c.layout.mix[gates.lift] == mix.mix) & np.isfinite(gates.required)
    unmet = asked & (gates.required > mix.claimed.lower[-1])
    if unmet.any():
        table = c.job.table("Specimens")
        oldest = int(mix.rows[int(np.argmax(mix.age_days))])
        greatest = float(mix.claimed.lower[-1])
        yield Finding(
            Level.NOTE, Code.NEEDS_TESTS, table.at(oldest, "age"),
            f"Mix {name}: gates of lifts {places.some(np.unique(gates.lift[unmet]))} ask for more than {say.strength(greatest)}, the lower "
            f"bound at the oldest test ({mix.claimed.age_days[-1]:.3g} d); nothing is claimed beyond it.",
            found=say.strength(greatest), limit=say.strength(float(gates.required[unmet].max())),
            clears="Test older specimens.", about=places.names(np.unique(gates.lift[unmet])), keys=(name, "oldest"), heading="Age",
        )  # fmt: skip
