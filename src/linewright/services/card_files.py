"""The files of a new card: checked, tried aside with the cards there are, then written; nothing is replaced."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Iterable, Mapping
from pathlib import Path

import tomlkit

from linewright.base import form as base_form
from linewright.base.errors import Problem, visible
from linewright.base.sources import Source
from linewright.cards import loader
from linewright.cards.model import Card, Climate
from linewright.services.store import write_whole

NAME = re.compile(r"[a-z0-9][a-z0-9-]{0,59}")


def folder_of(cards: Path, kind: str) -> Path:
    """Where cards of a kind lie, under a folder of cards."""
    return cards / loader.FOLDERS[kind]


def start_of(card: Card | Climate, kind: str, cards: Path) -> Path:
    """Where the files of a card lie: with the package, or under the study's folder of cards."""
    return folder_of(loader.SHIPPED if card.origin == "shipped" else cards, kind)


def wrong_name(name: str, target: Path) -> list[Problem]:
    """What is wrong with the name of a new card."""
    if not NAME.fullmatch(name):
        needs = "small letters, digits and hyphens, e.g. forward-springs-44"
        return [Problem("NAME", name, needs, "it becomes the name of a file")]
    if target.exists():
        return [Problem(str(target), "a card of this name", "a name that is free", "nothing was changed")]
    return []


def wrong_texts(options: Iterable[tuple[str, str]]) -> list[Problem]:
    """Texts of options that would break a line or command a terminal."""
    needs = "a text on one line, without control characters"
    return [Problem(option, said, needs) for option, said in options if visible(said) != said]


def cited(path: Path, known: Mapping[str, Source], title: str, digest: str) -> tuple[str, bytes]:
    """The key of a file among the sources, and sources.toml with it (empty if it is there already).

    path is that of sources.toml; digest is the SHA-256 of the file, empty where it was not there to be read.
    """
    stem = re.sub(r"[^a-z0-9]+", "-", Path(title).stem.lower()).strip("-") or "certificate"
    number = 1
    key = stem
    while key in known and (known[key].title, known[key].sha256) != (title, digest):
        number += 1
        key = f"{stem}-{number}"
    if key in known:
        return key, b""
    text = base_form.read_toml(path, "sources")[0] if path.exists() else ""
    document = tomlkit.parse(text or "# What the study's own cards rest on. seen: how much of it was read.\n")
    entry = tomlkit.table()
    entry.update({"title": title, "seen": "full", "sha256": digest} if digest else {"title": title, "seen": "memory"})
    document[key] = entry
    return key, tomlkit.dumps(document).encode()


def write_card(files: Mapping[Path, bytes], cards: Path, target: Path) -> None:
    """Write a new card with the files it names, the card last. Raises CardError, and then nothing is written."""
    _try(files, cards, target)
    for path in sorted(files, key=lambda path: path == target):
        write_whole(path, files[path])


def _try(files: Mapping[Path, bytes], cards: Path, target: Path) -> None:
    """Read the new card in a folder aside."""
    with tempfile.TemporaryDirectory() as aside:
        if cards.is_dir():
            for path in [*cards.rglob("*.toml"), *cards.rglob("*.csv")]:
                _put(Path(aside) / path.relative_to(cards), path.read_bytes())
        for path, content in files.items():
            _put(Path(aside) / path.relative_to(cards), content)
        copy = Path(aside) / target.relative_to(cards)
        kind = next(kind for kind, name in loader.FOLDERS.items() if name == target.parent.name)
        loader.read_card(copy, kind, loader.read_sources(Path(aside)))


def _put(path: Path, content: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)
