"""The run record: by what the results were made."""

from __future__ import annotations

import numpy as np

from sheetengine.clauses.rows import factors
from sheetengine.columns import Table
from sheetengine.design.anchor_demand import EN_METHOD, strength_range
from sheetengine.design.calculate import Calculation
from sheetengine.design.combinations import combination_lines
from sheetengine.design.heat_checks import heat_lines
from sheetengine.design.heat_shown import lift_shown
from sheetengine.design.lift_heat import grid_error
from sheetengine.design.load_records import pick_lines, wind_lines
from sheetengine.design.specimens import FITTED
from sheetengine.design.strength_curves import SOURCES
from sheetengine.design.strength_records import fitted_words, gate_lines
from sheetengine.design.temperature_records import log_lines
from sheetengine.design.temperatures import WARMEST_HOUR
from sheetengine.sheets.results import CAUTION
from sheetengine.sources import Source
from sheetengine.version import engine_version

ASSUMPTIONS = (
    "The units of a lift hang from anchors in the lift below, or in the foundation; the joint above the anchors counts as a "
    "free edge in every stage.",
    "Placing is judged at the planned start of placing, Standing closed from the hour of hanging on the lift below, Set back "
    "from the hour of stripping, Hung on the new lift from the hour of hanging there.",
    "Standing closed meets the storm wind both ways, every other stage the working wind both ways: away from the face for "
    "the anchors, towards it for the foot and the lower row.",
    "Strength is judged in the concrete at anchor level, whose age counts from the hour at which the rising concrete reaches "
    "it. Strengths are characteristic cylinder strengths, or the lower prediction bound of what was fitted to specimens; where means were given 8 MPa are taken off.",
    "Without a probe the concrete at the anchors follows the colder of placing temperature and mean air temperature, with the "
    f"day's swing, warmest at {WARMEST_HOUR:g}:00; the heat of hydration counts only where it is computed. Nothing is gained at or below 0 degC.",
    "Gates: Strip asks for the stripping strength at the top of the lift; Hang for the anchors of the stages Hung on the new lift and "
    "Standing closed; Place next for those of Placing; Set back for those of Set back, with people on the platform. Each asks for the "
    "greater of what its anchors need and the least strength of the anchor standard, and opens at the hour at which the strength is "
    "reached, found exactly. Earlier gates changes one input at a time, with loads and planned hours as they are.",
    "Strongbacks of leaning faces are computed along their length: on a batter the pressure of the method stands normal to them, on an "
    "overhang the parts of the method and of the full head are taken each at its worst level and added; the weight of the unit, spread "
    "evenly over the panel, counts with the wind both ways; the foot of the brace stays in line with the face below. Drag along the face "
    "is left out.",
    "Strongbacks are straight beams on hinge and brace with free ends, evenly sharing their unit; loads are without factors, "
    "capacities permissible values. Every level of the concrete is searched, with the working wind both ways, and the storm, "
    "where one is given, on the empty panel. The upper pin of the brace is taken in the face, its foot at Brace foot offset and Brace foot height; the "
    "push of the brace along the strongback, and the give of its supports, are left out. The foot of the next panel is taken to "
    "start at the line.",
    "A layer counts as placed at once at the beginning of its period, fluid over its depth, and as covered over the plan in the "
    "same order as it was placed. The design maximum of a method is taken for every level on the way up.",
    "Listed anchors whose cones overlap are proved by their own share and as a group, over the exact area that the group covers and "
    "with the eccentricity of its forces; the worse counts. In an evenly spaced row the share of the outermost anchor is never "
    "the better of the two.",
    "Listed anchors at one position hang one bracket and take tension in proportion to their levers about the foot, shear in "
    "equal parts.",
    "Where the faces under a unit are kinked the lever goes to where the line of the foot's force meets the face of the anchors; "
    "the shear is then that of one anchor at the unit's anchor depth. A lower row has one anchor at the place of each bracket.",
    "Splitting is not among the modes. Edge failure towards the joint is one where shear points to it, as it may on inclined "
    "faces.",
    "Anchor depth and foot depth run down the faces of the lifts below, anchors and foot act normal to the face they sit on, "
    "friction is neglected; a foundation is taken for vertical. Offsets of mass and platform and the set-back travel are "
    "horizontal, the panel and the wind on it go along the slope and normal to it.",
    "On an overhang the lateral pressure and the weight above are principal stresses; on a batter the pressure is normal to the "
    "face. Up to 45 degrees either way. The level of filling that does most counts, found where the effect's slope is nil.",
    "An anchor square to an overhanging face rises into the lift: its distance to the joint is that of the head, along the face.",
    "Shear along the face goes into the upper row. The anchors of a lower row stand at the places of the upper row; their age counts from the hour at which concrete reached "
    "the anchors of that lift higher up; the joint above them is a free edge even where the next lift has set on it.",
    "A projection is placed with its lift: its concrete and the work on it act wherever they add, filled from the face outward, "
    "from the tip inward or in full, and the pressure on the face acts with it.",
)
BORROWED = (
    "ACI 318-19 17.1.1 and EN 1992-4 1.1 say that they are not meant for short-term handling and construction loads; they are "
    "borrowed here, and the acceptance is the engineer's."
)


def _source_line(source: Source) -> str:
    return f"{source} ({source.known.value})"


def _mix_lines(c: Calculation) -> list[tuple[str, str]]:
    mixes: Table = c.job.table("Mixes")
    lines = []
    for mix in np.unique(c.layout.mix).tolist():
        curve = str(mixes.label("strength_curve")[mix])
        if curve == "Hyperbolic":
            told = (
                f"S_u {mixes.number('ultimate_strength')[mix]:.4g} MPa, k {mixes.number('rate_constant')[mix] * 24.0:.4g} 1/d, "
                f"starts at {mixes.number('strength_start')[mix]:.3g} h"
            )
        elif curve == FITTED:
            told = fitted_words(c.curves.fits.by_mix.get(mix))
        elif curve == "ACI 209R":
            told = f"a {mixes.number('aci_a')[mix] / 24.0:.3g} d, b {mixes.number('aci_b')[mix]:.3g}"
        elif curve == "fib MC 2010":
            told = f"cement {mixes.label('cement_strength_class')[mix]}"
        else:
            told = f"class {mixes.label('strength_class')[mix]}"
        function = str(mixes.label("maturity_function")[mix])
        fit = c.curves.fits.by_mix.get(mix)
        tested = " from the specimens" if fit is not None and fit.wanted and fit.ripening.from_tests else ""
        parameter = (
            f"Q = {c.curves.fits.activation[mix]:.4g} K{tested}"
            if function == "Arrhenius"
            else f"datum {round(float(c.curves.fits.datum[mix]), 6) + 0.0:.3g} degC{tested}"
        )
        lines.append(
            (
                f"Strength of mix {mixes.label('mix')[mix]}",
                f"{curve}, {told}; characteristic cylinder strength at 28 d {c.curves.characteristic[mix]:.3g} MPa; "
                f"{function}, {parameter}, reference {mixes.number('reference_temperature')[mix]:.3g} degC. "
                f"{_source_line(fit.fit.form.source if fit is not None and fit.wanted and fit.chosen >= 0 else SOURCES[curve])}",
            )
        )
    return lines


def _safety_lines(c: Calculation) -> list[tuple[str, str]]:
    f = c.factors
    lines = [
        (
            "Factors on actions",
            f"fresh concrete {f.fresh_concrete:g}, permanent {f.permanent_unfavourable:g} (favourable {f.permanent_favourable:g}), "
            f"variable {f.variable:g}, wind {f.wind:g}. {_source_line(f.source)}",
        )
    ]
    if c.job.text("Safety basis") == "ACI service load":
        lines.append(
            ("Safety factors", "strengths over 2.0, or over 3.0 where the anchors carry people; ACI 347R-14")
        )
    elif c.job.text("Anchor method") == EN_METHOD:
        gamma = factors("en1992_4")["partial_factor"]["concrete_modes"]
        lines.append(
            ("Factors on resistances", f"gamma_Mc {gamma:g}; gamma_Ms by the steel; EN 1992-4:2018 Table 4.1")
        )
    else:
        phi = factors("aci318_19")["strength_reduction"]
        lines.append(
            ("Factors on resistances", f"phi {phi['breakout_plain']:g} (breakout, no supplementary reinforcement), {phi['pull_out']:g} "
             "(pull-out, pry-out); steel by ductility; ACI 318-19 Table 17.5.3")
        )  # fmt: skip
    return lines


def _grid_error(c: Calculation) -> float:
    return grid_error(c.job, c.temperature.start, lift_shown(c.job, c.temperature.heat))


def record_lines(c: Calculation) -> list[tuple[str, str]]:
    """Return the lines of the run record that the calculation knows; time and place are added on writing."""
    job = c.job
    low, high = strength_range(job.text("Anchor method"))
    lines = [
        ("Engine", f"sheetengine {engine_version()}"),
        ("Digest of the inputs", job.digest),
        ("Project", job.text("Project")),
        ("Revision", job.text("Revision") or "none given"),
        ("Safety basis", job.text("Safety basis")),
        *_safety_lines(c),
        *combination_lines(job, c.cases, c.factors),
        ("Pressure method", f"{job.text('Pressure method')}. {_source_line(c.pressure.source)}"),
        (
            "Anchor method",
            f"{job.text('Anchor method')}, {'cracked' if job.yes('Concrete cracked') else 'uncracked'} concrete of "
            f"{low:.4g} to {high:.4g} MPa; below that: {job.text('Below-range strength')}, accepted by: "
            f"{job.text('Below-range accepted by') or 'nobody'}",
        ),
        *_mix_lines(c),
        *gate_lines(c),
        *wind_lines(c),
        *pick_lines(c),
        *log_lines(c),
        *heat_lines(c.job, c.temperature.heat, _grid_error(c)),
        *(("Assumption", text) for text in ASSUMPTIONS),
        ("Scope", BORROWED),
    ]
    lines += [
        ("Default taken", f"{entry.sheet}, {entry.heading}: {entry.value} ({entry.blanks} blank)")
        for entry in job.defaults
    ]
    lines.append(("Caution", CAUTION))
    return lines
