"""Finished blocks of samples on disk: each under a name made from all that went into it.

A block's name is a digest of its setup, its draws and the code, so that a block from another case, card or version is
never mistaken for one of this run, and a block that a stopped run left behind counts wherever it lies.
"""

from __future__ import annotations

import contextlib
import functools
import hashlib
import io
import time
import zipfile
from collections.abc import Callable, Iterable, Iterator, Mapping
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from dataclasses import dataclass, fields, is_dataclass
from pathlib import Path
from typing import Any

import numpy as np

from linewright.assessment.life import Lives
from linewright.assessment.line import Block
from linewright.base.errors import Cancelled, StorageError
from linewright.base.version import VERSION
from linewright.services.store import write_whole

CANCEL = "cancel"
REQUEST = "request.json"
MARK = b"\0"
DIGEST = hashlib.sha256().digest_size
LEFT_OUT = {"asked"}  # what a draw collects while it is used is no part of what it is
ROOMS = ("physics", "assessment", "base")


@dataclass(frozen=True)
class Progress:
    """How far a job is: blocks done of all, and the seconds that the others take (None: not known yet)."""

    done: int
    total: int
    seconds_left: float | None

    @property
    def share(self) -> float:
        """Share that is done, 0 to 1."""
        return self.done / self.total if self.total else 1.0


class BlockKeeper(Executor):
    """Runs blocks on two threads, looks finished ones up in a folder, keeps new ones there, says how far it is.

    Without a folder nothing is kept. Raises Cancelled where the folder holds a file `cancel`, or is gone.
    """

    def __init__(self, folder: Path | None, tell: Callable[[Progress], None], inner: Executor | None = None) -> None:
        self.folder, self.tell = folder, tell
        self.inner = inner or ThreadPoolExecutor(2)
        self.done = self.total = self.computed = 0
        self.begin = time.monotonic()
        self.known: dict[int, tuple[object, bytes]] = {}

    def expect(self, blocks: int) -> None:
        """Learn how many blocks the whole assessment has."""
        self.total, self.begin = blocks, time.monotonic()

    def map(self, fn: Callable[..., Any], *iterables: Iterable[Any], **_: Any) -> Iterator[Any]:
        """The blocks in their order, found or computed."""
        rows = list(zip(*iterables, strict=True))
        step = Step(fn, self.folder)
        names = [block_name(row, self.known) if self.folder else "" for row in rows]
        results = self.inner.map(step, names, rows) if len(rows) > 1 else map(step, names, rows)
        for block, is_new in results:
            self._count(is_new)
            yield block

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        """Run something that is no block."""
        return self.inner.submit(fn, *args, **kwargs)

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """End the threads."""
        self.inner.shutdown(wait, cancel_futures=cancel_futures)

    def _count(self, is_new: bool) -> None:
        self.done += 1
        self.computed += is_new
        each = (time.monotonic() - self.begin) / self.computed if self.computed else None
        left = max(self.total - self.done, 0)
        self.tell(Progress(self.done, max(self.total, self.done), None if each is None else each * left))


@dataclass(frozen=True)
class Step:
    """One block: looked up, or computed and kept. Tells the block and whether it is new."""

    work: Callable[..., Any]
    folder: Path | None

    def __call__(self, name: str, arguments: tuple[Any, ...]) -> tuple[Any, bool]:
        """The block of these arguments. Raises Cancelled."""
        if self.folder is None:
            return self.work(*arguments), True
        if (self.folder / CANCEL).exists() or not (self.folder / REQUEST).exists():
            raise Cancelled("The run was stopped.")
        path = self.folder / f"{name}.block"
        found = read_block(path)
        if found is not None:
            return found, False
        block = self.work(*arguments)
        keep_block(path, block)
        return block, True


def keep_block(path: Path, block: Block) -> None:
    """Keep a block if the disk lets us; the run itself goes on without."""
    stream = io.BytesIO()
    np.savez(stream, **arrays_of(block))
    content = stream.getvalue()
    try:
        write_whole(path, hashlib.sha256(content).digest() + content, settle=False)
    except StorageError:
        with contextlib.suppress(OSError):
            path.unlink(missing_ok=True)


def read_block(path: Path) -> Block | None:
    """A block as it was kept; None where there is none, or where the file is damaged."""
    try:
        whole = path.read_bytes()
        content = whole[DIGEST:]
        if hashlib.sha256(content).digest() != whole[:DIGEST]:
            return None
        with np.load(io.BytesIO(content), allow_pickle=False) as arrays:
            return block_of({name: arrays[name] for name in arrays.files})
    except (OSError, ValueError, KeyError, TypeError, EOFError, zipfile.BadZipFile):
        return None


def arrays_of(block: Block) -> dict[str, Any]:
    """A block as plain arrays by name."""
    lives = {f"lives.{part.name}": getattr(block.lives, part.name) for part in fields(Lives)}
    return lives | {part.name: getattr(block, part.name) for part in fields(Block) if part.name != "lives"}


def block_of(arrays: Mapping[str, Any]) -> Block:
    """The block of its arrays. Raises KeyError where one is missing."""
    lives = Lives(*(arrays[f"lives.{part.name}"] for part in fields(Lives)))
    return Block(lives, *(_plain(arrays[part.name]) for part in fields(Block) if part.name != "lives"))


def _plain(array: Any) -> Any:
    """Single values and lists of texts as such."""
    if array.ndim == 0:
        return array.item()
    return tuple(array.tolist()) if array.dtype.kind == "U" else array


def block_name(arguments: Iterable[object], known: dict[int, tuple[object, bytes]]) -> str:
    """The name of a block: a digest of its arguments and of the code; `known` remembers large parts by identity."""
    whole = hashlib.sha256(code())
    for argument in arguments:
        whole.update(fingerprint(argument, known))
    return whole.hexdigest()[:32]


@functools.cache
def code() -> bytes:
    """A digest of the code that makes a block, and of the libraries beneath."""
    import scipy

    whole = hashlib.sha256("|".join((VERSION, np.__version__, scipy.__version__)).encode())
    package = Path(__file__).resolve().parent.parent
    for room in ROOMS:
        for path in sorted((package / room).rglob("*.py")):
            whole.update(path.read_bytes())
    return whole.digest()


def fingerprint(value: object, known: dict[int, tuple[object, bytes]]) -> bytes:
    """A digest of a value by content: records, tables, lists, arrays, plain values."""
    if id(value) in known:
        return known[id(value)][1]
    whole = hashlib.sha256(type(value).__name__.encode())
    for part in _parts(value, known):
        whole.update(part)
        whole.update(MARK)
    if is_dataclass(value) or isinstance(value, Mapping):
        known[id(value)] = (value, whole.digest())  # the value stays alive, so that its id stays its own
    return whole.digest()


def _parts(value: object, known: dict[int, tuple[object, bytes]]) -> Iterator[bytes]:
    if isinstance(value, np.ndarray):
        yield f"{value.dtype.str}{value.shape}".encode()
        yield value.tobytes()
    elif is_dataclass(value) and not isinstance(value, type):
        for part in fields(value):
            if part.name not in LEFT_OUT:
                yield fingerprint(getattr(value, part.name), known)
    elif isinstance(value, Mapping):
        for key in sorted(value):
            yield str(key).encode()
            part = value[key]
            yield from _parts(part, known) if isinstance(part, np.ndarray) else (fingerprint(part, known),)
    elif isinstance(value, frozenset | set):
        yield repr(sorted(value)).encode()
    elif isinstance(value, tuple | list) and any(not isinstance(item, str | int | float) for item in value):
        for item in value:
            yield fingerprint(item, known)
    else:
        yield repr(value).encode()
