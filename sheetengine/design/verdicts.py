"""The words in which a row is judged; ``nan`` never passes."""

from __future__ import annotations

import numpy as np

from sheetengine.columns import Column, Flags, Texts, texts

WITHIN = "Within"
NEAR_LIMIT = "Near limit"
EXCEEDS = "Exceeds"
OUTSIDE_SCOPE = "Outside scope"
NOT_COMPUTED = "Not computed"

VERDICTS = (WITHIN, NEAR_LIMIT, EXCEEDS, OUTSIDE_SCOPE, NOT_COMPUTED)
OPEN_VERDICTS = (EXCEEDS, OUTSIDE_SCOPE, NOT_COMPUTED)
"""Verdicts that end a run with status 1."""


def verdicts(
    ratio: Column, threshold: float, *, outside: Flags | None = None, withheld: Flags | None = None
) -> Texts:
    """Return the verdict of each ratio.

    Parameters
    ----------
    ratio
        Demand over resistance; ``nan`` where it could not be computed. [-]
    threshold
        Ratio from which a row reads ``Near limit``. [-]
    outside
        Rows outside a method's scope, whatever their ratio.
    withheld
        Rows that are not to be computed, whatever their ratio.

    Examples
    --------
    >>> verdicts(np.array([0.5, 0.95, 1.0, 1.01, np.nan]), 0.9).tolist()
    ['Within', 'Near limit', 'Near limit', 'Exceeds', 'Not computed']
    """
    word = np.full(ratio.shape, NOT_COMPUTED, dtype=object)
    word[ratio <= 1.0] = NEAR_LIMIT
    word[ratio < threshold] = WITHIN
    word[ratio > 1.0] = EXCEEDS
    if outside is not None:
        word[outside] = OUTSIDE_SCOPE
    if withheld is not None:
        word[withheld] = NOT_COMPUTED
    return texts(word)
