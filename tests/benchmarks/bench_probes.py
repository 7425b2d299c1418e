"""How long a million readings of loggers take from the bytes of a CSV file to the temperatures of all lifts.

Run as ``python tests/benchmarks/bench_probes.py [READINGS]``. Counted are: reading the file held in memory (separator,
encoding, dates, numbers), putting its readings into the table of the log, all rules of the log, and the history of every
lift. The log holds faults of every kind.

The work runs in one thread. Clock and processor are both printed; the bound is held by the lesser of the two, best of
several runs: a machine that is busy with other things lengthens the clock and not the work.
"""

from __future__ import annotations

import sys
import time
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from builders import START, job, pile

from sheetengine.columns import Table
from sheetengine.design.layout import lay_out
from sheetengine.design.temperatures import temperatures
from sheetengine.job import Job
from sheetengine.logger_files import Asked, Readings, read_readings

LIFTS, PROBES, LIFTS_OF_A_BLOCK = 300, 4, 20
HOURS = 60 * 24
BOUND_SECONDS = 5.0


def book() -> Job:
    """Return the job of so many lifts, without a log."""
    rows = [
        row
        for block in range(LIFTS // LIFTS_OF_A_BLOCK)
        for row in pile(LIFTS_OF_A_BLOCK, block=f"B{block + 1}")
    ]
    return job(lifts=rows)


def logger_file(readings: int) -> bytes:
    """Return a CSV file with so many readings, four probes a lift, with faults of every kind in it."""
    rng = np.random.default_rng(3)
    each = readings // (LIFTS * PROBES)
    step = 20  # minutes
    lines = ["Time,Temperature [degC],Block,Lift,Probe,Depth from face [m],Depth from joint [m]"]
    minutes = np.arange(each) * step
    for lift in range(LIFTS):
        number, block = lift % LIFTS_OF_A_BLOCK + 1, lift // LIFTS_OF_A_BLOCK + 1
        begin = np.datetime64(START, "m") + np.timedelta64(7 * 24 * 60 * (number - 1) + 180, "m")
        stamps = np.datetime_as_string(begin + minutes.astype("timedelta64[m]"), unit="m").tolist()
        for probe in range(PROBES):
            value = 18.0 + 12.0 * np.exp(-minutes / 9000.0) - probe + 0.3 * np.sin(minutes / 230.0)
            value += rng.normal(0.0, 0.05, each)
            value[rng.integers(0, each, 3)] += 40.0
            if probe == 3 and lift % 10 == 0:
                value[each // 2 :] = value[each // 2]
            kept = np.ones(each, dtype=bool)
            kept[each // 3 : each // 3 + 30] = lift % 7 != 0
            end = f",B{block},{number},P{probe + 1},{0.1 + 0.05 * probe:.2f},0.40"
            lines += [
                f"{stamp},{reading:.2f}{end}"
                for stamp, reading, keep in zip(stamps, value.tolist(), kept.tolist(), strict=True)
                if keep
            ]
    return "\n".join(lines).encode()


def with_log(held: Job, readings: Readings) -> Job:
    """Return the job with the readings as its log."""
    count = len(readings)
    table = Table(
        "Probe log",
        numbers={
            "time": readings.time, "temperature": readings.temperature, "depth_from_face": readings.face,
            "depth_from_joint": readings.joint, "clock_offset": np.zeros(count),
        },
        labels={"block": readings.block, "lift": readings.lift, "probe": readings.probe},
        rows=readings.line, at_columns={"temperature": 4}, head_row=1,
    )  # fmt: skip
    return replace(held, tables={**held.tables, "Probe log": table})


@dataclass(frozen=True)
class Measured:
    """Readings, lifts with a measured history, findings, seconds by clock and by processor."""

    readings: int
    lifts: int
    findings: int
    clock: float
    processor: float

    @property
    def seconds(self) -> float:
        """Seconds that it takes where a core is free for it."""
        return min(self.clock, self.processor)


def measure(readings: int, runs: int = 2) -> Measured:
    """Return the best of several runs."""
    content, held = logger_file(readings), book()
    layout = lay_out(held)
    best: Measured | None = None
    for _ in range(runs):
        clock, processor = time.perf_counter(), time.process_time()
        read, faults = read_readings(content, "log.csv", Asked())
        assert faults == []
        history, findings = temperatures(with_log(held, read), layout, HOURS)
        run = Measured(
            len(read), int((~np.isnan(history.switch)).sum()), len(findings),
            time.perf_counter() - clock, time.process_time() - processor,
        )  # fmt: skip
        best = run if best is None or run.seconds < best.seconds else best
    assert best is not None
    return best


def main(arguments: list[str]) -> None:
    """Measure so many readings and print the figures."""
    found = measure(int(arguments[0]) if arguments else 1_000_000)
    print(f"{found.readings} readings, {found.lifts} lifts measured, {found.findings} findings")
    print(f"  clock     {found.clock:8.2f} s")
    print(f"  processor {found.processor:8.2f} s")


if __name__ == "__main__":
    main(sys.argv[1:])
