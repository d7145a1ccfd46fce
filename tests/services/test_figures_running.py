"""Pictures of a running rope, from an invented row."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import QuadMesh
from matplotlib.text import Text

from linewright.services.figures import running_pictures, write_figures

Row = dict[str, Any]


@pytest.fixture
def row() -> Row:
    """An invented rope that warms over 4 h about one mark, and melts within 1 h without spray."""
    mark, hours = np.linspace(0.0, 3000.0, 301), np.linspace(0.0, 4.0, 41)
    bump = np.exp(-(((mark - 1480.0) / 30.0) ** 2))

    def field(rise: float, last: float) -> Row:
        time = hours * last / 4.0
        core = 25.0 + rise * (1.0 - np.exp(-2.0 * time))[:, None] * bump
        return {"time": (3600.0 * time).tolist(), "mark": mark.tolist(), "core": core.tolist(),
                "skin": (0.5 * (core + 25.0)).tolist(), "bends": (1000.0 * bump).tolist()}  # fmt: skip

    given = {"field": field(40.0, 4.0), "reaches_melting": False, "at_mark": 1480.0, "hottest_core": 64.99,
             "at_places": ["overboard sheave"]}  # fmt: skip
    return {
        "kind": "running", "title": "An invented handling rope",
        "rope": {"title": "12-strand HMPE, 68 mm", "length": 3000.0, "design_break_force": 3.22e6},
        "limits": {"50 C": 50.0, "long-term limit": 60.0, "melting range": 147.0}, "limit": "long-term limit",
        "as_given": given, "without_spray": {"field": field(139.0, 1.0), "reaches_melting": True, "at_mark": 1480.0},
    }  # fmt: skip


def words(figure: Any) -> str:
    FigureCanvasAgg(figure).draw()
    return " ".join(" ".join(one.get_text().split()) for one in figure.findobj(Text))


def test_course_tells_the_end_and_goes_as_long_as_the_programme(row: Row) -> None:
    figure = running_pictures(row)["course"]
    said, axes = words(figure), figure.axes[0]

    assert "The core comes to 65 °C at mark 1480.0 m, bent over overboard sheave" in said
    assert axes.get_xlim() == (0.0, pytest.approx(4.0))
    assert axes.get_xlabel() == "hours from the start"
    lines = {line.get_label(): line for line in axes.lines}
    assert max(lines["hottest core"].get_ydata()) == pytest.approx(64.99, abs=0.02)
    assert max(lines["core without spray"].get_xdata()) == pytest.approx(1.0)
    assert {"long-term limit", "melting range"} <= set(lines)


def test_marks_show_the_warm_stretch_and_the_limit_that_is_passed(row: Row) -> None:
    figure = running_pictures(row)["marks"]
    (mesh,) = (one for one in figure.findobj(QuadMesh) if one.axes.get_label() != "scale")

    assert np.max(mesh.get_array()) == np.max(row["as_given"]["field"]["core"])
    assert 1350.0 < mesh.axes.get_ylim()[0] < 1450.0 < 1500.0 < mesh.axes.get_ylim()[1] < 1620.0
    assert (mesh.norm.vmin, mesh.norm.vmax) == (20.0, 70.0)
    said = words(figure)
    assert "above: melting range 147 °C" in said
    assert "limit 60 °C" in said


def test_programme_that_melts_says_so(row: Row) -> None:
    row["as_given"] |= {"reaches_melting": True, "hottest_core": None}
    assert "reaches its melting range at mark 1480.0 m" in words(running_pictures(row)["course"])


def test_programme_that_is_over_at_once_has_no_pictures(row: Row, tmp_path: Path) -> None:
    field = row["as_given"]["field"]
    row["as_given"]["field"] = {
        **field,
        "time": field["time"][:1],
        "core": field["core"][:1],
        "skin": field["skin"][:1],
    }
    assert running_pictures(row) == {}
    assert write_figures(row, tmp_path) == []


def test_wear_is_drawn_where_there_is_a_life(row: Row) -> None:
    mark = np.array(row["as_given"]["field"]["mark"])
    lost = np.where(np.abs(mark - 1480.0) < 20.0, 0.12, 0.0)
    row["life"] = {"zone": [1460.0, 1500.0], "at_places": ["overboard sheave"],
                   "by_mark": {"mark": mark.tolist(), "strength_lost": lost.tolist()}}  # fmt: skip
    figure = running_pictures(row)["wear"]
    (line,) = figure.axes[0].lines
    assert max(line.get_ydata()) == pytest.approx(12.0)
    low, high = figure.axes[0].get_xlim()
    assert 1460.0 < low < 1470.0 < 1490.0 < high < 1500.0
    assert "A run takes 12 % of its strength from mark 1470.0 m, bent over overboard sheave" in words(figure)
    row["life"] = {"reason": "not sustainable"}
    assert "wear" not in running_pictures(row)


def test_even_rope_is_drawn_too(row: Row) -> None:
    """A programme that warms nothing: one temperature everywhere."""
    field = row["as_given"]["field"]
    even = np.full((41, 301), 25.0).tolist()
    row["as_given"]["field"] = {**field, "core": even, "skin": even}
    row["without_spray"] = None
    assert list(running_pictures(row)) == ["course", "marks"]
    assert "25 °C" in words(running_pictures(row)["marks"])
