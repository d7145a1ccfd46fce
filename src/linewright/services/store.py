"""Files and folders that are whole or not there: temporary name, fsync, rename."""

from __future__ import annotations

import contextlib
import errno
import os
import re
import secrets
import shutil
import time
from collections.abc import Iterator, Mapping
from pathlib import Path

from linewright.base.errors import Problem, StorageError

MOST_NAMES = 1000
STALE = 24 * 3600.0
TEMPORARY = re.compile(r"\..+\.[0-9a-f]{8}")
FULL = (errno.ENOSPC, errno.EFBIG, getattr(errno, "EDQUOT", errno.ENOSPC))


def write_whole(path: Path, content: bytes, settle: bool = True) -> None:
    """Write a file so that a full disk or a crash leaves the old one or none. Raises StorageError.

    Without `settle` a loss of power can still damage it: for files that are checked when they are read.
    """
    temporary = _beside(path)
    with _all_or_nothing(path, temporary):
        _write(temporary, content, settle)
        os.replace(temporary, path)
        if settle:
            _settle(path.parent)


def copy_whole(source: Path, path: Path) -> None:
    """Copy a file so that a full disk or a crash leaves the old one or none. Raises StorageError."""
    temporary = _beside(path)
    with _all_or_nothing(path, temporary):
        shutil.copyfile(source, temporary)
        os.replace(temporary, path)
        _settle(path.parent)


def write_folder(folder: Path, files: Mapping[str, bytes]) -> Path:
    """Add a folder with all of its files, or nothing; a name that is taken gets a number. Raises StorageError."""
    temporary = _beside(folder)
    with _all_or_nothing(folder, temporary):
        temporary.mkdir()
        for name, content in files.items():
            _write(temporary / name, content)
        _settle(temporary)
        target = _moved(temporary, folder)
        _settle(folder.parent)
    _sweep(folder.parent)
    return target


def try_folder(folder: Path) -> None:
    """Make and remove a folder where that one will stand, before the work that ends there. Raises StorageError.

    Where its parent is still to be made the trial is one floor up: nothing stays that another run may stand on.
    """
    temporary = _beside(folder if os.path.lexists(folder.parent) else folder.parent)
    with _all_or_nothing(folder.parent, temporary):
        temporary.mkdir()
    _remove(temporary)


def _sweep(parent: Path) -> None:
    """Remove the unnamed folders of runs that were killed a day ago or more."""
    with contextlib.suppress(OSError):
        for path in parent.iterdir():
            if TEMPORARY.fullmatch(path.name) and path.is_dir() and time.time() - path.stat().st_mtime > STALE:
                _remove(path)


def _moved(temporary: Path, folder: Path) -> Path:
    """Give a whole folder its name; another process may take the name in between."""
    for _ in range(MOST_NAMES):
        target = _free(folder)
        try:
            os.rename(temporary, target)
        except OSError as error:
            if error.errno not in (errno.ENOTEMPTY, errno.EEXIST):
                raise
        else:
            return target
    raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST))


def refused(path: Path, error: OSError) -> StorageError:
    """The storage error of a path, in four lines."""
    what = error.strerror or str(error)
    needs = "a writable place with free space"
    todo = "free some space" if error.errno in FULL else "choose another folder"
    do = f"{todo}; nothing was changed"
    return StorageError(f"{path} could not be kept: {what}.", [Problem(str(path), what, needs, do)])


def _beside(path: Path) -> Path:
    """A hidden name beside a path, so that the last step is a rename within one disk."""
    return path.parent / f".{path.name}.{secrets.token_hex(4)}"


def _free(folder: Path) -> Path:
    """The folder itself, or its name with a number: results are only ever added."""
    names = (folder, *(folder.with_name(f"{folder.name}-{number}") for number in range(2, MOST_NAMES)))
    return next((name for name in names if not os.path.lexists(name)), folder)


@contextlib.contextmanager
def _all_or_nothing(path: Path, temporary: Path) -> Iterator[None]:
    """Make the folders above; if anything fails, take back what was made."""
    made: list[Path] = []
    try:
        for parent in reversed([path.parent, *path.parent.parents]):
            if not os.path.lexists(parent):
                parent.mkdir(exist_ok=True)
                made.append(parent)
        yield
    except BaseException as error:
        _remove(temporary)
        with contextlib.suppress(OSError):
            for parent in reversed(made):
                parent.rmdir()  # one that another run has used meanwhile is not empty, and stays
        if isinstance(error, OSError):
            raise refused(path, error) from None
        raise


def _remove(path: Path) -> None:
    with contextlib.suppress(OSError):
        if path.is_dir():
            shutil.rmtree(path, ignore_errors=True)
        else:
            path.unlink(missing_ok=True)


def _write(path: Path, content: bytes, settle: bool = True) -> None:
    with path.open("xb") as stream:
        stream.write(content)
        stream.flush()
        if settle:
            os.fsync(stream.fileno())


def _settle(folder: Path) -> None:
    """Write a folder's own entries to the disk, where the system can."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
