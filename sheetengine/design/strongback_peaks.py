"""Worst loads of strongbacks over every level of the concrete, wind both ways, on a metre of face."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sheetengine.clauses.strongback import brace_reaction, deflection, hinge_reaction, moment, shear
from sheetengine.clauses.strongback_levels import brace_least_level, hinge_worst_level, zero_shear_height
from sheetengine.clauses.strongback_section_levels import (
    greatest_shear_level,
    hogging_level,
    least_shear_level,
    sagging_level,
)
from sheetengine.columns import Column
from sheetengine.design.bracketing import greatest
from sheetengine.design.layout import Index

SPAN_FINENESS = 3e-7
"""What may be missed of the deflection between supports, which is sought over height and level at once."""


@dataclass(frozen=True, slots=True)
class Beams:
    """Strongbacks on a metre of face, one entry a row: supports, panel, concrete, wind while it rises and in the storm.

    The working wind may meet any level of the concrete, the storm the empty panel; both blow both ways.
    """

    hinge: Column
    brace: Column
    panel: Column
    lift: Column
    maximum: Column
    density: Column
    working: Column
    storm: Column

    def taken(self, rows: Index) -> Beams:
        """Return the beams of some rows."""
        return Beams(*(getattr(self, name)[rows] for name in self.__dataclass_fields__))

    def load(self, level: Column, wind: Column) -> dict[str, Column]:
        """Return concrete, wind and supports as the formulas name them."""
        return {
            "maximum_pressure": self.maximum, "weight_density": self.density, "concrete_level": level,
            "wind_pressure": wind, "hinge_height": self.hinge, "brace_height": self.brace,
            "panel_height": self.panel,
        }  # fmt: skip

    def rise(self) -> dict[str, Column]:
        """Return concrete and supports as the formulas of the worst level name them."""
        return {
            "maximum_pressure": self.maximum, "weight_density": self.density, "placement_height": self.lift,
            "hinge_height": self.hinge, "brace_height": self.brace,
        }  # fmt: skip


@dataclass(frozen=True, slots=True)
class Peak:
    """A value of greatest amount with its sign, the level of the concrete and the height at which it stands."""

    value: Column
    level: Column
    height: Column


@dataclass(frozen=True, slots=True)
class Peaks:
    """The peaks of every row; deflections times the stiffness. [kN/m], [kN*m/m], [kN*m3/m].

    ``plumb`` is the deflection of the full lift at its top without wind, times the stiffness, and ``plumb_of_wind``
    that by a load of one on the whole panel.
    """

    hinge: Peak
    brace: Peak
    moment: Peak
    shear: Peak
    top: Peak
    span: Peak
    plumb: Column
    plumb_of_wind: Column


def largest(peaks: Sequence[Peak]) -> Peak:
    """Return, row by row, the peak of greatest amount; ``nan`` where any of them is."""
    amount = np.abs(np.stack([peak.value for peak in peaks]))
    best = np.argmax(np.where(np.isnan(amount), np.inf, amount), axis=0)

    def of(name: str) -> Column:
        table = np.stack([getattr(peak, name) for peak in peaks])
        return np.asarray(np.take_along_axis(table, best[np.newaxis], axis=0)[0])

    return Peak(of("value"), of("level"), of("height"))


def _with_wind(concrete: Column, unit_wind: Column, wind: Column) -> Column:
    """Return the concrete's effect with the wind blowing the way that makes it larger in amount."""
    return concrete + np.where(concrete < 0.0, -1.0, 1.0) * wind * np.abs(unit_wind)


def _none(b: Beams) -> Column:
    return np.zeros_like(b.lift)


def _one(b: Beams) -> Column:
    return np.ones_like(b.lift)


def _reaction_peaks(b: Beams) -> tuple[Peak, Peak]:
    rise = b.rise()
    turns = (
        hinge_worst_level(**{name: rise[name] for name in rise if name != "hinge_height"}),
        brace_least_level(**{name: rise[name] for name in rise if name != "brace_height"}),
    )
    found = []
    for formula, turn, height in zip(
        (hinge_reaction, brace_reaction), turns, (b.hinge, b.brace), strict=True
    ):
        wind = formula(**b.load(_none(b), _one(b)))
        levels = (b.lift, turn, _none(b))
        peaks = [
            Peak(_with_wind(formula(**b.load(level, _none(b))), wind, b.working), level, height)
            for level in levels
        ]
        found.append(largest([*peaks, Peak(b.storm * wind, _none(b), height)]))
    return found[0], found[1]


def moment_range(b: Beams, height: Column) -> tuple[Peak, Peak]:
    """Return greatest and least moment at a height over every level, wind both ways."""
    wind = np.abs(moment(height=height, **b.load(_none(b), _one(b))))
    high, low = sagging_level(height=height, **b.rise()), hogging_level(height=height, **b.rise())
    most = moment(height=height, **b.load(high, _none(b))) + b.working * wind
    least = moment(height=height, **b.load(low, _none(b))) - b.working * wind
    return _storm_beside(most, least, high, low, b.storm * wind, height)


def shear_range(b: Beams, height: Column) -> tuple[Peak, Peak]:
    """Return greatest and least shear force at a height over every level, wind both ways."""
    wind = np.abs(shear(height=height, **b.load(_none(b), _one(b))))
    high, low = greatest_shear_level(height=height, **b.rise()), least_shear_level(height=height, **b.rise())
    most = shear(height=height, **b.load(high, _none(b))) + b.working * wind
    least = shear(height=height, **b.load(low, _none(b))) - b.working * wind
    return _storm_beside(most, least, high, low, b.storm * wind, height)


def _storm_beside(
    most: Column, least: Column, high: Column, low: Column, storm: Column, height: Column
) -> tuple[Peak, Peak]:
    return (
        Peak(np.maximum(most, storm), np.where(storm > most, 0.0, high), height),
        Peak(np.minimum(least, -storm), np.where(-storm < least, 0.0, low), height),
    )


def _moment_peak(b: Beams) -> Peak:
    def amount(row: Index, at: list[Column]) -> Column:
        most, least = moment_range(b.taken(row), at[0])
        return np.maximum(most.value, -least.value)

    bend = b.maximum + np.maximum(b.working, b.storm)
    _, (height,) = greatest(amount, [b.hinge], [b.brace], [bend])
    found = largest(moment_range(b, height))
    wind = np.where(moment(height=height, **b.load(_none(b), _one(b))) < 0.0, -b.working, b.working)
    inside = (found.value > 0.0) & (height > b.hinge) & (height < b.brace)
    root = zero_shear_height(**b.load(found.level, wind))
    exact = largest(moment_range(b, np.where(inside, root, height)))
    better = np.abs(exact.value) >= np.abs(found.value) * (1.0 - 1e-12)
    return Peak(*(np.where(better, getattr(exact, name), getattr(found, name)) for name in Peak.__slots__))


def _shear_peak(b: Beams) -> Peak:
    """Return the peak of the shear force: at a side of a support, or where wind towards the face outweighs the concrete.

    With the wind away from the face the shear force falls all the way between the supports. With the wind
    towards it, it falls to where the pressure is that of the wind, just below the surface, and rises again.
    """
    sides = [*shear_range(b, b.hinge), *shear_range(b, b.brace)]
    for support in (b.hinge, b.brace):
        sides += [
            Peak(peak.value, peak.level, support) for peak in shear_range(b, np.nextafter(support, -np.inf))
        ]
    found = largest(sides)

    def even(beam: Beams, level: Column) -> Column:
        place = np.where(beam.maximum > beam.working, level - beam.working / beam.density, beam.hinge)
        return np.clip(place, beam.hinge, np.nextafter(beam.brace, -np.inf))

    def amount(row: Index, at: list[Column]) -> Column:
        own = b.taken(row)
        return -shear(height=even(own, at[0]), **own.load(at[0], -own.working))

    line = 1.0 + np.maximum(b.panel, np.abs(b.hinge)) / (b.brace - b.hinge)
    value, (level,) = greatest(amount, [_none(b)], [b.lift], [b.density * line], above=np.abs(found.value))
    height = np.where(value > np.abs(found.value), even(b, level), found.height)
    return largest([found, Peak(-value, level, height)])


def _bent(b: Beams, level: Column, height: Column) -> tuple[Column, Column]:
    """Return the deflection by the concrete and by a wind of one, times the stiffness."""
    by_concrete = deflection(height=height, bending_stiffness=_one(b), **b.load(level, _none(b)))
    return by_concrete, deflection(height=height, bending_stiffness=_one(b), **b.load(_none(b), _one(b)))


def _top_peak(b: Beams) -> Peak:
    def amount(row: Index, at: list[Column]) -> Column:
        own = b.taken(row)
        concrete, wind = _bent(own, at[0], own.panel)
        return np.abs(concrete) + own.working * np.abs(wind)

    span, beyond = b.brace - b.hinge, np.maximum(b.panel - b.brace, 0.0)
    line = beyond**2 * (beyond + span) / 3.0 + beyond * span**2 / 15.0 + np.abs(b.hinge) * beyond * span / 6.0
    _, (level,) = greatest(amount, [_none(b)], [b.lift], [b.density * line])
    concrete, wind = _bent(b, level, b.panel)
    empty = Peak(b.storm * wind, _none(b), b.panel)
    return largest([Peak(_with_wind(concrete, wind, b.working), level, b.panel), empty])


def _span_peak(b: Beams, greatest_moment: Column) -> Peak:
    def amount(row: Index, at: list[Column]) -> Column:
        own = b.taken(row)
        concrete, wind = _bent(own, at[1], at[0])
        calm = np.abs(concrete) + own.working * np.abs(wind)
        return np.maximum(calm, own.storm * np.abs(wind))

    span = b.brace - b.hinge
    arm = np.maximum(np.abs(b.hinge), np.maximum(b.panel - b.brace, 0.0))
    line = span**3 / 48.0 + arm * span**2 / 15.0
    _, (height, level) = greatest(
        amount, [b.hinge, _none(b)], [b.brace, b.lift], [np.abs(greatest_moment), b.density * line],
        fineness=SPAN_FINENESS,
    )  # fmt: skip
    concrete, wind = _bent(b, level, height)
    empty = Peak(b.storm * wind, _none(b), height)
    return largest([Peak(_with_wind(concrete, wind, b.working), level, height), empty])


def carrying(b: Beams) -> tuple[Peak, Peak, Peak]:
    """Return the worst reaction of the brace, moment and shear force of every row."""
    return _reaction_peaks(b)[1], _moment_peak(b), _shear_peak(b)


def peaks(b: Beams) -> Peaks:
    """Return the worst loads and deflections of every row, and the levels of the concrete that give them."""
    hinge, brace = _reaction_peaks(b)
    bending = _moment_peak(b)
    plumb, by_wind = _bent(b, b.lift, b.lift)
    return Peaks(
        hinge, brace, bending, _shear_peak(b), _top_peak(b), _span_peak(b, bending.value), plumb, by_wind
    )
