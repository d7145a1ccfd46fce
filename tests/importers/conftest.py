"""Sample files and one way to read them."""

from pathlib import Path
from types import SimpleNamespace

import pytest

from linewright.importers.recognise import import_file

SAMPLES = Path(__file__).parent / "samples"


@pytest.fixture
def read():
    """Import a sample by name, with answers."""

    def read_sample(name: str, **answers: str):
        return import_file(SAMPLES / name, {key.replace("__", "."): value for key, value in answers.items()})

    return read_sample


@pytest.fixture
def made(tmp_path: Path):
    """Import a file made of a text (or bytes)."""

    def read_made(text: str | bytes, name: str = "made.csv", answers=None, as_kind=None):
        path = tmp_path / name
        path.write_bytes(text if isinstance(text, bytes) else text.encode("utf-8"))
        return import_file(path, answers, as_kind)

    return read_made


@pytest.fixture
def told() -> SimpleNamespace:
    """Short ways to ask an import's report."""

    def column(imported, name: str):
        return next(item for item in imported.report.columns if item.name == name)

    return SimpleNamespace(
        column=column,
        flags=lambda imported: {flag.code: flag.severity for flag in imported.report.flags},
        rows=lambda imported, code: [row for flag in imported.report.flags if flag.code == code for row in flag.rows],
        questions=lambda imported: [question.key for question in imported.report.questions],
    )
