from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from support import case

from sheetengine.clauses import astm_c1074 as maturity
from sheetengine.clauses import en1992_1_1_strength


def test_rate_by_arrhenius() -> None:
    published = case("S-C1074-arr")
    temperature = published.column("T")
    found = maturity.arrhenius_rate(
        concrete_temperature=temperature,
        activation_temperature=np.full(temperature.shape, float(published.given("Q"))),
        reference_temperature=np.full(temperature.shape, float(published.given("Ts"))),
    )
    published.check("factor", found)


def test_temperature_time_factor() -> None:
    published = case("S-NS-IS")
    rate = maturity.temperature_time_rate(
        concrete_temperature=published.column("T"), datum_temperature=published.column("T0")
    )
    published.check("M", rate * published.given("t"))


def test_activation_energy_of_plain_and_slag_cement() -> None:
    published = case("S-EA")
    energy = published.column("E")
    published.check("Q", maturity.activation_temperature(activation_energy=energy))


def test_the_european_rate_is_an_arrhenius_rate() -> None:
    # EN 1992-1-1 Eq. (B.10): Q = 4000 K, 273 in place of 273.15, so equal to 0.3 % about 20 degC
    temperature = np.linspace(0.0, 60.0, 13)
    own = maturity.arrhenius_rate(
        concrete_temperature=temperature,
        activation_temperature=np.full(13, 4000.0),
        reference_temperature=np.full(13, 20.0),
    )
    np.testing.assert_allclose(
        own, en1992_1_1_strength.maturity_rate(concrete_temperature=temperature), rtol=0.004
    )


@given(t=st.floats(-20.0, 60.0), datum=st.floats(-12.0, 5.0), reference=st.floats(15.0, 25.0))
def test_nothing_is_gained_below_the_datum_and_one_at_the_reference(
    t: float, datum: float, reference: float
) -> None:
    def rate(at: float) -> float:
        found = maturity.nurse_saul_rate(
            concrete_temperature=np.array([at]),
            datum_temperature=np.array([datum]),
            reference_temperature=np.array([reference]),
        )
        return float(found[0])

    assert rate(t) >= 0.0
    if t <= datum:
        assert rate(t) == 0.0
    elif t > datum + 1e-6:
        assert rate(t) > 0.0
    np.testing.assert_allclose(rate(reference), 1.0, rtol=1e-12)


def test_a_blank_gives_a_blank() -> None:
    blank, value = np.array([np.nan]), np.array([20.0])
    assert np.isnan(maturity.temperature_time_rate(concrete_temperature=blank, datum_temperature=value))
    assert np.isnan(
        maturity.arrhenius_rate(
            concrete_temperature=value, activation_temperature=blank, reference_temperature=value
        )
    )
