"""Bytes of a file as text: size, encoding and lines, with what speaks for each."""

from __future__ import annotations

import codecs
import hashlib
import os
import re
import stat
from dataclasses import dataclass
from pathlib import Path

from linewright.base.errors import InputError, Problem
from linewright.importers.report import Log, Question, Source

SMALL = 32_000_000  # bytes read at once; larger tension logs are streamed
LONGEST_LINE = 1_000_000  # characters
MARKS = (
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
PACKED = {
    b"PK\x03\x04": "a zip or spreadsheet",
    b"\x1f\x8b": "a gzip",
    b"%PDF": "a PDF",
    b"\xd0\xcf\x11\xe0": "an old binary office",
    b"CDF\x01": "a netCDF",
    b"CDF\x02": "a netCDF",
    b"\x89HDF": "an HDF5 or netCDF",
    b"PAR1": "a Parquet",
}
ENCODINGS = {name: name for name in ("cp1252", "cp1251", "cp1250", "cp1253", "cp1254", "cp1256", "koi8-r", "euc_jp",
                                     "gb18030", "big5", "euc_kr")} | {"shift_jis": "cp932"}  # fmt: skip
DAMAGED = 5  # letters of UTF-8 to one byte that is none, from which the text is taken to be damaged UTF-8
_HIGH = re.compile(rb"[^\x00-\x3f\x5b-\x60\x7b-\x7e]*[\x80-\xff][^\x00-\x3f\x5b-\x60\x7b-\x7e]*")
_ENDS = re.compile(r"\r\n|\r|\n")


@dataclass(frozen=True)
class TextFile:
    """A file as text: its source, the text, and its lines without ends."""

    source: Source
    text: str
    lines: tuple[str, ...]


def regular(path: Path) -> int:
    """Size of a regular file [bytes]. Raises InputError for what is absent, a folder or a device."""
    try:
        found = os.stat(path)
    except (OSError, ValueError) as error:
        cause = getattr(error, "strerror", None) or str(error)
        raise InputError(f"{path} cannot be read.", [Problem(str(path), cause, "a file")]) from None
    if not stat.S_ISREG(found.st_mode):
        raise InputError(f"{path} cannot be read.", [Problem(str(path), "no regular file", "a file")])
    return found.st_size


def read_text(path: Path, log: Log) -> TextFile:
    """The text of a small file. Raises InputError for what is no text, too large or has an endless line."""
    size = regular(path)
    if size > SMALL:
        problem = Problem(path.name, f"{size / 1e6:.0f} MB", f"up to {SMALL / 1e6:.0f} MB for a file of this kind")
        raise InputError(f"{path.name} is too large.", [problem])
    try:
        content = path.read_bytes()
    except OSError as error:
        raise InputError(f"{path} cannot be read.", [Problem(str(path), str(error.strerror), "a file")]) from None
    text, encoding = decode(path.name, content, log)
    lines = tuple(_ENDS.split(text))
    longest = max(map(len, lines))
    if longest > LONGEST_LINE:
        problem = Problem(path.name, f"a line of {longest} characters", f"lines of at most {LONGEST_LINE} characters")
        raise InputError(f"{path.name} is no table of text.", [problem])
    source = Source(path.name, hashlib.sha256(content).hexdigest()[:16], encoding)
    return TextFile(source, text, lines[:-1] if lines[-1] == "" else lines)


def decode(name: str, content: bytes, log: Log) -> tuple[str, str]:
    """Text and encoding of a file's bytes. Raises InputError for what is no text."""
    if not content.strip(b"\x00 \t\r\n"):
        raise InputError(f"{name} is empty.", [Problem(name, "nothing", "a file with rows")])
    for mark, what in PACKED.items():
        if content.startswith(mark):
            problem = Problem(name, f"{what} file", "a text file", "unpack it, or save it as CSV")
            raise InputError(f"{name} is no text.", [problem])
    encoding = next((found for mark, found in MARKS if content.startswith(mark)), "") or _guessed(content)
    try:
        text = content.decode(encoding)
    except UnicodeDecodeError:
        text, encoding = _single_byte(name, content, log)
    if "\x00" in text:
        raise InputError(f"{name} is no text.", [Problem(name, "zero bytes", "a text file")])
    return text, encoding.removesuffix("-sig")


def _guessed(content: bytes) -> str:
    """UTF-16 shows by its zero bytes; else UTF-8 is tried."""
    head = content[:4000]
    if len(head) >= 4 and head[1::2].count(0) > 0.4 * len(head) / 2 and head[0::2].count(0) == 0:
        return "utf-16-le"
    if len(head) >= 4 and head[0::2].count(0) > 0.4 * len(head) / 2 and head[1::2].count(0) == 0:
        return "utf-16-be"
    return "utf-8"


def _single_byte(name: str, content: bytes, log: Log) -> tuple[str, str]:
    """Not UTF-8: the Western single-byte code with a flag, where it gives words; else the encoding is asked."""
    if content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE, codecs.BOM_UTF32_LE, codecs.BOM_UTF32_BE)):
        raise InputError(f"{name} is no text.", [Problem(name, "a damaged UTF-16 or UTF-32 file", "a text file")])
    damaged = content.decode("utf-8", "replace")
    bad = damaged.count("\ufffd")
    if "encoding" not in log.answers and sum(char > "\x7f" for char in damaged) > DAMAGED * bad:
        log.flag("encoding-damaged", f"{bad} bytes are no UTF-8, all others are: it is read so", "caution")
        return damaged, "utf-8"
    answered = _answered(content, log)
    if answered:
        return content.decode(ENCODINGS[answered]), answered
    try:
        text, encoding = content.decode("cp1252"), "cp1252"
    except UnicodeDecodeError:
        text, encoding = content.decode("latin-1"), "latin-1"
    if "encoding" not in [question.key for question in log.questions]:
        log.flag("encoding-assumed", f"the text is not UTF-8; it is read as {encoding} (Western single-byte)")
    return text, encoding


def _answered(content: bytes, log: Log) -> str:
    """The encoding that the user says, asked where Western text would be no words; empty for Western text."""
    if "encoding" not in log.answers and not _is_strange(content):
        return ""
    fits = [name for name, codec in ENCODINGS.items() if _decoded(content, codec)]
    word = max(_HIGH.findall(content), key=len)
    shown = [f"{_decoded(word, ENCODINGS[name])} ({name})" for name in fits if _decoded(word, ENCODINGS[name])]
    because = f"the text is not UTF-8; one of its words reads {', '.join(shown[:5])}"
    return log.ask(Question("encoding", "In which encoding is the text?", tuple(fits), because)) or ""


def _is_strange(content: bytes) -> bool:
    """Whether bytes read as Western text have words of accented letters only, or signs that no such text has."""
    runs = [len(found) for found in re.findall(rb"[\xa1-\xff]{3,}", content)]
    signs = len(re.findall(rb"[\x81-\x84\x86-\x88\x8a-\x90\x98\x9a-\x9f]", content))
    is_double = signs >= 2 and bool(_decoded(content, "cp932"))
    return is_double or len(runs) >= 2 or max(runs, default=0) >= 4


def _decoded(content: bytes, codec: str) -> str:
    """Bytes as text; empty where they are none in that encoding."""
    try:
        return content.decode(codec)
    except UnicodeDecodeError:
        return ""
