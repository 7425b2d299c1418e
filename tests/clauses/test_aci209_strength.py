from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from support import case

from sheetengine.clauses import aci209_strength as aci


def factor(age: np.ndarray, word: str) -> np.ndarray:
    words = np.full(age.shape, word)
    return aci.age_factor(
        age_days=age,
        constant_a=aci.constant_a(curing_and_cement=words),
        constant_b=aci.constant_b(curing_and_cement=words),
    )


def test_constants() -> None:
    published = case("S-ACI209-par")
    words = published.column("case")
    published.check("a", aci.constant_a(curing_and_cement=words))
    published.check("beta", aci.constant_b(curing_and_cement=words))
    assert np.isnan(aci.constant_a(curing_and_cement=np.array(["moist II", ""]))).all()


def test_ratios_of_moist_curing() -> None:
    for identifier, word in (("S-ACI209-I", "moist I"), ("S-ACI209-III", "moist III")):
        published = case(identifier)
        published.check("ratio", factor(published.column("t"), word))


def test_ratios_of_steam_curing() -> None:
    published = case("S-ACI209-steam")
    published.check("ratio_I", factor(published.column("t"), "steam I"))
    published.check("ratio_III", factor(published.column("t"), "steam III"))


@given(share=st.floats(0.0, 1.0), f_28=st.floats(5.0, 80.0), word=st.sampled_from(["moist I", "steam III"]))
def test_age_of_a_strength_goes_back_to_it(share: float, f_28: float, word: str) -> None:
    curve = {
        "strength_28": np.array([f_28]),
        "constant_a": aci.constant_a(curing_and_cement=np.array([word])),
        "constant_b": aci.constant_b(curing_and_cement=np.array([word])),
    }
    age = aci.age_at_strength(required_strength=np.array([share * f_28]), **curve)
    np.testing.assert_allclose(aci.strength_at_age(age_days=age, **curve), share * f_28, rtol=1e-9)


def test_beyond_the_end_of_the_curve_and_blank() -> None:
    found = aci.age_at_strength(
        required_strength=np.array([36.0, 30.0]),
        strength_28=np.array([30.0, np.nan]),
        constant_a=np.full(2, 4.0),
        constant_b=np.full(2, 0.85),
    )
    np.testing.assert_array_equal(found, [np.inf, np.nan])
