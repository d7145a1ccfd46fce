"""Parts of a zipped XML file, read as a stream: elements by local name, links between parts, no entities."""

from __future__ import annotations

import posixpath
import re
import zipfile
from collections.abc import Callable, Iterator
from typing import IO, Any
from xml.parsers import expat

from linewright.base.errors import InputError, Problem

CHUNK = 1 << 20
LONGEST_TAG = 50 * CHUNK
_EMPTY_CELL = re.compile(rb"<c [^<>]*/>")
_EMPTY_ROW = re.compile(rb"<row [^<>]*(?:/>|>\s*</row>)")
Start = Callable[[str, dict[str, str]], None]
Said = Callable[[str], None]


def refuse_entities(*_: Any) -> None:
    """Raise InputError: a document type can hold entities that never end."""
    problem = Problem("its XML", "a document type, which may hold entities", "plain XML, without")
    raise InputError("The spreadsheet cannot be read.", [problem])


def parse(stream: IO[bytes], start: Start, end: Said, text: Said) -> None:
    """Send the elements of a part to handlers, by local name; cells and rows that hold a format only are left out."""
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.buffer_text = True
    parser.StartElementHandler = lambda name, attributes: start(_local(name), attributes)
    parser.EndElementHandler = lambda name: end(_local(name))
    parser.CharacterDataHandler = text
    parser.StartDoctypeDeclHandler = refuse_entities
    for piece in _pieces(stream):
        parser.Parse(_EMPTY_ROW.sub(b"", _EMPTY_CELL.sub(b"", piece)), False)
    parser.Parse(b"", True)


def _pieces(stream: IO[bytes]) -> Iterator[bytes]:
    """The stream in pieces that end with a row or a tag."""
    kept = b""
    while piece := stream.read(CHUNK):
        whole, mark, rest = (kept + piece).rpartition(b"</row>")
        if not mark:
            whole, mark, rest = (kept + piece).rpartition(b">")
        kept = rest
        yield whole + mark
        if len(kept) > LONGEST_TAG:
            raise ValueError("a tag without end")
    yield kept


def _local(name: str) -> str:
    return name.rpartition(" ")[2]


def elements(archive: zipfile.ZipFile, part: str, wanted: set[str]) -> list[tuple[str, dict[str, str]]]:
    """Elements of a small part by local name, with their attributes, in order."""
    found: list[tuple[str, dict[str, str]]] = []

    def start(name: str, attributes: dict[str, str]) -> None:
        if name in wanted:
            found.append((name, {_local(key): value for key, value in attributes.items()}))

    with archive.open(part) as stream:
        parse(stream, start, lambda name: None, lambda text: None)
    return found


def links(archive: zipfile.ZipFile, part: str) -> dict[str, tuple[str, str]]:
    """What a part refers to, by id: type and path inside the file; what lies outside is left out."""
    folder, name = posixpath.split(part)
    listed = f"{folder}/_rels/{name}.rels".lstrip("/")
    if listed not in archive.namelist():
        return {}
    found = {}
    for _, item in elements(archive, listed, {"Relationship"}):
        if item.get("TargetMode") != "External":
            path = posixpath.normpath(posixpath.join("/", folder, item.get("Target", ""))).lstrip("/")
            found[item.get("Id", "")] = (item.get("Type", "").rpartition("/")[2], path)
    return found
