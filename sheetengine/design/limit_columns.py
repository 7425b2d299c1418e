"""The columns of the sheet ``Working limits`` and of the sensitivity grid, in base units."""

from __future__ import annotations

import numpy as np

from sheetengine.columns import texts
from sheetengine.design.calculate import Calculation
from sheetengine.design.result_columns import Columns, keys_of, refused
from sheetengine.design.rise_window import rise_window
from sheetengine.design.sensitivity import Sensitivity
from sheetengine.design.stages import FILLED
from sheetengine.design.ways import cost_text, ways
from sheetengine.design.wording import Wording


def limit_columns(c: Calculation) -> Columns:
    """Return the rows of ``Working limits``: one a lift and stage, in the order of ``Anchor demand``."""
    lifts, found, limits = c.job.table("Lifts"), c.cases, c.proof.limits
    withheld = c.withheld | refused(c)
    shown = np.where(withheld | np.isnan(c.demand.ratio), np.nan, 1.0)
    carrier = np.maximum(found.carrier, 0)
    age = np.where(found.carrier >= 0, (c.case_ready - c.layout.anchor_hour[carrier]) / 24.0, np.nan)
    age = np.where(np.isinf(c.case_ready), np.inf, np.maximum(age, 0.0))
    age = np.where((found.carrier >= 0) & ~np.isnan(c.case_ready), age, np.nan)
    placing = np.isin(found.stage, FILLED)
    panel = np.where(placing & ~c.too_steep[found.lift], c.pressure.greatest_rise[found.lift], np.nan)
    window = rise_window(c)
    least = np.where(placing, window.least[found.lift], np.nan)
    greatest = window.greatest[found.lift]
    say = Wording(c.job.text("Result units") == "US")
    first, others = [], []
    for case, over in enumerate((~np.isnan(shown) & (c.demand.ratio > 1.0)).tolist()):
        known = ways(c, say, case) if over else []
        put = [f"{way.text} ({cost_text(way.hours)})" for way in known]
        first.append(put[0] if put else ("more than one change is needed" if over else ""))
        others.append("; ".join(put[1:]))
    return {
        **keys_of(c, found.lift),
        "Stage": found.names(),
        "Demand ratio": c.demand.ratio * shown,
        "Greatest rise rate, anchors [m/h]": limits.rise * shown,
        "Greatest rise rate, panel [m/h]": panel,
        "Greatest rise rate, strongbacks [m/h]": np.where(placing, c.strongback_rise[found.lift], np.nan),
        "Planned rise rate [m/h]": np.where(placing, c.layout.rise[found.lift], np.nan),
        "Least rise rate [m/h]": least,
        "Window left [m/h]": greatest - least,
        "Greatest lift height [m]": limits.height * shown,
        "Planned height [m]": np.where(placing, lifts.number("height")[found.lift], np.nan),
        "Greatest anchor spacing [m]": limits.spacing * shown,
        "Anchors on the face": limits.spacing_anchors * shown,
        "Planned spacing [m]": lifts.number("anchor_spacing")[found.holder],
        "Least embedment [mm]": limits.embedment * shown,
        "Least age [d]": age * shown,
        "Change at least cost": texts(first),
        "Other changes": texts(others),
    }


def grid_columns(found: Sensitivity) -> Columns:
    """Return the sensitivity grid: a column for the rate of rise, and one for each temperature."""
    columns: Columns = {"Rise rate [m/h]": found.rise}
    for place, temperature in enumerate(found.temperature.tolist()):
        columns[f"{temperature:.4g} degC"] = found.ratio[:, place]
    return columns
