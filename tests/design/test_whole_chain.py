"""Properties of the whole calculation on random books: what can never be, whatever is written in the cells."""

from __future__ import annotations

import datetime as dt
import warnings
from typing import Any

import numpy as np
import pandas as pd
import pytest
from builders import days, job

from sheetengine.exceptions import InputFaults
from sheetengine.findings import Level
from sheetengine.job import Results
from sheetengine.run import calculate, is_open

SEEDS = range(60)
METHODS = (
    "ACI 347R-14 SI",
    "ACI 347R-14 inch-pound",
    "DIN 18218:2010",
    "CIRIA R108",
    "GB 50666-2011",
    "JGJ 162-2008",
    "Full head",
)
CURVES = ("EN 1992-1-1", "fib MC 2010", "ACI 209R", "Hyperbolic", None)


def random_book(seed: int) -> dict[str, Any]:
    """Return a book without input faults, with blanks, leaning faces and impossible wishes in it."""
    rng = np.random.default_rng(seed)

    def pick(*choices: Any) -> Any:
        return choices[int(rng.integers(len(choices)))]

    def between(low: float, high: float) -> float:
        return float(rng.uniform(low, high))

    def moment(after: dt.datetime, low: float, high: float) -> Any:
        return pick(None, after + dt.timedelta(hours=between(low, high)))

    items = {
        "Safety basis": pick("EN partial factors", "ACI service load", "ACI strength"),
        "Pressure method": pick(*METHODS),
        "Anchor method": pick("EN 1992-4:2018", "ACI 318-19", "ACI 318M-19"),
        "Storm wind": pick(None, (between(0.0, 2.0), "kPa")),
        "Foundation strength": pick(None, (between(5.0, 95.0), "MPa")),
        "Below-range strength": pick("indicate", "refuse", None),
        "Below-range accepted by": pick(None, "Report 1"),
        "Concrete cracked": pick("yes", "no", None),
        "Least interval between lifts": pick(None, (between(0.0, 15.0), "d")),
        "Greatest height difference": pick(None, (between(1.0, 8.0), "m")),
        "Result units": pick("metric", "US"),
    }
    mixes, units, anchors = [], [], []
    for name in "12":
        depth, shank, tensile = between(0.1, 1.0), between(10.0, 70.0), between(300.0, 1300.0)
        mixes.append({
            "Mix": f"M{name}", "Unit weight": between(15.0, 30.0), "Strength 28 d": between(12.0, 80.0),
            "Strength kind": pick("cube, mean", "cylinder, mean", "cube, characteristic", None),
            "Strength class": pick("S", "N", "R", None), "Strength curve": pick(*CURVES),
            "Ultimate strength": between(12.0, 80.0), "Rate constant": between(0.05, 2.0),
            "Cement group": pick("plain", "blend", "high blend", None), "Retarder": pick("yes", "no", None),
            "Slump": pick(None, between(0.0, 250.0)), "Set confirmed": pick("yes", "no", None),
            "Final set": pick(None, between(3.0, 40.0)), "Consistency class": pick(None, "F1", "F5", "SCC"),
            "Maturity function": pick("Arrhenius", "Nurse-Saul", None),
        })  # fmt: skip
        units.append({
            "Unit": f"U{name}", "Platform width": pick(None, 0.0, 1.2), "Lower row": pick("anchored", "bearing", None),
            "Permissible pressure": pick(None, between(20.0, 100.0)), "Anchor depth": depth,
            "Foot depth": max(depth + between(0.5, 3.0), 1.05), "Mass": between(0.0, 5000.0), "Mass offset": between(0.0, 2.0),
        })  # fmt: skip
        anchors.append({
            "Anchor": f"A{name}", "Embedment": between(40.0, 800.0), "Shank diameter": shank,
            "Head diameter": shank + between(1.0, 50.0), "Tensile strength": tensile,
            "Yield strength": tensile * between(0.5, 1.0), "Stand-off": pick(None, 0.0, between(1.0, 200.0)),
            "Rated tension": pick(None, between(10.0, 300.0)), "Net area": between(50.0, 3000.0),
        })  # fmt: skip
    lifts = []
    for block in range(int(rng.integers(1, 4))):
        for number in range(int(rng.integers(1, 5))):
            placed = days(7.0 * number * between(0.95, 1.05) + block)
            lifts.append({
                "Block": f"B{block}", "Lift": number + 1, "Placed": placed, "Height": between(1.05, 5.0),
                "Face length": between(0.3, 30.0), "Mix": f"M{pick(1, 2)}", "Unit": f"U{pick(1, 2)}",
                "Anchor": f"A{pick(1, 2)}", "Anchor spacing": between(0.3, 3.0), "Rise rate": between(0.1, 12.0),
                "Thickness": pick(None, between(0.3, 20.0)), "Face inclination": pick(None, None, 0.0, between(-50.0, 50.0)),
                "Lower anchor": pick(None, "A1", "A2"),
                "Concrete temperature": between(-3.0, 35.0), "Air temperature": pick(None, between(-20.0, 35.0)),
                "Air swing": pick(None, between(0.0, 20.0)), "End distance": pick(None, between(0.05, 3.0)),
                "Stripped": moment(placed, 1.0, 100.0), "Hung": moment(placed, 1.0, 150.0),
                "Bottom level": pick(None, between(0.0, 10.0)),
            } | pick({}, {}, {"Projection reach": between(0.2, 2.0), "Projection thickness": between(0.1, 1.0)}))  # fmt: skip
    optional: dict[str, Any] = {}
    chosen = pick(*lifts)
    if pick(True, False):
        places = np.sort(rng.uniform(0.02, 0.98, int(rng.integers(1, 6)))) * chosen["Face length"]
        optional["Anchor positions"] = [
            {"Block": chosen["Block"], "Lift": chosen["Lift"], "Position": place,
             "Depth": pick(None, between(0.1, 1.0))}
            for place in places.tolist()
        ]  # fmt: skip
    if pick(True, False):
        optional["Probe log"] = [
            {"Block": chosen["Block"], "Lift": chosen["Lift"],
             "Time": chosen["Placed"] + dt.timedelta(hours=hour), "Temperature": between(*pick((5.0, 30.0), (-60.0, 120.0))),
             "Depth from face": pick(None, 0.1, 0.9), "Depth from joint": pick(None, 0.4, 0.5)}
            for hour in rng.uniform(-10.0, 200.0, int(rng.integers(1, 30))).tolist()
        ]  # fmt: skip
    return {
        "job": items, "mixes": mixes, "units": units, "anchors": anchors, "lifts": lifts, "optional": optional,
    }  # fmt: skip


def results_of(book: dict[str, Any]) -> Results:
    """Return the results; a warning of a library is an error."""
    read = job(**book)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        return calculate(read)


@pytest.mark.parametrize("seed", SEEDS)
def test_no_random_book_breaks_a_rule(seed: int) -> None:
    results = results_of(random_book(seed))
    demand, gates, pressure = (
        results.frames[name] for name in ("Anchor demand", "Strength ready", "Pressures")
    )

    passed = demand[demand["Verdict"].isin(["Within", "Near limit"])]
    assert (passed["Demand ratio"] <= 1.0).all(), "neither nan nor an overload passes"
    assert demand.loc[demand["Demand ratio"] > 1.0, "Verdict"].isin(["Exceeds", "Outside scope"]).all()
    ratios = demand[[heading for heading in demand.columns if heading.startswith("Ratio: ")]]
    shown = demand["Demand ratio"].notna()
    np.testing.assert_allclose(demand.loc[shown, "Demand ratio"], ratios[shown].max(axis=1), rtol=1e-12)
    assert (ratios[shown].to_numpy() >= 0.0).sum() > 0 or not shown.any()

    safe = pressure[pressure["Verdict"].isin(["Within", "Near limit"])]
    assert (safe["Panel ratio"] <= 1.0).all()
    assert (
        pressure["Maximum pressure [kPa]"].dropna() <= pressure["Full head [kPa]"].dropna().max() * (1 + 1e-9)
    ).all()
    both = pressure.dropna(subset=["Maximum pressure [kPa]"])
    assert (both["Maximum pressure [kPa]"] <= both["Full head [kPa]"] * (1.0 + 1e-9)).all()
    assert (both["Resultant height [m]"] > 0.0).all()

    opened = gates[gates["Verdict"].isin(["Within", "Near limit"])]
    assert (opened["Margin [h]"] >= 0.0).all()
    assert (opened["Planned"] >= opened["Ready at"]).all()
    assert gates.loc[gates["Planned"].isna(), "Verdict"].eq("Not computed").all()

    verdicts = pd.concat(
        [frame["Verdict"] for frame in results.frames.values() if "Verdict" in frame.columns]
    )
    stops = [finding for finding in results.findings if finding.level is Level.STOP]
    if verdicts.isin(["Exceeds", "Outside scope", "Not computed"]).any():
        assert is_open(results)
        assert stops, "what is open is flagged"
    identifiers = [finding.identifier for finding in results.findings]
    assert len(identifiers) == len(set(identifiers)), "a flag has a name of its own"
    for finding in results.findings:
        assert finding.level is not Level.FAULT
        assert finding.at.sheet and finding.message
        assert "nan" not in finding.message.split() and "inf" not in finding.message.split()
    assert dict(results.record)["Digest of the inputs"] == results.digest


@pytest.mark.parametrize("seed", range(12))
def test_a_block_by_itself_gives_what_it_gives_among_others(seed: int) -> None:
    book = random_book(seed)
    book["job"]["Greatest height difference"] = None
    together = results_of(book)
    for block in {lift["Block"] for lift in book["lifts"]}:
        alone = results_of(
            book
            | {"lifts": [lift for lift in book["lifts"] if lift["Block"] == block]}
            | {"optional": {name: own for name, rows in book["optional"].items() if (own := [row for row in rows if row["Block"] == block])}}
        )  # fmt: skip
        for name in ("Pressures", "Anchor demand", "Strength ready"):
            whole = together.frames[name]
            part = whole[whole["Block"] == block].reset_index(drop=True)
            pd.testing.assert_frame_equal(part, alone.frames[name], rtol=1e-9, check_dtype=False)


@pytest.mark.parametrize("seed", range(8))
def test_the_order_of_blocks_is_no_matter(seed: int) -> None:
    book = random_book(seed)
    book["job"]["Greatest height difference"] = None
    turned = book | {"lifts": sorted(book["lifts"], key=lambda lift: (-int(lift["Block"][1:]), lift["Lift"]))}
    one, other = results_of(book), results_of(turned)
    for name in ("Pressures", "Anchor demand", "Strength ready"):
        keys = [key for key in ("Block", "Lift", "Stage", "Gate") if key in one.frames[name].columns]
        frames = [results.frames[name].sort_values(keys).reset_index(drop=True) for results in (one, other)]
        pd.testing.assert_frame_equal(*frames, rtol=1e-9, check_dtype=False)


def test_a_mean_strength_of_no_more_than_8_mpa_is_a_fault() -> None:
    # EN 1992-1-1 Table 3.1: the characteristic strength lies 8 MPa below the mean, so that nothing is left
    with pytest.raises(InputFaults, match="nothing is left"):
        results_of(
            {
                "mixes": [
                    {"Strength 28 d": 8.0, "Strength kind": "cylinder, mean", "Strength curve": "ACI 209R"}
                ]
            }
        )
