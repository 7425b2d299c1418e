"""Wind tables, and the unit as a beam of a handbook."""

from __future__ import annotations

import numpy as np
from support import case

from sheetengine.clauses import en1991_1_4, en1991_1_6, unit_statics


def test_table_of_free_standing_walls() -> None:
    printed = case("L-EN-T79")
    length = printed.column("length_over_height")
    zones = printed.given("zones")
    for zone in zones:
        straight = en1991_1_4.free_standing_wall_coefficient(
            wall_zone=np.full(length.shape, zone), length_over_height=length, return_corners=0.0 * length
        )
        printed.check(zone, straight)
    returned = en1991_1_4.free_standing_wall_coefficient(
        wall_zone=np.array(zones), length_over_height=np.full(4, 5.0), return_corners=np.ones(4)
    )
    printed.check("return_corners", returned)
    # order of the printed table: inwards from the free end, and with the length
    table = np.array([printed.printed(zone) for zone in zones])
    assert (np.diff(table, axis=0) <= 0.0).all()
    assert (np.diff(table, axis=1) >= 0.0).all()


def test_least_velocity_of_a_short_stage() -> None:
    printed = case("L-EN-V20")
    velocity = en1991_1_6.execution_velocity(
        exposure_days=printed.column("exposure"), basic_velocity=printed.column("vb")
    )
    printed.check("v", velocity)


def test_a_unit_is_a_beam_overhanging_one_support() -> None:
    printed = case("L-AISC-OVERHANG")
    span, overhang, anchor = (printed.column(name) for name in ("l", "a", "anchor_depth"))
    force, none = printed.column("P"), np.zeros(2)
    tension = unit_statics.anchor_tension(
        anchor_depth=anchor,
        foot_depth=anchor + span,
        pressure_force=force,
        pressure_force_height=overhang - anchor,
        weight_moment=none,
        wind_force=none,
        wind_force_height=none,
    )
    printed.check("R2", tension)
    foot = unit_statics.foot_force(tension_force=tension, pressure_force=force, wind_force=none)
    printed.check("R1", foot)
    # the expressions of the table, and the same load as wind
    np.testing.assert_allclose(printed.printed("R1"), force * overhang / span)
    np.testing.assert_allclose(printed.printed("R2"), force * (span + overhang) / span)
    wind = unit_statics.anchor_tension(
        anchor_depth=anchor,
        foot_depth=anchor + span,
        pressure_force=none,
        pressure_force_height=none,
        weight_moment=none,
        wind_force=force,
        wind_force_height=overhang - anchor,
    )
    np.testing.assert_allclose(wind, tension)
