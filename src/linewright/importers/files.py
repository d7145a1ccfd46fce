"""Where a named file lies: inside a study, or inside an installed package."""

from __future__ import annotations

import importlib.util
from pathlib import Path

from linewright.base.errors import InputError, Problem


def find(root: Path, name: str) -> Path:
    """A file inside the study, or `package:path` inside an installed package; never outside of either."""
    package, is_packaged, inside = name.partition(":")
    spec = importlib.util.find_spec(package) if is_packaged and package.isidentifier() else None
    base = Path(spec.origin).parent if spec is not None and spec.origin else root
    path = base / (inside if spec is not None else name)
    try:
        path.stat()
    except FileNotFoundError:
        pass
    except (OSError, ValueError) as error:
        read = (getattr(error, "strerror", None) or str(error)).lower()
        raise InputError(f"The file {name[:60]} cannot be read.", [Problem(name[:60], read, "a file's name")]) from None
    if not path.resolve().is_relative_to(base.resolve()):
        problem = Problem(name, "a path that leaves the study", "a path inside the study folder")
        raise InputError(f"{name} lies outside the study.", [problem])
    if not path.is_file():
        raise InputError(f"There is no file {name}.", [Problem(name, "nothing", "a file in the study folder")])
    return path
