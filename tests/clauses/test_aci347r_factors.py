from __future__ import annotations

import numpy as np

from sheetengine.clauses import aci347r_factors as shared


def test_chemistry_factor_by_group_and_retarder() -> None:
    # ACI 347-04 Table 2.2, as reproduced in a second source: 1.0/1.2, 1.2/1.4, 1.4/1.4
    groups = np.array(["plain", "plain", "blend", "blend", "high blend", "high blend", "", "plain"])
    retarder = np.array([0.0, 1.0, 0.0, 1.0, 0.0, 1.0, 0.0, np.nan])
    found = shared.chemistry_factor(cement_group=groups, retarder=retarder)
    np.testing.assert_array_equal(found, [1.0, 1.2, 1.2, 1.4, 1.4, 1.4, np.nan, np.nan])


def test_the_two_forms_are_not_conversions_of_each_other() -> None:
    # the numbers as printed in each form
    si, us = shared.SI, shared.INCH_POUND
    assert (si.wall_height, si.low_rate, si.greatest_rate) == (4.2, 2.1, 4.5)
    assert (us.wall_height, us.low_rate, us.greatest_rate) == (14.0, 7.0, 15.0)
    assert (si.least_pressure, us.least_pressure) == (30.0, 600.0)
    assert abs(us.least_pressure * 0.0478803 - si.least_pressure) > 1.0
    assert (si.slump, us.slump, si.vibration_depth, us.vibration_depth) == (175.0, 7.0, 1.2, 4.0)
