"""Speed of many draws and many lines: serial, on two processes, on a cluster."""

from __future__ import annotations

import tempfile
import time
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from bench.figures import row, study

SAMPLES = 8192
SHIPS, FEW = 200, 256


def deep() -> list[dict[str, Any]]:
    """Seconds of 8192 draws of one rope on the demo's duty, on one process and on two, and their ratio."""
    case, shelf, files = _demo(SAMPLES)
    one, ages = _timed(None, case, shelf, files)
    with ProcessPoolExecutor(2) as pool:
        list(pool.map(abs, range(2)))  # both are there before the clock starts
        two, same = _timed(pool, case, shelf, files)
    assert all(np.array_equal(a, b) for a, b in zip(ages, same, strict=True))
    against = f"{SAMPLES} draws, two line groups with tails; two processes {two:.2f} s, same numbers"
    return [row(one, "s", "<= 10", against), row(one / two, "x", ">= 1.7", "two processes against one")]


def fleet() -> list[dict[str, Any]]:
    """Lines a second of a fleet of 200 lines, serial and on a local cluster of two workers."""
    case, shelf, files = _demo(FEW)
    lines = tuple(replace(case.lines[0], name=f"ship {number}") for number in range(1, SHIPS + 1))
    states = tuple(
        replace(berth, states=tuple(
            replace(state, tension={line.name: state.tension[case.lines[0].name] for line in lines})
            for state in berth.states
        ))
        for berth in case.berths
    )  # fmt: skip
    many = replace(case, lines=lines, berths=states)
    serial, ages = _timed(None, many, shelf, files)
    with _cluster() as client:
        spread, same = _timed(client.get_executor(), many, shelf, files)
    assert all(np.array_equal(a, b) for a, b in zip(ages, same, strict=True))
    against = f"{SHIPS} lines of {FEW} draws; cluster {spread:.1f} s, same numbers"
    return [
        row(SHIPS / serial, "lines/s", ">= 5", against),
        row(serial / spread, "x", ">= 1.5", "two workers against one"),
    ]


def _demo(samples: int) -> tuple[Any, Any, Any]:
    from linewright.services.gather import gather
    from linewright.services.study import open_study

    with tempfile.TemporaryDirectory() as folder:
        opened = open_study(study(Path(folder) / "one", ropes=False))
        case, shelf = opened.read()
        return replace(case, samples=samples, compared=()), shelf, gather(opened.root, case, shelf)


def _timed(executor: Executor | None, case: Any, shelf: Any, files: Any) -> tuple[float, list[Any]]:
    from linewright.assessment.whole import assess_case

    begin = time.perf_counter()
    whole = assess_case(case, shelf, executor, files)
    return time.perf_counter() - begin, [line.lives.age for line in whole.ropes[0].lines]


@contextmanager
def _cluster() -> Iterator[Any]:
    """A client of two local workers."""
    import distributed

    local: Any = distributed.LocalCluster
    connect: Any = distributed.Client
    with local(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster, connect(cluster) as client:
        yield client
