"""The pour card: every rate it tells keeps the limits when the whole is computed at it, and a little more does not."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from builders import computed, pile

from sheetengine.design.hold_points import PERMIT
from sheetengine.design.pour_cards import (
    LINES,
    METRIC_LINES,
    US_LINES,
    card_columns,
    rates_by_temperature,
)
from sheetengine.design.rise_window import rise_window
from sheetengine.design.site_columns import Site
from sheetengine.design.stages import PLACING

BOOK: dict[str, Any] = {
    "job": {"Foundation strength": (30.0, "MPa"), "Truck load": (8.0, "m3")},
    "mixes": [{"Exposure window": 2.0, "Final set": 9.0}],
}
COMMON: dict[str, Any] = {"Plan_area": 120.0, "Layer_depth": 0.5}


STRONG: dict[str, Any] = {
    "units": [{"Permissible pressure": 90.0, "Foot depth": 2.8}],
    "anchors": [{"Embedment": 400.0, "Shank diameter": 40.0, "Head diameter": 120.0, "Net area": 1000.0}],
}


def worst(c: Any, lift: int) -> float:
    """Return the greatest ratio of panel and anchors while a lift is placed."""
    rows = (c.cases.lift == lift) & (c.cases.stage == PLACING)
    return max(float(c.pressure.panel_ratio[lift]), float(np.max(c.demand.ratio[rows])))


@pytest.mark.parametrize(
    "method", ["ACI 347R-14 SI", "DIN 18218:2010", "CIRIA R108", "ACI 347R-14 inch-pound"]
)
@pytest.mark.parametrize("weak", ["anchors", "panel"])
def test_at_every_rate_told_the_limit_is_just_kept(method: str, weak: str) -> None:
    """The other way round by the whole calculation: planned at the rate and temperature of a line."""
    book = BOOK | {
        "job": BOOK["job"] | {"Pressure method": method},
        "mixes": [BOOK["mixes"][0] | {"Consistency class": "F3"}],
        "units": [{"Permissible pressure": 40.0 if weak == "panel" else 90.0, "Foot depth": 2.8}],
        "anchors": [{"Embedment": 400.0, "Shank diameter": 40.0, "Head diameter": 120.0, "Net area": 1000.0}],
    }
    lifts = COMMON | {"Anchor_spacing": 1.0, "Height": 2.0 if weak == "panel" else 2.25}
    c = computed(lifts=pile(3, strip=1.0, hang=1.5, interval=6.0, **lifts), **book)
    lines = np.broadcast_to(np.array([5.0, 15.0, 25.0]), (3, 3))
    found = rates_by_temperature(c, lines)
    told = 0
    for lift in range(3):
        for place, temperature in enumerate(lines[lift].tolist()):
            rate = float(found.greatest[lift, place])
            if not np.isfinite(rate) or rate < 0.02:
                continue
            told += 1
            # warmer concrete also hardens sooner, which the card leaves as planned: the lifts below keep theirs
            ratios = []
            for part in (1.0, 1.002):
                rows = pile(3, strip=1.0, hang=1.5, interval=6.0, **lifts)
                rows[lift] |= {"Concrete temperature": temperature, "Rise rate": rate * part}
                ratios.append(worst(computed(lifts=rows, **book), lift))
            assert ratios[0] == pytest.approx(1.0, abs=2e-6)
            assert ratios[1] > 1.0
            assert found.held_by[lift, place] == weak
    assert told >= 3


@pytest.mark.parametrize("demo", ["gravity-dam", "lock-wall"])
def test_the_line_as_planned_is_the_window_of_the_flags(demo: str) -> None:
    from sheetengine.demos import demo_file, demo_named
    from sheetengine.design.calculate import calculate_columns
    from sheetengine.run import read_book

    c = calculate_columns(read_book(demo_file(demo_named(demo))))
    planned = c.job.table("Lifts").number("concrete_temperature")
    found = rates_by_temperature(c, planned[:, np.newaxis])
    window = rise_window(c)
    np.testing.assert_allclose(found.greatest[:, 0], window.greatest, rtol=1e-9)
    held = np.isfinite(window.greatest)
    assert held.sum() >= 15
    assert found.held_by[held, 0].tolist() == window.held_by[held].tolist()


def test_colder_concrete_never_allows_a_faster_rise() -> None:
    c = computed(lifts=pile(3, **COMMON), **BOOK)
    found = rates_by_temperature(c, np.broadcast_to(np.linspace(2.0, 35.0, 12), (3, 12)))
    assert (np.diff(found.greatest, axis=1) >= -1e-12).all()


def test_the_words_of_the_lines() -> None:
    """A strong form carries any rate, a weak one none; where the layers ask for more than the form allows no rate serves."""
    strong = computed(
        lifts=pile(2, Height=1.5, **COMMON), job=BOOK["job"], mixes=BOOK["mixes"], units=STRONG["units"], anchors=STRONG["anchors"],
    )  # fmt: skip
    card = card_columns(strong)
    assert set(card["Greatest 0"]) == {"any"} and set(card["Held by 0"]) == {""}
    # by hand: 0.5 m deep, open for 2 h at most: 0.25 m/h
    assert card["Least"] == pytest.approx(0.25)
    assert card["Reads 0"][0] == "the form carries any rate; from 0.25 m/h on"
    weak = card_columns(
        computed(
            lifts=pile(2, **COMMON),
            job=BOOK["job"],
            mixes=BOOK["mixes"],
            units=[{"Permissible pressure": 5.0}],
        )
    )
    assert set(weak["Greatest 3"]) == {"none"} and weak["Reads 3"][0].startswith("NO RATE is slow enough")
    lifts = pile(3, strip=1.0, hang=1.5, interval=6.0, Height=2.25, Anchor_spacing=1.0, **COMMON)
    tight = card_columns(computed(lifts=lifts, **STRONG, job=BOOK["job"], mixes=[{"Exposure window": 0.3}]))
    # by hand: 0.5 m in 0.3 h ask for 1.67 m/h
    assert str(tight["Reads 1"][1]).startswith("NO RATE SERVES: at most") and "at least 1.67 m/h" in str(
        tight["Reads 1"][1]
    )
    steep = card_columns(computed(lifts=pile(2, Face_inclination=60.0, **COMMON), job=BOOK["job"]))
    assert set(steep["Greatest 0"]) == {"not known"} and set(steep["Reads 0"]) == {
        "not known: do not place by this line"
    }


def test_where_the_anchors_are_not_computed_no_rate_is_told() -> None:
    """The first lift hangs in a foundation of unknown strength: what the panel alone would carry is told in words only."""
    weak = [unit | {"Permissible pressure": 40.0} for unit in STRONG["units"]]
    book: dict[str, Any] = STRONG | {
        "units": weak,
        "lifts": pile(2, Height=2.25, Anchor_spacing=1.0, **COMMON),
    }
    known = card_columns(computed(job=BOOK["job"], **book))
    blank = computed(job=BOOK["job"] | {"Foundation strength": None}, **book)
    unknown = card_columns(blank)
    assert unknown["Greatest 0"][0] == "not known" and isinstance(known["Greatest 0"][0], float)
    said = str(unknown["Reads 0"][0])
    assert said.startswith(
        "not known: do not place by this line; the anchors are not computed (panel and strongbacks alone: "
    )
    panel = float(said.rsplit(": ", 1)[1].split(maxsplit=1)[0])
    assert panel >= known["Greatest 0"][0]
    assert unknown["Held by 0"][0] == ""
    assert unknown["Reads 0"][1] == known["Reads 0"][1]
    points = Site(blank).points
    permit = next(
        place for place, at in enumerate(zip(points.lift.tolist(), points.point.tolist(), strict=True)) if at == (0, PERMIT)
    )  # fmt: skip
    assert "the anchors carry is not known" in points.against[permit]


def test_volumes_loads_and_units() -> None:
    """By hand: 120 m2 rising 1 m/h take 120 m3/h, 15 loads of 8 m3; in US units 1 ft/h over 1291.7 ft2 is 47.84 yd3/h."""
    card = card_columns(computed(lifts=pile(2, **COMMON), **BOOK))
    assert card["Area"] == pytest.approx(120.0) and card["Load"] == pytest.approx(8.0)
    assert [text.split(",")[0] for text in (card[f"Line {line}"][0] for line in range(1, LINES))] == [
        f"{value:g} degC" for value in METRIC_LINES
    ]
    us = card_columns(
        computed(lifts=pile(2, **COMMON), job=BOOK["job"] | {"Result units": "US"}, mixes=BOOK["mixes"])
    )
    assert us["Area"] == pytest.approx(120.0 / 0.3048**2 / 27.0) and us["Load"] == pytest.approx(
        8.0 / 0.764554857984
    )
    assert us["Line 1"][0] == f"{US_LINES[0]:g} degF" and us["Line 0"][0] == "59 degF, as planned"
    # 0.25 m/h is 0.82021 ft/h, rounded up
    assert us["Least"][0] == pytest.approx(0.83)
    no_area = card_columns(computed(lifts=pile(2), **BOOK))
    assert np.isnan(no_area["Area"]).all() and no_area["Area from"][0] == "give Plan area in Lifts"
    thick = card_columns(computed(lifts=pile(2, Thickness=4.0), **BOOK))
    assert thick["Area"] == pytest.approx(60.0)


def test_numbers_are_rounded_to_the_safe_side() -> None:
    lifts = pile(3, strip=1.0, hang=1.5, interval=6.0, Height=2.25, Anchor_spacing=1.0, **COMMON)
    c = computed(lifts=lifts, **STRONG, **BOOK)
    card, exact = card_columns(c), rise_window(c)
    rates = [
        (shown, most)
        for shown, most in zip(card["Greatest 0"], exact.greatest, strict=True)
        if np.isfinite(most)
    ]
    assert len(rates) == 2
    for shown, most in rates:
        assert isinstance(shown, float) and shown <= most < shown + 0.01


def test_the_hour_of_the_anchors() -> None:
    """By hand: lift of 3 m, anchors 0.4 m below its joint, 1 m/h from 6:00: 2.6 h, before 8:36; told 8:30."""
    card = card_columns(computed(lifts=pile(2, **COMMON), **BOOK))
    assert card["Anchors set by"][0].startswith("2031-04-07 08:30, 2.6 h after the start")
    assert card["Anchors to set"][0] == "10 x A1 for the units of B1/2"
    assert card["Anchors to set"][1] == "no lift of this book stands on it"
