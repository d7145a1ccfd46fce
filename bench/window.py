"""Speed of an operating window: points of a map against one assessment of the same states."""

from __future__ import annotations

import tempfile
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from bench.figures import cpu, medians, row, study

AIR, ACROSS = np.linspace(263.15, 318.15, 20), np.linspace(0.1, 2.0, 20)
SAMPLES = 128


def window() -> list[dict[str, Any]]:
    """Processor seconds of a map of 20 x 20 points; its points a second over the states a second of an assessment."""
    from linewright.assessment.whole import assess_case
    from linewright.assessment.window import scene_of
    from linewright.assessment.window import window as mapped
    from linewright.services.gather import gather
    from linewright.services.study import open_study

    with tempfile.TemporaryDirectory() as folder:
        opened = open_study(study(Path(folder) / "one", ropes=False))
        case, shelf = opened.read()
        case, files = replace(case, samples=SAMPLES), gather(opened.root, case, shelf)
        scene = scene_of(case, shelf, files, 0, 0)
        works = (
            lambda: mapped(scene, 2, AIR, ("swell", ACROSS)),
            lambda: assess_case(replace(case, lines=case.lines[:1]), shelf, None, files),
        )
        [work() for work in works]
        points, whole = medians(3, *works, clock=cpu)
    states = len(scene.duty.states)
    against = f"20 x 20 points, {SAMPLES} draws, one thread; an assessment of {states} states {whole:.2f} s"
    return [
        row(points, "s", "<= 5", against),
        row((AIR.size * ACROSS.size / points) / (states / whole), "x", ">= 5", "points a second over states a second"),
    ]
