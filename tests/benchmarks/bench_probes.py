"""Time and memory from logger files with a million readings to the temperatures at the anchors of 300 lifts.

Run it with ``python tests/benchmarks/bench_probes.py [READINGS]``. Four probes a lift, readings of uneven spacing.
"""

from __future__ import annotations

import resource
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import pandas as pd

sys.path.insert(0, str(Path(__file__).parents[1]))

from builders import START, computed, pile

from sheetengine.design.layout import lay_out
from sheetengine.design.probe_logs import readings_of
from sheetengine.design.temperatures import temperatures
from sheetengine.logger_files import Wishes, read_loggers
from sheetengine.probe_import import as_table

LIFTS, PROBES, HOURS = 300, 4, 400


def written(folder: Path, readings: int) -> Path:
    """Write one file with all readings."""
    draw = np.random.default_rng(7)
    each = readings // (LIFTS * PROBES)
    lift = np.repeat(np.arange(LIFTS), PROBES * each)
    probe = np.tile(np.repeat(np.arange(PROBES), each), LIFTS)
    step = draw.uniform(0.2, 0.4, (LIFTS * PROBES, each))
    hours = 7.0 * 24.0 * (lift % 30) + np.cumsum(step, axis=1).ravel()
    frame = pd.DataFrame({
        "Block": np.char.add("B", (lift // 30 + 1).astype(str)), "Lift": lift % 30 + 1,
        "Time": (pd.Timestamp(START) + pd.to_timedelta(hours, unit="h")).strftime("%Y-%m-%d %H:%M:%S"),
        "Temperature [degC]": (18.0 + 6.0 * np.sin(hours / 9.0) + draw.normal(0.0, 0.05, hours.size)).round(2),
        "Depth from face [m]": 0.1 + 0.05 * probe, "Depth from joint [m]": 0.4, "Probe": np.char.add("P", probe.astype(str)),
    })  # fmt: skip
    path = folder / "log.csv"
    frame.to_csv(path, index=False)
    return path


def main() -> None:
    """Print what each step takes."""
    readings = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    lifts = [row for block in range(1, LIFTS // 30 + 1) for row in pile(30, block=f"B{block}")]
    job = computed(lifts=lifts).job
    layout = lay_out(job)
    with tempfile.TemporaryDirectory() as folder:
        path = written(Path(folder), readings)
        began = time.perf_counter()
        logged = read_loggers([path], Wishes())
        read = time.perf_counter()
        job.tables["Probe log"] = as_table(logged)
        counted = readings_of(job, layout)
        judged = time.perf_counter()
        found = temperatures(job, layout, HOURS, counted)
        done = time.perf_counter()
    assert (found.source == 2).all()
    print(f"{len(logged)} readings, {counted.time.size} count, {LIFTS} lifts, {PROBES} probes each")
    for name, took in (
        ("read", read - began),
        ("judge", judged - read),
        ("lay", done - judged),
        ("all", done - began),
    ):
        print(f"{name:8s}{took:8.2f} s")
    print(f"peak    {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0:8.0f} MB")


if __name__ == "__main__":
    main()
