"""Inclined faces through the whole chain: forces by hand, upward shear, properties, and what is told."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from builders import computed, job, pile
from support import case as published_case

from sheetengine.clauses.load_factors import load_factors
from sheetengine.design.anchor_demand import EN_METHOD, INCH_METHOD, SI_METHOD
from sheetengine.design.anchor_modes import Anchors
from sheetengine.design.anchors_aci import ratios as aci_ratios
from sheetengine.design.anchors_en import ratios as en_ratios
from sheetengine.design.calculate import Calculation
from sheetengine.design.combinations import forces
from sheetengine.design.faces import seats
from sheetengine.design.flags import all_flags
from sheetengine.design.result_columns import demand_columns, pressure_columns, profile_of
from sheetengine.design.rise_window import rise_window
from sheetengine.design.stages import HUNG, PLACING, SET_BACK, STANDING
from sheetengine.design.strongback_columns import filling_columns
from sheetengine.findings import Code, Level
from sheetengine.run import calculate

FULL = {"Pressure method": "Full head"}


def leaning(*leans: float, **changes: Any) -> Calculation:
    """Return a pile whose lifts lean, from the bottom up."""
    lifts = [lift | {"Face inclination": lean} for lift, lean in zip(pile(len(leans)), leans, strict=True)]
    return computed(job=FULL | changes.pop("job", {}), lifts=lifts, **changes)


def at(c: Calculation, lift: int, stage: int) -> int:
    (found,) = np.flatnonzero((c.cases.lift == lift) & (c.cases.stage == stage) & ~c.cases.lower)
    return int(found)


def test_pressure_of_an_overhang_and_a_batter_by_hand() -> None:
    # 25 kN/m3 on 3 m under the full head: 112.5 kN/m outward; tan 20 = 0.363970: 40.9466 kN/m down on the overhang,
    # as much up on the batter; together 112.5 / cos 20 = 119.7200 kN/m, a third of the height up, square to the face
    columns = pressure_columns(leaning(0.0, 20.0, -20.0))
    np.testing.assert_allclose(columns["Horizontal part [kN/m]"], 112.5, rtol=1e-12)
    np.testing.assert_allclose(columns["Uplift [kN/m]"], [0.0, -40.9466, 40.9466], atol=5e-5)
    np.testing.assert_allclose(columns["Resultant [kN/m]"], [112.5, 119.7200, 119.7200], atol=5e-5)
    np.testing.assert_allclose(columns["Resultant height [m]"], 1.0, rtol=1e-12)
    np.testing.assert_allclose(columns["Resultant direction [deg]"], [0.0, 20.0, -20.0], atol=1e-9)
    np.testing.assert_allclose(columns["Normal pressure [kPa]"], 75.0, rtol=1e-12)
    np.testing.assert_allclose(columns["Tangential stress [kPa]"], 0.0, atol=1e-12)


def test_panel_of_an_overhang_carries_more_than_the_lateral_pressure() -> None:
    # ACI 347R, wall of 3 m rising 1 m/h at 15 degC, 25 kN/m3 (2549.3 kg/m3): 2549.3/2320 x (7.2 + 785/32.8) = 34.210 kPa; on
    # 30 degrees 0.75 x 34.210 + 0.25 x 75 = 44.407 kPa and (75 - 34.210) x sin 60 / 2 = 17.663 kPa along it; of 60 kPa 0.7401
    plumb, over, under = (computed(lifts=pile(1, Face_inclination=lean)) for lean in (0.0, 30.0, -30.0))
    assert plumb.pressure.maximum[0] == pytest.approx(34.2099, abs=1e-3)
    columns = pressure_columns(over)
    assert columns["Normal pressure [kPa]"][0] == pytest.approx(44.4074, abs=1e-3)
    assert columns["Tangential stress [kPa]"][0] == pytest.approx(17.6626, abs=1e-3)
    assert columns["Panel ratio"][0] == pytest.approx(44.4074 / 60.0, abs=1e-5)
    assert pressure_columns(under)["Panel ratio"][0] == plumb.pressure.panel_ratio[0]
    # the rate at which 60 kPa normal to the face are met: 55 kPa lateral; on a vertical face 60
    assert columns["Greatest rise rate [m/h]"][0] < plumb.pressure.greatest_rise[0]
    rate = float(columns["Greatest rise rate [m/h]"][0])
    again = computed(lifts=pile(1, Face_inclination=30.0, Rise_rate=rate))
    assert again.pressure.panel_ratio[0] == pytest.approx(1.0, abs=1e-6)
    # what is said of the lift elsewhere is the same
    assert rise_window(over).greatest[0] == pytest.approx(rate, rel=1e-9)
    name, drawn = profile_of(over)
    assert name == "B1/1"
    at_foot = drawn["Height [m]"] == 0.0
    assert drawn["Design pressure [kPa]"][at_foot] == pytest.approx(44.4074, abs=1e-3)
    assert filling_columns(over)["Maximum pressure [kPa]"][0] == pytest.approx(34.2099, abs=1e-3)


def test_forces_of_a_kinked_face_by_hand() -> None:
    # Lift 2 overhangs by 20 degrees on a vertical lift 1. Loads: P 112.5 at 1 m, its weight part 40.9466 down at
    # M = 112.5 x 1 + 25 x 27/6 x 0.132474 = 127.4034; weight 4.903325 at 0.8 m; people 1.5 at 1.3 m; wind 0.64 square to the
    # panel of 3.2 m: out 0.64 cos 20, down 0.64 sin 20, moment 0.64 x 1.6.
    # T (2.0) = 1.5 x 127.4034 + 1.35 x 3.92266 + 1.5 x 1.95 + 1.5 x 1.024 + 2.4 x (1.5 x 112.5 + 1.5 x 0.601403)
    c = leaning(0.0, 20.0)
    case = at(c, 1, PLACING)
    outward = 1.5 * 112.5 + 1.5 * 0.64 * math.cos(math.radians(20.0))
    moment = 1.5 * 127.40336 + 1.35 * 3.92266 + 1.5 * 1.95 + 1.5 * 1.024
    assert c.forces.tension[case] == pytest.approx((moment + 2.4 * outward) / 2.0, rel=1e-6)
    down = 1.5 * 40.94663 + 1.35 * 4.903325 + 1.5 * 1.5 + 1.5 * 0.64 * math.sin(math.radians(20.0))
    assert c.forces.shear[case] == pytest.approx(down, rel=1e-6)
    assert c.uplift[case] == 0.0
    assert c.forces.combination[case] == "greatest tension"


def test_uplift_of_a_batter_by_hand_and_its_edge_upward() -> None:
    # Lift 2 battered by 30 degrees on a vertical lift 1: 1.5 x 112.5 x tan 30 = 97.4279 kN/m up against 0.9 x 4.903325 of
    # weight; wind away lifts with 1.5 x 0.64 x sin 30 = 0.48
    c = leaning(0.0, -30.0)
    case = at(c, 1, PLACING)
    up = 97.42786 + 0.48 - 0.9 * 4.903325
    assert c.uplift[case] == pytest.approx(up, rel=1e-6)
    columns = demand_columns(c)
    assert columns["Shear [kN]"][case] < 0.0
    assert columns["Ratio: concrete edge, upward"][case] > 0.0
    assert (columns["Ratio: concrete edge, upward"][c.cases.stage == HUNG] >= 0.0).all()
    (flag,) = (
        flag for flag in all_flags(c) if flag.code is Code.PLAUSIBILITY and "lifts the unit" in flag.message
    )
    assert flag.keys[1] == "2"
    assert flag.level is Level.ACCEPT
    assert "Placing" in flag.message


@pytest.mark.parametrize(
    ("method", "basis"),
    [(EN_METHOD, "EN partial factors"), (INCH_METHOD, "ACI strength"), (SI_METHOD, "ACI strength")],
)
def test_edge_upward_by_the_equations_of_the_standard(method: str, basis: str) -> None:
    """The mode against the standard's equations, written out here for one anchor far from the ends."""
    c = leaning(
        0.0, -30.0, job={"Anchor method": method, "Safety basis": basis}, anchors=[{"Embedment": 200.0}]
    )
    case = at(c, 1, PLACING)
    force = c.uplift[case] * 1.5 * 1e3  # N on 1.5 m of face
    c1, d, half, f = 400.0, 26.0, 750.0, float(c.demand.strength[case])
    area = 2.0 * min(half, 600.0) * 600.0 / (4.5 * c1**2)
    if method == EN_METHOD:
        # EN 1992-4 (7.40), (7.41): alpha 0.1 (l_f / c1)^0.5, beta 0.1 (d / c1)^0.2, l_f = min(h_ef, 12 d)
        alpha, beta = 0.1 * (200.0 / c1) ** 0.5, 0.1 * (d / c1) ** 0.2
        resistance = 1.7 * d**alpha * 200.0**beta * math.sqrt(f) * c1**1.5 * area / 1.5
    elif method == SI_METHOD:
        # ACI 318M-19 17.7.2.2.1: the lesser of 0.6 (l_e/d)^0.2 d^0.5 and 3.7; phi 0.70
        first = 0.6 * (200.0 / d) ** 0.2 * math.sqrt(d)
        resistance = 0.70 * min(first, 3.7) * math.sqrt(f) * c1**1.5 * area
    else:
        psi, inch = 6.894757e-3, 25.4
        first = 7.0 * (200.0 / d) ** 0.2 * math.sqrt(d / inch)
        pounds = 0.70 * min(first, 9.0) * math.sqrt(f / psi) * (c1 / inch) ** 1.5 * area
        resistance = pounds * 4.4482216
    # of the two places of the row the one with more force for its width governs the mode
    widest = max(1.5, 0.75 + 0.75)
    assert c.demand.modes["Concrete edge, upward"][case] == pytest.approx(
        force * widest / 1.5 / resistance, rel=2e-3
    )


def test_wind_goes_square_to_the_panel_and_set_back_is_level() -> None:
    # lift 2 overhangs by 30 degrees on a vertical lift 1; hung back by 0.75 m: weight 4.903325 at 1.55 m; wind 0.64 on 3.2 m,
    # middle of the panel 1.6 sin 30 + 0.75 out and 1.6 cos 30 up: moment 0.64 x (1.6 + 0.75 sin 30)
    c = leaning(0.0, 30.0, units=[{"Platform width": 0.0}])
    case = at(c, 1, SET_BACK)
    out, moment = 1.5 * 0.64 * math.cos(math.pi / 6), 1.35 * 4.903325 * 1.55 + 1.5 * 0.64 * (1.6 + 0.375)
    assert c.forces.tension[case] == pytest.approx((moment + 2.4 * out) / 2.0, rel=1e-9)
    assert c.forces.shear[case] == pytest.approx(1.35 * 4.903325 + 1.5 * 0.64 * 0.5, rel=1e-9)


@pytest.mark.parametrize("seed", range(6))
def test_no_other_choice_of_factors_pulls_or_shears_more(seed: int) -> None:
    """Every corner of the factors, tried one by one on a single unit, against the combinations that are looked for."""
    rng = np.random.default_rng(seed)
    below, lean = rng.uniform(-45.0, 45.0, 2)
    c = leaning(
        below, lean, job={"Storm wind": (0.8, "kPa")}, units=[{"Foot depth": 2.0, "Mass offset": 0.4}]
    )
    by = load_factors("EN partial factors")
    b, t = np.radians(below), np.radians(lean)
    for stage in (PLACING, STANDING):
        case = at(c, 1, stage)
        P = 112.5 if stage == PLACING else 0.0
        D = P * np.tan(t)
        W = 3.2 * (0.8 if stage == STANDING else 0.2)
        actions = [
            ((0.0, -4.903325, 4.903325 * 0.4), (by.permanent_unfavourable, by.permanent_favourable)),
            ((0.0, -1.5, 1.5 * 0.9), (by.variable, 0.0) if stage == PLACING else (0.0,)),
            ((P, -D, P + D * np.tan(t)), (by.fresh_concrete, 0.0)),
            ((W * np.cos(t), -W * np.sin(t), W * 1.6), (by.wind, -by.wind)),
        ]
        levels = np.linspace(1.0, 0.0, 4001) if stage == PLACING else np.ones(1)
        corners = np.stack(
            np.meshgrid(*[factors for _, factors in actions], levels, indexing="ij"), -1
        ).reshape(-1, 5)
        F = corners[:, [0, 1, 3]] @ np.array([actions[place][0] for place in (0, 1, 3)])
        # filled to a share of the height: forces with its square, moments with its cube
        (push, lift, turn), share = actions[2][0], corners[:, 4]
        F = F + corners[:, 2:3] * np.stack([push * share**2, lift * share**2, turn * share**3], -1)
        # equilibrium, written out: moments about the anchors for C, then forces square to the face and along it
        C = (F[:, 2] + 0.4 * (F[:, 0] * np.cos(b) - F[:, 1] * np.sin(b))) / 1.6
        T = F[:, 0] * np.cos(b) - F[:, 1] * np.sin(b) + C
        V = -F[:, 0] * np.sin(b) - F[:, 1] * np.cos(b)
        assert c.uplift[case] == pytest.approx(max(float((-V).max()), 0.0), rel=1e-9, abs=1e-9)
        assert c.forces.least_foot[case] == pytest.approx(C.min(), rel=1e-9)
        assert c.demand.modes["Steel tension"][case] * c.demand.width[case] > 0.0
        tension = c.demand.modes["Steel tension"][case] * 450.0 * 800.0 / 1e3
        gamma = max(1.2 / 0.8, 1.4)  # EN 1992-4 Table 4.1
        assert tension / gamma == pytest.approx(float(T.max()) * 1.5, rel=1e-9)


def test_equilibrium_leaves_nothing_over() -> None:
    rng = np.random.default_rng(8)
    lifts = [
        lift | {"Face inclination": float(lean)}
        for block in range(30)
        for lift, lean in zip(pile(4, block=f"B{block}"), rng.uniform(-45.0, 45.0, 4), strict=True)
    ]
    c = computed(lifts=lifts, units=[{"Foot depth": 4.5, "Lower row": "anchored"}])
    assert c.forces.residual.size > 400
    assert (c.forces.residual < 1e-9).all()
    shown = demand_columns(c)["Equilibrium residual [kN/m]"]
    assert (shown[~np.isnan(shown)] < 1e-9).all()


def test_the_foot_stands_where_its_depth_ends_on_kinked_faces() -> None:
    # three lifts of 3 m below: lean 10, -20, 0; the foot 4.0 m down from the top one
    c = leaning(0.0, -20.0, 10.0, 0.0, units=[{"Foot depth": 4.0}])
    holder = np.array([3])
    seat = seats(c.job, c.layout, holder, np.array([2]))
    t, u = math.radians(10.0), math.radians(-20.0)
    rest = 4.0 - 3.0 / math.cos(t)
    assert seat.foot_lift.tolist() == [1]
    assert seat.foot_joint[0] == pytest.approx(rest)
    assert seat.foot_inclination[0] == -20.0
    assert seat.foot_out[0] == pytest.approx(-3.0 * math.tan(t) - rest * math.sin(u))
    assert seat.foot_level[0] == pytest.approx(-3.0 - rest * math.cos(u))


@pytest.mark.parametrize("lean", [1e-7, -1e-7])
def test_a_face_that_hardly_leans_is_proved_like_a_vertical_one(lean: float) -> None:
    plumb, hardly = leaning(0.0, 0.0, 0.0), leaning(0.0, lean, lean)
    np.testing.assert_allclose(hardly.demand.ratio, plumb.demand.ratio, rtol=1e-6)
    np.testing.assert_allclose(hardly.demand.required, plumb.demand.required, rtol=1e-6)
    assert hardly.demand_verdict.tolist() == plumb.demand_verdict.tolist()
    assert hardly.gate_verdict.tolist() == plumb.gate_verdict.tolist()


def test_more_overhang_never_asks_for_less() -> None:
    leans = np.linspace(0.0, 45.0, 16)
    ratios, pulls = [], []
    for lean in leans.tolist():
        c = leaning(0.0, lean)
        case = at(c, 1, PLACING)
        ratios.append(float(c.demand.ratio[case]))
        pulls.append(float(c.forces.tension[case]))
    assert (np.diff(pulls) > 0.0).all()
    assert (np.diff(ratios) > 0.0).all()


def test_more_batter_lifts_more() -> None:
    lift = [
        float(c.uplift[at(c, 1, PLACING)])
        for c in (leaning(0.0, -lean) for lean in (0.0, 5.0, 15.0, 30.0, 45.0))
    ]
    assert lift[0] == 0.0
    assert (np.diff(lift) > 0.0).all()


def test_a_heavier_unit_lifts_less() -> None:
    ups = [
        float(c.uplift[at(c, 1, PLACING)])
        for c in (leaning(0.0, -15.0, units=[{"Mass": mass}]) for mass in (500.0, 2000.0, 8000.0, 30000.0))
    ]
    assert (np.diff(ups) <= 0.0).all()
    assert ups[-1] == 0.0 < ups[0]


def test_units_of_the_headings_change_nothing() -> None:
    lifts = [lift | {"Face inclination": lean} for lift, lean in zip(pile(2), (10.0, -25.0), strict=True)]
    metric = calculate(job(lifts=lifts))
    radians = [lift | {"Face inclination": math.radians(lift["Face inclination"])} for lift in lifts]
    other = calculate(job(lifts=radians, written_in={"Lifts": {"Face inclination": "rad"}}))
    for heading in ("Tension [kN]", "Shear [kN]", "Demand ratio"):
        np.testing.assert_allclose(
            metric.frames["Anchor demand"][heading], other.frames["Anchor demand"][heading], rtol=1e-9
        )


def test_a_leaning_panel_must_reach_along_the_slope() -> None:
    # 3.0 m at 25 degrees are 3.31 m of slope, more than the panel of 3.2 m
    flags = [flag for flag in all_flags(leaning(0.0, 25.0)) if flag.code is Code.PANEL_SHORT]
    assert [flag.keys[1] for flag in flags] == ["2"]
    assert "along its slope" in flags[0].message


def test_leaning_faces_want_initials() -> None:
    (flag,) = (flag for flag in all_flags(leaning(0.0, 8.0, -3.0)) if flag.keys == ("all", "inclined"))
    assert flag.level is Level.ACCEPT
    assert "B1/2, B1/3" in flag.message
    assert not [flag for flag in all_flags(leaning(0.0, 0.0)) if flag.keys == ("all", "inclined")]


def test_the_least_lateral_load_of_aci_by_hand() -> None:
    # ACI 347R-14: 100 lb/ft = 1.459 kN/m at the top against 15 psf = 0.718 kPa on 3.2 m, 0.718 x 1.6 = 1.149; so 1.459 kN/m at
    # 3.2 m, away for the anchors: T = (112.5 x 3.4 + 3.92266 + 1.95 + 1.459 x 5.6) / 2, against 0.64 x 4.0 of working wind
    c = computed(
        job=FULL | {"Safety basis": "ACI service load", "Anchor method": "ACI 318M-19"}, lifts=pile(2)
    )
    placing, standing, back = (at(c, 1, stage) for stage in (PLACING, STANDING, SET_BACK))
    assert c.forces.tension[placing] == pytest.approx((382.5 + 3.92266 + 1.95 + 1.459 * 5.6) / 2.0, rel=1e-6)
    # storm 0.8 kPa: 2.56 x 4.0 = 10.24 is more than 8.17
    assert c.forces.tension[standing] == pytest.approx((3.92266 + 10.24) / 2.0, rel=1e-6)
    assert c.forces.tension[back] == pytest.approx((4.903325 * 1.55 + 1.95 + 2.56) / 2.0, rel=1e-6)
    by_eu = computed(job=FULL, lifts=pile(2))
    asked = computed(job=FULL | {"Least lateral load": "ACI 347R"}, lifts=pile(2))
    more = asked.forces.tension[placing] - by_eu.forces.tension[placing]
    assert more == pytest.approx(1.5 * (1.459 * 5.6 - 0.64 * 4.0) / 2.0, rel=1e-6)


def test_the_record_lists_the_combinations_of_every_stage() -> None:
    record = calculate(job(lifts=pile(2))).record
    lines = dict(record)
    assert lines["Combinations, Placing"].startswith(
        "self weight 1.35 / 0.9; people 1.5 / 0; fresh concrete 1.5 / 0; wind either way 1.5"
    )
    assert lines["Combinations, Standing closed"].startswith("self weight 1.35 / 0.9; wind either way 1.5")
    assert "Combinations, Placing the projection" not in lines
    aci = dict(
        calculate(
            job(job={"Safety basis": "ACI strength", "Anchor method": "ACI 318-19"}, lifts=pile(2))
        ).record
    )
    assert "least lateral load of ACI 347R-14" in aci["Combinations, Standing closed"]
    assert "least lateral load" not in aci["Combinations, Set back"]


def test_an_anchor_in_an_overhanging_lift_is_nearer_to_the_joint_by_its_rise() -> None:
    # square to a face of 30 degrees, 200 mm deep: the head is 200 x tan 30 = 115.5 mm nearer to the joint along the face, so it
    # is proved like one at 400 - 115.5 mm; on a batter nothing is gained
    types = [{"Embedment": 200.0}]
    rise = 200.0 * math.tan(math.radians(30.0)) / 1000.0
    for lean, depth in ((30.0, 0.4 - rise), (-30.0, 0.4)):
        c = leaning(lean, 0.0, anchors=types)
        plumb = computed(job=FULL, lifts=pile(2), anchors=types, units=[{"Anchor depth": depth}])
        case = at(c, 1, SET_BACK)
        assert c.cases.lean[case] == lean
        shares = [
            one.demand.modes["Concrete cone"][case]
            / one.demand.tension[case]
            * math.sqrt(one.demand.strength[case])
            for one in (c, plumb)
        ]
        assert shares[0] == pytest.approx(shares[1], rel=1e-9)


def test_a_head_that_stands_out_of_the_joint_is_not_computed() -> None:
    # 0.5 m square into 45 degrees rise by 0.5 m, more than the 0.4 m of concrete above the mouth
    c = leaning(45.0, 0.0, 0.0, anchors=[{"Embedment": 500.0}])
    held = c.cases.carrier == 0
    assert set(c.demand_verdict[held]) == {"Not computed"}
    assert (c.demand_verdict[~held] != "Not computed").all()
    (flag,) = (flag for flag in all_flags(c) if flag.code is Code.LAYOUT_DIFFERS)
    assert "stands out of the joint" in flag.message


def one_anchor(**changes: Any) -> Anchors:
    """Return one anchor by itself, pushed towards the joint with 5 kN."""
    values: dict[str, Any] = {
        "tension": 0.0, "shear": 5.0, "service_tension": 0.0, "service_shear": 3.0, "strength": 25.0, "up": 200.0,
        "left": 1e5, "right": 1e5, "left_is_edge": False, "right_is_edge": False, "thickness": 1e6, "people": False,
        "embedment": 200.0, "shank": 25.0, "bearing_area": 2336.6, "net_area": 400.0, "tensile": 500.0,
        "yield_": 400.0, "ductile": True, "stand_off": 0.0, "rated_tension": np.nan, "rated_shear": np.nan,
        "upward": 5.0,
    } | changes  # fmt: skip
    return Anchors(**{key: np.array([value]) for key, value in values.items()})


def test_published_edges_square_to_the_shear() -> None:
    # the cases that hold the edge along the end at twice these values hold them here as printed
    inch, psi, kip = 25.4, 6.894757e-3, 4.4482216
    stud = published_case("A-349-A2")
    found = aci_ratios(
        one_anchor(
            up=stud.given("ca1") * inch, left=stud.given("ca2") * inch, left_is_edge=True,
            embedment=stud.given("hef") * inch, strength=stud.given("fc") * psi, shank=stud.given("d") * inch,
            thickness=stud.given("ha") * inch,
        ),
        method=INCH_METHOD, cracked=True, safety_factor=np.ones(1),
    )  # fmt: skip
    # printed for a stud welded to its plate (8 where a bolt has 7)
    stud.check("Vcb", 5.0 / found.modes["Concrete edge, upward"] / kip * 8.0 / 7.0)
    metric = published_case("A-318M-01")
    found = aci_ratios(
        one_anchor(
            up=metric.given("ca1_shear"), embedment=metric.given("le"), bearing_area=metric.given("Abrg"),
            shank=metric.given("da"),
        ),
        method=SI_METHOD, cracked=True, safety_factor=np.ones(1),
    )  # fmt: skip
    metric.check("Vb_b", 5.0 / found.modes["Concrete edge, upward"])
    eu = published_case("A-EN-01")
    for cracked, name in ((True, "cracked"), (False, "uncracked")):
        by_en = en_ratios(one_anchor(), cracked=cracked, safety_factor=np.ones(1))
        eu.check(f"V0Rk_c_{name}", 5.0 / by_en.modes["Concrete edge, upward"])


def test_shear_down_the_face_asks_nothing_of_the_joint() -> None:
    for found in (
        en_ratios(one_anchor(upward=0.0), cracked=True, safety_factor=None),
        aci_ratios(one_anchor(upward=0.0), method=SI_METHOD, cracked=True, safety_factor=None),
    ):
        assert found.modes["Concrete edge, upward"][0] == 0.0


def test_the_worst_level_of_filling_is_found_and_told() -> None:
    # the lift below overhangs by 40 degrees, the face above by 30, and the method gives much less than the full head: by hand the
    # upward shear P sin 40 - D cos 40 rises while the concrete is a fluid, up to h_s = p/25, and falls later, when P grows with
    # the height alone and D still with its square. Weight 0.9 G cos 40 down, wind 1.5 W sin (40 - 30) up
    lifts = pile(2, Rise_rate=0.3)
    for lift, lean in zip(lifts, (40.0, 30.0), strict=True):
        lift["Face inclination"] = lean
    c = computed(lifts=lifts, units=[{"Mass": 100.0}])
    case = at(c, 1, PLACING)
    p, b = float(c.pressure.maximum[1]), math.radians(40.0)
    fill = np.linspace(0.0, 3.0, 3001)
    depth = np.minimum(p / 25.0, fill)
    P, D = 25.0 * depth * (fill - depth / 2.0), 12.5 * fill**2 * math.tan(math.radians(30.0))
    concrete = 1.5 * (P * math.sin(b) - D * math.cos(b))
    assert 1.0 < fill[np.argmax(concrete)] < 2.5
    weight = 100.0 * 9.80665 / 3000.0
    rest = 1.5 * 0.64 * math.sin(math.radians(10.0)) - 0.9 * weight * math.cos(b)
    assert c.uplift[case] == pytest.approx(float(concrete.max()) + rest, rel=2e-3)
    assert c.uplift[case] > 1.05 * (float(concrete[-1]) + rest)
    tried = forces(c.job, c.layout, c.cases, c.pressure, load_factors("EN partial factors"))
    words = tried.forces.combination[tried.case == case].tolist()
    level = fill[np.argmax(concrete)] / 3.0
    (told,) = (text for text in words if text.startswith("greatest shear up"))
    assert "of the height" in told
    assert abs(float(told.split()[-4]) - level) < 0.04
