"""Closed forms of heat conduction and thermal figures, against published values and finite differences."""

import numpy as np
import pytest
from support import case

from sheetengine.clauses import heat_closed_forms as closed
from sheetengine.clauses import heat_data as data
from sheetengine.clauses import interval_rules as rules

FT2_IN_M2 = 0.3048**2


def column(*values):
    return np.array(values, dtype=float)


@pytest.mark.parametrize("identifier", ["H-SEMI-01", "H-SEMI-02"])
def test_half_space_in_air(identifier):
    published = case(identifier)
    given = published.column
    rise = closed.half_space_convection(
        ambient_step=given("Tinf") - given("Ti"),
        depth_from_surface=given("x"),
        elapsed_time=given("t") / 3600.0,
        diffusivity=given("k") / given("rho_c") * 3600.0,
        film_coefficient=given("h"),
        conductivity=given("k"),
    )
    published.check("T", given("Ti") + rise)


def test_half_space_with_a_step():
    published = case("H-SEMI-03")
    published.check(
        "T",
        closed.half_space_step(
            surface_step=published.column("dT"),
            depth_from_surface=published.column("x"),
            elapsed_time=published.column("t"),
            diffusivity=published.column("kappa"),
        ),
    )


def test_air_that_takes_heat_freely_is_a_step():
    """property: with a film coefficient beyond bounds the two half-space solutions are one."""
    place = {
        "depth_from_surface": column(0.0, 0.1, 0.5, 2.0),
        "elapsed_time": column(24.0, 24.0, 72.0, 72.0),
        "diffusivity": column(*[0.004] * 4),
    }
    step = closed.half_space_step(surface_step=column(*[20.0] * 4), **place)
    air = closed.half_space_convection(
        ambient_step=column(*[20.0] * 4),
        film_coefficient=column(*[1e7] * 4),
        conductivity=column(*[2.5] * 4),
        **place,
    )
    np.testing.assert_allclose(air, step, atol=1e-4)
    shut = closed.half_space_convection(
        ambient_step=column(*[20.0] * 4),
        film_coefficient=column(*[0.0] * 4),
        conductivity=column(*[2.5] * 4),
        **place,
    )
    np.testing.assert_allclose(shut, 0.0, atol=1e-12)


def test_slab_in_air():
    published = case("H-SLAB-01")
    root = closed.slab_first_root(biot_number=published.column("Bi"))
    published.check("zeta1", root)
    published.check("C1", closed.slab_first_coefficient(first_root=root))
    published.check(
        "theta_centre",
        closed.slab_convection(
            biot_number=published.column("Bi"),
            fourier_number=published.column("Fo"),
            relative_position=published.column("x_over_L"),
        ),
    )


def test_first_roots_of_the_textbook_table():
    """Incropera & DeWitt Table 5.1, from memory: Bi 0.1, 1, 10, 100; each root also meets its equation."""
    biot = column(0.1, 1.0, 10.0, 100.0)
    root = closed.slab_first_root(biot_number=biot)
    np.testing.assert_allclose(root, [0.3111, 0.8603, 1.4289, 1.5552], atol=5e-5)
    np.testing.assert_allclose(root * np.tan(root), biot, rtol=1e-9)


def explicit_slab(biot, fourier, cells=100):
    """Excess temperature at mid-plane and face of a half slab by explicit finite differences."""
    step = 1.0 / cells
    excess = np.ones(cells + 1)
    count = int(np.ceil(fourier / (0.2 * step**2)))
    r = fourier / count / step**2
    for _ in range(count):
        after = excess.copy()
        after[1:-1] += r * (excess[2:] - 2.0 * excess[1:-1] + excess[:-2])
        after[0] += 2.0 * r * (excess[1] - excess[0])
        after[-1] += 2.0 * r * (excess[-2] - excess[-1] - step * biot * excess[-1])
        excess = after
    return excess[0], excess[-1]


@pytest.mark.parametrize(("biot", "fourier"), [(0.5, 0.05), (1.0, 0.5), (8.0, 0.2)])
def test_slab_in_air_by_finite_differences(biot, fourier):
    series = closed.slab_convection(
        biot_number=column(biot, biot),
        fourier_number=column(fourier, fourier),
        relative_position=column(0.0, 1.0),
    )
    np.testing.assert_allclose(series, explicit_slab(biot, fourier), rtol=1e-3)


def test_slab_in_air_starts_whole():
    """property: before any time has gone, every place but the face has its excess."""
    start = closed.slab_convection(
        biot_number=column(1.0, 1.0), fourier_number=column(0.0, 0.0), relative_position=column(0.0, 0.5)
    )
    np.testing.assert_allclose(start, 1.0, atol=5e-3)


def test_mean_left_in_a_lift():
    published = case("H-SLAB-02")
    given = published.column
    published.check("Fo", given("kappa") * given("t") / (given("thickness") / 2.0) ** 2)
    published.check(
        "theta_mean",
        closed.slab_mean_remaining(
            thickness=given("thickness"), diffusivity=given("kappa"), elapsed_time=given("t")
        ),
    )


def test_early_loss_of_a_lift_is_that_of_two_half_spaces():
    """property: 1 - 4 sqrt(kappa t/pi)/H as long as the two faces do not feel each other."""
    time = column(1.0, 4.0, 10.0)
    left = closed.slab_mean_remaining(
        thickness=column(*[1.5] * 3), diffusivity=column(*[0.004] * 3), elapsed_time=time
    )
    np.testing.assert_allclose(left, 1.0 - 4.0 * np.sqrt(0.004 * time / np.pi) / 1.5, rtol=1e-4)


@pytest.mark.parametrize("identifier", ["H-LIFT-01", "H-LIFT-02"])
def test_lift_with_hydration(identifier):
    published = case(identifier)
    given = published.column
    published.check(
        "T_mid_rise",
        closed.lift_with_hydration(
            thickness=given("thickness"),
            distance_from_middle=column(0.0),
            diffusivity=given("kappa"),
            adiabatic_rise=given("theta0"),
            rise_rate=given("lam"),
            elapsed_time=given("t"),
        ),
    )
    published.check("T_adiabatic", given("theta0") * (1.0 - np.exp(-given("lam") * given("t"))))


def lift(**changed):
    usual = {
        "thickness": 1.5,
        "distance_from_middle": 0.3,
        "diffusivity": 0.004,
        "adiabatic_rise": 30.0,
        "rise_rate": 0.0175,
        "elapsed_time": 48.0,
    }
    return closed.lift_with_hydration(**{name: column(value) for name, value in {**usual, **changed}.items()})


def test_lift_where_a_term_has_no_denominator():
    """property: the limit of the fraction is t exp(-lambda t), so the curve passes through smoothly."""
    decay = 0.004 * (np.pi / 1.5) ** 2
    around = [lift(rise_rate=decay * (1.0 + share))[0] for share in (-1e-4, 0.0, 1e-4)]
    assert np.isfinite(around).all()
    np.testing.assert_allclose(around[1], 0.5 * (around[0] + around[2]), rtol=1e-8)


def test_thick_lift_rises_without_loss_at_its_middle():
    """property: far from the faces the rise is adiabatic."""
    rise = lift(thickness=30.0, distance_from_middle=0.0)
    np.testing.assert_allclose(rise, 30.0 * (1.0 - np.exp(-0.0175 * 48.0)), rtol=2e-3)
    for place in (2.0, 5.0, 9.0):
        off_middle = lift(thickness=30.0, distance_from_middle=place)
        np.testing.assert_allclose(off_middle, 30.0 * (1.0 - np.exp(-0.0175 * 48.0)), rtol=2e-3)


def test_lift_by_finite_differences():
    """A second way: explicit finite differences over the whole lift, faces held."""
    cells, height, kappa, rate = 120, 1.5, 0.004, 0.0175
    step = height / cells
    dt = 0.2 * step**2 / kappa
    count = int(np.ceil(48.0 / dt))
    dt = 48.0 / count
    rise = np.zeros(cells + 1)
    for i in range(count):
        heat = 30.0 * (np.exp(-rate * i * dt) - np.exp(-rate * (i + 1) * dt))
        rise[1:-1] += kappa * dt / step**2 * (rise[2:] - 2.0 * rise[1:-1] + rise[:-2]) + heat
    places = np.linspace(-height / 2.0, height / 2.0, cells + 1)
    for index in (20, 60, 84):
        np.testing.assert_allclose(lift(distance_from_middle=places[index]), rise[index], rtol=2e-3)


def test_film_coefficient_in_wind():
    published = case("H-FILM-01")
    speed = published.column("V")
    published.check("h", data.film_coefficient_us(wind_speed_mph=speed))
    published.check("h_si", data.film_coefficient_in_wind(wind_speed=speed * 0.44704))


def test_covered_surface_loses_less():
    """By hand: 1/(1/20 + 0.021/0.14 + 0.3) = 2."""
    covered = data.covered_film_coefficient(
        film_coefficient=column(20.0),
        form_thickness=column(0.021),
        form_conductivity=column(0.14),
        insulation_resistance=column(0.3),
    )
    np.testing.assert_allclose(covered, 2.0)


def test_equivalent_cement():
    published = case("H-UF-01")
    cement, ash = published.column("cement"), published.column("fly_ash")
    share = ash / (cement + ash)
    published.check("Rp", share)
    factor = data.pozzolan_equivalence(replaced_share=share)
    published.check("alpha_p", factor)
    published.check(
        "Ceq",
        data.equivalent_cement_content(cement_content=cement, pozzolan_content=ash, pozzolan_factor=factor),
    )


def test_adiabatic_rise():
    published = case("H-ADIA-01")
    published.check(
        "dT",
        data.adiabatic_rise_of_mix(
            cement_content=published.column("cementitious"),
            heat_of_hydration=published.column("Q"),
            mass_density=published.column("rho"),
            specific_heat=published.column("c"),
        ),
    )


def test_diffusivity_by_aggregate():
    published = case("H-DIFF-01")
    rocks = published.column("aggregate")
    diffusivity = data.diffusivity_by_aggregate(aggregate=rocks)
    published.check("kappa", diffusivity)
    published.check("kappa_us", diffusivity / FT2_IN_M2)
    assert set(data.diffusivities()) == set(rocks)
    assert np.isnan(data.diffusivity_by_aggregate(aggregate=np.array(["", "Granite"]))).all()


def test_is_457():
    published = case("F-IS457")
    facts = rules.practice_facts("is457")
    published.check("min_interval", facts["least_interval"].printed)
    published.check("max_adjacent_difference", facts["greatest_adjacent_difference"].value)
    published.check("min_adjacent_difference", facts["least_adjacent_difference"].value)
    published.check("max_layer_vibrated", facts["greatest_layer_vibrated"].value)
    assert facts["lift"].value == published.given("lift")
    assert (facts["least_interval"].value, facts["least_interval"].unit) == (120.0, "h")


def test_ufgs_03700():
    published = case("F-UFGS-03700")
    facts = rules.practice_facts("ufgs03700")
    published.check("layer", facts["layer"].value)
    published.check("max_exposed_bulkhead_face", facts["greatest_exposed_bulkhead"].value)
    published.check("min_layers", rules.least_layers(lift_height=published.column("lift")))


def test_hoover_dam():
    published = case("F-HOOVER")
    facts = rules.practice_facts("hoover")
    published.check("lift", facts["lift"].printed)
    published.check("interval", facts["least_interval"].value)
    published.check("mean_rise", facts["lift"].value / facts["least_interval"].value)
    assert facts["least_block"].printed == published.given("block_min")
    assert facts["greatest_block"].printed == published.given("block_max")


def test_usbr_height_difference():
    published = case("F-USBR-DIFF")
    facts = rules.practice_facts("usbr")
    published.check("adjacent_max", facts["greatest_adjacent_difference"].printed)
    published.check("highest_to_lowest_max", facts["greatest_difference_of_all"].printed)


def test_every_fact_names_its_source_and_how_it_is_known():
    for name in rules.documents():
        facts = rules.practice_facts(name)
        assert facts
        assert all(fact.source.document and fact.source.place for fact in facts.values())


def test_layers_of_a_lift():
    np.testing.assert_array_equal(
        rules.least_layers(lift_height=column(1.5, 1.51, np.nan), layer=0.3), [5.0, 6.0, np.nan]
    )
    with pytest.raises(ValueError, match="cannot be placed"):
        rules.least_layers(lift_height=column(1.5), layer=0.0)
