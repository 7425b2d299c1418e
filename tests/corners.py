"""Corners of face and joint for the tests of the heat of a lift."""

from __future__ import annotations

import numpy as np

from sheetengine.design.corner_heat import Body, Corner


def body(count: int = 1, **changes: float) -> Body:
    given: dict[str, float] = {
        "height": 2.0, "conductivity": 2.4, "capacity": 600.0, "rise": 35.0, "hydration_time": 16.0, "shape": 0.9,
        "activation": 4000.0, "reference": 20.0, "formed": 7.0, "bared": 80.0, "age": 0.0, "temperature": 15.0,
    } | changes  # fmt: skip
    return Body(**{name: np.full(count, float(value)) for name, value in given.items()})


def corner(
    count: int = 1, below: dict[str, float] | None = None, own: dict[str, float] | None = None,
    above: dict[str, float] | None = None, **changes: float,
) -> Corner:  # fmt: skip
    given: dict[str, float] = {
        "start": 8.0, "depth": 2.5, "air": 8.0, "later_air": 8.0, "swing": 0.0, "sun": 0.0, "bare": 20.0,
        "next_hour": np.inf, "anchor_depth": 0.4, "embedment": 0.3,
    } | changes  # fmt: skip
    ground = {"rise": 0.0, "bared": -np.inf, "temperature": 8.0, "height": 3.0} | (below or {})
    return Corner(
        **{name: np.full(count, float(value)) for name, value in given.items()},
        below=body(count, **ground), own=body(count, **(own or {})), above=body(count, **(above or {})),
    )  # fmt: skip
