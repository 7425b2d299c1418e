"""Anchors through the whole chain against the standards' equations on plain numbers, and published cases."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from anchor_equations import INCH_POUND, SI, One, aci_318_19, en_1992_4, en_concrete
from builders import computed, pile
from scipy.optimize import brentq
from support import case

from sheetengine.design.anchor_modes import Anchors, Ratios, required_strength
from sheetengine.design.anchors_aci import ratios as aci_ratios
from sheetengine.design.anchors_en import ratios as en_ratios
from sheetengine.design.calculate import Calculation
from sheetengine.design.stages import PLACING
from sheetengine.exceptions import InputFaults

EN, INCH, METRIC = "EN 1992-4:2018", "ACI 318-19", "ACI 318M-19"
METHODS = [EN, INCH, METRIC]
IN, PSI, LBF, KIP = 25.4, 4.4482216152605 / 645.16, 4.4482216152605e-3, 4.4482216152605
BASES = {EN: "EN partial factors", INCH: "ACI strength", METRIC: "ACI strength"}
BLOCKS = 50


def by_hand(
    method: str, one: One, strength: float, *, cracked: bool, safety: float | None
) -> dict[str, float]:
    if method == EN:
        return en_1992_4(one, strength, cracked=cracked, safety=safety)
    edition = INCH_POUND if method == INCH else SI
    return aci_318_19(one, strength, by=edition, cracked=cracked, safety=safety)


def concrete_by_hand(method: str, ratios: dict[str, float]) -> float:
    return en_concrete(ratios) if method == EN else ratios["Interaction"]


def random_book(seed: int, count: int = BLOCKS) -> dict[str, Any]:
    """Return a book of ``count`` blocks of two lifts, each with a unit and an anchor type of its own.

    Rows of many anchors, of two and of one; thin and thick blocks; deep and shallow anchors near to the joint
    and to the ends of the block.
    """
    rng = np.random.default_rng(seed)
    units, anchors, lifts = [], [], []
    for number in range(count):
        shank = float(rng.uniform(16.0, 45.0))
        fuk = float(rng.choice([450.0, 500.0, 700.0, 800.0, 950.0]))
        hef = float(rng.uniform(120.0, 700.0))
        a = float(rng.uniform(0.12, 0.9))
        units.append(
            {"Unit": f"U{number}", "Anchor depth": a, "Foot depth": a + float(rng.uniform(1.2, 3.0)),
             "Mass": float(rng.uniform(800.0, 4000.0)), "Mass offset": float(rng.uniform(0.5, 1.6)),
             "Platform width": float(rng.choice([0.0, 1.0]))}
        )  # fmt: skip
        anchors.append(
            {"Anchor": f"A{number}", "Embedment": hef, "Shank diameter": shank,
             "Head diameter": shank + float(rng.uniform(15.0, 60.0)), "Net area": 0.7 * math.pi / 4.0 * shank**2,
             "Tensile strength": fuk, "Yield strength": fuk * float(rng.uniform(0.6, 0.95)),
             "Stand-off": float(rng.choice([0.0, 40.0])), "Ductile steel": str(rng.choice(["yes", "no"]))}
        )  # fmt: skip
        spacing = float(rng.uniform(0.3, 1.8))
        row = number % 5
        end = float(rng.uniform(0.12, 1.2))
        length = {0: 1.9 * end, 1: 2.0 * end + 0.9 * spacing}.get(row, 2.0 * end + spacing * (row + 3) - 0.05)
        lifts += [
            lift | {"Height": 2.0, "Unit": f"U{number}", "Anchor": f"A{number}"}
            for lift in pile(
                2, block=f"B{number}", interval=9.0, strip=4.0, hang=5.0, Anchor_spacing=spacing,
                Face_length=length, End_distance=end, Thickness=float(rng.uniform(0.5, 4.0)),
                Rise_rate=float(rng.uniform(0.3, 1.5)), Concrete_temperature=float(rng.uniform(8.0, 25.0)),
            )
        ]  # fmt: skip
    return {"units": units, "anchors": anchors, "lifts": lifts}


def candidates(c: Calculation, at: int) -> list[One]:
    """Return the anchors of a case that may be worst, from the book's numbers alone; forces by their width."""
    lifts, units, types = (c.job.table(name) for name in ("Lifts", "Form units", "Anchor types"))
    holder, carrier = int(c.cases.holder[at]), int(c.cases.carrier[at])
    unit, kind = int(c.layout.unit[holder]), int(c.layout.anchor[holder])

    def of(key: str) -> float:
        return float(lifts.number(key)[holder])

    def of_type(key: str) -> float:
        return float(types.number(key)[kind])

    s, e, L = of("anchor_spacing"), of("end_distance"), of("face_length")
    e = s / 2.0 if math.isnan(e) else e
    count = 1 if 2.0 * e >= L else math.ceil((L - 2.0 * e) / s - 1e-9) + 1
    if count == 1:
        places = [(L, min(e, L / 2.0), L - min(e, L / 2.0), True, True)]
    else:
        # evenly between the outermost ones, no further apart than written; none carries less than that
        half = (L - 2.0 * e) / (count - 1) / 2.0
        places = [(max(s, e + half), e, half, True, False)]
        if count > 2:
            places.append((s, half, half, False, False))
    d, head = of_type("shank_diameter"), of_type("head_diameter")
    return [
        One(
            N=float(c.forces.tension[at]) * width, V=float(c.forces.shear[at]) * width,
            hef=of_type("embedment"), d=d, Ah=math.pi / 4.0 * (head**2 - d**2), As=of_type("net_area"),
            fuk=of_type("tensile_strength"), fyk=of_type("yield_strength"),
            up=float(units.number("anchor_depth")[unit]) * 1000.0, left=left * 1000.0, right=right * 1000.0,
            left_end=left_end, right_end=right_end,
            thickness=float(lifts.number("thickness")[carrier]) * 1000.0, stand_off=of_type("stand_off"),
            ductile=of_type("ductile_steel") == 1.0,
        )
        for width, left, right, left_end, right_end in places
    ]  # fmt: skip


def safety_of(c: Calculation, at: int, basis: str) -> float | None:
    if basis != "ACI service load":
        return None
    return 3.0 if c.cases.people[at] else 2.0


@pytest.mark.parametrize("cracked", ["yes", "no"])
@pytest.mark.parametrize("basis", ["own", "ACI service load"])
@pytest.mark.parametrize("method", METHODS)
def test_every_mode_of_fifty_random_layouts(method: str, basis: str, cracked: str) -> None:
    basis = BASES[method] if basis == "own" else basis
    c = computed(
        job={"Anchor method": method, "Safety basis": basis, "Concrete cracked": cracked},
        **random_book(METHODS.index(method)),
    )
    assert c.cases.lift.size == 5 * BLOCKS  # lift 1: hung; lift 2: all four
    for at in range(c.cases.lift.size):
        safety = safety_of(c, at, basis)
        strength = float(c.demand.strength[at])
        spots = candidates(c, at)
        tables = [by_hand(method, one, strength, cracked=cracked == "yes", safety=safety) for one in spots]
        greatest = [max(table.values()) for table in tables]
        worst = int(np.argmax(greatest))
        assert c.demand.ratio[at] == pytest.approx(greatest[worst], rel=1e-9)
        if len(spots) > 1 and abs(greatest[0] - greatest[1]) < 1e-9 * greatest[0]:
            continue  # either may be shown
        assert c.demand.tension[at] == pytest.approx(spots[worst].N, rel=1e-12)
        for mode, expected in tables[worst].items():
            found = float(c.demand.modes[mode][at])
            assert found == pytest.approx(expected, rel=1e-9, abs=1e-12), (at, mode)
        assert tables[worst][c.demand.governing[at]] == pytest.approx(greatest[worst], rel=1e-9)


def test_the_random_layouts_meet_every_rule() -> None:
    c = computed(job={"Anchor method": EN}, **random_book(0))
    ones = [one for at in range(c.cases.lift.size) for one in candidates(c, at)]
    assert any(one.governing_depth() < one.hef for one in ones)
    assert any(one.up <= 0.5 * one.hef for one in ones)
    assert any(one.end <= 0.5 * one.hef for one in ones)
    assert any(one.left_end and one.right_end for one in ones)
    assert any(not one.left_end for one in ones)
    assert any(one.stand_off > 0.0 for one in ones)
    assert any(one.thickness < 1.5 * one.end for one in ones)


@pytest.mark.parametrize("basis", ["own", "ACI service load"])
@pytest.mark.parametrize("method", METHODS)
def test_at_the_required_strength_the_concrete_is_used_just_fully(method: str, basis: str) -> None:
    basis = BASES[method] if basis == "own" else basis
    c = computed(
        job={"Anchor method": method, "Safety basis": basis}, **random_book(10 + METHODS.index(method))
    )
    ceiling = {EN: math.inf, INCH: 10e3 * PSI, METRIC: 70.0}[method]
    seen = 0
    for at in range(c.cases.lift.size):
        required = float(c.demand.required[at])
        safety = safety_of(c, at, basis)

        def measure(f: float, at: int = at, safety: float | None = safety) -> float:
            return max(
                concrete_by_hand(method, by_hand(method, one, f, cracked=True, safety=safety))
                for one in candidates(c, at)
            )

        if math.isinf(required):
            assert measure(1e4) > 1.0
            continue
        if required > ceiling:
            continue  # held by test_no_strength_above_the_ceiling_is_asked_for
        seen += 1
        assert measure(required) == pytest.approx(1.0, rel=1e-9) or measure(1e-6) <= 1.0
        again = brentq(
            lambda log_f: measure(math.exp(log_f)) - 1.0, math.log(1e-4), math.log(1e4), xtol=1e-13
        )
        assert required == pytest.approx(math.exp(again), rel=1e-9)
    assert seen > 150


def test_no_strength_above_the_ceiling_is_asked_for() -> None:
    # ACI 318-19 17.3.1: f'c counts up to 10 000 psi; more does not help, so no strength is enough
    c = computed(
        job={"Anchor method": METRIC, "Safety basis": "ACI strength"},
        anchors=[{"Net area": 5000.0, "Tensile strength": 860.0, "Head diameter": 120.0}],
        lifts=pile(2),
    )
    placing = int(np.flatnonzero(c.cases.stage == PLACING)[0])
    required = float(c.demand.required[placing])
    one = candidates(c, placing)[0]
    assert concrete_by_hand(METRIC, by_hand(METRIC, one, 70.0, cracked=True, safety=None)) > 1.0
    assert math.isinf(required), required


def anchor(**changes: Any) -> Anchors:
    """Return one anchor by itself, in thick concrete far from edges and neighbours."""
    values: dict[str, Any] = {
        "tension": 50.0, "shear": 5.0, "service_tension": 30.0, "service_shear": 3.0, "strength": 25.0,
        "up": 1e5, "left": 1e5, "right": 1e5, "left_is_edge": False, "right_is_edge": False,
        "thickness": 1e6, "people": False, "embedment": 200.0, "shank": 25.0, "bearing_area": 2336.6,
        "net_area": 400.0, "tensile": 500.0, "yield_": 400.0, "ductile": True, "stand_off": 0.0,
        "rated_tension": np.nan, "rated_shear": np.nan,
    } | changes  # fmt: skip
    return Anchors(**{key: np.array([value]) for key, value in values.items()})


def resistance(ratios: Ratios, mode: str, load: float) -> float:
    return load / float(ratios.modes[mode][0])


def test_published_cone_near_one_edge_by_en() -> None:
    published = case("A-EN-02")
    found = en_ratios(
        anchor(
            up=published.given("c1"), embedment=published.given("hef"), strength=published.given("fck")
        ),
        cracked=published.given("cracked"), safety_factor=None,
    )  # fmt: skip
    published.check("NRd_c", resistance(found, "Concrete cone", 50.0))


def test_published_modes_by_en() -> None:
    published = case("A-EN-01")
    for cracked, names in ((True, "cracked"), (False, "uncracked")):
        found = en_ratios(
            anchor(embedment=200.0, strength=25.0, shank=25.0), cracked=cracked, safety_factor=np.ones(1)
        )
        published.check(f"N0Rk_c_{names}", resistance(found, "Concrete cone", 50.0))
        published.check(f"NRk_p_{names}", resistance(found, "Head pull-out", 50.0))
        # along an edge with no corner in reach: twice the value square to it
        at_end = en_ratios(anchor(left=200.0, left_is_edge=True), cracked=cracked, safety_factor=np.ones(1))
        published.check(f"V0Rk_c_{names}", resistance(at_end, "Concrete edge", 5.0) / 2.0)
    near = en_ratios(anchor(up=90.0), cracked=True, safety_factor=np.ones(1))
    published.check("N0Rk_cb_cracked", resistance(near, "Side-face blow-out", 50.0))


def test_published_breakout_near_one_edge_by_aci() -> None:
    published = case("A-318-01")
    found = aci_ratios(
        anchor(
            up=published.given("ca1") * IN, embedment=published.given("hef") * IN,
            strength=published.given("fc") * PSI,
        ),
        method=INCH, cracked=True, safety_factor=np.ones(1),
    )  # fmt: skip
    published.check("Ncb", resistance(found, "Concrete cone", 50.0) / LBF)


def test_published_pair_along_an_edge_by_aci() -> None:
    published = case("A-318-02")
    half = published.given("s") / 2.0 * IN
    one_of_two = aci_ratios(
        anchor(
            up=published.given("ca1") * IN, embedment=published.given("hef") * IN,
            strength=published.given("fc") * PSI, right=half,
        ),
        method=INCH, cracked=True, safety_factor=np.ones(1),
    )  # fmt: skip
    published.check("Ncbg", 2.0 * resistance(one_of_two, "Concrete cone", 50.0) / LBF)


def test_published_stud_in_tension_clear_of_edges() -> None:
    published = case("A-349-A1")
    found = aci_ratios(
        anchor(
            up=published.given("ca_min") * IN, embedment=published.given("hef") * IN,
            bearing_area=published.given("Abrg") * IN**2, strength=published.given("fc") * PSI,
            shank=published.given("d") * IN, net_area=math.pi / 4.0 * (published.given("d") * IN) ** 2,
            tensile=published.given("fut") * 1e3 * PSI, yield_=51e3 * PSI,
        ),
        method=INCH, cracked=True, safety_factor=np.ones(1),
    )  # fmt: skip
    published.check("Nsa", resistance(found, "Steel tension", 50.0) / KIP)
    published.check("Ncb", resistance(found, "Concrete cone", 50.0) / KIP)
    published.check("Npn", resistance(found, "Head pull-out", 50.0) / KIP)


def test_published_stud_in_tension_and_shear() -> None:
    published = case("A-349-A3")
    found = aci_ratios(
        anchor(
            tension=published.given("Nua") * KIP, shear=published.given("Vua") * KIP,
            up=published.given("ca2") * IN, left=published.given("ca1") * IN, left_is_edge=True,
            embedment=published.given("hef") * IN, bearing_area=published.given("Abrg") * IN**2,
            strength=published.given("fc") * PSI, shank=published.given("d") * IN,
            thickness=published.given("ha") * IN, net_area=math.pi / 4.0 * (published.given("d") * IN) ** 2,
            tensile=published.given("fut") * 1e3 * PSI, yield_=51e3 * PSI,
        ),
        method=INCH, cracked=True, safety_factor=np.ones(1),
    )  # fmt: skip
    pull, shear = published.given("Nua"), published.given("Vua")
    published.check("Nsa", resistance(found, "Steel tension", pull))
    published.check("Ncb", resistance(found, "Concrete cone", pull))
    published.check("Npn", resistance(found, "Head pull-out", pull))
    published.check("Vcp", resistance(found, "Pry-out", shear))
    # printed square to the edge and for a stud welded to its plate (8 where a bolt has 7);
    # along the edge twice as much
    published.check("Vcb", resistance(found, "Concrete edge", shear) / 2.0 * 8.0 / 7.0)


def test_published_edge_of_a_stud_in_shear() -> None:
    published = case("A-349-A2")
    found = aci_ratios(
        anchor(
            up=published.given("ca2") * IN, left=published.given("ca1") * IN, left_is_edge=True,
            embedment=published.given("hef") * IN, strength=published.given("fc") * PSI,
            shank=published.given("d") * IN, thickness=published.given("ha") * IN,
        ),
        method=INCH, cracked=True, safety_factor=np.ones(1),
    )  # fmt: skip
    published.check("Vcb", resistance(found, "Concrete edge", 5.0) / KIP / 2.0 * 8.0 / 7.0)
    published.check("Vcp", resistance(found, "Pry-out", 5.0) / KIP)


def test_published_modes_of_the_si_edition() -> None:
    published = case("A-318M-01")
    common = {"bearing_area": published.given("Abrg"), "shank": published.given("da")}
    for depth, name in (("hef", "Nb"), ("hef_deep", "Nb_deep_5_3")):
        found = aci_ratios(
            anchor(embedment=published.given(depth), **common), method=METRIC, cracked=True,
            safety_factor=np.ones(1),
        )  # fmt: skip
        published.check(name, resistance(found, "Concrete cone", 50.0))
        published.check("Np_cracked", resistance(found, "Head pull-out", 50.0))
    near = aci_ratios(
        anchor(up=published.given("ca1_blowout"), **common), method=METRIC, cracked=True,
        safety_factor=np.ones(1),
    )  # fmt: skip
    published.check("Nsb", resistance(near, "Side-face blow-out", 50.0))
    at_end = aci_ratios(
        anchor(left=published.given("ca1_shear"), left_is_edge=True, embedment=published.given("le"), **common),
        method=METRIC, cracked=True, safety_factor=np.ones(1),
    )  # fmt: skip
    published.check("Vb_b", resistance(at_end, "Concrete edge", 5.0) / 2.0)


def test_range_and_factors_of_the_si_edition_as_printed() -> None:
    published = case("A-318M-02")
    assert published.printed("fc_max_cast_in") == SI.f_top
    assert published.printed("hef_range_5_3") == list(SI.deep)
    assert published.printed("kcp_switch_hef") == SI.pry_step


JUDGES: list[tuple[str, Callable[[Anchors], Ratios]]] = [
    ("EN", lambda one: en_ratios(one, cracked=True, safety_factor=None)),
    ("inch", lambda one: aci_ratios(one, method=INCH, cracked=True, safety_factor=None)),
    ("SI", lambda one: aci_ratios(one, method=METRIC, cracked=True, safety_factor=None)),
]


@pytest.mark.parametrize(("name", "judge"), JUDGES)
def test_ratios_fall_as_strength_rises(name: str, judge: Callable[[Anchors], Ratios]) -> None:
    strengths = np.linspace(0.5, 60.0, 200)
    rows = anchor(up=150.0, left=250.0, left_is_edge=True)
    many = replace(
        rows,
        **{
            key: np.repeat(getattr(rows, key), strengths.size)
            for key in Anchors.__dataclass_fields__
            if key != "strength"
        },
        strength=strengths,
    )
    for mode, values in judge(many).modes.items():
        if mode in ("Steel tension", "Steel shear", "Bolt bending", "Interaction, steel"):
            assert (values == values[0]).all()
        else:
            assert (np.diff(values) <= 0.0).all(), mode
    assert (np.diff(judge(many).modes["Concrete cone"]) < 0.0).all()


@pytest.mark.parametrize(("name", "judge"), JUDGES)
def test_a_strength_that_is_not_known_gives_no_ratio(name: str, judge: Callable[[Anchors], Ratios]) -> None:
    for loads in ({}, {"tension": 0.0}, {"tension": 0.0, "shear": 0.0}):
        modes = judge(anchor(strength=np.nan, **loads)).modes
        for mode in modes:
            if mode not in ("Steel tension", "Steel shear", "Bolt bending", "Interaction, steel"):
                assert np.isnan(modes[mode][0]), mode


@pytest.mark.parametrize(("name", "judge"), JUDGES)
def test_a_load_that_is_not_known_gives_no_ratio_and_no_strength(
    name: str, judge: Callable[[Anchors], Ratios]
) -> None:
    for load in ("tension", "shear"):
        ratios = judge(anchor(**{load: np.nan}))
        assert np.isnan(np.max(np.stack(list(ratios.modes.values())), axis=0)[0])
        assert np.isnan(required_strength(ratios)[0])


@pytest.mark.parametrize(("name", "judge"), JUDGES)
def test_an_anchor_that_is_pressed_is_not_pulled(name: str, judge: Callable[[Anchors], Ratios]) -> None:
    modes = judge(anchor(tension=-20.0)).modes
    assert modes["Concrete cone"][0] == modes["Head pull-out"][0] == modes["Steel tension"][0] == 0.0
    assert modes["Pry-out"][0] > 0.0


def test_the_two_editions_of_aci_lie_as_near_as_their_rounded_constants() -> None:
    # SI over converted inch-pound: breakout 10 / 9.96 and 3.9 / 3.905, blow-out 13 / 13.29, edge 0.6 / 0.581
    # and 3.7 / 3.737; steel ceilings 860 / 862 MPa; pull-out is free of units
    apart = {"Concrete cone": 0.005, "Pry-out": 0.005, "Side-face blow-out": 0.025, "Concrete edge": 0.035,
             "Head pull-out": 1e-9, "Steel tension": 0.003, "Steel shear": 0.003}  # fmt: skip
    book = random_book(20)
    c, m = (
        computed(job={"Anchor method": method, "Safety basis": "ACI strength"}, **book)
        for method in (INCH, METRIC)
    )
    depth = c.job.table("Anchor types").number("embedment")[c.layout.anchor[c.cases.holder]]
    clear = (np.abs(depth - 280.0) > 3.0) & (np.abs(depth - 635.0) > 3.0) & (c.demand.end == m.demand.end)
    assert clear.sum() > 200
    for mode, share in apart.items():
        np.testing.assert_allclose(
            c.demand.modes[mode][clear], m.demand.modes[mode][clear], rtol=share, err_msg=mode
        )
    assert (c.demand.modes["Side-face blow-out"] != m.demand.modes["Side-face blow-out"]).any()


def service(**changes: Any) -> Calculation:
    return computed(
        job={"Anchor method": METRIC, "Safety basis": "ACI service load"},
        mixes=[{"Strength curve": "Hyperbolic", "Ultimate strength": 35.0, "Rate constant": 0.3}],
        lifts=pile(2),
        **changes,
    )


def test_service_basis_divides_strengths_by_two_or_by_three_where_people_stand() -> None:
    people, nobody = service(), service(units=[{"Platform width": 0.0}])
    stages = people.cases.stage.tolist()
    assert people.demand.safety_factor.tolist() == [2.0 if stage == 1 else 3.0 for stage in stages]
    assert set(nobody.demand.safety_factor.tolist()) == {2.0}
    factored = computed(job={"Anchor method": METRIC, "Safety basis": "ACI strength"}, lifts=pile(2))
    assert np.isnan(factored.demand.safety_factor).all()


def test_rated_loads_are_one_more_mode_at_service_level() -> None:
    plain = computed(lifts=pile(2))
    rated = computed(anchors=[{"Rated tension": 100.0, "Rated shear": 40.0}], lifts=pile(2))
    placing = int(np.flatnonzero(rated.cases.stage == PLACING)[0])
    one = rated.demand.width[placing]
    tension = rated.forces.service_tension[placing] * one
    assert rated.demand.modes["Rated tension"][placing] == pytest.approx(tension / 100.0, rel=1e-12)
    shear = rated.forces.service_shear[placing] * one
    assert rated.demand.modes["Rated shear"][placing] == pytest.approx(shear / 40.0, rel=1e-12)
    assert np.isnan(plain.demand.modes["Rated tension"]).all()
    assert not np.isnan(plain.demand.ratio).any()
    np.testing.assert_array_equal(plain.demand.required, rated.demand.required)
    weak = computed(anchors=[{"Rated tension": 1.0}], lifts=pile(2))
    assert weak.demand.governing[placing] == "Rated tension"


def test_no_hour_of_hanging_means_not_computed() -> None:
    lifts = [
        {key: value for key, value in lift.items() if key not in ("Stripped", "Hung")} for lift in pile(2)
    ]
    c = computed(job={"Storm wind": (0.2, "kPa")}, lifts=lifts)
    verdict = dict(
        zip(zip(c.cases.lift.tolist(), c.cases.stage.tolist(), strict=True), c.demand_verdict, strict=True)
    )
    assert verdict[0, 3] == "Not computed"
    assert verdict[1, 1] == "Not computed"
    assert verdict[1, 0] != "Not computed"


def test_a_position_on_the_very_end_of_the_face_is_a_fault() -> None:
    with pytest.raises(InputFaults, match="Position"):
        computed(
            lifts=pile(2),
            optional={
                "Anchor positions": [
                    {"Block": "B1", "Lift": 2, "Position": place} for place in (0.0, 1.5, 3.0, 14.0)
                ]
            },
        )
