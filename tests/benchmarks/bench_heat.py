"""Time and memory of the corner heat of 2,000 lifts over 14 days, beside the same lifts one at a time.

Run it with ``python tests/benchmarks/bench_heat.py``.
"""

from __future__ import annotations

import resource
import time

import numpy as np

from sheetengine.design.corner_heat import Body, Corner, corner_heat, when_built_upon

LIFTS, HOURS, ALONE = 2000, 336, 20


def body(count: int, draw: np.random.Generator) -> Body:
    """Return lifts that differ in height, heat and temperature."""
    given = {
        "height": draw.uniform(1.5, 3.0, count), "conductivity": 2.3, "capacity": 650.0,
        "rise": draw.uniform(25.0, 45.0, count), "hydration_time": 16.0, "shape": 0.9, "activation": 4000.0,
        "reference": 20.0, "formed": 7.0, "bared": draw.uniform(40.0, 120.0, count), "age": 0.0,
        "temperature": draw.uniform(8.0, 25.0, count),
    }  # fmt: skip
    return Body(
        **{name: np.broadcast_to(np.asarray(v, dtype=float), count).copy() for name, v in given.items()}
    )


def corner(count: int) -> Corner:
    """Return lifts on lifts, under lifts, built upon after 5 to 10 days."""
    draw = np.random.default_rng(5)
    given = {
        "start": 8.0, "depth": 2.5, "air": draw.uniform(0.0, 20.0, count), "later_air": draw.uniform(0.0, 20.0, count),
        "swing": 8.0, "sun": 0.0, "bare": 23.0, "next_hour": draw.uniform(120.0, 250.0, count), "anchor_depth": 0.4,
        "embedment": 0.3,
    }  # fmt: skip
    return Corner(
        **{name: np.broadcast_to(np.asarray(v, dtype=float), count).copy() for name, v in given.items()},
        below=body(count, draw), own=body(count, draw), above=body(count, draw),
    )  # fmt: skip


def timed(every: Corner) -> float:
    """Return the seconds that both passes take."""
    began = time.perf_counter()
    when_built_upon(every, HOURS)
    corner_heat(every, HOURS)
    return time.perf_counter() - began


def main() -> None:
    """Print both."""
    every = corner(LIFTS)
    took = timed(every)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0**2
    alone = sum(timed(every.rows(slice(item, item + 1))) for item in range(ALONE)) / ALONE * LIFTS
    print(f"{LIFTS} lifts, {HOURS} h, both passes: {took:.1f} s, peak {peak:.2f} GiB")
    print(f"one lift at a time: {alone:.0f} s, from {ALONE} lifts")


if __name__ == "__main__":
    main()
