"""The benchmark of logger files works, on a small file; its figures are no matter of a test."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

BENCH = Path(__file__).with_name("bench_probes.py")


def test_the_benchmark_measures_every_step() -> None:
    done = subprocess.run(
        [sys.executable, str(BENCH), "24000"], capture_output=True, check=True, text=True, timeout=120
    )
    said = done.stdout.splitlines()
    assert said[0].startswith("24000 readings, ")
    assert [line.split()[0] for line in said[1:]] == ["read", "judge", "lay", "all", "peak"]
    assert all(float(line.split()[1]) > 0.0 for line in said[1:])
