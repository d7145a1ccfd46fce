"""Heat, strength and life of synthetic mooring lines, with every number's source and band.

The public names are loaded when they are first asked for, so that importing linewright is quick.
"""

from __future__ import annotations

from typing import Any

from linewright.base.version import VERSION

__version__ = VERSION

_PUBLIC = {
    "assess_study": "linewright.services.assess",
    "read_case": "linewright.services.study",
    "Study": "linewright.services.study",
    "write_demo": "linewright.services.demo",
    "validate": "linewright.services.validation",
}

__all__ = ["__version__", *_PUBLIC]


def __getattr__(name: str) -> Any:
    if name not in _PUBLIC:
        raise AttributeError(f"module 'linewright' has no attribute {name!r}")
    import importlib

    return getattr(importlib.import_module(_PUBLIC[name]), name)
