"""The name under which the user can call this program where he is."""

from __future__ import annotations

import shlex
import shutil
import sys
from pathlib import Path

NAME = "linewright"


def program() -> str:
    """The program as a command to copy: its bare name where that is found, else as it was called or lies nearby."""
    called, beside = Path(sys.argv[0]), Path(sys.executable).parent / NAME
    if shutil.which(NAME):
        return NAME
    if called.name == NAME:
        return shlex.quote(sys.argv[0])
    if beside.exists() and beside.is_relative_to(Path.cwd()):
        return shlex.quote(str(beside.relative_to(Path.cwd())))
    return NAME


def command(*words: object) -> str:
    """A command line to copy, with the program as the user can call it."""
    return " ".join([program(), *(shlex.quote(str(word)) for word in words)])
