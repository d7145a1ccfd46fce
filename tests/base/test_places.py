"""Lines of keys in awkward but valid TOML, by hand."""

import tomllib

import pytest

from linewright.base import places

TEXT = '''# a comment = 1
title = "x"
"quoted.key" = 1
a.b.c = 2

[table] # [not.a.table]
list = [
  "[x]", # ] not the end
  1,
]
after = 1
text = """
[not a table]
not_a_key = 1
"""
behind = 2

[[row]]
name = "one"
[[row.part]]
name = "p"
[row.more]
deep = true

[[row]]
name = "two"
[[row.part]]
name = "q"
[[row.part]]
name = "r"
'''


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("title",), 2),
        (("quoted.key",), 3),
        (("a", "b", "c"), 4),
        (("table",), 6),
        (("table", "list"), 7),
        (("table", "after"), 11),
        (("table", "text"), 12),
        (("table", "behind"), 16),
        (("row", 0), 18),
        (("row", 0, "name"), 19),
        (("row", 0, "part", 0, "name"), 21),
        (("row", 0, "more", "deep"), 23),
        (("row", 1, "name"), 26),
        (("row", 1, "part", 1, "name"), 30),
    ],
)
def test_line_when_counted_by_hand_is_found(path: places.Path, line: int) -> None:
    tomllib.loads(TEXT)
    assert places.lines_of(TEXT)[path] == line


def test_line_when_the_path_goes_deeper_is_the_nearest_above() -> None:
    found = places.lines_of(TEXT)
    assert places.line_of(found, ("table", "list", 1)) == 7
    assert places.line_of(found, ("row", 1, "absent")) == 25
    assert places.line_of(found, ("nothing",)) == 0


@pytest.mark.parametrize("sign", ["\u2028", "\x85", "\u2029"])
def test_line_when_a_text_holds_another_scripts_line_end_is_not_moved(sign: str) -> None:
    # TOML and editors end a line at a line feed only.
    text = f'a = "x{sign}y"\nb = 1\n'
    assert tomllib.loads(text)["b"] == 1
    assert places.lines_of(text)[("b",)] == 2


def test_line_when_the_file_comes_from_windows_is_the_same() -> None:
    assert places.lines_of(TEXT.replace("\n", "\r\n")) == places.lines_of(TEXT)


AWKWARD = {
    "one-line text with quotes and a bracket": 'a = """x "y" [ z"""\nb = 1\n',
    "text that ends behind an escaped quote": 'a = """x\n\\"""y\n"""\nb = 1\n',
}
BEYOND = {
    "text of several lines in a list": 'a = ["""\n]\nc = 1\n"""]\nb = 1\n',
    "literal text with quotes and a bracket": "a = '''it's [ so'''\nb = 1\n",
    "bracket in the quoted name of a table": '["x]#1"]\na = 1\n',
}


def finds_all(text: str) -> bool:
    """Whether the top keys, and nothing else, are found on lines that hold them."""
    found, rows = places.lines_of(text), text.split("\n")
    tops = {path[0]: line for path, line in reversed(found.items())}
    return set(tops) == set(tomllib.loads(text)) and all(str(key) in rows[line - 1] for key, line in tops.items())


@pytest.mark.parametrize("text", AWKWARD.values(), ids=AWKWARD.keys())
def test_line_when_quotes_are_nested_is_found(text: str) -> None:
    assert finds_all(text)


@pytest.mark.xfail(reason="lines are read one by one: a wrong line may be named in such a text")
@pytest.mark.parametrize("text", BEYOND.values(), ids=BEYOND.keys())
def test_line_when_brackets_hide_in_quotes_is_found(text: str) -> None:
    assert finds_all(text)


def test_spell_when_given_a_path_names_what_a_reader_sees() -> None:
    raw = {"berth": [{"name": "A", "state": [{"name": "swell", "tension": {"mean": "1 kN"}}]}]}
    path = ("berth", 0, "state", 0, "tension", "mean")
    assert places.spell(path, raw) == 'berth "A" > state "swell" > tension > mean'
    assert places.spell(("berth", 4, "name"), raw) == "berth 5 > name"
