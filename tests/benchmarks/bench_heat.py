"""Time and memory of the corner heat of 2,000 lifts over 14 days, beside the same lifts one at a time.

Run it with ``python tests/benchmarks/bench_heat.py``.
"""

from __future__ import annotations

import resource
import time

import numpy as np

from sheetengine.design.corner_heat import Corner, corner_heat

LIFTS, HOURS, ALONE = 2000, 336, 20


def corner(count: int) -> Corner:
    """Return lifts that differ in height, temperatures and dates."""
    draw = np.random.default_rng(5)
    given = {
        "start": 8.0, "height": draw.uniform(1.5, 3.0, count), "next_height": draw.uniform(1.5, 3.0, count), "depth": 2.5,
        "conductivity": 2.3, "capacity": 650.0, "rise": draw.uniform(25.0, 45.0, count), "hydration_time": 16.0,
        "shape": 0.9, "activation": 4000.0, "reference": 20.0, "placed": draw.uniform(8.0, 25.0, count),
        "next_placed": draw.uniform(8.0, 25.0, count), "below": 8.0, "air": draw.uniform(0.0, 20.0, count), "swing": 8.0,
        "sun": 0.0, "formed": 7.0, "bare": 23.0, "stripped": draw.uniform(40.0, 120.0, count),
        "next_hour": draw.uniform(120.0, 250.0, count), "anchor_depth": 0.4, "embedment": 0.3,
    }  # fmt: skip
    return Corner(
        **{name: np.broadcast_to(np.asarray(v, dtype=float), count).copy() for name, v in given.items()}
    )


def main() -> None:
    """Print both."""
    every = corner(LIFTS)
    began = time.perf_counter()
    found = corner_heat(every, HOURS)
    took = time.perf_counter() - began
    began = time.perf_counter()
    for item in range(ALONE):
        corner_heat(every.rows(slice(item, item + 1)), HOURS)
    alone = (time.perf_counter() - began) / ALONE * LIFTS
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0**2
    print(
        f"{LIFTS} lifts, {HOURS} h: {took:.1f} s, peak {peak:.2f} GiB, greatest error estimate {found.error.max():.2f} K"
    )
    print(f"one lift at a time: {alone:.0f} s, from {ALONE} lifts")


if __name__ == "__main__":
    main()
