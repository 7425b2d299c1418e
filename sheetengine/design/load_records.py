"""What the run record says of the wind and of the crane picks: routes, factors and their sources."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import numpy as np

from sheetengine.clauses import asce7, en1991_1_4
from sheetengine.clauses.crane_pick import WIND_SOURCE
from sheetengine.clauses.record import record_of
from sheetengine.clauses.working_wind import wind_speed
from sheetengine.columns import Column
from sheetengine.design.crane_picks import dynamic_factor, pick_coefficient
from sheetengine.design.wind import AMERICAN, EUROPEAN
from sheetengine.sources import Source

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation


def _source_line(source: Source) -> str:
    return f"{source} ({source.known.value})"


def _span(values: Column) -> str:
    low, high = f"{np.min(values):.3g}", f"{np.max(values):.3g}"
    return low if low == high else f"{low} to {high}"


def wind_lines(c: Calculation) -> list[tuple[str, str]]:
    """Return how the wind was found: route, every factor, the greatest storm, the gust at which work stops."""
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
            name = job.lift_name(item)
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
            ("Net wind coefficient", f"{_span(w.coefficient)}, zone {job.text('Wind zone')}, solid, "
             f"{corners} return corners. {_source_line(record.source)}. With a storm given as a pressure it only turns pressures into gusts.")
        )  # fmt: skip
    plain = float(
        wind_speed(
            wind_pressure=np.array([job.number("Working wind")]),
            air_density=np.array([job.number("Air density")]),
        )[0]
    )
    lines.append(
        ("Working wind", f"{job.number('Working wind'):.4g} kPa net; gust at the panel v = sqrt(2 q / rho) with q = w / c_p,net: "
         f"{_span(w.working_gust)} m/s by lift ({plain:.3g} m/s where the pressure is read as a velocity pressure)")
    )  # fmt: skip
    return lines


def _of_terrain(table: Callable[..., Any], terrain: str) -> float:
    return float(table(terrain_category=np.array([terrain]))[0])


def pick_lines(c: Calculation) -> list[tuple[str, str]]:
    """Return by which factors the crane picks were checked."""
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
