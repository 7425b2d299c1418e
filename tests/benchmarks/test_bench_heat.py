"""2,000 lifts over 14 days stay within 20 seconds and 3 GiB."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

BENCH = Path(__file__).with_name("bench_heat.py")


@pytest.mark.skipif(
    sys.platform == "win32", reason="peak memory is asked of the system by a call that Windows lacks"
)
def test_two_thousand_lifts_keep_the_bounds() -> None:
    done = subprocess.run(
        [sys.executable, str(BENCH)], capture_output=True, check=True, text=True, timeout=600
    )
    print(done.stdout)
    first, second = done.stdout.splitlines()
    together = float(first.split("passes: ")[1].split(" s")[0])
    assert together < 40.0  # on two free cores it is 12 s; beside other tests it gets one
    assert float(first.split("peak ")[1].split(" GiB")[0]) < 3.0
    assert float(second.split("time: ")[1].split(" s")[0]) > 3.0 * together
