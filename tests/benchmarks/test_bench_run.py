"""The benchmark itself works, on a small book; its figures are no matter of a test."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

BENCH = Path(__file__).with_name("bench_run.py")


def test_the_benchmark_measures_every_step() -> None:
    done = subprocess.run(
        [sys.executable, str(BENCH), "4", "30"], capture_output=True, check=True, text=True, timeout=120
    )
    said = done.stdout.splitlines()
    assert said[0] == "4 lifts, 4 stages, 30 listed anchors"
    assert [line.split()[0] for line in said[1:]] == ["read", "compute", "write", "all"]
    for line in said[1:]:
        assert float(line.split()[1]) > 0.0
