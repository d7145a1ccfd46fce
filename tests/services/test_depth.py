"""Temperatures in depth of a study: rows, text, command."""

import json
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from typer.testing import CliRunner

from linewright.base.errors import InputError
from linewright.cli import app
from linewright.services.demo import write_demo
from linewright.services.depth import depth_of, names_of
from linewright.services.depth_text import depth_lines


@pytest.fixture(scope="module")
def study(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo study."""
    root = tmp_path_factory.mktemp("depth") / "demo"
    write_demo(root)
    return root


@pytest.fixture(scope="module")
def row(study: Path) -> dict:
    """Its first rope on its first line."""
    return depth_of(study)


def test_row_is_plain_and_tells_the_hottest_state_whole(row: dict) -> None:
    found = json.loads(json.dumps(row))
    hottest = max(found["states"], key=lambda state: state["core"])

    assert (found["depth"]["berth"], found["depth"]["state"]) == (hottest["berth"], hottest["state"])
    assert found["depth"]["hottest"]["core"] == pytest.approx(hottest["core"])
    assert all(abs(state["core"] - state["fast"]) < 0.5 for state in found["states"])
    assert "depth" not in found["states"][0]


def test_parts_of_every_place_add_up_to_its_rise(row: dict) -> None:
    depth = row["depth"]
    parts = {item["place"]: sum(item["parts"].values()) for item in depth["rises"]}

    assert parts[depth["hottest"]["place"]] == pytest.approx(depth["hottest"]["core"] - depth["air"], abs=1e-6)
    assert parts["free span"] == pytest.approx(depth["thermogram"]["core"][0] - depth["air"], abs=1e-6)


def test_hours_by_month_average_to_the_core_of_all_hours(row: dict) -> None:
    """The hot berth of the demo is called at in four months; the others are left out."""
    months = [np.mean(values) for values in row["depth"]["hours"]["core"] if values is not None]
    above = list(row["depth"]["hours_above"].values())

    assert len(months) == 4
    assert np.min(months) < row["depth"]["hottest"]["core"]
    assert above == sorted(above, reverse=True)
    noon = [values[12] - values[3] for values in row["depth"]["hours"]["core"] if values]
    assert min(noon) > 3.0  # the sun warms the rope by day, in every month of a hot berth


def test_maps_lie_about_the_contact(row: dict) -> None:
    depth = row["depth"]
    section, plane = depth["section"], depth["lengthwise"]
    metre = depth["contacts"][0]["metre"]

    assert np.shape(section["temperature"]) == (len(section["radius"]) - 1, len(section["angle"]) - 1)
    assert np.shape(plane["towards"]) == np.shape(plane["away"]) == (len(plane["radius"]) - 1, len(plane["metre"]) - 1)
    assert (np.diff(plane["metre"]) > 0.0).all()
    assert np.mean([plane["metre"][0], plane["metre"][-1]]) == pytest.approx(metre, abs=1e-6)
    assert np.max(section["temperature"]) <= depth["hottest"]["skin"] + 2.0


def test_text_tells_state_place_parts_and_cautions(row: dict) -> None:
    text = "\n".join(depth_lines(row))

    assert all(len(line) <= 120 for line in text.splitlines())
    for told in ("hottest core", "rise of the core above the air by source", "energy balance", "A parted line kills"):
        assert told in text
    assert "no measured core temperature" in " ".join(text.split())


def test_state_without_a_steady_temperature_says_so(tmp_path: Path) -> None:
    """A swell of 0.05 s makes 280 times the heat of one of 14 s."""
    hot = tmp_path / "hot"
    write_demo(hot)
    text = (hot / "case.toml").read_text(encoding="utf-8")
    changed = text.replace('period = "14 s"', 'period = "0.05 s"')
    assert changed != text
    (hot / "case.toml").write_text(changed, encoding="utf-8")
    states = depth_of(hot)["states"]
    failed = [state for state in states if state["core"] is None]

    assert len(failed) == 1
    assert failed[0]["state"] == "swell"
    assert failed[0]["why"].startswith("runs away")
    assert "no steady temperature" in failed[0]["why"]
    assert failed[0]["why"] in "\n".join(depth_lines(depth_of(hot)))


def test_contacts_of_one_card_are_numbered_from_the_drum() -> None:
    def place(index: int, name: str) -> SimpleNamespace:
        return SimpleNamespace(fitting=SimpleNamespace(index=index, name=name))

    clusters = [
        SimpleNamespace(places=[place(2, "fairlead"), place(0, "roller")]),
        SimpleNamespace(places=[place(1, "fairlead")]),
    ]
    assert names_of(SimpleNamespace(clusters=clusters)) == {2: "fairlead 1", 0: "roller", 1: "fairlead 2"}


def test_columns_stand_in_the_cold(row: dict) -> None:
    depth = row["depth"]
    cold = {**depth["contacts"][0], "core": [-10.1, -10.2, -10.3], "face": -11.0, "steel": -12.0}
    state = {**row["states"][0], "air": -12.0, **dict.fromkeys(("free", "core", "fast", "skin"), -10.5)}
    text = depth_lines({**row, "states": [state], "depth": {**depth, "contacts": [depth["contacts"][0], cold]}})
    (head,) = (line for line in text if line.startswith("contact"))
    warm, frost = text[text.index(head) + 1 : text.index(head) + 3]
    ends = [head.index(word) + len(word) for word in ("drum side", "middle", "shore side", "face, C", "steel, C")]
    for line in (warm, frost):
        assert [line[end - 1].isdigit() and line[end] == " " for end in ends] == [True] * 5
    assert "-12 C -10.5 C -10.5 C" in next(line for line in text if "-12 C" in line)


def test_quick_counts_the_free_span_too(study: Path, tmp_path: Path) -> None:
    """A line whose span is hotter than its contact: steel in the shade and no bending."""
    for state in depth_of(study)["states"]:
        assert state["fast"] >= state["free"] - 0.2


@pytest.mark.parametrize(("hours", "told"), [(0.0205, "under 0.1 h"), (3.14159, "3.1 h"), (1234.5, "1230 h")])
def test_hours_have_three_figures_at_most(row: dict, hours: float, told: str) -> None:
    depth = {**row["depth"], "hours_above": {"50": hours}}
    assert f"core above 50 C {told};" in "\n".join(depth_lines({**row, "depth": depth}))


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--rope", "Z"], "There is no such rope"),
        (["--line", "stern hawser"], "There is no such line"),
        (["--state", "typhoon"], "There is no such state"),
        (["--state", "swell"], ""),  # an exact name wins over a longer one
        (["--state", "a"], "More than one state has this name"),
    ],
)
def test_names_that_are_not_there_are_refused(study: Path, options: list[str], said: str) -> None:
    words = dict(zip(options[::2], options[1::2], strict=True))
    call = (words.get("--rope", "A"), words.get("--line", ""), words.get("--state", ""))
    if said:
        with pytest.raises(InputError, match=said):
            depth_of(study, *call)
    else:
        assert depth_of(study, *call)["depth"]["state"] == "swell"


def test_command_prints_text_or_numbers(study: Path) -> None:
    runner = CliRunner()
    text, numbers = (runner.invoke(app, ["heat", str(study), *more]) for more in ([], ["--json"]))

    assert (text.exit_code, numbers.exit_code) == (0, 0)
    assert "hottest core" in text.stdout
    assert json.loads(numbers.stdout)["depth"]["contacts"]
