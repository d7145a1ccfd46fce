"""A filled form as the tables it was read from: texts with units, what was not given left out."""

from __future__ import annotations

from typing import Any

from linewright.base.form import Typed
from linewright.base.units import Load


def tables_of(form: Any) -> Any:
    """Tables, lists and texts of a filled form; reading them again gives the same form."""
    if isinstance(form, Typed):
        return form.text if form.band is None else {"value": form.text, "low": form.band[0], "high": form.band[1]}
    if isinstance(form, Load):
        return form.text
    if isinstance(form, dict):
        return {key: tables_of(part) for key, part in form.items()}
    if isinstance(form, list | tuple):
        return [tables_of(part) for part in form]
    if hasattr(type(form), "model_fields"):
        given = {key: getattr(form, key) for key in type(form).model_fields}
        return {key: tables_of(part) for key, part in given.items() if part is not None}
    return form
