"""What the power station is there to show: the heat of its lifts."""

from __future__ import annotations

import numpy as np
import pytest

from sheetengine.demos import demo_file, demo_named
from sheetengine.findings import Code
from sheetengine.job import Job, Results
from sheetengine.run import calculate, read_book


@pytest.fixture(scope="module")
def job() -> Job:
    return read_book(demo_file(demo_named("power-station")))


@pytest.fixture(scope="module")
def results(job: Job) -> Results:
    return calculate(job)


def test_no_lift_is_warmer_than_without_loss(job: Job, results: Results) -> None:
    heat, lifts = results.frames["Lift heat"], job.table("Lifts")
    rise = np.where(lifts.label("mix") == "B35 rapid", 46.0, 30.0)
    placed = lifts.number("concrete_temperature")
    warmed = heat["Peak temperature [degC]"].to_numpy() - placed
    assert (warmed < rise).all()
    # a lift under the rapid one is warmed from above too; the others keep some half to three quarters of the rise in 2 to 3 m
    assert (warmed > 0.5 * rise).all()


def test_rapid_mix_and_lost_ice_plant_pass_the_difference(results: Results) -> None:
    told = [f for f in results.findings if f.heading == "Greatest core-to-face difference"]
    assert [f.message.split(":")[0] for f in told] == ["Lift T1/5", "Lift T2/6"]
    assert all(f.code is Code.EXCEEDS for f in told)


def test_gates_that_rest_on_computed_heat_are_told_for_each_mix(results: Results) -> None:
    told = [f for f in results.findings if f.heading == "Computed heat"]
    assert [f.keys[0] for f in told] == ["B25 fly ash", "B35 rapid"]


def test_insulation_gains_most_where_the_nights_are_coldest(results: Results) -> None:
    gates = results.frames["Earlier gates"]
    strip = gates[gates["Gate"] == "Strip"]
    assert (strip["Insulated form [h]"] > 0.5).all()
    assert (
        strip["Most gained by"].iloc[-1]
        == "a form of at least 0.8 m2K/W: " + f"{strip['Insulated form [h]'].iloc[-1]:.1f} h"
    )
