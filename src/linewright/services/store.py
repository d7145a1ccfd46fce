"""Files that are whole or not there: temporary file, fsync, rename."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from linewright.base.errors import Problem, StorageError


def write_whole(path: Path, content: bytes) -> None:
    """Write a file so that a full disk or a crash leaves the old one or none. Raises StorageError."""
    temporary = ""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        os.chmod(temporary, 0o644)
        os.replace(temporary, path)
    except OSError as error:
        if temporary and os.path.exists(temporary):
            os.unlink(temporary)
        raise refused(path, error) from None


def refused(path: Path, error: OSError) -> StorageError:
    """The storage error of a path, in four lines."""
    what = error.strerror or str(error)
    return StorageError(
        f"{path} could not be kept: {what}.",
        [
            Problem(
                str(path),
                what,
                "a writable place with free space",
                "free some space or choose another folder; nothing was changed",
            )
        ],
    )
