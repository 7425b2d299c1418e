from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from structuralcodes.codes import mc2010 as library
from support import case

from sheetengine.clauses import mc2010_strength as mc


def test_coefficient_by_strength_class() -> None:
    published = case("S-MC10-s")
    words = published.column("class")
    usual, high = np.full(words.shape, 38.0), np.full(words.shape, 68.0)
    published.check("s", mc.cement_coefficient(cement_strength_class=words, mean_strength_28=usual))
    found = mc.cement_coefficient(cement_strength_class=words, mean_strength_28=high)
    published.check("s_if_fcm_gt_60MPa", np.unique(found))


def test_age_factor_at_three_days() -> None:
    published = case("S-MC10")
    groups = {
        "32.5N": ["32.5N"],
        "32.5R/42.5N": ["32.5R", "42.5N"],
        "42.5R/52.5": ["42.5R", "52.5N", "52.5R"],
    }
    for word, printed in zip(published.given("classes"), published.printed("beta_cc"), strict=True):
        members = np.array(groups[word])
        s = mc.cement_coefficient(
            cement_strength_class=members, mean_strength_28=np.full(members.shape, 38.0)
        )
        age = np.full(members.shape, float(published.given("t")))
        found = mc.age_factor(age_days=age, cement_coefficient=s)
        np.testing.assert_allclose(found, printed, rtol=published.rel_tol)


@pytest.mark.parametrize("word", ["32.5N", "32.5R", "42.5N", "42.5R", "52.5N", "52.5R"])
@pytest.mark.parametrize("f_cm", [33.0, 60.0, 60.5])
def test_age_factor_against_a_library(word: str, f_cm: float) -> None:
    age = np.geomspace(0.5, 500.0, 40)
    s = mc.cement_coefficient(
        cement_strength_class=np.full(age.shape, word), mean_strength_28=np.full(age.shape, f_cm)
    )
    expected = library.beta_cc(age, f_cm, f"{word[:4]} {word[4]}")
    np.testing.assert_allclose(mc.age_factor(age_days=age, cement_coefficient=s), expected, rtol=1e-12)


def test_unknown_class_or_blank_has_no_coefficient() -> None:
    found = mc.cement_coefficient(
        cement_strength_class=np.array(["42.5", "", "", "32.5N"]),
        mean_strength_28=np.array([38.0, 38.0, 68.0, np.nan]),
    )
    assert np.isnan(found).all()


@given(share=st.floats(0.001, 1.15), f_cm=st.floats(12.0, 90.0), s=st.sampled_from([0.20, 0.25, 0.38]))
def test_age_of_a_strength_goes_back_to_it(share: float, f_cm: float, s: float) -> None:
    mix = {"mean_strength_28": np.array([f_cm]), "cement_coefficient": np.array([s])}
    age = mc.age_at_mean_strength(required_strength=np.array([share * f_cm]), **mix)
    np.testing.assert_allclose(mc.mean_strength_at_age(age_days=age, **mix), share * f_cm, rtol=1e-9)
