"""The form of a validation case file, `cases/<area>/*.toml`."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from importlib import resources
from importlib.resources.abc import Traversable
from typing import Any

from pydantic import Field, model_validator

from linewright.base.form import Strict
from linewright.validation import model


class ToleranceForm(Strict):
    """Exactly one kind of tolerance."""

    abs: float | None = Field(None, ge=0.0)
    rel: float | None = Field(None, ge=0.0)
    low: float | None = None
    high: float | None = None

    @model_validator(mode="after")
    def _one(self) -> ToleranceForm:
        given = (self.abs is not None) + (self.rel is not None) + (self.low is not None or self.high is not None)
        if given != 1:
            raise ValueError("give abs, or rel, or a range by low and high")
        return self

    def tolerance(self) -> model.Tolerance:
        """The tolerance."""
        return model.Tolerance(self.abs, self.rel, self.low, self.high)


class KnownForm(Strict):
    """Why we disagree, and the value of ours that this holds for."""

    reason: str = Field(min_length=10)
    value: float
    within: float = Field(gt=0.0)


class PointForm(Strict):
    """A published quantity."""

    quantity: str = Field(min_length=1)
    unit: str = ""
    published: float | list[float]
    tolerance: ToleranceForm
    because: str = Field(min_length=5)
    known_disagreement: KnownForm | None = None

    @model_validator(mode="after")
    def _single(self) -> PointForm:
        is_range = self.tolerance.abs is None and self.tolerance.rel is None
        if isinstance(self.published, list) and (is_range or self.known_disagreement or not self.published):
            raise ValueError("a range and a known disagreement belong to a single value")
        return self

    def point(self) -> model.Point:
        """The point."""
        values = self.published if isinstance(self.published, list) else [self.published]
        known = self.known_disagreement
        return model.Point(
            self.quantity, self.unit, tuple(values), self.tolerance.tolerance(), self.because,
            model.Known(known.reason, known.value, known.within) if known else None,
        )  # fmt: skip


class InputForm(Strict):
    """An input with its unit named."""

    value: Any
    unit: str = ""


class CheckForm(Strict):
    """A case file."""

    id: str = Field(min_length=3)
    area: str
    kind: model.Kind
    title: str = Field(min_length=5)
    source: str = Field(min_length=5)
    where: str = Field(min_length=3)
    subject: str
    not_counted: str = ""
    inputs: dict[str, InputForm] = Field(default_factory=dict)
    points: list[PointForm] = Field(min_length=1)

    def case(self) -> model.CheckCase:
        """The case."""
        return model.CheckCase(
            self.id, self.area, self.kind, self.title, self.source, self.where, self.subject,
            {name: given.value for name, given in self.inputs.items()},
            tuple(point.point() for point in self.points), self.not_counted,
        )  # fmt: skip


def case_files() -> Iterator[Traversable]:
    """All case files, by area and name."""
    root = resources.files("linewright.validation") / "cases"
    for area in sorted((part for part in root.iterdir() if part.is_dir()), key=lambda part: part.name):
        yield from sorted((file for file in area.iterdir() if file.name.endswith(".toml")), key=lambda file: file.name)


def read_cases() -> list[model.CheckCase]:
    """All cases. A wrong case file is a fault of the package and raises."""
    return [CheckForm.model_validate(tomllib.loads(file.read_text("utf-8"))).case() for file in case_files()]
