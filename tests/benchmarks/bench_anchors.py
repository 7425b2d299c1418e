"""How long all modes of both anchor methods take for many listed anchors and five stages, and how much memory.

Run as ``python tests/benchmarks/bench_anchors.py [ANCHORS]``. Counted from the anchors as they were read to the worst
anchor, all its ratios and the strength required of every lift and stage: layout, neighbours, groups, areas, resistances.

The work runs in one thread, so that what it takes of a processor is what it takes of the clock where a core is free for
it. Both are printed. The bound of two seconds is held by the lesser of the two, best of several runs: a machine that
is busy with other things lengthens the clock and not the work.
"""

from __future__ import annotations

import resource
import sys
import time
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from builders import job, pile

from sheetengine.clauses.load_factors import load_factors
from sheetengine.design.anchor_demand import anchor_demand
from sheetengine.design.combinations import Forces, forces
from sheetengine.design.layout import Layout, anchor_spots, lay_out
from sheetengine.design.pressure import pressures
from sheetengine.design.stages import Cases, cases
from sheetengine.job import Job

ON_ONE_LIFT = 250
LIFTS_OF_A_BLOCK = 21
STAGES = 5
METHODS = (("EN 1992-4:2018", "EN partial factors"), ("ACI 318-19", "ACI strength"))
BOUND_SECONDS, BOUND_MEGABYTES = 2.0, 2048.0


@dataclass(frozen=True)
class Book:
    """One job with its layout, cases of five stages and forces, by one anchor method."""

    job: Job
    layout: Layout
    found: Cases
    loads: Forces
    strength: np.ndarray


def books(anchors: int) -> list[Book]:
    """Return the job of so many listed anchors by each of the two methods."""
    held = LIFTS_OF_A_BLOCK - 1
    blocks = -(-anchors // (ON_ONE_LIFT * held))
    rows: list[dict[str, Any]] = []
    for number in range(blocks):
        rows += pile(LIFTS_OF_A_BLOCK, block=f"B{number + 1}", Height=2.0, Face_length=200.0, Thickness=6.0)
    pairs = [0.4 + 0.8 * place - (0.5 if place % 3 == 1 else 0.0) for place in range(ON_ONE_LIFT)]
    positions = [
        {
            "Block": row["Block"],
            "Lift": row["Lift"],
            "Position": place,
            "Depth": 0.7 if number % 7 == 3 else None,
        }
        for row in rows
        if row["Lift"] != 1
        for number, place in enumerate(pairs)
    ][:anchors]
    read = job(lifts=rows, optional={"Anchor positions": positions})
    made = []
    for method, basis in METHODS:
        items = dict(read.items)
        for name, text in (("Anchor method", method), ("Safety basis", basis)):
            items[name] = replace(items[name], text=text)
        own = Job(items, read.tables)
        layout = lay_out(own)
        found = cases(own, layout)
        more = [np.flatnonzero(found.stage == stage)[: int((found.lift > 0).sum())] for stage in (2,)]
        order = np.sort(
            np.concatenate([np.arange(found.lift.size), *more])
        )  # a fifth stage, loaded like the third
        found = Cases(*(getattr(found, name)[order] for name in Cases.__dataclass_fields__))
        loads = forces(own, layout, found, pressures(own, layout), load_factors(basis)).forces
        made.append(Book(own, layout, found, loads, np.full(found.lift.size, 20.0)))
    return made


def judged(book: Book) -> int:
    """Judge every anchor of every stage; return how many were judged."""
    spots = anchor_spots(book.job, book.layout)
    demand = anchor_demand(book.job, book.layout, book.found, spots, book.loads, book.strength)
    assert not np.isnan(demand.ratio).any()
    assert not np.isnan(demand.required).any()
    return int(np.diff(spots.first)[book.found.holder].sum())


@dataclass(frozen=True)
class Measured:
    """Anchors judged by both methods together, seconds by clock and by processor, megabytes at the peak."""

    judged: int
    clock: float
    processor: float
    peak: float

    @property
    def seconds(self) -> float:
        """Seconds that it takes where a core is free for it."""
        return min(self.clock, self.processor)


def peak_megabytes() -> float:
    """Return the greatest memory that the process has held, in MB."""
    held = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return held / 1e6 if sys.platform == "darwin" else held / 1e3


def measure(anchors: int, runs: int = 3) -> Measured:
    """Return the best of several runs."""
    made = books(anchors)
    best = Measured(0, np.inf, np.inf, 0.0)
    for _ in range(runs):
        clock, processor = time.perf_counter(), time.process_time()
        number = sum(judged(book) for book in made)
        run = Measured(number, time.perf_counter() - clock, time.process_time() - processor, peak_megabytes())
        best = min(best, run, key=lambda entry: entry.seconds)
    return replace(best, peak=peak_megabytes())


def main(arguments: list[str]) -> None:
    """Measure so many anchors and print the figures."""
    anchors = int(arguments[0]) if arguments else 100_000
    found = measure(anchors)
    print(f"{anchors} listed anchors, {STAGES} stages, {len(METHODS)} methods: {found.judged} anchors judged")
    print(f"  clock     {found.clock:8.2f} s")
    print(f"  processor {found.processor:8.2f} s")
    print(f"  peak      {found.peak:8.0f} MB")


if __name__ == "__main__":
    main(sys.argv[1:])
