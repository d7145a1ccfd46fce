"""The dossier as a whole: nothing off, enough that counts, every case complete, the page up to date."""

import json
import re
from pathlib import Path

import pytest
from pydantic import ValidationError

from linewright.services.validation import report_text, validate_all
from linewright.validation.dossier import markdown, plain
from linewright.validation.form import CheckForm, ToleranceForm, read_cases
from linewright.validation.model import Tolerance
from linewright.validation.runner import Row, dossier_id, run_all
from linewright.validation.subjects.catalogue import SUBJECTS

PAGE = Path(__file__).resolve().parents[2] / "docs" / "validation.md"
NUMBER = re.compile(r"[-+]?\d+(?:\.\d+)?(?:e[-+]?\d+)?")
LEAST_COUNTED = 60


@pytest.fixture(scope="module")
def rows() -> list[Row]:
    return run_all()


@pytest.mark.slow
def test_dossier_when_run_has_nothing_off(rows: list[Row]) -> None:
    assert [f"{row.id} {row.quantity}: {row.ours:g}" for row in rows if row.verdict == "off"] == []


@pytest.mark.slow
def test_dossier_when_run_counts_at_least_sixty_points(rows: list[Row]) -> None:
    assert sum(row.counted and row.verdict == "agrees" for row in rows) >= LEAST_COUNTED


@pytest.mark.slow
def test_known_disagreement_when_it_has_gone_is_not_kept(rows: list[Row]) -> None:
    declared = {(case.id, point.quantity) for case in read_cases() for point in case.points if point.known is not None}
    assert {(row.id, row.quantity) for row in rows if row.verdict == "known disagreement"} == declared


def same(shown: str, fresh: str) -> bool:
    """Equal words and, within a hundredth, equal numbers: the last digit may differ between machines."""
    if NUMBER.sub("#", shown) != NUMBER.sub("#", fresh):
        return False
    pairs = zip(NUMBER.findall(shown), NUMBER.findall(fresh), strict=True)
    return all(abs(float(a) - float(b)) <= 0.01 * abs(float(b)) + 1e-9 for a, b in pairs)


def without_digest(text: str) -> str:
    return "\n".join(line for line in text.splitlines() if not line.startswith("Dossier"))


@pytest.mark.slow
def test_page_when_compared_with_a_fresh_run_is_up_to_date(rows: list[Row]) -> None:
    shown, fresh = (without_digest(text).splitlines() for text in (PAGE.read_text("utf-8"), markdown(rows)))

    stale = [f"{a}\n{b}" for a, b in zip(shown, fresh, strict=False) if not same(a, b)]

    assert not stale, "run python -m linewright.validation.dossier docs/validation.md\n" + "\n".join(stale[:5])
    assert len(shown) == len(fresh)


@pytest.mark.slow
def test_report_when_printed_ends_with_the_counts() -> None:
    points = validate_all()

    last = report_text(points, as_json=False).splitlines()[-1]

    assert re.fullmatch(
        r"\d+ points within tolerance, \d+ known disagreements, 0 off; practice points \(P\) not counted\.", last
    )
    assert json.loads(report_text(points, as_json=True))["points"] == points


def test_cases_when_read_have_unique_ids() -> None:
    ids = [case.id for case in read_cases()]
    assert len(set(ids)) == len(ids)


def test_subjects_when_listed_are_all_used_and_all_there() -> None:
    assert {case.subject for case in read_cases()} == set(SUBJECTS)


def test_cases_when_read_name_source_place_and_reason() -> None:
    for case in read_cases():
        assert case.source.strip(), case.id
        assert case.where.strip(), case.id
        assert all(point.because.strip() for point in case.points), case.id


def test_practice_when_read_never_counts() -> None:
    practice = [case for case in read_cases() if case.kind == "practice"]
    assert practice
    assert not any(case.counts for case in practice)


def row(**changed: object) -> Row:
    plain_row: dict[str, object] = {
        "id": "X-01", "area": "heat", "kind": "analytic", "title": "a title", "source": "a book", "where": "p. 1",
        "quantity": "T", "unit": "K", "values": 1, "published": 2.0, "ours": 2.0, "difference": 0.0, "allowed": "1 %",
        "because": "digits", "verdict": "agrees", "reason": "", "counted": True, "not_counted": "",
    }  # fmt: skip
    return Row(**{**plain_row, **changed})  # type: ignore[arg-type]


def test_dossier_id_when_only_the_seventh_digit_moves_stays() -> None:
    assert dossier_id([row()]) == dossier_id([row(ours=2.0 + 1e-9)])
    assert dossier_id([row()]) != dossier_id([row(ours=2.001)])
    assert dossier_id([row()]) != dossier_id([row(allowed="2 %")])


def test_table_when_a_disagreement_is_known_shows_its_reason() -> None:
    text = plain([row(ours=3.0, difference=1.0, verdict="known disagreement", reason="the book rounds")])

    assert "the book rounds" in text
    assert text.endswith("0 points within tolerance, 1 known disagreements, 0 off; practice points (P) not counted.")


def test_table_when_a_point_does_not_count_says_so() -> None:
    assert "agrees (P)" in plain([row(counted=False)])


@pytest.mark.parametrize(
    ("tolerance", "bounds"),
    [
        (Tolerance(absolute=0.5), (1.5, 2.5)),
        (Tolerance(relative=0.1), (1.8, 2.2)),
        (Tolerance(low=1.0), (1.0, float("inf"))),
        (Tolerance(low=1.0, high=3.0), (1.0, 3.0)),
    ],
)
def test_tolerance_when_applied_bounds_the_value(tolerance: Tolerance, bounds: tuple[float, float]) -> None:
    assert tolerance.bounds(2.0) == pytest.approx(bounds)


@pytest.mark.parametrize("given", [{}, {"abs": 1.0, "rel": 0.1}, {"abs": 1.0, "low": 0.0}, {"abs": -1.0}])
def test_tolerance_when_none_or_two_kinds_are_given_is_refused(given: dict[str, float]) -> None:
    with pytest.raises(ValidationError):
        ToleranceForm.model_validate(given)


def test_case_file_when_it_has_no_reason_is_refused() -> None:
    good = {
        "id": "X-01", "area": "heat", "kind": "analytic", "title": "a title", "source": "a book", "where": "p. 1",
        "subject": "fin",
        "points": [{"quantity": "T", "published": 1.0, "tolerance": {"abs": 1.0}, "because": "digits"}],
    }  # fmt: skip
    assert CheckForm.model_validate(good).case().id == "X-01"
    bad = {**good, "points": [{"quantity": "T", "published": 1.0, "tolerance": {"abs": 1.0}}]}
    with pytest.raises(ValidationError):
        CheckForm.model_validate(bad)


def test_written_id_when_read_then_it_is_that_of_the_page() -> None:
    from linewright.validation.written import written_id

    page = (Path(__file__).resolve().parents[2] / "docs" / "validation.md").read_text(encoding="utf-8")
    assert f"Dossier `{written_id()}`" in page
