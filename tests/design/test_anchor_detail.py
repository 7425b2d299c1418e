"""Every ratio of ``Anchor demand`` once more by hand, from the numbers that ``Anchor detail`` shows and no others."""

from __future__ import annotations

import math
from typing import Any

import pandas as pd
import pytest
from builders import job, pile

from sheetengine.job import Results
from sheetengine.run import calculate
from sheetengine.sheets.detail_looks import DETAIL
from sheetengine.sheets.results import contents

EN, INCH, METRIC = "EN 1992-4:2018", "ACI 318-19", "ACI 318M-19"
POSITIONS = [(0.1, 0.12), (0.1, 0.3), (0.5, None), (2.0, None), (2.2, 0.11), (2.4, 0.13), (6.0, None), (9.0, 0.2),
             (12.0, None), (14.8, None)]  # fmt: skip
PSI, LBF, IN = 4.4482216152605 / 645.16, 4.4482216152605e-3, 25.4


def results(method: str, basis: str, **anchor: Any) -> Results:
    rows = [{"Block": "B1", "Lift": 2, "Position": x} | ({"Depth": d} if d else {}) for x, d in POSITIONS]
    cells = {"Embedment": 320.0, "Stand-off": 40.0} | anchor
    return calculate(
        job(
            job={"Anchor method": method, "Safety basis": basis, "Below-range accepted by": "Report 7"},
            anchors=[cells],
            lifts=pile(3, Thickness=1.4),
            optional={"Anchor positions": rows},
        )
    )


def value(row: pd.Series, name: str) -> float:
    """Return a number of the sheet, ``nan`` for a blank or a heading that is not there."""
    return float(row[name]) if name in row.index else math.nan


def ratio(load: float, resistance: float, divisor: float) -> float:
    return 0.0 if load == 0.0 else load / (resistance / divisor)


def cone_by_hand(row: pd.Series, prefix: str, method: str) -> float:
    """k1 or k_c, strength and depth give the basic resistance; areas and factors the rest."""
    h, f = value(row, f"{prefix} depth [mm]"), value(row, "Concrete strength [MPa]")
    if method == EN:
        basic = 8.9 * math.sqrt(f) * h**1.5 / 1000.0
    elif method == METRIC:
        basic = (3.9 * h ** (5.0 / 3.0) if 280.0 <= h <= 635.0 else 10.0 * h**1.5) * math.sqrt(f) / 1000.0
    else:
        d = h / IN
        basic = (16.0 * d ** (5.0 / 3.0) if 11.0 <= d <= 25.0 else 24.0 * d**1.5) * math.sqrt(f / PSI) * LBF
    assert value(row, f"{prefix} basic resistance [kN]") == pytest.approx(basic, rel=1e-9)
    assert value(row, f"{prefix} reference area [mm2]") == pytest.approx(9.0 * h**2, rel=1e-12)
    edge = min(0.7 + 0.3 * value(row, f"{prefix} edge distance [mm]") / (1.5 * h), 1.0)
    assert value(row, f"{prefix} edge factor") == pytest.approx(edge, rel=1e-12)
    share = value(row, f"{prefix} area [mm2]") / (9.0 * h**2)
    return basic * share * edge * value(row, f"{prefix} eccentricity factor")


def eccentricity_by_hand(row: pd.Series, prefix: str) -> float:
    h = value(row, f"{prefix} depth [mm]")
    along, down = value(row, f"{prefix} eccentricity [mm]"), value(row, f"{prefix} eccentricity down [mm]")
    product = 1.0 / (1.0 + 2.0 * along / (3.0 * h)) / (1.0 + 2.0 * down / (3.0 * h))
    return max(product, value(row, f"{prefix} least eccentricity factor"))


def blow_out_by_hand(row: pd.Series, prefix: str, method: str) -> float:
    c1, f, head = (
        value(row, name)
        for name in (f"{prefix} edge distance [mm]", "Concrete strength [MPa]", "Bearing area [mm2]")
    )
    if method == EN:
        basic = 8.7 * c1 * math.sqrt(head * f) / 1000.0
    elif method == METRIC:
        basic = 13.0 * c1 * math.sqrt(head * f) / 1000.0
    else:
        basic = 160.0 * c1 / IN * math.sqrt(head) / IN * math.sqrt(f / PSI) * LBF
    assert value(row, f"{prefix} basic resistance [kN]") == pytest.approx(basic, rel=1e-9)
    whole = basic * value(row, f"{prefix} edge factor") * value(row, f"{prefix} row factor")
    if method == EN:
        assert value(row, f"{prefix} reference area [mm2]") == pytest.approx(16.0 * c1**2, rel=1e-12)
        whole *= (
            value(row, f"{prefix} area [mm2]") / (16.0 * c1**2) * value(row, f"{prefix} eccentricity factor")
        )
    return whole


def edge_by_hand(row: pd.Series, prefix: str, method: str) -> float:
    c1, f, d, h = (
        value(row, name)
        for name in (
            f"{prefix} edge distance [mm]",
            "Concrete strength [MPa]",
            "Shank diameter [mm]",
            "Embedment [mm]",
        )
    )
    if method == EN:
        length = min(h, 12.0 * d if d <= 24.0 else max(8.0 * d, 300.0))
        basic = 1.7 * d ** (0.1 * math.sqrt(length / c1)) * length ** (0.1 * (d / c1) ** 0.2)
        basic *= math.sqrt(f) * c1**1.5 / 1000.0
    else:
        length = min(h, 8.0 * d)
        a, b, unit, stress, force = (
            (0.6, 3.7, 1.0, 1.0, 1e-3) if method == METRIC else (7.0, 9.0, IN, PSI, LBF)
        )
        slender = a * (length / d) ** 0.2 * math.sqrt(d / unit)
        basic = min(slender, b) * math.sqrt(f / stress) * (c1 / unit) ** 1.5 * force
    assert value(row, f"{prefix} basic resistance [kN]") == pytest.approx(basic, rel=1e-9)
    assert value(row, f"{prefix} reference area [mm2]") == pytest.approx(4.5 * c1**2, rel=1e-12)
    whole = basic * value(row, f"{prefix} area [mm2]") / (4.5 * c1**2)
    for factor in ("edge factor", "thickness factor", "eccentricity factor", "direction factor"):
        if factor != "edge factor" or method == EN:
            whole *= value(row, f"{prefix} {factor}")
    return whole


def mode_ratios(row: pd.Series, method: str) -> dict[str, float]:
    """Return every concrete mode's ratio by hand: the worse of own share and group."""
    pull, shear = max(value(row, "Tension [kN]"), 0.0), value(row, "Shear [kN]")
    cone = cone_by_hand(row, "Cone", method)
    multiple = value(row, "Pry-out multiple")
    found = {
        "concrete cone": [ratio(pull, cone, value(row, "Cone divisor"))],
        "pry-out": [ratio(shear, multiple * cone, value(row, "Pry-out divisor"))],
        "side-face blow-out": [0.0],
        "concrete edge": [0.0],
    }
    if not math.isnan(value(row, "Group cone area [mm2]")):
        for mode, prefix, load, times in (
            ("concrete cone", "Group cone", pull, 1.0),
            ("pry-out", "Group pry-out", shear, multiple),
        ):
            assert value(row, f"{prefix} eccentricity factor") == pytest.approx(
                eccentricity_by_hand(row, prefix), rel=1e-12
            )
            whole = times * cone_by_hand(row, prefix, method)
            assert value(row, f"{prefix} resistance [kN]") == pytest.approx(whole, rel=1e-9)
            divisor = value(row, "Cone divisor" if times == 1.0 else "Pry-out divisor")
            found[mode].append(ratio(load, whole * value(row, f"{prefix} part"), divisor))
    for prefix in ("Joint blow-out", "End blow-out", "Group joint blow-out", "Group end blow-out"):
        if not math.isnan(value(row, f"{prefix} edge distance [mm]")):
            part = value(row, f"{prefix} part") if prefix.startswith("Group") else 1.0
            own = ratio(
                pull, part * blow_out_by_hand(row, prefix, method), value(row, "Joint blow-out divisor")
            )
            assert value(row, f"{prefix} ratio") == pytest.approx(own, rel=1e-9)
            found["side-face blow-out"].append(own)
    for prefix in ("Edge shear", "Group edge shear"):
        if not math.isnan(value(row, f"{prefix} edge distance [mm]")):
            part = value(row, f"{prefix} part") if prefix.startswith("Group") else 1.0
            own = ratio(shear, part * edge_by_hand(row, prefix, method), value(row, "Edge shear divisor"))
            found["concrete edge"].append(own)
    return {mode: max(ratios) for mode, ratios in found.items()}


@pytest.mark.parametrize(
    ("method", "basis"),
    [
        (EN, "EN partial factors"),
        (EN, "ACI service load"),
        (INCH, "ACI strength"),
        (METRIC, "ACI service load"),
    ],
)
def test_every_row_by_hand_from_its_own_numbers(method: str, basis: str) -> None:
    frames = results(method, basis).frames
    detail, demand = frames["Anchor detail"], frames["Anchor demand"]
    assert len(detail) == len(demand)
    groups = 0
    for (_, row), (_, judged) in zip(detail.iterrows(), demand.iterrows(), strict=True):
        assert row["Anchor"] == judged["Anchor"]
        groups += not math.isnan(value(row, "Group cone area [mm2]"))
        for mode, expected in mode_ratios(row, method).items():
            assert judged[f"Ratio: {mode}"] == pytest.approx(expected, rel=1e-9, abs=1e-12), mode
        pull, shear = max(row["Tension [kN]"], 0.0), row["Shear [kN]"]
        for name, load, mode in (("Steel tension", pull, "steel tension"), ("Steel shear", shear, "steel shear"),
                                 ("Pull-out", pull, "head pull-out")):  # fmt: skip
            own = ratio(load, row[f"{name} resistance [kN]"], row[f"{name} divisor"])
            assert judged[f"Ratio: {mode}"] == pytest.approx(own, rel=1e-9)
        if judged["Ratio: bolt bending"] < math.inf:
            bending = ratio(shear, row["Bending resistance [kN]"], row["Steel shear divisor"])
            assert judged["Ratio: bolt bending"] == pytest.approx(bending, rel=1e-9)
    assert groups > 0


def test_bars_by_hand_from_the_sheet() -> None:
    frames = results(
        EN, "EN partial factors",
        **{"Supplementary bars": 4, "Supplementary diameter": 12.0, "Supplementary length": 200.0, "Supplementary yield": 500.0},
    ).frames  # fmt: skip
    for (_, row), (_, judged) in zip(
        frames["Anchor detail"].iterrows(), frames["Anchor demand"].iterrows(), strict=True
    ):
        pull = max(row["Tension [kN]"], 0.0)
        for part in ("steel", "anchorage"):
            own = ratio(pull, row[f"Bars {part} resistance [kN]"], row[f"Bars {part} divisor"])
            assert judged[f"Ratio: supplementary bars, {part}"] == pytest.approx(own, rel=1e-9)


def test_a_book_without_groups_has_no_columns_for_them() -> None:
    frame = calculate(job(lifts=pile(2))).frames["Anchor detail"]
    assert not [heading for heading in frame.columns if heading.startswith("Group")]


@pytest.mark.parametrize("units", ["metric", "US"])
def test_every_column_is_explained_and_stands_in_the_chosen_units(units: str) -> None:
    found = results(EN, "EN partial factors")
    known = {column.heading(us=False) for column in DETAIL}
    assert set(found.frames["Anchor detail"].columns) <= known
    found.result_units = units
    sheets = contents(found, None, ())
    names = [sheet.name for sheet in sheets]
    assert names.index("Anchor detail") == names.index("Chart data") - 1 > names.index("Run record")
    (sheet,) = (sheet for sheet in sheets if sheet.name == "Anchor detail")
    table = sheet.tables[0]
    headings = [column.heading for column in table.columns]
    assert len(headings) == len(set(headings))
    assert all(column.note for column in table.columns[3:])
    place = headings.index("Embedment [in]" if units == "US" else "Embedment [mm]")
    assert table.rows[0][place] == pytest.approx(320.0 / (25.4 if units == "US" else 1.0))
