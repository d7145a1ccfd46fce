"""A new study: every answer is checked when it is given, and what is written is a case that runs."""

from collections.abc import Callable
from pathlib import Path

import pytest

from linewright.base.errors import InputError, LinewrightError
from linewright.cards.loader import load_shelf
from linewright.services import new
from linewright.services.checked import check_lines
from linewright.services.jobs import Request, run_job
from linewright.services.questions import BERTH, SHIP
from linewright.services.study import open_study

GIVEN = {
    "title": 'Bulk carrier "one"', "design_break_load": "900 kN", "line": "springs, fore", "rope": "polyester-8-strand",
    "diameter": "60 mm", "design_break_force": "1000 kN", "inboard_length": "10 m", "outboard_length": "35 m",
    "contact": "roller", "bend_radius": "250 mm", "wrap": "50 deg", "berths": "1", "name": "Ore jetty",
    "climate": "hot-harbour-monthly", "calls_per_year": "25", "hours_per_call": "40 h", "swell_share": "40 %",
    "calm_mean": "180 kN", "swell": "6 %LDBF", "swell_mean": "21 %LDBF", "swell_period": "14 s",
}  # fmt: skip
LOG = "time,tension\ns,kN\n" + "".join(f"{second},{200 + 40 * (second % 8)}\n" for second in range(400))


def answering(given: dict[str, str]) -> new.Ask:
    return lambda asked: given.get(asked.question.key, "")


def text_of(given: dict[str, str]) -> str:
    return new.case_text(new.interview(answering(given)))


def test_answers_when_listed_here_are_all_there_are() -> None:
    assert list(GIVEN) == [question.key for question in (*SHIP, *BERTH)]


def test_case_when_nothing_is_answered_is_a_case_of_marked_estimates_that_runs(tmp_path: Path) -> None:
    filled = new.interview(answering({}))
    path = new.write_study(tmp_path / "study", filled)

    rows = [row for row in path.read_text("utf-8").splitlines() if " = " in row and not row.startswith("format")]
    unmarked = [row for row in rows if new.KEPT not in row]
    assert [row.split(" = ")[0] for row in unmarked] == ["name", "amplitude", "name", "amplitude_kind"]
    assert filled.kept == len(GIVEN)
    assert run_job(Request(path.parent))["ropes"][0]["life"]["p50"] > 0.0


def test_case_when_all_is_answered_says_it_all_and_marks_nothing(tmp_path: Path) -> None:
    path = new.write_study(tmp_path / "study", new.interview(answering(GIVEN)))

    assert new.KEPT not in path.read_text("utf-8").partition("format")[2]
    case, _ = open_study(path.parent).read()
    line, berth = case.lines[0], case.berths[0]
    assert (case.title, line.name, line.rope) == ('Bulk carrier "one"', "springs, fore", "polyester-8-strand")
    assert line.rope_data["design_break_force"].value == pytest.approx(1e6)
    assert line.contacts[0].data["bend_radius"].value == pytest.approx(0.25)
    assert (berth.calls_per_year, berth.hours_per_call) == (25.0, 40.0)
    assert [state.share for state in berth.states] == pytest.approx([0.6, 0.4])
    assert berth.states[1].tension["springs, fore"].period == pytest.approx(14.0)


@pytest.mark.parametrize("key", sorted(set(GIVEN) - {"berths", "swell_share"}))
def test_case_when_one_estimate_is_kept_marks_that_line_alone(key: str) -> None:
    text = text_of({name: answer for name, answer in GIVEN.items() if name != key}).partition("format")[2]

    assert text.count(new.KEPT) == 1


def test_rope_size_when_kept_stays_the_cards_own_estimate() -> None:
    given = {name: answer for name, answer in GIVEN.items() if name not in ("design_break_force", "wrap")}

    assert "# design_break_force = " in text_of(given)
    assert "\ndesign_break_force" not in text_of(given)
    assert "\nwrap" not in text_of(given)


WRONG = [
    ("design_break_load", "900", "kN"),
    ("design_break_load", "900 t", "write tf"),
    ("rope", "polyester-8-stand", "did you mean polyester-8-strand"),
    ("diameter", "60", "mm"),
    ("bend_radius", "20 mm", "D/d of 1 or more"),
    ("contact", "rollers", "did you mean roller"),
    ("berths", "two", "a whole number"),
    ("berths", "0", "a whole number"),
    ("climate", "moon", "a climate card"),
    ("hours_per_call", "400 h", "the hours of a year"),
    ("swell_share", "140 %", "0 to 100 %"),
    ("calm_mean", "15 %", "%LDBF"),
    ("swell", "no-such-log.csv", "No such file"),
    ("swell_mean", "3 %LDBF", "6 %LDBF"),
    ("swell_period", "14", "s"),
    ("title", "a\x1b[2Jb", "control characters"),
]


@pytest.mark.parametrize(("key", "wrong", "advice"), WRONG)
def test_answer_when_wrong_is_told_at_once_and_asked_again(key: str, wrong: str, advice: str) -> None:
    told: list[str] = []
    asked: list[str] = []

    def ask(item: new.Asked) -> str:
        asked.append(item.question.key)
        return wrong if item.question.key == key and not told else GIVEN[item.question.key]

    filled = new.interview(ask, lambda error: told.append(error.render()))

    assert len(told) == 1
    assert advice in told[0]
    assert "case.toml" not in told[0]
    assert asked.count(key) == 2
    assert len(asked) == len(GIVEN) + 1
    assert new.case_text(filled) == text_of(GIVEN)


@pytest.mark.parametrize(("key", "wrong", "advice"), WRONG)
def test_answer_when_wrong_and_nobody_can_be_asked_again_is_raised(key: str, wrong: str, advice: str) -> None:
    with pytest.raises(LinewrightError) as refused:
        text_of({**GIVEN, key: wrong})

    assert advice in refused.value.render()
    assert refused.value.exit_code == 2


@pytest.mark.parametrize("rope", sorted(load_shelf().ropes))
@pytest.mark.parametrize("contact", sorted(load_shelf().contacts))
def test_estimates_when_offered_for_any_card_fit_it(rope: str, contact: str) -> None:
    text_of({"rope": rope, "contact": contact})


@pytest.mark.parametrize("swell", ["0 kN", "30 %LDBF", "40 %SDMBL", "300 kN"])
def test_mean_when_offered_is_above_any_amplitude(swell: str) -> None:
    text_of({"swell": swell})


def test_hours_when_offered_fit_into_the_year() -> None:
    text_of({"berths": "3", "calls_per_year": "300"})


@pytest.mark.parametrize(("share", "states"), [("0 %", ["calm"]), ("100 %", ["swell"]), ("1 %", ["calm", "swell"])])
def test_states_when_there_is_no_calm_or_no_swell_are_left_out(tmp_path: Path, share: str, states: list[str]) -> None:
    path = new.write_study(tmp_path / "study", new.interview(answering({"swell_share": share})))

    case, _ = open_study(path.parent).read()
    assert [state.name for state in case.berths[0].states] == states


def test_log_when_named_is_read_copied_and_runs(tmp_path: Path) -> None:
    log = tmp_path / "surge.csv"
    log.write_text(LOG, "utf-8")

    path = new.write_study(tmp_path / "study", new.interview(answering({**GIVEN, "swell": str(log)})))

    assert (path.parent / "berth-1-surge.csv").read_text("utf-8") == LOG
    assert "swell_period" not in path.read_text("utf-8")
    assert run_job(Request(path.parent, keep=False))["ropes"][0]["states"]


def test_log_when_it_leaves_a_question_open_is_refused_with_the_way_to_answer(tmp_path: Path) -> None:
    log = tmp_path / "surge.csv"
    log.write_text(LOG.replace("s,kN", "s,ton"), "utf-8")

    with pytest.raises(InputError, match=r"linewright import surge\.csv"):
        text_of({**GIVEN, "swell": str(log)})


def study_there(folder: Path) -> None:
    folder.mkdir()
    (folder / "case.toml").write_text("mine")


def files_there(folder: Path) -> None:
    folder.mkdir()
    (folder / "notes.txt").write_text("mine")


@pytest.mark.parametrize("fill", [study_there, files_there, lambda folder: folder.write_text("mine")])
def test_folder_when_taken_is_refused_and_left_as_it_is(tmp_path: Path, fill: Callable[[Path], object]) -> None:
    folder = tmp_path / "taken"
    fill(folder)
    before = {path: path.is_file() and path.read_text() for path in tmp_path.rglob("*")}

    with pytest.raises(InputError, match="nothing is overwritten"):
        new.write_study(folder, new.interview(answering({})))

    assert {path: path.is_file() and path.read_text() for path in tmp_path.rglob("*")} == before


def test_file_of_answers_when_read_gives_berths_their_own(tmp_path: Path) -> None:
    path = tmp_path / "answers.toml"
    path.write_text('title = "T"\n[[berth]]\nname = "A"\ncalls_per_year = 12\n[[berth]]\nname = "B"\n', "utf-8")

    filled = new.interview(new.from_file(path))

    assert [berth["name"].text for berth in filled.berths] == ["A", "B"]
    assert filled.berths[0]["calls_per_year"] == new.Answer("12")
    assert filled.berths[1]["calls_per_year"].kept


@pytest.mark.parametrize(
    ("text", "advice"),
    [
        ('ropes = "x"\n', "did you mean rope"),
        ('[[berth]]\nname = "A"\nhour_per_call = "3 h"\n', "answers.toml:3"),
        ("berth = 3\n", "tables [[berth]]"),
        ("title = \n", "answers.toml:1"),
    ],
)
def test_file_of_answers_when_wrong_says_where(tmp_path: Path, text: str, advice: str) -> None:
    path = tmp_path / "answers.toml"
    path.write_text(text, "utf-8")

    with pytest.raises(InputError) as refused:
        new.interview(new.from_file(path))

    assert advice in refused.value.render()


def test_estimate_when_kept_counts_as_one_until_it_is_replaced(tmp_path: Path) -> None:
    given = {name: answer for name, answer in GIVEN.items() if name not in ("hours_per_call", "swell_share", "swell")}
    path = new.write_study(tmp_path / "study", new.interview(answering(given)))

    def bases() -> dict[str, str]:
        return {f"{row['owner']} {row['key']}": row["basis"] for row in run_job(Request(path.parent, False))["used"]}

    kept = bases()
    swell = "Ore jetty, swell: springs, fore"
    assert {key for key, basis in kept.items() if basis == "estimate" and key.startswith("Ore jetty")} == {
        "Ore jetty hours_per_call", "Ore jetty, calm share", "Ore jetty, swell share", f"{swell} amplitude",
    }  # fmt: skip
    assert (kept["Ore jetty calls_per_year"], kept[f"{swell} mean"]) == ("given", "given")
    assert check_lines(path.parent)[1].startswith("4 values of the case are estimates")

    text = path.read_text("utf-8")
    path.write_text(text.replace('{ value = "36 h", basis = "estimate" }', '"36 h"'), "utf-8")
    assert bases()["Ore jetty hours_per_call"] == "given"


def asked_of(given: dict[str, str]) -> dict[str, new.Asked]:
    """Every question as it was put."""
    put: dict[str, new.Asked] = {}

    def ask(item: new.Asked) -> str:
        put[item.question.key] = item
        return given.get(item.question.key, "")

    new.interview(ask)
    return put


def test_question_on_a_card_when_put_lists_the_choices_and_explains_each() -> None:
    put, shelf = asked_of({}), load_shelf()

    for key, cards in (("rope", shelf.ropes), ("contact", shelf.contacts), ("climate", shelf.climates)):
        assert set(put[key].line.partition(" one of ")[2].partition(" [")[0].split(", ")) == set(cards)
        told = " ".join(put[key].help)
        assert all(name in told and card.title in told for name, card in cards.items())


def test_question_when_explained_says_more_than_it_asks() -> None:
    for key, item in asked_of({}).items():
        assert item.help[0].endswith("."), key
        assert item.help[0] not in item.line


@pytest.mark.parametrize(
    ("calm", "swell", "offered"),
    [
        ("180 kN", "30 kN", "180 kN: as in calm"),
        ("180 kN", "80 kN", "240 kN: above the calm mean, so that the swell leaves no slack"),
        ("30 %LDBF", "40 kN", "30 %LDBF: as in calm"),
        ("300 kN", "5 %LDBF", "300 kN: as in calm"),
        ("100 kN", "5 %SDMBL", "20 %SDMBL: above the calm mean, so that the swell leaves no slack"),
    ],
)
def test_swell_mean_when_offered_is_at_least_the_calm_one_and_says_whence(calm: str, swell: str, offered: str) -> None:
    given = {"design_break_load": "900 kN", "design_break_force": "1000 kN", "calm_mean": calm, "swell": swell}

    assert asked_of(given)["swell_mean"].line.endswith(f"[{offered}]")


def test_swell_mean_when_there_is_no_calm_leaves_no_slack() -> None:
    assert asked_of({"swell_share": "100 %", "swell": "60 kN"})["swell_mean"].offered == "180 kN"


def test_hours_when_written_in_words_are_hours() -> None:
    for text in ("24 hours", "24 hrs", "24 h"):
        assert f'hours_per_call = "{text}"' in text_of({**GIVEN, "hours_per_call": text})
