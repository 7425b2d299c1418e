"""The hours of margin of every lift, one row a lift."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from sheetengine.columns import Column, Texts, texts
from sheetengine.design.programme import GRAVITY_OF
from sheetengine.design.readiness import AFTER_STRIPPING_ABOVE, GATE_NAMES
from sheetengine.design.verdicts import WITHIN

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation

HOURS_A_MARK = 12.0
MARKS = 14
"""How many marks a bar has at most; a longer one ends with an arrow."""
SHORT, IN_HAND, ZERO = "\u25e2", "\u2580", "\u2502"


def margin_bar(hours: float) -> str:
    """Return hours of margin as a bar of characters, left of the line where they are short, right where they are in hand.

    Examples
    --------
    >>> margin_bar(30.0).strip(), margin_bar(-20.0).strip()
    ('│▀▀▀', '◢◢│')
    """
    if np.isnan(hours):
        return ""
    wanted = int(np.ceil(min(abs(hours), 1e6) / HOURS_A_MARK - 1e-9))
    marks = (SHORT if hours < 0.0 else IN_HAND) * min(wanted, MARKS)
    if hours < 0.0:
        return (("\u2039" if wanted > MARKS else "") + marks).rjust(MARKS + 1, "\u2007") + ZERO
    return "\u2007" * (MARKS + 1) + ZERO + marks + ("\u203a" if wanted > MARKS else "")


def margins_by_lift(c: Calculation) -> tuple[Column, Column, Texts, Texts]:
    """Return margins, gates by lifts, the least of each lift, the gate with it, and the gravest verdict.

    A gate that only waits for the stripping of the lift above is shown, and told in the row of that lift.

    Returns
    -------
    tuple
        Margins of the lift's own gates, ``nan`` where it has none or it is not known [h]; least margin [h]; name of
        its gate; verdict.
    """
    count = len(c.job.table("Lifts"))
    margin = np.full((len(GATE_NAMES), count), np.nan)
    margin[c.gates.gate, c.gates.lift] = c.gates.margin
    own = c.gates.governed_by != AFTER_STRIPPING_ABOVE
    counted = np.full_like(margin, np.nan)
    counted[c.gates.gate[own], c.gates.lift[own]] = c.gates.margin[own]
    filled = np.where(np.isnan(counted), np.inf, counted)
    which = np.argmin(filled, axis=0)
    least = filled[which, np.arange(count)]
    known = np.asarray(~np.isnan(counted).all(axis=0))
    words = texts([WITHIN] * count)
    for item, said in zip(c.gates.lift[own].tolist(), c.gate_verdict[own].tolist(), strict=True):
        if GRAVITY_OF[said] > GRAVITY_OF[words[item]]:
            words[item] = said
    names = texts(
        GATE_NAMES[gate] if some else "" for gate, some in zip(which.tolist(), known.tolist(), strict=True)
    )
    return margin, np.where(known, least, np.nan), names, words
