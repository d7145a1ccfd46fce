"""A study read for a question beside its kept results; nothing is kept."""

from __future__ import annotations

from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

from linewright.assessment.evidence import another
from linewright.assessment.given import Given
from linewright.assessment.whole import Whole, assess_case
from linewright.base.errors import InputError, Problem
from linewright.case.model import LARGEST_SAMPLES
from linewright.physics.types import Array
from linewright.services.gather import gather
from linewright.services.study import open_study

FEW = 512
NEW = "Lives are those of new ropes on today's trade: what the rope on board has behind it is not counted."
SAMPLES = tuple(2**power for power in range(8, LARGEST_SAMPLES.bit_length()))


def read_given(root: Path, samples: int | None = None) -> Given:
    """The study in a folder, with other samples where asked. Raises InputError, CardError or StorageError."""
    if samples is not None and samples not in SAMPLES:
        needs = f"one of {', '.join(map(str, SAMPLES))}"
        raise InputError(
            "The number of samples cannot be.", [Problem("--samples", str(samples), needs, "a power of 2")]
        )
    study = open_study(root)
    case, shelf = study.read()
    files = gather(study.root, case, shelf)
    return Given(case if samples is None else replace(case, samples=samples), shelf, files)


def read_quickly(root: Path, samples: int | None, few: int) -> Given:
    """The study with the samples asked for, else with few; where evidence weighs the draws at least the case's own."""
    given = read_given(root, samples)
    if samples is not None:
        return given
    count = max(few, given.case.samples) if given.case.evidence else few
    return given.with_case(replace(given.case, samples=count))


def assessed(given: Given, scores: Mapping[str, Array] | None = None) -> Whole:
    """The assessment, on two threads when there are many samples; `scores` are those of one to pair with."""
    shared = None if scores is None else dict(scores)
    if given.case.samples <= FEW:
        return assess_case(given.case, given.shelf, None, given.files, shared)
    with ThreadPoolExecutor(2) as threads:
        return assess_case(given.case, given.shelf, threads, given.files, shared)


def assessed_new(given: Given) -> Whole:
    """The assessment of new ropes on today's trade, weighted by what is known of the rope on board."""
    known = assessed(given)
    if not given.case.past:
        return known
    scores = another(known.scores, known.case.samples, known.case.seed)
    today = assessed(given.with_case(replace(given.case, past=(), evidence=())), scores)
    case = replace(today.case, evidence=given.case.evidence)
    return replace(today, case=case, weights=known.weights, weighed=known.weighed)
