"""The columns of the result sheets ``Strongbacks`` and ``Filling``, in base units, by their headings."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from sheetengine.columns import Column, texts
from sheetengine.design.filling import governed, profile, shown_lift
from sheetengine.design.leaning_strongbacks import envelope
from sheetengine.design.strongback_peaks import Beams
from sheetengine.design.strongbacks import BRACE, CHECKS, MOMENT, OFFSET, SHEAR

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation

Columns = dict[str, NDArray[Any]]
ENVELOPE_HEIGHTS = 33


def _keys(c: Calculation) -> Columns:
    table = c.job.table("Lifts")
    return {"Block": table.raw["block"], "Lift": table.raw["lift"]}


def strongback_columns(c: Calculation) -> Columns:
    """Return the rows of ``Strongbacks``: one a lift, for one strongback of its unit."""
    s = c.strongbacks
    blank = [
        ", ".join(check for check in CHECKS if np.isnan(s.ratios[check][item]))
        for item in range(len(c.job.table("Lifts")))
    ]
    return {
        **_keys(c),
        "Hinge reaction [kN]": s.hinge.value,
        "Brace reaction [kN]": s.brace.value,
        "Brace force [kN]": s.axial,
        "Hinge pull [kN]": s.pull,
        "Greatest moment [kN*m]": s.moment.value,
        "Moment at [m]": s.moment.height,
        "Greatest shear [kN]": s.shear.value,
        "Shear at [m]": s.shear.height,
        "Deflection top [mm]": s.top.value,
        "Deflection between supports [mm]": s.span.value,
        "Lean-in [mm]": s.lean,
        "Lean-in set [mm]": c.job.table("Lifts").number("lean_in_set"),
        "Offset [mm]": s.offset,
        "Moment ratio": s.ratios[MOMENT],
        "Shear ratio": s.ratios[SHEAR],
        "Brace ratio": s.ratios[BRACE],
        "Offset ratio": s.ratios[OFFSET],
        "Governing": s.governing,
        "Verdict": s.verdict,
        "Not checked": texts(blank),
        "Level: hinge [m]": s.hinge.level,
        "Level: brace [m]": s.brace.level,
        "Level: moment [m]": s.moment.level,
        "Level: shear [m]": s.shear.level,
        "Level: deflection top [m]": s.top.level,
        "Level: deflection between [m]": s.span.level,
        "Level: anchor tension [m]": s.tension_level,
        "Level: foot force [m]": s.foot_level,
        "Width carried [m]": s.share,
    }


def envelope_of(c: Calculation) -> tuple[str, Columns] | None:
    """Return the lift whose strongbacks are used most, and moment and shear force of one of them over the height.

    Where no capacity is given the lift with the greatest moment is taken; ``None`` where nothing is computed.
    """
    s = c.strongbacks
    use = s.ratio if np.isfinite(s.ratio).any() else np.abs(s.moment.value)
    if not np.isfinite(use).any():
        return None
    item = int(np.argmax(np.where(np.isnan(use), -np.inf, use)))
    one = s.beams.taken(np.array([item], dtype=np.int64))
    hinge, brace, panel = float(one.hinge[0]), float(one.brace[0]), float(one.panel[0])
    even = np.linspace(min(hinge, 0.0), panel, ENVELOPE_HEIGHTS)
    sides = np.nextafter([hinge, brace], -np.inf)
    heights = np.unique(np.r_[even, hinge, brace, sides, s.moment.height[item]])
    beams: Beams = s.beams.taken(np.full(heights.size, item, dtype=np.int64))
    share: Column = s.share[item]
    most, least, up, down = envelope(beams, float(s.leans.head[item]), heights)
    return c.job.lift_name(item), {
        "Height [m]": heights,
        "Moment, outward bow [kN*m]": most * share,
        "Moment, inward bow [kN*m]": least * share,
        "Shear, greatest [kN]": up * share,
        "Shear, least [kN]": down * share,
    }


def filling_columns(c: Calculation) -> Columns:
    """Return the rows of ``Filling``: one a lift."""
    f = c.filling
    return {
        **_keys(c),
        "Rise rate [m/h]": c.layout.rise,
        "Hours to fill [h]": f.hours,
        "Layer depth [m]": f.depth,
        "Layers": f.layers,
        "Layer interval [h]": f.interval,
        "Longest exposure [h]": f.exposure,
        "Exposure window [h]": f.window,
        "Least rise rate [m/h]": f.least_rise,
        "Exposure ratio": f.ratio,
        "Verdict": f.verdict,
        "Layer pressure [kPa]": f.step,
        "Maximum pressure [kPa]": np.where(c.too_steep, np.nan, c.pressure.maximum),
        "Pressure by": governed(f),
    }


def filling_of(c: Calculation) -> tuple[str, Columns, Columns]:
    """Return the lift whose filling is shown, its levels and pressures by hour, and its pressure by height and hour."""
    item = shown_lift(c.job, c.pressure.panel_ratio, c.too_steep)
    maximum = np.nan if c.too_steep[item] else float(c.pressure.maximum[item])
    found = profile(c.job, c.layout, item, maximum)
    return c.job.lift_name(item), found.by_hour, found.by_height
