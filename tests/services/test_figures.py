"""Pictures of the temperature in depth, from an invented row.

Outside the project: colours are checked with the library's own conversion, files with a PNG and an XML reader, grey
values with the relative luminance of WCAG 2.2 (from memory), hottest places with the row itself.
"""

import io
import json
import subprocess
import sys
import xml.etree.ElementTree as ET
from itertools import combinations
from pathlib import Path
from typing import Any

import matplotlib as mpl
import numpy as np
import pytest
from contourpy import contour_generator
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import QuadMesh
from matplotlib.colors import to_hex, to_rgb
from matplotlib.figure import Figure
from matplotlib.text import Text
from PIL import Image

from linewright.services.figures import pictures, write_figures
from linewright.services.figures_colours import fitted, levels_between
from linewright.services.figures_maps import closed
from linewright.services.figures_paper import NORM, SCALE, literal, paper, spread, width_of, wrapped
from linewright.services.temperature_scale import colour

Row = dict[str, Any]
HOSTILE = r"$\alpha_2^{x}$ {0} \\ <b>& -- %s Αθήνα порт"
ALL = ["thermogram", "section", "lengthwise", "rises", "hours", "heat-up"]


@pytest.fixture
def row() -> Row:
    """An invented forward spring over a chock and a deck roller; shapes as the field gives them."""
    return invented()


def invented() -> Row:
    length, tail, chock, roller = 46.0, 11.0, 12.5, 9.0
    metre = np.unique(np.r_[0.0, np.linspace(8.0, 14.0, 241), length])
    near = sum(
        worth * np.exp(-(((metre - at) / 0.15) ** 2))
        for at, worth in ((chock - 0.2, 0.75), (chock + 0.2, 1.0), (roller, 0.33))
    )
    radius, angle = np.linspace(0.0, 0.021, 17), np.linspace(0.0, np.pi, 21)
    r, phi = 0.5 * (radius[1:] + radius[:-1]), 0.5 * (angle[1:] + angle[:-1])
    depth, towards = (r / radius[-1])[:, None], np.exp(-((phi / 0.7) ** 2))[None, :]
    section = 53.0 - 4.0 * depth**2 + 14.0 * depth**4 * towards
    edges = np.linspace(11.6, 13.4, 91)
    z = 0.5 * (edges[1:] + edges[:-1])
    along = np.exp(-(((z - chock) / 0.22) ** 2))[None, :]
    day = np.cos((np.arange(24) - 14) / 24.0 * 2.0 * np.pi)
    months = [38.0 + 6.0 * np.cos((m - 7) / 12.0 * 2.0 * np.pi) + 7.0 * day for m in range(1, 13)]
    minutes = np.linspace(0.0, 360.0, 73)
    return {
        "berth": "Invented Equator jetty", "state": "long swell", "line": "forward springs",
        "rope": "12-strand HMPE, 42 mm", "air": 31.0,
        "hottest": {"metre": chock + 0.2, "core": 53.0, "skin": 63.0, "place": "chock outboard, shore side"},
        "contacts": [
            {"name": "deck roller", "metre": roller, "arc": 0.25, "core": [41.0, 41.5, 41.2], "face": 42.0,
             "face_hottest": 43.0, "steel": 39.0},
            {"name": "chock outboard", "metre": chock, "arc": 0.4, "core": [49.0, 44.0, 53.0], "face": 60.0,
             "face_hottest": 63.0, "steel": 48.0},
        ],
        "tail_core": 34.0, "length": length, "tail_length": tail,
        "thermogram": {"metre": metre.tolist(), "core": (36.0 + 17.0 * near).tolist(),
                       "mean": (35.5 + 18.0 * near).tolist(), "skin": (35.0 + 28.0 * near).tolist()},
        "rises": [
            {"place": "deck roller, middle", "parts": {"hysteresis": 3.0, "bending": 3.1, "friction": 1.6,
             "steel": 0.9, "sun": 4.4, "sky": -2.1, "evaporation": -0.4}},
            {"place": "chock outboard, shore side", "parts": {"hysteresis": 3.0, "bending": 9.4, "friction": 6.0,
             "steel": 1.8, "sun": 4.2, "sky": -2.0, "evaporation": -0.4, "creep": None}},
            {"place": "free span", "parts": {"hysteresis": 3.0, "sun": 4.5, "sky": -2.1, "evaporation": -0.4}},
        ],
        "section": {"radius": radius.tolist(), "angle": angle.tolist(), "temperature": section.tolist(),
                    "half_angle": 0.7, "metre": chock},
        "lengthwise": {"metre": edges.tolist(), "radius": radius.tolist(),
                       "towards": (36.0 + (17.0 + 10.0 * depth**4) * along).tolist(),
                       "away": (36.0 + (17.0 - 4.0 * depth**2) * along).tolist()},
        "hours": {"core": [None if m in (0, 1, 11) else list(map(float, v)) for m, v in enumerate(months)],
                  "months": list(range(1, 13)), "limit": 50.0},
        "heat_up": {"minutes": minutes.tolist(), "core": (53.0 - 22.0 * np.exp(-minutes / 60.0)).tolist(),
                    "skin": (63.0 - 32.0 * np.exp(-minutes / 35.0)).tolist(),
                    "steel": (48.0 - 17.0 * np.exp(-minutes / 90.0)).tolist()},
        "limits": {"long_term": 50.0, "short_term": 70.0},
    }  # fmt: skip


def bare() -> Row:
    """A line that touches nothing, without tail, limits and season."""
    row = invented()
    row |= {"contacts": [], "section": None, "lengthwise": None, "heat_up": None, "tail_length": 0.0,
            "tail_core": None, "limits": {"long_term": None, "short_term": None},
            "hottest": {"metre": 0.0, "core": 36.0, "skin": 35.0, "place": "free span"}}  # fmt: skip
    row["rises"] = row["rises"][2:]
    row["hours"] |= {"core": [None] * 12, "limit": None}
    row["thermogram"] = {"metre": [0.0, 46.0], "core": [36.0] * 2, "mean": [35.5] * 2, "skin": [35.0] * 2}
    return row


def long_names() -> Row:
    row = invented()
    row |= {"berth": "a berth with a long name " * 20, "state": HOSTILE, "rope": "W" * 150}
    row["hottest"]["place"] = HOSTILE * 4
    for one in row["contacts"]:
        one["name"] = HOSTILE * 2
    for one in row["rises"]:
        one["place"] = HOSTILE + "Wordthatcannotbebrokenanywhereatall" * 2
        one["parts"][HOSTILE] = 1.2
    return row


def crowded() -> Row:
    """Six rollers close together on a long cold line, limits close together."""
    row = invented()
    row["contacts"] = [{**row["contacts"][1], "name": f"roller {n}", "metre": 8.0 + 0.9 * n} for n in range(6)]
    row["rises"] = [{**row["rises"][1], "place": f"roller {n}, drum side"} for n in range(7)] + row["rises"][2:]
    row["thermogram"]["metre"][-1] = row["length"] = 220.0
    row |= {"air": -12.0, "limits": {"long_term": 65.0, "short_term": 68.0}, "tail_core": None}
    row["section"]["temperature"] = (np.array(row["section"]["temperature"]) - 60.0).tolist()
    return row


def texts(figure: Figure) -> list[Text]:
    """Every text that is drawn; the library also keeps labels of ticks that lie outside the axes."""
    with paper():
        FigureCanvasAgg(figure).draw()
    hidden = [label for axes in figure.axes for label in _hidden(axes)]
    found = [one for one in figure.findobj(Text) if one.get_visible() and one.get_text().strip()]
    return [one for one in found if not any(one is other for other in hidden)]


def _hidden(axes: Axes) -> list[Text]:
    labels = [(label, 0, axes.get_xlim()) for label in axes.get_xticklabels()]
    labels += [(label, 1, axes.get_ylim()) for label in axes.get_yticklabels()]
    return [label for label, along, ends in labels
            if not (axes.axison and min(ends) - 1e-9 <= label.get_position()[along] <= max(ends) + 1e-9)]  # fmt: skip


def words(figure: Figure) -> str:
    return " ".join(" ".join(one.get_text().split()) for one in texts(figure))


def meshes(figure: Figure) -> list[QuadMesh]:
    return [one for one in figure.findobj(QuadMesh) if one.axes.get_label() != "scale"]


# --- what is drawn -----------------------------------------------------------------------------


def test_pictures_when_the_row_is_whole_are_six(row: Row) -> None:
    assert list(pictures(row)) == ALL


def test_pictures_when_parts_are_not_given_leave_them_out() -> None:
    assert list(pictures(bare())) == ["thermogram", "rises", "hours"]


@pytest.mark.parametrize(
    ("name", "labels"),
    [
        ("thermogram", {"m from the drum", "°C"}),
        ("section", {"mm from the middle of the rope", "mm"}),
        ("lengthwise", {"m from the drum", "mm from the axis of the rope"}),
        ("rises", {"rise above air, K"}),
        ("hours", {"month", "hour of the day"}),
        ("heat-up", {"minutes from the start", "°C"}),
    ],
)
def test_axes_on_each_picture_say_quantity_and_unit(row: Row, name: str, labels: set[str]) -> None:
    figure = pictures(row)[name]
    found = {label for axes in figure.axes for label in (axes.get_xlabel(), axes.get_ylabel()) if label}

    assert found == labels
    assert tuple(figure.get_size_inches()) == (7.5, 5.0)


@pytest.mark.parametrize(
    ("name", "head"),
    [
        ("thermogram", "hottest 12.70 m from the drum, at chock outboard, shore side: 53 °C, 3 K above its long-term"),
        ("section", "12.50 m from the drum: 49 to 61 °C"),
        ("lengthwise", "36 to 62 °C"),
        ("rises", "22.0 K above the air at chock outboard, shore side; bending gives most, 9.4 K"),
        ("hours", "hottest in July, from 14:00 to 15:00: 51 °C"),
        ("heat-up", "From 31 °C the core warms to 53 °C in 360 minutes"),
    ],
)
def test_head_of_each_picture_says_what_is_seen(row: Row, name: str, head: str) -> None:
    figure = pictures(row)[name]

    assert head in words(figure)
    assert "Invented Equator jetty, long swell, forward springs, 12-strand HMPE, 42 mm" in words(figure)


@pytest.mark.parametrize("made", [invented, bare, long_names, crowded])
def test_words_on_every_picture_are_large_enough_inside_and_apart(made: Any) -> None:
    for name, figure in pictures(made()).items():
        shown = texts(figure)
        page = figure.bbox
        boxes = [(one.get_text(), one.get_window_extent()) for one in shown]
        assert min(one.get_fontsize() for one in shown) >= 8.0
        for text, box in boxes:
            assert page.x0 <= box.x0 < box.x1 <= page.x1, (name, text)
            assert page.y0 <= box.y0 < box.y1 <= page.y1, (name, text)
        for (first, one), (second, other) in combinations(boxes, 2):
            over = min(one.x1, other.x1) - max(one.x0, other.x0), min(one.y1, other.y1) - max(one.y0, other.y0)
            assert min(over) < 0.03 * figure.dpi, (name, first, second)  # 0.03 in: the empty rim of a line of text


# --- colours -----------------------------------------------------------------------------------


@pytest.mark.parametrize("celsius", [-20.0, 0.0, 12.3, 33.3, 46.0, 65.0, 79.9, 80.0, 120.0])
def test_scale_at_a_temperature_is_the_house_colour(celsius: float) -> None:
    assert to_hex(SCALE(NORM(celsius))) == colour(celsius)


@pytest.mark.parametrize("name", ["thermogram", "section", "lengthwise", "hours"])
def test_cells_of_each_map_carry_the_colour_of_their_temperature(row: Row, name: str) -> None:
    (mesh,) = meshes(pictures(row)[name])
    values = np.ma.masked_invalid(mesh.get_array()).ravel()
    drawn = mesh.to_rgba(values)

    assert values.count() > 100
    for value, shade in zip(values[::7], drawn[::7], strict=True):
        if value is not np.ma.masked:
            # half a step of 1/800 of the scale is at most one of 255 steps of a colour
            at = 80.0 * (float(value) - mesh.norm.vmin) / (mesh.norm.vmax - mesh.norm.vmin)
            assert np.abs(np.array(to_rgb(colour(at))) - shade[:3]).max() <= 1.01 / 255.0


@pytest.mark.parametrize(
    ("low", "high", "ends"), [(38.1, 40.6, (38.0, 41.0)), (36.2, 62.0, (30.0, 70.0)), (40.0, 40.0, (39.0, 41.0))]
)
def test_scale_follows_what_is_shown_between_round_temperatures(low: float, high: float, ends: Any) -> None:
    norm = fitted(np.array([low, np.nan, high]))
    assert (norm.vmin, norm.vmax) == ends


def test_scale_names_limits_within_and_beyond_it(row: Row) -> None:
    row["limits"] = {"long_term": 55.0, "short_term": 95.0}
    figure = pictures(row)["section"]
    assert "above: short-term limit 95 °C" in words(figure)
    assert " long-term limit 55 °C" in words(figure)
    assert "above: long-term" not in words(figure)


def test_scale_in_grey_falls_all_the_way() -> None:
    def luminance(celsius: float) -> float:  # WCAG 2.2, from memory
        share = np.array(to_rgb(SCALE(NORM(celsius))))
        linear = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
        return float(linear @ [0.2126, 0.7152, 0.0722])

    grey = [luminance(celsius) for celsius in np.arange(0.0, 81.0, 2.0)]
    assert np.all(np.diff(grey) < 0.0)


def test_curves_in_grey_differ_by_their_dashes(row: Row) -> None:
    axes = pictures(row)["heat-up"].axes[0]
    dashes = {str(line._dash_pattern) for line in axes.lines if len(line.get_xdata()) > 2}  # type: ignore[attr-defined]

    assert len(dashes) == 3


# --- the pictures one by one -------------------------------------------------------------------


def test_section_when_drawn_is_whole_and_symmetrical_with_the_steel_below(row: Row) -> None:
    (mesh,) = meshes(pictures(row)["section"])
    places, values = mesh.get_coordinates(), np.asarray(mesh.get_array())
    radius = 1000.0 * row["section"]["radius"][-1]
    middle = places.shape[1] // 2

    assert np.hypot(places[..., 0], places[..., 1]).max() == pytest.approx(radius)
    assert places[-1, middle].tolist() == pytest.approx([0.0, -radius])
    assert np.array_equal(values, values[:, ::-1])
    assert values[-1, middle] == row["section"]["temperature"][-1][0] == values.max()


def test_lines_of_a_section_close_round_the_rope() -> None:
    """Even heat: rings. Every line comes back to where it begins, also over the seam at the top."""
    radius, angle = np.linspace(0.0, 21.0, 17), np.linspace(-np.pi, np.pi, 41)
    rings = np.repeat((50.0 - (0.5 * (radius[1:] + radius[:-1])) ** 2 / 50.0)[:, None], 40, axis=1)
    places, turned, values = closed(radius, angle, rings)
    x, y = np.outer(places, np.sin(turned)), -np.outer(places, np.cos(turned))
    (line,) = contour_generator(x, y, values).lines(47.0)
    assert line[0] == pytest.approx(line[-1], abs=1e-9)
    assert np.hypot(*line.T) == pytest.approx(np.sqrt(150.0), rel=0.01)  # 50 - r^2/50 = 47


def test_lengthwise_when_drawn_has_the_side_on_the_steel_below(row: Row) -> None:
    (mesh,) = meshes(pictures(row)["lengthwise"])
    values, height = np.asarray(mesh.get_array()), mesh.get_coordinates()[:, 0, 1]

    assert np.all(np.diff(height) > 0.0)
    assert values[0].tolist() == row["lengthwise"]["towards"][-1]
    assert values[-1].tolist() == row["lengthwise"]["away"][-1]


def test_levels_when_a_map_is_nearly_even_are_still_told() -> None:
    assert levels_between(40.2, 41.7) == [40.5, 41.0, 41.5]
    assert levels_between(31.0, 62.0) == [40.0, 50.0, 60.0]
    assert levels_between(50.0, 50.0) == []


def test_rises_when_stacked_hold_every_part_and_what_cools_below_zero(row: Row) -> None:
    axes = pictures(row)["rises"].axes[0]
    parts = [value for one in row["rises"] for value in one["parts"].values() if value is not None]
    bars = axes.patches

    assert len(bars) == len(parts) == 18
    for n, one in enumerate(row["rises"]):
        own = [bar for bar in bars if n < bar.get_center()[0] < n + 1]
        ends = [(bar.get_y(), bar.get_y() + bar.get_height()) for bar in own]
        given = [value for value in one["parts"].values() if value is not None]
        assert max(map(max, ends)) == pytest.approx(sum(value for value in given if value > 0.0))
        assert min(map(min, ends)) == pytest.approx(sum(value for value in given if value < 0.0))
        assert all(bar.get_y() <= 0.0 if bar.get_height() < 0.0 else bar.get_y() >= 0.0 for bar in own)
    assert [line.get_ydata()[0] for line in axes.lines[1:]] == pytest.approx([10.5, 22.0, 5.0])
    assert "creep" not in words(pictures(row)["rises"])


def test_rises_when_a_source_is_unknown_print_its_name(row: Row) -> None:
    row["rises"][0]["parts"]["$x_1$"] = 0.7

    assert "$x_1$" in words(pictures(row)["rises"])


def test_thermogram_when_drawn_goes_from_drum_to_the_end_of_the_tail(row: Row) -> None:
    figure = pictures(row)["thermogram"]
    whole, near = (axes for axes in figure.axes if axes.get_ylabel() == "°C")
    dots = [one for one in near.collections if one.get_label() == "contacts"]
    limits = [line for line in whole.lines if line.get_label() in ("long-term limit", "short-term limit")]

    assert whole.get_xlim() == (0.0, row["length"] + row["tail_length"])
    assert near.get_xlim()[0] < 12.3 < 12.7 < near.get_xlim()[1]
    assert dots[1].get_offsets().tolist() == [[12.3, 49.0], [12.5, 44.0], [12.7, 53.0]]
    assert [line.get_ydata()[0] for line in limits] == [50.0, 70.0]
    assert all(name in words(figure) for name in ("deck roller", "chock outboard", "tail", "core 34 °C"))


def test_thermogram_when_a_limit_is_far_says_it_instead_of_flattening_the_curves(row: Row) -> None:
    row["limits"] = {"long_term": 150.0, "short_term": None}
    figure = pictures(row)["thermogram"]

    assert max(axes.get_ylim()[1] for axes in figure.axes) < 90.0
    assert "above: long-term limit 150 °C" in words(figure)


def test_hours_when_a_month_is_not_in_season_leave_it_hatched(row: Row) -> None:
    figure = pictures(row)["hours"]
    values = np.ma.masked_invalid(meshes(figure)[0].get_array())

    assert values.shape == (24, 12)
    assert np.all(values.mask[:, [0, 1, 11]])
    assert values[:, 6].tolist() == row["hours"]["core"][6]
    assert any(patch.get_hatch() for patch in figure.axes[0].patches)
    assert "Hatched: outside the berth's season" in words(figure)


def test_hours_when_no_month_is_in_season_say_so() -> None:
    assert "No month of the year is in the berth's season" in words(pictures(bare())["hours"])


def test_heat_up_when_the_steel_is_not_given_draws_the_others(row: Row) -> None:
    row["heat_up"]["steel"] = None
    figure = pictures(row)["heat-up"]

    assert "steel" not in words(figure)
    assert "core 53 °C" in words(figure)


# --- words -------------------------------------------------------------------------------------


def test_names_when_hostile_are_printed_as_they_are(row: Row) -> None:
    row["berth"] = HOSTILE

    for figure in pictures(row).values():
        assert HOSTILE in words(figure)
        assert not any(one.get_parse_math() for one in texts(figure))


@pytest.mark.parametrize(("name", "shown"), [
    ("two\nlines\tand a tab", "two lines and a tab"),
    ("bell \x07 and \ud800", "bell \ufffd and \ufffd"),
    ("x" * 500, "x" * 398 + " …"),
    (12, "12"),
])  # fmt: skip
def test_literal_when_a_name_cannot_be_printed_keeps_what_can(name: object, shown: str) -> None:
    assert literal(name) == shown


def test_wrapped_when_words_are_longer_than_the_line_breaks_them_and_loses_nothing() -> None:
    with paper():
        lines = wrapped("a few words and " + "W" * 90, 2.0)

        assert all(width_of(line) <= 2.0 for line in lines)
    assert "".join(lines).replace(" ", "") == "afewwordsand" + "W" * 90


def test_spread_when_labels_would_overlap_moves_them_apart_in_their_order() -> None:
    assert spread([3.0, 1.0], [0.5, 0.5], 0.0, 9.0) == [3.0, 1.0]
    found = spread([1.0, 1.0, 1.1, 8.9], [1.0] * 4, 0.0, 9.0)
    assert np.all(np.diff(found) >= 1.0 - 1e-9)
    assert found[0] >= 0.5
    assert found[-1] <= 8.5


# --- files -------------------------------------------------------------------------------------


def test_write_figures_when_done_twice_gives_the_same_bytes(row: Row, tmp_path: Path) -> None:
    first = write_figures(row, tmp_path / "first")
    code = (
        "import json, sys; from pathlib import Path; from linewright.services.figures import write_figures; "
        "write_figures(json.load(sys.stdin), Path(sys.argv[1]))"
    )
    subprocess.run([sys.executable, "-c", code, str(tmp_path / "second")], input=json.dumps(row), check=True, text=True)

    assert [path.name for path in first] == [f"{name}.{kind}" for name in ALL for kind in ("png", "svg")]
    for path in first:
        assert path.read_bytes() == (tmp_path / "second" / path.name).read_bytes(), path.name


def test_write_figures_when_names_are_hostile_gives_files_that_others_read(tmp_path: Path) -> None:
    for path in write_figures(long_names(), tmp_path):
        content = path.read_bytes()
        if path.suffix == ".svg":
            title = ET.fromstring(content).find(".//{http://purl.org/dc/elements/1.1/}title")
            assert title is not None
            assert HOSTILE in str(title.text)
            assert b"<dc:date>" not in content
        else:
            with Image.open(io.BytesIO(content)) as image:
                assert image.width == 1500
                assert image.info["dpi"] == pytest.approx((200.0, 200.0), abs=0.1)
                assert set(image.info) <= {"dpi", "Title"}


def test_pictures_when_the_users_own_settings_differ_stay_the_same(row: Row, tmp_path: Path) -> None:
    plain = write_figures(row, tmp_path / "plain")
    with mpl.rc_context({"text.usetex": True, "font.size": 30.0, "svg.fonttype": "none", "axes.grid": True}):
        other = write_figures(row, tmp_path / "other")
        assert mpl.rcParams["font.size"] == 30.0

    assert [path.read_bytes() for path in plain] == [path.read_bytes() for path in other]


def test_services_and_commands_when_loaded_leave_the_drawing_library_alone() -> None:
    code = """
import importlib, pkgutil, sys
import linewright.cli, linewright.services
for found in pkgutil.iter_modules(linewright.services.__path__):
    if not found.name.startswith("figures_"):
        importlib.import_module("linewright.services." + found.name)
assert "linewright.services.figures" in sys.modules
print("matplotlib" in sys.modules)
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True, text=True)
    assert done.stdout.strip() == "False"
