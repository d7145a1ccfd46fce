"""The commands that say what a line may do: text, JSON, files, and how they end on bad input."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

Run = Callable[..., tuple[int, str, str]]

CASE = """
format = 1
title = "One berth"
[ship]
design_break_load = "900 kN"
[spread]
samples = 256
[[line]]
name = "springs"
count = 4
rope = "hmpe-standard-12-strand"
diameter = "36 mm"
inboard_length = "10 m"
outboard_length = "35 m"
tail = { rope = "polyester-tail-double-braid", length = "11 m" }
[[line.contact]]
card = "closed-chock"
bend_radius = "200 mm"
wrap = "50 deg"
[[berth]]
name = "Swell berth"
climate = "swell-coast-monthly"
calls_per_year = 25
hours_per_call = "36 h"
[[berth.state]]
name = "calm"
share = "60 %"
tension.springs = { mean = "32 %LDBF", amplitude = "0 kN" }
[[berth.state]]
name = "swell"
share = "40 %"
tension.springs = { mean = "20 %LDBF", amplitude = "6.5 %LDBF", amplitude_kind = "significant", period = "13 s" }
"""  # invented


@pytest.fixture(scope="module")
def study(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("limits") / "study"
    folder.mkdir()
    (folder / "case.toml").write_text(CASE, encoding="utf-8")
    return folder


def test_window_prints_map_bounds_and_cautions(run: Run, study: Path) -> None:
    code, out, _ = run("window", study, "--size", 6)
    assert code == 0
    assert all(words in out for words in ("STOP", "every criterion holds", "a stay takes", "A parted line kills"))
    assert max(map(len, out.splitlines())) <= 120
    assert not list(study.glob("results/*"))


@pytest.mark.parametrize("kind", ["wind", "hours"])
def test_window_across_other_things_says_its_unit(run: Run, study: Path, kind: str) -> None:
    code, out, _ = run("window", study, "--across", kind, "--size", 6, "--state", "calm")
    assert (code, {"wind": "m/s", "hours": "h at a stretch"}[kind] in out) == (0, True)


def test_window_when_asked_for_json_prints_every_point(run: Run, study: Path) -> None:
    code, out, _ = run("window", study, "--size", 5, "--rope", "hmpe-low-creep-12-strand, 36 mm", "--json")
    row = json.loads(out)
    assert (code, row["schema"], len(row["air"]), len(row["marks"][0])) == (0, "linewright.window/1", 5, 5)
    assert row["rope"] == "HMPE, low-creep grade, 12-strand, 36 mm"
    assert row["used"], "the data that the numbers rest on"


def test_window_writes_pictures_and_a_card_of_one_page(run: Run, study: Path, tmp_path: Path) -> None:
    card = tmp_path / "card.pdf"
    code, _, err = run("window", study, "--size", 5, "--pictures", tmp_path / "shown", "--card", card)
    assert (code, err.count("Wrote")) == (0, 5)
    content = card.read_bytes()
    assert content.startswith(b"%PDF")  # ISO 32000-1, 7.5.2
    assert content.count(b"/Type /Page\n") + content.count(b"/Type /Page ") == 1
    assert sorted(path.name for path in (tmp_path / "shown").iterdir()) == [
        "hours-left.png", "hours-left.svg", "operating-window.png", "operating-window.svg",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--rope", "no-such-rope"], "There is no rope card 'no-such-rope'."),
        (["--line", "stern"], "There is no such line."),
        (["--state", "storm"], "There is no such state."),
        (["--state", "calm"], "needs a state with swell"),
        (["--size", "2"], "4 to 60"),
        (["--across", "tide"], "'tide' is not one of"),
        (["--card", "card.docx"], ".pdf, .png, .svg"),
    ],
)
def test_window_when_input_is_wrong_ends_with_2_and_what_is_needed(
    run: Run, study: Path, words: list[str], said: str
) -> None:
    code, out, err = run("window", study, *words)
    assert (code, out) == (2, "")
    assert said in err


def test_window_when_no_state_has_swell_says_what_to_ask(run: Run, tmp_path: Path) -> None:
    calm = CASE.partition('[[berth.state]]\nname = "swell"')[0].replace('"60 %"', '"100 %"')
    (tmp_path / "case.toml").write_text(calm, encoding="utf-8")
    code, _, err = run("window", tmp_path)
    assert (code, "--across wind" in err) == (2, True)


def test_window_is_weighed_by_what_is_known_of_the_rope_on_board(run: Run, tmp_path: Path) -> None:
    # The line ends by bending in this swell: one retired early has few hours of it, one retired late many.
    medians, draws = [], []
    for age in ("", "3 years", "20 years"):
        told = f'[[evidence]]\nline = "springs"\nretired_at = "{age}"\ndoubt = "40 %"\n' if age else ""
        (tmp_path / "case.toml").write_text(CASE + told, encoding="utf-8")
        code, out, _ = run("window", tmp_path, "--size", 6, "--json")
        row = json.loads(out)
        assert (code, [item for item in row["findings"] if item["code"] == "evidence-refused"]) == (0, [])
        medians.append(row["at_own"][1]["hours_p50"])
        draws.append(row["samples"])
    assert medians[1] < medians[0] < medians[2]
    assert draws == [128, 512, 512]


def test_window_says_first_whether_evidence_weighs_it(run: Run, tmp_path: Path) -> None:
    # Draws live for years: one retired after 20 +- 8 is among them, one retired after four days is not.
    entry = '[[evidence]]\nline = "springs"\nretired_at = "{age}"\ndoubt = "{doubt}"\n'
    heads = []
    for age, doubt in (("20 years", "40 %"), ("0.01 years", "5 %")):
        (tmp_path / "case.toml").write_text(CASE + entry.format(age=age, doubt=doubt), encoding="utf-8")
        code, out, err = run("window", tmp_path, "--size", 5)
        assert code == 0, err
        heads.append(out.splitlines()[0])
    assert heads[0].startswith("Weighted by evidence: retired at 20 years (+-40 %, springs). Life of the rope on board")
    assert heads[1].startswith("Evidence REFUSED, the draws are not weighted: ")


def test_size_prints_the_winner_first_and_why_others_do_not(run: Run, study: Path) -> None:
    code, out, _ = run("size", study, "--target", "2")
    assert (code, "is the smallest that passes" in out) == (0, True)
    assert all(words in out for words in ("below SDMBL", "too strong", "not comparable: D/d", "A parted line kills"))
    assert max(map(len, out.splitlines())) <= 120
    assert not list(study.glob("results/*"))


def test_size_when_asked_for_json_prints_every_candidate(run: Run, study: Path) -> None:
    ropes = ["--rope", "hmpe-low-creep-12-strand", "--rope", "hmpe-standard-12-strand"]
    code, out, _ = run("size", study, *ropes, "--json")
    row = json.loads(out)
    assert (code, row["schema"], row["winner"]) == (0, "linewright.size/1", 0)
    # By hand: 1230 kN at 42 mm; of 900 kN 34 mm has 89.6 %, 36 mm 100.4 %, 38 mm 111.9 %.
    assert [(one["status"], round(1e3 * one["diameter"])) for one in row["candidates"]] == [
        ("passes", 36), ("passes", 36), ("rejected", 34), ("rejected", 34), ("rejected", 38), ("rejected", 38),
    ]  # fmt: skip
    lives = [one["life"]["p50"] for one in row["candidates"][:2]]
    assert lives == sorted(lives, reverse=True)


def test_size_when_all_are_rejected_says_what_would_have_to_change(run: Run, study: Path) -> None:
    code, out, _ = run("size", study, "--rope", "hmpe-standard-12-strand", "--target", "25")
    assert (code, "No rope passes" in out) == (0, True)
    assert "a life P10 of 25 years (now" in out
    code, out, _ = run("size", study, "--rope", "polyester-8-strand")
    assert "a radius of 328 mm at the closed chock (now 200 mm)" in out  # by hand: half of 8 x 82 mm
    code, out, _ = run("size", study, "--rope", "lcp-12-strand")  # 36 mm 98.0 %, 38 mm 109.2 %
    assert "none has one in steps of 2 mm; try --step 1" in out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--rope", "no-such-rope"], "There is no rope card 'no-such-rope'."),
        (["--line", "stern"], "There is no such line."),
        (["--target", "0"], "years above 0, at most 30"),
        (["--target", "31"], "years above 0, at most 30"),
        (["--step", "0"], "millimetres from 0.5 to 10"),
        (["--by", "p99"], "'p99' is not one of"),
    ],
)
def test_size_when_input_is_wrong_ends_with_2_and_what_is_needed(
    run: Run, study: Path, words: list[str], said: str
) -> None:
    code, out, err = run("size", study, *words)
    assert (code, out) == (2, "")
    assert said in err


@pytest.mark.parametrize("command", ["window", "size"])
def test_command_when_there_is_no_study_says_how_to_begin(run: Run, tmp_path: Path, command: str) -> None:
    code, _, err = run(command, tmp_path / "nothing")
    assert (code, "There is no study" in err) == (2, True)
