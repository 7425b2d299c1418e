"""The columns of the sheets ``Earlier gates`` and ``Readiness board``, in base units."""

from __future__ import annotations

import numpy as np

from sheetengine.columns import texts
from sheetengine.design.calculate import Calculation
from sheetengine.design.earlier_gates import step_text
from sheetengine.design.readiness import GATE_NAMES
from sheetengine.design.readiness_board import margin_bar, margins_by_lift
from sheetengine.design.result_columns import Columns, keys_of
from sheetengine.design.wording import Wording


def earlier_columns(c: Calculation) -> Columns:
    """Return the rows of ``Earlier gates``: one a lift and gate."""
    g, earlier = c.gates, c.earlier
    say = Wording(c.job.text("Result units") == "US")
    named = {name: step_text(c, say, name) for name in earlier.gains}
    names, hours = earlier.best
    return {
        **keys_of(c, g.lift),
        "Gate": texts(GATE_NAMES[gate] for gate in g.gate.tolist()),
        "Planned": g.planned,
        "Ready at": np.where(np.isinf(g.ready), np.nan, g.ready),
        "Margin [h]": np.where(np.isinf(g.margin), np.nan, g.margin),
        "Governed by": g.governed_by,
        **{f"{name} [h]": gain for name, gain in earlier.gains.items()},
        "Rest to add [h]": earlier.rest,
        "Most gained by": texts(
            f"{named[name]}: {'opens' if np.isinf(gain) else f'{gain:.1f} h'}" if name else ""
            for name, gain in zip(names.tolist(), hours.tolist(), strict=True)
        ),
    }


def board_columns(c: Calculation) -> Columns:
    """Return the rows of ``Readiness board``: one a lift."""
    margin, least, gate, verdict = margins_by_lift(c)
    every = np.arange(least.size, dtype=np.int64)
    return {
        **keys_of(c, every),
        **{
            f"{name} [h]": np.where(np.isinf(own), np.nan, own)
            for name, own in zip(GATE_NAMES, margin, strict=True)
        },
        "Least margin [h]": np.where(np.isinf(least), np.nan, least),
        "Least at": gate,
        "Short, or in hand": texts(margin_bar(hours) for hours in least.tolist()),
        "Verdict": verdict,
    }


LIFTS_DRAWN = 28
"""Lifts that the chart of the board has room for on a page."""


def board_of(c: Calculation) -> Columns:
    """Return the least margins for the chart, in the order of the sheet; of many lifts those with the least."""
    _, least, _, _ = margins_by_lift(c)
    known = np.flatnonzero(np.isfinite(least))
    drawn = np.sort(known[np.argsort(least[known], kind="stable")[:LIFTS_DRAWN]])
    return {
        "Lift": texts(c.job.lift_name(item) for item in drawn.tolist()),
        "Too early [h]": np.minimum(least[drawn], 0.0),
        "In hand [h]": np.maximum(least[drawn], 0.0),
    }
