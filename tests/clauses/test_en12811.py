from __future__ import annotations

import numpy as np
from support import case

from sheetengine.clauses import en12811


def test_table_of_load_classes() -> None:
    published = case("L-12811")
    classes = {"platform_class": published.column("class")}
    published.check("q1", en12811.uniform_load(**classes))
    published.check("F1", en12811.concentrated_load_500(**classes))
    published.check("F2", en12811.concentrated_load_200(**classes))
    published.check("q2", en12811.partial_area_load(**classes))
    published.check("ap", en12811.partial_area_share(**classes))


def test_uniform_load_in_the_second_source() -> None:
    published = case("L-12811-q1")
    published.check("q1", en12811.uniform_load(platform_class=published.column("class")))


def test_no_such_class_has_no_load() -> None:
    found = en12811.uniform_load(platform_class=np.array([0.0, 7.0, 2.5, np.nan]))
    assert np.isnan(found).all()
