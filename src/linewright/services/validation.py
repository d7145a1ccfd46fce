"""Validation as a verb: every published point beside ours, as rows or as text."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Any

from linewright.validation.dossier import plain
from linewright.validation.runner import Row, dossier_id, run_all


def validate_all() -> list[dict[str, Any]]:
    """Run every case; one row a point."""
    return [asdict(row) for row in run_all()]


def report_text(points: list[dict[str, Any]], as_json: bool) -> str:
    """The rows as a table by area with the counts in the last line, or as JSON."""
    rows = [Row(**point) for point in points]
    if as_json:
        shown = [{key: None if value != value else value for key, value in point.items()} for point in points]
        return json.dumps({"dossier": dossier_id(rows), "points": shown}, indent=1, ensure_ascii=False)
    return plain(rows)
