"""A wrong case is refused with file, line, what was read and what is needed; all problems at once."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from linewright.base.errors import InputError, LinewrightError, StorageError
from linewright.case.form import read_case

GOOD = """\
format = 1
title = "Invented case"
[ship]
design_break_load = "1200 kN"
[spread]
samples = 256
[[line]]
name = "springs"
count = 2
rope = "hmpe-standard-12-strand"
inboard_length = "12 m"
outboard_length = "40 m"
tail = { rope = "polyester-tail-double-braid", length = "11 m" }
[[line.contact]]
card = "closed-chock"
bend_radius = "178 mm"
wrap = "60 deg"
[[berth]]
name = "A"
climate = "hot-harbour-monthly"
calls_per_year = 10
hours_per_call = "40 h"
[[berth.state]]
name = "calm"
share = "75 %"
[berth.state.tension.springs]
mean = "20 %LDBF"
amplitude = "0 kN"
[[berth.state]]
name = "swell"
share = "25 %"
wetness = 0.5
[berth.state.tension.springs]
mean = "24 %LDBF"
amplitude = "6 %LDBF"
amplitude_kind = "significant"
period = "14 s"
[[compare]]
rope = "polyester-8-strand"
"""
Writer = Callable[[str | bytes], Path]


@pytest.fixture
def write(tmp_path: Path) -> Writer:
    def case(text: str | bytes) -> Path:
        path = tmp_path / "case.toml"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return path

    return case


def refusal(path: Path, kind: type[LinewrightError] = InputError) -> LinewrightError:
    with pytest.raises(kind) as caught:
        read_case(path)
    return caught.value


def swapped(*pairs: str) -> str:
    text = GOOD
    for old, new in zip(pairs[::2], pairs[1::2], strict=True):
        assert old in text
        text = text.replace(old, new, 1)
    return text


def test_case_when_right_is_read(write: Writer) -> None:
    case = read_case(write(GOOD))

    assert case.lines[0].inboard_length.source == "case.toml:11"
    assert [state.wetness for state in case.berths[0].states] == [0.0, 0.5]


def test_value_when_it_is_an_estimate_is_read_as_one(write: Writer) -> None:
    lengths = '{ value = "12 m", low = "10 m", high = "15 m", basis = "estimate" }'
    weak = {
        '"12 m"': lengths,
        '"40 h"': '{ value = "40 h", basis = "estimate" }',
        '"24 %LDBF"': '{ value = "24 %LDBF", basis = "estimate" }',
        '"75 %"': '{ value = "75 %", basis = "given" }',
    }
    case = read_case(write(swapped(*(part for pair in weak.items() for part in pair))))

    assert [datum.key for datum in case.typed if datum.basis == "estimate"] == [
        "inboard_length", "hours_per_call", "mean",
    ]  # fmt: skip
    assert (case.lines[0].inboard_length.low, case.lines[0].inboard_length.has_band) == (10.0, True)
    assert case.berths[0].hours_per_call == 40.0
    plain = read_case(write(GOOD))
    assert {datum.basis for datum in plain.typed} == {"given"}
    assert case.berths[0].states[1].tension == plain.berths[0].states[1].tension


# name: (old, new, line of the problem, parts of the message)
WRONG: dict[str, tuple[str, str, int, list[str]]] = {
    "unknown key": ("wrap =", "wrapp =", 17, ["did you mean wrap?"]),
    "swing about nothing": ('"24 %LDBF"', '"0 kN"', 34, ['"0 kN"', "a mean above 0"]),
    "unknown key far from any": ("[ship]", "zzz = 1\n[ship]", 3, ["known keys: berth, compare"]),
    "bare number": ('"12 m"', "12", 11, ["read     12", 'write "12 <unit>"']),
    "decimal comma": ('"12 m"', '"12,5 m"', 11, ["decimals with a point"]),
    "t for a force": ('"1200 kN"', '"120 t"', 4, ["write tf (tonne-force) or kN"]),
    "% without base": ('"24 %LDBF"', '"24 %"', 34, ['berth "A" > state "swell" > tension > springs > mean', "%SDMBL"]),
    "nan": ('"24 %LDBF"', "nan", 34, ["read     nan", "finite number"]),
    "nan as a text": ('"12 m"', '"nan m"', 11, ['read     "nan m"']),
    "infinite": ('"12 m"', "inf", 11, ["finite number"]),
    "overflow": ('"12 m"', '"1e308 km"', 11, ["finite number"]),
    "load overflow": ('"24 %LDBF"', '"1e308 MN"', 34, ["finite number"]),
    "number of a thousand hex digits": ('"12 m"', "0x" + "f" * 5000, 11, ["finite number"]),
    "truth value": ('"12 m"', "true", 11, ["read     true"]),
    "date": ('"12 m"', "1979-05-27", 11, ["read     1979-05-27"]),
    "negative hours": ('"40 h"', '"-40 h"', 22, ["from 0 to 8784 h"]),
    "negative calls": ("calls_per_year = 10", "calls_per_year = -1", 21, ["read     -1"]),
    "too many hours": ("calls_per_year = 10", "calls_per_year = 220", 18, ["8800 h a year", "8784"]),
    "shares do not add": ('"75 %"', '"70 %"', 18, ["70 % + 25 %", "not 95 %"]),
    "share above 1": ('"75 %"', '"175 %"', 25, ["0 to 100 %"]),
    "share with a band": ('"75 %"', '{ value = "75 %", low = "70 %", high = "80 %" }', 25, ["takes no band"]),
    "basis that nothing has": ('"40 h"', '{ value = "40 h", basis = "guess" }', 22, ["guess", "given or estimate"]),
    "basis without a value": ('"40 h"', '{ basis = "estimate" }', 22, ["a single value"]),
    "shares that do not add, one an estimate": (
        '"75 %"',
        '{ value = "70 %", basis = "estimate" }',
        18,
        ["read     70 % + 25 %"],
    ),
    "slack amplitude that is an estimate": (
        '"6 %LDBF"',
        '{ value = "40 %LDBF", basis = "estimate" }',
        35,
        ['read     "40 %LDBF", mean "24 %LDBF"'],
    ),
    "wetness above 1": ("wetness = 0.5", "wetness = 2", 32, ["from 0 to 1"]),
    "month 13": ('"40 h"', '"40 h"\nmonths = [1, 13]', 23, ["months 2", "read     13", "1 to 12"]),
    "month as a fraction": ('"40 h"', '"40 h"\nmonths = [1.0]', 23, ["read     1.0"]),
    "month twice": ('"40 h"', '"40 h"\nmonths = [2, 2]', 23, ["2 twice"]),
    "negative mean": ('"24 %LDBF"', '"-24 %LDBF"', 34, ["zero or more"]),
    "mean beyond strength": ('"24 %LDBF"', '"1e6 %LDBF"', 34, ["200 %"]),
    "amplitude beyond slack": ('"6 %LDBF"', '"40 %LDBF"', 35, ["1.5 times the mean"]),
    "amplitude and motion": ('period = "14 s"', 'period = "14 s"\nmotion = "1 m"', 38, ["one of the two"]),
    "neither amplitude nor motion": ('amplitude = "0 kN"\n', "", 26, ["amplitude or motion", '"0 kN"']),
    "no period": ('period = "14 s"\n', "", 33, ["the key period", "swings"]),
    "no amplitude kind": ('amplitude_kind = "significant"\n', "", 33, ["the key amplitude_kind"]),
    "period zero": ('"14 s"', '"0 s"', 37, ["0.01 s"]),
    "kind misspelt": (
        '"significant"',
        '"signifcant"',
        36,
        ["one of constant, significant", "did you mean significant?"],
    ),
    "kind is a number": ('"significant"', "5", 36, ["read     5"]),
    "table for a tension is a list": (
        "[berth.state.tension.springs]",
        "[[berth.state.tension.springs]]",
        23,
        ["a table"],
    ),
    "list for a text": ('"Invented case"', '["a"]', 2, ["a list of 1", "a text in double quotes"]),
    "number for a text": ('"Invented case"', "5", 2, ["a text in double quotes"]),
    "number for a table": ('[ship]\ndesign_break_load = "1200 kN"', "ship = 3", 3, ["a table of keys"]),
    "format 2": ("format = 1", "format = 2", 1, ["needs    1"]),
    "format true": ("format = 1", "format = true", 1, ["a whole number"]),
    "samples 300": ("samples = 256", "samples = 300", 6, ["256, 512, 1024"]),
    "samples 256.0": ("samples = 256", "samples = 256.0", 6, ["a whole number"]),
    "seed -1": ("samples = 256", "seed = -1", 6, ["0 or more"]),
    "seed as a text": ("samples = 256", 'seed = "1"', 6, ["a whole number, without quotes"]),
    "count 0": ("count = 2", "count = 0", 9, ["1 or more"]),
    "count as a fraction": ("count = 2", "count = 2.0", 9, ["a whole number"]),
    "wrap 0": ('"60 deg"', '"0 deg"', 17, ["1 to 360 deg"]),
    "wrap 400": ('"60 deg"', '"400 deg"', 17, ["1 to 360 deg"]),
    "radius too small": ('"178 mm"', '"1 mm"', 16, ["5 mm to 3 m"]),
    "contact beyond the line": ('"60 deg"', '"60 deg"\ninboard_length = "53 m"', 18, ["52 m"]),
    "reuse as a text": ('"60 deg"', '"60 deg"\nreuse = "yes"', 18, ["true or false"]),
    "whole rope shorter than what is in use": ("count = 2", 'length = "51 m"', 9, ["at least what is in use", "52 m"]),
    "length zero": ('"12 m"', '"0 m"', 11, ["more than 0"]),
    "tail of no length": ('"11 m"', '"0 m"', 13, ["tail > length", "more than 0"]),
    "tail longer than a harbour": ('"11 m"', '"11 km"', 13, ["10 km"]),
    "band half given": ('"12 m"', '{ value = "12 m", low = "10 m" }', 11, ["low and high together"]),
    "band out of order": ('"12 m"', '{ value = "12 m", low = "13 m", high = "14 m" }', 11, ["in this order"]),
    "band into the negative": ('"12 m"', '{ value = "12 m", low = "-1 m", high = "14 m" }', 11, ['read     "-1 m"']),
    "break force zero": ("count = 2", 'design_break_force = "0 kN"', 9, ["1 kN to 1e6 kN"]),
    "mechanism misspelt": ("[ship]", 'mechanisms = ["creeep"]\n[ship]', 3, ["mechanisms 1", "did you mean creep?"]),
    "no mechanism": ("[ship]", "mechanisms = []\n[ship]", 3, ["an empty list"]),
    "mechanism twice": ("[ship]", 'mechanisms = ["creep", "creep"]\n[ship]', 3, ['"creep" twice']),
    "retirement at full strength": ("[spread]", "[criteria]\nstrength_left = 1\n[spread]", 6, ["99 %"]),
    "damage limit zero": ("[spread]", "[criteria]\ncreep_damage = 0\n[spread]", 6, ["more than 0"]),
    "negative age": ("[spread]", '[criteria]\nage = "-5 a"\n[spread]', 6, ["an age more than 0"]),
    "empty name": ('"calm"', '"  "', 24, ["at least one character"]),
    "endless name": ('"calm"', f'"{"x" * 301}"', 24, ["at most 300 characters"]),
    "name with a line end": ('"calm"', '"ca\\nlm"', 24, ["ca\\nlm", "on one line"]),
    "name that commands a terminal": ('"calm"', '"\\u001b[31mcalm"', 24, ["\\x1b[31mcalm"]),
    "name that turns the line": ('"calm"', '"a\\u202eb"', 24, ["\\u202e"]),
    "state name twice": ('"calm"', '"swell"', 30, ["another state"]),
    "compare the rope on board": ('"polyester-8-strand"', '"hmpe-standard-12-strand"', 39, ["on board"]),
    "group misspelt": ("tension.springs]", "tension.sprigns]", 26, ['did you mean "springs"?']),
}


@pytest.mark.parametrize("name", WRONG)
def test_case_when_wrong_says_where_and_what(write: Writer, name: str) -> None:
    old, new, line, said = WRONG[name]
    path = write(swapped(old, new))

    error = refusal(path)

    text = error.render()
    assert re.search(rf"^{re.escape(str(path))}:{line}\b", text, re.MULTILINE), text
    assert [part for part in said if part not in text] == []
    assert error.exit_code == 2
    assert "nput should be" not in text
    assert "\x1b" not in text


def test_amplitude_when_constant_and_above_the_mean_is_refused(write: Writer) -> None:
    text = refusal(write(swapped('"6 %LDBF"', '"25 %LDBF"', '"significant"', '"constant"'))).render()

    assert "case.toml:35" in text
    assert "the line would be pushed" in text


def test_case_when_wrong_in_many_ways_lists_all_in_the_order_of_the_file(write: Writer) -> None:
    path = write(swapped('"12 m"', "12", '"75 %"', '"70 %"', '"40 h"', '"-1 h"', '"24 %LDBF"', '"24 %"'))

    error = refusal(path)

    lines = [int(re.findall(r"case\.toml:(\d+)", problem.where)[0]) for problem in error.problems]
    assert lines == [11, 18, 22, 34]
    assert "4 of 4 problems, all listed" in error.render()


def test_key_when_missing_at_the_top_names_the_file_without_a_line(write: Writer) -> None:
    path = write(swapped('title = "Invented case"\n', ""))

    where = refusal(path).problems[0].where

    assert where == f"{path}  title"


def test_tables_when_empty_list_every_missing_key(write: Writer) -> None:
    path = write('format = 1\ntitle = "x"\n[ship]\ndesign_break_load = "1200 kN"\n[[line]]\n[[berth]]\n')

    problems = refusal(path).problems

    assert len(problems) == 9
    assert {problem.read for problem in problems} == {"nothing"}


SYNTAX = {
    "no quotes": (swapped('"24 %LDBF"', "24 %LDBF"), 34, "double quotes"),
    "key twice": (swapped("count = 2", "count = 2\ncount = 3"), 10, "keep one"),
    "table twice": (GOOD + '[ship]\ndesign_break_load = "1 kN"\n', 40, "keep one"),
    "quotes left open": (swapped('"Invented case"', '"Invented case'), 2, "close the quotes"),
    "long quotes left open": (swapped('"Invented case"', '"""Invented case"'), 2, "close the quotes"),
    "windows line ends": (swapped('"24 %LDBF"', "24 %LDBF").replace("\n", "\r\n"), 34, "double quotes"),
}


@pytest.mark.parametrize("name", SYNTAX)
def test_toml_when_wrong_names_the_line(write: Writer, name: str) -> None:
    text, line, said = SYNTAX[name]
    path = write(text)

    rendered = refusal(path).render()

    assert f"{path}:{line}\n" in rendered
    assert said in rendered


UNREADABLE = {
    "empty": (b"", "is empty"),
    "only a comment": (b"# later\n", "is empty"),
    "utf-16": (GOOD.encode("utf-16"), "save it again with the encoding UTF-8"),
    "utf-16 without its mark": (GOOD.encode("utf-16-le"), "save it again with the encoding UTF-8"),
    "latin-1": (GOOD.replace("Invented", "Inventé").encode("latin-1"), "case.toml:2"),
    "too large": (b"#" * 10_000_000, "at most 2 MB"),
    "lists a thousand deep": (b"x = " + b"[" * 3000 + b"]" * 3000, "nested too deeply"),
    "tables a thousand deep": (b"x = " + b"{a=" * 1000 + b"1" + b"}" * 1000, "nested too deeply"),
    "number of thousands of digits": (b"x = 1" + b"0" * 5000, "too long"),
}


@pytest.mark.parametrize("name", UNREADABLE)
def test_file_when_no_case_is_refused_in_words(write: Writer, name: str) -> None:
    content, said = UNREADABLE[name]

    assert said in refusal(write(content)).render()


@pytest.mark.parametrize("mark", ["\ufeff", ""])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_case_when_from_another_editor_is_read_with_its_lines(write: Writer, mark: str, end: str) -> None:
    read_case(write(mark + GOOD.replace("\n", end)))

    text = refusal(write(mark + swapped('"12 m"', '"12"').replace("\n", end))).render()

    assert "case.toml:11 " in text


def test_case_when_a_folder_is_a_storage_error(tmp_path: Path) -> None:
    (tmp_path / "case.toml").mkdir()

    assert refusal(tmp_path / "case.toml", StorageError).exit_code == 5


def test_case_when_a_link_to_itself_is_a_storage_error(tmp_path: Path) -> None:
    (tmp_path / "case.toml").symlink_to("case.toml")

    assert refusal(tmp_path / "case.toml", StorageError).exit_code == 5


def test_case_when_it_may_not_be_read_is_a_storage_error(write: Writer, monkeypatch: pytest.MonkeyPatch) -> None:
    def no(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    path = write(GOOD)
    monkeypatch.setattr(Path, "open", no)

    assert "Permission denied" in refusal(path, StorageError).render()


ODD = {
    "emoji and quotes in a name": ('"calm"', '"🌊 \\"calm\\""'),
    "no calls": ("calls_per_year = 10", "calls_per_year = 0"),
    "no hours": ('"40 h"', '"0 h"'),
    "no-break space before the unit": ('"12 m"', '"12\u00a0m"'),
    "tab before the number": ('"12 m"', '"\\t12 m"'),
    "break force of a bridge": ("count = 2", 'design_break_force = "1e6 kN"'),
    "all the year": ("calls_per_year = 10\nhours_per_call", 'calls_per_year = 1\nhours_per_call = "8784 h"\n#'),
    "hash and bracket in a title": ('"Invented case"', '"a # b [[line]] = {"'),
}


@pytest.mark.parametrize("name", ODD)
def test_case_when_odd_but_legal_is_read(write: Writer, name: str) -> None:
    read_case(write(swapped(*ODD[name])))


def test_group_when_its_name_holds_quotes_and_dots_keeps_its_line(write: Writer) -> None:
    quoted = '"the \\"a.b\\" # springs"'
    text = GOOD.replace('"springs"', quoted).replace("tension.springs", f"tension.{quoted}").replace('"24 %LDBF"', "24")

    assert "case.toml:34 " in refusal(write(text)).render()


def test_lines_when_a_comment_holds_a_line_separator_are_counted_as_editors_do(write: Writer) -> None:
    text = refusal(write(swapped("[ship]", "# a\u2028b\x85c\n[ship]", '"12 m"', '"12"'))).render()

    assert "case.toml:12 " in text


def test_lines_when_inside_a_long_text_are_not_keys(write: Writer) -> None:
    text = swapped("[ship]", 'note = """\n[[line]]\ninboard_length = "1"\n"""\n[ship]', '"12 m"', '"12"')

    assert "case.toml:15 " in refusal(write(text)).render()


def test_names_when_two_groups_share_one_say_so_once(write: Writer) -> None:
    second = '[[line]]\nname = " springs"\nrope = "r"\ninboard_length = "1 m"\noutboard_length = "1 m"\n[[berth]]'

    assert [problem.needs for problem in refusal(write(swapped("[[berth]]", second))).problems] == [
        "a name of its own: another line group has this one"
    ]


def test_groups_when_two_share_a_name_do_not_blame_the_tensions(write: Writer) -> None:
    second = '[[line]]\nname = "springs"\nrope = "r"\ninboard_length = "1 m"\noutboard_length = "1 m"\n[[berth]]'
    text = swapped("[[berth]]", second, "tension.springs]", "tension.breasts]")

    assert len(refusal(write(text)).problems) == 1


def test_unit_when_a_tab_stands_before_the_number_is_kept(write: Writer) -> None:
    assert (
        read_case(write(swapped('"12 m"', '"\\t12 m"', '"178 mm"', '"+1.78e2 mm"'))).lines[0].inboard_length.unit == "m"
    )


def test_compare_when_a_rope_comes_twice_names_the_second(write: Writer) -> None:
    text = GOOD + '[[compare]]\nrope = "polyester-8-strand"\nsame = "load"\n[[compare]]\nrope = "polyester-8-strand"\n'

    assert "case.toml:44 " in refusal(write(text)).render()
