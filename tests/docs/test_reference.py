"""The generated reference pages are what the forms say today."""

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest

MECHANISMS = {"creep", "bending", "tension", "abrasion", "ageing", "compression"}  # names, not keys
REFERENCE = Path(__file__).resolve().parents[2] / "docs" / "reference"


@pytest.fixture(scope="module")
def make() -> ModuleType:
    spec = importlib.util.spec_from_file_location("docs_reference_make", REFERENCE / "make.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["docs_reference_make"] = module
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize("name", ["case.md", "running.md", "cards.md", "findings.md", "commands.md"])
def test_reference_when_made_again_is_the_page(make: ModuleType, name: str) -> None:
    kept = (REFERENCE / name).read_text(encoding="utf-8")
    assert kept == make.pages()[name], "run python docs/reference/make.py"


def test_case_keys_when_listed_all_have_a_meaning_or_a_type(make: ModuleType) -> None:
    for _, form in (*make.CASE_TABLES, *make.RUNNING_TABLES):
        for row in make.field_rows(form):
            assert row[1]


def test_exit_codes_when_listed_are_complete(make: ModuleType) -> None:
    assert [code for code, _ in make.exit_rows()] == ["0", "1", "2", "3", "4", "5", "6", "130"]


def test_result_keys_when_a_result_is_made_stand_on_the_page() -> None:
    from linewright.services import result, used

    page = (REFERENCE / "result.md").read_text(encoding="utf-8")
    source = Path(result.__file__).read_text("utf-8") + Path(used.__file__).read_text("utf-8")
    keys = {word for word in source.split('"')[1::2] if word.isidentifier() and f'"{word}":' in source}
    assert keys
    assert {key for key in keys if f"`{key}`" not in page} <= {"p10", "p50", "p90", "none", *MECHANISMS}
