"""What should be looked at in a bar schedule: shapes, radii, legs, ends and lengths."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sheetengine.clauses import bar_masses, bs8666
from sheetengine.clauses.record import record_of
from sheetengine.columns import Flags, Table
from sheetengine.design.bar_shapes import (
    END_LEGS,
    HALF_CIRCLES,
    LEGS,
    LEGS_BETWEEN_BENDS,
    LINKS,
    STRAIGHT,
    Schedule,
    bent_beyond,
    computed_codes,
    marked,
    missing_legs_of,
    needed_legs,
)
from sheetengine.design.customary import INCH_MM
from sheetengine.findings import Code, Finding, Level
from sheetengine.sources import Known, Source

STOCK_LENGTH = 12000.0
"""Longest bar that is commonly in stock, mm; common practice, no source."""

TABLE_STEP = 5.0
"""Step of the printed end projections, mm; the printed value may lie half a step below the rule."""

HALF_MM = 0.5

UNCONFIRMED: Mapping[str, Mapping[str, str]] = {
    "BS 8666:2005": {
        "12": "taken over from the 2020 edition",
        "22": "taken over from the 2020 edition",
        "29": "doubtful, as the 2020 edition makes no deduction for this shape",
    },
    "BS 8666:2020": {
        "48": "deduced from a single printed length",
        "52": "deduced from a single printed length",
    },
}
"""Length expressions that rest on less than two sources."""

_WIDEST_HALF_CIRCLE = 400.0

_COLUMNS = {
    "Bar mark": "bar_mark",
    "Size": "size",
    "Shape code": "shape_code",
    "Bend radius": "bend_radius",
    **{leg: f"{leg.lower()}_dim" for leg in LEGS},
}


def bar_findings(bars: Table, schedule: Schedule, *, us: bool = False) -> list[Finding]:
    """Return what should be looked at in the schedule, rule by rule."""
    teller = _Teller(bars, schedule, us)
    _sizes(teller)
    _shapes(teller)
    _radii(teller)
    _half_circles(teller)
    _legs(teller)
    _lengths(teller)
    return teller.findings


class _Length(float):
    """A length in mm that writes itself in the units of the result sheets."""

    us: bool

    def __new__(cls, millimetres: float, us: bool) -> _Length:
        """Make a length that knows its units."""
        length = super().__new__(cls, millimetres)
        length.us = us
        return length

    def __format__(self, spec: str) -> str:
        """Return the length with its unit; the spec is that of the number in mm."""
        if self.us:
            return f"{self / INCH_MM:.4g} in"
        return f"{float(self):{spec}} mm"


_LENGTHS = ("radius", "least", "width", "hook", "widest", "size", "end", "between", "length", "diameter")


class _Teller:
    """Makes findings of the bars that a rule flags, at the cells of the ``Bars`` sheet."""

    def __init__(self, bars: Table, schedule: Schedule, us: bool) -> None:
        self.us = us
        self.bars = bars
        self.schedule = schedule
        self.findings: list[Finding] = []

    def _found(self, heading: str, value: object) -> object:
        length = self.us and heading in (*LEGS, "Bend radius") and isinstance(value, float)
        return f"{_Length(float(str(value)), True)}" if length else _plain(value)

    def _said(self, name: str, value: object) -> object:
        """Return a value as texts put it; a length carries its unit."""
        return _Length(value, self.us) if name in _LENGTHS and isinstance(value, float) else value

    def tell(
        self,
        where: Flags,
        level: Level,
        code: Code,
        heading: str,
        message: str,
        *,
        found: NDArray[Any],
        limit: str,
        clears: str,
        source: Source | None = None,
        **values: NDArray[Any],
    ) -> None:
        """Add a finding for each bar of ``where``; texts are filled in from the bar's ``values``."""
        for item in np.flatnonzero(where).tolist():
            keys = tuple(str(self.bars.label(name)[item]) for name in ("block", "lift", "bar_mark"))
            said = {name: self._said(name, column[item]) for name, column in values.items()}
            self.findings.append(
                Finding(
                    level,
                    code,
                    self.bars.at(item, _COLUMNS[heading]),
                    f"bar {keys[2]}: {message.format(**said)}",
                    found=self._found(heading, found[item]),
                    limit=limit.format(**said),
                    clears=clears.format(**said),
                    source=source,
                    keys=keys,
                    heading=heading,
                )
            )


def _plain(value: Any) -> object:
    """Return a value as the finding holds it: a number or a text, ``None`` where the cell is blank."""
    if isinstance(value, np.floating):
        return None if np.isnan(value) else float(value)
    return value


def _sizes(teller: _Teller) -> None:
    """Tell sizes that are not in the tables, and US bars that are bent by a standard not their own."""
    plan, said = teller.schedule, teller.bars.label("size")
    sizes = ", ".join(f"{size:g}" for size in bar_masses.metric_sizes())
    numbers = ", ".join(f"#{number:g}" for number in bar_masses.us_numbers())
    teller.tell(
        np.isnan(plan.diameter),
        Level.STOP,
        Code.NOT_ON_LIST,
        "Size",
        "size {said} is not in the tables of bars, so it has no mass.",
        said=said,
        found=said,
        limit=f"{sizes} mm; {numbers}",
        clears="Give a nominal diameter in mm, or a bar number such as #5.",
        source=record_of(bar_masses.metric_bar_mass).source,
    )
    bent = np.flatnonzero(plan.us & (plan.code != STRAIGHT))
    first = np.zeros(plan.us.size, dtype=np.bool_)
    first[bent[:1]] = True
    teller.tell(
        first,
        Level.ACCEPT,
        Code.MIXED_STANDARDS,
        "Size",
        f"US bar {{size}} is bent by {plan.edition} (bent US bars in all: {bent.size}); the bend diameters "
        "of ACI 318-19 25.3 are not checked, and a blank bend radius is not theirs.",
        size=plan.size,
        found=said,
        limit="bars and bends by one standard",
        clears="Give the bend radius of the standard that the bars are bent to.",
    )


def _shapes(teller: _Teller) -> None:
    """Tell shape codes that cannot be computed, that need a sketch, or that rest on little."""
    plan, said = teller.schedule, teller.bars.label("shape_code")
    codes = computed_codes(plan.edition)
    source = bs8666.length_source(plan.edition)
    teller.tell(
        ~np.isin(plan.code, [*codes, bs8666.SKETCH]),
        Level.STOP,
        Code.BAR_SHAPE,
        "Shape code",
        f"the length of shape {{said}} cannot be computed by {plan.edition} from dimensions A to E.",
        said=said,
        found=said,
        limit=", ".join([*codes, bs8666.SKETCH]),
        clears="Use a code of the list, or 99 with a sketch and the legs that make up the length.",
        source=source,
    )
    teller.tell(
        plan.code == bs8666.SKETCH,
        Level.NOTE,
        Code.BAR_SHAPE,
        "Shape code",
        "shape 99 needs a dimensioned sketch; the length is the sum of the legs, nothing taken off for bends.",
        found=said,
        limit="a dimensioned sketch",
        clears="Attach the sketch and compare the length with it.",
        source=source,
    )
    for code, why in UNCONFIRMED[plan.edition].items():
        teller.tell(
            plan.code == code,
            Level.ACCEPT,
            Code.UNCONFIRMED_SOURCE,
            "Shape code",
            f"the length of shape {code}, {bs8666.length_expression(plan.edition, code)}, is {why}.",
            found=said,
            limit="an expression read in two sources",
            clears="Compare the expression with the standard, or use 99 with a sketch.",
            source=source,
        )


def _radii(teller: _Teller) -> None:
    """Tell bends that are tighter than the standard allows, or outside its range of diameters."""
    plan, rule = teller.schedule, bs8666.minimum_scheduling_radius
    bent = np.asarray(plan.code != STRAIGHT, dtype=np.bool_)
    least = rule(bar_diameter=plan.diameter)
    source = record_of(rule).source
    teller.tell(
        bent & bs8666.radius_too_small(bar_diameter=plan.diameter, bend_radius=plan.given_radius),
        Level.STOP,
        Code.BAR_RADIUS,
        "Bend radius",
        "bend radius {radius:g} is below the least scheduling radius {least:g} of bar {size}.",
        radius=plan.given_radius,
        least=least,
        size=plan.size,
        found=plan.given_radius,
        limit="at least {least:g}",
        clears="Bend to a radius of {least:g} or more, or use a thinner bar.",
        source=source,
    )
    teller.tell(
        bent_beyond(plan.code, plan.diameter),
        Level.STOP,
        Code.OUTSIDE_SCOPE,
        "Size",
        f"bar {{size}} of {{diameter:.1f}} is outside the bends of {plan.edition}; no length is computed.",
        size=plan.size,
        diameter=plan.diameter,
        found=teller.bars.label("size"),
        limit=f"at most {record_of(rule).takes['bar_diameter'].at_most:g} mm",
        clears="Use a thinner bar for bent shapes.",
        source=source,
    )
    teller.tell(
        (plan.code == "12") & np.isnan(plan.given_radius),
        Level.ACCEPT,
        Code.BAR_SHAPE,
        "Bend radius",
        "shape 12 has a bend radius of its own, and none is given; {radius:g}, the least, is taken.",
        radius=plan.radius,
        found=plan.given_radius,
        limit="a radius for shape 12",
        clears="Give the radius, or use shape 11.",
        source=bs8666.length_source(plan.edition),
    )


def _half_circles(teller: _Teller) -> None:
    """Tell widths across a half circle that the standard does not provide for."""
    plan = teller.schedule
    least = bs8666.minimum_scheduling_radius(bar_diameter=plan.diameter)
    hook = bs8666.hook_size(bar_diameter=plan.diameter, bend_radius=least)
    widest = _WIDEST_HALF_CIRCLE + 2.0 * plan.diameter
    half = marked(plan.code, HALF_CIRCLES)
    for place, leg in enumerate(LEGS):
        width = plan.legs[:, place]
        teller.tell(
            half[:, place] & ((width < hook) | (width > widest)),
            Level.ACCEPT,
            Code.BAR_RADIUS,
            leg,
            f"{leg} = {{width:g}} across the half circle is not between {{hook:g}} and {{widest:g}}.",
            width=width,
            hook=hook,
            widest=widest,
            found=width,
            limit="{hook:g} to {widest:g}",
            clears="Change the width, or schedule the bar as 99 with a sketch.",
            source=record_of(bs8666.hook_size).source,
        )


def _legs(teller: _Teller) -> None:
    """Tell legs that are missing, that do not enter the length, or that are too short to bend."""
    plan = teller.schedule
    needed = needed_legs(plan.edition, plan.code)
    readable = np.isin(plan.code, computed_codes(plan.edition))
    length_source = bs8666.length_source(plan.edition)
    sizes = {"bar_diameter": plan.diameter, "bend_radius": plan.radius}
    link = np.isin(plan.code, LINKS)
    end = np.where(link, bs8666.link_end_projection(**sizes), bs8666.end_projection(**sizes))
    between = bs8666.least_between_bends(**sizes)
    at_end, inside = marked(plan.code, END_LEGS), marked(plan.code, LEGS_BETWEEN_BENDS)
    for place, leg in enumerate(LEGS):
        size = plan.legs[:, place]
        teller.tell(
            needed[:, place] & ~(size > 0.0),
            Level.STOP,
            Code.BAR_SHAPE,
            leg,
            f"shape {{shape}} needs {leg}, which is blank or 0; the bar has no length.",
            shape=plan.code,
            found=size,
            limit="more than 0",
            clears=f"Give {leg}, or correct the shape code.",
            source=length_source,
        )
        teller.tell(
            readable & ~needed[:, place] & (size > 0.0),
            Level.NOTE,
            Code.BAR_SHAPE,
            leg,
            f"{leg} = {{size:g}} does not enter the length of shape {{shape}}.",
            size=size,
            shape=plan.code,
            found=size,
            limit="no part of the length",
            clears=f"Clear {leg} unless it only describes the shape, or correct the shape code.",
            source=length_source,
        )
        teller.tell(
            at_end[:, place] & (size > 0.0) & (size < end - TABLE_STEP / 2.0),
            Level.ACCEPT,
            Code.BAR_SHAPE,
            leg,
            f"end leg {leg} = {{size:g}} is below the least end projection {{end:g}} of bar {{bar}}.",
            size=size,
            end=end,
            bar=plan.size,
            found=size,
            limit="at least {end:g}",
            clears=f"Lengthen {leg}, or agree the shorter end with the bender.",
            source=record_of(bs8666.end_projection).source,
        )
        teller.tell(
            inside[:, place] & (size > 0.0) & (size < between - HALF_MM),
            Level.ACCEPT,
            Code.BAR_SHAPE,
            leg,
            f"{leg} = {{size:g}} between two bends is below the least {{between:g}} of bar {{bar}}.",
            size=size,
            between=between,
            bar=plan.size,
            found=size,
            limit="at least {between:g}",
            clears=f"Lengthen {leg}, or agree the closer bends with the bender.",
            source=record_of(bs8666.least_between_bends).source,
        )


def _lengths(teller: _Teller) -> None:
    """Tell bars that have no length, or are longer than the stock."""
    plan = teller.schedule
    source = bs8666.length_source(plan.edition)
    teller.tell(
        (plan.code == bs8666.SKETCH) & np.isnan(plan.computed),
        Level.STOP,
        Code.BAR_SHAPE,
        "A",
        "shape 99 has no legs from A to E, so the bar has no length.",
        found=plan.legs[:, 0],
        limit="more than 0",
        clears="Give the legs that make up the length on the sketch.",
        source=source,
    )
    teller.tell(
        (plan.computed <= 0.0) & ~missing_legs_of(plan.edition, plan.code, plan.legs),
        Level.STOP,
        Code.BAR_SHAPE,
        "A",
        "the legs come to a length of {length:.1f} once the bends are taken off; the bar has no length.",
        length=plan.computed,
        found=plan.computed,
        limit="more than 0",
        clears="Check legs, bend radius and the units of the headings.",
        source=source,
    )
    teller.tell(
        plan.length > STOCK_LENGTH,
        Level.NOTE,
        Code.BAR_SHAPE,
        "Bar mark",
        "the bar is {length:.0f} long, more than the 12 m of bars commonly in stock.",
        length=plan.length,
        found=plan.length,
        limit=f"{STOCK_LENGTH:g} mm",
        clears="Lap the bar, or make sure that this length is supplied and can be moved.",
        source=Source("Stock lengths", "", Known.PRACTICE),
    )
