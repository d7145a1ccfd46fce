"""The id of the dossier that this version was written with: it goes into every stamp."""

from __future__ import annotations

from pathlib import Path

FILE = Path(__file__).with_name("dossier-id.txt")


def written_id() -> str:
    """Id of the written dossier."""
    return FILE.read_text(encoding="utf-8").strip()
