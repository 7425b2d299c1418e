"""One book in metric and in US customary units: the same results to the ninth figure."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd
import pytest
from builders import DECLARED, START, grids, pile

from sheetengine.run import calculate
from sheetengine.sheets.declarations import Kind
from sheetengine.sheets.job_items import JOB_ITEMS
from sheetengine.sheets.reading import read_job

LB, FT, LBF = 0.45359237, 0.3048, 4.4482216152605e-3  # kg, m, kN: NIST SP 811, Appendix B
TO_US: dict[str, Callable[[float], float]] = {
    "ft": lambda m: m / FT,
    "ft2": lambda m2: m2 / FT**2,
    "in": lambda mm: mm / 25.4,
    "in2": lambda mm2: mm2 / 645.16,
    "lb": lambda kg: kg / LB,
    "kip": lambda kn: kn / (LBF * 1e3),
    "kip*ft": lambda knm: knm / (LBF * 1e3 * FT),
    "kip*ft2": lambda knm2: knm2 / (LBF * 1e3 * FT**2),
    "psf": lambda kpa: kpa / (LBF / FT**2),
    "psi": lambda mpa: mpa / (LBF * 1e3 / 645.16),
    "ksi": lambda mpa: mpa / (LBF * 1e6 / 645.16),
    "lb/ft3": lambda kn_m3: kn_m3 / (9.80665e-3 * LB / FT**3),
    "ft/h": lambda m_h: m_h / FT,
    "yd3/h": lambda m3_h: m3_h / (3.0 * FT) ** 3,
    "degF": lambda degc: degc * 1.8 + 32.0,
    "delta degF": lambda kelvin: kelvin * 1.8,
    "h": float,
    "d": float,
    "1/d": float,
    "K": float,
    "deg": float,
    "%": float,
    "": float,
}


def book() -> dict[str, Any]:
    """Return a book that uses most headings, in metric units."""
    lifts = pile(
        3, Height=2.4, Face_length=14.2, Anchor_spacing=1.3, Thickness=12.0, Concrete_temperature=13.5,
        Air_temperature=8.0, Air_swing=9.0, End_distance=0.55, Bottom_level=101.5, Rise_rate=0.9,
        Layer_depth=0.45,
    )  # fmt: skip
    lifts[1] |= {"Rise rate": None, "Placing rate": 45.0, "Plan area": 52.0}
    lifts[1] |= {"Lean-in set": 2.0}
    lifts += pile(2, block="B2", Height=1.8, Face_length=1.9, Thickness=1.7, Anchor_spacing=1.0)
    return {
        "job": {
            "Stripping strength": (3.1, "MPa"), "Least interval between lifts": (5.0, "d"),
            "Foundation strength": (22.0, "MPa"), "Embed waste": (3.0, "%"),
            "Greatest height difference": (7.5, "m"), "Working wind": (0.25, "kPa"),
            "Offset tolerance": (5.0, "mm"),
        },
        "mixes": [
            {"Unit weight": 24.3, "Strength 28 d": 32.0, "Slump": 90.0, "Final set": 9.0,
             "Consistency class": "F3", "Vibration depth": 0.7, "Maturity function": "Nurse-Saul",
             "Datum temperature": -3.0, "Reference temperature": 21.0,
             "Exposure window": 0.7},
            {"Mix": "M2", "Strength curve": "Hyperbolic", "Ultimate strength": 38.0, "Rate constant": 0.23},
        ],
        "units": [
            {"Permissible pressure": 55.0, "Platform offset": 1.4, "Set-back travel": 0.7, "Hinge height": 0.35,
             "Brace height": 2.2, "Brace foot offset": 1.3, "Brace foot height": -0.2, "Strongback EI": 5200.0,
             "Strongback moment": 41.0, "Strongback shear": 130.0, "Brace capacity": 95.0}
        ],
        "anchors": [{"Stand-off": 35.0, "Rated tension": 160.0, "Rated shear": 55.0}],
        "lifts": [lift | ({"Mix": "M2"} if place == 2 else {}) for place, lift in enumerate(lifts)],
        "optional": {
            "Anchor positions": [
                {"Block": "B1", "Lift": 3, "Position": place, "Depth": 0.45} for place in (0.4, 2.0, 7.0, 13.0)
            ],
            "Probe log": [
                {"Block": "B1", "Lift": 1, "Time": START + dt.timedelta(hours=hour),
                 "Temperature": 10.0 + hour / 20.0, "Depth from face": 0.2, "Depth from joint": 0.4}
                for hour in range(0, 120, 3)
            ],
            "Bars": [
                {"Block": "B1", "Lift": 1, "Bar mark": "01", "Size": 16, "Shape code": "11", "A": 1200.0,
                 "B": 300.0, "Members": 2, "Bars per member": 12}
            ],
            "Embeds": [{"Block": "B1", "Lift": 2, "Item": "Sleeve", "Count": 12}],
        },
    }  # fmt: skip


def in_us(name: str, row: dict[str, Any]) -> dict[str, Any]:
    """Return a row with its numbers in US customary units."""
    headings = {heading.name: heading for heading in DECLARED[name].headings}
    turned = {}
    for key, value in row.items():
        heading = headings[key]
        if heading.kind is Kind.NUMBER and value is not None:
            unit = heading.measure.us
            turned[key] = TO_US["delta degF" if heading.measure.difference and unit == "degF" else unit](
                value
            )
        else:
            turned[key] = value
    return turned


def us_grids(changes: dict[str, Any]) -> dict[str, Any]:
    metric = grids(**changes)
    us = dict(metric)
    for name, grid in metric.items():
        assert grid is not None
        if name == "Job":
            measures = {item.name: item.measure.us for item in JOB_ITEMS}
            rows = [
                (item, TO_US[measures[item]](value), measures[item]) if unit else (item, value, unit)
                for item, value, unit in grid.rows[1:]
            ]
            us[name] = type(grid)("Job", [grid.rows[0], *rows])
            continue
        headings = {heading.title(us=False): heading for heading in DECLARED[name].headings}
        keys = [headings[str(text)] for text in grid.rows[0]]
        body = [
            in_us(name, {key.name: cell for key, cell in zip(keys, row, strict=True)})
            for row in grid.rows[1:]
        ]
        us[name] = type(grid)(
            name,
            [
                tuple(key.title(us=True) for key in keys),
                *[tuple(row[key.name] for key in keys) for row in body],
            ],
        )
    return us


def assert_same(one: pd.DataFrame, other: pd.DataFrame, name: str) -> None:
    assert list(one.columns) == list(other.columns)
    assert len(one) == len(other)
    for heading in one.columns:
        left, right = one[heading], other[heading]
        where = f"{name}: {heading}"
        if pd.api.types.is_datetime64_any_dtype(left):
            assert (left.isna() == right.isna()).all(), where
            apart = (left - right).abs().max()
            assert pd.isna(apart) or apart <= pd.Timedelta(seconds=1), where
        elif pd.api.types.is_numeric_dtype(left):
            np.testing.assert_allclose(
                left.to_numpy(dtype=float), right.to_numpy(dtype=float), rtol=1e-9, atol=1e-9, err_msg=where
            )
        else:
            assert left.tolist() == right.tolist(), where


COMBINATIONS = [
    ("ACI 347R-14 SI", "ACI 318M-19", "ACI strength"),
    ("ACI 347R-14 inch-pound", "ACI 318-19", "ACI service load"),
    ("DIN 18218:2010", "EN 1992-4:2018", "EN partial factors"),
    ("CIRIA R108", "EN 1992-4:2018", "EN partial factors"),
    ("GB 50666-2011", "EN 1992-4:2018", "ACI service load"),
    ("JGJ 162-2008", "ACI 318M-19", "ACI service load"),
    ("Full head", "ACI 318-19", "ACI strength"),
]


@pytest.mark.parametrize(("pressure", "anchor", "basis"), COMBINATIONS)
def test_frames_are_the_same_in_metric_and_us_units(pressure: str, anchor: str, basis: str) -> None:
    changes = book()
    changes["job"] |= {"Pressure method": pressure, "Anchor method": anchor, "Safety basis": basis}
    metric, us = calculate(read_job(grids(**changes))), calculate(read_job(us_grids(changes)))
    assert metric.digest != us.digest
    assert len(metric.frames["Anchor demand"]) == 5 * 4
    for name, frame in metric.frames.items():
        if name != "Flags":  # some flags quote the cell in its own unit
            assert_same(frame, us.frames[name], name)
    assert [flag.identifier for flag in metric.findings] == [flag.identifier for flag in us.findings]
    for name, series in metric.series.items():
        assert_same(series, us.series[name], name)


def test_the_us_book_is_in_other_units_indeed() -> None:
    lifts = us_grids(book())["Lifts"].rows
    assert "Height [ft]" in lifts[0]
    assert lifts[1][list(lifts[0]).index("Height [ft]")] == pytest.approx(7.874016)
    assert "Concrete temperature [degF]" in lifts[0]


def test_limits_of_the_methods_hold_in_either_unit() -> None:
    # slump of 7 in and rise of 15 ft/h are inside the inch-pound form; 175 mm and 4.5 m/h inside the SI form
    for method, slump, rise, units in (
        ("ACI 347R-14 inch-pound", 7.0, 15.0, {"Mixes": {"Slump": "in"}, "Lifts": {"Rise rate": "ft/h"}}),
        ("ACI 347R-14 inch-pound", 177.8, 4.572, {}),
        ("ACI 347R-14 SI", 175.0, 4.5, {}),
        ("ACI 347R-14 SI", 175.0 / 25.4, 4.5 / 0.3048, {"Mixes": {"Slump": "in"}, "Lifts": {"Rise rate": "ft/h"}}),
    ):  # fmt: skip
        results = calculate(
            read_job(
                grids(
                    job={"Pressure method": method},
                    mixes=[{"Slump": slump}],
                    lifts=pile(2, Rise_rate=rise),
                    written_in=units,
                )
            )
        )
        governed = set(results.frames["Pressures"]["Governed by"])
        assert "full head (outside scope)" not in governed, (method, slump)
