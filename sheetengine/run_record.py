"""The run record: by what the results were made."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from sheetengine.clauses import asce7, en1991_1_4
from sheetengine.clauses.aci347r_loads import least_lateral_load
from sheetengine.clauses.crane_pick import WIND_SOURCE
from sheetengine.clauses.record import record_of
from sheetengine.clauses.rows import factors
from sheetengine.clauses.working_wind import wind_speed
from sheetengine.columns import Table
from sheetengine.design.anchor_demand import EN_METHOD, strength_range
from sheetengine.design.calculate import Calculation
from sheetengine.design.crane_picks import dynamic_factor, pick_coefficient
from sheetengine.design.strength_curves import SOURCES
from sheetengine.design.temperatures import LONGEST_GAP, WARMEST_HOUR
from sheetengine.design.wind import AMERICAN, EUROPEAN
from sheetengine.sheets.results import CAUTION
from sheetengine.sources import Source
from sheetengine.version import engine_version

ASSUMPTIONS = (
    "The units of a lift hang from anchors in the lift below, or in the foundation; the joint above the anchors counts as a "
    "free edge in every stage.",
    "Placing is judged at the planned start of placing, Standing closed from the hour of hanging on the lift below, Set back "
    "from the hour of stripping, Hung on the new lift from the hour of hanging there.",
    "Standing closed meets the storm wind both ways, every other stage the working wind both ways: away from the face for "
    "the anchors, towards it for the foot.",
    "Strength is judged in the concrete at anchor level, whose age counts from the hour at which the rising concrete reaches "
    "it. Strengths are characteristic cylinder strengths; where means were given 8 MPa are taken off.",
    "Without a probe the concrete at the anchors follows the colder of placing temperature and mean air temperature, with the "
    f"day's swing, warmest at {WARMEST_HOUR:g}:00; heat of hydration is left out. Nothing is gained at or below 0 degC.",
    f"A probe log is used between its first and last reading, the coldest probe at each hour; across a gap of more than "
    f"{LONGEST_GAP:g} h the colder of its ends and of the model is taken.",
    "Splitting, and edge failure towards the joint (shear on a vertical face points away from it), are not among the modes.",
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
        elif curve == "ACI 209R":
            told = f"a {mixes.number('aci_a')[mix] / 24.0:.3g} d, b {mixes.number('aci_b')[mix]:.3g}"
        elif curve == "fib MC 2010":
            told = f"cement {mixes.label('cement_strength_class')[mix]}"
        else:
            told = f"class {mixes.label('strength_class')[mix]}"
        function = str(mixes.label("maturity_function")[mix])
        parameter = (
            f"Q = {mixes.number('activation_temperature')[mix]:.4g} K"
            if function == "Arrhenius"
            else f"datum {mixes.number('datum_temperature')[mix]:.3g} degC"
        )
        lines.append(
            (
                f"Strength of mix {mixes.label('mix')[mix]}",
                f"{curve}, {told}; characteristic cylinder strength at 28 d {c.curves.characteristic[mix]:.3g} MPa; "
                f"{function}, {parameter}, reference {mixes.number('reference_temperature')[mix]:.3g} degC. "
                f"{_source_line(SOURCES[curve])}",
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


def _wind_lines(c: Calculation) -> list[tuple[str, str]]:
    job, w = c.job, c.wind
    lines = []
    if w.reduction is None:
        told = (
            f"{job.number('Storm wind'):.4g} kPa, a net pressure given; it goes before any speed"
            if w.route
            else "not computed"
        )
        lines.append(("Storm wind", told))
    else:
        r, speed = w.reduction, job.number("Basic wind speed")
        days = job.number("Wind exposure time") / 24.0
        asked = "no exposure time given" if np.isnan(days) else f"exposed for {days:.4g} d"
        if w.route == EUROPEAN:
            source = record_of(en1991_1_4.peak_velocity_pressure).source.document
            steps = (
                f"{asked}, return period {r.return_years:g} yr (EN 1991-1-6 Table 3.1), c_prob {r.factor:.4f} (K 0.2, n 0.5), c_season "
                f"{job.number('Wind season factor'):g}, c_dir {job.number('Wind direction factor'):g}, v_b {r.speed:.4g} m/s"
                + (" (the least of EN 1991-1-6 3.1(5) governs)" if r.raised else "")
                + f"; terrain {r.terrain}, z_0 {_of_terrain(en1991_1_4.roughness_length, r.terrain):g} m, z_min "
                f"{_of_terrain(en1991_1_4.minimum_height, r.terrain):g} m, c_o {job.number('Orography factor'):g}, k_I 1, rho "
                f"{job.number('Air density'):g} kg/m3, c_s c_d 1; q_p at the top of each panel"
            )
        else:
            source = AMERICAN
            steps = (
                f"{asked}, velocity factor {r.factor:g} (ASCE 37-14), V {r.speed:.4g} m/s; exposure {r.terrain}, K_zt "
                f"{job.number('Orography factor'):g}, K_d {asce7.DIRECTIONALITY:g}, K_e 1; q_z at the top of each panel"
            )
        lines.append(("Storm wind", f"{source}, basic speed {speed:.4g} m/s; {steps}. By lift: sheet Wind."))
        shown = w.storm[~np.isnan(w.storm)]
        if shown.size:
            item = int(np.nanargmax(w.storm))
            name = f"{job.table('Lifts').label('block')[item]}/{job.table('Lifts').label('lift')[item]}"
            mean = (
                ""
                if np.isnan(w.mean[item])
                else f"v_m {w.mean[item]:.4g} m/s, I_v {w.turbulence[item]:.4g}, "
            )
            lines.append(
                ("Storm wind, greatest", f"lift {name}: z {w.height[item]:.4g} m, {mean}q_p {w.peak[item]:.4g} kPa, net coefficient "
                 f"{w.coefficient[item]:.4g}, w {w.storm[item]:.4g} kPa")
            )  # fmt: skip
    known = ~np.isnan(w.coefficient)
    if job.items["Net wind coefficient"].given:
        lines.append(("Net wind coefficient", f"{job.number('Net wind coefficient'):g}, given"))
    elif known.any():
        record = record_of(en1991_1_4.free_standing_wall_coefficient)
        corners = "with" if job.yes("Wind return corners") else "without"
        lines.append(
            ("Net wind coefficient", f"{np.min(w.coefficient):.3g} to {np.max(w.coefficient):.3g}, zone {job.text('Wind zone')}, solid, "
             f"{corners} return corners. {_source_line(record.source)}. With a storm given as a pressure it only turns pressures into gusts.")
        )  # fmt: skip
    low, high = float(np.min(w.working_gust)), float(np.max(w.working_gust))
    plain = float(
        wind_speed(
            wind_pressure=np.array([job.number("Working wind")]),
            air_density=np.array([job.number("Air density")]),
        )[0]
    )
    lines.append(
        ("Working wind", f"{job.number('Working wind'):.4g} kPa net; gust at the panel v = sqrt(2 q / rho) with q = w / c_p,net: "
         f"{low:.3g} to {high:.3g} m/s by lift ({plain:.3g} m/s where the pressure is read as a velocity pressure)")
    )  # fmt: skip
    if job.text("Least lateral load") != "none":
        record = record_of(least_lateral_load)
        lines.append(
            ("Least lateral load", f"{np.min(w.least):.4g} to {np.max(w.least):.4g} kPa on the closed panel, in the stages Placing and "
             f"Standing closed. {_source_line(record.source)}")
        )  # fmt: skip
    return lines


def _of_terrain(table: Callable[..., Any], terrain: str) -> float:
    return float(table(terrain_category=np.array([terrain]))[0])


def _pick_lines(c: Calculation) -> list[tuple[str, str]]:
    job, p = c.job, c.picks
    if not p.lift.size:
        return [("Crane picks", "none checked: no crane is named and no lifting capacity given")]
    factor, whence = dynamic_factor(job)
    limit = job.number("Crane wind limit")
    wind = (
        "no crane wind limit given, greatest wind not computed"
        if np.isnan(limit)
        else f"crane wind limit {limit:.4g} m/s, times sqrt(1.2 m2/t x m / (A c_w)) where that is less than 1, c_w "
        f"{pick_coefficient(job):g}. {_source_line(WIND_SOURCE)}"
    )
    return [
        (
            "Crane picks",
            f"dynamic factor {factor:.4g} ({whence}), on the hook and on the lifting points; rigging {job.number('Rigging mass'):.4g} kg on the "
            "hook; nothing is taken off for what a chart may allow already",
        ),
        ("Wind on picks", wind),
    ]


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
        ("Pressure method", f"{job.text('Pressure method')}. {_source_line(c.pressure.source)}"),
        (
            "Anchor method",
            f"{job.text('Anchor method')}, {'cracked' if job.yes('Concrete cracked') else 'uncracked'} concrete of "
            f"{low:.4g} to {high:.4g} MPa; below that: {job.text('Below-range strength')}, accepted by: "
            f"{job.text('Below-range accepted by') or 'nobody'}",
        ),
        *_mix_lines(c),
        *_wind_lines(c),
        *_pick_lines(c),
        *(("Assumption", text) for text in ASSUMPTIONS),
        ("Scope", BORROWED),
        (
            "Scope",
            "Inclined faces, the anchored lower row, brace and strongback are read and not computed by this version.",
        ),
    ]
    lines += [
        ("Default taken", f"{entry.sheet}, {entry.heading}: {entry.value} ({entry.blanks} blank)")
        for entry in job.defaults
    ]
    lines.append(("Caution", CAUTION))
    return lines
