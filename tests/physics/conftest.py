"""What the physics tests share."""

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest


@pytest.fixture(scope="session")
def referee() -> ModuleType:
    """The three-dimensional referee that stands beside the tests."""
    name = "linewright_tests_fv_referee"
    spec = importlib.util.spec_from_file_location(name, Path(__file__).with_name("fv_referee.py"))
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module
