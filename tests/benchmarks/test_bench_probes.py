"""A million readings of loggers come from a CSV file in memory to the temperatures of 300 lifts in seconds."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

BENCH = Path(__file__).with_name("bench_probes.py")


def test_a_million_readings_keep_the_bound() -> None:
    done = subprocess.run(
        [sys.executable, str(BENCH), "1000000"], capture_output=True, check=True, text=True, timeout=600
    )
    print(done.stdout)
    said = done.stdout.splitlines()
    number, lifts, findings = (int(part.split()[0]) for part in said[0].split(", "))
    assert number > 990_000
    assert lifts == 300
    assert findings >= 300
    figures = {line.split()[0]: float(line.split()[1]) for line in said[1:]}
    assert min(figures["clock"], figures["processor"]) < 8.0
