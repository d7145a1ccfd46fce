"""Lines of keys in TOML documents made at random, against Python's own reader."""

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from linewright.base.places import Path, lines_of

# Signs that could be taken for the end of something.
SIGNS = "ab1 #[]{}=.,:-"
BARE = st.text("abz09_-", min_size=1, max_size=4)
QUOTED = st.text(SIGNS, max_size=5)
HEADER = st.text("ab1 =.,:-{}", max_size=5)  # brackets in the quoted name of a table: a known limit

basic = st.text(SIGNS + "'", max_size=8).map(lambda text: f'"{text}"')
escaped = st.text(SIGNS, max_size=6).map(lambda text: f'"{text}\\"{text}"')
literal = st.text(SIGNS + '"', max_size=8).map(lambda text: f"'{text}'")
simple = st.sampled_from(["1", "2.5", "true", "1979-05-27", "[]", "{}"]) | basic | escaped | literal
lines = st.lists(
    st.sampled_from(["[x]", "[[y]]", "key = 1", "# no comment", "]", "}", 'say "so"', "it's", ""]), max_size=3
)


def long_text(quote: str) -> st.SearchStrategy[str]:
    inside = lines.map(lambda rows: "\n".join(row for row in rows if quote[0] not in row))
    return st.builds(lambda body, last: f"{quote}{body}{last}{quote}", inside, st.sampled_from(["", "\n"]))


comments = st.sampled_from(["", "  # ] or } or [x] = 1"])


def spread(items: list[str], note: str) -> str:
    rows = "".join(f"  {item},{note}\n" for item in items)
    return f"[{note}\n{rows}]"


arrays = st.recursive(
    simple,
    lambda inner: (
        st.lists(inner, max_size=3).map(lambda items: f"[{', '.join(items)}]")
        | st.builds(spread, st.lists(inner, max_size=3), comments)
    ),
    max_leaves=5,
)
inline = st.lists(arrays.filter(lambda text: "\n" not in text), max_size=3).map(
    lambda items: "{ " + ", ".join(f"k{n} = {item}" for n, item in enumerate(items)) + " }"
)
values = simple | long_text('"""') | long_text("'''") | arrays | inline


OPEN, SHUT = {False: "[", True: "[["}, {False: "]", True: "]]"}


@dataclass
class Document:
    """A TOML text that grows, and the line of everything in it."""

    rows: list[str] = field(default_factory=list)
    lines: dict[Path, int] = field(default_factory=dict)

    def add(self, text: str, path: Path) -> None:
        self.lines[path] = len(self.rows) + 1
        self.rows += text.split("\n")


class Writer:
    """Writes keys, tables, rows of tables with tables and rows inside; every name occurs once."""

    def __init__(self, draw: st.DrawFn) -> None:
        self.draw, self.made, self.count = draw, Document(), 0

    def name(self, quoted: st.SearchStrategy[str] = QUOTED) -> tuple[str, str]:
        """A key as it is and as it is written."""
        self.count += 1
        style = self.draw(st.sampled_from(["bare", "bare", "basic", "literal"]))
        if style == "bare":
            key = f"{self.draw(BARE)}{self.count}"
            return key, key
        key = f"{self.draw(quoted)}{self.count}"
        return key, f'"{key}"' if style == "basic" else f"'{key}'"

    def filler(self) -> None:
        self.made.rows += self.draw(st.lists(st.sampled_from(["", "# [x]", "  # a = 1", "\t"]), max_size=2))

    def keys(self, prefix: Path) -> None:
        for _ in range(self.draw(st.integers(0, 3))):
            self.filler()
            parts = [self.name() for _ in range(self.draw(st.integers(1, 2)))]
            gap = self.draw(st.sampled_from(["=", " = ", "   ="]))
            dot = self.draw(st.sampled_from([".", " . "]))
            typed = self.draw(st.sampled_from(["", "  "])) + dot.join(word for _, word in parts)
            value = self.draw(values) + self.draw(comments)
            self.made.add(f"{typed}{gap}{value}", (*prefix, *(key for key, _ in parts)))

    def tables(self, prefix: Path, typed: str, depth: int, size: int) -> None:
        for _ in range(size):
            self.table(prefix, typed, depth, self.draw(st.booleans()))

    def table(self, prefix: Path, typed: str, depth: int, is_row: bool) -> None:
        key, word = self.name(HEADER)
        header = f"{typed}.{word}" if typed else word
        for number in range(self.draw(st.integers(1, 3)) if is_row else 1):
            self.filler()
            path: Path = (*prefix, key, number) if is_row else (*prefix, key)
            gap = self.draw(st.sampled_from(["", " "]))
            self.made.add(f"{OPEN[is_row]}{gap}{header}{gap}{SHUT[is_row]}{self.draw(comments)}", path)
            self.keys(path)
            if depth < 2:
                self.tables(path, header, depth + 1, self.draw(st.integers(0, 2)))


@st.composite
def documents(draw: st.DrawFn) -> Document:
    writer = Writer(draw)
    writer.keys(())
    writer.tables((), "", 0, draw(st.integers(0, 3)))
    return writer.made


def walk(node: Any, path: Path) -> Any:
    for step in path:
        node = node[step]
    return node


def words(path: Path) -> Iterator[str]:
    return (step for step in path if isinstance(step, str))


@given(made=documents())
def test_lines_when_a_document_is_any_are_those_it_was_written_on(made: Document) -> None:
    text = "\n".join(made.rows)
    raw = tomllib.loads(text)
    found = lines_of(text)
    assert found == made.lines
    for path, line in found.items():
        walk(raw, path)  # a path that Python's reader knows
        assert list(words(path))[-1] in made.rows[line - 1]
