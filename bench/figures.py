"""The figures: each returns rows of value, unit, goal and what it is held against."""

from __future__ import annotations

import importlib
import multiprocessing
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import Executor, ProcessPoolExecutor, ThreadPoolExecutor
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np

Row = dict[str, Any]
Work = Callable[[], object]
cpu = time.thread_time


def row(value: float, unit: str, goal: str, against: str) -> Row:
    """One figure."""
    return {"value": float(f"{value:.4g}"), "unit": unit, "goal": goal, "against": against}


def seconds(work: Work, clock: Callable[[], float] = time.perf_counter) -> float:
    """How long some work takes."""
    begin = clock()
    work()
    return clock() - begin


def medians(times: int, *works: Work, clock: Callable[[], float] = time.perf_counter) -> list[float]:
    """Medians of several works, done in turn so that all see the same machine."""
    rows = [[seconds(work, clock) for work in works] for _ in range(times)]
    return [statistics.median(column) for column in zip(*rows, strict=True)]


def command(*words: str) -> None:
    """A new process of linewright."""
    subprocess.run([sys.executable, "-m", "linewright.cli", *words], capture_output=True, check=True)


def study(folder: Path, ropes: bool = True) -> Path:
    """The demo study; without its compared ropes if asked."""
    from linewright.services.demo import write_demo

    write_demo(folder)
    if not ropes:
        case = folder / "case.toml"
        case.write_text(case.read_text("utf-8").partition("[[compare]]")[0], "utf-8")
    return folder


def demo() -> list[Row]:
    """Seconds of the demo in a new process, compiled kernels kept from before."""
    with tempfile.TemporaryDirectory() as folder:
        place = str(Path(folder) / "demo")
        command("demo", "--into", place)
        (value,) = medians(3, lambda: command("demo", "--into", place))
    return [row(value, "s", "<= 4", "a new process, five ropes, 2048 samples")]


def help_text() -> list[Row]:
    """Seconds of `linewright --help` in a new process."""
    (value,) = medians(7, lambda: command("--help"))
    return [row(value, "s", "<= 0.3", "a new process")]


def rainflow() -> list[Row]:
    """Rainflow of noise in processor seconds: rows of 1e6 points, matrix of 1e7 points, against public libraries."""
    from linewright.physics import counting, cycles

    library, pylife = importlib.import_module("rainflow"), importlib.import_module("pylife.stress.rainflow")
    values = np.random.default_rng(1).normal(size=10_000_000)
    short = values[:1_000_000]
    bins = counting.even_bins(-6.0, 6.0, (64, 32, 16), (0.1, 100.0))

    def stream(history: Any) -> object:
        counter = counting.Counter(bins, 0.1, powers=(3.0,))
        counter.push(history)
        return counter.counted()

    def detect(history: Any) -> object:
        recorder = pylife.LoopValueRecorder()
        pylife.FourPointDetector(recorder=recorder).process(history)
        return recorder.histogram(bins=[64, 32])

    stream(short), cycles.rainflow(short)
    rows, listed = medians(5, lambda: cycles.rainflow(short), lambda: list(library.extract_cycles(short)), clock=cpu)
    ours, pylifes = medians(3, lambda: stream(values), lambda: detect(values), clock=cpu)
    again, theirs = medians(1, lambda: stream(values), lambda: list(library.extract_cycles(values)), clock=cpu)
    return [
        row(
            listed / rows, "x", ">= 40", f"rows of 1e6 points, the library rainflow, {listed:.2f} s; ours {rows:.3f} s"
        ),
        row(theirs / again, "x", ">= 40", f"1e7 points, the library rainflow, {theirs:.1f} s; streamed {again:.3f} s"),
        row(pylifes / ours, "x", ">= 6", f"1e7 points into a matrix, pylife, {pylifes:.2f} s; streamed {ours:.3f} s"),
        row(ours / values.size * 1e9, "ns", "<= 15", "a point of the matrix count, sum of range^3 included"),
    ]


def life() -> list[Row]:
    """Seconds of the life of one rope on two line groups, 2048 samples, warm."""
    from linewright.services.assess import assess_study

    with tempfile.TemporaryDirectory() as folder:
        place = study(Path(folder) / "one", ropes=False)
        assess_study(place, keep=False)
        (value,) = medians(3, lambda: assess_study(place, keep=False))
    return [row(value, "s", "none", "two line groups with tails, seven states, two threads")]


def jobs() -> list[Row]:
    """Processor time that keeping finished blocks and telling progress adds to a run."""
    from linewright.services.assess import assess_study
    from linewright.services.jobs import Request, run_job

    with tempfile.TemporaryDirectory() as folder:
        place = study(Path(folder) / "jobs")
        assess_study(place, keep=False)
        works = (lambda: assess_study(place), lambda: run_job(Request(place)))
        plain, job = medians(5, *works, clock=time.process_time)
    return [row(100.0 * (job / plain - 1.0), "%", "<= 10", f"a plain run, {plain:.2f} s; as a job {job:.2f} s")]


def scaling() -> list[Row]:
    """Blocks on two threads and on two processes against one after the other."""
    from linewright.services.assess import assess_study

    with tempfile.TemporaryDirectory() as folder:
        place = study(Path(folder) / "scale")
        spawn = multiprocessing.get_context("spawn")
        with (
            ThreadPoolExecutor(1) as one,
            ThreadPoolExecutor(2) as two,
            ProcessPoolExecutor(2, mp_context=spawn) as processes,
        ):
            pools: list[Executor] = [one, two, processes]
            works = [partial(assess_study, place, False, pool) for pool in pools]
            for work in works:
                work()
            single, threads, apart = medians(3, *works)
    return [
        row(single / threads, "x", "none", f"one thread, {single:.2f} s; two threads {threads:.2f} s"),
        row(single / apart, "x", "none", f"one thread, {single:.2f} s; two processes {apart:.2f} s"),
    ]


FIGURES: dict[str, Callable[[], list[Row]]] = {
    "demo": demo,
    "help": help_text,
    "rainflow": rainflow,
    "life": life,
    "jobs": jobs,
    "scaling": scaling,
}
