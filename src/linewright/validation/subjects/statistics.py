"""Small-sample bounds, bands and quantiles."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np
from scipy import special

from linewright.assessment.draws import score_matrix
from linewright.assessment.spread import sobol
from linewright.physics import statistics
from linewright.physics.types import Array

Inputs = Mapping[str, Any]


def tolerance_factors(given: Inputs) -> dict[str, Any]:
    """One-sided tolerance factors of small batches."""
    content, confidence = given["content_confidence"]
    return {"k": [statistics.tolerance_factor(n, content, confidence) for n in given["n"]]}


def split_shapes(given: Inputs) -> dict[str, Any]:
    """5 %, 50 % and 95 % points of the three shapes."""
    z = np.array(given["z"])
    shapes: dict[str, Callable[..., Any]] = {
        "lognormal": statistics.split_lognormal,
        "normal": statistics.split_normal,
        "logit": statistics.split_logit,
    }
    return {name: shape(*given[name], z) for name, shape in shapes.items()}


def hazen_quantile(given: Inputs) -> dict[str, Any]:
    """Quantiles of samples, with equal weights and with integer weights."""
    values, weights = np.array(given["values"]), np.array(given["weights"])
    equal = np.ones(values.size)
    return {
        "equal weights": [statistics.weighted_quantile(values, equal, p) for p in given["p"]],
        "median, weighted": statistics.weighted_quantile(values, weights, 0.5),
    }


def ishigami(given: Inputs) -> dict[str, Any]:
    """Sobol' indices of a known function by the draws and the estimator of the spread of a life."""
    names = ("1", "2", "3")
    drawn = score_matrix([f"{name}{side}" for side in "AB" for name in names], given["draws"], 1)
    one, two = ({name: drawn[f"{name}{side}"] for name in names} for side in "AB")

    def outcome(scores: Mapping[str, Array]) -> Array:
        x = [np.pi * (2.0 * special.ndtr(scores[name]) - 1.0) for name in names]
        return np.asarray(np.sin(x[0]) + given["a"] * np.sin(x[1]) ** 2 + given["b"] * x[2] ** 4 * np.sin(x[0]))

    first, total = sobol(outcome, one, two, [[name] for name in names])
    return {"S": first, "ST": total}


SUBJECTS = {part.__name__: part for part in (tolerance_factors, split_shapes, hazen_quantile, ishigami)}
