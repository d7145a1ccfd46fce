"""Small-sample bounds, bands and quantiles."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from linewright.physics import statistics

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


SUBJECTS = {part.__name__: part for part in (tolerance_factors, split_shapes, hazen_quantile)}
