"""Pictures of a line's temperature in depth, and of a running rope's, written as files.

What draws is loaded only when something is drawn.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from linewright.services.store import write_whole

if TYPE_CHECKING:
    from matplotlib.figure import Figure

Row = dict[str, Any]
KINDS = ("png", "svg")
LEAST = 3  # times below which there is no course to draw


def pictures(row: Row) -> dict[str, Figure]:
    """The pictures of a depth row by file name; those that the row has nothing for are left out."""
    from linewright.services import figures_curves, figures_hours, figures_maps, figures_rises, figures_thermogram

    known = {
        "thermogram": figures_thermogram.thermogram,
        "section": figures_maps.section,
        "lengthwise": figures_maps.lengthwise,
        "rises": figures_rises.rises,
        "hours": figures_hours.hours,
        "heat_up": figures_curves.heat_up,
    }
    return {name.replace("_", "-"): draw(row) for name, draw in known.items() if row.get(name)}


def running_pictures(row: Row) -> dict[str, Figure]:
    """The pictures of a running rope by file name; none of a programme that melts at once."""
    from linewright.services import figures_running

    if len(row["as_given"]["field"]["time"]) < LEAST:
        return {}
    found = {"course": figures_running.course(row), "marks": figures_running.marks(row)}
    if row.get("life", {}).get("by_mark"):
        found["wear"] = figures_running.wear(row)
    return found


def write_figures(row: Row, folder: Path) -> list[Path]:
    """Every picture of a row as PNG (200 dpi) and SVG; the same row gives the same bytes. Raises StorageError."""
    from linewright.services.figures_paper import encoded

    found = running_pictures(row) if row.get("kind") == "running" else pictures(row)
    files = {folder / f"{name}.{kind}": encoded(figure, kind) for name, figure in found.items() for kind in KINDS}
    for path, content in files.items():
        write_whole(path, content)
    return list(files)
