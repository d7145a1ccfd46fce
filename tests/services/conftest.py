"""A small demo study that was run once, for the tests of what is told about results."""

import copy
from pathlib import Path
from typing import Any

import pytest

from linewright.services.assess import assess_study
from linewright.services.demo import write_demo
from linewright.services.kept import newest_folder, read_result, scene
from linewright.services.scene import Scene


@pytest.fixture(scope="session")
def told_study(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo with few samples, run and kept."""
    folder = tmp_path_factory.mktemp("told") / "study"
    write_demo(folder)
    case = folder / "case.toml"
    case.write_text(case.read_text(encoding="utf-8").replace("samples = 2048", "samples = 256"), encoding="utf-8")
    assess_study(folder)
    return folder


@pytest.fixture(scope="session")
def told_scene(told_study: Path) -> Scene:
    """Its newest result with case and cards."""
    return scene(told_study)[0]


@pytest.fixture
def told_result(told_study: Path) -> dict[str, Any]:
    """A copy of its newest result that a test may change."""
    return copy.deepcopy(read_result(newest_folder(told_study) / "result.json"))
