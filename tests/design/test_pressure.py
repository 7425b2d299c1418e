"""Fresh-concrete pressure through the whole chain: from the cells of a book to the pressure on a lift."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from builders import computed, days, job
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate
from support import Case, case

from sheetengine.design.flags import all_flags
from sheetengine.design.layout import lay_out
from sheetengine.design.pressure import METHODS, Pressures, pressures
from sheetengine.findings import Code, Level
from sheetengine.run import calculate

GRAVITY = 9.80665  # standard acceleration of gravity, CGPM 1901
BOUNDED = [method for method in METHODS if method != "Full head"]

US = {
    "Mixes": {"Unit weight": "lb/ft3", "Slump": "in"},
    "Lifts": {
        "Height": "ft",
        "Rise rate": "ft/h",
        "Concrete temperature": "degF",
        "Face length": "ft",
        "Thickness": "ft",
    },
    "Form units": {"Panel height": "ft", "Permissible pressure": "psf"},
}
PSF = 4.4482216152605e-3 / 0.3048**2  # kPa, NIST SP 811


def pressed(
    method: str,
    *,
    mix: dict[str, Any] | None = None,
    lift: dict[str, Any] | None = None,
    unit: dict[str, Any] | None = None,
    us: bool = False,
) -> Pressures:
    """Return the pressures of one lift."""
    base_mix: dict[str, Any] = {"Consistency class": "F3", "Final set": 5.0}
    base_lift: dict[str, Any] = {"Placed": days(0)}
    written = {}
    if us:
        written = US
        base_mix |= {"Unit weight": 150.0, "Slump": 4.0}
        base_lift |= {"Face length": 50.0, "Thickness": 40.0, "Height": 10.0}
    read = job(
        job={"Pressure method": method},
        mixes=[base_mix | (mix or {})],
        units=[({"Panel height": 20.0, "Permissible pressure": 1200.0} if us else {}) | (unit or {})],
        lifts=[base_lift | (lift or {})],
        written_in=written,
    )
    return pressures(read, lay_out(read))


def chemistry(published: Case) -> dict[str, str]:
    """Return binder and retarder that have the case's chemistry factor (ACI 347 Table 2.2)."""
    group, retarder = {1.0: ("plain", "no"), 1.2: ("plain", "yes"), 1.4: ("blend", "yes")}[
        published.given("Cc")
    ]
    return {"Cement group": group, "Retarder": retarder}


@pytest.mark.parametrize("identifier", ["P-ACI-01", "P-ACI-02", "P-ACI-03", "P-ACI-04", "P-ACI-05"])
def test_inch_pound_cases_of_aci(identifier: str) -> None:
    published = case(identifier)
    assert published.given("element") == "wall"
    found = pressed(
        "ACI 347R-14 inch-pound",
        mix={"Unit weight": published.given("w")} | chemistry(published),
        lift={
            "Rise rate": published.given("R"),
            "Concrete temperature": published.given("T"),
            "Height": published.given("H"),
        },
        us=True,
    )
    published.check("pmax", found.maximum / PSF)


@pytest.mark.parametrize("identifier", ["P-ACI-07", "P-ACI-08", "P-ACI-09", "P-ACI-10"])
def test_si_cases_of_aci(identifier: str) -> None:
    published = case(identifier)
    found = pressed(
        "ACI 347R-14 SI",
        mix={"Unit weight": published.given("rho") * GRAVITY / 1000.0} | chemistry(published),
        lift={
            "Rise rate": published.given("R"),
            "Concrete temperature": published.given("T"),
            "Height": published.given("H"),
        },
    )
    published.check("pmax", found.maximum)


def test_decision_table_of_a_letter_on_the_two_wall_equations() -> None:
    published = case("P-HURD-01")
    names = {"2.3": "Eq. (2.3), low walls at a low rate", "2.4": "Eq. (2.4), high walls or fast rates"}
    for rate, height, slump, equation in zip(
        published.given("R"), published.given("H"), published.given("slump"), published.printed("equation"),
        strict=True,
    ):  # fmt: skip
        found = pressed(
            "ACI 347R-14 inch-pound",
            mix={"Slump": slump},
            lift={"Rise rate": rate, "Height": height, "Concrete temperature": 70.0},
            us=True,
        )
        if equation == "fluid":
            assert found.governed_by[0] == "full head (outside scope)"
        else:
            assert found.governed_by[0].startswith(names[equation][:9])


@pytest.mark.parametrize(
    ("identifier", "binder"),
    [("P-CIR-02", ("plain", "no")), ("P-CIR-03", ("blend", "no")), ("P-CIR-04", ("blend", "no"))],
)
def test_cases_of_ciria(identifier: str, binder: tuple[str, str]) -> None:
    published = case(identifier)
    column = published.given("C1") == 1.5
    found = pressed(
        "CIRIA R108",
        mix={"Unit weight": published.given("D"), "Cement group": binder[0], "Retarder": binder[1]},
        lift={
            "Rise rate": published.given("R"),
            "Concrete temperature": published.given("T"),
            "Height": published.given("h"),
        }
        | ({"Face length": 1.5, "Thickness": 1.5} if column else {}),
        unit={"Panel height": published.given("H")},
    )
    published.check("Pmax", found.maximum)


@pytest.mark.parametrize(
    "identifier",
    [f"P-DIN-0{number}" for number in range(1, 9)] + ["P-DIN-SCC-01", "P-DIN-SCC-03", "P-DIN-SCC-04"],
)
def test_cases_of_din(identifier: str) -> None:
    published = case(identifier)
    flow = published.inputs.get("class", {"value": "SCC"})["value"]
    found = pressed(
        "DIN 18218:2010",
        mix={
            "Unit weight": published.given("gamma_c"),
            "Consistency class": flow,
            "Final set": published.given("tE"),
        },
        lift={"Rise rate": published.given("v"), "Height": 10.0},
    )
    published.check("sigma_hk_max", found.maximum)


def test_case_of_gb() -> None:
    published = case("P-GB-01")
    found = pressed(
        "GB 50666-2011",
        mix={"Unit weight": published.given("gamma_c"), "Slump": 150.0, "Final set": None},
        lift={
            "Rise rate": published.given("V"),
            "Concrete temperature": published.given("T"),
            "Height": published.given("H"),
        },
    )
    published.check("F", found.maximum)


def test_jgj_by_hand() -> None:
    # 0.22 x 24 x 200/35 x 1.2 (retarder) x 1.15 (120 mm) x sqrt(2) = 58.88 kPa; no published case
    found = pressed(
        "JGJ 162-2008",
        mix={"Unit weight": 24.0, "Slump": 120.0, "Retarder": "yes", "Final set": None},
        lift={"Rise rate": 2.0, "Concrete temperature": 20.0, "Height": 3.0},
    )
    np.testing.assert_allclose(found.maximum, 58.8830, atol=1e-4)


def test_full_head_of_a_reader_question() -> None:
    published = case("P-CC-01")
    found = pressed(
        "Full head",
        mix={"Unit weight": published.given("w")},
        lift={"Height": published.given("h"), "Concrete temperature": 60.0},
        us=True,
    )
    published.check("p_psf", found.maximum / PSF)


OUTSIDE = [
    ("ACI 347R-14 SI", {"Slump": 180.0}, {}, "Mixes", "175 mm"),
    ("ACI 347R-14 SI", {"Vibration depth": 1.3}, {}, "Mixes", "1.2 m"),
    ("ACI 347R-14 SI", {}, {"Rise rate": 4.6}, "Lifts", "4.5 m/h"),
    ("ACI 347R-14 inch-pound", {"Slump": 180.0}, {}, "Mixes", "7 in"),
    ("ACI 347R-14 inch-pound", {}, {"Rise rate": 4.6}, "Lifts", "15 ft/h"),
    ("DIN 18218:2010", {}, {"Rise rate": 7.1}, "Lifts", "7 m/h"),
    ("DIN 18218:2010", {"Consistency class": None}, {}, "Mixes", "consistency class"),
    ("DIN 18218:2010", {"Final set": None, "Retarder": "yes"}, {}, "Mixes", "final set"),
    ("GB 50666-2011", {}, {"Rise rate": 10.1}, "Lifts", "10 m/h"),
    ("GB 50666-2011", {"Slump": 190.0}, {}, "Mixes", "180 mm"),
    ("JGJ 162-2008", {"Slump": 160.0}, {}, "Mixes", "150 mm"),
]


@pytest.mark.parametrize(("method", "mix", "lift", "sheet", "limit"), OUTSIDE)
def test_outside_the_scope_the_full_head_is_taken_and_the_limit_is_named(
    method: str, mix: dict[str, Any], lift: dict[str, Any], sheet: str, limit: str
) -> None:
    c = computed(
        job={"Pressure method": method},
        mixes=[{"Consistency class": "F3", "Final set": 5.0} | mix],
        lifts=[{"Placed": days(0)} | lift],
    )
    np.testing.assert_allclose(c.pressure.maximum, 75.0, rtol=1e-12)  # 25 x 3.0
    assert c.pressure.governed_by[0] == "full head (outside scope)"
    assert c.pressure_verdict[0] == "Outside scope"
    flags = [flag for flag in all_flags(c) if flag.code is Code.OUTSIDE_SCOPE]
    assert len(flags) == 1
    assert flags[0].at.sheet == sheet
    assert limit in flags[0].limit
    assert flags[0].level is Level.STOP
    assert flags[0].clears


@pytest.mark.parametrize("method", BOUNDED)
def test_a_set_that_is_not_confirmed_means_full_head_and_a_blank_is_flagged(method: str) -> None:
    for answer, kept in (("no", True), (None, False), ("yes", False)):
        c = computed(
            job={"Pressure method": method},
            mixes=[{"Set confirmed": answer, "Consistency class": "F3", "Final set": 5.0}],
            lifts=[{"Placed": days(0)}],
        )
        assert (c.pressure.governed_by[0] == "full head (set not confirmed)") is kept
        assert bool(c.pressure.maximum[0] == 75.0) is kept
        levels = [flag.level for flag in all_flags(c) if flag.code is Code.SET_NOT_STATED]
        assert levels == ({"no": [Level.NOTE], None: [Level.ACCEPT], "yes": []}[answer])


def test_a_retarded_mix_with_no_set_time_is_questioned_by_the_methods_that_guess_it() -> None:
    c = computed(
        job={"Pressure method": "GB 50666-2011"}, mixes=[{"Retarder": "yes"}], lifts=[{"Placed": days(0)}]
    )
    flags = [flag for flag in all_flags(c) if flag.code is Code.SET_NOT_STATED]
    assert [flag.heading for flag in flags] == ["Final set"]


def many(method: str, lifts: list[dict[str, Any]], **mix: Any) -> Pressures:
    """Return the pressures of many lifts of one mix, each in a block of its own."""
    read = job(
        job={"Pressure method": method},
        mixes=[{"Consistency class": "F3", "Final set": 6.0, **{k.replace("_", " "): v for k, v in mix.items()}}],
        units=[{"Panel height": 6.5}],
        lifts=[{"Block": f"B{place}"} | lift for place, lift in enumerate(lifts)],
    )  # fmt: skip
    return pressures(read, lay_out(read))


@pytest.mark.parametrize("method", BOUNDED)
@settings(max_examples=20, deadline=None)
@given(
    height=st.floats(0.6, 6.0), temperature=st.floats(2.0, 33.0), permissible=st.floats(20.0, 140.0),
    binder=st.sampled_from(["plain", "blend", "high blend"]), retarder=st.sampled_from(["yes", "no"]),
    weight=st.floats(20.0, 27.0), flow=st.sampled_from(["F1", "F3", "F4", "F6", "SCC"]),
)  # fmt: skip
def test_the_greatest_rise_rate_just_keeps_the_permissible_pressure(
    method: str, height: float, temperature: float, permissible: float, binder: str, retarder: str,
    weight: float, flow: str,
) -> None:  # fmt: skip
    def found(*rates: float) -> Pressures:
        read = job(
            job={"Pressure method": method},
            mixes=[{"Unit weight": weight, "Cement group": binder, "Retarder": retarder, "Final set": 8.0,
                    "Consistency class": flow}],
            units=[{"Panel height": 6.0, "Permissible pressure": permissible}],
            lifts=[{"Block": str(place), "Height": height, "Concrete temperature": temperature, "Rise rate": rate}
                   for place, rate in enumerate(rates)],
        )  # fmt: skip
        return pressures(read, lay_out(read))

    greatest = found(1.0).greatest_rise[0]
    if np.isinf(greatest):
        assert weight * height <= permissible
        assert (found(0.2, 3.0, 40.0).maximum <= permissible).all()
    elif greatest == 0.0:
        assert (found(1e-6, 1.0, 4.0).maximum > permissible).all()
    elif greatest < 1e-6:
        assert found(1e-3).maximum[0] > permissible
    else:
        at, above = found(greatest, min(greatest * (1.0 + 1e-6), 50.0)).maximum
        assert at <= permissible * (1.0 + 1e-9)
        assert above > permissible
        jump = above > at * (1.0 + 1e-4)  # another equation or the end of the scope begins there
        assert jump or at == pytest.approx(permissible, rel=1e-8)


@pytest.mark.parametrize("method", list(METHODS))
@settings(max_examples=15, deadline=None)
@given(
    height=st.floats(0.6, 6.0), temperature=st.floats(2.0, 33.0), rate=st.floats(0.2, 6.0),
    weight=st.floats(20.0, 27.0), retarder=st.sampled_from(["yes", "no"]),
)  # fmt: skip
def test_pressure_never_passes_the_full_head_and_moves_the_way_it_should(
    method: str, height: float, temperature: float, rate: float, weight: float, retarder: str
) -> None:
    lift = {"Height": height, "Concrete temperature": temperature, "Rise rate": rate}
    rates = many(
        method, [lift | {"Rise rate": value} for value in np.linspace(0.1, 8.0, 40).tolist()],
        Unit_weight=weight, Retarder=retarder,
    ).maximum  # fmt: skip
    colder = many(
        method, [lift | {"Concrete temperature": value} for value in np.linspace(35.0, 1.0, 30).tolist()],
        Unit_weight=weight, Retarder=retarder,
    ).maximum  # fmt: skip
    heavier = np.concatenate(
        [many(method, [lift], Unit_weight=value, Retarder=retarder).maximum for value in (20.0, weight, 27.0)]
    )
    for series in (rates, colder, heavier):
        assert (np.diff(series) >= -1e-9).all()
    assert (rates <= weight * height * (1.0 + 1e-9)).all()  # 1e-9: inches there and back
    assert (colder <= weight * height * (1.0 + 1e-9)).all()  # 1e-9: inches there and back


@pytest.mark.parametrize("method", list(METHODS))
def test_resultant_and_its_height_by_integration(method: str) -> None:
    found = many(method, [{"Height": height, "Rise rate": 1.5} for height in (0.8, 1.5, 3.0, 4.5)])
    for place, height in enumerate((0.8, 1.5, 3.0, 4.5)):
        top = float(found.maximum[place])

        def at(level: float, height: float = height, top: float = top) -> float:
            return min(25.0 * (height - level), top)

        kink = [height - float(found.full_head_depth[place])]
        force = integrate.quad(at, 0.0, height, points=kink)[0]
        moment = integrate.quad(lambda level, at=at: level * at(level), 0.0, height, points=kink)[0]
        assert found.resultant[place] == pytest.approx(force, rel=1e-9)
        assert found.resultant_height[place] == pytest.approx(moment / force, rel=1e-9)


def test_rise_from_placing_rate_and_plan_area() -> None:
    given_rate = pressed("ACI 347R-14 SI", lift={"Rise rate": 1.25})
    from_placing = pressed(
        "ACI 347R-14 SI", lift={"Rise rate": None, "Placing rate": 50.0, "Plan area": 40.0}
    )
    assert from_placing.maximum[0] == pytest.approx(given_rate.maximum[0], rel=1e-12)


def test_no_permissible_pressure_is_not_computed_and_flagged() -> None:
    c = computed(units=[{"Permissible pressure": None}], lifts=[{"Stripped": days(3)}])
    assert np.isnan(c.pressure.panel_ratio[0])
    assert c.pressure_verdict[0] == "Not computed"
    assert [flag.heading for flag in all_flags(c) if flag.code is Code.NOT_COMPUTED] == [
        "Permissible pressure"
    ]


def test_a_lift_with_nothing_outside_is_not_drawn_in_by_another_mix() -> None:
    read = job(
        mixes=[{}, {"Mix": "M2", "Slump": 200.0}],
        lifts=[{"Block": "B1"}, {"Block": "B2", "Mix": "M2"}],
    )
    found = pressures(read, lay_out(read))
    assert found.outside.tolist() == [False, True]


def test_a_set_time_that_is_taken_for_a_blank_is_told() -> None:
    read = job(
        job={"Pressure method": "DIN 18218:2010"},
        mixes=[{"Consistency class": "F3", "Retarder": "no", "Final set": None}],
        lifts=[{}],
    )
    found = pressures(read, lay_out(read))
    assert not found.outside.any()
    assert found.maximum[0] == pytest.approx(14.0 * 1.0 + 18.0)  # K1 = 1 at 5 h; 15 degC
    results = calculate(read)
    told = [f"{what} {line}" for what, line in results.record] + [str(flag) for flag in results.findings]
    assert any("Final set" in line and "5 h" in line for line in told)
