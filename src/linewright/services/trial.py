"""A study read for a question beside its kept results: case, cards and files; nothing is kept."""

from __future__ import annotations

from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path

from linewright.assessment.whole import Gathered, Whole, assess_case
from linewright.base.errors import InputError, Problem
from linewright.cards.model import Shelf
from linewright.case.model import LARGEST_SAMPLES, Case
from linewright.physics.types import Array
from linewright.services.gather import gather
from linewright.services.study import open_study

FEW = 512
SAMPLES = tuple(2**power for power in range(8, LARGEST_SAMPLES.bit_length()))


@dataclass(frozen=True)
class Trial:
    """A case with its cards and what was read from its files."""

    case: Case
    shelf: Shelf
    files: Gathered

    def assessed(self, scores: Mapping[str, Array] | None = None) -> Whole:
        """The assessment, on two threads when there are many samples; `scores` are those of one to pair with."""
        given = None if scores is None else dict(scores)
        if self.case.samples <= FEW:
            return assess_case(self.case, self.shelf, None, self.files, given)
        with ThreadPoolExecutor(2) as threads:
            return assess_case(self.case, self.shelf, threads, self.files, given)


def read_trial(root: Path, samples: int | None = None) -> Trial:
    """The study in a folder, with other samples where asked. Raises InputError, CardError or StorageError."""
    if samples is not None and samples not in SAMPLES:
        needs = f"one of {', '.join(map(str, SAMPLES))}"
        raise InputError(
            "The number of samples cannot be.", [Problem("--samples", str(samples), needs, "a power of 2")]
        )
    study = open_study(root)
    case, shelf = study.read()
    files = gather(study.root, case, shelf)
    return Trial(case if samples is None else replace(case, samples=samples), shelf, files)
