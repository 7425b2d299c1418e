"""The numbers of the data files, stated a second time as the documents print them: a slip of a key in either shows.

What a document says here was held against the same source as the data file, from memory where the file says so; so this
guards against slips, and is no second source.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from sheetengine.clauses import inclined_faces
from sheetengine.clauses.rows import factors

TABLES: dict[str, dict[str, Any]] = {
    "crane_pick": {
        "dynamic_factor": 1.3, "area_per_tonne": 1.2, "plate_coefficient": 1.8,
        "least_hoisting_factor": {"HC1": 1.05, "HC2": 1.1, "HC3": 1.15, "HC4": 1.2},
        "hoisting_rate": {"HC1": 0.17, "HC2": 0.34, "HC3": 0.51, "HC4": 0.68},
    },
    "din18218": {
        "reference_density": 25.0, "reference_set": 5.0, "greatest_rate": 7.0, "reference_temperature": 15.0,
        "rise_per_kelvin": 0.03,
        "rate_coefficient": {"F1": 5.0, "F2": 10.0, "F3": 14.0, "F4": 17.0, "F5": 30.0, "F6": 38.0},
        "constant": {"F1": 21.0, "F2": 19.0, "F3": 18.0, "F4": 17.0, "F5": 25.0, "F6": 25.0},
        "setting_slope": {"F1": 0.03, "F2": 0.053, "F3": 0.077, "F4": 0.14},
        "least_pressure": {"F1": 25.0, "F2": 25.0, "F3": 25.0, "F4": 25.0, "F5": 30.0, "F6": 30.0, "SCC": 30.0},
    },
    "en1991_1_4": {
        "air_density": 1.25, "turbulence_factor": 1.0, "orography_factor": 1.0, "shape_parameter": 0.2, "exponent": 0.5,
        "reference_roughness": 0.05,
        "roughness_length": {"0": 0.003, "I": 0.01, "II": 0.05, "III": 0.3, "IV": 1.0},
        "minimum_height": {"0": 1.0, "I": 1.0, "II": 2.0, "III": 5.0, "IV": 10.0},
        "wall": {
            "length_over_height": [3.0, 5.0, 10.0], "A": [2.3, 2.9, 3.4], "B": [1.4, 1.8, 2.1], "C": [1.2, 1.4, 1.7],
            "D": [1.2, 1.2, 1.2],
        },
        "wall_with_return_corners": {"A": 2.1, "B": 1.8, "C": 1.4, "D": 1.2},
    },
    "en1991_1_6": {
        "three_days": [3.0, 2.0], "three_months": [92.0, 5.0], "one_year": [366.0, 10.0], "longer": 50.0,
        "least_basic_velocity": 20.0,
    },
    "face_tolerances": {
        "en13670": {"offsets": {"moulded face": 4.0}},
        "aci117": {"offsets": {"class A": 0.125, "class B": 0.25, "class C": 0.5, "class D": 1.0}},
    },
    "placing_practice": {
        "is457": {
            "lift": {"value": 1.5}, "least_interval": {"value": 5.0}, "greatest_adjacent_difference": {"value": 9.0},
            "least_adjacent_difference": {"value": 1.5}, "greatest_layer_vibrated": {"value": 0.45},
            "greatest_layer_by_hand": {"value": 0.3}, "greatest_layer_reinforced": {"value": 0.25},
        },
        "ufgs03700": {
            "layer": {"value": 0.5}, "greatest_exposed_bulkhead": {"value": 12.0}, "jointed_forms_from_lift": {"value": 2.3},
            "jointed_forms_from_slope": {"value": 10.0},
        },
        "hoover": {
            "lift": {"value": 5.0}, "least_interval": {"value": 72.0}, "least_block": {"value": 25.0},
            "greatest_block": {"value": 60.0},
        },
        "usbr": {"greatest_adjacent_difference": {"value": 25.0}, "greatest_difference_of_all": {"value": 40.0}},
    },
    "projections": {
        "aci347r": {"live": 2.4, "least_total": 4.8},
        "en12812": {"operations": 0.75, "heap_share": 0.1, "heap_least": 0.75, "heap_most": 1.75},
    },
    "working_wind": {"pressure": 0.2, "air_density": 1.25},
    "probe_log": {
        "longest_gap": 6.0, "least_possible": -40.0, "greatest_possible": 95.0, "off_anchor_level": 0.5, "behind_heads": 0.1,
        "spike": 4.0, "spike_readings": 3, "jump": 5.0, "jump_rate": 8.0, "settled_after": 6.0, "stuck_for": 24.0,
        "stuck_readings": 12, "clock_step": 1.0, "clock_tolerance": 0.05, "longest_step_back": 3.0, "few_steps_back": 3,
        "recent": 24.0, "excess_lasts": 24.0,
    },
    "heat": {
        "diffusivity": {
            "si": {"quartzite": 0.0054, "limestone": 0.0047, "dolomite": 0.0046, "granite": 0.004, "rhyolite": 0.0033, "basalt": 0.003},
            "us": {"quartzite": 0.058, "limestone": 0.051, "dolomite": 0.05, "granite": 0.043, "rhyolite": 0.035, "basalt": 0.032},
        }
    },
    "load_factors": {
        "EN partial factors": {
            "permanent_unfavourable": 1.35, "permanent_favourable": 0.9, "variable": 1.5, "wind": 1.5, "fresh_concrete": 1.5,
        },
        "ACI service load": {
            "permanent_unfavourable": 1.0, "permanent_favourable": 1.0, "variable": 1.0, "wind": 1.0, "fresh_concrete": 1.0,
        },
        "ACI strength": {
            "permanent_unfavourable": 1.2, "permanent_favourable": 0.9, "variable": 1.6, "wind": 1.6, "fresh_concrete": 1.6,
        },
    },
}  # fmt: skip


def numbers(data: Any, trail: tuple[str, ...] = ()) -> dict[tuple[str, ...], float]:
    """Return every number of nested tables by its place."""
    if isinstance(data, dict):
        return {
            place: value
            for key, own in data.items()
            for place, value in numbers(own, (*trail, str(key))).items()
        }
    if isinstance(data, list):
        return {
            place: value
            for key, own in enumerate(data)
            for place, value in numbers(own, (*trail, str(key))).items()
        }
    return {trail: data} if isinstance(data, (int, float)) and not isinstance(data, bool) else {}


@pytest.mark.parametrize("name", TABLES)
def test_the_data_file_holds_what_the_document_prints(name: str) -> None:
    """Every number, and no number more."""
    assert numbers(factors(name)) == numbers(TABLES[name])


def test_diffusivity_is_the_same_in_both_systems() -> None:
    # 1 ft2 = 0.09290304 m2; both printed to two figures
    table = factors("heat")["diffusivity"]
    for rock, metric in table["si"].items():
        assert table["us"][rock] * 0.09290304 == pytest.approx(metric, rel=0.015), rock


def test_the_least_overhang_carries_the_concrete_above() -> None:
    # 0.005 degrees: 25 x 2^2/2 x tan = 50 tan; on a batter the lateral force of 40 counts instead
    lean = np.array([0.005, -0.005])
    down = inclined_faces.downward_force(
        pressure_force=np.full(2, 40.0),
        weight_density=np.full(2, 25.0),
        placement_height=np.full(2, 2.0),
        face_inclination=lean,
    )
    slope = np.tan(np.radians(0.005))
    assert down == pytest.approx([50.0 * slope, -40.0 * slope], rel=1e-9)
    moment = inclined_faces.face_moment(
        pressure_force=np.full(2, 40.0), pressure_force_height=np.full(2, 0.9), weight_density=np.full(2, 25.0),
        placement_height=np.full(2, 2.0), face_inclination=lean,
    )  # fmt: skip
    rest = np.array([25.0 * 8.0 / 6.0, 36.0]) * slope**2
    assert moment - 36.0 == pytest.approx(rest, rel=1e-4)
