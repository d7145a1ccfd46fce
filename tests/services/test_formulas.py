"""The table of formulas: its keys, its pages, and that it covers what a result rests on."""

import re
from pathlib import Path

import pytest

from linewright.assessment.mechanisms.catalogue import BY_NAME
from linewright.cards import form as card_form
from linewright.case import form as case_form
from linewright.services import formulas
from linewright.services.formulas import FORMULAS, NUMBERS, own_keys, users_of

ROOT = Path(__file__).resolve().parents[2]
CASE_FORMS = [item for item in vars(case_form).values() if isinstance(item, type) and hasattr(item, "model_fields")]
KNOWN = {
    *card_form.RopeData.model_fields,
    *card_form.ContactData.model_fields,
    *card_form.PracticeData.model_fields,
    *card_form.ClimateForm.model_fields,
    *(name for form in CASE_FORMS for name in form.model_fields),
    "ship_design_break_load",
}


def anchors(page: Path) -> set[str]:
    heads = re.findall(r"^#+ (.+)$", page.read_text(encoding="utf-8"), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", head.lower()).replace(" ", "-") for head in heads}


@pytest.mark.parametrize("name", FORMULAS)
def test_formula_when_it_names_keys_then_cards_or_case_know_them(name: str) -> None:
    assert set(FORMULAS[name].keys) <= KNOWN


@pytest.mark.parametrize("name", FORMULAS)
def test_formula_when_it_names_a_page_then_the_heading_is_there(name: str) -> None:
    path, _, anchor = FORMULAS[name].page.partition("#")
    assert anchor in anchors(ROOT / path)


@pytest.mark.parametrize("name", FORMULAS)
def test_formula_when_it_names_parts_then_they_are_in_the_table(name: str) -> None:
    assert set(FORMULAS[name].parts) <= set(FORMULAS)
    assert FORMULAS[name].sentence.endswith(".")


def test_numbers_when_listed_are_in_the_table() -> None:
    assert set(FORMULAS) >= NUMBERS


@pytest.mark.parametrize("name", BY_NAME)
@pytest.mark.parametrize("law", ["activated", "log-time"])
def test_mechanism_when_it_needs_a_key_then_its_formula_names_it(name: str, law: str) -> None:
    assert set(BY_NAME[name].needs({"creep_law": law})) <= set(own_keys(name))


def test_used_data_when_listed_all_feed_a_number(told_result) -> None:
    lost = {row["key"] for row in told_result["used"] if not users_of(row["key"])}
    assert not lost


def test_rise_sources_when_reported_all_have_a_formula(told_result) -> None:
    for source in told_result["ropes"][0]["states"][0]["rise_by_source"]:
        assert formulas.rise_formula(source) in FORMULAS


def test_anchors_when_a_heading_is_missing_do_not_hold_it(tmp_path: Path) -> None:
    page = tmp_path / "page.md"
    page.write_text("# A head\n\n## Over the years: now\n", encoding="utf-8")
    assert anchors(page) == {"a-head", "over-the-years-now"}
