"""The filling of lifts in time: layers beside the even rise, exposure, and what the pressure takes from a layer."""

from __future__ import annotations

import itertools
from pathlib import Path

import numpy as np
import pytest
from builders import computed, grids, pile
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import load_workbook

from sheetengine.books.render import render_results
from sheetengine.clauses.filling import (
    even_level,
    hours_to_fill,
    layer_interval,
    layered_level,
    least_rise_rate,
    longest_exposure,
)
from sheetengine.clauses.fluid_pressure import pressure_at_depth
from sheetengine.design.filling import profile, shown_lift
from sheetengine.design.flags import all_flags
from sheetengine.design.strongback_columns import filling_of
from sheetengine.exceptions import InputFaults
from sheetengine.findings import Level
from sheetengine.run import calculate
from sheetengine.sheets.reading import read_job
from sheetengine.sheets.results import contents


def one(value: float) -> np.ndarray:
    return np.array([value])


rate, depth, height = st.floats(0.05, 8.0), st.floats(0.1, 3.0), st.floats(0.3, 6.0)


@given(R=rate, d=depth, H=height, share=st.floats(0.0, 1.2))
def test_layers_are_never_below_the_even_rise_nor_a_layer_above_it(
    R: float, d: float, H: float, share: float
) -> None:
    t = share * H / R
    common = {"filling_time": one(t), "rate_of_rise": one(R), "placement_height": one(H)}
    even = float(even_level(**common)[0])
    layered = float(layered_level(layer_depth=one(d), **common)[0])
    assert even - 1e-8 * d <= layered <= min(even + d, H) + 1e-8 * d
    assert float(even_level(**common | {"filling_time": hours_to_fill(rate_of_rise=one(R), placement_height=one(H))})[0]) == pytest.approx(H)  # fmt: skip


@given(R=rate, d=depth, H=height)
def test_no_point_of_a_plan_stays_open_longer(R: float, d: float, H: float) -> None:
    # layer k covers the point at the share f of the plan at (k + f) periods, the last layer at its own speed
    period = float(layer_interval(rate_of_rise=one(R), layer_depth=one(d))[0])
    count = int(np.ceil(round(H / d, 9)))
    last = H / R - (count - 1) * period
    f = np.linspace(0.0, 1.0, 11)
    covered = [(k + f) * period for k in range(count - 1)] + [(count - 1) * period + f * last]
    open_for = max((np.max(after - before) for before, after in itertools.pairwise(covered)), default=0.0)
    found = float(longest_exposure(rate_of_rise=one(R), layer_depth=one(d), placement_height=one(H))[0])
    assert found == pytest.approx(open_for, rel=1e-9, abs=1e-12)


@given(d=depth, window=st.floats(0.3, 20.0), H=height)
def test_at_the_least_rate_the_exposure_is_the_window(d: float, window: float, H: float) -> None:
    R = least_rise_rate(layer_depth=one(d), exposure_window=one(window), placement_height=one(H))
    if d >= H:
        assert R[0] == 0.0
        return
    exposure = longest_exposure(rate_of_rise=R, layer_depth=one(d), placement_height=one(H))
    assert exposure[0] == pytest.approx(window, rel=1e-12)


def test_a_lift_in_layers_by_hand() -> None:
    # 3 m at 1 m/h in layers of 0.5 m: 3 h, 6 layers, one in 0.5 h; the mix allows 0.4 h: 1.25 m/h at least
    c = computed(mixes=[{"Exposure window": 0.4}], lifts=pile(2, Layer_depth=0.5))
    f = c.filling
    assert (f.hours[0], f.layers[0], f.interval[0], f.exposure[0]) == (3.0, 6.0, 0.5, 0.5)
    assert f.least_rise[0] == pytest.approx(1.25)
    assert f.ratio[0] == pytest.approx(1.25)
    assert f.verdict[0] == "Exceeds"
    flags = [flag for flag in all_flags(c) if "cold joint" in flag.message]
    assert len(flags) == 2
    assert flags[0].level is Level.STOP
    assert "1.25 m/h" in flags[0].clears and "0.4 m" in flags[0].clears
    cleared = computed(mixes=[{"Exposure window": 0.4}], lifts=pile(2, Layer_depth=0.5, Rise_rate=1.25))
    assert cleared.filling.ratio[0] == pytest.approx(1.0)
    assert cleared.filling.verdict[0] == "Near limit"


def test_without_depth_or_window_nothing_is_judged() -> None:
    plain = computed(lifts=pile(1))
    assert plain.filling.verdict.tolist() == ["Not computed"]
    assert not [flag for flag in all_flags(plain) if flag.heading == "Layer depth"]
    half = computed(mixes=[{"Exposure window": 2.0}], lifts=pile(1))
    (note,) = [flag for flag in all_flags(half) if flag.heading == "Layer depth"]
    assert note.level is Level.NOTE


def test_a_deep_layer_presses_more_than_the_even_rise_and_is_taken() -> None:
    # ACI: about 34 kPa at 1 m/h; a layer of 2.0 m of 25 kN/m3 placed at once: 50 kPa; one of 0.5 m: 12.5
    even = computed(lifts=pile(1))
    shallow = computed(lifts=pile(1, Layer_depth=0.5))
    deep = computed(lifts=pile(1, Layer_depth=2.0))
    assert even.pressure.maximum[0] == shallow.pressure.maximum[0] < 40.0
    assert deep.pressure.maximum[0] == 50.0
    assert deep.pressure.governed_by[0] == "layer placed at once"
    assert deep.pressure.full_head_depth[0] == 2.0
    assert deep.pressure.greatest_rise[0] == even.pressure.greatest_rise[0]
    assert deep.forces.tension.sum() >= even.forces.tension.sum()
    assert next(flag.level for flag in all_flags(deep) if "placed at once" in flag.message) is Level.NOTE
    assert not [flag for flag in all_flags(shallow) if "placed at once" in flag.message]
    weak = computed(units=[{"Permissible pressure": 45.0}], lifts=pile(1, Layer_depth=2.0))
    assert weak.pressure.greatest_rise[0] == 0.0
    assert weak.pressure_verdict[0] == "Exceeds"


def test_a_layer_as_deep_as_the_lift_is_the_full_head() -> None:
    once = computed(lifts=pile(1, Layer_depth=4.0))
    head = computed(job={"Pressure method": "Full head"}, lifts=pile(1))
    assert once.pressure.maximum[0] == head.pressure.maximum[0] == 75.0
    assert once.filling.exposure[0] == 0.0


@pytest.mark.parametrize("layers", [None, 0.4])
def test_the_profile_is_the_pressure_at_every_height_and_hour(layers: float | None) -> None:
    c = computed(lifts=pile(1, Layer_depth=layers))
    found = profile(c.job, c.layout, 0, float(c.pressure.maximum[0]))
    hours = found.by_hour["Hour [h]"]
    assert hours[0] == 0.0 and hours[-1] == pytest.approx(3.0)
    level = found.by_hour["Level, in layers [m]" if layers else "Level, even rise [m]"]
    heights = found.by_height["Height [m]"]
    grid = [column for name, column in found.by_height.items() if name.startswith("At ")]
    assert grid
    last = pressure_at_depth(
        maximum_pressure=np.full(heights.size, c.pressure.maximum[0]), weight_density=np.full(heights.size, 25.0),
        depth_below_surface=3.0 - heights,
    )  # fmt: skip
    np.testing.assert_allclose(grid[-1], last, atol=1e-9)
    np.testing.assert_allclose(found.by_height["Envelope [kPa]"], last, atol=1e-9)
    assert level[-1] == pytest.approx(3.0)
    assert (np.diff(np.stack(grid), axis=0) >= -1e-12).all()
    assert found.by_hour[f"Resultant, {'in layers' if layers else 'even rise'} [kN/m]"][-1] == pytest.approx(
        c.pressure.resultant[0]
    )


@pytest.mark.parametrize(("lean", "foot"), [(30.0, 0.75 * 34.2099 + 0.25 * 75.0), (-30.0, 34.2099)])
def test_the_profile_of_a_leaning_lift_is_normal_to_its_face(lean: float, foot: float) -> None:
    # 34.2099 kPa lateral and 75 kPa of weight at the foot; on an overhang cos^2 of one and sin^2 of the other
    c = computed(job={"Filling shown for": "B1/1"}, lifts=pile(1, Face_inclination=lean))
    _, by_hour, by_height = filling_of(c)
    assert by_hour["Greatest pressure, even rise [kPa]"][-1] == pytest.approx(foot, abs=1e-3)
    assert by_height["Envelope [kPa]"].max() == pytest.approx(foot, abs=1e-3)
    assert by_hour["Resultant, even rise [kN/m]"][-1] == pytest.approx(c.face.force[0], rel=1e-12)


def test_a_lift_that_leans_too_far_is_not_shown_as_if_it_did_not(tmp_path: Path) -> None:
    lifts = pile(3)
    lifts[2]["Face inclination"] = 50.0
    c = computed(job={"Filling shown for": "B1/3"}, lifts=lifts)
    name, by_hour, by_height = filling_of(c)
    assert name == "B1/3"
    for heading, column in (by_hour | by_height).items():
        if "kPa" in heading or "kN" in heading:
            assert np.isnan(column).all(), heading
    results = calculate(c.job)
    sheets = {sheet.name: sheet for sheet in contents(results, None, ())}
    workbook = render_results([sheets["Filling profile"]])
    workbook.save(tmp_path / "profile.xlsx")
    assert "Filling profile" in load_workbook(tmp_path / "profile.xlsx").sheetnames


def test_the_lift_that_job_names_is_shown() -> None:
    c = computed(job={"Filling shown for": "b1 / 3"}, lifts=pile(3))
    assert filling_of(c)[0] == "B1/3"
    lifts = pile(3)
    lifts[1]["Rise rate"] = 2.0
    assert (
        shown_lift(computed(lifts=lifts).job, computed(lifts=lifts).pressure.panel_ratio, np.zeros(3, bool))
        == 1
    )
    with pytest.raises(InputFaults) as refused:
        read_job(grids(job={"Filling shown for": "B1/33"}))
    (fault,) = refused.value.findings
    assert fault.at.sheet == "Job"
    assert "B1/3" in fault.clears
